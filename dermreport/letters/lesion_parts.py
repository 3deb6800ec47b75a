"""The parts of a referral that are about one lesion: each a function from a case to blocks."""

from __future__ import annotations

from collections.abc import Container, Iterable, Iterator, Mapping
from dataclasses import replace
from typing import TYPE_CHECKING, NamedTuple

from dermreport.answers import answer_to
from dermreport.examination.not_sent import is_plan_lost
from dermreport.letters.blocks import (
    Beside,
    Block,
    Entered,
    Fact,
    Facts,
    Figure,
    Figures,
    Items,
    Line,
    Paragraph,
    Tone,
)
from dermreport.letters.case import Case, how_late, is_urgent
from dermreport.letters.speech import capital, joined
from dermreport.over_time.results import not_clearing
from dermreport.pathways.issue_rules import Kept
from dermreport.plugins.issue_rules import for_readers
from dermreport.rules.completeness import ItemState
from dermreport.rules.red_flags import is_red_flag
from dermreport.scores.method import CAUTIONS, points
from dermreport.vocabulary.attributes import Attribute
from dermreport.vocabulary.image_roles import ImageRole
from dermreport.vocabulary.presences import Presence
from dermreport.vocabulary.replies import Reply
from dermreport.vocabulary.statuses import Status
from dermreport.vocabulary.verdicts import Verdict
from dermreport.wording.findings import lights, unticked
from dermreport.wording.items import BEDSIDE_TEST, FINDING, OUTCOME, VIEW, details, statement
from dermreport.wording.report import DESCRIPTION_ITEMS, LESION_ITEMS

if TYPE_CHECKING:
    from dermreport.answers import Answer
    from dermreport.examination.decided import Action, NamedImpression
    from dermreport.examination.observed import Finding, Image, ListGoneThrough, View
    from dermreport.pathways.expected import ExpectedStep
    from dermreport.scores.engine import ScoreResult
    from dermreport.vocabulary.lights import Light
    from dermreport.vocabulary.structures import Structure
    from dermreport.wording.items import Statement


def first(case: Case) -> Iterator[Block]:
    """Yield what calls for action: urgency, site, question, concern, warning signs, the state of the record."""
    speech = case.speech
    if case.examination.status is Status.ENTERED_IN_ERROR:
        yield Paragraph((speech.text("letter.withdrawn"),), Tone.URGENT)
        return
    yield from (Paragraph(line, Tone.URGENT) for line in _cancers_found(case))
    for action in case.urgent_actions:
        yield Paragraph(urgent_line(case, action), Tone.WARNING if case.is_past(action) else Tone.URGENT)
    lost = is_plan_lost(case.review.issues)
    if lost:
        yield Paragraph((speech.text("first.plan-lost"),), Tone.URGENT)
    if not case.urgent_actions and (case.actions or not lost):
        coming = [one for one in case.actions if not case.is_done(one)]
        planned = joined("; ", [joined(", ", (case.what(one), case.days(one))) for one in coming])
        said = speech.say("first.no-urgent-step", action=planned) if planned else (speech.text("first.no-step"),)
        yield Paragraph(said)
    missing = speech.not_recorded
    facts = Facts(
        (
            Fact(speech.text("lesion.site"), (case.site or missing,)),
            Fact(speech.text("lesion.size"), (case.size or missing,)),
            Fact(speech.text("first.question"), _questions(case) or ((speech.text("first.question-missing"),),)),
            Fact(speech.text("first.concern"), (_concern(case),)),
            Fact(speech.text("first.summary"), (speech.summary(case.review.summary),)),
        )
    )
    # Where all is said in short, site, side and drawing stand together at the top.
    yield facts if case.complete else _with_drawing(case, facts)
    yield from (Paragraph(line, Tone.WARNING) for line in _warnings(case))
    if case.examination.revision > 1:
        yield Paragraph(speech.say("letter.amended", revision=str(case.examination.revision)))


def _warnings(case: Case) -> Iterator[Line]:
    """Yield warning signs, a point that contradicts the site, where the plan falls short, and the record's state."""
    speech = case.speech
    for issue in case.review.issues:
        if is_red_flag(issue):
            yield speech.say("first.sign", message=speech.message(issue))
        elif issue.rule in PLACE_RULES:
            yield (speech.message(issue),)
    for one in case.review.expected.steps:
        if one.kept in _FALLS_SHORT:
            yield speech.say("first.expected", expected=_expected(case, one))
    if case.review.has_errors:
        lost = is_plan_lost(case.review.issues)
        nothing_withheld = () if lost else (" ", speech.text("letter.nothing-withheld"))
        yield (speech.text("letter.preliminary"), *nothing_withheld)
    if case.examination.status is Status.DRAFT:
        yield (speech.text("letter.draft-record"),)


