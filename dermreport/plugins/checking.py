"""What a plugin gives, held to what a plugin may add: everything that is wrong is gathered, and nothing is half taken.

Nothing is repeated of what a plugin gave but its checked name and version: an issue says what is wrong and where.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import fields
from functools import cache
from string import Formatter
from types import MappingProxyType
from typing import TYPE_CHECKING, Any, Final, TypeGuard

from dermreport.answers import answers
from dermreport.codings import ExtraCoding, is_hosts_system
from dermreport.examination.base import OtherCode
from dermreport.examination.model import Examination
from dermreport.expressions.evaluate import Scope
from dermreport.harmless_words import calls_harmless
from dermreport.issues import PathwayError, Severity
from dermreport.letter_file import LetterKind
from dermreport.pathways.paths import Target
from dermreport.pathways.reading import SHIPPED, pathway_from_toml, shipped_pathway
from dermreport.plugin import About, LetterSection, Plugin, Refused, ResourceMaker, Row, Rule
from dermreport.plugins.conditions import are_whole, leads_to, wrong_in
from dermreport.plugins.guarding import NotTakenError
from dermreport.plugins.issue_rules import AT_THRESHOLD, OTHER_DISPLAY, PLUGIN_RULES, REFUSED, UNKNOWN_CODE
from dermreport.plugins.reviewing import added
from dermreport.rules.facts import FACTS, Context
from dermreport.rules.tables import RULES
from dermreport.scores.method import (
    CAUTIONS,
    Counted,
    Criterion,
    Effect,
    Figure,
    Method,
    OwnCode,
    PartRange,
    Threshold,
    Validity,
)
from dermreport.settings import Settings
from dermreport.sources import Basis, Known
from dermreport.vocabulary.concerns import Concern
from dermreport.vocabulary.mapping import standard_codes
from dermreport.vocabulary.presences import Presence
from dermreport.vocabulary.score_methods import ScoreMethod
from dermreport.vocabulary.summaries import Summary
from dermreport.vocabulary.tables import tables
from dermreport.vocabulary.term import table_id
from dermreport.vocabulary.urgencies import Urgency
from dermreport.vocabulary.verdicts import Verdict

if TYPE_CHECKING:
    from dermreport.issues import Issue
    from dermreport.pathway import Pathway
    from dermreport.plugin import Plugins

_is_name: Final = re.compile(r"[a-z][a-z0-9-]{0,31}").fullmatch
_is_version: Final = re.compile(r"[0-9A-Za-z][0-9A-Za-z.+-]{0,31}").fullmatch
_is_code: Final = re.compile(r"[A-Za-z0-9][A-Za-z0-9._-]{0,63}").fullmatch
_is_id: Final = re.compile(r"[a-z0-9][a-z0-9-]{0,63}").fullmatch
#: A rule's id has room for this (FHIR's code of an issue, and the pattern of the rules).
_is_rule_id: Final = re.compile(r"[a-z0-9.-]{1,64}").fullmatch
#: One line of text; the longest that a message has room for.
_MOST: Final = 1_000
#: As many of one kind as one plugin may add.
MOST_OF_A_KIND: Final = 500
#: Code systems that aren't a plugin's to add to.
_STANDARD: Final = (
    "http://snomed.info",
    "http://loinc.org",
    "http://hl7.org",
    "http://terminology.hl7.org",
    "http://unitsofmeasure.org",
    "http://dicom.nema",
    "urn:iso",
    "urn:ietf",
)
#: Tables of what the library concludes and what is asked for: a wrong code beside a row would say something else.
_RESULTS: Final = frozenset(table_id(table) for table in (Concern, Presence, Summary, Urgency, Verdict))
#: Names that would be taken for something of the library's own.
_TAKEN: Final = frozenset((*SHIPPED, "core", "dermreport", "flag", "plugin", "read", "form", "letter"))
_SIGN: Final = "flag-"


class Checking:
    """Holds one plugin to what it may add, beside the library and the plugins before it."""

    def __init__(self, name: str, number: int, before: Plugins) -> None:
        """Take what the plugin is called by whoever asked for it, as which one that was, and the plugins before it."""
        self._name = name if _is_name(name) else f"unnamed-{number}"
        self._version = "unknown"
        self._before = before
        self.issues: list[Issue] = []

    @property
    def refused(self) -> Refused:
        """Name and version, as far as they are known and can be said."""
        return Refused(self._name, self._version)

    def note(self, at: str, what: str) -> None:
        """Note what is wrong, and where among what the plugin gave."""
        self.issues.append(REFUSED.at(at, plugin=self._name, version=self._version, what=what))

    def about(self, given: object, asked: str | None) -> About | None:
        """Return who the plugin is, None where that can't be told.

        Args:
            given: What it says.
            asked: The name of its entry point, None where it was given directly.
        """
        if type(given) is not About or not all(isinstance(getattr(given, one.name), str) for one in fields(given)):
            self.note("$.about", "it doesn’t say who it is: dermreport_about gives an About")
            return None
        taken = given.name in _TAKEN or given.name.startswith(_SIGN)
        self._name = given.name if _is_name(given.name) and not taken else self._name
        if not _is_version(given.version):
            self.note("$.about.version", "its version is no version")
        else:
            self._version = given.version
        if self._name != given.name:
            self.note("$.about.name", "its name has other than small letters, digits and hyphens, or is taken")
            return None
        if asked is not None and asked != given.name:
            self.note("$.about.name", "its name isn’t that of its entry point")
        if given.name in {*self._before.names, *(one.name for one in self._before.refused)}:
            self.note("$.about.name", "another plugin has its name")
        self._saying("$.about.title", given.title)
        system = given.system
        if not is_hosts_system(system) or system.startswith(_STANDARD):
            self.note("$.about.system", "its code system is no URI of its own")
        elif any(one.about.system == system for one in self._before.loaded):
            self.note("$.about.system", "another plugin has its code system")
        return given

    def plugin(self, about: About, parts: Mapping[str, Sequence[Any]]) -> Plugin | None:
        """Return the plugin with all that it adds, None where anything in it doesn't fit.

        Args:
            about: Who it is.
            parts: What it gave, by the names of :class:`Plugin`.
        """
        for name, given in parts.items():
            if len(given) > MOST_OF_A_KIND:
                self.note(f"$.{name}", f"it has more than {MOST_OF_A_KIND} of a kind")
                return None
        self._rows(about, parts["rows"], parts["methods"])
        self._codings(parts["codings"])
        for position, method in enumerate(parts["methods"]):
            self._method(about, method, f"$.methods[{position}]")
        self._rules(about, parts["rules"])
        self._names(parts["rules"], parts["methods"])
        pathways = self._pathways(parts["pathways"])
        self._sections(parts["sections"])
        self._makers(parts["resources"])
        if self.issues:
            return None
        made = Plugin(about=about, **{**{name: tuple(given) for name, given in parts.items()}, "pathways": pathways})
        self._try(made)
        return None if self.issues else made

    def _try(self, plugin: Plugin) -> None:
        """Run what is declared on an examination in which nothing is recorded: what fails there fails everywhere."""
        nothing = Examination.model_validate(
            {
                "identifier": {"system": "https://example.org/ids", "value": "1"},
                "status": "draft",
                "patient": {"reference": "Patient/1"},
                "examined": "2026-01-01",
            }
        )
        scope = Scope(answers(nothing), FACTS, Context(MappingProxyType({}), Settings()))
        if added(scope, (plugin,)).failed:
            self.note("$", "its rules or methods fail on an examination in which nothing is recorded")

    # -- parts ---------------------------------------------------------------------------------------------------------

    def _rows(self, about: About, rows: Sequence[Any], methods: Sequence[Any]) -> None:
        codes = [one.code.value for one in methods if type(one) is Method and type(one.code) is OwnCode]
        for position, row in enumerate(rows):
            at = f"$.rows[{position}]"
            if type(row) is not Row:
                self.note(at, "it is no Row")
                continue
            if not isinstance(row.code, str) or not _is_code(row.code):
                self.note(f"{at}.code", "its code has other than letters, digits, dots and hyphens")
            else:
                codes.append(row.code)
            self._line(f"{at}.display", row.display)
            self._line(f"{at}.definition", row.definition)
            if not isinstance(row.codings, tuple) or not all(type(one) is OtherCode for one in row.codings):
                self.note(f"{at}.codings", "what stands beside it is no tuple of OtherCode")
                continue
            for beside in row.codings:
                if not is_hosts_system(beside.system) or beside.system == about.system:
                    self.note(f"{at}.codings", "what stands beside it is of its own system or of the library’s")
                elif (beside.system, beside.code) in _mapped():
                    self.note(f"{at}.codings", "what stands beside it says what a row of the library’s says")
        if len(set(codes)) != len(codes):
            self.note("$.rows", "two rows or methods have one code")

    def _codings(self, given: Sequence[Any]) -> None:
        marks = {one.mark for one in self._before.codings}
        for position, one in enumerate(given):
            at = f"$.codings[{position}]"
            if type(one) is not ExtraCoding:
                self.note(at, "it is no ExtraCoding")
                continue
            if one.mark in marks:
                self.note(at, "the row has this code already")
            marks.add(one.mark)
            if one.table in _RESULTS:
                self.note(at, "concern, presence, verdict, urgency and the word on the whole have the library’s codes")
            if not _mapped().get((one.system, one.code), frozenset((one.mark[:2],))) >= {one.mark[:2]}:
                self.note(at, "its code says what another row of the library’s says")

    def _rules(self, about: About, given: Sequence[Any]) -> None:
        known = {rule.id for rule in RULES} | {rule.id for rule in PLUGIN_RULES}
        known |= {f"{about.name}.{one}" for one in (AT_THRESHOLD, UNKNOWN_CODE, OTHER_DISPLAY)}
        for position, rule in enumerate(given):
            at = f"$.rules[{position}]"
            if type(rule) is not Rule:
                self.note(at, "it is no Rule")
                continue
            self._rule_id(about, rule, known, at)
            if type(rule.severity) is not Severity or rule.severity is Severity.ERROR:
                self.note(f"{at}.severity", "it is a warning or an information")
            if rule.sign is True and rule.severity is not Severity.WARNING:
                self.note(f"{at}.severity", "a warning sign is a warning")
            if type(rule.sign) is not bool:
                self.note(f"{at}.sign", "it is True or False")
            self._basis(f"{at}.basis", rule.basis)
            self._rule_paths(rule, at)

    def _names(self, rules: Sequence[Any], methods: Sequence[Any]) -> None:
        """Note two of rules, signs and methods that a departure calls the same: one reason would answer both."""
        called = [one.id.removeprefix(_SIGN).partition(".")[2] for one in rules if _has_id(one)]
        called += [one.code.value for one in methods if type(one) is Method and type(one.code) is OwnCode]
        if len(set(called)) != len(called):
            self.note("$.rules", "two of its rules, signs and methods are called the same in a departure")

    def _rule_id(self, about: About, rule: Rule, known: set[str], at: str) -> None:
        begin = f"{_SIGN if rule.sign else ''}{about.name}."
        if not isinstance(rule.id, str) or not _is_rule_id(rule.id):
            self.note(f"{at}.id", "its id has other than small letters, digits, dots and hyphens")
        elif rule.id in known:
            self.note(f"{at}.id", "another rule has its id")
        elif not rule.id.startswith(begin) or not _is_id(rule.id.removeprefix(begin)):
            self.note(f"{at}.id", "its id doesn’t begin with the plugin’s name and a dot, before a sign’s stands flag-")
        else:
            known.add(rule.id)

    def _rule_paths(self, rule: Rule, at: str) -> None:
        """Note what is wrong with condition, place and message."""
        item = None
        if rule.each != "":
            listed = leads_to(rule.each, None)
            if listed is None or not listed.listed or not rule.each or rule.each.startswith("@"):
                self.note(f"{at}.each", "it is no list of the entry")
                return
            item = Target(part=listed.part, table=listed.table)
        self._condition(f"{at}.when", rule.when, item)
        if rule.at != "" and leads_to(f"@.{rule.at}" if item is not None else rule.at, item) is None:
            self.note(f"{at}.at", "it is no path of the entry")
        shown = rule.shown
        if not isinstance(shown, tuple) or not all(isinstance(one, tuple) and len(one) == 2 for one in shown):  # noqa: PLR2004 - a name and a path
            self.note(f"{at}.shown", "it has no names with their paths")
            return
        for _, path in shown:
            found = leads_to(path, item)
            if found is None or found.listed or not (found.whole or found.table is not None):
                self.note(f"{at}.shown", "it shows what is no code or whole number of the entry")
        if self._saying(f"{at}.message", rule.message) and not _has_names(rule.message, {name for name, _ in shown}):
            self.note(f"{at}.message", "it has names in braces that aren’t shown, or other braces")

    def _method(self, about: About, method: Any, at: str) -> None:  # noqa: ANN401 - what a plugin gave
        if type(method) is not Method or type(method.code) is not OwnCode:
            self.note(at, "it is no Method with an OwnCode")
            return
        code = method.code
        if (code.plugin, code.system) != (about.name, about.system):
            self.note(f"{at}.code", "its code isn’t of the plugin and its system")
        if not isinstance(code.value, str) or not _is_id(code.value) or code.value in set(ScoreMethod):
            self.note(f"{at}.code", "its code has other than small letters, digits and hyphens, or is the library’s")
        for name, text in (("title", code.title), ("definition", code.definition)):
            self._saying(f"{at}.code.{name}", text)
        if isinstance(code.title, str) and code.title.casefold() in {one.display.casefold() for one in ScoreMethod}:
            self.note(f"{at}.code.title", "it is called what a published method is called")
        if not isinstance(method.version, str) or not _is_version(method.version):
            self.note(f"{at}.version", "its version is no version")
        if method.steps is not None or method.variants != ():
            self.note(at, "a plugin’s method has no steps and no variants")
        self._basis(f"{at}.basis", method.basis)
        if self._criteria(method, at):
            self._thresholds(method, at)
        self._told(method, at)

    def _criteria(self, method: Method, at: str) -> bool:
        """Note what is wrong with what is counted, and return whether it can be counted at all."""
        criteria = method.criteria
        if not isinstance(criteria, tuple) or not criteria:
            self.note(f"{at}.criteria", "it counts nothing")
            return False
        before = len(self.issues)
        for position, one in enumerate(criteria):
            self._criterion(one, f"{at}.criteria[{position}]")
        if len(self.issues) == before and len({one.id for one in criteria}) != len(criteria):
            self.note(f"{at}.criteria", "two criteria have one id")
        return len(self.issues) == before

    def _criterion(self, one: Any, here: str) -> None:  # noqa: ANN401 - what a plugin gave
        if type(one) is Counted:
            found = leads_to(one.path, None)
            if found is None or found.listed or not found.number:
                self.note(f"{here}.path", "it is no number of the entry")
            if not are_whole(one.lowest, one.highest) or not one.lowest <= one.highest:
                self.note(here, "its range is none")
        elif type(one) is Criterion:
            self._condition(f"{here}.when", one.when)
        else:
            self.note(here, "it is no Criterion and not Counted")
            return
        if not isinstance(one.id, str) or not _is_id(one.id):
            self.note(f"{here}.id", "its id has other than small letters, digits and hyphens")
        if not are_whole(one.tenths):
            self.note(f"{here}.tenths", "its weight is no whole number of tenths")
        self._saying(f"{here}.label", one.label)
        self._basis(f"{here}.basis", one.basis)

    def _condition(self, at: str, condition: Any, item: Target | None = None) -> None:  # noqa: ANN401 - a plugin's
        for what in dict.fromkeys(wrong_in(condition, item)):
            self.note(at, what)

    def _thresholds(self, method: Method, at: str) -> None:
        thresholds = method.thresholds
        good = isinstance(thresholds, tuple) and all(
            type(one) is Threshold
            and are_whole(one.from_tenths)
            and one.verdict in {Verdict.BETWEEN_THRESHOLDS, Verdict.ABOVE_THRESHOLD}
            for one in thresholds
        )
        if not good or not thresholds or thresholds[-1].verdict is not Verdict.ABOVE_THRESHOLD:
            self.note(f"{at}.thresholds", "the last one is that from which a total is at or above the threshold")
            return
        starts = [one.from_tenths for one in thresholds]
        verdicts = [one.verdict for one in thresholds]
        if sorted(set(starts)) != starts or len(set(verdicts)) != len(verdicts):
            self.note(f"{at}.thresholds", "they don’t rise, or two have one verdict")
        low, high = _range(method)
        if not are_whole(method.lowest_tenths, method.highest_tenths) or not (
            method.lowest_tenths <= low <= high <= method.highest_tenths
        ):
            self.note(f"{at}.lowest_tenths", "its range isn’t that of its criteria")
        elif not low < starts[0] <= starts[-1] <= high:
            self.note(f"{at}.thresholds", "no total reaches one, or every total does")
        for one in thresholds:
            self._saying(f"{at}.thresholds", one.text)

    def _told(self, method: Method, at: str) -> None:
        """Note what is wrong with validity, cautions and figures."""
        kinds: tuple[tuple[str, type], ...] = (
            ("validity", Validity),
            ("figures", Figure),
            ("part_ranges", PartRange),
            ("cautions", str),
        )
        for name, kind in kinds:
            given = getattr(method, name)
            if not isinstance(given, tuple) or not all(type(one) is kind for one in given):
                self.note(f"{at}.{name}", f"it is a tuple of {kind.__name__}")
                return
        for one in method.validity:
            self._condition(f"{at}.validity", one.when)
            if type(one.effect) is not Effect:
                self.note(f"{at}.validity", "its effect is none")
            self._saying(f"{at}.validity", one.reason)
        self._parts_of(method, at)

    def _parts_of(self, method: Method, at: str) -> None:
        for caution in method.cautions:
            self._saying(f"{at}.cautions", caution)
        if set(method.cautions) & set(CAUTIONS):
            self.note(f"{at}.cautions", "what every score says is said by the library")
        for limit in method.part_ranges:
            if not are_whole(limit.lowest, limit.highest) or limit.group not in {one.group for one in method.criteria}:
                self.note(f"{at}.part_ranges", "it is no range of a part")
            self._saying(f"{at}.part_ranges", limit.reason)
        for figure in method.figures:
            self._line(f"{at}.figures", figure.text)
            self._basis(f"{at}.figures", figure.basis)

    def _pathways(self, given: Sequence[Any]) -> tuple[Pathway, ...]:
        made: list[Pathway] = []
        for position, text in enumerate(given):
            at = f"$.pathways[{position}]"
            if not isinstance(text, str | bytes):
                self.note(at, "it is no TOML")
                continue
            try:
                made.append(pathway_from_toml(text))
            except PathwayError as error:
                for issue in error.issues:
                    self.note(f"{at}{issue.path.removeprefix('$')}", f"{issue.rule}: {issue.message.rstrip('.')}")
        ids = [one.id for one in made]
        if len(set(ids)) != len(ids):
            self.note("$.pathways", "two have one id")
        # A departure names a step as pathway/step, and a rule of a plugin as plugin/rule.
        if {self._name, *self._before.names} & set(ids):
            self.note("$.pathways", "one has the name of a plugin")
        if set(ids) & {shipped_pathway(one).id for one in SHIPPED}:
            self.note("$.pathways", "one has the id of a pathway of the library’s")
        return tuple(made)

    def _sections(self, given: Sequence[Any]) -> None:
        for position, one in enumerate(given):
            at = f"$.sections[{position}]"
            if type(one) is not LetterSection or not callable(one.write):
                self.note(at, "it is no LetterSection with a function")
                continue
            self._saying(f"{at}.title", one.title)
            if not isinstance(one.kinds, tuple) or not one.kinds or not set(one.kinds) <= set(LetterKind):
                self.note(f"{at}.kinds", f"it is a tuple of {', '.join(LetterKind)}")
        self._ids("$.sections", given, LetterSection)

    def _makers(self, given: Sequence[Any]) -> None:
        for position, one in enumerate(given):
            if type(one) is ResourceMaker and one.id == "score":
                self.note(f"$.resources[{position}].id", "the plugin’s scores have this id")
            if type(one) is not ResourceMaker or not callable(one.make):
                self.note(f"$.resources[{position}]", "it is no ResourceMaker with a function")
        self._ids("$.resources", given, ResourceMaker)

    # -- what they are made of -----------------------------------------------------------------------------------------

    def _ids(self, at: str, given: Sequence[Any], kind: type) -> None:
        ids = [getattr(one, "id", None) for one in given if type(one) is kind]
        if not all(isinstance(one, str) and _is_id(one) for one in ids):
            self.note(at, "an id has other than small letters, digits and hyphens")
        elif len(set(ids)) != len(ids):
            self.note(at, "two have one id")

    def _line(self, at: str, text: object) -> bool:
        """Return whether it is one line of text, and note it where it isn't."""
        good = isinstance(text, str) and 0 < len(text) <= _MOST and text.isprintable() and bool(text.strip())
        if not good:
            self.note(at, "it is no single line of text")
        return good

    def _saying(self, at: str, text: object) -> bool:
        """Return whether it is one line of text, and note where it isn't, or where it calls something harmless."""
        good = self._line(at, text)
        if good and calls_harmless(str(text)):
            self.note(at, "it has a word that calls something harmless: only a doctor says that")
        return good

    def _basis(self, at: str, basis: object) -> None:
        """Note where nothing says where a fact comes from."""
        if type(basis) is not Basis:
            self.note(at, "it says not how it is known: seen, memory or common_practice")
        elif basis.known is Known.SEEN and not basis.sources:
            self.note(at, "it was seen in no source")
        elif basis.known is not Known.SEEN and not basis.note:
            self.note(at, "it has no source, and no note says whose it is")
        else:
            self._line(at, basis.text)


