"""The rules as constraints of the profiles: FHIRPath, keyed by the rule's id.

A rule stands on the narrowest profile whose resource holds all that it asks: that of one item (a view, a finding, a
planned step), of one statement, of the report, or else of the bundle. Resources entered in error are out of account.

A rule of the library never refuses a record: while an error stands the report is preliminary. So a constraint that is
an error asks it of final and amended reports only, and what can't tell that it belongs to one (a request, a picture)
isn't asked at all: its rule stands on the bundle. A bundle with several reports holds every constraint of the bundle:
nothing in it tells which finding belongs to which report without following references.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Any, Final

from dermreport.expressions import nodes
from dermreport.expressions.fhirpath import NotSaidHereError
from dermreport.expressions.nodes import All, Exists, Expression, Fact, Found, Given, MoreThanAt, Not, leaves
from dermreport.fhir.ids import Thing
from dermreport.fhir.releases import Release
from dermreport.issues import Severity
from dermreport.profiles.constraints.facts import OF_A_WHOLE_LIST
from dermreport.profiles.constraints.fields import (
    ACTIONS,
    DEPARTURES,
    IMAGES,
    IN_FORCE,
    LISTS,
    about,
    single_rows,
    table_of,
)
from dermreport.profiles.constraints.text import Spot, Text, bare, joined, negated, recorded_leaf
from dermreport.rules.rule import Rule
from dermreport.rules.tables import RULES
from dermreport.wording.items import (
    BEDSIDE_TEST,
    EARLIER_SKIN_CANCER,
    FINDING,
    IMPRESSION,
    OUTCOME,
    VIEW,
    Item,
)

BUNDLE: Final = f"dermoscopy-{Thing.BUNDLE.value}"
REPORT: Final = f"dermoscopy-{Thing.REPORT.value}"
STATEMENT: Final = f"dermoscopy-{Thing.STATEMENT.value}"

#: The profile of the items of each list.
_OF_ITEMS: Final = {
    VIEW.path: Thing.VIEW,
    LISTS: Thing.LIST,
    FINDING.path: Thing.FINDING,
    BEDSIDE_TEST.path: Thing.TEST,
    EARLIER_SKIN_CANCER.path: Thing.EARLIER_CANCER,
    IMPRESSION.path: Thing.IMPRESSION,
    OUTCOME.path: Thing.OUTCOME,
    ACTIONS: Thing.ACTION,
    IMAGES: Thing.IMAGE,
    DEPARTURES: Thing.DEPARTURE,
}
#: Lists whose items have the report's status, so that they tell whether an error may stand in it.
_WITH_STATUS: Final = frozenset(_OF_ITEMS) - {ACTIONS, IMAGES}

_FINAL: Final = "status = 'final' or status = 'amended'"

_NO_SUCH_SEVERITY: Final = "FHIR has no constraint that only informs."
_HOST_CLOCK: Final = "It needs the host's clock: a record must not become right or wrong by the day it is validated."
_HOST_CLOCK_FIRST: Final = (
    "Where the host gives its time the rule asks that, and no resource holds it: the report's own time could be wrong "
    "where the rule is content."
)

_HOSTS_SYSTEMS: Final = "It asks the host's own systems, and a receiver has others."

_DRAWINGS: Final = "The outlines of the drawings are the library's geometry, and no resource holds them."

#: Why a rule isn't a constraint; rules that only inform are left out of this table.
NOT_SAID: Final[dict[str, str]] = {
    "time-future": _HOST_CLOCK,
    "time-future-recorded": _HOST_CLOCK,
    "time-future-view": _HOST_CLOCK_FIRST,
    "time-future-image": _HOST_CLOCK_FIRST,
    "time-future-outcome": _HOST_CLOCK_FIRST,
    "identity-examination-elsewhere": _HOSTS_SYSTEMS,
    "identity-lesion-elsewhere": _HOSTS_SYSTEMS,
    "identity-patient-elsewhere": _HOSTS_SYSTEMS,
    "site-map-point-outside": _DRAWINGS,
    "site-map-point-other-side": _DRAWINGS,
}


@dataclass(frozen=True, slots=True)
class Constraint:
    """A rule as a constraint.

    Attributes:
        rule: The rule.
        profile: Id of the profile on whose root it stands.
        expression: FHIRPath that is true unless the rule is broken.
    """

    rule: Rule
    profile: str
    expression: str

    def element(self) -> dict[str, Any]:
        """Return it as ElementDefinition has it: https://hl7.org/fhir/R4/elementdefinition.html."""
        return {
            "key": self.rule.id,
            "requirements": self.rule.basis.text,
            "severity": self.rule.severity.value,
            "human": human(self.rule),
            "expression": self.expression,
        }


