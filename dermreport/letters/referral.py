"""The letter to the colleague who takes over: what calls for action first, then what it rests on."""

from __future__ import annotations

from types import MappingProxyType

from dermreport.letter_file import LetterKind
from dermreport.letters import lesion_parts, visit_parts
from dermreport.letters.blocks import Line, Part, Tree
from dermreport.letters.compose import Layout, party_lines, sections, tree
from dermreport.letters.settings import Detail, LetterSettings
from dermreport.letters.visit_parts import Sitting

COMPLETE = Layout(
    order=(
        Part.FIRST,
        Part.PATIENT,
        Part.REASON,
        Part.LESION,
        Part.VIEWS,
        Part.FINDINGS,
        Part.SCORES,
        Part.ASSESSMENT,
        Part.OUTCOMES,
        Part.PLAN,
        Part.TOLD,
        Part.PATHWAY,
        Part.IMAGES,
        Part.HISTORY,
        Part.OPERATOR,
        Part.CHECK,
        Part.GAPS,
        Part.CAUTIONS,
        Part.SIGNATURE,
        Part.REPORT,
    ),
    of_lesion=MappingProxyType(
        {
            Part.FIRST: lesion_parts.first,
            Part.REASON: lesion_parts.reason,
            Part.LESION: lesion_parts.lesion,
            Part.VIEWS: lesion_parts.views,
            Part.FINDINGS: lesion_parts.findings,
            Part.SCORES: lesion_parts.scores,
            Part.ASSESSMENT: lesion_parts.assessment,
            Part.OUTCOMES: lesion_parts.outcomes,
            Part.PLAN: lesion_parts.plan,
            Part.TOLD: lesion_parts.told,
            Part.PATHWAY: lesion_parts.pathway,
            Part.IMAGES: lesion_parts.images,
            Part.CHECK: lesion_parts.check,
            Part.GAPS: lesion_parts.gaps,
        }
    ),
    of_visit=MappingProxyType(
        {
            Part.PATIENT: visit_parts.patient,
            Part.HISTORY: visit_parts.history,
            Part.OPERATOR: visit_parts.operator,
            Part.CAUTIONS: visit_parts.cautions,
            Part.SIGNATURE: visit_parts.signature,
            Part.REPORT: visit_parts.report,
        }
    ),
)
#: A short letter joins what belongs together: history and lesion, views and findings.
SHORT = Layout(
    order=tuple(part for part in COMPLETE.order if part not in {Part.REASON, Part.VIEWS, Part.OPERATOR, Part.REPORT}),
    of_lesion=MappingProxyType(
        {
            **COMPLETE.of_lesion,
            Part.LESION: lesion_parts.lesion_in_short,
            Part.SCORES: lesion_parts.scores_in_short,
            Part.IMAGES: lesion_parts.images_in_short,
            Part.GAPS: lesion_parts.gaps_in_short,
            Part.FINDINGS: lesion_parts.findings_in_short,
            Part.ASSESSMENT: lesion_parts.assessment_in_short,
            Part.PLAN: lesion_parts.plan_in_short,
        }
    ),
    of_visit=MappingProxyType(
        {
            **COMPLETE.of_visit,
            Part.HISTORY: visit_parts.background_in_short,
            Part.SIGNATURE: visit_parts.signature_with_numbers,
        }
    ),
)
_LAYOUTS = MappingProxyType({Detail.SHORT: SHORT, Detail.COMPLETE: COMPLETE})


def referral(sitting: Sitting, settings: LetterSettings, banner: tuple[Line, ...]) -> Tree:
    """Return a letter to the colleague who takes over."""
    speech, count = sitting.speech, len(sitting.cases)
    title = (speech.text("letter.referral"),) if count == 1 else speech.say("letter.referral-several", count=str(count))
    return tree(
        kind=LetterKind.REFERRAL,
        title=title,
        sitting=sitting,
        settings=settings,
        recipient=party_lines(sitting.speech, "page.to", settings.recipient),
        banner=banner,
        sections=tuple(sections(_LAYOUTS[settings.detail], sitting, settings.order)),
    )
