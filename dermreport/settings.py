"""What a host decides: one frozen value, passed along, never global. URLs of our CodeSystems are not among it."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from dermreport.issues import SettingsError
from dermreport.pathway import Pathway


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
        pathway: The pathway with which the plan is compared; without it the neutral one. None withholds anything.
    """

    snomed: bool = True
    claim_profiles: bool = False
    unsuitable_scores: bool = False
    intent: Intent = Intent.PLAN
    persons: PersonEntry = PersonEntry.CREATE_IF_NONE
    now: str | None = None
    pathway: Pathway | None = None

    def __post_init__(self) -> None:
        """Take the words for the members, and refuse what isn't a setting; no value is in the error."""
        for name, kind in (("intent", Intent), ("persons", PersonEntry)):
            given = getattr(self, name)
            if given not in set(kind):
                raise SettingsError(f"settings: {name} is one of {', '.join(kind)}")
            object.__setattr__(self, name, kind(given))
        for name in ("snomed", "claim_profiles", "unsuitable_scores"):
            if not isinstance(getattr(self, name), bool):
                raise SettingsError(f"settings: {name} is True or False")
        if self.now is not None and not _is_instant(self.now):
            raise SettingsError("settings: now is a time with its offset, as 2026-03-04T10:15:00+01:00")
        if self.pathway is not None and not isinstance(self.pathway, Pathway):
            raise SettingsError("settings: pathway is a Pathway, as pathway_from_toml makes it")


def _is_instant(now: object) -> bool:
    """Whether it is a time with its offset, in the one form that is read later, and one that the calendar has."""
    if not isinstance(now, str) or _INSTANT.fullmatch(now) is None:
        return False
    try:
        datetime.fromisoformat(now)
    except ValueError:
        return False
    return True


_INSTANT = re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d(?:\.\d+)?(?:Z|[+-]\d\d:\d\d)", re.ASCII)

DEFAULTS = Settings()
