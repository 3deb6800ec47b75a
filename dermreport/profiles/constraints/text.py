"""A rule's condition as FHIRPath that is true or false: whether it is surely met, or surely not.

The condition language has three values, and an open condition makes no issue. Here each part is said as «surely so» or
«surely not so», so that no text is ever empty and every engine joins them alike. Where fields stand is said by
:mod:`dermreport.profiles.constraints.fields`; derived facts are said by :mod:`dermreport.profiles.constraints.facts`.
"""

from __future__ import annotations

import operator
from collections import Counter
from collections.abc import Callable
from dataclasses import replace
from enum import Enum
from functools import singledispatchmethod
from typing import TYPE_CHECKING, Final
from typing import Any as AnyValue

from dermreport.answers import MADE_OF_PARTS
from dermreport.expressions.fhirpath import NotSaidHereError
from dermreport.expressions.nodes import (
    All,
    Any,
    AtLeast,
    ColourSeen,
    Exists,
    Expression,
    Fact,
    Found,
    Given,
    Holds,
    Is,
    MoreThan,
    MoreThanAt,
    Not,
    Present,
)
from dermreport.expressions.structure_fhirpath import StructureTexts, wholes_that_need
from dermreport.profiles.constraints.fields import (
    IN_FORCE,
    LISTS,
    Field,
    about,
    advice_field,
    class_of_items,
    coded,
    component,
    condition_of_items,
    field_of_item,
    field_of_statement,
    report_field,
    resource_of_items,
    rows_of_objects,
    single_rows,
    table_of,
)
from dermreport.profiles.constraints.people import PEOPLE
from dermreport.vocabulary.attributes import Attribute
from dermreport.vocabulary.colours import Colour
from dermreport.vocabulary.judgements import Judgement
from dermreport.vocabulary.places import Place
from dermreport.vocabulary.presences import Presence
from dermreport.vocabulary.replies import Reply
from dermreport.vocabulary.structures import Structure, family_of
from dermreport.wording.items import FINDING

if TYPE_CHECKING:
    from decimal import Decimal

    from dermreport.fhir.releases import Release
    from dermreport.vocabulary.term import Term
    from dermreport.wording.items import Item


class Spot(Enum):
    """What a constraint stands on: the resource that is at hand when it is evaluated."""

    BUNDLE = "bundle"
    ITEM = "item"
    STATEMENT = "statement"
    REPORT = "report"


