"""All rules: one table a group, joined in the order of the groups."""

from __future__ import annotations

from dermreport.rules.descriptions import DESCRIPTION_RULES
from dermreport.rules.identity import IDENTITY_RULES
from dermreport.rules.images import IMAGE_RULES
from dermreport.rules.lights import LIGHT_RULES
from dermreport.rules.pathology import PATHOLOGY_RULES
from dermreport.rules.patients import PATIENT_RULES
from dermreport.rules.plans import PLAN_RULES
from dermreport.rules.red_flags import RED_FLAG_RULES
from dermreport.rules.rule import Rule
from dermreport.rules.scores import SCORE_RULES
from dermreport.rules.sites import SITE_RULES
from dermreport.rules.times import TIME_RULES
from dermreport.rules.views import VIEW_RULES

RULES: tuple[Rule, ...] = (
    *RED_FLAG_RULES,
    *IDENTITY_RULES,
    *TIME_RULES,
    *SITE_RULES,
    *LIGHT_RULES,
    *VIEW_RULES,
    *DESCRIPTION_RULES,
    *PATIENT_RULES,
    *SCORE_RULES,
    *PLAN_RULES,
    *PATHOLOGY_RULES,
    *IMAGE_RULES,
)

BY_ID: dict[str, Rule] = {rule.id: rule for rule in RULES}
