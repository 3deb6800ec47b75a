"""FHIRPath in three engines that don't share a line: HAPI's (Java), npm ``fhirpath`` (JavaScript), ``fhirpathpy``.

All cases of an engine and release are one process. A number is compared by its value: the JavaScript engine keeps no
trailing zero.
"""

from __future__ import annotations

import json
import subprocess
from collections.abc import Callable, Iterable, Iterator, Sequence
from decimal import Decimal
from functools import cache
from itertools import groupby
from pathlib import Path
from typing import Any, NamedTuple

from conformance import building
from conformance import engine as reference

from dermreport.examination.reader import write_json

ENGINES = ("java", "javascript", "python")

_JAVASCRIPT = Path(__file__).parent / "fhirpath_js"

#: One answer of an engine: the values, or why it refuses the expression.
Values = list[Any] | str


class Case(NamedTuple):
    """Expressions about one resource; each variable is evaluated in its turn, and is ``%name`` for those after it."""

    resource: dict[str, Any]
    expressions: Sequence[str]
    variables: Sequence[tuple[str, str]] = ()


class RefusedError(Exception):
    """An engine refuses an expression; the message has the engine, the reason, the expression."""


def evaluate(
    engine: str,
    release: str,
    resource: dict[str, Any],
    expressions: Sequence[str],
    variables: Sequence[tuple[str, str]] = (),
) -> list[list[Any]]:
    """Return what each expression gives for one resource.

    Raises:
        RefusedError: The engine refuses an expression.
    """
    return evaluate_all(engine, release, [Case(resource, expressions, variables)])[0]


def evaluate_all(engine: str, release: str, cases: Iterable[Case]) -> list[list[list[Any]]]:
    """Return for each case, in order, what each of its expressions gives: numbers as ``int`` or ``Decimal``.

    Raises:
        RefusedError: The engine refuses some expression.
    """
    cases = list(cases)
    answers = _answers(engine, release, cases)
    refused = {
        f"{engine} {release}: {values}: {expression}"
        for case, answer in zip(cases, answers, strict=True)
        for expression, values in zip(case.expressions, answer, strict=True)
        if isinstance(values, str)
    }
    if refused:
        raise RefusedError("\n".join(sorted(refused)))
    return answers  # type: ignore[return-value] # no text is among them


def _answers(engine: str, release: str, cases: list[Case]) -> list[list[Values]]:
    """Return the answers in the order of the cases, asked in groups that ask the same."""
    asked = [(tuple(case.expressions), tuple(case.variables)) for case in cases]
    order = sorted(range(len(cases)), key=lambda index: hash(asked[index]))
    asking = {"java": _in_java, "javascript": _in_javascript, "python": _in_python}[engine]
    answers = asking(release, [cases[index] for index in order])
    by_index = dict(zip(order, answers, strict=True))
    return [by_index[index] for index in range(len(cases))]


def _requests(cases: list[Case]) -> Iterator[tuple[str, bool]]:
    """Yield request lines, and whether each asks for values: what is asked, then the resources it is asked of."""
    for (expressions, variables), group in groupby(cases, key=lambda case: (case.expressions, case.variables)):
        yield json.dumps({"expressions": expressions, "variables": variables}), False
        for case in group:
            yield f'{{"resource": {write_json(case.resource)}}}', True


def _in_java(release: str, cases: list[Case]) -> list[list[Values]]:
    engine = reference.engine(release)
    answers = [(engine.ask(request), is_asking) for request, is_asking in _requests(cases)]
    return [answer for answer, is_asking in answers if is_asking]


def _in_javascript(release: str, cases: list[Case]) -> list[list[Values]]:
    building.npm(_JAVASCRIPT)
    done = subprocess.run(
        ["node", str(_JAVASCRIPT / "evaluate.mjs"), release],
        input="\n".join(request for request, _ in _requests(cases)),
        stdout=subprocess.PIPE,
        text=True,
        check=True,
        encoding="utf-8",
    )
    return [json.loads(line, parse_float=Decimal) for line in done.stdout.splitlines()]


def _in_python(release: str, cases: list[Case]) -> list[list[Values]]:
    return [_of_one(release, case) for case in cases]


def _of_one(release: str, case: Case) -> list[Values]:
    environment: dict[str, Any] = {"resource": case.resource}
    for name, expression in case.variables:
        values = _evaluated(release, case.resource, expression, environment)
        if isinstance(values, str):
            return [f"%{name}: {values}"] * len(case.expressions)
        environment[name] = values
    return [_evaluated(release, case.resource, one, environment) for one in case.expressions]


def _evaluated(release: str, resource: dict[str, Any], expression: str, environment: dict[str, Any]) -> Values:
    try:
        values = _compiled(release, expression)(resource, environment)
    except Exception as refused:  # noqa: BLE001 # whatever the engine raises is its answer
        return f"{type(refused).__name__}: {refused}"
    return list(values)


@cache
def _compiled(release: str, expression: str) -> Callable[[dict[str, Any], dict[str, Any]], Iterator[Any]]:
    import fhirpathpy
    from fhirpathpy.models import models

    compiled: Callable[..., Iterator[Any]] = fhirpathpy.compile(expression, models["r5" if release == "R5" else "r4"])
    return compiled