class Text:
    """Says conditions on one spot.

    Attributes:
        release: The release.
        spot: What the constraint stands on.
        items: The list of which an item is at hand, ``""`` where none is.
    """

    def __init__(self, release: Release, spot: Spot, items: str = "", statement: Item | None = None) -> None:
        """Take the release and the spot; with ``Spot.ITEM`` the item's list, with ``Spot.STATEMENT`` its row."""
        self.release = release
        self.spot = spot
        self.items = items
        self._inside = False
        self._statement = statement
        self._structures = StructureTexts(_RecordedInWords())

    def within(self, items: str) -> Text:
        """Return how conditions are said inside a criterion on the items of a list."""
        if items == self.items:
            return self
        made = Text(self.release, self.spot, items, self._statement)
        made._inside = True
        return made

    def nested(self) -> Text:
        """Return how conditions are said inside any criterion, where the bundle isn't at hand."""
        made = Text(self.release, self.spot, self.items, self._statement)
        made._inside = True
        return made

    # --- where things are ---------------------------------------------------------------------------------------------

    @property
    def root(self) -> str:
        """Path to the bundle; nothing where it is at hand itself.

        Raises:
            NotSaidHereError: No bundle can be seen from here.
        """
        if self.spot is not Spot.BUNDLE:
            raise NotSaidHereError("the bundle")
        return "%resource." if self._inside else ""

    def resources(self, kind: str, condition: str = IN_FORCE) -> str:
        """Return the path to the bundle's resources of a type that meet a condition."""
        return f"{self.root}entry.resource.ofType({kind}).where({condition})"

    def observations(self, *attributes: Attribute) -> str:
        """Return the path to the Observations about one of these."""
        return self.resources("Observation", f"{about(*attributes)} and {IN_FORCE}")

    def all_items(self, items: str) -> str:
        """Return the path to the resources of a list's items."""
        return self.resources(resource_of_items(items, self.release), condition_of_items(items))

    def report(self, path: str) -> Field:
        """Return a field of the report."""
        found = report_field(path, self.release)
        if found is None:
            raise NotSaidHereError(path)
        if self.spot is Spot.REPORT:
            return found
        return _below(self.resources("DiagnosticReport"), found)

    def field(self, path: str) -> Field:
        """Return a field by its path, with what it asks of a row already taken off.

        Raises:
            NotSaidHereError: It isn't in the resource at hand.
        """
        if path.startswith("@."):
            if not self.items:
                raise NotSaidHereError(path)
            return field_of_item(self.items, path.removeprefix("@."), self.release)
        if report_field(path, self.release) is not None:
            return self.report(path)
        if self.spot is Spot.BUNDLE:
            return self._of_bundle(path)
        if self.spot is Spot.STATEMENT and self._carries(path):
            return field_of_statement("", path)
        if path == "lesion.site" and self._observation_at_hand:
            return Field("", coding="bodySite.coding", table=table_of(path)[1], given="bodySite.coding.exists()")
        raise NotSaidHereError(path)

    @property
    def _observation_at_hand(self) -> bool:
        of_item = self.spot is Spot.ITEM and resource_of_items(self.items, self.release) == "Observation"
        return of_item or self.spot is Spot.STATEMENT

    def _carries(self, path: str) -> bool:
        row = single_rows().get(path)
        return row is not None and row[0] is self._statement

    def _of_bundle(self, path: str) -> Field:
        advice = advice_field(path)
        if advice is not None:
            return _below(self.resources("Communication"), advice)
        row = single_rows().get(path)
        if row is None:
            raise NotSaidHereError(path)
        return field_of_statement(self.observations(row[0].attribute), path)

    def split(self, path: str) -> tuple[Field, tuple[str, ...]]:
        """Return the field of a path, and what the path asks of the row of its table."""
        if path.startswith("@."):
            way, _, asked = (
                table_of(path.removeprefix("@."), class_of_items(self.items)) if self.items else ((), None, ())
            )
            return self.field(f"@.{'.'.join(way)}"), asked
        way, _, asked = table_of(path)
        return self.field(".".join(way)), asked

    # --- the two ways to say a condition ------------------------------------------------------------------------------

    def surely(self, condition: Expression) -> str:
        """Return whether a condition is met: true or false, an open one counts as not met.

        Raises:
            NotSaidHereError: Something in it can't be said on this spot.
        """
        recorded = recorded_leaf(condition)
        return self._surely(condition) if recorded is None else self._is(recorded)

    def surely_not(self, condition: Expression) -> str:
        """Return whether a condition is surely not met: true or false, an open one counts as possibly met.

        Raises:
            NotSaidHereError: Something in it can't be said on this spot.
        """
        recorded = recorded_leaf(condition)
        return self._surely_not(condition) if recorded is None else negated(self._is(recorded))

    @singledispatchmethod
    def _surely(self, condition: Expression) -> str:
        raise NotSaidHereError(type(condition).__name__)

    @singledispatchmethod
    def _surely_not(self, condition: Expression) -> str:
        raise NotSaidHereError(f"not {type(condition).__name__}")

    @_surely.register
    def _(self, node: All) -> str:
        return joined(" and ", [self.surely(part) for part in node.parts], "true")

    @_surely_not.register
    def _(self, node: All) -> str:
        return joined(" or ", [self.surely_not(part) for part in node.parts], "false")

    @_surely.register
    def _(self, node: Any) -> str:
        return joined(" or ", self._some_surely(factored(node.parts)), "false")

    @_surely_not.register
    def _(self, node: Any) -> str:
        return joined(" and ", [self.surely_not(part) for part in node.parts], "true")

    @_surely.register
    def _(self, node: Not) -> str:
        return self.surely_not(node.part)

    @_surely_not.register
    def _(self, node: Not) -> str:
        return self.surely(node.part)

    @_surely.register
    def _(self, node: Given) -> str:
        return self._given(node.path)

    @_surely_not.register
    def _(self, node: Given) -> str:
        return negated(self._given(node.path))

    @_surely.register
    def _(self, node: Is) -> str:
        return self._is(node)

    @_surely_not.register
    def _(self, node: Is) -> str:
        return f"({self._given(node.path)} and {negated(self._is(node))})"

    @_surely.register
    def _(self, node: Holds) -> str:
        return self._answer(node.path, yes=True)

    @_surely_not.register
    def _(self, node: Holds) -> str:
        return self._answer(node.path, yes=False)

    @_surely.register
    def _(self, node: AtLeast) -> str:
        return self._number(node.path, ">=", node.limit)

    @_surely_not.register
    def _(self, node: AtLeast) -> str:
        return self._number(node.path, "<", node.limit)

    @_surely.register
    def _(self, node: MoreThan) -> str:
        return self._number(node.path, ">", node.limit)

    @_surely_not.register
    def _(self, node: MoreThan) -> str:
        return self._number(node.path, "<=", node.limit)

    @_surely.register
    def _(self, node: MoreThanAt) -> str:
        return self._larger(node.path, ">", node.other)

    @_surely_not.register
    def _(self, node: MoreThanAt) -> str:
        return self._larger(node.path, "<=", node.other)

    @_surely.register
    def _(self, node: Present) -> str:
        return self._present(node.structure)

    @_surely_not.register
    def _(self, node: Present) -> str:
        return self.of_structures(self._structures.absent(node.structure))

    @_surely.register
    def _(self, node: ColourSeen) -> str:
        return self._colour_seen(node.colour)

    @_surely.register
    def _(self, node: Found) -> str:
        return self._found(node.structure, node.where)

    @_surely.register
    def _(self, node: Exists) -> str:
        return self._some(node.path, node.where)

    @_surely_not.register
    def _(self, node: Exists) -> str:
        return self._none(node.path, node.where)

    @_surely.register
    def _(self, node: Fact) -> str:
        return self._fact(node.name)

    @_surely_not.register
    def _(self, node: Fact) -> str:
        return self._not_fact(node.name)

    def _some_surely(self, parts: tuple[Expression, ...]) -> list[str]:
        """Return the texts of the parts of an «or»; structures that a finding alone makes present are asked at once."""
        alone = [part.structure for part in parts if isinstance(part, Present) and _by_findings_alone(part.structure)]
        if len(alone) < 2:  # noqa: PLR2004 - one question can't be joined
            return [self.surely(part) for part in parts]
        structures = tuple(dict.fromkeys(member for structure in alone for member in family_of(structure)))
        others = [part for part in parts if not (isinstance(part, Present) and part.structure in alone)]
        return [self._any_present(structures), *(self.surely(part) for part in others)]

    # --- leaves -------------------------------------------------------------------------------------------------------

    def is_one_of(self, path: str, *terms: Term | bool) -> str:
        """Return whether one of these is recorded at a path."""
        return self._is(Is(path, terms))

    def _is(self, leaf: Is) -> str:
        field, asked = self.split(leaf.path)
        if asked:
            return field.is_one_of(_rows(field.table, asked, leaf.values))
        if field.table is None:
            return field.exists(" or ".join(f"value = {str(value).lower()}" for value in leaf.values))
        return field.is_one_of(tuple(value for value in leaf.values if not isinstance(value, bool)))

    def _given(self, path: str) -> str:
        if path in _LISTS_OF_ITEMS:
            return f"{self.all_items(path)}.exists()"
        if path in rows_of_objects() and path not in single_rows():
            return f"{self.observations(*(item.attribute for item in rows_of_objects()[path]))}.exists()"
        if path in PEOPLE:
            return PEOPLE[path](self)
        field, asked = self.split(path)
        if asked:
            return field.is_one_of(_rows_with(field.table, asked))
        return field.recorded()

    def _answer(self, path: str, *, yes: bool) -> str:
        field, asked = self.split(path)
        if asked or field.table not in {Reply, Judgement}:
            raise NotSaidHereError(path)
        if field.table is Reply:
            return field.is_one_of((Reply.YES if yes else Reply.NO,))
        return field.is_one_of((Judgement.YES if yes else Judgement.NO,))

    def _number(self, path: str, comparison: str, limit: int | Decimal) -> str:
        field, asked = self.split(path)
        if asked:
            return field.is_one_of(_rows_where(field.table, asked, comparison, limit))
        return field.compares(comparison, limit)

    def _larger(self, path: str, comparison: str, other: str) -> str:
        one, another = (field.path(field.number) for field, _ in (self.split(path), self.split(other)))
        return f"iif({one} {comparison} {another}, true, false)"

    def _colour_seen(self, colour: Colour) -> str:
        seen = self.field_of_colours().is_one_of((colour,))
        listed = self.field_of_colours().recorded()
        place = self.within(FINDING.path).is_one_of("@.place", Place.OUTSIDE)
        findings = f"{PRESENT} and {component(Attribute.COLOUR)}.value.coding.exists({coded(Colour, (colour,))})"
        in_finding = f"{self.all_items(FINDING.path)}.exists({findings} and {negated(place)})"
        return f"({seen} or ({negated(listed)} and {in_finding}))"

    def field_of_colours(self) -> Field:
        """Return the list of colours of the whole lesion."""
        return self.field("description.colours")

    def _found(self, structure: Structure, where: Expression) -> str:
        inside = self.within(FINDING.path)
        described = (
            f"{inside.is_one_of('@.presence', Presence.PRESENT)} and "
            f"code.coding.exists({coded(Structure, family_of(structure))}) and {inside.surely(where)}"
        )
        if wholes_that_need(structure) or structure in MADE_OF_PARTS:
            raise NotSaidHereError("a finding of what is made of parts")
        return f"{self.all_items(FINDING.path)}.exists({described})"

    def _some(self, path: str, where: Expression) -> str:
        if isinstance(where, Is) and where.path == "@":
            return self._holds_one(path, where)
        return f"{self.all_items(path)}.exists({bare(self.within(path).surely(where))})"

    def _none(self, path: str, where: Expression) -> str:
        if isinstance(where, Is) and where.path == "@":
            return negated(self._holds_one(path, where))
        return f"{self.all_items(path)}.all({bare(self.within(path).surely_not(where))})"

    def _holds_one(self, path: str, where: Is) -> str:
        """Return whether a list of codes has one of these."""
        field, asked = self.split(path)
        if not asked:
            return field.is_one_of(tuple(value for value in where.values if not isinstance(value, bool)))
        if field.table is None:
            raise NotSaidHereError(path)
        rows = tuple(row for row in field.table if not set(where.values).isdisjoint(_asked_of(row, asked)))
        return field.is_one_of(rows)

    def _fact(self, name: str) -> str:
        from dermreport.profiles.constraints.facts import said  # noqa: PLC0415 - facts are made of these texts

        return said(name, self)

    def _not_fact(self, name: str) -> str:
        from dermreport.profiles.constraints.facts import never_open  # noqa: PLC0415 - facts are made of these texts

        if not never_open(name):
            raise NotSaidHereError(f"not {name}")
        return negated(self._fact(name))

    # --- structures ---------------------------------------------------------------------------------------------------

    @property
    def structures(self) -> StructureTexts:
        """How structures are said inside :meth:`of_structures`."""
        return self._structures

    def _present(self, structure: Structure) -> str:
        if _by_findings_alone(structure):
            return self._any_present(family_of(structure))
        return self.of_structures(self._structures.present(structure))

    def _any_present(self, structures: tuple[Structure, ...]) -> str:
        """Return whether one of several structures has a finding that counts as present, or is the pattern."""
        these = coded(Structure, structures)
        found = self.within(FINDING.path).all_items(FINDING.path)
        unless_found = f"(code in {found}.code.coding.code).not()"
        patterns = self.observations(Attribute.PATTERN)
        return (
            f"({self.all_items(FINDING.path)}.where({PRESENT}).code.coding.exists({these}) or "
            f"{patterns}.value.coding.exists({these} and {unless_found}))"
        )

    def of_structures(self, condition: str) -> str:
        """Return a condition on all structures at once: what is recorded of each is put into words that are searched.

        The words are ``present:``, ``absent:`` or ``open:`` for each finding, ``entered-present:`` and so on for the
        clinician's own answer, ``unticked:`` or ``listed:`` for each item of a list, each with the structure's code.
        A pattern without a finding is present.
        """
        inside = self.within(FINDING.path)
        structure = f"code.coding.where({coded(Structure)}).code & ';'"
        findings = self.all_items(FINDING.path)
        found = self.within(FINDING.path).all_items(FINDING.path)
        entered = " | ".join(
            f"{findings}.where({inside.is_one_of('@.presence', presence)})"
            f".select(' entered-{presence.value}:' & {structure})"
            for presence in (Presence.PRESENT, Presence.ABSENT)
            if f" entered-{presence.value}:" in condition
        )
        pattern = f"{self.observations(Attribute.PATTERN)}.value.coding.where({coded(Structure)}"
        words = [
            f"{findings}.select(iif({PRESENT}, ' present:', iif({ABSENT}, ' absent:', ' open:')) & {structure})",
            f"{self.all_items(LISTS)}.component.select(iif({ABSENT}, ' unticked:', ' listed:') & {structure})",
            f"{pattern} and (code in {found}.code.coding.code).not()).select(' present:' & code & ';')",
            *([entered] if entered else []),
        ]
        return f"('.' | {' | '.join(words)}).join('').select({condition})"