#: The plan is less than the pathway expects, and no reason is recorded.
_FALLS_SHORT = frozenset((Kept.MISSING, Kept.LESS_URGENT, Kept.LATER))
#: The point on the drawing contradicts site or side: the drawing isn't shown, and the reader is told.
PLACE_RULES = frozenset(("site-map-point-outside", "site-map-point-other-side"))


def _cancers_found(case: Case) -> Iterator[Line]:
    """Yield each cancer that a pathologist found: it outranks whatever was thought before."""
    speech = case.speech
    for one in (found.outcome for found in not_clearing((case.review,)) if found.cancer):
        day = (speech.day(one.date),) if one.date is not None else ()
        informed = speech.term(one.patient_informed) if one.patient_informed is not None else speech.not_recorded
        result = joined(", ", (speech.term(one.result) if one.result is not None else (), day))
        yield speech.say("first.cancer-found", result=result, informed=informed)


def urgent_line(case: Case, action: Action) -> Line:
    """Return an urgent step in one line: how soon, what, by when."""
    speech = case.speech
    urgency = (
        capital(speech.term(action.urgency)) if action.urgency is not None else (speech.text("first.urgency-missing"),)
    )
    days, what = case.days(action), case.what(action)
    said = (
        speech.say("first.step-days", urgency=urgency, action=what, days=days)
        if days
        else speech.say("first.step", urgency=urgency, action=what)
    )
    return speech.say("first.step-past", step=said) if case.is_past(action) else said


def _questions(case: Case) -> tuple[Line, ...]:
    """Return the questions of the urgent steps; where none is urgent, of all steps."""
    asked = case.urgent_actions or case.actions
    return tuple(dict.fromkeys((Entered(one.reason),) for one in asked if one.reason))


def _concern(case: Case) -> Line:
    speech, assessment = case.speech, case.examination.assessment
    if assessment is None or (assessment.concern is None and not assessment.impressions):
        return speech.not_recorded
    concern = speech.term(assessment.concern) if assessment.concern is not None else speech.not_recorded
    if not assessment.impressions:
        return concern
    named = joined("; ", [impression(case, one) for one in assessment.impressions])
    return speech.say("first.concern-suspected", concern=concern, impressions=named)


def impression(case: Case, named: NamedImpression) -> Line:
    """Return what the clinician takes the lesion for, with the certainty."""
    speech = case.speech
    certainty = (
        speech.term(named.certainty) if named.certainty is not None else (speech.text("assessment.certainty-missing"),)
    )
    return speech.bracketed(speech.term(named.impression), certainty)


class _Row(NamedTuple):
    """A labelled fact, and what of it the record doesn't say: known here, never read from the words.

    Attributes:
        fact: The fact.
        unsaid: What it is called within a list, where the record says nothing of it.
        names_unsaid: Whether its lines name what the record doesn't say.
    """

    fact: Fact
    unsaid: Line = ()
    names_unsaid: bool = False


def _told_or_unsaid(case: Case, key: str, unsaid: str, told: Iterable[Line] = ()) -> _Row:
    """Return a row of what was told; where nothing was, one that says so, and its name within a list by its key."""
    speech = case.speech
    lines = tuple(told)
    if lines:
        return _Row(Fact(speech.text(key), lines))
    return _Row(Fact(speech.text(key), (speech.not_recorded,)), (speech.text(unsaid),))


def _unsaid(case: Case, asked: Iterable[Attribute], given: Container[Attribute]) -> Iterator[_Row]:
    """Yield the row that names what a reader asks and the record doesn't say."""
    speech = case.speech
    missing = joined("; ", [speech.term(one) for one in asked if one not in given])
    if missing:
        yield _Row(Fact(speech.text("lesion.missing"), (missing,)), names_unsaid=True)


#: What a reader asks of the lesion to the naked eye.
_ASKED_OF_EYE = (Attribute.ELEVATION, Attribute.PIGMENTATION, Attribute.ULCERATED)
#: What stands in a row or part of its own.
_ELSEWHERE = frozenset((Attribute.NODES, Attribute.PALPATION, Attribute.MAP_POINT))


def lesion(case: Case) -> Iterator[Block]:
    """Yield where the lesion is, how large, what eye and fingers find, and the drawing with its place."""
    speech = case.speech
    missing = speech.not_recorded
    rows = (
        Fact(speech.text("lesion.site"), (case.site or missing,)),
        Fact(speech.text("lesion.size"), (case.size or missing,)),
        *(row.fact for row in _seen_and_felt(case)),
    )
    yield _with_drawing(case, Facts(rows))


def lesion_in_short(case: Case) -> Iterator[Block]:
    """Yield how and when the lesion was seen, its history, what eye and fingers find; site and size stand first."""
    rows = (*_history_rows(case), *_seen_and_felt(case))
    lacking = [row.unsaid for row in rows if row.unsaid]
    lacking += [line for row in rows if row.names_unsaid for line in row.fact.lines]
    given = [row.fact for row in rows if not row.unsaid and not row.names_unsaid]
    if lacking:
        given.append(Fact(case.speech.text("lesion.missing"), (joined("; ", lacking),)))
    yield Facts(tuple(given))


