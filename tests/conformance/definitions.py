"""What the engine knows besides the standard: all that we publish, and fragments of the standard code systems.

Without a fragment with the codes that we emit, the engine warns of every LOINC code, and a wrong SNOMED CT code passes
unseen. R4 and R4B bring DICOM codes of their own, and an engine with only those must accept ours; R5 brings none.
"""

from __future__ import annotations

import atexit
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from dermreport.examination.reader import write_json
from dermreport.vocabulary.standard_codes import DICOM, LOINC, SNOMED_CT, STANDARD_CODES

_SYSTEMS = ((SNOMED_CT, "EmittedSnomedCt"), (LOINC, "EmittedLoinc"), (DICOM, "EmittedDicom"))

PROFILES = Path(__file__).parent.parent.parent / "profiles"


def published(release: str) -> Path:
    """Return the folder of what we publish for a release, as committed."""
    return PROFILES / release.lower()


@cache
def definitions(release: str) -> tuple[Path, ...]:
    """Return the places of all definitions."""
    systems = _SYSTEMS if release == "R5" else _SYSTEMS[:-1]
    return (published(release), *(_fragment_file(*one) for one in systems))


@cache
def _fragment_file(system: str, name: str) -> Path:
    path = _folder() / f"{name}.json"
    path.write_text(write_json(_fragment(system, name)), encoding="utf-8")
    return path


@cache
def _folder() -> Path:
    folder = TemporaryDirectory()
    atexit.register(folder.cleanup)
    return Path(folder.name)


def _fragment(system: str, name: str) -> dict[str, Any]:
    codes = {one.code: one.display for one in STANDARD_CODES.values() if one.system == system}
    return {
        "resourceType": "CodeSystem",
        "url": system,
        "name": name,
        "status": "active",
        "caseSensitive": True,
        "content": "fragment",
        "concept": [{"code": code, "display": display} for code, display in codes.items()],
    }
