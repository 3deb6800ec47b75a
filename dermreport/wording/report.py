"""All that a report says, told once: every sentence, and the sections in which a doctor reads them.

What calls for action stands first: concern, urgent steps and red flags, then the plan, then what it rests on.
"""

from __future__ import annotations

from enum import StrEnum
from typing import TYPE_CHECKING, Any

from msgspec import Struct
from msgspec.structs import replace

from dermreport.answers import Answer, answer_to
from dermreport.examination.not_sent import is_plan_lost
from dermreport.plugins.issue_rules import for_readers
from dermreport.rules.completeness import ItemState
from dermreport.rules.red_flags import is_red_flag
from dermreport.scores.method import CAUTIONS
from dermreport.vocabulary.attributes import Attribute
from dermreport.vocabulary.presences import Presence
from dermreport.vocabulary.statuses import Status
from dermreport.vocabulary.structures import Structure
from dermreport.wording.findings import light_words, lights, unticked
from dermreport.wording.items import (
    BEDSIDE_TEST,
    EARLIER_SKIN_CANCER,
    OUTCOME,
    Item,
    Statement,
    statement,
    statements,
)
from dermreport.wording.names import value_words, words
from dermreport.wording.pathways import pathway_lines
from dermreport.wording.row_names import with_row_names
from dermreport.wording.sentences import (
    CAUTION,
    WITHDRAWN,
    action_sentence,
    departure_sentence,
    finding_sentence,
    image_sentence,
    impression_sentence,
    lesion_sentence,
    safety_net_sentence,
    score_sentence,
    statement_sentence,
    view_sentence,
)

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from dermreport.examination.model import Examination
    from dermreport.examination.observed import Image, ListGoneThrough
    from dermreport.reviews.review import Review
    from dermreport.scores.engine import ScoreResult
    from dermreport.vocabulary.lights import Light
    from dermreport.vocabulary.not_assessed_reasons import NotAssessedReason


class Heading(StrEnum):
    """The sections of a report, in reading order; the value is what stands above it."""

    FIRST = "First"
    PLAN = "Plan"
    SAFETY_NET = "Safety-net advice given"
    PATHWAY = "Expected by the pathway"
    LESION = "Lesion"
    HISTORY = "History"
    VIEWS = "Views and pictures"
    FINDINGS = "Dermatoscopic findings"
    SCORES = "Scores"
    ASSESSMENT = "Assessment"
    OUTCOMES = "Outcome"
    PLUGINS = "Scores of plugins"
    ISSUES = "To be checked"
    GAPS = "Not recorded"
    CAUTIONS = "Please note"


class Section(Struct, frozen=True):
    """One section: its heading and its lines."""

    heading: Heading
    lines: tuple[str, ...]


class ToldFinding(Struct, frozen=True):
    """One finding: what it counts as, the lights in which it was seen, the sentence."""

    answer: Answer
    lights: tuple[Light, ...]
    sentence: str


class ToldList(Struct, frozen=True):
    """A list that was gone through: its items that no finding names, and the sentence."""

    unticked: tuple[tuple[Structure, Answer], ...]
    sentence: str


class Told(Struct, frozen=True):
    """Every sentence of a report, each beside what it tells; lists are in the entry's order."""

    statements: tuple[tuple[Statement, str], ...]
    views: tuple[str, ...]
    images: tuple[str, ...]
    lists: tuple[ToldList, ...]
    findings: tuple[ToldFinding, ...]
    tests: tuple[tuple[Statement, str], ...]
    earlier_cancers: tuple[tuple[Statement, str], ...]
    scores: tuple[tuple[ScoreResult, str], ...]
    impressions: tuple[str, ...]
    actions: tuple[str, ...]
    safety_net: str
    departures: tuple[str, ...]
    outcomes: tuple[tuple[Statement, str], ...]
    plugin_scores: tuple[tuple[ScoreResult, str], ...] = ()


def tell(review: Review) -> Told:
    """Tell a review: every sentence once. The patient's name, birth date and number are in none of them."""
    told, named = _tell(review), with_row_names(review)
    return told if named is review else _in_the_words_of(told, _tell(named))


def _in_the_words_of(told: Any, other: Any) -> Any:  # noqa: ANN401 - any part of what is told
    """Return what is told with the sentences of the same told in other words."""
    if isinstance(told, Told | ToldFinding | ToldList):
        return replace(
            told,
            **{name: _in_the_words_of(getattr(told, name), getattr(other, name)) for name in told.__struct_fields__},
        )
    if type(told) is tuple:
        return tuple(_in_the_words_of(*both) for both in zip(told, other, strict=True))
    return other if type(told) is str else told