def constraints(profile: str, release: Release) -> list[dict[str, Any]]:
    """Return the rules that stand on the root of a profile, in the order of the rules.

    Args:
        profile: Id of the profile, as ``dermoscopy-view``.
        release: The release.
    """
    return [one.element() for one in all_constraints(release) if one.profile == profile]


@cache
def all_constraints(release: Release) -> tuple[Constraint, ...]:
    """Return every rule that is a constraint, in the order of the rules."""
    return tuple(_constraint(rule, release) for rule in RULES if reason_against(rule) is None)


def reason_against(rule: Rule) -> str | None:
    """Return why a rule isn't a constraint; ``None`` where it is one."""
    return _NO_SUCH_SEVERITY if rule.severity is Severity.INFORMATION else NOT_SAID.get(rule.id)


def human(rule: Rule) -> str:
    """Return the rule's message without what an entry would fill in."""
    return rule.message.format(**{name: f"the {name} named" for name, _ in rule.shown})


def _constraint(rule: Rule, release: Release) -> Constraint:
    """Return a rule on the narrowest profile that holds all that it asks.

    Raises:
        NotSaidHereError: It can't be said on a bundle either.
    """
    for attempt in (_on_item, _on_statement, _on_report):
        try:
            found = attempt(rule, release)
        except NotSaidHereError:
            continue
        if found is not None:
            return found
    return _on_bundle(rule, release)


def _on_item(rule: Rule, release: Release) -> Constraint | None:
    thing = _OF_ITEMS.get(rule.each)
    if thing is None or (rule.severity is Severity.ERROR and rule.each not in _WITH_STATUS):
        return None
    broken = Text(release, Spot.ITEM, rule.each).surely(rule.when)
    return Constraint(rule, f"dermoscopy-{thing.value}", f"{_asked_of(rule)} implies {negated(broken)}")


def _on_statement(rule: Rule, release: Release) -> Constraint | None:
    item = _one_item(rule.when)
    if rule.each or item is None or not _needs_an_answer(rule.when):
        return None
    broken = Text(release, Spot.STATEMENT, statement=item).surely(rule.when)
    asked = f"{_asked_of(rule)} and {about(item.attribute)}"
    return Constraint(rule, STATEMENT, f"({asked}) implies {negated(broken)}")


def _on_report(rule: Rule, release: Release) -> Constraint | None:
    if rule.each:
        return None
    broken = Text(release, Spot.REPORT).surely(rule.when)
    return Constraint(rule, REPORT, f"{_asked_of(rule)} implies {negated(broken)}")


def _asked_of(rule: Rule) -> str:
    """Return of which resources a rule is asked, by their status."""
    return f"({_FINAL})" if rule.severity is Severity.ERROR else IN_FORCE


_REPORTS: Final = f"entry.resource.ofType(DiagnosticReport).where({IN_FORCE})"


def _on_bundle(rule: Rule, release: Release) -> Constraint:
    here = Text(release, Spot.BUNDLE)
    if rule.each and not _of_a_whole_list(rule.when):
        outside, inside = _split(rule.when)
        some_item = f"{here.all_items(rule.each)}.exists({bare(here.within(rule.each).surely(inside))})"
        parts = [*(here.surely(part) for part in outside), some_item]
    elif isinstance(rule.when, All) and recorded_leaf(rule.when) is None:
        parts = [here.surely(part) for part in rule.when.parts]
    else:
        parts = [here.surely(rule.when)]
    settled = f" and {_REPORTS}.all({_FINAL})" if rule.severity is Severity.ERROR else ""
    return Constraint(rule, BUNDLE, f"iif({_REPORTS}.count() = 1{settled}, {_not_all(parts)}, true)")


