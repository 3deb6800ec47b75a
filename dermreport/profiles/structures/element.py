"""What one line of a profile says of one element, and in words: the shape of the tables, without their content.

A path is that of the element's id below the resource's type, as ``component:light.value[x]``. What a line leaves out
stays as the resource's own definition has it. Each line has a number that it keeps for ever; a new line takes a new
one, so that a test or a contract can name a requirement.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING, Any, Final, NamedTuple

from dermreport.fhir.releases import Release

if TYPE_CHECKING:
    from collections.abc import Iterator

#: All releases, those with R4's elements, and R5.
ALL: Final = frozenset(Release)
R4: Final = frozenset((Release.R4, Release.R4B))
R5: Final = frozenset((Release.R5,))


class Aspect(StrEnum):
    """What a line can demand of its element; the word ends the number of the requirement."""

    GIVEN = "given"
    AT_MOST = "at-most"
    KIND = "kind"
    VALUE = "value"
    CODE = "code"
    RULE = "rule"


class Fixed(NamedTuple):
    """A value that the element must have, or contain.

    Attributes:
        element: ``fixed`` for exactly this value, ``pattern`` for at least this.
        kind: FHIR's type of it.
        value: The value.
        words: The value in words.
    """

    element: str
    kind: str
    value: Any
    words: str


class Slicing(NamedTuple):
    """By what the repetitions of an element are told apart.

    Attributes:
        by: How: ``value`` or ``pattern``, ``profile``, ``type``.
        path: Where, from the element.
    """

    by: str
    path: str


class Invariant(NamedTuple):
    """A condition on an element.

    Attributes:
        key: Its key, which no other condition of the profile has.
        human: What it asks, in a sentence with SHALL.
        expression: FHIRPath.
    """

    key: str
    human: str
    expression: str


@dataclass(frozen=True, slots=True)
class Element:
    """One line of a profile.

    Attributes:
        number: Number of the line in its profile.
        path: The element.
        means: What it holds, in a few words.
        low: At least so many, where the resource itself asks fewer.
        high: At most so many, where the resource itself allows more; ``None`` leaves it.
        types: Types that it may have; empty leaves them.
        targets: Types that a Reference may lead to; empty leaves them.
        profiles: URLs of the definitions that it must follow.
        fixed: A value that it must have or contain.
        value_set: Id of our ValueSet from which its code must come.
        rules: Conditions on it.
        slicing: How its repetitions are told apart.
        supported: Whether a sender who has the content must write it, and a receiver keep it.
        releases: The releases in which the line stands.
        family: Code of the row that the line was made from, where one number stands for a family of lines.
    """

    number: int
    path: str
    means: str = ""
    low: int | None = None
    high: int | None = None
    types: tuple[str, ...] = ()
    targets: tuple[str, ...] = ()
    profiles: tuple[str, ...] = ()
    fixed: Fixed | None = None
    value_set: str = ""
    rules: tuple[Invariant, ...] = ()
    slicing: Slicing | None = None
    supported: bool = True
    releases: frozenset[Release] = ALL
    family: str = ""

    @property
    def slice_name(self) -> str:
        """Name of the slice that the line begins, or ``""``."""
        return self.path.rpartition(".")[2].partition(":")[2]

    @property
    def tells_apart(self) -> bool:
        """Whether the line only says by which value a slice is known: without it, it isn't that slice."""
        return _TELLS_APART(self.path) is not None

    def demands(self) -> Iterator[Aspect]:
        """Return what the line demands beyond the resource's own definition."""
        if self.tells_apart:
            return
        if self.low:
            yield Aspect.GIVEN
        if self.high is not None:
            yield Aspect.AT_MOST
        if self.types or self.targets:
            yield Aspect.KIND
        if self.fixed is not None and not self.slice_name:
            yield Aspect.VALUE
        if self.value_set:
            yield Aspect.CODE
        if self.rules:
            yield Aspect.RULE


_TELLS_APART: Final = re.compile(
    r"(?:component:[a-z-]+\.code|:ours\.system|extension:[a-z-]+\.url|agent:[a-z]+\.type|entity:[a-z]+\.role|entry:[a-z]+\.resource)\Z"
).search


@dataclass(frozen=True, slots=True)
class Profile:
    """One profile.

    Attributes:
        name: The last part of its id, behind ``dermoscopy-``: what ``meta.profile`` claims.
        resource: The resource type.
        title: Its title.
        description: What it is for.
        elements: Its lines, in any order.
        parent: Name of the profile that it refines, or ``""``.
        releases: The releases that have it.
    """

    name: str
    resource: str
    title: str
    description: str
    elements: tuple[Element, ...]
    parent: str = ""
    releases: frozenset[Release] = ALL

    def lines(self, release: Release) -> list[Element]:
        """Return the lines that stand in a release."""
        return [element for element in self.elements if release in element.releases]