def _with_drawing(case: Case, facts: Facts) -> Block:
    return Beside(facts, case.drawing) if case.drawing is not None else facts


#: What is felt: its label, and what it is called within a list, for only a language knows its capitals there.
_FELT = (
    (Attribute.PALPATION, "lesion.palpation", "asked.palpation"),
    (Attribute.NODES, "lesion.nodes", "asked.nodes"),
)


def _seen_and_felt(case: Case) -> Iterator[_Row]:
    speech = case.speech
    seen = [one for one in _of(case, Attribute.FINDINGS, LESION_ITEMS) if one.item.attribute not in _ELSEWHERE]
    if seen:
        said = joined("; ", [speech.statement(one) for one in seen])
        yield _Row(Fact(speech.text("lesion.naked-eye"), (said,)))
    yield from _unsaid(case, _ASKED_OF_EYE, {one.item.attribute for one in seen})
    for attribute, key, unsaid in _FELT:
        told = [speech.answer(one) for one in case.statements if one.item.attribute is attribute]
        yield _told_or_unsaid(case, key, unsaid, told)
    recorded = case.examination.lesion
    tests = [] if recorded is None else [_test(case, one) for one in recorded.bedside_tests]
    if tests:
        yield _Row(Fact(speech.text("lesion.tests"), tuple(tests)))


def _test(case: Case, test: object) -> Line:
    stated = statement(BEDSIDE_TEST, test)
    name = case.speech.term(test.test)  # type: ignore[attr-defined]
    return case.speech.labelled(name, case.speech.answer(stated)) if stated is not None else name


def _of(case: Case, group: Attribute, attributes: frozenset[Attribute]) -> list[Statement]:
    return [one for one in case.statements if one.item.group is group and one.item.attribute in attributes]


#: What a reader asks of the lesion's history: since when, which change, which symptom, what was done.
_ASKED_OF_HISTORY = (
    Attribute.LESION_SINCE,
    Attribute.GROWING,
    Attribute.CHANGED_COLOUR,
    Attribute.CHANGED_SHAPE,
    Attribute.ITCHING,
    Attribute.PAIN,
    Attribute.INFLAMED,
    Attribute.BLEEDING,
    Attribute.TREATED_BEFORE,
)
#: Answers of the lesion's history, each by how it was answered.
_ANSWERS = ((Reply.YES, "reason.yes"), (Reply.NO, "reason.no"), (Reply.UNKNOWN, "reason.unknown"))


def reason(case: Case) -> Iterator[Block]:
    """Yield how and when the lesion was seen, and its history by how it was answered."""
    yield Facts(tuple(row.fact for row in _history_rows(case)))


def _history_rows(case: Case) -> Iterator[_Row]:
    speech, examination = case.speech, case.examination
    missing = speech.not_recorded
    mode = speech.term(examination.mode) if examination.mode is not None else missing
    seen = speech.say("reason.seen-mode", mode=mode, day=speech.day(examination.examined))
    yield _Row(Fact(speech.text("reason.seen"), (seen,)))
    if examination.order is not None:
        yield _Row(Fact(speech.text("reason.asked-by"), (case.somebody(examination.order),)))
    history = [one for one in case.statements if one.item.path.startswith("lesion.history")]
    answered = [one for one in history if isinstance(one.value, Reply)]
    for reply, key in _ANSWERS:
        told = [_history_answer(case, one) for one in answered if one.value is reply]
        if told:
            yield _Row(Fact(speech.text(key), (joined("; ", told),)))
    for one in history:
        if not isinstance(one.value, Reply):
            yield _Row(Fact(capital(speech.term(one.item.attribute))[0], (speech.answer(one),)))
    given = {one.item.attribute for one in history}
    if any(_tells_since(one) for one in history):
        given.add(Attribute.LESION_SINCE)
    if history:
        yield from _unsaid(case, _ASKED_OF_HISTORY, given)
    else:
        yield _told_or_unsaid(case, "reason.history", "asked.history")


def _tells_since(stated: Statement) -> bool:
    """Return whether an answer says since when a lesion is there: from birth, or new since a time."""
    if stated.item.attribute is Attribute.FROM_BIRTH:
        return stated.value is Reply.YES
    return stated.item.attribute is Attribute.NEW and any(part.attribute is Attribute.SINCE for part, _ in stated.parts)


def _history_answer(case: Case, stated: Statement) -> Line:
    speech = case.speech
    name = speech.term(stated.item.attribute)
    # Who said no is of little use to whoever reads in a hurry; who saw a change isn't.
    said = speech.bracketed(name, speech.details(stated.parts)) if case.complete or stated.value is Reply.YES else name
    return speech.noted(said, stated.note)


