"""Every SHALL of the profiles and extensions as a numbered row, made from the same tables, for whoever tests them.

A number is the profile's name, the number of the line in it, the row that a family of lines was made from where there
is one, the element, and what is demanded: ``finding.40.colour.value.kind``. It names the same demand for ever.
"""

from __future__ import annotations

import csv
import io
from collections import Counter
from dataclasses import dataclass, replace
from functools import cache
from typing import TYPE_CHECKING, Final

from dermreport.fhir.releases import Release
from dermreport.profiles.structures.element import Aspect, Element, Profile
from dermreport.profiles.structures.extension_definitions import Content, Row, rows
from dermreport.profiles.structures.items import own_table
from dermreport.profiles.structures.tables import profile_id, profiles
from dermreport.vocabulary.term import table_id

if TYPE_CHECKING:
    from collections.abc import Iterator

#: Where the rows are published, beside the artefacts of the releases.
FILE_NAME: Final = "requirements.csv"
HEADINGS: Final = ("number", "definition", "releases", "element", "requirement", "test")
#: The test that breaks each requirement and sees it caught, once for each shape of the standard.
_TEST: Final = "tests/test_requirements.py::test_a_damage_is_caught[{} {}]"


@dataclass(frozen=True, slots=True)
class Requirement:
    """One SHALL.

    Attributes:
        number: Its number.
        definition: Id of the StructureDefinition that demands it.
        element: The element in that definition, by its id.
        aspect: What is demanded of it.
        sentence: The SHALL in words.
        releases: The releases that demand it.
        key: Key of the condition that checks it, or ``""``.
    """

    number: str
    definition: str
    element: str
    aspect: Aspect
    sentence: str
    releases: tuple[Release, ...] = ()
    key: str = ""


@cache
def requirements() -> tuple[Requirement, ...]:
    """Return every SHALL, sorted by number; what releases demand in other words has a row for each, named by them."""
    found: dict[Requirement, list[Release]] = {}
    for release in Release:
        for one in _of_release(release):
            found.setdefault(one, []).append(release)
    rows_of = Counter(one.number for one in found)
    made = [
        replace(
            one, number=one.number if rows_of[one.number] == 1 else _of_first(one, releases), releases=tuple(releases)
        )
        for one, releases in found.items()
    ]
    return tuple(sorted(made, key=lambda one: _sortable(one.number)))


def _of_first(one: Requirement, releases: list[Release]) -> str:
    return f"{one.number}.{releases[0].value.lower()}"


def _sortable(number: str) -> tuple[tuple[int, str], ...]:
    return tuple((int(part), "") if part.isdigit() else (0, part) for part in number.split("."))


def _of_release(release: Release) -> Iterator[Requirement]:
    for profile in profiles(release):
        for line in profile.lines(release):
            yield from _of_line(profile, line)
    for row in rows(release):
        yield from _of_extension(row)


def _of_line(profile: Profile, line: Element) -> Iterator[Requirement]:
    element = f"{profile.resource}.{line.path}" if line.path else profile.resource
    number = ".".join((profile.name, str(line.number), *_named(line)))
    for aspect in line.demands():
        if aspect is Aspect.RULE:
            for rule in line.rules:
                # Where a family of lines has one condition each, its row is its name.
                named = number if rule.key == f"{profile.name}-{line.family}" else f"{number}.{rule.key}"
                yield Requirement(named, profile_id(profile.name), element, aspect, rule.human, key=rule.key)
        else:
            sentence = f"`{element}` SHALL {_asked(line, aspect)}."
            yield Requirement(f"{number}.{aspect.value}", profile_id(profile.name), element, aspect, sentence)


def _named(line: Element) -> list[str]:
    """Return the family of a line and the last step of its element, as far as each says something."""
    step = line.path.rpartition(".")[2]
    last = (line.slice_name or step).removesuffix("[x]")
    return list(dict.fromkeys(one for one in (line.family, last) if one))


def _asked(line: Element, aspect: Aspect) -> str:
    match aspect:
        case Aspect.GIVEN:
            return "be given" if line.low == 1 else f"be given at least {line.low} times"
        case Aspect.AT_MOST:
            return "NOT be given" if line.high == 0 else "be given once at most"
        case Aspect.KIND if line.targets:
            return f"lead to {_either(line.targets)}"
        case Aspect.KIND:
            return f"be {_either(line.types)}"
        case Aspect.VALUE if line.fixed is not None:
            return f"be {line.fixed.words}"
        case _:
            return f"have only codes of the ValueSet `{line.value_set}`"


def _either(names: tuple[str, ...]) -> str:
    return " or ".join(f"`{name}`" for name in names)


def _of_extension(row: Row) -> Iterator[Requirement]:
    identity = row.which.value
    if row.content is not None:
        yield from _of_content(identity, "value", "Extension", row.content)
    for part in row.parts:
        element = f"Extension.extension:{part.name}"
        if part.low:
            sentence = f"Part `{part.name}` of the extension `{identity}` SHALL be given."
            yield Requirement(f"{identity}.{part.name}.given", identity, element, Aspect.GIVEN, sentence)
        sentence = f"Part `{part.name}` of the extension `{identity}` SHALL be given once at most."
        yield Requirement(f"{identity}.{part.name}.at-most", identity, element, Aspect.AT_MOST, sentence)
        yield from _of_content(identity, part.name, element, part.content)


def _of_content(identity: str, name: str, at: str, content: Content) -> Iterator[Requirement]:
    number, element = f"{identity}.{name}", f"{at}.value[x]"
    what = (
        f"The extension `{identity}`"
        if name == "value" and at == "Extension"
        else f"Part `{name}` of the extension `{identity}`"
    )
    yield Requirement(
        f"{number}.kind", identity, element, Aspect.KIND, f"{what} SHALL have a value of the type `{content.kind}`."
    )
    if content.targets:
        yield Requirement(
            f"{number}.target", identity, element, Aspect.KIND, f"{what} SHALL lead to {_either(content.targets)}."
        )
    if content.table is None:
        return
    if content.other:
        rule = own_table(content.table)
        yield Requirement(f"{number}.{rule.key}", identity, element, Aspect.RULE, f"{what}: {rule.human}", key=rule.key)
    else:
        sentence = f"{what} SHALL have a code of the ValueSet `{table_id(content.table)}`."
        yield Requirement(f"{number}.code", identity, element, Aspect.CODE, sentence)


def csv_text() -> str:
    """Return the rows as CSV (RFC 4180, lines ended by a line feed)."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(HEADINGS)
    for one in requirements():
        releases = " ".join(release.value for release in one.releases)
        test = _TEST.format(one.releases[0].value, one.number)
        writer.writerow((one.number, one.definition, releases, one.element, one.sentence, test))
    return out.getvalue()
