"""Our extensions, for what FHIR has no element for, each named once."""

from __future__ import annotations

from enum import StrEnum
from typing import Any, Final

from dermreport.publication import CANONICAL_BASE


class Extension(StrEnum):
    """Our extensions; the value is the last part of the URL."""

    ENTRY_KEY = "entry-key"
    ENTRY_RANK = "entry-rank"
    ENTRY_STATUS = "entry-status"
    ENTRY_REVISION = "entry-revision"
    ENTRY_EMPTY = "entry-empty"
    PLANNED = "planned"
    AS_ENTERED = "as-entered"
    PATIENT_AS_ENTERED = "patient-as-entered"
    EXAMINER_AS_ENTERED = "examiner-as-entered"
    HOST_REFERENCE = "host-reference"
    EXAMINER_ROLE = "examiner-role"
    REPORT_LESION = "report-lesion"
    PREVIOUS_EXAMINATION = "previous-examination"
    BODY_MAP_POINT = "body-map-point"
    HASH = "hash"
    SIZE = "size"
    IMAGE_ROLE = "image-role"
    IMAGE_SCALE = "image-scale"
    IMAGE_CONSENT = "image-consent"
    VIEW_KEY = "view-key"
    NOT_ASSESSED_BECAUSE = "not-assessed-because"
    URGENCY = "urgency"
    PLAN_INTERVAL = "plan-interval"
    HISTOLOGY_REQUESTED = "histology-requested"
    RESULT_OWNER = "result-owner"
    RESULT_BY = "result-by"
    IF_NOT_ATTENDED = "if-not-attended"
    SAFETY_NET = "safety-net"
    LETTER_REPORT = "letter-report"

    @property
    def url(self) -> str:
        """The extension's URL."""
        return _URLS[self]


_URLS: Final = {one: f"{CANONICAL_BASE}/StructureDefinition/{one.value}" for one in Extension}


def extension(which: Extension, kind: str, value: Any) -> dict[str, Any]:  # noqa: ANN401 - a value of any type
    """Return one of our extensions; ``kind`` is the element's name, as ``valueString``."""
    return {"url": _URLS[which], kind: value}


def parts(which: Extension, values: tuple[tuple[str, str, Any], ...]) -> list[dict[str, Any]]:
    """Return one of our extensions that has parts, in a list; empty where no part has a value.

    Args:
        which: The extension.
        values: For each part its name, the element's name and the value, or ``None``.
    """
    given = [{"url": name, kind: value} for name, kind, value in values if value is not None]
    return [{"url": _URLS[which], "extension": given}] if given else []