_LISTS_OF_ITEMS: Final = frozenset(
    (
        "findings",
        "views",
        "images",
        "outcomes",
        LISTS,
        "plan.actions",
        "plan.departures",
        "assessment.impressions",
        "background.earlier_skin_cancers",
        "lesion.bedside_tests",
    )
)

#: A finding counts as present.
PRESENT: Final = f"value.coding.exists({coded(Presence, (Presence.PRESENT,))})"
ABSENT: Final = f"value.coding.exists({coded(Presence, (Presence.ABSENT,))})"


def _by_findings_alone(structure: Structure) -> bool:
    return structure not in MADE_OF_PARTS and not any(wholes_that_need(member) for member in family_of(structure))


class _RecordedInWords:
    """What is recorded of structures, in the words of :meth:`Text.of_structures`; see :class:`Recorded`."""

    def any_present(self, structures: tuple[Structure, ...]) -> str:
        """Return whether one of them has a finding that counts as present, or is a pattern without a finding."""
        return _worded(("present",), structures)

    def absent(self, structure: Structure) -> str:
        """Return whether its findings count as absent, or the statement of a list where nothing else is said."""
        return (
            f"({_worded(('absent', 'unticked'), (structure,))} and {_worded(('present', 'open'), (structure,))}.not())"
        )

    def said(self, structure: Structure) -> str:
        """Return whether there is a finding of it, a list with it, or it as the pattern."""
        return _worded(("present", "absent", "open", "unticked", "listed"), (structure,))

    def found(self, structure: Structure) -> str:
        """Return whether there is a finding of it; one that is present needn't be asked for."""
        return _worded(("absent", "open"), (structure,))


