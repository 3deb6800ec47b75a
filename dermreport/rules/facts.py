"""All derived facts, joined: what a condition asks by name because the condition language can't say it.

``FHIRPATH`` says in FHIRPath those that are calendar arithmetic; a test runs each text and its function on the same
cases.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import MappingProxyType
from typing import Any

from dermreport.expressions.evaluate import Scope, Truth
from dermreport.rules.context import Context
from dermreport.rules.facts_description import DESCRIPTION_FACTS
from dermreport.rules.facts_identity import IDENTITY_FACTS
from dermreport.rules.facts_light import LIGHT_FACTS
from dermreport.rules.facts_plans import PLAN_FACTS, PLAN_FHIRPATH
from dermreport.rules.facts_scores import SCORE_FACTS
from dermreport.rules.facts_sites import SITE_FACTS
from dermreport.rules.facts_times import TIME_FACTS, TIME_FHIRPATH

FACTS: Mapping[str, Callable[[Scope, Any], Truth]] = MappingProxyType(
    {**TIME_FACTS, **LIGHT_FACTS, **DESCRIPTION_FACTS, **SCORE_FACTS, **PLAN_FACTS, **SITE_FACTS, **IDENTITY_FACTS}
)
FHIRPATH: Mapping[str, str] = MappingProxyType({**TIME_FHIRPATH, **PLAN_FHIRPATH})

__all__ = ["FACTS", "FHIRPATH", "Context"]
