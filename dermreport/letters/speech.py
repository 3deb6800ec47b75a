"""How a letter says codes, numbers, times and items of the entry in its language; entered words stay marked."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import TYPE_CHECKING, Any

from dermreport.examination.base import OtherCode
from dermreport.expressions.nodes import ColourSeen, Fact, Found, Present, Unresolved, entry_path, paths_of
from dermreport.letters.blocks import Entered, Line
from dermreport.scores.method import CAUTIONS, OwnCode
from dermreport.vocabulary.attributes import Attribute
from dermreport.vocabulary.structures import Structure
from dermreport.vocabulary.term import Term
from dermreport.wording.items import Kind, Part, Statement, Unit, attributes_of_paths, details
from dermreport.wording.sentences import path_words

if TYPE_CHECKING:
    from dermreport.issues import Issue
    from dermreport.languages.language import Language
    from dermreport.letters.catalogue import Catalogue
    from dermreport.pathway import Pathway
    from dermreport.plots.body_map.marks import MapTexts
    from dermreport.scores.engine import OpenInput, ScoreResult
    from dermreport.vocabulary.lights import Light
    from dermreport.vocabulary.sites import Site
    from dermreport.vocabulary.summaries import Summary
    from dermreport.wording.items import Item

_is_day = re.compile(r"(\d{4})(?:-(\d\d)(?:-(\d\d)(?:T(\d\d:\d\d).*)?)?)?").fullmatch

#: Keys of units in the catalogue, by their UCUM code or what is shown.
_UNITS = {
    "mm": "unit.mm",
    "years": "unit.years",
    "days": "unit.days",
    "%": "unit.percent",
    "times": "unit.times",
    "segments": "unit.segments",
    "count": "unit.count",
    "share": "unit.share",
    "rank": "unit.count",
}


#: Details whose coded answers say nothing without the question: yes and no, and what hid a lesion.
_ASKED = frozenset(
    (
        Attribute.MOBILE,
        Attribute.TENDER,
        Attribute.DIMPLE,
        Attribute.BLANCHES,
        Attribute.ASYMMETRY_CONTOUR,
        Attribute.ASYMMETRY_COLOUR,
        Attribute.ASYMMETRY_STRUCTURE,
        Attribute.DOUBTFUL_COLOUR,
        Attribute.VIEW_LIMIT,
        Attribute.SITE,
        Attribute.PATIENT_INFORMED,
        Attribute.AGREEMENT,
        Attribute.SPECIMEN_EXTENT,
    )
)


def _needs_no_name(part: Part, about: Attribute | None) -> bool:
    """Return whether a detail says by its answer what it is about."""
    return part.attribute is about or (part.kind is Kind.CODE and part.attribute not in _ASKED)


@dataclass(frozen=True, slots=True)
class Speech:
    """A language's words for what a letter says.

    Attributes:
        catalogue: Its sentences.
        language: Its names of what the tables hold.
    """

    catalogue: Catalogue
    language: Language

    def say(self, key: str, **values: str | Line) -> Line:
        """Return a sentence of the catalogue."""
        return self.catalogue.say(key, **values)

    def text(self, key: str) -> str:
        """Return a sentence of the catalogue that has no names."""
        return self.catalogue.text(key)

    @property
    def not_recorded(self) -> Line:
        """What stands where the record says nothing."""
        return (self.text("letter.not-recorded"),)

    def term(self, code: Term | OtherCode | OwnCode) -> Line:
        """Return the display of a code; somebody else's, and a plugin's, is an entered word."""
        if isinstance(code, OtherCode):
            return (Entered(code.display or code.code),)
        if isinstance(code, OwnCode):
            return (Entered(code.display),)
        return (self.language.term(code),)

    def name(self, code: Term | OtherCode) -> Line:
        """Return a code in words: of a structure both names, the descriptive one first."""
        return (self.language.structure(code),) if isinstance(code, Structure) else self.term(code)

    @property
    def cautions(self) -> tuple[str, ...]:
        """What every score and report says of itself."""
        return tuple(self.language.text(one) for one in CAUTIONS)

    def message(self, issue: Issue) -> str:
        """Return what an issue says."""
        return self.language.message(issue)

    def sentence(self, english: str) -> str:
        """Return a sentence of a method, a pathway or the report standard."""
        return self.language.text(english)

    def summary(self, summary: Summary) -> Line:
        """Return the word on the whole, and what it means."""
        return self.say("first.summary-means", summary=self.term(summary), means=self.language.definition(summary))

    def pathway_name(self, pathway: Pathway) -> Line:
        """Return a pathway's title, version and owner."""
        title, owner = self.sentence(pathway.title), self.sentence(pathway.owner)
        return self.say("pathway.full", title=title, version=pathway.version, owner=owner)

    def plain_site(self, site: Site) -> Line:
        """Return a site in words that a patient uses."""
        key = f"site.{site}"
        return (self.text(key),) if self.catalogue.has(key) else self.term(site)

    def number(self, number: Decimal | int, unit: Unit | None = None) -> str:
        """Return a number with the digits that were entered, and its unit."""
        digits = self.language.number(number)
        return "".join(self.say(_UNITS[unit.shown], number=digits)) if unit is not None else digits

    def day(self, time: str) -> str:
        """Return a day, month or year in words, a time of day with it; what isn't one of these as it is."""
        found = _is_day(time)
        if found is None:
            return time
        year, month, day, clock = found.groups()
        if month is None:
            return str(year)
        named = self.text("date.months").split(",")[int(month) - 1]
        if day is None:
            return "".join(self.say("date.month", month=named, year=year))
        said = "".join(self.say("date.day", day=str(int(day)), month=named, year=year))
        return said if clock is None else "".join(self.say("date.clock", date=said, clock=clock))

    def date(self, time: str) -> str:
        """Return a time's day in words, without the time of day."""
        return self.day(time.partition("T")[0])

    def value(self, kind: Kind, unit: Unit, value: Any) -> Line:  # noqa: ANN401 - a value of any kind
        """Return a value of an entry in words."""
        if kind is Kind.CODE:
            return self.name(value)
        if kind is Kind.NUMBER:
            return (self.number(value, unit),)
        if kind is Kind.TRUTH:
            return (self.text("join.yes" if value else "join.no"),)
        if kind is Kind.TIME:
            return (self.day(value),)
        return (Entered(value),)

    def labelled(self, label: str | Line, value: Line) -> Line:
        """Return «label: value»."""
        return self.say("join.label", label=label, value=value)

    def noted(self, said: Line, note: str | None) -> Line:
        """Return something with the examiner's words on it."""
        if not note:
            return said
        return self.say("join.note", said=said, note=(Entered(note),)) if said else (Entered(note),)

    def bracketed(self, said: Line, inside: Line) -> Line:
        """Return something with details in brackets."""
        return self.say("join.brackets", said=said, details=inside) if inside else said

    def details(self, given: Iterable[tuple[Part, Any]], about: Attribute | None = None) -> Line:
        """Return details in words, the members of one list together; one about the same thing isn't named again."""
        told: dict[Part, list[Line]] = {}
        for part, value in given:
            told.setdefault(part, []).append(self.value(part.kind, part.unit, value))
        said = []
        for part, values in told.items():
            together = joined(", ", values)
            said.append(together if _needs_no_name(part, about) else self.labelled(self.term(part.attribute), together))
        return joined("; ", said)

    def statement(self, stated: Statement) -> Line:
        """Return what an entry states on one item, with its name before it."""
        return self.labelled(self.term(stated.item.attribute), self.answer(stated))

    def answer(self, stated: Statement) -> Line:
        """Return what an entry states on one item, without its name."""
        item = stated.item
        said = () if stated.value is None else self.value(item.kind, item.unit, stated.value)
        listed = self.details(stated.parts, item.attribute)
        return self.noted(self.bracketed(said, listed) if said else listed, stated.note)

    def parts(self, item: Item, source: object) -> Line:
        """Return the details that an object of the entry gives on an item."""
        return self.details(details(item, source))

    def light(self, light: Light) -> Line:
        """Return a light in words, as it stands alone."""
        return (self.text(f"light.{light}"),)

    def lights(self, lights: Sequence[Light]) -> Line:
        """Return lights in words, as they stand alone; empty where none is known to be the one."""
        return joined(", ", [self.light(one) for one in lights])

    def in_lights(self, lights: Sequence[Light]) -> Line:
        """Return lights as words that go on from «in»; empty where none is known to be the one."""
        said: Line = ()
        for light in lights:
            one: Line = (self.text(f"in-light.{light}"),)
            said = self.say("join.and", one=said, other=one) if said else one
        return said

    def map_texts(self) -> MapTexts:
        """Return the words of the body map."""
        from dermreport.plots.body_map.marks import ENGLISH, MapTexts  # noqa: PLC0415 - loaded on first use

        say, term, known = self.sentence, self.language.term, ENGLISH
        return MapTexts(
            title=say(known.title),
            drawings={one: term(one) for one in known.drawings},
            sided=say(known.sided),
            sites={one: term(one) for one in known.sites},
            sides={one: term(one) for one in known.sides},
            letters={side: say(letter) for side, letter in known.letters.items()},
            viewed={behind: say(words) for behind, words in known.viewed.items()},
            place=say(known.place),
            with_side=say(known.with_side),
            mark=say(known.mark),
            labelled=say(known.labelled),
            entered=say(known.entered),
            centre=say(known.centre),
            no_site=say(known.no_site),
            no_side=say(known.no_side),
            signs=say(known.signs),
            unmarked_no_site=say(known.unmarked_no_site),
            unmarked_no_side=say(known.unmarked_no_side),
        )

    def open_input(self, one: OpenInput) -> Line:
        """Return an open input of a method in words, with the light in which to look."""
        match one.leaf:
            case Present(structure) | Found(structure, _):
                name = self.name(structure)
                key = f"look.{structure.light}"
                return self.say(key, structure=name) if self.catalogue.has(key) else name
            case ColourSeen(colour):
                return self.labelled(self.term(Attribute.COLOUR), self.term(colour))
            case Fact(name) | Unresolved(name):
                return (self.sentence(name.replace("-", " ")),)
            case str(path):
                return self._path(path)
            case leaf:
                return joined(", ", [self._path(path) for path in paths_of(leaf)])

    def _path(self, path: str) -> Line:
        """Return what the field at a path of the entry is called."""
        about = attributes_of_paths().get(entry_path(path))
        return joined(", ", [self.term(one) for one in about]) if about else (self.sentence(path_words(path)),)

    def criterion(self, result: ScoreResult, criterion: str) -> str:
        """Return what a criterion of a method is called."""
        return self.sentence(next(one.label for one in result.method.criteria if one.id == criterion))

    def ends(self, result: ScoreResult) -> str:
        """Return where the steps of a method end, every end that is still possible."""
        return " / ".join(self.sentence(end.says) for end in result.path.ends) if result.path is not None else ""

    def thresholds(self, result: ScoreResult) -> str:
        """Return a method's thresholds as published."""
        return ", ".join(self.sentence(threshold.text) for threshold in result.method.thresholds)


def joined(between: str, lines: Iterable[Line]) -> Line:
    """Return lines as one, with something between them; empty ones are left out."""
    said: list[str] = []
    for line in lines:
        if line:
            if said:
                said.append(between)
            said.extend(line)
    return tuple(said)


def capital(line: Line) -> Line:
    """Return a line whose first letter is a capital, unless it was entered."""
    if not line or isinstance(line[0], Entered) or not line[0]:
        return line
    return (line[0][0].upper() + line[0][1:], *line[1:])
