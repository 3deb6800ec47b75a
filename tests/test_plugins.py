"""Plugins: loaded only when asked, held to what they may add, and whatever they do the library says what it says."""

from __future__ import annotations

import asyncio
import copy
import dataclasses
import json
import pickle
import re
import subprocess
import sys
import types
from collections.abc import Callable, Mapping
from dataclasses import FrozenInstanceError, fields
from decimal import Decimal
from pathlib import Path
from typing import Any, get_args

import a_plugin
import msgspec
import pytest
from a_plugin import (
    ABOUT,
    CODING,
    MAKER,
    METHOD,
    MODULE,
    NAME,
    ROW,
    RULE,
    SECTION,
    SIGN,
    SYSTEM,
    Plugin,
    install,
    whole,
)
from examples_output import ENTRIES, examinations
from hypothesis import given
from plugin_resource_cases import CASES, FLAG, HELD_TO_A_FORM, LIST, NOT_TAKEN, OBSERVATION, TYPE, Case
from strategies import usual_examinations

import dermreport
from dermreport import Examination, Issue, Review, Settings, SettingsError, cli
from dermreport.examination.base import Model
from dermreport.examination.reader import read_json, write_json
from dermreport.expressions import nodes as nodes_of
from dermreport.expressions.nodes import AtLeast, Exists, Fact, Found, Given, Holds, Is, Not, Present, every, some
from dermreport.fhir.plugin_constraints import breaks
from dermreport.fhir.releases import Release
from dermreport.harmless_words import calls_harmless
from dermreport.plugins import (
    About,
    Cited,
    Criterion,
    Effect,
    ExtraCoding,
    LetterKind,
    OtherCode,
    ResourceMaker,
    Row,
    Severity,
    Threshold,
    Validity,
    Verdict,
    common_practice,
    seen,
)
from dermreport.plugins.issue_rules import PLUGIN_RULES, for_readers
from dermreport.publication import CANONICAL_BASE
from dermreport.scores.method import CAUTIONS, ClueList, Method, Step, Steps
from dermreport.scores.three_point import METHOD as PUBLISHED
from dermreport.vocabulary.concerns import Concern
from dermreport.vocabulary.lights import Light
from dermreport.vocabulary.structures import Structure
from dermreport.vocabulary.summaries import Summary
from dermreport.vocabulary.term import Term

ROOT = Path(__file__).parent.parent
OTHERS = "https://x.example"
RELEASES = ("R4", "R4B", "R5")
KINDS = ("transaction", "collection", "document")
FAILED, NOT_USED = "plugin-failed", "plugin-not-used"
EXAMINATIONS = [exam for path in ENTRIES for exam in examinations(path)]


def usual(**changed: Any) -> Examination:
    entry = read_json((ROOT / "examples" / "usual.json").read_bytes())
    return Examination.model_validate({**entry, **changed})


def growing() -> Examination:
    entry = read_json((ROOT / "examples" / "usual.json").read_bytes())
    entry["lesion"]["history"]["growing"] = {"answer": "yes"}
    return Examination.model_validate(entry)


def settings(*plugins: Any, **more: Any) -> Settings:
    loaded = dermreport.load_plugins(*plugins)
    assert loaded.issues == ()
    return Settings(plugins=loaded, **more)


def reviewed(exam: Examination, *plugins: Any, **more: Any) -> Review:
    return dermreport.review(exam, settings(*plugins, **more))


def without_the_hosts(issues: tuple[Issue, ...]) -> list[Issue]:
    return list(for_readers(issues))


def bundles(review: Review, release: str) -> list[str]:
    report = dermreport.to_fhir(review, release=release)
    return [report.bundle(kind).to_json() for kind in KINDS if kind != "document" or review.examination.examiner]


# -- loading -----------------------------------------------------------------------------------------------------------