def _range(method: Method) -> tuple[int, int]:
    """Return the lowest and the highest total that the criteria of a method give."""
    low = high = 0
    for one in method.criteria:
        ends = (one.tenths * one.lowest, one.tenths * one.highest) if isinstance(one, Counted) else (0, one.tenths)
        low, high = low + min(ends), high + max(ends)
    return low, high


def _has_id(rule: object) -> TypeGuard[Rule]:
    return type(rule) is Rule and isinstance(rule.id, str)


def _has_names(message: str, names: set[str]) -> bool:
    """Return whether a message's braces are names of what is shown, and nothing else; each is there."""
    try:
        parts = list(Formatter().parse(message))
    except ValueError:
        return False
    found = [(name, form, how) for _, name, form, how in parts if name is not None]
    return {name for name, *_ in found} == names and not any(form or how for _, form, how in found)


@cache
def _mapped() -> Mapping[tuple[str, str], frozenset[tuple[str, Any]]]:
    """Return the rows that have each standard code beside them."""
    found: dict[tuple[str, str], set[tuple[str, Any]]] = {}
    for name, table in tables().items():
        for row in table:
            for one in standard_codes(row):
                found.setdefault((one.system, one.code), set()).add((name, row))
    return {code: frozenset(rows) for code, rows in found.items()}


def several(given: Any, hook: str) -> Iterator[Any]:  # noqa: ANN401 - what a plugin gave
    """Yield what a hook gave, if it gave a list or tuple.

    Raises:
        NotTakenError: It gave something else.
    """
    if not isinstance(given, list | tuple):
        raise NotTakenError(f"{hook} gives no list")
    yield from given
