"""What a plugin gives: frozen values that a host's settings carry; ``plugins`` loads one and holds it to them.

A plugin only ever adds: none of these values can name something of the library's own in order to change it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING, Any, Final, NamedTuple

from dermreport.issues import SettingsError, Severity

if TYPE_CHECKING:
    # Settings are imported with the package: only a review needs the rest.
    from dermreport.codings import ExtraCoding
    from dermreport.examination.base import OtherCode
    from dermreport.expressions.nodes import Expression
    from dermreport.issues import Issue
    from dermreport.letter_file import LetterKind
    from dermreport.pathway import Pathway
    from dermreport.scores.method import Method
    from dermreport.sources import Basis


@dataclass(frozen=True, slots=True, kw_only=True)
class About:
    """Who a plugin is.

    Attributes:
        name: Its name: small letters, digits and hyphens, at most 32; in the ids of all that it adds.
        version: Its version, which each report names.
        title: What it is called.
        system: URI of its own code system, in which its rows and methods have their codes.
    """

    name: str
    version: str
    title: str
    system: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One row of a plugin's own code system: an entry has it as a code that isn't ours.

    Attributes:
        code: The code.
        display: What it is called.
        definition: What it means, in one sentence.
        codings: Codes of other systems that say the same; they stand beside it in what is sent.
    """

    code: str
    display: str
    definition: str
    codings: tuple[OtherCode, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Rule:
    """One rule of a plugin. A departure that names it as ``plugin/rule`` makes its issue information.

    Attributes:
        id: The plugin's name, a dot, and its own; before a warning sign's stands ``flag-``.
        when: The condition that makes an issue. An open condition makes none.
        message: What to do, for a clinician; ``{names}`` are filled from ``shown``.
        basis: Where it comes from and how it is known.
        severity: A warning or an information: an error would make a report preliminary by a plugin's word.
        at: Where the issue points, relative to the item where the rule looks at items; ``""`` for all of it.
        each: Path of the list whose items are looked at one by one; ``""`` for the examination as a whole.
        shown: Names in the message and the path of the code or count that each shows.
        sign: Whether it is a warning sign: it stands first wherever signs stand, and makes the word on the whole
            suspicious.
    """

    id: str
    when: Expression
    message: str
    basis: Basis
    severity: Severity = Severity.WARNING
    at: str = ""
    each: str = ""
    shown: tuple[tuple[str, str], ...] = ()
    sign: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class LetterSection:
    """Lines at the end of a letter, below a title of the plugin's.

    Attributes:
        id: Its id within the plugin.
        title: What stands above the lines.
        kinds: In which kinds of letters it stands.
        write: Gives the lines for a reviewed lesion, of which it gets a copy; none leaves it out. A line is text and
            nothing in it is markup.
    """

    id: str
    title: str
    kinds: tuple[LetterKind, ...]
    write: Callable[[Any], Iterable[str]]


@dataclass(frozen=True, slots=True, kw_only=True)
class ResourceMaker:
    """Makes more FHIR resources of a report.

    Attributes:
        id: Its id within the plugin.
        make: Takes a :class:`Making`, and gives resources by a key that stays the same at every revision: small
            letters, digits and hyphens.
    """

    id: str
    make: Callable[[Making], Mapping[str, Mapping[str, Any]]]


class Making(NamedTuple):
    """What a plugin makes resources of; all of it are copies.

    Attributes:
        review: The review; its settings say which code systems the host sends, which is a maker's to keep to.
        release: The release of FHIR, as ``R4``.
        resources: The library's own resources of this examination, each with its id.
        report: A Reference to the report.
        subject: A Reference to the patient.
        lesion: A Reference to the lesion.
        own: Gives a Reference to another resource of the same maker, by its key.
    """

    review: Any
    release: str
    resources: tuple[dict[str, Any], ...]
    report: dict[str, Any]
    subject: dict[str, Any]
    lesion: dict[str, Any]
    own: Callable[[str], dict[str, Any]]


@dataclass(frozen=True, kw_only=True)
class Plugin:
    """A plugin that was loaded: all that it adds, held to what it may add.

    Attributes:
        about: Who it is.
        rows: Rows of its code system.
        codings: Codes that stand beside ours.
        methods: Its methods.
        rules: Its rules.
        pathways: Its pathways; none is in force unless the settings say so.
        sections: Sections of letters.
        resources: What makes resources.
    """

    about: About
    rows: tuple[Row, ...] = ()
    codings: tuple[ExtraCoding, ...] = ()
    methods: tuple[Method, ...] = ()
    rules: tuple[Rule, ...] = ()
    pathways: tuple[Pathway, ...] = ()
    sections: tuple[LetterSection, ...] = ()
    resources: tuple[ResourceMaker, ...] = ()

    def __hash__(self) -> int:
        """Hash by who it is: its parts are large."""
        return hash(self.about)

    @cached_property
    def rows_by_code(self) -> Mapping[str, Row]:
        """Its rows by their codes."""
        return {row.code: row for row in self.rows}

    @property
    def is_in_reports(self) -> bool:
        """Whether each report is made with it: with its codes, methods or rules."""
        return bool(self.rows or self.codings or self.methods or self.rules)


class Refused(NamedTuple):
    """A plugin that isn't used because something in it doesn't fit: by name and version, as far as they are known."""

    name: str
    version: str


@dataclass(frozen=True)
class Plugins:
    """The plugins of one host: ``load_plugins`` gives it, and its settings carry it.

    Attributes:
        loaded: Those that are used, in the order in which they were asked for.
        refused: Those that aren't, because something in them doesn't fit.
        issues: What doesn't fit, of each of these.
    """

    loaded: tuple[Plugin, ...] = ()
    refused: tuple[Refused, ...] = ()
    issues: tuple[Issue, ...] = ()

    @property
    def names(self) -> tuple[str, ...]:
        """The names of those that are used."""
        return tuple(one.about.name for one in self.loaded)

    @cached_property
    def codings(self) -> tuple[ExtraCoding, ...]:
        """Codes that stand beside ours."""
        return tuple(coding for one in self.loaded for coding in one.codings)

    @cached_property
    def rows(self) -> tuple[tuple[str, Row], ...]:
        """Rows, each with its system."""
        return tuple((one.about.system, row) for one in self.loaded for row in one.rows)

    def pathway(self, name: str) -> Pathway:
        """Return a pathway that a plugin brings, for ``Settings(pathway=…)``.

        Args:
            name: The plugin's name and the pathway's id, as ``plugin/pathway``.

        Raises:
            SettingsError: No plugin that is used has it.
        """
        plugin, _, wanted = name.partition("/") if isinstance(name, str) else ("", "", "")
        found = (path for one in self.loaded if one.about.name == plugin for path in one.pathways if path.id == wanted)
        pathway = next(found, None)
        if pathway is None:
            raise SettingsError("plugins: no plugin that is used has this pathway: it is named as plugin/pathway")
        return pathway

    def without(self, names: frozenset[str]) -> Plugins:
        """Return the same without some of those that are used."""
        return replace(self, loaded=tuple(one for one in self.loaded if one.about.name not in names))


#: What a host has that asked for none.
NONE: Final = Plugins()