def views(case: Case) -> Iterator[Block]:
    """Yield each view, its light first; without a view the warning that the light isn't known."""
    if not case.examination.views:
        yield Paragraph((case.speech.text("view.missing"),), Tone.WARNING)
        return
    yield Items(tuple(capital(_view(case, view)) for view in case.examination.views))


def _view(case: Case, view: View) -> Line:
    speech = case.speech
    said = speech.light(view.light)
    listed = speech.parts(VIEW, view)
    return speech.noted(speech.labelled(said, listed) if listed else said, view.note)


#: How findings are grouped, in the order in which a reader wants them.
_GROUPS = (
    (Presence.PRESENT, "findings.present"),
    (Presence.UNCERTAIN, "findings.uncertain"),
    (Presence.NOT_ASSESSED, "findings.not-assessed"),
    (Presence.ABSENT, "findings.absent"),
)


def findings(case: Case) -> Iterator[Block]:
    """Yield what was seen, what is uncertain, what couldn't be assessed and why, what was looked for and not seen."""
    groups = _grouped(case)
    rows = (*_found(case, groups), *_whole(case))
    if rows:
        yield Facts(rows)
    if not groups:
        yield Paragraph((case.speech.text("findings.missing"),), Tone.WARNING)


def findings_in_short(case: Case) -> Iterator[Block]:
    """Yield the views with their lights, and the findings."""
    seen = tuple(capital(_view(case, view)) for view in case.examination.views)
    groups = _grouped(case)
    views = (Fact(case.speech.text("part.views"), seen),) if seen else ()
    yield Facts((*views, *_found(case, groups), *_whole(case)))
    if not seen:
        yield Paragraph((case.speech.text("view.missing"),), Tone.WARNING)
    if not groups:
        yield Paragraph((case.speech.text("findings.missing"),), Tone.WARNING)


def _grouped(case: Case) -> dict[Presence, list[Line]]:
    """Return a line for each finding, and those of the lists gone through, by what they count as."""
    examination, found = case.examination, case.review.answers
    groups: dict[Presence, list[Line]] = {}
    for position, finding in enumerate(examination.findings):
        answer = answer_to(found, position)
        groups.setdefault(answer.presence, []).append(_finding(case, finding, answer))
    for gone_through in examination.lists_gone_through:
        for presence, line in _list(case, gone_through):
            groups.setdefault(presence, []).append(line)
    return groups


def _found(case: Case, groups: Mapping[Presence, list[Line]]) -> Iterator[Fact]:
    for presence, key in _GROUPS:
        if presence in groups:
            yield Fact(case.speech.text(key), tuple(groups[presence]))


def _whole(case: Case) -> Iterator[Fact]:
    """Yield what is said of the lesion as a whole; the two axes of a short letter without their long names."""
    speech = case.speech
    said = [
        _axis(case, one) if one.item.attribute in _AXES and not case.complete else speech.statement(one)
        for one in _of(case, Attribute.FINDINGS, DESCRIPTION_ITEMS)
    ]
    if said:
        yield Fact(speech.text("findings.whole"), (joined("; ", said),))


_AXES = {Attribute.ASYMMETRY_FIRST_AXIS: "axis.first", Attribute.ASYMMETRY_SECOND_AXIS: "axis.second"}
_ASPECTS = {
    Attribute.ASYMMETRY_CONTOUR: "axis.contour",
    Attribute.ASYMMETRY_COLOUR: "axis.colour",
    Attribute.ASYMMETRY_STRUCTURE: "axis.structure",
}


def _axis(case: Case, stated: Statement) -> Line:
    """Return along which axis what is asymmetric, the aspects that are answered alike together."""
    speech = case.speech
    alike: dict[Line, list[str]] = {}
    for part, value in stated.parts:
        alike.setdefault(speech.term(value), []).append(speech.text(_ASPECTS[part.attribute]))
    said = [speech.labelled(", ".join(aspects), answer) for answer, aspects in alike.items()]
    return speech.labelled(speech.text(_AXES[stated.item.attribute]), joined(", ", said))


def _finding(case: Case, finding: Finding, answer: Answer) -> Line:
    speech = case.speech
    given = tuple(one for one in details(FINDING, finding) if one[0].attribute is not Attribute.NOT_ASSESSED_BECAUSE)
    said = speech.bracketed(speech.name(finding.structure), speech.details(given))
    said = _in(case, said, lights(case.examination, finding.views))
    because = answer.because or finding.not_assessed_because
    if because is not None:
        said = speech.say("findings.because", said=said, reason=speech.term(because))
    if answer.recorded is not None:
        said = speech.say("findings.recorded-as", said=said, recorded=speech.term(answer.recorded))
    return speech.noted(_looked_again(case, said, answer.look_in), finding.note)


