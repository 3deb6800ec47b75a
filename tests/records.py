"""Small examinations for tests: one sound lesion, with what a test changes in it.

``entry()`` gives it as a dict, ``record()`` as an examination. Changes are merged: dicts into dicts, anything else is
replaced, and ``None`` takes a field out.
"""

from __future__ import annotations

import copy
from typing import Any

from dermreport.answers import answers
from dermreport.examination.model import Examination
from dermreport.expressions.evaluate import Scope
from dermreport.rules.facts import FACTS

Entry = dict[str, Any]

_NON_POLARISED = {"key": "plain", "light": "non-polarised", "contact": "contact", "immersion": ["gel"]}
_POLARISED = {"key": "crossed", "light": "polarised"}
BOTH_LIGHTS: list[Entry] = [_NON_POLARISED, _POLARISED]
POLARISED_ONLY: list[Entry] = [_POLARISED]
NON_POLARISED_ONLY: list[Entry] = [_NON_POLARISED]

#: A pigmented, melanocytic, untreated lesion of an adult's trunk, seen in both lights; nothing else is recorded.
_SOUND: Entry = {
    "identifier": {"system": "https://host.example/examinations", "value": "1"},
    "status": "final",
    "patient": {"reference": "Patient/1"},
    "examined": "2026-01-02T10:00:00Z",
    "background": {"age_years": 50},
    "lesion": {
        "site": "back-upper",
        "pigmentation": "pigmented",
        "in_scar": "no",
        "history": {"treated_before": {"answer": "no"}},
    },
    "views": BOTH_LIGHTS,
    "description": {"step_one": "melanocytic"},
}


def entry(**changes: Any) -> Entry:
    """Return the sound lesion as a new dict, with these changes."""
    return merged(_SOUND, changes)


def record(**changes: Any) -> Examination:
    """Return the sound lesion as an examination, with these changes."""
    return Examination.model_validate(entry(**changes))


def scope(**changes: Any) -> Scope:
    """Return what expressions and scores are evaluated on, for the sound lesion with these changes."""
    return scope_of(entry(**changes))


def scope_of(whole: Entry) -> Scope:
    """Return what expressions and scores are evaluated on, for an entry."""
    return Scope(answers(Examination.model_validate(whole)), FACTS)


def merged(base: Entry, changes: Entry) -> Entry:
    """Return a new dict: the base with the changes in it."""
    result = copy.deepcopy(base)
    for name, value in changes.items():
        if value is None:
            result.pop(name, None)
        elif isinstance(value, dict) and isinstance(result.get(name), dict):
            result[name] = merged(result[name], value)
        else:
            result[name] = copy.deepcopy(value)
    return result


def at(path: str, value: Any) -> Entry:
    """Return the changes that set one value at a dotted path."""
    name, _, rest = path.partition(".")
    return {name: at(rest, value) if rest else value}


def finding(structure: str, presence: str = "present", **details: Any) -> Entry:
    """Return one finding."""
    return {"structure": structure, "presence": presence, **details}


def gone_through(*lists: str) -> list[Entry]:
    """Return lists that were gone through."""
    return [{"list": name} for name in lists]