def test_nothing_is_loaded_unless_it_is_asked_for(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    install(monkeypatch, tmp_path, {NAME: "lakeside_one"}, {"lakeside_one": "raise SystemExit('imported')"})
    assert dermreport.load_plugins() == dermreport.Plugins() == Settings().plugins
    dermreport.to_fhir(dermreport.review(usual())).bundle()
    assert "lakeside_one" not in sys.modules


def test_a_plugin_is_found_by_its_entry_point(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    install(monkeypatch, tmp_path, {NAME: "lakeside_two:plugin"}, {"lakeside_two": MODULE})
    by_name, directly = dermreport.load_plugins(NAME), dermreport.load_plugins(whole())
    assert by_name == directly
    assert by_name.names == (NAME,)


def test_one_that_is_not_installed_is_an_error_that_names_those_that_are(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    install(monkeypatch, tmp_path, {NAME: "lakeside_two:plugin"}, {})
    with pytest.raises(SettingsError, match=rf"no plugin of this name is installed; installed are: .*{NAME}"):
        dermreport.load_plugins("hillside")


def hooked(name: str, hook: Callable[..., Any]) -> object:
    return type("Given", (), {name: staticmethod(a_plugin.hookimpl(hook))})()


def gives_nothing() -> list[Any]:
    return []


def fails_to_say() -> Any:
    raise RuntimeError("Ann Example, born 1970")


#: What is given as a plugin, and the cause that is said of it.
NO_PLUGINS = [
    (object(), "it has no hook: mark its functions with hookimpl"),
    (7, "it has no hook"),
    (types.ModuleType("empty"), "it has no hook"),
    (Plugin, "it is a class: give an object that is made of it"),
    (type("Unmarked", (), {"dermreport_about": lambda _: ABOUT})(), "it has no hook"),
    (hooked("dermreport_rows", gives_nothing), "it has no dermreport_about that is marked as a hook"),
    (
        hooked("dermreport_nothing", gives_nothing),
        "it has a hook that there isn’t: there are dermreport_about,",
    ),
    (hooked("dermreport_rows", lambda _asked: []), "a hook takes no argument, and here one does: dermreport_rows"),
    (hooked("dermreport_about", fails_to_say), "dermreport_about fails (RuntimeError)"),
]


@pytest.mark.parametrize(("wrong", "what"), NO_PLUGINS, ids=range(len(NO_PLUGINS)))
def test_what_is_no_plugin_says_why_and_which_of_those_that_were_asked_for_it_is(wrong: object, what: str) -> None:
    loaded = dermreport.load_plugins(whole(), wrong)
    (issue,) = loaded.issues
    assert what in issue.message
    assert dict(issue.parameters)["plugin"] == "unnamed-2" == loaded.refused[0].name
    assert "Ann" not in str(issue)


def test_one_that_is_asked_for_in_two_ways_is_an_error_that_says_that_it_is_used_once(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    install(monkeypatch, tmp_path, {NAME: "lakeside_twice:plugin"}, {"lakeside_twice": MODULE})
    for twice in ((NAME, whole()), (whole(), whole())):
        with pytest.raises(SettingsError, match=rf"^plugins: {NAME} is asked for twice: it is used once$"):
            dermreport.load_plugins(*twice)


@pytest.mark.parametrize("twice", [("hillside", "hillside"), (plugin := whole(), plugin)])
def test_one_that_is_asked_for_twice_is_an_error(twice: tuple[Any, Any]) -> None:
    with pytest.raises(SettingsError, match=r"asked for twice|no plugin"):
        dermreport.load_plugins(*twice)


@pytest.mark.parametrize(
    ("text", "path", "what"),
    [
        ("raise ValueError('Ann Example, born 1970')", "$", "it can’t be imported (ValueError)"),
        ("raise SystemExit(1)", "$", "it can’t be imported (SystemExit)"),
        ("import asyncio\nraise asyncio.CancelledError('Ann Example')", "$", "it can’t be imported (CancelledError)"),
        ("class Panic(BaseException): pass\nraise Panic('Ann Example')", "$", "it can’t be imported (Panic)"),
        ("raise type('Ann Example', (Exception,), {})", "$", "it can’t be imported (an exception)"),
        ("import hillside.missing", "$", "it can’t be imported (ModuleNotFoundError: hillside)"),
        ("raise ModuleNotFoundError('Ann', name='Ann Example')", "$", "it can’t be imported (ModuleNotFoundError)"),
        ("from asyncio import nothing", "$", "it can’t be imported (ImportError)"),
        ("other = 1", "$", "it can’t be imported (AttributeError)"),
        ("plugin = object()", "$", "it has no hook: mark its functions"),
        ("from a_plugin import Plugin as plugin", "$", "it is a class"),
        (
            "import a_plugin as a\nplugin = a.Plugin(a.About(name='x', version='1', title='X', system='urn:x:y'))",
            "$.about.name",
            "its name isn’t that of its entry point",
        ),
    ],
)
def test_one_that_cannot_be_imported_is_refused_without_its_words(
    text: str, path: str, what: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    install(monkeypatch, tmp_path, {NAME: "lakeside_bad:plugin"}, {"lakeside_bad": text})
    loaded = dermreport.load_plugins(NAME)
    assert loaded.loaded == ()
    (issue,) = loaded.issues
    assert (issue.rule, issue.path) == ("plugin-refused", path)
    assert what in issue.message
    assert "Ann" not in str(issue)


def test_the_core_needs_no_pluggy() -> None:
    program = f"""
import sys
sys.modules["pluggy"] = None
import dermreport
from pathlib import Path
exam = dermreport.Examination.from_json(Path({str(ROOT / "examples" / "usual.json")!r}).read_bytes())
review = dermreport.review(exam)
dermreport.to_fhir(review).bundle("document").to_xml()
dermreport.letter(review)
import dermreport.plugins
try:
    dermreport.load_plugins()
except dermreport.MissingExtraError as error:
    print(error)
"""
    done = subprocess.run([sys.executable, "-c", program], cwd=ROOT, capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "Plugins need pluggy: pip install 'dermreport[plugins]'"


def replace(value: Any, /, **changed: Any) -> Any:
    """A changed copy of a frozen value, whichever library made its class."""
    make = msgspec.structs.replace if isinstance(value, msgspec.Struct) else dataclasses.replace
    return make(value, **changed)


# -- what fits ---------------------------------------------------------------------------------------------------------


def criteria(**changed: Any) -> Any:
    first, *others = METHOD.criteria
    return (replace(METHOD, criteria=(replace(first, **changed), *others)),)


def rule(**changed: Any) -> tuple[Any, ...]:
    return (replace(RULE, **{"message": "Look again.", "shown": (), **changed}),)


def nested(depth: int) -> Any:
    condition: Any = Present(Structure.PSEUDOPODS)
    for _ in range(depth):
        condition = Not(condition)
    return condition


UNKNOWN_SOURCE = common_practice()
#: What is changed in a plugin that fits, where the issue points, and what it says of it.
WRONG: list[tuple[dict[str, Any], str, str]] = [
    ({"about": None}, "$.about", "doesn’t say who it is"),
    ({"about": ValueError("marker")}, "$.about", "doesn’t say who it is"),
    ({"about": replace(ABOUT, version=7)}, "$.about", "doesn’t say who it is"),
    ({"about": replace(ABOUT, version="")}, "$.about.version", "no version"),
    ({"about": replace(ABOUT, version="1 marker")}, "$.about.version", "no version"),
    ({"about": replace(ABOUT, name="Marker!")}, "$.about.name", "its name"),
    ({"about": replace(ABOUT, name="neutral")}, "$.about.name", "is taken"),
    ({"about": replace(ABOUT, name="flag-x")}, "$.about.name", "is taken"),
    ({"about": replace(ABOUT, title="two\nlines")}, "$.about.title", "no single line"),
    ({"about": replace(ABOUT, system=f"{CANONICAL_BASE}/CodeSystem/site")}, "$.about.system", "no URI of its own"),
    ({"about": replace(ABOUT, system="http://snomed.info/sct")}, "$.about.system", "no URI of its own"),
    ({"about": replace(ABOUT, system="marker")}, "$.about.system", "no URI of its own"),
    ({"rows": "marker"}, "$.rows", "gives no list"),
    ({"rows": RuntimeError("marker")}, "$.rows", "fails"),
    *(({"rows": kind("marker")}, "$.rows", "fails") for kind in (asyncio.CancelledError, GeneratorExit, SystemExit)),
    ({"about": asyncio.CancelledError("marker")}, "$.about", "doesn’t say who it is"),
    ({"rows": (7,)}, "$.rows[0]", "no Row"),
    ({"rows": (Row(code="a b", display="x", definition="y"),)}, "$.rows[0].code", "its code"),
    ({"rows": (Row(code="a", display="", definition="y"),)}, "$.rows[0].display", "no single line"),
    ({"rows": (Row(code="a", display="x", definition="y"),) * 2}, "$.rows", "one code"),
    ({"rows": (Row(code="two-signs", display="x", definition="y"),), "methods": (METHOD,)}, "$.rows", "one code"),
    (
        {"rows": (Row(code="a", display="x", definition="y", codings=(OtherCode(system=SYSTEM, code="b"),)),)},
        "$.rows[0].codings",
        "its own system",
    ),
    (
        {
            "rows": (
                Row(
                    code="a",
                    display="x",
                    definition="y",
                    codings=(OtherCode(system="http://snomed.info/sct", code="400010006"),),
                ),
            )
        },
        "$.rows[0].codings",
        "says what a row of the library’s says",
    ),
    ({"codings": (7,)}, "$.codings[0]", "no ExtraCoding"),
    ({"codings": (CODING, CODING)}, "$.codings[1]", "has this code already"),
    (
        {"codings": (ExtraCoding(of="impression/naevus-blue", system="http://snomed.info/sct", code="400010006"),)},
        "$.codings[0]",
        "another row",
    ),
    ({"rules": (7,)}, "$.rules[0]", "no Rule"),
    ({"rules": rule(id="flag-bleeding")}, "$.rules[0].id", "id"),
    ({"rules": rule(id="plan-departure-unknown")}, "$.rules[0].id", "another rule has its id"),
    ({"rules": rule(id="other.marker")}, "$.rules[0].id", "begin with the plugin’s name"),
    ({"rules": rule(id=f"{NAME}.unknown-code")}, "$.rules[0].id", "another rule has its id"),
    ({"rules": rule(id=f"flag-{NAME}.x")}, "$.rules[0].id", "begin with the plugin’s name"),
    ({"rules": rule(id=f"{NAME}.x", sign=True)}, "$.rules[0].id", "before a sign’s stands flag-"),
    ({"rules": (*rule(), *rule())}, "$.rules[1].id", "another rule has its id"),
    ({"rules": rule(severity=Severity.ERROR)}, "$.rules[0].severity", "a warning or an information"),
    ({"rules": rule(severity="warning")}, "$.rules[0].severity", "a warning or an information"),
    ({"rules": (replace(SIGN, severity=Severity.INFORMATION),)}, "$.rules[0].severity", "a warning sign is a warning"),
    ({"rules": rule(basis=UNKNOWN_SOURCE)}, "$.rules[0].basis", "no source"),
    ({"rules": rule(basis=seen())}, "$.rules[0].basis", "no source"),
    ({"rules": rule(basis="marker")}, "$.rules[0].basis", "how it is known"),
    ({"rules": rule(message="{concern}")}, "$.rules[0].message", "names in braces"),
    ({"rules": rule(message="{")}, "$.rules[0].message", "names in braces"),
    ({"rules": (replace(RULE, message="{concern.__class__}"),)}, "$.rules[0].message", "names in braces"),
    ({"rules": (replace(RULE, message="{concern!r}"),)}, "$.rules[0].message", "names in braces"),
    ({"rules": (replace(RULE, message="no name"),)}, "$.rules[0].message", "names in braces"),
    ({"rules": rule(message="")}, "$.rules[0].message", "no single line"),
    (
        {"rules": (replace(RULE, shown=(("concern", "lesion.longest_mm"),)),)},
        "$.rules[0].shown",
        "no code or whole",
    ),
    (
        {"rules": (replace(RULE, shown=(("concern", "patient.reference"),)),)},
        "$.rules[0].shown",
        "no code or whole",
    ),
    ({"rules": (replace(RULE, shown=(("concern", "lesion.label"),)),)}, "$.rules[0].shown", "no code or whole"),
    ({"rules": rule(at="marker")}, "$.rules[0].at", "no path"),
    ({"rules": rule(each="marker")}, "$.rules[0].each", "no list"),
    ({"rules": rule(each="lesion")}, "$.rules[0].each", "no list"),
    ({"rules": rule(when=None)}, "$.rules[0].when", "isn’t one of the condition language"),
    ({"rules": rule(when=lambda *_: True)}, "$.rules[0].when", "isn’t one of the condition language"),
    ({"rules": rule(when=Fact("marker"))}, "$.rules[0].when", "no derived fact"),
    ({"rules": rule(when=Present("pseudopods"))}, "$.rules[0].when", "no structure"),
    ({"rules": rule(when=Given("marker"))}, "$.rules[0].when", "a path that the entry hasn’t"),
    ({"rules": rule(when=Given("@.key"))}, "$.rules[0].when", "a path that the entry hasn’t"),
    ({"rules": rule(when=Holds("lesion.longest_mm"))}, "$.rules[0].when", "asks a yes of what has none"),
    ({"rules": rule(when=AtLeast("patient.reference", 1))}, "$.rules[0].when", "asks a number of what has none"),
    ({"rules": rule(when=AtLeast("lesion.longest_mm", Decimal("NaN")))}, "$.rules[0].when", "a limit"),
    ({"rules": rule(when=Is("assessment.concern", (Light.UNKNOWN,)))}, "$.rules[0].when", "can’t stand at its path"),
    ({"rules": rule(when=Is("assessment.concern", ()))}, "$.rules[0].when", "can’t stand at its path"),
    ({"rules": rule(when=Exists("lesion", Given("@.site")))}, "$.rules[0].when", "no list"),
    ({"rules": rule(when=Exists("views", Given("@.marker")))}, "$.rules[0].when", "a path that the entry hasn’t"),
    ({"rules": rule(when=Found(Structure.PSEUDOPODS, Given("@.marker")))}, "$.rules[0].when", "a path"),
    ({"rules": rule(when=every())}, "$.rules[0].when", "joins no others"),
    ({"rules": rule(when=nested(20))}, "$.rules[0].when", "stands in more than"),
    ({"methods": (PUBLISHED,)}, "$.methods[0]", "no Method with an OwnCode"),
    ({"methods": (replace(METHOD, code=replace(METHOD.code, value="three-point")),)}, "$.methods[0].code", "library’s"),
    ({"methods": (replace(METHOD, code=replace(METHOD.code, plugin="other")),)}, "$.methods[0].code", "isn’t of the"),
    ({"methods": (replace(METHOD, code=replace(METHOD.code, title="benign score")),)}, "$.methods[0].code.title", "ha"),
    ({"methods": (replace(METHOD, basis=UNKNOWN_SOURCE),)}, "$.methods[0].basis", "no source"),
    ({"methods": (replace(METHOD, steps=Steps((), None)),)}, "$.methods[0]", "no steps"),  # type: ignore[arg-type]
    ({"methods": (replace(METHOD, criteria=()),)}, "$.methods[0].criteria", "counts nothing"),
    ({"methods": criteria(when=Given("marker"))}, "$.methods[0].criteria[0].when", "a path"),
    ({"methods": criteria(tenths=Decimal(1))}, "$.methods[0].criteria[0].tenths", "whole number of tenths"),
    ({"methods": criteria(id="growing")}, "$.methods[0].criteria", "one id"),
    ({"methods": (replace(METHOD, thresholds=()),)}, "$.methods[0].thresholds", "the last one"),
    (
        {"methods": (replace(METHOD, thresholds=(Threshold(20, Verdict.BELOW_THRESHOLD, "2"),)),)},
        "$.methods[0].thresholds",
        "the last one",
    ),
    (
        {"methods": (replace(METHOD, thresholds=(Threshold(30, Verdict.ABOVE_THRESHOLD, "3"),)),)},
        "$.methods[0].thresholds",
        "no total reaches one",
    ),
    (
        {"methods": (replace(METHOD, thresholds=(Threshold(0, Verdict.ABOVE_THRESHOLD, "0"),)),)},
        "$.methods[0].thresholds",
        "every total does",
    ),
    ({"methods": (replace(METHOD, highest_tenths=10),)}, "$.methods[0].lowest_tenths", "its range"),
    ({"methods": (replace(METHOD, cautions=CAUTIONS),)}, "$.methods[0].cautions", "said by the library"),
    ({"methods": (replace(METHOD, cautions=(7,)),)}, "$.methods[0].cautions", "tuple of str"),
    *(
        ({"methods": (replace(METHOD, **{part: value}),)}, f"$.methods[0].{part}", "calls something harmless")
        for part, value in (
            ("cautions", ("A low total is benign.",)),
            ("cautions", ("Unter der Schwelle ist es gutartig.",)),
            ("thresholds", (Threshold(20, Verdict.ABOVE_THRESHOLD, "2, else normal"),)),
            (
                "validity",
                (Validity(Present(Structure.PSEUDOPODS), Effect.CAUTION, "It is harmless there.", METHOD.basis),),
            ),
        )
    ),
    ({"methods": criteria(label="unauffälliger Rand")}, "$.methods[0].criteria[0].label", "calls something harmless"),
    ({"rules": rule(message="Nothing suspicious: no need to look.")}, "$.rules[0].message", "calls something harmless"),
    ({"sections": (replace(SECTION, title="Entwarnung"),)}, "$.sections[0].title", "calls something harmless"),
    ({"about": replace(ABOUT, title="All-clear")}, "$.about.title", "calls something harmless"),
    *(
        ({"codings": (ExtraCoding(of=of, system=OTHERS, code="1"),)}, "$.codings[0]", "have the library’s codes")
        for of in (
            "concern/suspicious",
            "presence/present",
            "summary/suspicious",
            "urgency/routine",
            "verdict/above-threshold",
        )
    ),
    (
        {"methods": (replace(METHOD, code=replace(METHOD.code, title=PUBLISHED.code.display)),)},
        "$.methods[0].code.title",
        "a published method",
    ),
    ({"rules": (*rule(), replace(SIGN, id=f"flag-{RULE.id}"))}, "$.rules", "called the same in a departure"),
    ({"rules": rule(id=f"{NAME}.two-signs"), "methods": (METHOD,)}, "$.rules", "called the same in a departure"),
    ({"rules": rule(id=f"{NAME}.at-threshold")}, "$.rules[0].id", "another rule has its id"),
    ({"pathways": ("marker = ",)}, "$.pathways[0]", "pathway-"),
    ({"pathways": (7,)}, "$.pathways[0]", "no TOML"),
    ({"pathways": (a_plugin.PATHWAY + 'without = ["red-flag"]\n',)}, "$.pathways[0].without[0]", "pathway-"),
    ({"pathways": (a_plugin.PATHWAY.replace('"recheck"', '"neutral"'),)}, "$.pathways[0].id", "pathway-id-taken"),
    ({"pathways": (a_plugin.PATHWAY.replace('"recheck"', f'"{NAME}"'),)}, "$.pathways", "name of a plugin"),
    ({"pathways": (a_plugin.PATHWAY, a_plugin.PATHWAY)}, "$.pathways", "two have one id"),
    ({"sections": (7,)}, "$.sections[0]", "no LetterSection"),
    ({"sections": (replace(SECTION, write=None),)}, "$.sections[0]", "no LetterSection"),
    ({"sections": (replace(SECTION, kinds=()),)}, "$.sections[0].kinds", "a tuple of"),
    ({"sections": (replace(SECTION, id="A B"),)}, "$.sections", "an id"),
    ({"sections": (SECTION, SECTION)}, "$.sections", "two have one id"),
    ({"resources": (7,)}, "$.resources[0]", "no ResourceMaker"),
    ({"resources": (replace(MAKER, id="score"),)}, "$.resources[0].id", "have this id"),
]


HARMLESS = (
    "BENIGN",
    "benign\u00adity",
    "all clear",
    "nothing suspicious",
    "without any suspicion",
    "\uff2e\uff2f\uff32\uff2d\uff21\uff2c",
    "Unbedenklichkeit",
    "negativer Befund",
    "melanoma rule-out list",
    "2; below 2 melanoma is excluded",
    "Cancer excluded: no action needed",
    "low-risk",
    "the patient can be reassured",
    "Krebs ausgeschlossen",
    "Cancel the urgent referral",
    "it is not urgent",
    "nicht dringend",
)
SAID = (
    "abnormal",
    "A low total excludes nothing: when in doubt refer.",
    "A total below the threshold doesn’t rule out melanoma.",
    "verdächtig",
    "suspicious",
    "Melanoma isn’t excluded.",
    "no melanoma pattern is asked",
    "Refer without waiting",
    *CAUTIONS,
)


def test_a_word_that_calls_something_harmless_is_found_as_a_whole_word() -> None:
    assert [one for one in HARMLESS if not calls_harmless(one)] == []
    assert [one for one in SAID if calls_harmless(one)] == []


CONTRADICTING = [
    ("concern/suspicious", OTHERS, "b", "Benign"),
    ("concern/uncertain", OTHERS, "b", "harmlos"),
    ("presence/present", "http://terminology.hl7.org/CodeSystem/v3-ObservationInterpretation", "NEG", None),
    ("plan-action/refer-suspected-cancer", OTHERS, "r", "Routine follow-up, no hurry"),
    ("plan-action/refer-suspected-cancer", "http://hl7.org/fhir/request-status", "revoked", "Revoked"),
    ("impression/melanoma-nodular-suspected", OTHERS, "n", "Benign naevus"),
    ("verdict/above-threshold", OTHERS, "n", "normal"),
]


@pytest.mark.parametrize(("of", "system", "code", "display"), CONTRADICTING)
def test_no_code_beside_a_grave_row_calls_it_harmless(of: str, system: str, code: str, display: str | None) -> None:
    with pytest.raises(SettingsError, match="never that it is harmless"):
        ExtraCoding(of=of, system=system, code=code, display=display)


@pytest.mark.parametrize(
    ("of", "display"),
    [
        ("concern/benign", "Benign"),
        ("presence/absent", "Negative"),
        ("impression/naevus-blue", "Benign naevus"),
        ("structure/network-typical", "normal network"),
        ("plan-action/refer-suspected-cancer", "Two-week referral"),
    ],
)
def test_a_code_beside_a_harmless_row_may_say_so(of: str, display: str) -> None:
    assert ExtraCoding(of=of, system=OTHERS, code="1", display=display).coding.display == display


def test_a_plugin_that_fits_is_used() -> None:
    loaded = dermreport.load_plugins(whole())
    assert loaded.issues == loaded.refused == ()
    (plugin,) = loaded.loaded
    assert all(getattr(plugin, one.name) for one in fields(plugin))


@pytest.mark.parametrize(("changed", "path", "what"), WRONG, ids=range(len(WRONG)))
def test_what_does_not_fit_is_refused_whole_and_each_review_says_so(
    changed: dict[str, Any], path: str, what: str
) -> None:
    good = Plugin(about=About(name="hillside", version="1", title="Hillside", system="https://hillside.example"))
    plugin = whole()
    vars(plugin).update(changed)
    loaded = dermreport.load_plugins(plugin, good)
    assert loaded.names == ("hillside",)
    found = [issue for issue in loaded.issues if issue.path == path]
    assert any(what in issue.message for issue in found), [str(issue) for issue in loaded.issues]
    assert {issue.rule for issue in loaded.issues} == {"plugin-refused"}
    assert "marker" not in "".join(str(issue) for issue in loaded.issues)
    (refused,) = loaded.refused
    for issue in loaded.issues:
        assert dict(issue.parameters)["plugin"] == refused.name
        assert dict(issue.parameters)["version"] == refused.version
    alone, review = dermreport.review(usual()), dermreport.review(usual(), Settings(plugins=loaded))
    assert [one.rule for one in review.issues if one not in alone.issues] == [NOT_USED]
    assert bundles(review, "R4") == bundles(alone, "R4")
    assert dermreport.letter(review).content == dermreport.letter(alone).content


def test_a_pathway_that_weakens_the_core_is_refused() -> None:
    weaker = a_plugin.PATHWAY + (
        '[[steps]]\nid = "suspicious"\nurgency = "routine"\nknown = "common practice"\nsource = "agreed"\n'
    )
    loaded = dermreport.load_plugins(replace_in(whole(), pathways=(weaker,)))
    assert loaded.loaded == ()
    assert any(one.path.startswith("$.pathways[0].steps[0]") for one in loaded.issues)


def replace_in(plugin: Plugin, **changed: Any) -> Plugin:
    vars(plugin).update(changed)
    return plugin


def test_two_plugins_that_collide_are_one() -> None:
    other = About(name="hillside", version="1", title="Hillside", system=SYSTEM)
    same_system = dermreport.load_plugins(whole(), Plugin(about=other))
    assert same_system.names == (NAME,)
    assert [(one.path, one.rule) for one in same_system.issues] == [("$.about.system", "plugin-refused")]
    same_name = dermreport.load_plugins(whole(), Plugin())
    assert same_name.names == (NAME,)
    assert {one.path for one in same_name.issues} == {"$.about.name", "$.about.system"}
    same_code = dermreport.load_plugins(
        whole(), Plugin(about=replace(other, system="https://x.example"), codings=(CODING,))
    )
    assert [one.path for one in same_code.issues] == ["$.codings[0]"]


def test_a_plugin_meets_no_other_ones_hooks() -> None:
    plugins = [whole(), Plugin(about=About(name="hillside", version="1", title="H", system="https://h.example"))]
    assert dermreport.load_plugins(*plugins).names == (NAME, "hillside")
    for plugin in plugins:
        assert sorted(plugin.asked) == sorted(one.name for one in fields(plugin) if one.name != "asked")


# -- reviews -----------------------------------------------------------------------------------------------------------


def test_its_rules_codes_and_methods_are_in_the_review() -> None:
    action = {"key": "a9", "action": {"system": SYSTEM, "code": "recheck", "display": "another name"}}
    other = {"key": "a8", "action": {"system": SYSTEM, "code": "nothing"}}
    plan = read_json(usual().to_json())["plan"]
    exam = usual(plan={**plan, "actions": [*plan["actions"], action, other]})
    alone, review = dermreport.review(exam), reviewed(exam, whole())
    new = {issue.rule: issue for issue in review.issues if issue not in alone.issues}
    assert new.keys() == {RULE.id, f"{NAME}.unknown-code", f"{NAME}.other-display"}
    assert new[RULE.id].path == "$.assessment.concern"
    assert Concern.BENIGN.display in new[RULE.id].message
    assert new[f"{NAME}.unknown-code"].path == "$.plan.actions[2].action"
    assert new[f"{NAME}.other-display"].path == "$.plan.actions[1].action"
    assert list(review.plugin_scores) == [f"{NAME}/two-signs"]
    result = review.plugin_scores[f"{NAME}/two-signs"]
    assert (result.low, result.high, result.verdict) == (1, 1, Verdict.BELOW_THRESHOLD)
    assert set(CAUTIONS) < set(result.cautions)
    assert review.scores.keys() == alone.scores.keys()


def test_a_score_at_its_threshold_and_a_sign_make_the_word_suspicious_until_a_departure_gives_a_reason() -> None:
    for plugin, exam, name in (
        (Plugin(methods=(METHOD,)), growing(), "two-signs"),
        (Plugin(rules=(SIGN,)), usual(), "typical-network"),
    ):
        alone, review = dermreport.review(exam), reviewed(exam, plugin)
        assert alone.summary is not Summary.SUSPICIOUS
        assert review.summary is Summary.SUSPICIOUS
        departed = Examination.model_validate(
            {
                **read_json(exam.to_json()),
                "plan": {
                    **read_json(exam.to_json())["plan"],
                    "departures": [{"key": "d", "departs_from": f"{NAME}/{name}", "reason": "seen by two examiners"}],
                },
            }
        )
        assert reviewed(departed, plugin).summary is dermreport.review(departed).summary
        assert "plan-departure-unknown" not in {one.rule for one in reviewed(departed, plugin).issues}


def test_a_plugins_sign_asks_the_cores_step_on_signs_until_it_is_planned_or_answered() -> None:
    review = reviewed(usual(), Plugin(rules=(SIGN,)))
    assert [(one.name, str(one.kept)) for one in review.expected.steps] == [("neutral/red-flag", "missing")]
    assert review.expected.watch_for
    assert "pathway-step-missing" in [one.rule for one in review.issues]
    action = {"key": "a", "action": "refer-suspected-cancer", "urgency": "urgent"}
    planned = reviewed(usual(plan={"actions": [action]}), Plugin(rules=(SIGN,)))
    assert [str(one.kept) for one in planned.expected.steps if one.step.id == "red-flag"] == ["met"]
    departure = {"key": "d", "departs_from": f"{NAME}/typical-network", "reason": "seen for years"}
    answered = reviewed(usual(plan={"actions": [], "departures": [departure]}), Plugin(rules=(SIGN,)))
    assert "red-flag" not in [one.step.id for one in answered.expected.steps]


def test_a_plugins_score_at_its_threshold_says_why_the_word_is_suspicious() -> None:
    plugin = Plugin(methods=(METHOD,))
    review = reviewed(growing(), plugin)
    (issue,) = (one for one in review.issues if one.rule == f"{NAME}.at-threshold")
    assert issue.path == "$.plan"
    assert f"departure from {NAME}/two-signs" in issue.message
    assert issue.severity is Severity.WARNING
    entry = growing().to_dict()
    entry["plan"] = {"actions": [{"key": "a", "action": "refer-suspected-cancer"}]}
    planned = Examination.model_validate(entry)
    (informs,) = (one for one in reviewed(planned, plugin).issues if one.rule == f"{NAME}.at-threshold")
    assert informs.severity is Severity.INFORMATION


def test_a_hosts_pathway_has_no_plugins_name() -> None:
    text = a_plugin.PATHWAY.replace('"recheck"', f'"{NAME}"')
    with pytest.raises(SettingsError, match="its id is the name of a plugin"):
        settings(Plugin(), pathway=dermreport.pathway_from_toml(text))


def test_a_sign_stands_with_the_librarys_signs_and_first_in_reports_and_letters() -> None:
    review = reviewed(usual(), Plugin(rules=(SIGN,)))
    assert SIGN.id in {one.rule for one in review.red_flags}
    report = next(one for one in dermreport.to_fhir(review).resources if one["resourceType"] == "DiagnosticReport")
    first, _, _ = report["text"]["div"].partition("Plan</")
    assert SIGN.message in first
    letter = dermreport.letter(review).text
    assert letter.index(SIGN.message) < letter.index("Dermatoscopic findings")


#: The more careful, the lower.
RANK = {summary: rank for rank, summary in enumerate(Summary)}
EVERYTHING = Plugin(
    rules=(SIGN, replace(RULE, id=f"{NAME}.always", when=some(Given("status")), message="Seen.", shown=())),
    methods=(METHOD, replace(METHOD, code=replace(METHOD.code, value="never"), criteria=METHOD.criteria[:1],
                             highest_tenths=10, thresholds=(Threshold(10, Verdict.ABOVE_THRESHOLD, "1"),))),
    rows=(a_plugin.ROW,),
)  # fmt: skip


@given(usual_examinations())
def test_no_plugin_makes_the_word_on_the_whole_more_reassuring(exam: Examination) -> None:
    alone, review = dermreport.review(exam), reviewed(exam, EVERYTHING)
    assert RANK[review.summary] <= RANK[alone.summary]
    assert review.scores == alone.scores
    kept = [one for one in alone.issues if not one.rule.startswith("pathway-")]
    assert [one for one in review.issues if one in kept] == kept
    assert review.has_errors == alone.has_errors


@pytest.mark.parametrize("position", range(len(EXAMINATIONS)))
def test_every_issue_score_and_resource_of_the_library_stays_as_it_is(position: int) -> None:
    """Only the report's list of results, its narrative and its origin name what a plugin added."""
    exam = EXAMINATIONS[position]
    plugin = replace_in(whole(), codings=(), rules=(RULE,))
    alone, review = dermreport.review(exam), reviewed(exam, plugin)
    assert all(one in review.issues for one in alone.issues)
    for release in RELEASES:
        before, after = (dermreport.to_fhir(one, release=release).resources for one in (alone, review))
        there = {one["id"]: one for one in after}
        for one in before:
            other = there[one["id"]]
            if one["resourceType"] in {"DiagnosticReport", "Provenance", "Composition"}:
                changed = {name for name in one if one[name] != other[name]}
                assert changed <= {"text", "result", "entity", "conclusionCode"}
                for name in changed & {"result", "entity"}:
                    assert [item for item in other[name] if item in one[name]] == one[name]
            else:
                assert write_json(other) == write_json(one)
        urgent = [one.get("priority") for one in before if one["resourceType"] == "ServiceRequest"]
        assert [one.get("priority") for one in after if one["resourceType"] == "ServiceRequest"] == urgent


# -- what fails --------------------------------------------------------------------------------------------------------


def test_rules_that_fail_with_a_record_are_an_issue_and_all_else_is_that_without_the_plugin() -> None:
    """What is checked when it is loaded can't fail; this one was changed afterwards, as no plugin can."""
    good = Plugin(about=About(name="hillside", version="1", title="H", system="https://h.example"), methods=())
    loaded = dermreport.load_plugins(replace_in(whole(), pathways=()), good)
    lakeside, hillside = loaded.loaded
    broken = replace(lakeside, rules=(replace(RULE, when=AtLeast("patient.reference", 1)),))
    with_it = Settings(plugins=replace(loaded, loaded=(broken, hillside)))
    without = Settings(plugins=replace(loaded, loaded=(hillside,)))
    for exam in (usual(), growing()):
        failing, review = dermreport.review(exam, with_it), dermreport.review(exam, without)
        (issue,) = (one for one in failing.issues if one not in review.issues)
        assert (issue.rule, issue.severity, issue.path) == (FAILED, Severity.WARNING, "$")
        assert dict(issue.parameters) == {
            "plugin": NAME,
            "version": "2.1",
            "part": "its rules or methods",
            "why": "it raised an exception",
        }
        assert without_the_hosts(failing.issues) == list(review.issues)
        assert failing.summary is review.summary
        assert failing.plugin_scores == review.plugin_scores
        for release in RELEASES:
            assert bundles(failing, release) == bundles(review, release)
        assert dermreport.letter(failing).content == dermreport.letter(review).content
        assert dermreport.to_hl7v2(failing).text == dermreport.to_hl7v2(review).text
        assert FAILED in json.dumps(dermreport.to_fhir(failing).outcome(), default=str)


class Panic(BaseException):
    """As a fault in an extension module comes: no ``Exception``."""


#: Kinds that go past ``except Exception``.
NO_EXCEPTIONS = (asyncio.CancelledError, GeneratorExit, Panic, SystemExit)


def raising(kind: type[BaseException]) -> Callable[..., Any]:
    def raises(*_: Any) -> Any:
        raise kind("Ann Example, born 1970")

    return raises


def fails(_review: Any) -> Any:
    raise RuntimeError("Ann Example, born 1970")


def cancelled(_making: Any) -> Any:
    """As a maker whose own task is cancelled; it has a name, so that the door's processes can be given it."""
    raise asyncio.CancelledError("Ann Example, born 1970")


def fails_late(_review: Any) -> Any:
    yield "a line"
    raise RuntimeError("Ann Example, born 1970")


@pytest.mark.parametrize(
    ("write", "why"),
    [
        (fails, "it raised an exception"),
        *((raising(kind), "it raised an exception") for kind in NO_EXCEPTIONS),
        (fails_late, "it raised an exception"),
        (lambda _: None, "gives no lines"),
        (lambda _: 7, "gives no lines"),
        (lambda _: "one text", "gives no lines"),
        (lambda _: [7], "isn’t a line of text"),
        (lambda _: [""], "isn’t a line of text"),
        (lambda _: ["two\nlines"], "isn’t a line of text"),
        (lambda _: ["x"] * 51, "more than 50 lines"),
        (lambda _: ["x" * 1001], "isn’t a line of text"),
    ],
)
@pytest.mark.parametrize("kind", list(LetterKind))
def test_a_section_that_fails_is_an_issue_and_the_letter_is_that_without_it(
    write: Any, why: str, kind: LetterKind
) -> None:
    alone = dermreport.letter(dermreport.review(usual()), kind=kind)
    letter = dermreport.letter(reviewed(usual(), Plugin(sections=(replace(SECTION, write=write),))), kind=kind)
    assert letter.content == alone.content
    (issue,) = (one for one in letter.issues if one not in alone.issues)
    assert (issue.rule, issue.severity, issue.path) == (FAILED, Severity.WARNING, "$")
    assert "Ann" not in str(issue)
    assert why in issue.message
    assert NAME in issue.message
    assert "2.1" in issue.message


def names_of(part: Any) -> list[str]:
    if dataclasses.is_dataclass(part):
        return [one.name for one in fields(part)]
    names = type(part).model_fields if isinstance(part, Model) else getattr(part, "__struct_fields__", ())
    return list(names)


def parts(value: Any, seen: dict[int, Any]) -> list[Any]:
    """Every part of a review but what the program has for every record."""
    shared = (Term, Method, ClueList, Step, dermreport.Pathway, dermreport.plugin.Plugin, str, type)
    if value is None or id(value) in seen or isinstance(value, shared):
        return list(seen.values())
    seen[id(value)] = value
    if isinstance(value, (list, tuple, frozenset, set)):
        inner: Any = value
    elif isinstance(value, Mapping):
        inner = value.values()
    else:
        inner = [getattr(value, name) for name in names_of(value)]
    for one in inner:
        parts(one, seen)
    return list(seen.values())


def changes_first(review: Any) -> list[str]:
    object.__setattr__(review, "issues", None)
    return ["a line"]


def changes_deep(review: Any) -> Any:
    yield "a line"
    object.__setattr__(review.answers.examination.findings[0], "presence", "absent")


def changes_settings(review: Any) -> list[str]:
    object.__setattr__(review.settings, "snomed", not review.settings.snomed)
    object.__setattr__(review.settings.plugins, "loaded", ())
    return ["a line"]


def changes_all(review: Any) -> list[str]:
    for part in parts(review, {}):
        # A frozen Struct can't be changed even so, but what it holds can.
        for name in names_of(part) if not isinstance(part, msgspec.Struct) else ():
            object.__setattr__(part, name, None)
    return ["a line"]


@pytest.mark.parametrize("change", [changes_first, changes_deep, changes_settings, changes_all])
@pytest.mark.parametrize("form", ["text", "html"])
def test_a_section_that_changes_the_review_is_an_issue_and_nothing_of_the_hosts_is_changed(
    change: Any, form: str
) -> None:
    other = replace(SECTION, id="after")
    review = reviewed(usual(), Plugin(sections=(replace(SECTION, write=change), other)))
    before = bundles(review, "R4")
    letter = dermreport.letter(review, format=form)
    (issue,) = (one for one in letter.issues if one.rule == FAILED)
    assert dict(issue.parameters)["part"] == "its section of a letter (contact)"
    alone = dermreport.letter(reviewed(usual(), Plugin(sections=(other,))), format=form)
    assert letter.content == alone.content
    assert b"Seen at Lakeside" in letter.content
    assert bundles(review, "R4") == before
    assert dermreport.review(review.examination, review.settings) == review


def made(making: Any, **changed: Any) -> dict[str, Any]:
    return {"f": {**a_plugin.flag(making)["f"], **changed}}


def the(making: Any, kind: str) -> dict[str, Any]:
    return next(one for one in making.resources if one["resourceType"] == kind)


def circle(_making: Any) -> Any:
    resource: dict[str, Any] = {"resourceType": "Flag"}
    resource["code"] = resource
    return {"f": resource}


def changes_review(making: Any) -> Any:
    object.__setattr__(making.review.examination, "status", None)
    return {}


def changes(making: Any) -> Any:
    for one in making.resources:
        one.clear()
    making.report.clear()
    making.subject.clear()
    raise RuntimeError


NOT_ALLOWED = {
    "raises": fails,
    **{kind.__name__: raising(kind) for kind in NO_EXCEPTIONS},
    "nothing": lambda _: None,
    "a list": lambda m: list(a_plugin.flag(m).values()),
    "no resource": lambda _: {"f": 7},
    "no type": lambda _: {"f": {}},
    "another key": lambda m: {"../f": a_plugin.flag(m)["f"]},
    "no key": lambda m: {7: a_plugin.flag(m)["f"]},
    "too many": lambda m: {f"f{n}": a_plugin.flag(m)["f"] for n in range(51)},
    "too large": lambda m: made(m, code={"text": "x" * 1_000_001}),
    "a circle": circle,
    "no number": lambda m: made(m, code={"text": float("nan")}),
    "no data": lambda m: made(m, code={"text": object()}),
    "no element": lambda m: made(m, marker="x"),
    "another kind of value": lambda m: made(m, code="x"),
    "an id of the library's": lambda m: made(m, id=the(m, "DiagnosticReport")["id"]),
    "an id": lambda m: made(m, id="1"),
    "a number of the library's": lambda m: made(m, identifier=the(m, "ServiceRequest")["identifier"]),
    "the report entered in error": lambda m: {"r": {**the(m, "DiagnosticReport"), "status": "entered-in-error"}},
    "a report": lambda m: {"r": {n: v for n, v in the(m, "DiagnosticReport").items() if n not in {"id", "identifier"}}},
    "a request": lambda m: {"r": {n: v for n, v in the(m, "ServiceRequest").items() if n not in {"id", "identifier"}}},
    "a task": lambda m: {"t": {"resourceType": "Task", "status": "cancelled", "intent": "order", "focus": m.report}},
    "a patient": lambda _: {"p": {"resourceType": "Patient"}},
    "in error": lambda m: made(m, status="entered-in-error"),
    "a document that replaces another one": lambda m: {
        "d": {
            "resourceType": "DocumentReference",
            "status": "current",
            "subject": m.subject,
            "content": [{"attachment": {"url": "https://x.example"}}],
            "relatesTo": [{"code": "replaces", "target": m.report}],
        }
    },
    "a modifier extension": lambda m: made(
        m, modifierExtension=[{"url": "https://x.example/not", "valueBoolean": True}]
    ),
    "one within": lambda m: made(
        m, code={"text": "x", "extension": [{"url": f"{CANONICAL_BASE}/StructureDefinition/x", "valueBoolean": True}]}
    ),
    "a code of the library's": lambda m: made(
        m, code={"coding": [{"system": f"{CANONICAL_BASE}/CodeSystem/summary", "code": "suspicious"}]}
    ),
    "a profile": lambda m: made(m, meta={"profile": ["https://x.example"]}),
    "a resource within": lambda m: made(m, contained=[{"resourceType": "Patient", "id": "p"}]),
    "nobody": lambda m: {"f": {n: v for n, v in a_plugin.flag(m)["f"].items() if n != "subject"}},
    "somebody else": lambda m: made(m, subject={"reference": "Patient/other"}),
    "a reference that leads nowhere": lambda m: made(m, encounter={"reference": "Encounter/7"}),
    "a reference to what it doesn't make": lambda m: made(m, author=m.own("other")),
    "a script": lambda m: made(m, text={"status": "generated", "div": "<div><script>x</script></div>"}),
    "changes": changes,
    "changes the review": changes_review,
    # FHIR R4 and R5: cardinalities of AuditEvent and Flag, the format of a date, one of several kinds of a value.
    "an event that lacks what it must have": lambda _: {"a": {"resourceType": "AuditEvent"}},
    "a flag without a code": lambda m: {"f": {n: v for n, v in a_plugin.flag(m)["f"].items() if n != "code"}},
    "no such day": lambda m: made(m, period={"start": "2026-13-45"}),
    "two kinds of one value": lambda m: made(
        m, code={"text": "x", "extension": [{"url": "https://x.example", "valueString": "x", "valueBoolean": True}]}
    ),
}


RAISED, MALFORMED = "it raised an exception", "an element that is missing, too many, or not what the standard asks"
OWN, WITHIN = "one of the elements _docStatus, _status, contained, docStatus, id,", "one of contained, implicitRules,"
#: What is said of each.
WHY = {
    "raises": RAISED,
    **{kind.__name__: RAISED for kind in NO_EXCEPTIONS},
    "nothing": "it gives no mapping of keys to resources",
    "a list": "it gives no mapping of keys to resources",
    "no resource": "a value that is no resource",
    "no type": "a type of resource that isn’t one of AuditEvent, DocumentReference, Flag, List, Observation",
    "another key": "a key that isn’t of at most 32 small letters",
    "no key": "a key that isn’t of at most 32 small letters",
    "too many": "it gives more than 50 resources",
    "too large": "a resource of more than 1000000 characters",
    "a circle": "a value that JSON doesn’t have",
    "no number": f"Flag: {MALFORMED}",
    "no data": "a value that JSON doesn’t have",
    "no element": f"Flag: {MALFORMED}",
    "another kind of value": f"Flag: {MALFORMED}",
    "an id of the library's": f"Flag: {OWN}",
    "an id": f"Flag: {OWN}",
    "a number of the library's": f"Flag: {OWN}",
    "the report entered in error": "a type of resource that isn’t one of",
    "a report": "a type of resource that isn’t one of",
    "a request": "a type of resource that isn’t one of",
    "a task": "a type of resource that isn’t one of",
    "a patient": "a type of resource that isn’t one of",
    "in error": "Flag: a status that it may not have",
    "a document that replaces another one": f"DocumentReference: {OWN}",
    "a modifier extension": f"Flag: {OWN}",
    "one within": f"Flag: {WITHIN}",
    "a code of the library's": f"Flag: {WITHIN}",
    "a profile": f"Flag: {OWN}",
    "a resource within": f"Flag: {OWN}",
    "nobody": "Flag: a subject that isn’t the report’s",
    "somebody else": "Flag: a reference that leads nowhere",
    "a reference that leads nowhere": "Flag: a reference that leads nowhere",
    "a reference to what it doesn't make": "a reference to a resource that it doesn’t make",
    "a script": f"Flag: {MALFORMED}",
    "changes": RAISED,
    "changes the review": "it changed the copy of the review that it got",
    "an event that lacks what it must have": f"AuditEvent: {MALFORMED}",
    "a flag without a code": f"Flag: {MALFORMED}",
    "no such day": f"Flag: {MALFORMED}",
    "two kinds of one value": f"Flag: {MALFORMED}",
}
#: What breaks the standard beyond the shape of its elements, and what is said of it.
BROKEN = {
    "a constraint": (lambda m: made(m, period={"start": "2026-02-01", "end": "2026-01-01"}), "the constraint per-1 of"),
    "a code": (lambda m: made(m, text={"status": "drawn", "div": "<div>x</div>"}), "a code that isn’t one of its"),
    "a reference": (lambda m: made(m, author=m.report), "a reference to a type of resource that may not"),
    "a word": (lambda m: made(m, code={"text": "Benign"}), "a word or code that calls something harmless"),
    "a data type": (
        lambda m: made(m, code={"text": "x", "extension": [{"url": "https://x.example", "valueAge": {"value": 7}}]}),
        "a data type that isn’t taken",
    ),
}
NOT_ALLOWED |= {name: make for name, (make, _) in BROKEN.items()}
WHY |= {name: why for name, (_, why) in BROKEN.items()}


@pytest.mark.parametrize("what", NOT_ALLOWED)
@pytest.mark.parametrize("release", ["R4", "R5"])
def test_a_maker_that_makes_what_it_may_not_is_an_issue_and_the_report_is_that_without_it(
    what: str, release: str
) -> None:
    maker = ResourceMaker(id="maker", make=NOT_ALLOWED[what])
    alone, review = dermreport.review(usual()), reviewed(usual(), Plugin(resources=(maker,)))
    before, after = (dermreport.to_fhir(one, release=release) for one in (alone, review))
    for kind in KINDS:
        assert after.bundle(kind).to_json() == before.bundle(kind).to_json()
    (issue,) = after.left_out
    assert (issue.rule, issue.severity, issue.path) == (FAILED, Severity.WARNING, "$")
    why = dict(issue.parameters)["why"]
    assert WHY[what] in why
    assert dict(issue.parameters) == {
        "plugin": NAME,
        "version": "2.1",
        "part": "its resources (maker)",
        "why": why,
    }
    assert "Ann" not in json.dumps(after.outcome(), default=str)
    assert FAILED in json.dumps(after.outcome(), default=str)


@pytest.mark.parametrize("case", [*CASES, *HELD_TO_A_FORM], ids=lambda case: case.breaks)
def test_what_breaks_a_constraint_of_the_standard_is_found_and_its_twin_is_taken(case: Case) -> None:
    for release in case.releases:
        assert breaks(case.good, Release(release), {}) is None
        assert breaks(case.bad, Release(release), {}) == case.breaks


@pytest.mark.parametrize("resource", NOT_TAKEN)
def test_other_data_types_are_not_taken(resource: dict[str, Any]) -> None:
    assert breaks(resource, Release.R4, {}) == TYPE


@pytest.mark.parametrize("kind", [FLAG, OBSERVATION])
@pytest.mark.parametrize(
    "called",
    [
        {"text": "Benign lesion"},
        {"coding": [{"display": "gutartig"}]},
        {"coding": [{"system": "http://terminology.hl7.org/CodeSystem/v3-ObservationInterpretation", "code": "NEG"}]},
    ],
)
def test_no_flag_or_observation_is_called_harmless(kind: dict[str, Any], called: dict[str, Any]) -> None:
    assert breaks({**kind, "code": called}, Release.R4, {}) == "a harmless word"
    assert breaks({**kind, "code": {"text": "Recheck"}}, Release.R4, {}) is None


def test_an_interpretation_says_nothing_harmless() -> None:
    system = "http://terminology.hl7.org/CodeSystem/v3-ObservationInterpretation"
    for code, wrong in (("N", "a harmless word"), ("NEG", "a harmless word"), ("H", None)):
        given = {**OBSERVATION, "interpretation": [{"coding": [{"system": system, "code": code}]}]}
        assert breaks(given, Release.R5, {}) == wrong
        assert breaks({**OBSERVATION, "component": [{**given, "resourceType": None}]}, Release.R5, {}) == wrong


def test_a_reference_to_a_resource_of_the_report_is_held_to_its_type() -> None:
    source = {"reference": "urn:uuid:00000000-0000-4000-8000-000000000001"}
    for kind, wrong in (("Practitioner", None), ("Flag", "reference type")):
        assert breaks({**LIST, "source": source}, Release.R4, {source["reference"]: kind}) == wrong


def test_what_a_plugin_gets_cannot_be_changed() -> None:
    def tries(making: Any) -> Any:
        review = making.review
        for owner, name in (
            (review, "summary"),
            (review, "issues"),
            (review.issues[0], "severity"),
            (review.examination, "status"),
            (review.settings, "snomed"),
            (review.settings.plugins, "loaded"),
            (review.expected, "urgency"),
            (next(iter(review.scores.values())), "verdict"),
            (next(iter(review.scores.values())).method, "thresholds"),
        ):
            with pytest.raises((FrozenInstanceError, TypeError, AttributeError)):
                setattr(owner, name, None)
        for mapping in (review.scores, review.plugin_scores, review.answers.structures, review.answers.colours):
            with pytest.raises(TypeError):
                mapping["x"] = None
        for one in making.resources:
            one.clear()
        return {}

    maker = ResourceMaker(id="tries", make=tries)
    settings_of = settings(Plugin(resources=(maker,), methods=(METHOD,), rules=(RULE,)))
    other = settings(Plugin(methods=(METHOD,), rules=(RULE,)))
    tried, untouched = (dermreport.to_fhir(dermreport.review(usual(), one)) for one in (settings_of, other))
    assert tried.left_out == ()
    assert tried.bundle().to_json() == untouched.bundle().to_json()


# -- reports -----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("release", RELEASES)
@pytest.mark.parametrize("kind", KINDS)
def test_what_a_plugin_adds_is_in_the_report_and_names_it(release: str, kind: str) -> None:
    exam = growing()
    report = dermreport.to_fhir(reviewed(exam, whole()), release=release)
    assert report.left_out == ()
    bundle = report.bundle(kind)
    bundle.typed()
    assert read_json(bundle.to_json()) == bundle.to_dict()
    resources = [entry["resource"] for entry in bundle.to_dict()["entry"]]
    (score,) = (one for one in resources if codes(one.get("code")) & {(SYSTEM, "two-signs")})
    assert score["resourceType"] == "Observation"
    assert score["valueQuantity"]["value"] == 2
    assert (f"{CANONICAL_BASE}/CodeSystem/verdict", "above-threshold") in codes(score["component"])
    notes = score["note"][0]["text"]
    assert all(one in notes for one in (*CAUTIONS, "Nobody has studied it."))
    (origin,) = (one for one in resources if one["resourceType"] == "Provenance")
    named = [one["what"]["display"] for one in origin["entity"] if one["role"] == "source"]
    assert named[-1] == f"plugin {NAME} 2.1"
    (flag,) = (one for one in resources if one["resourceType"] == "Flag")
    assert flag["identifier"][0]["value"].endswith(f"/plugin/{NAME}/flag/f")
    assert ("https://lakeside.example/old", "NET-T") in codes(resources)
    again = dermreport.to_fhir(reviewed(exam, whole()), release=release).bundle(kind)
    assert again.to_json() == bundle.to_json()


def codes(value: Any) -> set[tuple[Any, Any]]:
    if isinstance(value, dict):
        own = {(value["system"], value["code"])} if {"system", "code"} <= value.keys() else set()
        return own.union(*(codes(item) for item in value.values()), set())
    return set().union(*(codes(item) for item in value)) if isinstance(value, list) else set()


def test_a_profile_is_not_claimed_for_a_plugins_score() -> None:
    report = dermreport.to_fhir(reviewed(growing(), whole(), claim_profiles=True))
    (score,) = (one for one in report.resources if codes(one.get("code")) & {(SYSTEM, "two-signs")})
    assert "meta" not in score


def test_a_row_has_its_other_codes_beside_it() -> None:
    plan = read_json(usual().to_json())["plan"]
    action = {"key": "a9", "action": {"system": SYSTEM, "code": "recheck"}}
    exam = usual(plan={**plan, "actions": [*plan["actions"], action]})
    report = dermreport.to_fhir(reviewed(exam, whole()))
    asked = [one["code"] for one in report.resources if one["resourceType"] == "ServiceRequest"]
    assert {(SYSTEM, "recheck"), ("https://lakeside.example/billing", "B1")} <= codes(asked)
    back = dermreport.from_fhir(report.bundle("collection").to_json())
    assert back.examination.to_json() == exam.to_json()


def with_codes_of_rows() -> Examination:
    """An urgent step and an impression by codes of a row, without a name, and one that the entry names."""
    entry = read_json(usual().to_json())
    action = {"key": "a9", "action": {"system": SYSTEM, "code": "recheck"}, "urgency": "immediate"}
    named = {"key": "a8", "action": {"system": SYSTEM, "code": "recheck", "display": "own words"}}
    unknown = {"key": "a7", "action": {"system": SYSTEM, "code": "nothing"}}
    entry["plan"]["actions"] += [action, named, unknown]
    entry["assessment"]["impressions"] = [{"key": "i9", "impression": {"system": SYSTEM, "code": "recheck"}}]
    return Examination.model_validate(entry)


def test_a_code_of_a_row_without_a_name_is_told_by_the_rows_display() -> None:
    exam = with_codes_of_rows()
    before = exam.to_json()
    alone, review = dermreport.review(exam), reviewed(exam, Plugin(rows=(ROW,)))
    told, plain = (dermreport.letter(one).text for one in (review, alone))
    assert f"!! Immediate: {ROW.display}" in " ".join(told.split())
    assert "!! Immediate: recheck" in " ".join(plain.split())
    assert ROW.display not in plain
    assert "own words" in told
    for release in RELEASES:
        report = dermreport.to_fhir(review, release=release)
        asked = [one["code"] for one in report.resources if one["resourceType"] == "ServiceRequest"]
        # R5 has a CodeableReference there.
        texts = [one.get("concept", one).get("text") for one in asked]
        assert {ROW.display, "own words", "nothing"} <= set(texts)
        (of_report,) = (one for one in report.resources if one["resourceType"] == "DiagnosticReport")
        assert of_report["text"]["div"].count(ROW.display) >= 2
        reading = dermreport.from_fhir(report.bundle("collection").to_json())
        assert reading.examination is not None
        assert reading.examination.to_json() == before
    assert review.examination is exam
    assert exam.to_json() == before


#: A setting, and a code of its system that the library doesn't map.
SWITCHES = [
    ("snomed", "http://snomed.info/sct", "404684003"),
    ("loinc", "http://loinc.org", "29308-4"),
    ("dicom", "http://dicom.nema.org/resources/ontology/DCM", "111013"),
]


def of_system(review: Review, system: str) -> set[tuple[Any, Any]]:
    """The codes of a system in a report."""
    sent = codes(dermreport.to_fhir(review).bundle("collection").to_dict())
    return {one for one in sent if one[0] == system}


@pytest.mark.parametrize(("name", "system", "code"), SWITCHES, ids=[name for name, *_ in SWITCHES])
def test_a_code_system_that_is_off_is_off_for_what_plugins_put_beside_ours(name: str, system: str, code: str) -> None:
    beside = ExtraCoding(of="structure/network-typical", system=system, code=code)
    plugin = Plugin(codings=(CODING, beside))
    on, off = reviewed(usual(), plugin), reviewed(usual(), plugin, **{name: False})
    assert (system, code) in of_system(on, system)
    assert (system, code) not in of_system(off, system)
    assert code in dermreport.to_hl7v2(on).text
    assert code not in dermreport.to_hl7v2(off).text
    # Of its own system it stays, and so does what the host asks for itself.
    assert of_system(off, CODING.system) == {(CODING.system, CODING.code)}
    asked = reviewed(usual(), plugin, extra_codings=(beside,), **{name: False})
    assert (system, code) in of_system(asked, system)


@pytest.mark.parametrize("release", RELEASES)
@pytest.mark.parametrize("kind", KINDS)
def test_another_site_keeps_it_as_foreign_and_sends_it_again(release: str, kind: str) -> None:
    exam = usual()
    sent = dermreport.to_fhir(reviewed(exam, whole()), release=release).bundle(kind).to_json()
    reading = dermreport.from_fhir(sent)
    assert [one.severity for one in reading.issues] == [Severity.WARNING]
    assert [one.rule for one in reading.issues] == ["read-foreign-member"]
    assert reading.examination.to_json() == exam.to_json()
    again = dermreport.to_fhir(dermreport.review(reading.examination), release=release, foreign=reading.foreign)
    resources = again.resources
    assert any(codes(one.get("code")) & {(SYSTEM, "two-signs")} for one in resources)
    assert any(one["resourceType"] == "Flag" for one in resources)
    (origin,) = (one for one in resources if one["resourceType"] == "Provenance")
    assert f"plugin {NAME} 2.1" in {one["what"]["display"] for one in origin["entity"]}


@pytest.mark.parametrize("release", RELEASES)
def test_where_the_plugin_is_there_too_it_is_made_anew_and_said_once(release: str) -> None:
    with_it = settings(whole())
    report = dermreport.to_fhir(dermreport.review(usual(), with_it), release=release)
    reading = dermreport.from_fhir(report.bundle("collection").to_json())
    again = dermreport.to_fhir(
        dermreport.review(reading.examination, with_it), release=release, foreign=reading.foreign
    )
    assert again.left_out == ()
    assert [one["id"] for one in again.resources] == [one["id"] for one in report.resources]
    changed = report.bundle("collection").to_json().replace("1 point, below", "0 points, below")
    other = dermreport.from_fhir(changed)
    told = dermreport.to_fhir(dermreport.review(other.examination, with_it), release=release, foreign=other.foreign)
    assert "read-own-sent" in {one.rule for one in told.left_out}


def test_a_more_careful_word_of_a_plugin_is_not_lost_at_a_site_without_it() -> None:
    sent = dermreport.to_fhir(reviewed(usual(), Plugin(rules=(SIGN,)))).bundle("collection").to_json()
    reading = dermreport.from_fhir(sent)
    assert "read-summary-differs" in {one.rule for one in reading.issues}
    assert dermreport.review(reading.examination).has_errors


def test_what_a_plugin_no_longer_makes_is_entered_in_error_but_not_because_it_fails() -> None:
    before, after = (read_json((ROOT / "examples" / f"forearm-revision-{name}.json").read_bytes()) for name in
                     ("1-reassured", "2-amended-to-excision"))  # fmt: skip
    earlier = reviewed(Examination.model_validate(before), Plugin(resources=(MAKER,)))

    def flag_of(make: Any) -> dict[str, Any] | None:
        plugin = Plugin(resources=(replace(MAKER, make=make),))
        later = reviewed(Examination.model_validate(after), plugin)
        resources = dermreport.to_fhir(later, earlier=earlier).resources
        return next((one for one in resources if one["resourceType"] == "Flag"), None)

    kept, gone, failed = flag_of(a_plugin.flag), flag_of(lambda _: {}), flag_of(fails)
    assert kept is not None
    assert kept["status"] == "active"
    assert gone is not None
    assert gone["status"] == "entered-in-error"
    assert failed is None


def refused_at(loaded: Settings) -> Settings:
    """Return settings in which the same plugin was asked for and doesn't fit any more."""
    return dataclasses.replace(loaded, plugins=dermreport.load_plugins(Plugin(rules=(7,))))


def refused_without_a_name(loaded: Settings) -> Settings:
    """Return settings in which it was asked for and no longer says who it is."""
    return dataclasses.replace(loaded, plugins=dermreport.load_plugins(Plugin(about=None)))


def without(loaded: Settings) -> Settings:
    """Return settings of a host that no longer asks for it."""
    return dataclasses.replace(loaded, plugins=dermreport.load_plugins())


@pytest.mark.parametrize("release", RELEASES)
@pytest.mark.parametrize(
    ("later_settings", "status", "said"),
    [
        (refused_at, None, ["plugin-earlier-kept"]),
        (refused_without_a_name, None, ["plugin-earlier-kept"]),
        (without, "entered-in-error", []),
    ],
)
def test_a_plugin_that_no_longer_fits_withdraws_nothing_and_one_that_is_not_asked_for_does(
    later_settings: Any, status: str | None, said: list[str], release: str
) -> None:
    before, after = (read_json((ROOT / "examples" / f"forearm-revision-{name}.json").read_bytes()) for name in
                     ("1-reassured", "2-amended-to-excision"))  # fmt: skip
    host = settings(Plugin(resources=(MAKER,), methods=(METHOD,)))
    earlier = dermreport.review(Examination.model_validate(before), host)
    later = dermreport.review(Examination.model_validate(after), later_settings(host))
    report = dermreport.to_fhir(later, earlier=earlier, release=release)
    flags = [one["status"] for one in report.resources if one["resourceType"] == "Flag"]
    assert flags == ([] if status is None else [status])
    assert ["two-signs" in json.dumps(one, default=str) for one in report.resources].count(True) == len(flags)
    assert [one.rule for one in report.left_out] == said


def test_a_plugin_whose_rules_fail_with_a_later_revision_withdraws_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    before, after = (read_json((ROOT / "examples" / f"forearm-revision-{name}.json").read_bytes()) for name in
                     ("1-reassured", "2-amended-to-excision"))  # fmt: skip
    host = settings(Plugin(resources=(MAKER,), rules=(RULE,)))
    earlier = dermreport.review(Examination.model_validate(before), host)
    monkeypatch.setattr("dermreport.plugins.reviewing._found", fails)
    later = dermreport.review(Examination.model_validate(after), host)
    assert FAILED in [one.rule for one in later.issues]
    report = dermreport.to_fhir(later, earlier=earlier)
    assert [one for one in report.resources if one["resourceType"] == "Flag"] == []
    assert [one.rule for one in report.left_out] == ["plugin-earlier-kept"]


def test_a_withdrawn_record_withdraws_what_a_plugin_made_and_its_lines() -> None:
    review = reviewed(usual(status="entered-in-error"), whole())
    (flag,) = (one for one in dermreport.to_fhir(review).resources if one["resourceType"] == "Flag")
    assert flag["status"] == "entered-in-error"
    assert "Lakeside" not in dermreport.letter(review).text


def test_scores_are_in_hl7_v2_and_a_plugins_rule_isnt_in_the_librarys_code_system() -> None:
    review = reviewed(growing(), whole())
    assert "two-signs^two signs" in dermreport.to_hl7v2(review).text
    found = [one["details"]["coding"][0] for one in dermreport.to_fhir(review).outcome()["issue"]]
    assert {"code": RULE.id} in found


# -- letters -----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("kind", list(LetterKind))
@pytest.mark.parametrize("form", ["text", "html", "pdf"])
def test_lines_are_in_each_letter_as_data(kind: LetterKind, form: str) -> None:
    letter = dermreport.letter(reviewed(growing(), whole()), kind=kind, format=form)
    assert {one.rule for one in letter.issues} & {one.id for one in PLUGIN_RULES} == set()
    if form == "pdf":
        from io import BytesIO

        from pypdf import PdfReader

        said = " ".join("".join(page.extract_text() for page in PdfReader(BytesIO(letter.content)).pages).split())
        assert "<b>No markup</b> & 'quotes' *here*" in said
    elif form == "html":
        assert "&lt;b&gt;No markup&lt;/b&gt; &amp;" in letter.text
        assert "<b>No markup" not in letter.text
    else:
        assert "<b>No markup</b> & 'quotes' *here*" in letter.text
        assert f"From Lakeside (plugin {NAME}, version 2.1)" in letter.text


@pytest.mark.parametrize("kind", list(LetterKind))
@pytest.mark.parametrize("order", [(), ("plugins", "cautions"), ("cautions", "plugins")])
def test_what_a_plugin_says_never_stands_before_what_calls_for_action(kind: LetterKind, order: tuple[str, ...]) -> None:
    """A host's order moves other parts, and never a plugin's before what the library says."""
    path = ROOT / "examples" / "back-melanoma-suspected-referred.json"
    exam = Examination.from_json(path.read_bytes())
    alone = dermreport.letter(dermreport.review(exam), kind=kind, settings=letters(order)).text
    text = dermreport.letter(reviewed(exam, Plugin(sections=(SECTION,))), kind=kind, settings=letters(order)).text
    added = text.index("From Lakeside")
    heading = "More from us" if kind is LetterKind.PATIENT else "Added by plugins"
    begin = text[: text.index(heading)]
    assert alone.startswith(begin)
    assert text[added:].splitlines()[-1] == alone.splitlines()[-1]
    # Every line of the letter without the plugin is there, in its order.
    rest = iter(text.splitlines())
    assert all(line in rest for line in alone.splitlines())
    if not order:
        assert added < text.index("Please note")


def letters(order: tuple[str, ...]) -> Any:
    return dermreport.LetterSettings(order=tuple(dermreport.LetterPart(one) for one in order))


def test_scores_are_in_the_letter_to_a_colleague_as_the_plugins() -> None:
    for detail in ("short", "complete"):
        text = " ".join(
            dermreport.letter(
                reviewed(growing(), whole()),
                settings=dermreport.LetterSettings(detail=dermreport.LetterDetail(detail)),
            ).text.split()
        )
        assert f"two signs (plugin {NAME}): 2 points, at or above this method’s threshold" in text
        assert "Nobody has studied it." in text


def test_the_documentation_has_each_node_of_the_condition_language() -> None:
    told = (ROOT / "examples" / "site" / "docs" / "how-to" / "plugins.md").read_text(encoding="utf-8")
    nodes = {one.__name__ for one in get_args(nodes_of.Leaf)} | {"AtLeastOf", "Not"}
    helpers = {"every", "some", "some_present", "is_one_of"}
    assert {*nodes, *helpers} <= set(dermreport.plugins.__all__)
    assert [one for one in sorted(nodes | helpers) if f"`{one}(" not in told] == []


#: Conditions as the documentation has them.
ADDRESSED = [
    {"when": Found(Structure.PSEUDOPODS, AtLeast("@.count", 3))},
    {"when": Exists("views", Given("@.immersion"))},
    {"each": "plan.actions", "when": Given("@.action"), "at": "action"},
]


@pytest.mark.parametrize("changed", ADDRESSED, ids=range(len(ADDRESSED)))
def test_items_of_a_list_are_addressed_by_at(changed: dict[str, Any]) -> None:
    assert dermreport.load_plugins(Plugin(rules=rule(**changed))).issues == ()


# -- hosts -------------------------------------------------------------------------------------------------------------


def test_a_pathway_of_a_plugin_is_in_force_only_where_a_host_says_so() -> None:
    with_it = settings(whole())
    assert dermreport.review(usual(), with_it).expected.pathway.id == "neutral"
    chosen = replace(with_it, pathway=with_it.plugins.pathway(f"{NAME}/recheck"))
    assert dermreport.review(usual(), chosen).expected.pathway.id == "recheck"
    for wrong in ("recheck", f"{NAME}/other", "", 7):
        with pytest.raises(SettingsError, match="plugin/pathway"):
            with_it.plugins.pathway(wrong)  # type: ignore[arg-type]


def test_two_hosts_in_one_process_do_not_meet() -> None:
    other = Plugin(about=About(name="hillside", version="1", title="H", system="https://h.example"), rules=())
    first, second = settings(whole()), settings(other)
    told = [dermreport.to_fhir(dermreport.review(growing(), one)).bundle().to_json() for one in (first, second)]
    assert "lakeside" in told[0]
    assert "lakeside" not in told[1]
    assert [dermreport.to_fhir(dermreport.review(growing(), one)).bundle().to_json() for one in (first, second)] == told


def test_settings_with_plugins_are_the_same_in_another_process() -> None:
    with_it = settings(whole())
    other = pickle.loads(pickle.dumps(with_it))  # noqa: S301 - our own
    told = [dermreport.to_fhir(dermreport.review(growing(), one)).bundle().to_json() for one in (with_it, other)]
    assert told[0] == told[1]
    assert copy.copy(with_it) == with_it


def test_what_is_no_plugins_is_no_setting() -> None:
    with pytest.raises(SettingsError, match="plugins is a Plugins"):
        Settings(plugins=("lakeside",))  # type: ignore[arg-type]


def test_a_source_of_a_plugin_is_told_with_title_and_address() -> None:
    basis = seen(Cited("Lakeside handbook", "https://lakeside.example/handbook"))
    review = reviewed(usual(), Plugin(rules=(replace(RULE, basis=basis),)))
    (issue,) = (one for one in review.issues if one.rule == RULE.id)
    assert issue.source == "seen: Lakeside handbook (https://lakeside.example/handbook)"


def test_a_criterion_of_a_method_can_be_a_count() -> None:
    from dermreport.plugins import Counted

    counted = Counted("borders", "border segments", "description.border_segments", 10, 0, 8, a_plugin.OURS)
    method = replace(METHOD, criteria=(counted,), highest_tenths=80)
    result = reviewed(usual(), Plugin(methods=(method,))).plugin_scores[f"{NAME}/two-signs"]
    assert (result.low, result.verdict) == (0, Verdict.BELOW_THRESHOLD)
    assert isinstance(METHOD.criteria[0], Criterion)


def test_the_command_line_takes_names(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    bad = "from a_plugin import Plugin\nplugin = Plugin(rows=7)\n"
    points = {NAME: "lakeside_three:plugin", "broken": "lakeside_four:plugin"}
    install(monkeypatch, tmp_path, points, {"lakeside_three": MODULE, "lakeside_four": bad})
    usual_json = str(ROOT / "examples" / "usual.json")
    assert cli.main(["check", usual_json, "--plugin", NAME, "--pathway", f"{NAME}/recheck"]) == cli.DONE
    out = capsys.readouterr().out
    assert f"[{RULE.id}]" in out
    assert "«Recheck», version 1" in out
    assert cli.main(["report", usual_json, "--plugin", NAME]) == cli.DONE
    assert "two-signs" in capsys.readouterr().out
    assert cli.main(["letter", usual_json, "--plugin", NAME]) == cli.DONE
    assert "From Lakeside" in capsys.readouterr().out
    assert cli.main(["score", usual_json, "--plugin", NAME, "--format", "json"]) == cli.DONE
    assert read_json(capsys.readouterr().out)["plugin_scores"][0]["method"] == f"{NAME}/two-signs"
    assert cli.main(["score", usual_json, "--plugin", NAME]) == cli.DONE
    assert f"two signs (plugin {NAME})" in capsys.readouterr().out
    assert cli.main(["check", usual_json, "--plugin", "hillside"]) == cli.WRONG_CALL
    assert "no plugin of this name is installed" in capsys.readouterr().err
    assert cli.main(["check", usual_json, "--plugin", NAME, "--pathway", f"{NAME}/x"]) == cli.WRONG_CALL
    capsys.readouterr()
    assert cli.main(["check", usual_json, "--plugin", "broken"]) == cli.ERROR_STANDS
    said = capsys.readouterr()
    assert "plugin-refused" in said.err
    assert NOT_USED in said.out


#: Commands that take a plugin, and what of a plugin each says to have failed.
WITH_A_RECORD = (["check"], ["check", "--format", "json"], ["report"], ["report", "--format", "xml"], ["letter"],
                 ["letter", "--kind", "patient"], ["score"], ["series"], ["table", "--format", "csv"])  # fmt: skip
FAILING = """
from dataclasses import replace
import a_plugin
def fails(_given):
    raise RuntimeError("Ann Example, born 1970")
plugin = a_plugin.Plugin(
    sections=(replace(a_plugin.SECTION, write=fails, kinds=tuple(a_plugin.LetterKind)),),
    resources=(replace(a_plugin.MAKER, make=fails),),
)
"""


@pytest.mark.parametrize("command", WITH_A_RECORD, ids=" ".join)
def test_on_the_command_line_a_plugin_that_is_not_used_or_fails_withholds_nothing_and_is_said(
    command: list[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    points = {NAME: "lakeside_failing:plugin", "broken": "lakeside_refused:plugin"}
    refused = "from a_plugin import Plugin\nplugin = Plugin(rows=7)\n"
    install(monkeypatch, tmp_path, points, {"lakeside_failing": FAILING, "lakeside_refused": refused})
    wanted = "lower-back-*.json" if command[0] == "series" else "scalp-firm-growing-nodule-urgent.json"
    paths = sorted(map(str, (ROOT / "examples").glob(wanted)))

    def told(*more: str) -> tuple[int, str, str]:
        code = cli.main([command[0], *paths, *command[1:], *more])
        said = capsys.readouterr()
        return code, said.out, said.err

    code, alone, before = told()
    assert (code, "plugin" in before) == (cli.DONE, False)
    code, out, err = told("--plugin", "broken")
    assert code == cli.ERROR_STANDS
    assert "plugin-refused" in err
    assert out == alone if command[0] != "check" else NOT_USED in out
    code, out, err = told("--plugin", NAME)
    failing = {"check": "its resources (flag)", "report": "its resources (flag)", "letter": "a letter (contact)"}
    if command[0] in failing:
        assert (code, err.count(FAILED), err.count(failing[command[0]])) == (cli.ERROR_STANDS, 1, 1)
        assert out == alone if command[0] != "check" else failing[command[0]] in out
    else:
        assert (code, out, err) == (cli.DONE, alone, before)
    assert "Ann" not in out + err


@pytest.mark.parametrize("command", [["check", str(ROOT / "examples" / "usual.json"), "--pathway"], ["pathway"]])
def test_a_pathway_of_a_plugin_that_is_not_used_says_how_to_use_it(
    command: list[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    bad = "import a_plugin\nplugin = a_plugin.Plugin(rows=7, pathways=(a_plugin.PATHWAY,))\n"
    points = {NAME: "lakeside_seven:plugin", "broken": "lakeside_eight:plugin"}
    bad = bad.replace("rows=7", "about=a_plugin.About(name='broken', version='1', title='B', system='urn:b'), rows=7")
    install(monkeypatch, tmp_path, points, {"lakeside_seven": MODULE, "lakeside_eight": bad})
    assert cli.main([*command, f"{NAME}/recheck"]) == cli.WRONG_CALL
    assert f"the plugin {NAME} isn't used here: add --plugin {NAME}" in capsys.readouterr().err
    assert cli.main([*command, f"{NAME}/recheck", "--plugin", NAME]) == cli.DONE
    assert "Recheck" in capsys.readouterr().out
    assert cli.main([*command, f"{NAME}/other", "--plugin", NAME]) == cli.WRONG_CALL
    assert "no plugin that is used has this pathway" in capsys.readouterr().err
    assert cli.main([*command, "broken/recheck", "--plugin", "broken"]) == cli.WRONG_CALL
    assert "the plugin broken doesn't fit and isn't used" in capsys.readouterr().err
    # A file stays a file, whatever it is called, and one that isn't there is said to be none.
    monkeypatch.chdir(tmp_path)
    (tmp_path / NAME).mkdir()
    (tmp_path / NAME / "recheck").write_text(a_plugin.PATHWAY, encoding="utf-8")
    assert cli.main([*command, f"{NAME}/recheck"]) == cli.DONE
    assert cli.main([*command, "nowhere.toml"]) == cli.NOT_DONE


def test_rows_of_a_plugin_are_looked_up(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    named = "from dataclasses import replace\nfrom a_plugin import ABOUT, Plugin, ROW\n"
    named += "plugin = Plugin(about=replace(ABOUT, name='structure', system='urn:x'), rows=(ROW,))\n"
    points = {NAME: "lakeside_nine:plugin", "structure": "lakeside_ten:plugin", "broken": "lakeside_eleven:plugin"}
    broken = "from a_plugin import Plugin\nplugin = Plugin(rows=7)\n"
    install(monkeypatch, tmp_path, points, {"lakeside_nine": MODULE, "lakeside_ten": named, "lakeside_eleven": broken})
    assert cli.main(["terms", "--plugin", NAME]) == cli.DONE
    assert re.search(rf"^{NAME} +1  Lakeside, a plugin\.$", capsys.readouterr().out, re.MULTILINE)
    assert cli.main(["terms", NAME, "NURSE", "--plugin", NAME]) == cli.DONE
    out = capsys.readouterr().out
    assert out.startswith("recheck: recheck by a nurse\n")
    assert "other codes: B1 (https://lakeside.example/billing)" in out
    assert cli.main(["terms", NAME, "--plugin", NAME, "--format", "json"]) == cli.DONE
    assert read_json(capsys.readouterr().out) == [
        {
            "code": "recheck",
            "display": "recheck by a nurse",
            "definition": "A nurse looks again.",
            "system": SYSTEM,
            "other_codes": [{"system": "https://lakeside.example/billing", "code": "B1"}],
            "source": f"the code system of the plugin {NAME}, version 2.1",
        }
    ]
    assert cli.main(["terms", NAME, "doctor", "--plugin", NAME]) == cli.DONE
    assert capsys.readouterr().out == "no such row\n"
    assert cli.main(["terms", NAME]) == cli.WRONG_CALL
    assert cli.main(["terms", "urgency", "--plugin", "broken"]) == cli.ERROR_STANDS
    assert "plugin-refused" in capsys.readouterr().err
    # One that is called as a list of the library's takes no list's place.
    assert cli.main(["terms", "structure", "peppering", "--plugin", "structure"]) == cli.DONE
    assert "dots-grey" in capsys.readouterr().out
    assert cli.main(["terms", "structure/rows", "--plugin", "structure"]) == cli.DONE
    assert "recheck" in capsys.readouterr().out


def test_a_file_of_settings_names_them(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    install(monkeypatch, tmp_path, {NAME: "lakeside_five:plugin"}, {"lakeside_five": MODULE})
    least = '[identifier_systems]\nexamination = "https://clinic.example/ids"\n'
    assert dermreport.settings_from_toml(f'plugins = ["{NAME}"]\n{least}').plugins.names == (NAME,)
    for wrong in ('"lakeside"', "7", "[7]", '["hillside"]'):
        with pytest.raises(SettingsError, match="plugins"):
            dermreport.settings_from_toml(f"plugins = {wrong}\n{least}")


def test_the_http_door_takes_them_in_the_settings() -> None:
    from starlette.testclient import TestClient

    app = dermreport.http_app(settings=settings(whole()), limits=dermreport.HttpLimits(workers=1))
    with TestClient(app) as client:
        answer = client.post(
            "/fhir/r4/$dermoscopy-report", content=usual().to_json(), headers={"Content-Type": "application/json"}
        )
    assert answer.text == dermreport.to_fhir(reviewed(usual(), whole())).bundle().to_json()


def test_the_http_door_answers_when_a_maker_raises_what_is_no_exception() -> None:
    from starlette.testclient import TestClient

    with_it = settings(Plugin(resources=(replace(MAKER, make=cancelled),)))
    app = dermreport.http_app(settings=with_it, limits=dermreport.HttpLimits(workers=1))
    with TestClient(app) as client:
        answer = client.post(
            "/fhir/r4/$dermoscopy-report", content=usual().to_json(), headers={"Content-Type": "application/json"}
        )
    assert answer.status_code == 200
    assert answer.text == dermreport.to_fhir(dermreport.review(usual())).bundle().to_json()


def test_who_stops_the_process_stops_it() -> None:
    review = reviewed(usual(), Plugin(resources=(replace(MAKER, make=raising(KeyboardInterrupt)),)))
    with pytest.raises(KeyboardInterrupt):
        dermreport.to_fhir(review)


def own_program(_review: Any) -> list[str]:
    return ["a line"]


#: As a function that stands in the file that is run.
own_program.__module__ = "__main__"


def local_text(text: str) -> str:
    class Local(str):
        __slots__ = ()

    return Local(text)


#: What is changed in a plugin, and how the error names it.
NOT_HANDED_OVER = [
    ({"sections": (replace(SECTION, write=lambda _: ["a line"]),)}, "sections[0] (contact)"),
    ({"sections": (replace(SECTION, write=own_program),)}, "sections[0] (contact)"),
    ({"resources": (MAKER, replace(MAKER, id="other", make=lambda _: {}))}, "resources[1] (other)"),
    ({"methods": criteria(label=local_text("4 mm or more"))}, "methods[0] (two-signs)"),
    ({"rules": (SIGN, replace(RULE, message=local_text("Look {concern} again.")))}, f"rules[1] ({RULE.id})"),
    ({"rows": (replace(ROW, definition=local_text("A nurse looks again.")),)}, "rows[0] (recheck)"),
]


@pytest.mark.parametrize(("changed", "named"), NOT_HANDED_OVER, ids=range(len(NOT_HANDED_OVER)))
def test_what_the_doors_processes_cannot_be_given_is_named_when_the_door_is_made(
    changed: dict[str, Any], named: str
) -> None:
    with_it = settings(Plugin(**changed))
    assert with_it.plugins.names == (NAME,)
    with pytest.raises(SettingsError) as raised:
        dermreport.http_app(settings=with_it)
    assert f"plugin {NAME}: {named}" in str(raised.value)
    assert str(raised.value).count(f"plugin {NAME}") == 1
    assert "at the top level of a module" in str(raised.value)
    assert raised.value.__cause__ is None
    assert raised.value.__context__ is None


def test_a_setting_that_the_doors_processes_cannot_be_given_is_named() -> None:
    with pytest.raises(SettingsError, match="letter_settings: contact"):
        dermreport.http_app(letter_settings=dermreport.LetterSettings(contact=local_text("Clinic desk")))
