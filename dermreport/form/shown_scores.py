"""The scores that the form showed, beside those that are computed from its answers."""

from __future__ import annotations

from decimal import Decimal
from typing import TYPE_CHECKING, Any

from dermreport.answers import answers
from dermreport.examination.entry_rules import path_text
from dermreport.expressions.evaluate import Scope
from dermreport.form.answered import answers_of, items_below
from dermreport.form.layout import SCORES
from dermreport.form.placing import link_id
from dermreport.form.rules import form_issue
from dermreport.form.scores import link_id as score_link_id
from dermreport.rules.facts import FACTS
from dermreport.scores.engine import score
from dermreport.scores.methods import CHECKLISTS

if TYPE_CHECKING:
    from collections.abc import Iterator

    from dermreport.examination.model import Examination
    from dermreport.issues import Issue
    from dermreport.scores.method import PublishedMethod


def scores_that_differ(examination: Examination | None, roots: list[Any]) -> Iterator[Issue]:
    """Yield an issue for each method of which the form showed another result than is computed."""
    shown = {method: _shown_of(method, roots) for method in CHECKLISTS}
    if examination is None or not any(shown.values()):
        return
    scope = Scope(answers(examination), FACTS)
    for method in CHECKLISTS:
        if shown[method]:
            result = score(method, scope)
            computed = {"low": result.low, "high": result.high, "verdict": result.verdict.display}
            if any(not _equal(value, computed[ending]) for ending, value in shown[method]):
                path = path_text((SCORES, method.code.value))
                yield form_issue("form-score-differs", path, method=method.code)


def _shown_of(method: PublishedMethod, roots: list[Any]) -> list[tuple[str, Any]]:
    """Return the answers of a method's items that can be compared, by the end of their linkId."""
    endings = {score_link_id(method, ending): ending for ending in ("low", "high", "verdict")}
    items = [
        item for item in items_below(items_below(roots, SCORES), score_link_id(method)) if link_id(item) in endings
    ]
    return [
        (endings[link_id(item)], value)
        for item in items
        if link_id(item) in endings
        for answer in answers_of([item])[0]
        for name, value in answer.items()
        if name.startswith("value")
    ]


def _equal(shown: Any, computed: Decimal | str | None) -> bool:  # noqa: ANN401 - any JSON
    if isinstance(computed, str) or computed is None or isinstance(shown, bool):
        return bool(shown == computed)
    return isinstance(shown, int | float | Decimal) and Decimal(str(shown)) == computed