def _worded(words: tuple[str, ...], structures: tuple[Structure, ...]) -> str:
    """Return whether one of the words is said of one of the structures."""
    if len(words) == len(structures) == 1:
        return f"$this.contains(' {words[0]}:{structures[0].value};')"
    word = words[0] if len(words) == 1 else f"({'|'.join(words)})"
    structure = structures[0].value if len(structures) == 1 else f"({'|'.join(one.value for one in structures)})"
    return f"$this.matches('^.* {word}:{structure};.*$')"


def factored(parts: tuple[Expression, ...]) -> tuple[Expression, ...]:
    """Return parts of an «or» with what several of them ask taken out, so that it is said once.

    What most parts ask is taken out first: ``(a and c) or (b and c)`` becomes ``c and (a or b)``.
    """
    asked = [_asked_together(part) for part in parts]
    counts = Counter(one for part in asked for one in dict.fromkeys(part))
    shared, times = max(counts.items(), key=lambda item: item[1], default=(None, 0))
    if shared is None or times < 2:  # noqa: PLR2004 - what one part asks is said once anyway
        return parts
    inside = [(part, one) for part, one in zip(parts, asked, strict=True) if shared in one]
    rests = tuple(All(tuple(one for one in asks if one != shared)) for _, asks in inside)
    together = All((shared, Any(rests)))
    others = tuple(part for part, one in zip(parts, asked, strict=True) if shared not in one)
    return factored((together, *others)) if others else (together,)


