"""One page a method: criteria, points, threshold, what was published about it, where it isn't valid, cautions."""

from __future__ import annotations

from collections.abc import Iterator
from html import escape

from dermreport.expressions.nodes import entry_path
from dermreport.scores.method import (
    CAUTIONS,
    ClueList,
    Counted,
    Criterion,
    Effect,
    End,
    Figure,
    Method,
    Steps,
    Validity,
    points,
)
from dermreport.scores.methods import CHECKLISTS, CLUE_LISTS, METHODS
from made.conditions import condition
from made.markup import Page, Row, because, items, known, link, plain_rows, table
from made.vocabulary import place

FOLDER = "reference/methods"
INDEX = f"{FOLDER}/index.md"


def uri_of(method: Method | ClueList) -> str:
    """Return where a method's page is."""
    return f"{FOLDER}/{method.code.value}.md"


def _cautions(one: Method | ClueList) -> str:
    return f'<div class="caution">{items(map(escape, (*CAUTIONS, *one.cautions)))}</div>\n'


def _criterion(here: str, one: Criterion | Counted) -> Row:
    if isinstance(one, Counted):
        asked = f"the number in <code>{escape(entry_path(one.path))}</code>, {one.lowest} to {one.highest}, times"
    else:
        asked = condition(here, one.when)
    weight = "below the threshold, whatever else is met" if isinstance(one, Criterion) and one.vetoes else ""
    weight = weight or points_text(one.tenths)
    part = escape(one.group) if one.group else ""
    return Row((escape(one.label), asked + because(one.basis), weight, part), id=f"criterion-{one.id}")


def _criteria(here: str, one: Method) -> str:
    rows = [_criterion(here, criterion) for criterion in one.criteria]
    body = table(("Criterion", "Counts when, and how that is known", "Points", "Part of the total"), rows)
    ranges = [
        f"{escape(part.group)}: {part.lowest} to {part.highest} criteria; outside of it there is no number. "
        f"{escape(part.reason)}"
        for part in one.part_ranges
    ]
    return f"## Criteria and points\n\n{body}\n{items(ranges)}\n"


def _thresholds(one: Method) -> str:
    rows = [(escape(threshold.text), escape(threshold.verdict.display)) for threshold in one.thresholds]
    below = ("lower", escape(one.verdict(one.thresholds[0].from_tenths - 1).display))
    only = (
        "\n\nIt is for one kind of cancer: below its threshold it says nothing of others.\n"
        if one.only_rules_in
        else ""
    )
    return (
        f"## Threshold\n\nTotals go from {points_text(one.lowest_tenths)} to {points_text(one.highest_tenths)}. "
        "While an input is open the total is a range.\n\n"
        f"{table(('From', 'The total is'), plain_rows([below, *rows]))}{only}\n"
    )


def points_text(tenths: int) -> str:
    """Return tenths as points, with a minus sign where they are fewer than none."""
    return f"\N{MINUS SIGN}{points(-tenths)}" if tenths < 0 else str(points(tenths))


def _clues(here: str, one: ClueList) -> str:
    rows = [
        Row(
            (
                escape(clue.label),
                condition(here, clue.when) + because(clue.basis),
                escape(clue.speaks_for),
                escape(clue.strength),
            ),
            id=f"clue-{clue.id}",
        )
        for clue in one.clues
    ]
    heads = ("Sign", "There when, and how that is known", "Associated with", "Published strength")
    return f"## Signs\n\nIt has no published total, so it gives no number and no verdict.\n\n{table(heads, rows)}\n"


def _steps(here: str, steps: Steps | None) -> str:
    if steps is None:
        return ""
    rows = [
        Row((f"{number}. {escape(step.asks)}", condition(here, step.when), _end(step.end)))
        for number, step in enumerate(steps.steps, 1)
    ]
    rows.append(Row(("otherwise", "every answer is no", _end(steps.otherwise))))
    return f"## Step by step\n\n{table(('Step', 'Yes when', 'A yes ends here'), rows)}\n"


def _end(end: End) -> str:
    parts = (end.says, end.verdict.display if end.verdict is not None else "", end.advice)
    return escape("; ".join(filter(None, parts)))


def _published(figures: tuple[Figure, ...]) -> str:
    body = items(f"{escape(figure.text)}{because(figure.basis)}" for figure in figures)
    return f"## What was published about it\n\n{body or 'No figure was found in a source that was read.'}\n\n"


def _validity(here: str, rows: tuple[Validity, ...]) -> str:
    listed = [
        (
            escape(row.reason),
            "no number" if row.effect is Effect.NO_NUMBER else "a caution",
            condition(here, row.when) + because(row.basis),
            escape(row.unknown),
        )
        for row in rows
    ]
    heads = ("Reason", "What follows", "When, and how that is known", "Where that can’t be told")
    return f"## What it isn’t valid for\n\n{table(heads, plain_rows(listed))}\n"


def _variants(here: str, one: Method) -> str:
    parts = []
    for variant in one.variants:
        rows = [_criterion(here, criterion) for criterion in variant.criteria]
        rows = [Row(row.cells) for row in rows]
        heads = ("Criterion", "Counts when, and how that is known", "Points", "Part of the total")
        parts.append(f"### {variant.name}\n\n{escape(variant.text)} {because(variant.basis)}\n\n{table(heads, rows)}")
    return "## Other readings of its sources\n\n" + "\n".join(parts) if parts else ""


def _page(one: Method | ClueList) -> Page:
    here = uri_of(one)
    term = link(here, place(one.code), f"<code>{escape(one.id)}</code>")
    what = _criteria(here, one) + _thresholds(one) if isinstance(one, Method) else _clues(here, one)
    body = (
        f"<p>{escape(one.code.definition)} In a review it is {term}.</p>\n\n"
        f"<p>Where it comes from: {known(one.basis)}</p>\n\n{_cautions(one)}\n{what}{_steps(here, one.steps)}"
        f"{_published(one.figures)}{_validity(here, one.validity)}"
    )
    body += _variants(here, one) if isinstance(one, Method) else ""
    return Page(here, one.code.display[0].upper() + one.code.display[1:], body)


def pages() -> Iterator[Page]:
    """Return the list of methods, and a page for each."""

    def rows(methods: tuple[Method | ClueList, ...]) -> list[Row]:
        return [
            Row((link(INDEX, uri_of(one), escape(one.code.display)), escape(one.version), known(one.basis)))
            for one in methods
        ]

    heads = ("Method", "Version", "Where it comes from")
    others = tuple(one for one in METHODS if one not in CHECKLISTS)
    yield Page(
        INDEX,
        "Methods",
        "Published scores and lists, as the library computes them. A total is below or above its method’s threshold, "
        "and nothing more: it names no disease, and below the threshold it excludes nothing. Methods are never "
        "averaged, and none is picked for the reader.\n\n"
        f'<div class="caution">{items(map(escape, CAUTIONS))}</div>\n\n'
        "## Checklists\n\nThe form calculates them, and the word on the whole waits for each that is valid.\n\n"
        f"{table(heads, rows(CHECKLISTS))}\n## Other methods with a threshold\n\n{table(heads, rows(others))}\n"
        f"## Lists of associations\n\nThey give no number.\n\n{table(heads, rows(CLUE_LISTS))}\n",
    )
    yield from map(_page, (*METHODS, *CLUE_LISTS))