def _in(case: Case, said: Line, seen_in: tuple[Light, ...]) -> Line:
    return case.speech.say("findings.in-light", said=said, light=case.speech.in_lights(seen_in)) if seen_in else said


def _looked_again(case: Case, said: Line, light: Light | None) -> Line:
    return case.speech.say("findings.look-again", said=said, light=case.speech.in_lights((light,))) if light else said


def _list(case: Case, gone_through: ListGoneThrough) -> Iterator[tuple[Presence, Line]]:
    """Yield what the items of a list that no finding names count as, those that count alike in one line."""
    speech = case.speech
    light = speech.in_lights(lights(case.examination, gone_through.views))
    named = speech.term(gone_through.list)
    title = (
        speech.say("findings.list", list=named, light=light)
        if light
        else speech.say("findings.list-no-light", list=named)
    )
    alike: dict[tuple[Presence, object, object], list[Structure]] = {}
    for structure, answer in unticked(case.review.answers, gone_through):
        alike.setdefault((answer.presence, answer.because, answer.look_in), []).append(structure)
    if not alike:
        yield Presence.ABSENT, title
    for (presence, because, look_in), structures in alike.items():
        if presence is Presence.PRESENT and not case.complete:
            # They count as present by a finding of their kind, which is told.
            continue
        if presence is Presence.ABSENT and not case.complete:
            yield presence, speech.say("findings.others", list=title, count=str(len(structures)))
            continue
        said = speech.labelled(title, joined("; ", [_name(case, one) for one in structures]))
        if because is not None:
            said = speech.say("findings.because", said=said, reason=speech.term(because))  # type: ignore[arg-type]
        yield presence, _looked_again(case, said, look_in)  # type: ignore[arg-type]


def _name(case: Case, structure: Structure) -> Line:
    """Return an item of a list: both names in a complete letter, the one that it is mostly called by in a short one."""
    return case.speech.name(structure) if case.complete else case.speech.term(structure)


def scores(case: Case) -> Iterator[Block]:
    """Yield each score with total, verdict, threshold, criteria, what would settle it, source and cautions."""
    results = case.review.scores.values()
    valid = [one for one in results if one.valid]
    lines = [_score(case, one) for one in valid]
    if case.review.settings.unsuitable_scores:
        lines += [_not_valid(case, one) for one in results if not one.valid]
    if lines:
        yield Items(tuple(lines))
    if not valid:
        yield Paragraph((case.speech.text("scores.none"),))
        return
    yield Paragraph((" ".join(case.speech.cautions),), Tone.SMALL)


def plugins(case: Case) -> Iterator[Block]:
    """Yield the scores of plugins, each whole and with its cautions, and the lines that plugins add."""
    results = case.review.plugin_scores.values()
    lines = [_with_cautions(case, one) for one in results if one.valid]
    if case.review.settings.unsuitable_scores:
        lines += [_not_valid(case, one) for one in results if not one.valid]
    if lines:
        yield Items(tuple(lines))
    yield from plugin_sections(case)


def plugin_sections(case: Case) -> Iterator[Block]:
    """Yield the lines that plugins add on a lesion, each plugin named."""
    for one in case.added:
        about = one.about
        yield Paragraph(
            case.speech.say("plugins.title", title=(Entered(one.title),), plugin=about.name, version=about.version)
        )
        yield Items(tuple((Entered(line),) for line in one.lines))


def _with_cautions(case: Case, result: ScoreResult) -> Line:
    """Return a plugin's score: nobody here knows it, so even a short letter says what its reader must know."""
    own = () if case.complete else [(case.speech.sentence(one),) for one in _own_cautions(result)]
    return joined(" ", (_score(case, result), *own))


def scores_in_short(case: Case) -> Iterator[Block]:
    """Yield reached and used scores whole, the others with total and threshold, and what holds for several of them."""
    valid = [one for one in case.review.scores.values() if one.valid]
    told = [one for one in valid if _stands_out(case, one)]
    if told:
        yield Items(tuple(_score(case, one) for one in told), Tone.SMALL)
    if not valid:
        yield Paragraph((case.speech.text("scores.none"),))
    rest = [one for one in valid if one not in told]
    for key, results in (
        ("scores.others", [one for one in rest if one.settled]),
        ("scores.others-open", [one for one in rest if not one.settled]),
    ):
        if results:
            totals = joined("; ", [_in_a_word(case, one) for one in results])
            yield Paragraph(case.speech.say(key, scores=totals), Tone.SMALL)
    yield from (Paragraph(line, Tone.SMALL) for line in _shared_cautions(case, valid))


def _in_a_word(case: Case, result: ScoreResult) -> Line:
    """Return a method with its total and threshold alone."""
    return case.speech.say(
        "scores.in-a-word",
        method=case.speech.term(result.method.code),
        total=_total(case, result),
        threshold=case.speech.thresholds(result),
    )


