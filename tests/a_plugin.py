"""A plugin that fits, as an object, of which a test changes one hook; and packages that are as good as installed."""

from __future__ import annotations

import sys
from dataclasses import dataclass, field
from decimal import Decimal
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pluggy

from dermreport.plugins import (
    About,
    AtLeast,
    Criterion,
    ExtraCoding,
    Holds,
    LetterKind,
    LetterSection,
    Making,
    Method,
    OtherCode,
    OwnCode,
    Present,
    ResourceMaker,
    Row,
    Rule,
    Severity,
    Threshold,
    Verdict,
    common_practice,
    every,
    is_one_of,
)
from dermreport.vocabulary.concerns import Concern
from dermreport.vocabulary.structures import Structure

if TYPE_CHECKING:
    import pytest

hookimpl = pluggy.HookimplMarker("dermreport")
NAME, SYSTEM = "lakeside", "https://lakeside.example/codes"
OURS = common_practice("Agreed at Lakeside, which is invented")
ABOUT = About(name=NAME, version="2.1", title="Lakeside", system=SYSTEM)
ROW = Row(
    code="recheck",
    display="recheck by a nurse",
    definition="A nurse looks again.",
    codings=(OtherCode(system="https://lakeside.example/billing", code="B1"),),
)
CODING = ExtraCoding(of="structure/network-typical", system="https://lakeside.example/old", code="NET-T")
METHOD = Method(
    code=OwnCode(NAME, SYSTEM, "two-signs", "two signs", "Size and growth."),
    version="1",
    criteria=(
        Criterion("large", "4 mm or more", AtLeast("lesion.longest_mm", Decimal(4)), 10, OURS),
        Criterion("growing", "growing", Holds("lesion.history.growing.answer"), 10, OURS),
    ),
    thresholds=(Threshold(20, Verdict.ABOVE_THRESHOLD, "2"),),
    lowest_tenths=0,
    highest_tenths=20,
    validity=(),
    cautions=("Nobody has studied it.",),
    figures=(),
    basis=OURS,
)
RULE = Rule(
    id=f"{NAME}.benign-and-large",
    when=every(is_one_of("assessment.concern", Concern.BENIGN), AtLeast("lesion.longest_mm", 4)),
    message="Lakeside looks again at {concern}: book it.",
    shown=(("concern", "assessment.concern"),),
    at="assessment.concern",
    basis=OURS,
)
SIGN = Rule(
    id=f"flag-{NAME}.typical-network",
    sign=True,
    when=Present(Structure.NETWORK_TYPICAL),
    message="Lakeside takes this for a warning sign.",
    basis=OURS,
)
PATHWAY = """
id = "recheck"
version = "1"
title = "Recheck"
owner = "Lakeside"
source = "agreed at Lakeside"
valid_from = 2026-03-01
extends = "neutral"
"""


def lines(review: Any) -> list[str]:
    return [f"Seen at Lakeside; {len(review.red_flags)} signs.", "<b>No markup</b> & 'quotes' *here*"]


def flag(making: Making) -> dict[str, Any]:
    return {
        "f": {
            "resourceType": "Flag",
            "status": "active",
            "code": {"coding": [{"system": SYSTEM, "code": "recheck"}], "text": "Recheck"},
            "subject": making.subject,
        }
    }


SECTION = LetterSection(id="contact", title="From Lakeside", kinds=tuple(LetterKind), write=lines)
MAKER = ResourceMaker(id="flag", make=flag)


@dataclass
class Plugin:
    """A plugin as an object: what its hooks give, the first alone or all of them."""

    about: Any = ABOUT
    rows: Any = ()
    codings: Any = ()
    methods: Any = ()
    rules: Any = ()
    pathways: Any = ()
    sections: Any = ()
    resources: Any = ()
    asked: list[str] = field(default_factory=list)

    @hookimpl
    def dermreport_about(self) -> Any:
        return self._given("about")

    @hookimpl
    def dermreport_rows(self) -> Any:
        return self._given("rows")

    @hookimpl
    def dermreport_codings(self) -> Any:
        return self._given("codings")

    @hookimpl
    def dermreport_methods(self) -> Any:
        return self._given("methods")

    @hookimpl
    def dermreport_rules(self) -> Any:
        return self._given("rules")

    @hookimpl
    def dermreport_pathways(self) -> Any:
        return self._given("pathways")

    @hookimpl
    def dermreport_letter_sections(self) -> Any:
        return self._given("sections")

    @hookimpl
    def dermreport_resources(self) -> Any:
        return self._given("resources")

    def _given(self, name: str) -> Any:
        self.asked.append(name)
        given = getattr(self, name)
        if isinstance(given, BaseException):
            raise given
        return given


def whole() -> Plugin:
    """Return a plugin that adds something of each kind, and no sign: that changes the word on the whole."""
    return Plugin(
        rows=(ROW,),
        codings=(CODING,),
        methods=(METHOD,),
        rules=(RULE,),
        pathways=(PATHWAY,),
        sections=(SECTION,),
        resources=(MAKER,),
    )


def install(monkeypatch: pytest.MonkeyPatch, folder: Path, points: dict[str, str], modules: dict[str, str]) -> None:
    """Put a package where installed ones are looked for: its modules, and the metadata that an installer writes."""
    for name, text in modules.items():
        (folder / f"{name}.py").write_text(text, encoding="utf-8")
        monkeypatch.delitem(sys.modules, name, raising=False)
    metadata = folder / "lakeside_plugin-2.1.dist-info"
    metadata.mkdir()
    (metadata / "METADATA").write_text("Metadata-Version: 2.1\nName: lakeside-plugin\nVersion: 2.1\n", encoding="utf-8")
    named = "\n".join(f"{name} = {value}" for name, value in points.items())
    (metadata / "entry_points.txt").write_text(f"[dermreport]\n{named}\n", encoding="utf-8")
    monkeypatch.syspath_prepend(str(folder))


#: A module with the whole plugin, for an entry point.
MODULE = "from a_plugin import whole\n\nplugin = whole()\n"

__all__ = ["MODULE", "Plugin", "Severity", "install", "whole"]
