"""What the plugins of a host find in one examination: beside what the library finds, and never in its place."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache
from types import MappingProxyType
from typing import TYPE_CHECKING, Any, Final

from dermreport.examination.base import Model, OtherCode
from dermreport.expressions.evaluate import Scope, surely
from dermreport.issues import Issue, Severity
from dermreport.plugins.guarding import Failure, guarded
from dermreport.plugins.issue_rules import AT_THRESHOLD, OTHER_DISPLAY, UNKNOWN_CODE, failed, not_used
from dermreport.rules.broken import OfList, broken, compiled, issue_of, of_list
from dermreport.rules.conditions import NOTHING_ARRANGED
from dermreport.rules.facts_plans import gives_reason
from dermreport.rules.facts_scores import reached
from dermreport.scores.engine import ScoreResult, score
from dermreport.scores.method import OwnCode
from dermreport.vocabulary.summaries import Summary

if TYPE_CHECKING:
    from dermreport.plugin import Plugin, Plugins, Rule

_NOTHING_ARRANGED: Final = surely(NOTHING_ARRANGED)
#: Plugins whose rules are kept compiled at once.
_PLUGINS: Final = 64


@dataclass(frozen=True, slots=True)
class Added:
    """What plugins add to a review.

    Attributes:
        issues: What their rules found, and each plugin that isn't used or failed.
        scores: Their methods by plugin and code, as ``plugin/method``.
        concerned: Whether a warning sign, or a score at its threshold, makes the word on the whole suspicious.
        signs: Whether a warning sign is among that.
        failed: The names of those that failed: nothing of them is here.
    """

    issues: tuple[Issue, ...] = ()
    scores: Mapping[str, ScoreResult] = field(default_factory=lambda: MappingProxyType({}))
    concerned: bool = False
    signs: bool = False
    failed: frozenset[str] = frozenset()

    def summary(self, summary: Summary) -> Summary:
        """Return the more careful of the library's word on the whole and of what plugins add to it."""
        return Summary.SUSPICIOUS if self.concerned else summary


#: What a host without plugins has.
NOTHING: Final = Added()


def added_to(scope: Scope, plugins: Plugins) -> Added:
    """Return what the plugins of a host add to a review.

    Args:
        scope: What the rules of the library looked at.
        plugins: The plugins.
    """
    if not plugins.loaded and not plugins.refused:
        return NOTHING
    found = added(scope, plugins.loaded)
    return replace(found, issues=(*found.issues, *(not_used(one) for one in plugins.refused)))


def added(scope: Scope, plugins: Sequence[Plugin]) -> Added:
    """Return what some plugins find: of one that fails nothing but that."""
    issues: list[Issue] = []
    scores: dict[str, ScoreResult] = {}
    concerned, signs, fallen = False, False, set()
    for plugin in plugins:
        found = guarded(lambda plugin=plugin: _found(scope, plugin))  # type: ignore[misc]  # the loop's own plugin
        if isinstance(found, Failure):
            fallen.add(plugin.about.name)
            issues.append(failed(plugin.about, "its rules or methods", found.why))
            continue
        issues.extend(found.issues)
        scores.update(found.scores)
        concerned, signs = concerned or found.concerned, signs or found.signs
    return Added(tuple(issues), MappingProxyType(scores), concerned, signs, frozenset(fallen))


def _found(scope: Scope, plugin: Plugin) -> Added:
    departed = _departed(scope)
    scores = {one.name: score(method, scope) for method in plugin.methods for one in (_code(method.code),)}
    calling = [one for name, one in scores.items() if name not in departed and one.valid and reached(one)]
    issues = [
        *_broken(scope, plugin, departed),
        *(_at_threshold(scope, plugin, one) for one in calling),
        *_codes(scope, plugin),
    ]
    own_signs = {rule.id for rule in plugin.rules if rule.sign}
    signs = any(one.rule in own_signs and one.severity is Severity.WARNING for one in issues)
    return Added(tuple(issues), scores, signs or bool(calling), signs)


def _at_threshold(scope: Scope, plugin: Plugin, result: ScoreResult) -> Issue:
    """Return the issue that a plugin's score makes the word suspicious: a warning where nothing is arranged."""
    code = _code(result.method.code)
    return Issue(
        rule=f"{plugin.about.name}.{AT_THRESHOLD}",
        severity=Severity.WARNING if _NOTHING_ARRANGED(scope, None) else Severity.INFORMATION,
        path="$.plan",
        message=f"{code.title}: at or above its threshold, which makes the word on the whole suspicious. Plan what "
        f"follows, or record why not as a departure from {code.name}. (Plugin {plugin.about.name}.)",
        source=result.method.basis.text,
    )


def _code(code: object) -> OwnCode:
    if not isinstance(code, OwnCode):
        raise TypeError
    return code


def _departed(scope: Scope) -> frozenset[str]:
    """Return what the plan departs from with a reason."""
    plan = scope.answers.examination.plan
    return frozenset(one.departs_from for one in plan.departures if gives_reason(one)) if plan is not None else _NONE


_NONE: Final[frozenset[str]] = frozenset()


@lru_cache(maxsize=_PLUGINS)
def _compiled(rules: tuple[Rule, ...]) -> tuple[OfList[Rule], ...]:
    """Return a plugin's rules, each by itself: its issues stand in the order of its rules."""
    return tuple(of_list(rule.each, (compiled(rule, surely(rule.when)),)) for rule in rules)


def _broken(scope: Scope, plugin: Plugin, departed: frozenset[str]) -> Iterator[Issue]:
    """Yield the issues of a plugin's rules, which name it; one that the plan departs from stays visible."""
    name = plugin.about.name
    for one in broken(scope, _compiled(plugin.rules)):
        issue = issue_of(*one)
        own = issue.rule.removeprefix("flag-").removeprefix(f"{name}.")
        severity = Severity.INFORMATION if f"{name}/{own}" in departed else issue.severity
        yield replace(issue, severity=severity, message=f"{issue.message} (Plugin {name}.)")


def _codes(scope: Scope, plugin: Plugin) -> Iterator[Issue]:
    """Yield the codes of a plugin's own system that it has no row for, or that are called otherwise there."""
    if not plugin.rows:
        return
    about, rows = plugin.about, plugin.rows_by_code
    for path, code in _others(scope.answers.examination, "$"):
        if code.system != about.system:
            continue
        row = rows.get(code.code)
        source = f"the code system of the plugin {about.name}, version {about.version}"
        if row is None:
            message = f"The code system of {about.title} has no such code: give one that it has."
            yield Issue(f"{about.name}.{UNKNOWN_CODE}", Severity.WARNING, path, message, source)
        elif code.display is not None and code.display != row.display:
            message = f"In the code system of {about.title} this code is called otherwise: see which is meant."
            yield Issue(f"{about.name}.{OTHER_DISPLAY}", Severity.WARNING, path, message, source)


def _others(part: Any, path: str) -> Iterator[tuple[str, OtherCode]]:  # noqa: ANN401 - any part of an entry
    """Yield each code of an entry that isn't ours, with its path."""
    if isinstance(part, OtherCode):
        yield path, part
    elif isinstance(part, Model):
        for name in type(part).model_fields:
            yield from _others(getattr(part, name), f"{path}.{name}")
    elif isinstance(part, tuple):
        for position, item in enumerate(part):
            yield from _others(item, f"{path}[{position}]")