def _asked_together(condition: Expression) -> tuple[Expression, ...]:
    """Return the conditions that must all be met: parts of an «and», and the opposites of the parts of a «nor»."""
    if recorded_leaf(condition) is not None:
        return (condition,)
    match condition:
        case All(parts):
            return tuple(one for part in parts for one in _asked_together(part))
        case Not(Any(parts)):
            return tuple(one for part in parts for one in _asked_together(Not(part)))
    return (condition,)


def recorded_leaf(condition: Expression) -> Is | None:
    """Return the leaf of «something is recorded at a path, and it is one of these», which is the leaf alone."""
    match condition:
        case All((Given(given), Is(path, _) as leaf)) if given == path:
            return leaf
    return None


def negated(text: str) -> str:
    """Return a text's opposite."""
    if text in {"true", "false"}:
        return "false" if text == "true" else "true"
    if text.endswith(".not()") and _one_term(text):
        return text.removesuffix(".not()")
    return f"{text}.not()"


def _one_term(text: str) -> bool:
    """Return whether a text is one call or path, so that a call at its end is about the whole of it."""
    depth = 0
    for position, character in enumerate(text):
        depth += (character == "(") - (character == ")")
        if depth == 0 and character == " " and position:
            return False
    return True


def bare(text: str) -> str:
    """Return a text without brackets around the whole of it, for a place that has brackets of its own."""
    if not text.startswith("("):
        return text
    depth = 0
    for position, character in enumerate(text):
        depth += (character == "(") - (character == ")")
        if depth == 0:
            return text[1:-1] if position == len(text) - 1 else text
    return text