def _tell(review: Review) -> Told:
    examination = review.examination
    found = review.answers
    single = tuple((stated, statement_sentence(stated)) for stated in statements(examination))
    findings = []
    for position, finding in enumerate(examination.findings):
        answer = answer_to(found, position)
        seen_in = lights(examination, finding.views)
        sentence = finding_sentence(finding, answer, light_words(seen_in))
        findings.append(ToldFinding(answer, seen_in, sentence))
    lists = []
    for gone_through in examination.lists_gone_through:
        others = unticked(found, gone_through)
        lists.append(ToldList(others, _list_sentence(gone_through, others)))
    lesion, background, plan = examination.lesion, examination.background, examination.plan
    tests = _test_statements(lesion.bedside_tests) if lesion is not None else ()
    cancers = _item_statements(EARLIER_SKIN_CANCER, background.earlier_skin_cancers) if background is not None else ()
    impressions = examination.assessment.impressions if examination.assessment is not None else ()
    scores = _told_scores(review, review.scores.values())
    return Told(
        statements=single,
        views=tuple(view_sentence(view) for view in examination.views),
        images=tuple(_image_sentence(examination, image) for image in examination.images),
        lists=tuple(lists),
        findings=tuple(findings),
        tests=tests,
        earlier_cancers=cancers,
        scores=scores,
        impressions=tuple(impression_sentence(one) for one in impressions),
        actions=tuple(action_sentence(one) for one in plan.actions) if plan is not None else (),
        safety_net=safety_net_sentence(plan.safety_net) if plan is not None and plan.safety_net is not None else "",
        departures=tuple(departure_sentence(one) for one in plan.departures) if plan is not None else (),
        outcomes=_item_statements(OUTCOME, examination.outcomes),
        plugin_scores=_told_scores(review, review.plugin_scores.values()),
    )


def _told_scores(review: Review, results: Iterable[ScoreResult]) -> tuple[tuple[ScoreResult, str], ...]:
    shown = (one for one in results if one.valid or review.settings.unsuitable_scores)
    return tuple((one, score_sentence(one)) for one in shown)


def _item_statements(item: Item, sources: Iterable[object]) -> tuple[tuple[Statement, str], ...]:
    stated = [statement(item, source) for source in sources]
    return tuple((one, statement_sentence(one)) for one in stated if one is not None)


def _test_statements(tests: Sequence[object]) -> tuple[tuple[Statement, str], ...]:
    told = []
    for test in tests:
        stated = statement(BEDSIDE_TEST, test)
        if stated is not None:
            note = f" – {stated.note}" if stated.note is not None else ""
            answer = value_words(BEDSIDE_TEST.kind, BEDSIDE_TEST.unit, stated.value)
            told.append((stated, f"{words(test.test)}: {answer}{note}"))  # type: ignore[attr-defined]
    return tuple(told)


def _image_sentence(examination: Examination, image: Image) -> str:
    seen_in = lights(examination, (image.view,)) if image.view is not None else ()
    return image_sentence(image, light_words(seen_in))


def _list_sentence(gone_through: ListGoneThrough, others: Sequence[tuple[Structure, Answer]]) -> str:
    """Return a list with its items that no finding names, each by one name: absent ones, then open ones and why."""
    told: dict[tuple[Presence, NotAssessedReason | None], list[str]] = {}
    for one, answer in others:
        told.setdefault((answer.presence, answer.because), []).append(one.display)
    counted = [
        f"{presence.display}{f' ({because.display})' if because is not None else ''}: {'; '.join(named)}"
        for (presence, because), named in told.items()
    ]
    return ". ".join((f"list gone through: {words(gone_through.list)}", *counted))


def sections(told: Told, review: Review) -> tuple[Section, ...]:
    """Return the sections of a report in reading order, those without a line left out."""
    lines = {
        Heading.FIRST: _first(told, review),
        Heading.PLAN: (*told.actions, *_of(told, Attribute.ASSESSMENT, _PLAN_ITEMS), *told.departures),
        Heading.SAFETY_NET: (told.safety_net,) if told.safety_net else (),
        Heading.PATHWAY: _pathway(review),
        Heading.LESION: (lesion_sentence(review.examination), *_of(told, Attribute.FINDINGS, LESION_ITEMS)),
        Heading.HISTORY: (*_history(told), *(sentence for _, sentence in told.earlier_cancers)),
        Heading.VIEWS: (*told.views, *told.images),
        Heading.FINDINGS: _findings(told),
        Heading.SCORES: _scores(told.scores),
        Heading.ASSESSMENT: (*told.impressions, *_of(told, Attribute.ASSESSMENT, _ASSESSMENT_ITEMS)),
        Heading.OUTCOMES: tuple(sentence for _, sentence in told.outcomes),
        Heading.PLUGINS: _scores(told.plugin_scores),
        Heading.ISSUES: tuple(
            f"{one.severity}: {one.message}" for one in for_readers(review.issues) if not is_red_flag(one)
        ),
        Heading.GAPS: tuple(one.message for one in review.completeness if one.state is ItemState.MISSING),
        Heading.CAUTIONS: CAUTIONS,
    }
    return tuple(Section(heading, lines[heading]) for heading in Heading if lines[heading])


