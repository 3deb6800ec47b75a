"""An audit event of each report, and a flag where the recheck list is at its threshold."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from dermreport.plugins import Making, ResourceMaker, Verdict
from example_clinic.codes import NAME, SYSTEM

if TYPE_CHECKING:
    from dermreport import Review


def audit(making: Making) -> dict[str, dict[str, Any]]:
    """Return an event that says that the report was written; R5 has other elements for it than R4."""
    review: Review = making.review
    written = review.examination.recorded or review.examination.examined
    kind = {"system": f"{SYSTEM}/audit", "code": "report-written", "display": "Report written"}
    agent = {"who": {"display": f"software of the example clinic ({NAME})"}, "requestor": False}
    made: dict[str, Any] = {"resourceType": "AuditEvent"}
    if making.release == "R5":
        made |= {"code": {"coding": [kind]}, "action": "C", "recorded": written}
    else:
        made |= {"type": kind, "action": "C", "recorded": written, "outcome": "0"}
    made["agent"] = [agent]
    made["source"] = {"observer": {"display": "Example clinic"}}
    made["entity"] = [{"what": making.report}]
    # The standard asks a time with a clock here; an entry can have a day alone.
    return {"written": made} if "T" in written else {}


def flag(making: Making) -> dict[str, dict[str, Any]]:
    """Return a flag on the patient's record while the recheck list is at its threshold."""
    result = making.review.plugin_scores[f"{NAME}/recheck-list"]
    if result.verdict is not Verdict.ABOVE_THRESHOLD:
        return {}
    text = "Recheck list at its threshold: the nurse looks again."
    return {
        "recheck": {
            "resourceType": "Flag",
            "status": "active",
            "code": {"coding": [{"system": SYSTEM, "code": "nurse-recheck"}], "text": text},
            "subject": making.subject,
        }
    }


AUDIT = ResourceMaker(id="audit", make=audit)
FLAG = ResourceMaker(id="flag", make=flag)
