"""What tells a record from others without a patient's data."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from dermreport.reviews import Review


def label(review: Review) -> str:
    """Return what tells this lesion from others without a patient's data: its site and side, and where it stands."""
    lesion = review.examination.lesion
    site = getattr(lesion.site, "display", None) if lesion is not None else None
    side = lesion.side if lesion is not None else None
    where = ", ".join(str(part) for part in (site, side) if part) or "site not recorded"
    return f"{where} ({review.examination.status.display}, revision {review.examination.revision})"