_PLAN_ITEMS = frozenset(
    (
        Attribute.PATIENT_TOLD,
        Attribute.FOR_PATHOLOGIST,
        Attribute.SPECIMEN_ORIENTATION,
        Attribute.MARKED_AREA,
        Attribute.PLAN_NOTE,
    )
)
_ASSESSMENT_ITEMS = frozenset(
    (
        Attribute.CONCERN,
        Attribute.UNEQUIVOCAL,
        Attribute.METHOD_USED,
        Attribute.ASSESSMENT_WORDS,
        Attribute.EXAMINATION_NOTE,
    )
)
DESCRIPTION_ITEMS = frozenset(
    (
        Attribute.ASYMMETRY_FIRST_AXIS,
        Attribute.ASYMMETRY_SECOND_AXIS,
        Attribute.SYMMETRIC_ALL_AXES,
        Attribute.BORDER_SEGMENTS,
        Attribute.LESION_COLOURS,
        Attribute.WHITE_PALER_THAN_SKIN,
        Attribute.PATTERN,
        Attribute.STEP_ONE,
        Attribute.DESCRIPTION_NOTE,
    )
)
#: Site and size stand in the first line of the section.
LESION_ITEMS = frozenset(Attribute) - DESCRIPTION_ITEMS - {Attribute.SITE, Attribute.LESION_SIZE}


def _of(told: Told, group: Attribute, attributes: frozenset[Attribute]) -> tuple[str, ...]:
    return tuple(
        sentence
        for stated, sentence in told.statements
        if stated.item.group is group and stated.item.attribute in attributes
    )


def _history(told: Told) -> tuple[str, ...]:
    return tuple(sentence for stated, sentence in told.statements if stated.item.group is Attribute.HISTORY)


def _what_of_the_plan(review: Review) -> str:
    if is_plan_lost(review.issues):
        return (
            "A plan may have been entered that couldn’t be read, and nothing of it goes out with this record: ask "
            "whoever recorded it what is to be done, and how soon."
        )
    return "No planned step is withheld by that."


def _first(told: Told, review: Review) -> tuple[str, ...]:
    """Return what calls for action: the urgent steps, the concern, the red flags, and the state of the record."""
    examination = review.examination
    lines = [f"Status as recorded: {examination.status.display}, revision {examination.revision}"]
    if examination.status is Status.ENTERED_IN_ERROR:
        return (WITHDRAWN, *lines)
    if review.has_errors:
        lines.append(f"Errors stand in this record: the report is preliminary. {_what_of_the_plan(review)}")
    actions = examination.plan.actions if examination.plan is not None else ()
    urgent = [
        sentence
        for action, sentence in zip(actions, told.actions, strict=True)
        if action.urgency is not None and action.urgency.fhir_priority != "routine"
    ]
    concern = examination.assessment.concern if examination.assessment is not None else None
    flags = [f"{one.severity}: {one.message}" for one in review.issues if is_red_flag(one)]
    return (
        *urgent,
        f"Clinician’s concern: {concern.display if concern is not None else 'not recorded'}",
        f"Summary: {review.summary.display}. {review.summary.definition}",
        *flags,
        *lines,
    )


def _pathway(review: Review) -> tuple[str, ...]:
    """Return what the pathway expects; nothing follows from a withdrawn record."""
    return () if review.examination.status is Status.ENTERED_IN_ERROR else pathway_lines(review.expected)


def _findings(told: Told) -> tuple[str, ...]:
    return (
        *(one.sentence for one in told.findings),
        *(one.sentence for one in told.lists),
        *(sentence for _, sentence in told.tests),
        *_of(told, Attribute.FINDINGS, DESCRIPTION_ITEMS),
    )


def _scores(told: Iterable[tuple[ScoreResult, str]]) -> tuple[str, ...]:
    lines: list[str] = []
    for result, sentence in told:
        own = [caution for caution in result.cautions if caution not in CAUTIONS]
        lines.append(" ".join((f"{sentence}.", f"Version: {result.method.version}.", *own)))
    if lines:
        lines.append(f"Added up by software from what the examiner recorded. {CAUTION}")
    return tuple(lines)