def joined(operator: str, texts: list[str], nothing: str) -> str:
    """Return texts joined by ``and`` or ``or``; what decides nothing is left out."""
    decides = "false" if operator == " and " else "true"
    if decides in texts:
        return decides
    kept = [text for text in dict.fromkeys(texts) if text not in {"true", "false"}]
    if not kept:
        return nothing
    return kept[0] if len(kept) == 1 else f"({operator.join(kept)})"


def _below(base: str, field: Field) -> Field:
    return replace(field, base=f"{base}.{field.base}" if field.base else base)


def _asked_of(row: Term, asked: tuple[str, ...]) -> tuple[object, ...]:
    """Return what a row says at the names asked: the members of a list, one value, or nothing."""
    value: object = row
    for name in asked:
        value = getattr(value, name, None)
    if value is None:
        return ()
    return tuple(value) if isinstance(value, tuple | frozenset) else (value,)


def _table(table: type[Term] | None) -> tuple[Term, ...]:
    if table is None:
        raise NotSaidHereError("a row without a table")
    return tuple(table)


def _rows(table: type[Term] | None, asked: tuple[str, ...], values: tuple[Term | bool, ...]) -> tuple[Term, ...]:
    return tuple(row for row in _table(table) if any(value in values for value in _asked_of(row, asked)))


def _rows_with(table: type[Term] | None, asked: tuple[str, ...]) -> tuple[Term, ...]:
    return tuple(row for row in _table(table) if _asked_of(row, asked))


_COMPARED: Final[dict[str, Callable[[AnyValue, AnyValue], AnyValue]]] = {
    ">": operator.gt,
    ">=": operator.ge,
    "<": operator.lt,
    "<=": operator.le,
}


def _rows_where(
    table: type[Term] | None, asked: tuple[str, ...], comparison: str, limit: int | Decimal
) -> tuple[Term, ...]:
    compare = _COMPARED[comparison]
    return tuple(row for row in _table(table) if any(compare(value, limit) for value in _asked_of(row, asked)))
