"""Where the lesion of another system's report is: one place, however often it is named, or several.

Two places are one where codes, sides and numbers agree and words without a code are a name of the code. A wider or
nearer site is another one: which lesion is meant nobody can tell here.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from dermreport.examination.given_twice import text_of
from dermreport.examination.types import MAX_SHORT
from dermreport.fhir.read.foreign_codes import other_code, term_of
from dermreport.fhir.read.parts import Json, first, objects, text
from dermreport.fhir.read.values import identifier_of
from dermreport.fhir.read.words import concept_words
from dermreport.vocabulary.sides import Side
from dermreport.vocabulary.sites import Site

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence


@dataclass(frozen=True, slots=True)
class Place:
    """One place that a resource names.

    Attributes:
        site: Our code, or somebody else's, or ``None``.
        names: What the site is called, to compare with words that have no code.
        side: Our code of the side, or ``None``.
        other_side: Words of a side that isn't one of ours.
        number: The lesion's own identifier, or ``None``.
        lesion: What tells a lesion that has a resource of its own from any other; ``""`` where it has none.
        detail: Words on it that are no site.
    """

    site: str | Json | None
    names: tuple[str, ...]
    side: str | None = None
    other_side: str = ""
    number: Json | None = None
    lesion: str = ""
    detail: str = ""

    def __bool__(self) -> bool:
        """Whether anything is said."""
        return bool(self.site or self.names or self.side or self.other_side or self.number or self.detail)

    @property
    def words(self) -> str:
        """Side, site and detail in words."""
        side = Side(self.side).display if self.side else self.other_side
        where = ", ".join(filter(None, (self.names[0] if self.names else "", self.detail)))
        return " ".join(filter(None, (side, where)))

    @property
    def _code(self) -> tuple[Any, ...] | None:
        if self.site is None:
            return None
        return (self.site,) if isinstance(self.site, str) else (self.site["system"], self.site["code"])


def place_of(site: Json, side: Json, **more: Any) -> Place:  # noqa: ANN401 - further fields of a place
    """Return the place that concepts of site and side name."""
    ours = term_of(site, Site)
    displays = [shown for coding in objects(site, "coding") if (shown := text(coding, "display"))]
    words = [concept_words(site), *displays, *([Site(ours).display] if ours is not None else ())]
    our_side = term_of(side, Side)
    return Place(
        ours or other_code(site),
        tuple(dict.fromkeys(word.strip() for word in words if word.strip())),
        our_side,
        "" if our_side else concept_words(side),
        **more,
    )


def places_of(structure: Json) -> Iterator[Place]:
    """Yield the places of a BodyStructure, which has several in R5."""
    given = first(structure, "identifier")
    number = identifier_of(given) if text(given, "system") and text(given, "value") else None
    own = {name: value for name, value in structure.items() if name not in {"id", "meta", "text"}}
    more = {
        "number": number,
        "lesion": text_of(own if number is None else number),
        "detail": (text(structure, "description") or "").strip(),
    }
    included = objects(structure, "includedStructure")
    if not included:
        yield place_of(first(structure, "location"), first(structure, "locationQualifier"), **more)
    for one in included:
        yield place_of(first(one, "structure"), first(one, "laterality"), **more)


def one_place(places: Sequence[Place]) -> Json | None:
    """Return the lesion's site, side, number and words; ``None`` where the places are several."""
    coded = {one._code: one.site for one in places if one.site is not None}  # noqa: SLF001 - this file's own
    sides = {one.side or one.other_side.casefold() for one in places if one.side or one.other_side}
    numbers = [one.number for one in places if one.number is not None]
    lesions = {one.lesion for one in places if one.lesion}
    called = {name.casefold() for one in places if one.site is not None for name in one.names}
    in_words = {one.names[0].casefold(): one.names[0] for one in places if one.site is None and one.names}
    others = in_words.keys() - called
    if len(coded) + len(others) > 1 or len(sides) > 1 or len(lesions) > 1:
        return None
    details = [in_words[name] for name in others]
    details += [words for one in places for words in (one.other_side, one.detail)]
    made = {
        "site": next(iter(coded.values()), None),
        "side": next((one.side for one in places if one.side), None),
        "identifier": numbers[0] if numbers else None,
        **site_words("; ".join(dict.fromkeys(filter(None, details)))),
    }
    return {name: value for name, value in made.items() if value is not None}


def site_words(words: str) -> Json:
    """Return words on where the lesion is as a field of it."""
    return {"site_detail": words[:MAX_SHORT]} if words.strip() else {}
