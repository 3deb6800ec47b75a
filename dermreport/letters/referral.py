"""The letter to the colleague who takes over: what calls for action first, then what it rests on."""

from __future__ import annotations

from types import MappingProxyType

from dermreport.letter_file import LetterKind
from dermreport.letters import lesion_parts, visit_parts
from dermreport.letters.blocks import LetterPart, Line, Tree
from dermreport.letters.compose import Layout, party_lines, sections, tree
from dermreport.letters.settings import LetterDetail, LetterSettings
from dermreport.letters.visit_parts import Sitting

COMPLETE = Layout(
    order=(
        LetterPart.FIRST,
        LetterPart.PATIENT,
        LetterPart.REASON,
        LetterPart.LESION,
        LetterPart.VIEWS,
        LetterPart.FINDINGS,
        LetterPart.SCORES,
        LetterPart.ASSESSMENT,
        LetterPart.OUTCOMES,
        LetterPart.PLAN,
        LetterPart.TOLD,
        LetterPart.PATHWAY,
        LetterPart.IMAGES,
        LetterPart.HISTORY,
        LetterPart.OPERATOR,
        LetterPart.CHECK,
        LetterPart.GAPS,
        LetterPart.PLUGINS,
        LetterPart.CAUTIONS,
        LetterPart.SIGNATURE,
        LetterPart.REPORT,
    ),
    of_lesion=MappingProxyType(
        {
            LetterPart.FIRST: lesion_parts.first,
            LetterPart.REASON: lesion_parts.reason,
            LetterPart.LESION: lesion_parts.lesion,
            LetterPart.VIEWS: lesion_parts.views,
            LetterPart.FINDINGS: lesion_parts.findings,
            LetterPart.SCORES: lesion_parts.scores,
            LetterPart.ASSESSMENT: lesion_parts.assessment,
            LetterPart.OUTCOMES: lesion_parts.outcomes,
            LetterPart.PLAN: lesion_parts.plan,
            LetterPart.TOLD: lesion_parts.told,
            LetterPart.PATHWAY: lesion_parts.pathway,
            LetterPart.IMAGES: lesion_parts.images,
            LetterPart.CHECK: lesion_parts.check,
            LetterPart.GAPS: lesion_parts.gaps,
            LetterPart.PLUGINS: lesion_parts.plugins,
        }
    ),
    of_visit=MappingProxyType(
        {
            LetterPart.PATIENT: visit_parts.each_background(visit_parts.patient),
            LetterPart.HISTORY: visit_parts.each_background(visit_parts.history),
            LetterPart.OPERATOR: visit_parts.each_background(visit_parts.operator),
            LetterPart.CAUTIONS: visit_parts.cautions,
            LetterPart.SIGNATURE: visit_parts.signature,
            LetterPart.REPORT: visit_parts.report,
        }
    ),
)
#: A short letter joins what belongs together: history and lesion, views and findings.
SHORT = Layout(
    order=tuple(
        part
        for part in COMPLETE.order
        if part not in {LetterPart.REASON, LetterPart.VIEWS, LetterPart.OPERATOR, LetterPart.REPORT}
    ),
    of_lesion=MappingProxyType(
        {
            **COMPLETE.of_lesion,
            LetterPart.LESION: lesion_parts.lesion_in_short,
            LetterPart.SCORES: lesion_parts.scores_in_short,
            LetterPart.IMAGES: lesion_parts.images_in_short,
            LetterPart.GAPS: lesion_parts.gaps_in_short,
            LetterPart.FINDINGS: lesion_parts.findings_in_short,
            LetterPart.ASSESSMENT: lesion_parts.assessment_in_short,
            LetterPart.PLAN: lesion_parts.plan_in_short,
        }
    ),
    of_visit=MappingProxyType(
        {
            **COMPLETE.of_visit,
            LetterPart.HISTORY: visit_parts.each_background(visit_parts.background_in_short),
            LetterPart.SIGNATURE: visit_parts.signature_with_numbers,
        }
    ),
)
_LAYOUTS = MappingProxyType({LetterDetail.SHORT: SHORT, LetterDetail.COMPLETE: COMPLETE})


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
