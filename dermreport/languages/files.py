"""Reads the files of a language: a folder of TOML, each file with its state."""

from __future__ import annotations

import tomllib
from importlib.resources import files
from typing import Any, Final

from dermreport.languages.language import Catalogue, Draft, Language

#: The files of a language; each begins with the code of its language, its state and its day.
FILES: Final = ("language", "terms", "rules", "methods", "pathways", "completeness", "series", "body_map")
HEAD: Final = ("language", "state", "drafted")

_STRUCTURE: Final = "structure"
_DEFINITIONS: Final = "definitions"
#: Of the file of rules: words that fill a name in braces.
_VALUES: Final = "values"
#: Of the file of pathways: their titles, and the core's words, after which a host's own can follow.
_TITLES, _CORE = "titles", "core"


def file_of(code: str, name: str) -> dict[str, Any]:
    """Return one file of a language as it stands."""
    return tomllib.loads((files("dermreport.languages") / code / f"{name}.toml").read_text(encoding="utf-8"))


def tables_of(code: str, name: str) -> dict[str, dict[str, Any]]:
    """Return the tables of one file, without its head."""
    return {key: value for key, value in file_of(code, name).items() if key not in HEAD}


def read(code: str) -> Language:
    """Return a language as its files have it."""
    head = file_of(code, "language")
    terms = tables_of(code, "terms")
    definitions = terms.pop(_DEFINITIONS)
    structures = terms.pop(_STRUCTURE)
    rules = tables_of(code, "rules")
    values = rules.pop(_VALUES)
    pathways = tables_of(code, "pathways")
    sentences = [pathways] + [tables_of(code, name) for name in ("methods", "completeness", "series", "body_map")]
    return Language(
        code,
        Draft(head["state"], head["drafted"].isoformat()),
        head["conventions"]["decimal_mark"],
        Catalogue(
            displays=terms,
            structures={own: (names["descriptive"], names.get("metaphoric", "")) for own, names in structures.items()},
            definitions=definitions,
            messages=_joined(*rules.values()),
            texts=_joined(values, *(table for tables in sentences for table in tables.values())),
            openings=tuple(_openings(pathways)),
        ),
    )


def _joined(*tables: dict[str, str]) -> dict[str, str]:
    return {key: said for table in tables for key, said in table.items()}


def _openings(pathways: dict[str, dict[str, str]]) -> list[tuple[str, str]]:
    """Return how a text begins that goes on otherwise: a pathway's title before its version, the core's before more.

    The core's titles and messages begin with a capital; what to watch for, which stays one word of a list, doesn't.
    """
    titles = [(f"{english} ", f"{said} ") for english, said in pathways[_TITLES].items()]
    core = [(english, said) for english, said in pathways[_CORE].items() if english[0].isupper()]
    between = [" " if english.endswith(".") else ": " for english, _ in core]
    return [
        *titles,
        *((f"{english}{gap}", f"{said}{gap}") for (english, said), gap in zip(core, between, strict=True)),
    ]
