"""Rules on pictures: consent, scale, and what a reader at a distance needs. No picture is ever opened."""

from __future__ import annotations

from dermreport.expressions.nodes import Exists, Given, Not, every, some
from dermreport.issues import Severity
from dermreport.rules.conditions import planned_action, recorded_as
from dermreport.rules.rule import Group, Rule
from dermreport.sources import COMMON_PRACTICE, Source, seen
from dermreport.vocabulary.consents import Consent
from dermreport.vocabulary.image_roles import ImageRole
from dermreport.vocabulary.image_scales import ImageScale
from dermreport.vocabulary.plan_actions import PlanAction
from dermreport.vocabulary.site_traits import SiteTrait

_IMAGES = "images"


def _has(role: ImageRole) -> Exists:
    return Exists(_IMAGES, recorded_as("@.role", role))


IMAGE_RULES: tuple[Rule, ...] = (
    Rule(
        id="image-consent-withdrawn",
        group=Group.IMAGE,
        severity=Severity.ERROR,
        each=_IMAGES,
        when=recorded_as("@.consent.care", Consent.WITHDRAWN, Consent.REFUSED),
        at="consent",
        message="The patient doesn’t agree to this picture: remove the reference and keep the fact.",
        basis=COMMON_PRACTICE,
        hazard="H15",
    ),
    Rule(
        id="image-consent-missing",
        group=Group.IMAGE,
        severity=Severity.WARNING,
        when=Exists(_IMAGES, some(Not(Given("@.consent.care")), recorded_as("@.consent.care", Consent.NOT_ASKED))),
        at=_IMAGES,
        message="Consent to a picture isn’t recorded: ask, and record it for each purpose.",
        basis=seen(Source.SKIN_LESION_HISTORY_COURSE),
        hazard="H15",
    ),
    Rule(
        id="image-set-for-referral",
        group=Group.IMAGE,
        severity=Severity.WARNING,
        when=every(
            planned_action(PlanAction.ADVICE_AND_GUIDANCE),
            Not(every(_has(ImageRole.OVERVIEW), _has(ImageRole.CLOSE_UP), _has(ImageRole.DERMATOSCOPIC))),
        ),
        at=_IMAGES,
        message="A reader at a distance needs three pictures: the place, a close-up, and a dermatoscopic one.",
        basis=seen(Source.REMOTE_REFERRAL_2021),
        hazard="H10",
    ),
    Rule(
        id="image-no-scale",
        group=Group.IMAGE,
        severity=Severity.INFORMATION,
        when=every(
            Given(_IMAGES),
            Not(Given("lesion.longest_mm")),
            Not(Exists(_IMAGES, recorded_as("@.scale", ImageScale.RULER, ImageScale.BUILT_IN))),
        ),
        at=_IMAGES,
        message="A scale in the picture or a measured size makes growth visible later.",
        basis=COMMON_PRACTICE,
        hazard="H12",
    ),
    Rule(
        id="image-identifying",
        group=Group.IMAGE,
        severity=Severity.INFORMATION,
        when=every(
            some(_has(ImageRole.OVERVIEW), _has(ImageRole.CLOSE_UP)),
            Exists("lesion.site.traits", recorded_as("@.value", SiteTrait.INTIMATE, SiteTrait.IDENTIFIABLE)),
        ),
        at=_IMAGES,
        message="A picture of this site can identify or expose the patient: limit who sees it.",
        basis=COMMON_PRACTICE,
        hazard="H15",
    ),
)
