"""What a host decides: one frozen value, passed along, never global. URLs of our CodeSystems are not among it."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class Intent(StrEnum):
    """Intent of the plan's requests: ``plan`` informs, ``order`` starts a receiver's workflow."""

    PLAN = "plan"
    ORDER = "order"


class PersonEntry(StrEnum):
    """How a person without a literal reference enters a transaction."""

    CREATE_IF_NONE = "create-if-none"
    """An entry with ``ifNoneExist``: created once, never changed."""
    MATCH_ONLY = "match-only"
    """A conditional reference: the transaction fails where the server has no such person."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Settings:
    """What a host decides.

    Attributes:
        snomed: Send SNOMED CT codings beside ours; without them nothing of the examination is lost.
        claim_profiles: Write ``meta.profile``. A validating server without our package refuses such a resource.
        unsuitable_scores: Send methods that are not valid here too, as not applicable with the reason.
        intent: Intent of the plan's requests.
        persons: How a person without a literal reference enters a transaction.
        now: The host's time, with offset, against which «in the future» is judged; without it the entry's
            ``recorded`` serves. The library never reads a clock.
    """

    snomed: bool = True
    claim_profiles: bool = False
    unsuitable_scores: bool = False
    intent: Intent = Intent.PLAN
    persons: PersonEntry = PersonEntry.CREATE_IF_NONE
    now: str | None = None


DEFAULTS = Settings()
