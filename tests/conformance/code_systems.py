"""CodeSystems for the validator to know: ours, and fragments of the standard ones with the codes that we emit.

Without them the validator warns of every code of ours, and a wrong SNOMED CT code passes unseen.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from dermreport.fhir.codes import CRITERION_SYSTEM, RULE_SYSTEM
from dermreport.publication import VOCABULARY_VERSION
from dermreport.rules.tables import RULES
from dermreport.scores.methods import METHODS
from dermreport.vocabulary.standard_codes import LOINC, SNOMED_CT, STANDARD_CODES
from dermreport.vocabulary.tables import tables
from dermreport.vocabulary.term import code_system


def _resource(url: str, content: str, concepts: dict[str, str]) -> dict[str, Any]:
    name = url.rsplit("/", 1)[-1].replace("-", " ").title().replace(" ", "")
    return {
        "resourceType": "CodeSystem",
        "url": url,
        "version": VOCABULARY_VERSION,
        "name": name or "CodeSystem",
        "status": "active",
        "caseSensitive": True,
        "content": content,
        "concept": [{"code": code, "display": display} for code, display in concepts.items()],
    }


def _emitted(system: str) -> dict[str, str]:
    return {one.code: one.display for one in STANDARD_CODES.values() if one.system == system}


def write(folder: Path) -> list[Path]:
    """Write the CodeSystems as JSON and return the files."""
    resources = [
        _resource(code_system(table), "complete", {term.value: term.display for term in table})
        for table in tables().values()
    ]
    criteria = {f"{method.code}.{one.id}": one.label for method in METHODS for one in method.criteria}
    rules = {rule.id: rule.message for rule in RULES}
    resources += [_resource(CRITERION_SYSTEM, "complete", criteria), _resource(RULE_SYSTEM, "complete", rules)]
    resources += [_resource(system, "fragment", _emitted(system)) for system in (SNOMED_CT, LOINC)]
    files = []
    for number, resource in enumerate(resources):
        path = folder / f"code-system-{number}.json"
        path.write_text(json.dumps(resource), encoding="utf-8")
        files.append(path)
    return files