def _stands_out(case: Case, result: ScoreResult) -> bool:
    """Return whether a short letter tells a score whole: one that is reached, or that the clinician used."""
    assessment = case.examination.assessment
    used = assessment.methods_used if assessment is not None else ()
    reached = result.settled and result.verdict is not Verdict.BELOW_THRESHOLD
    return reached or result.method.code in used


def _shared_cautions(case: Case, told: Iterable[ScoreResult]) -> Iterator[Line]:
    """Yield each caution that this examination gives rise to, with its methods."""
    about: dict[str, list[ScoreResult]] = {}
    for result in told:
        for caution in _own_cautions(result):
            if caution not in result.method.cautions:
                about.setdefault(caution, []).append(result)
    for caution, results in about.items():
        methods = capital(joined("; ", [case.speech.term(one.method.code) for one in results]))
        yield case.speech.say("scores.caution", methods=methods, caution=case.speech.sentence(caution))


def _own_cautions(result: ScoreResult) -> Iterator[str]:
    return (one for one in result.cautions if one not in CAUTIONS)


def _score(case: Case, result: ScoreResult) -> Line:
    speech, method = case.speech, result.method
    said = [
        speech.say(
            "scores.valid",
            method=capital(speech.term(method.code)),
            total=_total(case, result),
            verdict=speech.term(result.verdict),
            threshold=speech.thresholds(result),
            lowest=speech.number(points(method.lowest_tenths)),
            highest=speech.number(points(method.highest_tenths)),
        )
    ]
    if result.path is not None:
        said.append(speech.say("scores.end", end=speech.ends(result)))
    met = joined("; ", [(speech.criterion(result, one),) for one in result.met])
    if met:
        said.append(speech.say("scores.met", criteria=met))
    elif case.complete:
        said.append((speech.text("scores.met-none"),))
    said += _opened(case, result)
    if case.complete:
        said += [(speech.sentence(one),) for one in _own_cautions(result)]
        said.append(speech.say("scores.version", version=speech.sentence(method.version)))
    said.append(speech.say("scores.source", source=method.basis.text if case.complete else _source(result)))
    return joined(" ", said)


#: As many of the inputs that would settle a score are named in a short letter.
_NAMED_INPUTS = 5


def _opened(case: Case, result: ScoreResult) -> Iterator[Line]:
    """Yield what is open, and what would settle the verdict; in a short letter only the latter, the first of them."""
    speech = case.speech
    if result.open and case.complete:
        criteria = joined("; ", [(speech.criterion(result, one),) for one in result.open])
        yield speech.say("scores.open", criteria=criteria)
    # Several questions can be answered by one field of the record.
    settling = list(dict.fromkeys(speech.open_input(one) for one in result.would_settle))
    named = settling if case.complete else settling[:_NAMED_INPUTS]
    if len(named) < len(settling):
        more = str(len(settling) - len(named))
        yield speech.say("scores.settle-more", inputs=joined("; ", named), count=more)
    elif named:
        yield speech.say("scores.settle", inputs=joined("; ", named))


def _source(result: ScoreResult) -> str:
    """Return where a method comes from, in short: address or doi of its first source."""
    basis = result.method.basis
    return basis.sources[0].locator if basis.sources else basis.text


def _not_valid(case: Case, result: ScoreResult) -> Line:
    speech = case.speech
    reasons = " ".join(speech.sentence(one) for one in result.reasons)
    return speech.say("scores.not-valid", method=capital(speech.term(result.method.code)), reasons=reasons)


def _total(case: Case, result: ScoreResult) -> Line:
    speech, low, high = case.speech, result.low, result.high
    if low is None or high is None:
        return (speech.text("scores.no-number"),)
    if low == high:
        return speech.say("scores.point" if abs(low) == 1 else "scores.points", number=speech.number(low))
    return speech.say("scores.interval", low=speech.number(low), high=speech.number(high))


_ASSESSMENT_ITEMS = frozenset(
    (Attribute.UNEQUIVOCAL, Attribute.METHOD_USED, Attribute.ASSESSMENT_WORDS, Attribute.EXAMINATION_NOTE)
)


def assessment(case: Case) -> Iterator[Block]:
    """Yield concern, impressions in the clinician's rank with their certainty, and the clinician's words."""
    speech, given = case.speech, case.examination.assessment
    lines: list[Line] = []
    if given is not None:
        if given.concern is not None:
            lines.append(speech.labelled(speech.text("first.concern"), speech.term(given.concern)))
        lines += [
            speech.noted(joined(" ", ((f"{rank}.",), impression(case, one))), one.note)
            for rank, one in enumerate(given.impressions, start=1)
        ]
    lines += _assessed(case)
    yield Items(tuple(lines)) if lines else Paragraph((speech.text("assessment.missing"),))


