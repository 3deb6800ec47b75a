"""The form in a real browser: drawn by a general open-source renderer, filled by the keyboard alone.

What comes back gives the report of the example that was typed in; the totals on the page are the library's; what
``axe-core`` finds inside the renderer's own widgets is listed with a reason and matched exactly, and nothing else is.
"""

from __future__ import annotations

import csv
import os
import re
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from conformance import browser
from conformance.form_steps import steps

import dermreport
from dermreport.scores.methods import CHECKLISTS

EXAMPLES = Path(__file__).parent.parent.parent / "examples"
LISTED = Path(__file__).parent / "browser" / "accessibility.tsv"


def example() -> dermreport.Examination:
    return dermreport.Examination.from_json((EXAMPLES / "usual.json").read_bytes())


@pytest.fixture(scope="module")
def screenshots(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return where pictures of the page go: a folder that whoever wants to look can name."""
    folder = Path(os.environ.get("DERMREPORT_SCREENSHOTS") or tmp_path_factory.mktemp("screenshots"))
    folder.mkdir(parents=True, exist_ok=True)
    return folder


@pytest.fixture(scope="module")
def filled(screenshots: Path) -> dict[str, Any]:
    browser.install()
    form = dermreport.questionnaire(release="R4")
    return browser.fill(form, steps(form, dermreport.to_response(example(), release="R4")), "R4", screenshots)


def without_trailing_zeros(value: Any) -> Any:
    """Return the same content as a language without decimals has it."""
    if isinstance(value, dict):
        return {name: without_trailing_zeros(one) for name, one in value.items()}
    if isinstance(value, list):
        return [without_trailing_zeros(one) for one in value]
    return value.normalize() + 0 if isinstance(value, Decimal) else value


def test_the_keyboard_reaches_every_answer_and_the_page_asks_nobody(filled: dict[str, Any]) -> None:
    assert filled["failed"] is None
    assert filled["wrong"] == []


def test_the_answers_give_the_report_of_the_example(filled: dict[str, Any]) -> None:
    entry = dermreport.from_response(filled["response"])
    assert entry.issues == ()
    assert entry.examination is not None
    typed, recorded = (
        dermreport.to_fhir(dermreport.review(one)).bundle("transaction").to_dict()
        for one in (entry.examination, example())
    )
    narratives = re.compile(r"(\d)\.0+\b|(\.\d*[1-9])0+\b")

    def content(bundle: dict[str, Any]) -> Any:
        for one in bundle["entry"]:
            text = one["resource"].get("text")
            if text is not None:
                text["div"] = narratives.sub(r"\1\2", text["div"])
        return without_trailing_zeros(bundle)

    assert content(typed) == content(recorded)


def test_the_page_shows_the_totals_of_the_library(filled: dict[str, Any]) -> None:
    answers = dict(_answers(filled["response"]["item"]))
    review = dermreport.review(example())
    shown = {}
    for method in CHECKLISTS:
        code = method.code.value
        result = review.scores[code]
        low, high = (answers.get(f"scores.{code}.{end}") for end in ("low", "high"))
        shown[code] = (low, high)
        expected = (result.low, result.high) if result.valid else (None, None)
        assert tuple(None if one is None else Decimal(str(one)) for one in (low, high)) == expected, code
    assert any(low is not None for low, _ in shown.values())


def test_only_what_the_site_calls_for_is_asked(filled: dict[str, Any]) -> None:
    asked = {one.split("/")[0] for one in filled["shown"]}
    assert "findings" in asked
    ticks = {one.removeprefix("checklist.").removeprefix("findings.") for one in asked}
    assert "network-typical" in {one.split(".")[-1] for one in ticks}
    assert not {"furrow-parallel", "ridge-parallel"} & {one.split(".")[-1] for one in ticks}


def test_accessibility(filled: dict[str, Any]) -> None:
    with LISTED.open(encoding="utf-8", newline="") as file:
        listed = list(csv.DictReader(file, delimiter="\t"))
    assert all(row["reason"] for row in listed)
    found: dict[tuple[str, str], int] = {}
    unexpected = []
    for one in filled["axe"]:
        row = next((row for row in listed if row["rule"] == one["rule"] and re.search(row["html"], one["html"])), None)
        if row is None:
            unexpected.append(f"{one['rule']}: {one['html'][:160]}")
        else:
            found[row["rule"], row["html"]] = found.get((row["rule"], row["html"]), 0) + 1
    assert unexpected == []
    assert {(row["rule"], row["html"]) for row in listed} == set(found)


def _answers(items: list[dict[str, Any]]) -> Any:
    for item in items:
        for answer in item.get("answer", []):
            value = next(value for name, value in answer.items() if name.startswith("value"))
            yield item["linkId"], value
            yield from _answers(answer.get("item", []))
        yield from _answers(item.get("item", []))
