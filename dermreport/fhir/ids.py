"""Identity: what makes a resource the same one at every sending.

An item is known by the examination's identifier, its kind and its key in the entry; a UUID is the name-based one
(RFC 9562, version 5) of that text. No list position and no fact on the patient is in either.
"""

from __future__ import annotations

import hashlib
import re
from enum import StrEnum
from typing import TYPE_CHECKING, Any, Final, NamedTuple
from urllib.parse import quote
from uuid import UUID

from dermreport.examination.base import OtherCode
from dermreport.examination.people import URN_SYSTEM, URN_UUID, system_and_value
from dermreport.examination.types import UUID_PATTERN
from dermreport.fhir.extensions import Extension, extension

if TYPE_CHECKING:
    from dermreport.examination.people import Identifier
    from dermreport.vocabulary.term import Term

#: The project's namespace: the name-based UUID of the vocabulary's base in the URL namespace, written out.
NAMESPACE: Final = UUID("de7c69fb-892a-5093-9a8f-99725dd49404")
#: Servers index a token's value up to 200 characters: a longer one would be the same as its neighbours.
MAX_VALUE: Final = 190


class Thing(StrEnum):
    """What a resource of a report is; the word stands in identifiers and in the name of the profile."""

    REPORT = "report"
    PATIENT = "patient"
    EXAMINER = "examiner"
    LESION = "lesion"
    IMAGE = "image"
    STATEMENT = "statement"
    VIEW = "view"
    LIST = "list"
    FINDING = "finding"
    TEST = "bedside-test"
    EARLIER_CANCER = "earlier-skin-cancer"
    SCORE = "score"
    IMPRESSION = "impression"
    OUTCOME = "outcome"
    PANEL = "panel"
    ACTION = "plan"
    SAFETY_NET = "safety-net"
    DEPARTURE = "departure"
    LETTER = "letter"
    PLUGIN = "plugin"
    PROVENANCE = "provenance"
    DOCUMENT = "document"
    COMPOSITION = "composition"
    BUNDLE = "bundle"


def name_uuid(name: str) -> str:
    """Return the UUID, version 5, of a name in the project's namespace."""
    return _uuid_text(hashlib.sha1(NAMESPACE.bytes + name.encode(), usedforsecurity=False).hexdigest())


#: The first hexadecimal digit of a UUID's variant, by the digit of the hash.
_VARIANT: Final = dict(zip("0123456789abcdef", "89ab" * 4, strict=True))


def _uuid_text(digits: str) -> str:
    """Return the first 128 bits of a hash as a UUID, version and variant set."""
    return f"{digits[:8]}-{digits[8:12]}-5{digits[13:16]}-{_VARIANT[digits[16]]}{digits[17:20]}-{digits[20:32]}"


class Identified(NamedTuple):
    """How an item is known.

    Attributes:
        uuid: Its UUID.
        identifier: Its FHIR Identifier.
        search: The search by which a server finds it.
    """

    uuid: str
    identifier: dict[str, Any]
    search: str


class Identity:
    """The identity of one examination, and of everything in it."""

    __slots__ = ("_common", "_longest", "_search", "system", "value")
    system: str
    value: str

    def __init__(self, entered: Identifier) -> None:
        """Hash and encode what all items of the examination have in common, once."""
        self.system, self.value = system_and_value(entered)
        common = NAMESPACE.bytes + f"{self.system}|{self.value}|".encode()
        self._common = hashlib.sha1(common, usedforsecurity=False)
        self._search = search(self.system, self.value)
        self._longest = MAX_VALUE - len(self.value)

    def uuid(self, thing: Thing, key: str) -> str:
        """Return the UUID of an item."""
        state = self._common.copy()
        state.update((thing + "|" + key).encode())
        return _uuid_text(state.hexdigest())

    def item(self, thing: Thing, key: str) -> Identified:
        """Return how an item is known: by the examination's number, its kind and its key.

        Where that has no room, or the examination is known by a UUID, it is the item's UUID.
        """
        uuid = self.uuid(thing, key)
        path = "/" + thing + "/" + key if key else "/" + thing
        if len(path) > self._longest or self.system == URN_SYSTEM:
            value = f"urn:uuid:{uuid}"
            return Identified(uuid, {"system": URN_SYSTEM, "value": value}, search(URN_SYSTEM, value))
        # Kinds and keys are made of characters that no URL escapes.
        return Identified(uuid, {"system": self.system, "value": self.value + path}, self._search + path)


def code_key(code: Term | OtherCode) -> str:
    """Return a code as a part of a key: our code, or the UUID of somebody else's system and code."""
    if isinstance(code, OtherCode):
        return name_uuid(f"{code.system}|{code.code}")
    return str.__str__(code)


def search(system: str, value: str) -> str:
    """Return a search by identifier: separators escaped as FHIR says (R4, 3.1.1.4.20), then percent-encoded."""
    return "identifier=" + quote(f"{_escaped(system)}|{_escaped(value)}", safe="/:|~.-_")


def _escaped(text: str) -> str:
    return text.replace("\\", "\\\\").replace("|", "\\|").replace(",", "\\,").replace("$", "\\$")


def identifier(system: str, value: str) -> dict[str, Any]:
    """Return a FHIR Identifier."""
    return {"system": system, "value": value}


def usual_entry(system: str, value: str) -> tuple[str | None, str]:
    """Return system and value as an entry usually has them: a UUID stands there by itself."""
    uuid = value.removeprefix(URN_UUID)
    if system == URN_SYSTEM and uuid != value and is_uuid(uuid):
        return None, uuid
    return system, value


_matches_uuid = re.compile(UUID_PATTERN).match


def is_uuid(text: str) -> bool:
    """Return whether a text is a UUID in lower case, by itself or as a URN."""
    return _matches_uuid(text) is not None


def entered_identifier(entered: Identifier) -> dict[str, Any]:
    """Return the FHIR Identifier for one of an entry.

    A UUID can also be entered with its prefix or with the system of URNs; all three are one identifier in FHIR, so how
    an unusual one was entered stands beside it: its value, or system and value.
    """
    made = identifier(*system_and_value(entered))
    if usual_entry(made["system"], made["value"]) == (entered.system, entered.value):
        return made
    token = entered.value if entered.system is None else f"{entered.system}|{entered.value}"
    return {"extension": [extension(Extension.AS_ENTERED, "valueString", token)], **made}


def identifiers(given: tuple[Identifier, ...]) -> list[dict[str, Any]]:
    """Return FHIR Identifiers for those of an entry."""
    return [entered_identifier(one) for one in given]