def assessment_in_short(case: Case) -> Iterator[Block]:
    """Yield what of the assessment doesn't stand first: notes on impressions, and the clinician's words."""
    given = case.examination.assessment
    noted = [] if given is None else [one for one in given.impressions if one.note]
    lines = [case.speech.noted(impression(case, one), one.note) for one in noted]
    lines += _assessed(case)
    if lines:
        yield Items(tuple(lines))


def _assessed(case: Case) -> list[Line]:
    return [capital(case.speech.statement(one)) for one in case.statements if one.item.attribute in _ASSESSMENT_ITEMS]


def outcomes(case: Case) -> Iterator[Block]:
    """Yield what became known later: histology, opinions, comparisons."""
    speech = case.speech
    told = []
    for one in case.examination.outcomes:
        stated = statement(OUTCOME, one)
        if stated is not None:
            day = (speech.day(one.date),) if one.date is not None else ()
            told.append(capital(joined(", ", (speech.answer(stated), day))))
    if told:
        yield Items(tuple(told))


#: What stands in the letter to the pathologist; a complete referral has it too.
_FOR_PATHOLOGIST = (Attribute.FOR_PATHOLOGIST, Attribute.SPECIMEN_ORIENTATION, Attribute.MARKED_AREA)


def plan(case: Case) -> Iterator[Block]:
    """Yield the planned steps, urgency first, departures with their reasons, and the plan in words."""
    speech, given = case.speech, case.examination.plan
    if given is None or not (given.actions or given.note or given.departures):
        yield Paragraph((speech.text("plan.missing"),))
        return
    lines = [step(case, one) for one in sorted(given.actions, key=how_late)]
    lines += [
        speech.say("plan.departs", what=(Entered(one.departs_from),), reason=(Entered(one.reason),))
        for one in given.departures
    ]
    wanted = (Attribute.PLAN_NOTE, *_FOR_PATHOLOGIST) if case.complete else (Attribute.PLAN_NOTE,)
    lines += [capital(speech.statement(one)) for one in case.statements if one.item.attribute in wanted]
    yield Items(tuple(lines))


def plan_in_short(case: Case) -> Iterator[Block]:
    """Yield the plan where it says more than stands first: what, how soon and when."""
    given = case.examination.plan
    if given is not None and (given.note or given.departures or any(_says_more(one) for one in given.actions)):
        yield from plan(case)


def _says_more(action: Action) -> bool:
    """Return whether a step says more, or must say who is responsible for it."""
    return is_urgent(action) or any(
        one is not None
        for one in (
            action.responsible,
            action.histology,
            action.result_owner,
            action.result_by,
            action.if_not_attended,
            action.note,
        )
    )


def step(case: Case, action: Action) -> Line:
    """Return one planned step: urgency first, then what, when, who and why."""
    speech = case.speech
    told: list[Line] = [case.days(action)]
    if action.responsible is not None:
        told.append(speech.say("plan.responsible", who=case.somebody(action.responsible)))
    elif is_urgent(action):
        told.append((speech.text("plan.responsible-missing"),))
    if action.reason and not (is_urgent(action) and not case.complete):
        told.append(speech.say("plan.reason", reason=(Entered(action.reason),)))
    if action.histology is not None:
        told.append(speech.say("plan.histology", answer=speech.term(action.histology)))
    if action.result_owner is not None:
        told.append(speech.say("plan.result-owner", who=case.somebody(action.result_owner)))
    if action.result_by is not None:
        told.append(speech.say("plan.result-by", day=speech.day(action.result_by)))
    if action.if_not_attended:
        told.append(speech.say("plan.if-not-attended", what=(Entered(action.if_not_attended),)))
    what = speech.term(action.action)
    if action.urgency is not None:
        what = speech.labelled(speech.term(action.urgency), what)
    return speech.noted(joined("; ", (capital(what), *told)), action.note)


def told(case: Case) -> Iterator[Block]:
    """Yield what the patient was told, and the advice that was given."""
    yield Items(tuple(line for line in _told(case) if line))


def _told(case: Case) -> Iterator[Line]:
    speech, given = case.speech, case.examination.plan
    told = given.patient_told if given is not None else None
    if told is None:
        yield (speech.text("told.missing"),)
    else:
        yield speech.labelled(speech.text("told.told"), speech.term(told.told))
        yield speech.say("told.words", words=(Entered(told.words),)) if told.words else ()
    net = given.safety_net if given is not None else None
    if net is not None:
        yield speech.say("told.watch-for", words=(Entered(net.watch_for),)) if net.watch_for else ()
        yield speech.say("told.by-when", day=speech.day(net.by_when)) if net.by_when else ()
        yield speech.say("told.contact", words=(Entered(net.contact),)) if net.contact else ()
        yield speech.say("told.heard-by", day=speech.day(net.heard_by)) if net.heard_by else ()


