"""The FHIR mapping: where each field of a record goes, and each profile element by element."""

from __future__ import annotations

import re
from collections.abc import Iterator
from html import escape
from typing import Any

from dermreport.fhir.places import PLACES
from dermreport.fhir.releases import Release
from dermreport.profiles.structures.element import ALL, Element, Profile
from dermreport.profiles.structures.tables import PROFILES, profile_id, profile_url
from dermreport.publication import CANONICAL_BASE, PROFILES_VERSION
from dermreport.wording.items import ITEMS, Item, Kind
from made.markup import Page, Row, items, link, table
from made.vocabulary import name

FOLDER = "reference/fhir"
INDEX = f"{FOLDER}/index.md"


def _resources() -> dict[str, list[Profile]]:
    """Return the profiles by resource type."""
    found: dict[str, list[Profile]] = {}
    for one in PROFILES:
        found.setdefault(one.resource, []).append(one)
    return dict(sorted(found.items()))


def _uri(resource: str) -> str:
    return f"{FOLDER}/{resource.lower()}.md"


def _releases(which: frozenset[Release]) -> str:
    return "" if which == ALL else ", ".join(one.value for one in Release if one in which)


def _cardinality(one: Element) -> str:
    if one.low is None and one.high is None:
        return ""
    return f"{'' if one.low is None else one.low}..{'' if one.high is None else one.high}"


def _short(address: str) -> str:
    return address.removeprefix(f"{CANONICAL_BASE}/")


def _breakable(path: str) -> str:
    """Return a path that may break between its parts."""
    return re.sub(r"([.:])", r"\1<wbr>", escape(path))


def _asks(one: Element) -> str:
    parts = [
        f"type {', '.join(one.types)}" if one.types else "",
        f"reference to {', '.join(one.targets)}" if one.targets else "",
        f"follows <code>{escape(', '.join(map(_short, one.profiles)))}</code>" if one.profiles else "",
        escape(one.fixed.words) if one.fixed is not None else "",
        f"a code of <code>ValueSet/{escape(one.value_set)}</code>" if one.value_set else "",
        f"repetitions are told apart by {escape(one.slicing.by)} of <code>{escape(one.slicing.path)}</code>"
        if one.slicing is not None
        else "",
        *(f"<code>{escape(rule.key)}</code>: {escape(rule.human)}" for rule in one.rules),
    ]
    return items(filter(None, parts))


def _elements(profile: Profile) -> str:
    rows = [
        Row(
            (
                f"<code>{_breakable(one.path)}</code>" if one.path else "the resource itself",
                escape(one.means),
                _cardinality(one),
                _asks(one),
                _releases(one.releases),
            )
        )
        for one in profile.elements
    ]
    return table(("Element", "What it holds", "How often", "What is asked of it", "Only in"), rows)


def _profile(profile: Profile) -> str:
    refines = f" It refines `{profile_id(profile.parent)}`." if profile.parent else ""
    only = f" Only in {_releases(profile.releases)}." if profile.releases != ALL else ""
    # Two profiles of one name, in different releases, stand on pages of different resources.
    heading = f"## {profile.title} {{ #{profile_id(profile.name)} }}"
    address = f"`{profile_url(profile.name)}`"
    return f"{heading}\n\n{profile.description}{refines}{only}\n\n{address}\n\n{_elements(profile)}\n"


def _kind(kind: Kind, unit: Any) -> str:  # noqa: ANN401 - a unit of the items table
    return f"a number, {unit.shown}" if kind is Kind.NUMBER else {Kind.CODE: "a code"}.get(kind, kind.value)


def _fields_of(item: Item) -> Iterator[Row]:
    def row(field: str, where: str, kind: str, about: str) -> Row:
        path = f"{item.path}.{field}".lstrip(".")
        return Row((f"<code>{escape(path)}</code>", where, kind, about), id=f"field-{path}")

    about = name(INDEX, item.attribute)
    if item.value:
        yield row(item.value, "Observation.value", _kind(item.kind, item.unit), about)
    for part in item.parts:
        yield row(part.field, "Observation.component", _kind(part.kind, part.unit), name(INDEX, part.attribute))
    if item.note:
        yield row(item.note, "Observation.note", "text", about)


def pages() -> Iterator[Page]:
    """Return the table of fields, and a page for each resource type."""
    placed = [
        Row((f"<code>{escape(path)}</code>", f"<code>{escape(where)}</code>", "", ""), id=f"field-{path}")
        for path, where in PLACES.items()
    ]
    carried = [row for item in ITEMS for row in _fields_of(item)]
    listed = [
        Row(
            (
                link(INDEX, _uri(resource), resource),
                items(escape(one.title) for one in profiles),
            )
        )
        for resource, profiles in _resources().items()
    ]
    yield Page(
        INDEX,
        "FHIR mapping",
        "Where each field of a record goes, and what each resource of a report carries, element by element. The "
        f"tables are those that the profiles are made of, version {PROFILES_VERSION}; what they leave out stays as "
        "the resource’s own definition has it.\n\n## Resources\n\n"
        f"{table(('Resource', 'What it is in a report'), listed)}\n"
        "## Fields of the record\n\n«Image» is Media in R4 and R4B, DocumentReference in R5. A row without "
        "attribute goes to the element that it names; the others are Observations, whose code is the attribute.\n\n"
        f"{table(('Field', 'Element', 'Value', 'Attribute'), [*placed, *carried])}",
    )
    for resource, profiles in _resources().items():
        parts = "\n".join(map(_profile, profiles))
        yield Page(
            _uri(resource), resource, f"As a report of dermreport carries it. Paths begin below {resource}.\n\n{parts}"
        )
