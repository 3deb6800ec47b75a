"""The letter to the pathologist: one part for each specimen, what question to answer, and who must get the result."""

from __future__ import annotations

from collections.abc import Iterator
from types import MappingProxyType
from typing import TYPE_CHECKING

from dermreport.letter_file import LetterKind
from dermreport.letters import lesion_parts, visit_parts
from dermreport.letters.blocks import Block, Entered, Fact, Facts, LetterPart, Line, Paragraph, Tone, Tree
from dermreport.letters.case import goes_to_pathologist
from dermreport.letters.compose import Layout, party_lines, sections, tree
from dermreport.letters.speech import capital, joined
from dermreport.vocabulary.attributes import Attribute
from dermreport.vocabulary.statuses import Status

if TYPE_CHECKING:
    from dermreport.examination.decided import Action
    from dermreport.letters.case import Case
    from dermreport.letters.settings import LetterSettings
    from dermreport.letters.visit_parts import Sitting


def specimens(case: Case) -> tuple[Action, ...]:
    """Return the planned steps that give a specimen: by their kind, or because the record says so of any step."""
    return tuple(one for one in case.actions if goes_to_pathologist(one))


def specimen(case: Case) -> Iterator[Block]:
    """Yield what the specimen is, from where, the question, and who gets the result."""
    speech, examination = case.speech, case.examination
    if examination.status is Status.ENTERED_IN_ERROR:
        yield Paragraph((speech.text("letter.withdrawn"),), Tone.URGENT)
        return
    taken = specimens(case)
    for action in taken:
        if action.urgency is not None:
            yield Paragraph(lesion_parts.urgent_line(case, action), Tone.URGENT)
    if not taken:
        yield Paragraph((speech.text("specimen.none"),), Tone.WARNING)
    missing = speech.not_recorded
    plan = examination.plan
    kinds = tuple(joined(", ", (capital(speech.term(one.action)), case.days(one))) for one in taken)
    questions = tuple((Entered(one.reason),) for one in taken if one.reason)
    owners = tuple(case.somebody(one.result_owner) for one in taken if one.result_owner is not None)
    until = tuple((speech.day(one.result_by),) for one in taken if one.result_by is not None)
    orientation = (Entered(plan.specimen_orientation),) if plan is not None and plan.specimen_orientation else missing
    area = (Entered(plan.marked_area),) if plan is not None and plan.marked_area else missing
    words = (Entered(plan.for_pathologist),) if plan is not None and plan.for_pathologist else ()
    told = [
        ("specimen.site", (case.site or missing,)),
        ("specimen.kind", kinds or (missing,)),
        ("specimen.urgency", (missing,) if any(one.urgency is None for one in taken) else ()),
        ("specimen.taken", ((speech.text("specimen.taken-open"),),) if taken else ()),
        ("specimen.orientation", (orientation,) if taken else ()),
        ("specimen.marked-area", (area,) if taken else ()),
        ("specimen.size", (case.size or missing,)),
        ("specimen.impressions", _impressions(case) or (missing,)),
        ("specimen.question", questions or (missing,)),
        ("specimen.words", (words,) if words else ()),
        ("specimen.result-to", owners or (missing,)),
        ("specimen.result-by", until),
        ("specimen.treated", _treated(case) or (missing,)),
    ]
    yield Facts(tuple(Fact(speech.text(key), lines) for key, lines in told if lines))


def _impressions(case: Case) -> tuple[Line, ...]:
    given = case.examination.assessment
    if given is None:
        return ()
    return tuple(case.speech.noted(lesion_parts.impression(case, one), one.note) for one in given.impressions)


def _treated(case: Case) -> tuple[Line, ...]:
    return tuple(case.speech.answer(one) for one in case.statements if one.item.attribute is Attribute.TREATED_BEFORE)


PATHOLOGIST = Layout(
    order=(
        LetterPart.SPECIMEN,
        LetterPart.PATIENT,
        LetterPart.REASON,
        LetterPart.LESION,
        LetterPart.VIEWS,
        LetterPart.FINDINGS,
        LetterPart.OUTCOMES,
        LetterPart.HISTORY,
        LetterPart.IMAGES,
        LetterPart.PLUGINS,
        LetterPart.CAUTIONS,
        LetterPart.SIGNATURE,
    ),
    of_lesion=MappingProxyType(
        {
            LetterPart.SPECIMEN: specimen,
            LetterPart.REASON: lesion_parts.reason,
            LetterPart.LESION: lesion_parts.lesion,
            LetterPart.VIEWS: lesion_parts.views,
            LetterPart.FINDINGS: lesion_parts.findings,
            LetterPart.OUTCOMES: lesion_parts.outcomes,
            LetterPart.IMAGES: lesion_parts.images,
            LetterPart.PLUGINS: lesion_parts.plugin_sections,
        }
    ),
    of_visit=MappingProxyType(
        {
            LetterPart.PATIENT: visit_parts.each_background(visit_parts.patient_of_specimen),
            LetterPart.HISTORY: visit_parts.each_background(visit_parts.history_of_specimen),
            LetterPart.CAUTIONS: visit_parts.cautions,
            LetterPart.SIGNATURE: visit_parts.signature_with_numbers,
        }
    ),
)


def pathologist(sitting: Sitting, settings: LetterSettings, banner: tuple[Line, ...]) -> Tree:
    """Return the letter that goes with the specimens."""
    return tree(
        kind=LetterKind.PATHOLOGIST,
        title=(sitting.speech.text("letter.pathologist"),),
        sitting=sitting,
        settings=settings,
        recipient=party_lines(sitting.speech, "page.to", settings.recipient),
        banner=banner,
        sections=tuple(sections(PATHOLOGIST, sitting, settings.order)),
    )