def pathway(case: Case) -> Iterator[Block]:
    """Yield what the pathway expects, by which days, and how the plan stands to it."""
    speech, expected = case.speech, case.review.expected
    yield Paragraph(speech.say("pathway.name", pathway=speech.pathway_name(expected.pathway)))
    lines = [_expected(case, one) for one in expected.steps]
    if case.complete:
        lines += [speech.say("pathway.open", title=speech.sentence(one.title)) for one in expected.open]
    yield Items(tuple(lines)) if lines else Paragraph((speech.text("pathway.missing"),))


def _expected(case: Case, one: ExpectedStep) -> Line:
    speech, step = case.speech, one.step
    said = speech.say("pathway.step", title=speech.sentence(step.title), message=speech.sentence(step.message))
    if not step.choices:
        return said
    days = (
        speech.say("pathway.urgency", urgency=speech.term(step.urgency)) if step.urgency is not None else (),
        speech.say("days.earliest", day=speech.day(one.not_before)) if one.not_before is not None else (),
        speech.say("days.latest", day=speech.day(one.by)) if one.by is not None else (),
        speech.say("pathway.answer-by", day=speech.day(one.answer_by)) if one.answer_by is not None else (),
    )
    stands = (speech.text(f"kept.{one.kept}"),)
    return joined(" ", (said, joined("", (capital(joined(", ", days)), (".",))) if any(days) else (), stands))


def check(case: Case) -> Iterator[Block]:
    """Yield what the record's own checks found, warning signs apart, which stand first."""
    speech = case.speech
    others = [one for one in for_readers(case.review.issues) if not is_red_flag(one)]
    shown = [one for one in others if case.complete or one.severity != "information"]
    if shown:
        yield Items(
            tuple(
                speech.say("check.line", severity=speech.text(f"check.{one.severity}"), message=speech.message(one))
                for one in shown
            )
        )
    if len(shown) < len(others):
        yield Paragraph(speech.say("check.more", count=str(len(others) - len(shown))))


def gaps(case: Case) -> Iterator[Block]:
    """Yield what a reader of the published report standard looks for in vain."""
    missing = _lacking(case)
    if missing:
        yield Items(missing)


def gaps_in_short(case: Case) -> Iterator[Block]:
    """Yield the same in one paragraph, and that no picture is recorded."""
    none: Line = () if case.examination.images else (case.speech.text("images.missing"),)
    missing = joined(" ", (*_lacking(case), none))
    if missing:
        yield Paragraph(missing, Tone.SMALL)


def _lacking(case: Case) -> tuple[Line, ...]:
    lacking = [one.message for one in case.review.completeness if one.state is ItemState.MISSING]
    return tuple((case.speech.sentence(one),) for one in lacking)


def images(case: Case) -> Iterator[Block]:
    """Yield embedded pictures with the light in their captions, then those that are listed only, or that none is."""
    embedded = [one for one in case.examination.images if one.key in case.pictures]
    if embedded:
        # Overview first; those through the dermatoscope last, so that a lesion's lights stand side by side.
        embedded.sort(key=lambda one: one.role is ImageRole.DERMATOSCOPIC)
        yield Figures(tuple(_photograph(case, one) for one in embedded))
    listed = [one for one in case.examination.images if one.key not in case.pictures]
    if listed:
        kept = case.speech.text("images.listed")
        yield Items(tuple(joined(", ", (caption(case, one), _consent(case, one), (kept,))) for one in listed))
    if not case.examination.images:
        yield Paragraph((case.speech.text("images.missing"),))


def images_in_short(case: Case) -> Iterator[Block]:
    """Yield the same where there are any: that there is none stands among what isn't recorded."""
    if case.examination.images:
        yield from images(case)


def _consent(case: Case, image: Image) -> Line:
    """Return the patient's consent to a picture for care, as recorded."""
    given = image.consent.care if image.consent is not None else None
    return case.speech.say("images.consent", answer=case.speech.term(given)) if given is not None else ()


def _photograph(case: Case, image: Image) -> Figure:
    said = caption(case, image)
    return Figure(replace(case.pictures[image.key], words=said), said)


def caption(case: Case, image: Image) -> Line:
    """Return what stands under a picture: its role, the light of its view, scale, time, words."""
    speech = case.speech
    role = speech.term(image.role) if image.role is not None else (speech.text("images.picture"),)
    seen_in = lights(case.examination, (image.view,)) if image.view is not None else ()
    said = (
        speech.say("images.caption", role=role, light=speech.lights(seen_in))
        if seen_in
        else speech.say("images.caption-no-light", role=role)
    )
    more = (
        speech.say("images.scale", scale=speech.term(image.scale)) if image.scale is not None else (),
        speech.say("images.taken", day=speech.day(image.taken)) if image.taken is not None else (),
        (speech.text("images.no-hash"),) if image.hash is None and image.key in case.pictures else (),
    )
    return speech.noted(capital(joined(", ", (said, *more))), image.note)