def _not_all(parts: list[str]) -> str:
    """Return whether one of several parts isn't so; the rest is asked only where the first is so.

    ``iif`` stops there in every engine, while some ask all parts of an «and».
    """
    first, *rest = parts
    if not rest:
        return negated(first)
    return f"iif({bare(first)}, {negated(joined(' and ', rest, 'true'))}, true)"


def _all_leaves(condition: Expression) -> list[Expression]:
    """Return the leaves of a condition, those inside conditions on the items of lists too."""
    found: list[Expression] = []
    for leaf in leaves(condition):
        found.append(leaf)
        if isinstance(leaf, Exists | Found):
            found.extend(_all_leaves(leaf.where))
    return found


def _of_a_whole_list(condition: Expression) -> bool:
    return any(isinstance(leaf, Fact) and leaf.name in OF_A_WHOLE_LIST for leaf in _all_leaves(condition))


def _split(condition: Expression) -> tuple[list[Expression], Expression]:
    """Return the parts of a condition that ask nothing of the item at hand, and the rest."""
    if not isinstance(condition, All) or recorded_leaf(condition) is not None:
        return [], condition
    outside = [part for part in condition.parts if not _asks_the_item(part)]
    return outside, All(tuple(part for part in condition.parts if part not in outside))


def _asks_the_item(condition: Expression) -> bool:
    for leaf in leaves(condition):
        paths = [getattr(leaf, "path", ""), leaf.other if isinstance(leaf, MoreThanAt) else ""]
        if any(path.startswith("@") for path in paths):
            return True
        if isinstance(leaf, Fact) and leaf.name in OF_AN_ITEM:
            return True
    return False


#: Facts that ask something of the item at hand.
OF_AN_ITEM: Final = frozenset(
    (
        "names-unknown-view",
        "image-names-unknown-view",
        "only-in-non-polarised-light",
        "only-in-polarised-light",
        "structure-without-meaning-here",
        "departure-names-nothing",
        "outcome-within-75-days",
        "outcome-within-180-days",
        "action-after-short-window",
        "result-overdue",
        "taken-in-future",
        "dated-in-future",
        "taken-before-birth",
        "earlier-cancer-before-birth",
        "earlier-cancer-after-examination",
        "outcome-before-examination",
        "action-before-examination",
        "action-window-reversed",
        "taken-on-another-day",
    )
)

#: Facts on one single item, and the field that they ask.
_OF_A_STATEMENT: Final = {
    "colour-sure-and-doubtful": "description.colours",
    "pattern-without-meaning-here": "description.pattern",
}


def _one_item(condition: Expression) -> Item | None:
    """Return the single item that holds all that a condition asks; ``None`` where there is none."""
    found: set[Item] = set()
    for leaf in _all_leaves(condition):
        if isinstance(leaf, Fact):
            paths = [_OF_A_STATEMENT.get(leaf.name, "")]
        else:
            paths = [getattr(leaf, "path", ""), *([leaf.other] if isinstance(leaf, MoreThanAt) else [])]
        for path in paths:
            if path == "@":
                continue
            row = single_rows().get(".".join(table_of(path)[0])) if path and not path.startswith("@") else None
            if row is None:
                return None
            found.add(row[0])
    return found.pop() if len(found) == 1 else None


def _needs_an_answer(condition: Expression, *, met: bool = True) -> bool:
    """Return whether a condition can be met (or surely not met) only where something is recorded."""
    if recorded_leaf(condition) is not None:
        return met
    match condition:
        case All(parts) | nodes.Any(parts):
            needs = [_needs_an_answer(part, met=met) for part in parts]
            return any(needs) if isinstance(condition, All) is met else all(needs)
        case Not(part):
            return _needs_an_answer(part, met=not met)
        case Given() | Exists():
            return met
    return True
