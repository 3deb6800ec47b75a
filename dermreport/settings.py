"""What a host decides: one frozen value, passed along, never global. URLs of our CodeSystems are not among it."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, fields
from datetime import datetime
from enum import StrEnum
from typing import Final

from dermreport.codings import ExtraCoding, holds, is_hosts_system
from dermreport.examination.people import Reference
from dermreport.issues import refuse_all
from dermreport.limits import DEFAULT_LIMITS, Limits
from dermreport.pathway import Pathway
from dermreport.plugin import NONE, Plugins

#: In which everything is written; only another language has files.
ENGLISH: Final = "en"


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


#: Settings that are one of some words.
_WORDS: Final[Mapping[str, type[StrEnum]]] = {"intent": Intent, "persons": PersonEntry}


@dataclass(frozen=True, slots=True, kw_only=True)
class IdentifierSystems:
    """The systems in which a host numbers things: a record with a number of another one is noticed.

    Attributes:
        examination: URI of the system of examinations.
        patient: URI of that of patients; without it nothing is asked of their numbers.
        lesion: URI of that of lesions; without it nothing is asked of theirs.
    """

    examination: str
    patient: str | None = None
    lesion: str | None = None

    def __post_init__(self) -> None:
        """Refuse what is no address of a host's system; no value is in the error."""
        refuse_all(
            f"settings: identifier_systems: {one.name} is the URI of a system of yours"
            for one in fields(self)
            for given in (getattr(self, one.name),)
            if (given is not None or one.name == "examination") and not is_hosts_system(given)
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Settings:
    """What a host decides.

    Attributes:
        snomed: Send SNOMED CT codings beside ours; without them nothing of the examination is lost.
        loinc: Send LOINC codings beside ours. Headings of a document's sections have no other code and stay.
        dicom: Send codings of DICOM's own system beside ours. These three hold for what plugins put beside ours too.
        claim_profiles: Write ``meta.profile``. A validating server without our package refuses such a resource.
        unsuitable_scores: Send methods that are not valid here too, as not applicable with the reason.
        intent: Intent of the plan's requests.
        persons: How a person without a literal reference enters a transaction.
        now: The host's time, with offset, against which «in the future» is judged; without it the entry's
            ``recorded`` serves. The library never reads a clock.
        pathway: The pathway with which the plan is compared; without it the neutral one. None withholds anything.
        identifier_systems: The systems in which the host numbers things; without them nothing is asked of them.
        organisation: Where examinations are done whose entry doesn't say it.
        extra_codings: Codes that stand beside ours for a term, after the standard ones, in their order; of whichever
            system, for the host itself asks for each.
        language: In which ``Review.language``, ``Report.outcome`` and the text of commands say issues; what is sent and
            stored is English.
        limits: How much of others' content the host reads: for ``from_fhir(…, limits=settings.limits)``.
        plugins: What plugins add, as ``load_plugins`` gives it; without it nothing is loaded.
    """

    snomed: bool = True
    loinc: bool = True
    dicom: bool = True
    claim_profiles: bool = False
    unsuitable_scores: bool = False
    intent: Intent = Intent.PLAN
    persons: PersonEntry = PersonEntry.CREATE_IF_NONE
    now: str | None = None
    pathway: Pathway | None = None
    identifier_systems: IdentifierSystems | None = None
    organisation: Reference | None = None
    extra_codings: tuple[ExtraCoding, ...] = ()
    language: str = ENGLISH
    limits: Limits = DEFAULT_LIMITS
    plugins: Plugins = NONE

    def __post_init__(self) -> None:
        """Take the words for the members, and refuse all that isn't a setting; no value is in the error."""
        refuse_all((*self._wrong_words(), *self._wrong_parts()))
        for name, kind in _WORDS.items():
            object.__setattr__(self, name, kind(getattr(self, name)))
        if self.organisation is not None:
            object.__setattr__(self, "organisation", Reference.model_validate(self.organisation))

    def _wrong_words(self) -> Iterator[str]:
        for name, kind in _WORDS.items():
            given = getattr(self, name)
            if not isinstance(given, str) or given not in set(kind):
                yield f"settings: {name} is one of {', '.join(kind)}"
        for name in ("snomed", "loinc", "dicom", "claim_profiles", "unsuitable_scores"):
            if not isinstance(getattr(self, name), bool):
                yield f"settings: {name} is True or False"
        if self.now is not None and not _is_instant(self.now):
            yield "settings: now is a time with its offset, as 2026-03-04T10:15:00+01:00"
        if self.language != ENGLISH:
            from dermreport.languages.language import LANGUAGES  # noqa: PLC0415 - loaded on first use

            if self.language not in tuple(LANGUAGES):
                yield f"settings: language is one of {', '.join(LANGUAGES)}"

    def _wrong_parts(self) -> Iterator[str]:
        """Yield parts of other kinds, and codings of which two say the same."""
        if self.pathway is not None and not isinstance(self.pathway, Pathway):
            yield "settings: pathway is a Pathway, as pathway_from_toml makes it"
        if self.identifier_systems is not None and not isinstance(self.identifier_systems, IdentifierSystems):
            yield "settings: identifier_systems is an IdentifierSystems"
        if not isinstance(self.limits, Limits):
            yield "settings: limits is a Limits"
        if not isinstance(self.plugins, Plugins):
            yield "settings: plugins is a Plugins, as load_plugins gives it"
        elif isinstance(self.pathway, Pathway) and self.pathway.id in self.plugins.names:
            yield "settings: pathway: its id is the name of a plugin, so that one departure would answer steps of both"
        if self.organisation is not None and not holds(Reference, self.organisation):
            yield "settings: organisation is a Reference: reference, identifier, display"
        extra: object = self.extra_codings
        if not isinstance(extra, tuple) or not all(isinstance(one, ExtraCoding) for one in extra):
            yield "settings: extra_codings is a tuple of ExtraCoding"
        elif len({one.mark for one in extra}) != len(extra):
            yield "settings: extra_codings: a term has the same code twice"

    @property
    def codings(self) -> tuple[ExtraCoding, ...]:
        """Codes beside ours: the host's, then those of plugins that the host doesn't say itself."""
        if not self.plugins.loaded:
            return self.extra_codings
        known = {one.mark for one in self.extra_codings}
        return (*self.extra_codings, *(one for one in self.plugins.codings if one.mark not in known))


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
