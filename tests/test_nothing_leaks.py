"""Whatever comes in at a door, nothing of it is in an issue, an exception, a log, a warning, or a text of an object.

A mark stands in every free text, name, number and code of somebody else's, as the name of unknown fields, in values of
the wrong kind, and in documents that can't be read at all. Everything that a door tells beside its result is heard:
issues with all their fields, their OperationOutcome, exceptions with all that hangs on them and their tracebacks, log
records of every logger and level, warnings, standard error, and the texts of the objects that it returns. What the
results hold is the patient's own, and is not looked at.
"""

from __future__ import annotations

import copy
import io
import json
import logging
import re
import sys
import traceback
import warnings
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import astuple
from functools import cache
from pathlib import Path
from typing import Any
from unittest.mock import patch

import dicom_cases
import pytest
import strategies
from fhir_cases import entry, examination
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st
from received import bundle_of

import dermreport
from dermreport import cli
from dermreport.examination import types as scalars
from dermreport.examination.people import Patient, PatientDetails
from dermreport.fhir.write import to_json, to_xml

MARK = "Zaubermarke"
#: A date of birth is a date, so it is its own mark.
BORN = "1903-02-01"
MARKS = (MARK, BORN, *dicom_cases.MARKERS)

# What is heard


def of_exception(error: BaseException) -> Iterator[str]:
    """Yield all that an exception tells, and those that hang on it: a log shows them, and a debugger their parts."""
    seen: set[int] = set()
    ahead: list[BaseException | None] = [error]
    while ahead:
        one = ahead.pop()
        if one is None or id(one) in seen:
            continue
        seen.add(id(one))
        ahead += [one.__cause__, one.__context__]
        yield from (str(one), repr(one), repr(one.args), *getattr(one, "__notes__", ()))
        # The entry's own names for its parts are told apart from ours: EntryError.locations says so.
        yield from (repr(value) for name, value in vars(one).items() if name != "locations")
        # What Unicode and JSON errors hold is no attribute of their dict.
        yield from (repr(getattr(one, name, "")) for name in ("object", "doc", "text", "filename"))
        if isinstance(one, dermreport.EntryError):
            yield from of_issues(one.issues)
    yield from traceback.format_exception(error)


def of_issues(issues: tuple[dermreport.Issue, ...]) -> Iterator[str]:
    for issue in issues:
        yield from (str(issue), repr(issue), *map(str, astuple(issue)))
    yield json.dumps(dermreport.to_outcome(issues))


def of_result(result: Any) -> Iterator[str]:
    """Yield the texts of what a door returned, and of what that gives on being asked."""
    yield from (str(result), repr(result), f"{result}")
    for name in ("issues", "left_out", "not_held"):
        if hasattr(result, name):
            yield from of_issues(getattr(result, name))
    for name in ("examination", "view", "foreign"):
        below = getattr(result, name, None)
        if below is not None:
            yield from of_result(below)
    for name in ("examinations", "kept", "reports"):
        for below in getattr(result, name, ()):
            yield from (str(below), repr(below))
    if isinstance(result, dermreport.Report):
        yield json.dumps(result.outcome())


@contextmanager
def ear() -> Iterator[list[str]]:
    """Hear every log record, of whatever logger and level, and every warning."""
    heard: list[str] = []

    def hear(_: logging.Logger, record: logging.LogRecord) -> None:
        heard.extend((record.name, str(record.msg), repr(record.args), record.getMessage()))
        if record.exc_info and record.exc_info[1] is not None:
            heard.extend(of_exception(record.exc_info[1]))

    with (
        patch.object(logging.Logger, "isEnabledFor", lambda *_: True),
        patch.object(logging.Logger, "handle", hear),
        warnings.catch_warnings(record=True) as warned,
    ):
        warnings.simplefilter("always")
        yield heard
    heard.extend(text for one in warned for text in (str(one.message), repr(one.message), one.line or ""))


def told(call: Callable[[], Any], *may_raise: type[Exception]) -> str:
    """Return all that a call tells beside its result; what it raises is of the documented kinds."""
    with ear() as heard:
        try:
            texts = list(of_result(call()))
        except may_raise as error:
            texts = list(of_exception(error))
    return "\n".join((*heard, *texts))


def leaks(text: str) -> list[str]:
    return [mark for mark in MARKS if mark.casefold() in text.casefold()]


def _raise_with(mark: str) -> None:
    error = ValueError("nothing")
    error.add_note(mark)
    raise error


def _raise_from(mark: str) -> None:
    try:
        mark.encode("utf-16").decode("ascii")
    except UnicodeDecodeError:
        raise ValueError("nothing") from None


TELLING: dict[str, Callable[[], Any]] = {
    "a log record": lambda: logging.getLogger("somebody.else").debug("read %s", MARK),
    "a warning": lambda: warnings.warn(MARK, DeprecationWarning, stacklevel=1),
    "an argument": lambda: {}[MARK],
    "a note": lambda: _raise_with(MARK),
    "an issue": lambda: dermreport.Entry(None, (dermreport.Issue(MARK, dermreport.Severity.ERROR, "$", "", ""),), {}),
    "a text": lambda: [MARK],
}


@pytest.mark.parametrize("name", TELLING)
def test_what_is_told_is_heard(name: str) -> None:
    assert MARK in leaks(told(TELLING[name], Exception))


def test_what_hangs_on_an_exception_is_heard_though_no_traceback_shows_it() -> None:
    with pytest.raises(ValueError, match="nothing") as raised:
        _raise_from("\ud7ff")
    assert "UnicodeDecodeError" in "".join(of_exception(raised.value))
    assert "UnicodeDecodeError" not in "".join(traceback.format_exception(raised.value))


# Marks in what can be held

_TEXTS = st.sampled_from([f"{MARK} 1", f"{MARK}-2", f"<b>{MARK}</b>\u202e", f"=HYPERLINK({MARK})"])
_KEYS = st.sampled_from([f"{MARK}-1", f"{MARK}-2"])
_MARKED = {
    scalars.TEXT_PATTERN: _TEXTS,
    scalars.KEY_PATTERN: _KEYS,
    scalars.URI_PATTERN: st.sampled_from([f"https://{MARK}.example/1", f"urn:x-{MARK}:2"]),
    scalars.ADDRESS_PATTERN: st.sampled_from([f"https://{MARK}.example/1", f"urn:x-{MARK}:2"]),
    scalars.REFERENCE_PATTERN: st.just(f"Encounter/{MARK}"),
    scalars.PATIENT_PATTERN: st.just(f"Patient/{MARK}"),
    scalars.EXAMINER_PATTERN: st.just(f"Practitioner/{MARK}"),
}


@cache
def _marked_examinations() -> st.SearchStrategy[dermreport.Examination]:
    """Draw examinations in which everything is filled, and every text, name, number and address has a mark."""
    with patch.dict(strategies._BY_PATTERN, _MARKED):
        details = strategies._drawing("full").model(PatientDetails, birth_date=BORN)
        patient = strategies._drawing("full").model(Patient, details=details)
        return strategies.full_examinations(patient=patient)


FEW = settings(
    max_examples=6,
    phases=(Phase.explicit, Phase.reuse, Phase.generate),
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
)


def on_the_way(one: dermreport.Examination) -> Iterator[str]:
    """Yield what every door tells of an examination on its way out and in again."""
    text = one.to_json()
    yield told(lambda: dermreport.Examination.from_json(text))
    yield told(lambda: dermreport.from_entry(text))
    yield told(lambda: dermreport.from_visit(text))
    yield told(lambda: dermreport.Visit.of([one]))
    for options in ({}, {"snomed": False, "claim_profiles": True, "unsuitable_scores": True, "intent": "order"}):
        host = dermreport.Settings(**options)
        yield told(lambda host=host: dermreport.review(one, host))
        review = dermreport.review(one, host)
        for release in dermreport.Release:
            report = dermreport.to_fhir(review, release=release)
            yield told(lambda report=report: report)
            for kind in dermreport.BundleKind:
                yield told(lambda report=report, kind=kind: report.bundle(kind), dermreport.BuildError)
    for characters in dermreport.CharacterSet:
        routing = dermreport.Routing(characters=characters)
        yield told(lambda routing=routing: dermreport.to_hl7v2(review, routing=routing), dermreport.BuildError)
    for kind in dermreport.TableKind:
        yield told(lambda kind=kind: dermreport.table([review], kind))
        yield told(lambda kind=kind: dermreport.table([review], kind).write_csv(io.StringIO()))
    yield told(lambda: dermreport.from_response(dermreport.form_json(dermreport.to_response(one))))
    bundle = dermreport.to_fhir(review).bundle("collection")
    for content in (bundle.to_dict(), bundle.to_json(), bundle.to_xml()):
        yield told(lambda content=content: dermreport.from_fhir(content))


@FEW
@given(_marked_examinations())
def test_nothing_of_an_examination_is_told_on_its_way(one: dermreport.Examination) -> None:
    assert one.to_json().count(MARK) > 100
    assert BORN in one.to_json()
    assert [leaks(text) for text in on_the_way(one) if leaks(text)] == []


def test_two_patients_are_refused_without_a_word_of_either() -> None:
    one, other = (examination(patient={"reference": f"Patient/{MARK}{number}"}) for number in (1, 2))
    for call in (
        lambda: dermreport.Visit.of([one, other]),
        lambda: dermreport.to_fhir([dermreport.review(one), dermreport.review(other)]).bundle("collection"),
        lambda: dermreport.to_hl7v2([dermreport.review(one), dermreport.review(other)]),
    ):
        text = told(call, dermreport.EntryError, dermreport.BuildError)
        assert "patient" in text
        assert leaks(text) == []


def test_what_is_no_setting_is_refused_without_its_value() -> None:
    review = dermreport.review(examination())
    calls: tuple[Callable[[], Any], ...] = (
        *(lambda name=name: dermreport.Settings(**{name: MARK}) for name in ("snomed", "intent", "persons", "now")),
        *(lambda name=name: dermreport.Settings(**{name: [MARK]}) for name in ("snomed", "now")),
        lambda: dermreport.Routing(sending_application=f"{MARK}\r"),
        lambda: dermreport.Routing(processing=MARK),
        lambda: dermreport.Routing(characters=MARK),
        lambda: dermreport.to_hl7v2(review, sent=MARK),
        lambda: dermreport.to_hl7v2(review, control_id=f"{MARK}\n"),
        lambda: dermreport.to_hl7v2(review, letter=MARK.encode()),
        lambda: dermreport.view_from_dicom(dicom_cases.usual(), key=f"{MARK}\n"),
        lambda: setattr(review.examination, "note", MARK),
    )
    for call in calls:
        with pytest.raises((dermreport.DermReportError, ValueError, TypeError)) as refused:
            call()
        assert leaks("".join(of_exception(refused.value))) == []


# Marks in what can't be held


def spoilt(value: Any) -> Any:
    """Return JSON in which no value can be held and each has the mark, with fields that nobody knows by the mark."""
    if isinstance(value, dict):
        return {**{name: spoilt(item) for name, item in value.items()}, f"{MARK}-name": MARK, MARK: {MARK: [MARK]}}
    if isinstance(value, list):
        return [*map(spoilt, value), MARK, {MARK: MARK}, [MARK]]
    return f"{MARK}\x00{value}"


def marked(value: Any, name: str = "") -> Any:
    """Return a document whose structure stands, and whose texts have the mark."""
    if isinstance(value, dict):
        return {key: marked(item, key) for key, item in value.items()}
    if isinstance(value, list):
        return [marked(item, name) for item in value]
    stays = name in {"resourceType", "type", "url", "system", "code", "linkId", "reference", "fullUrl", "id", "status"}
    return value if stays or not isinstance(value, str) or name == "div" else f"{MARK}{value}"


def with_names(value: Any) -> Any:
    """Return a document with a field that nobody knows in each of its objects."""
    if isinstance(value, dict):
        return {**{name: with_names(item) for name, item in value.items()}, MARK: {MARK: [MARK]}}
    return list(map(with_names, value)) if isinstance(value, list) else value


def one_by_one(value: Any, spoil: Callable[[Any], Any], step: int) -> Iterator[Any]:
    """Yield the document with one part of it spoilt, for every so manieth part."""
    for number in range(0, len(_places(value)), step):
        whole = copy.deepcopy(value)
        holder, key = _places(whole)[number]
        holder[key] = spoil(holder[key])
        yield whole


def _places(value: Any) -> list[tuple[Any, Any]]:
    found: list[tuple[Any, Any]] = []
    for key, item in value.items() if isinstance(value, dict) else enumerate(value):
        found.append((value, key))
        if isinstance(item, dict | list):
            found += _places(item)
    return found


def not_read(text: str) -> Iterator[str | bytes]:
    """Yield a document in JSON as it comes when it can't be read: broken off, not UTF-8, a key twice, no number."""
    yield text[: len(text) // 2]
    yield f"{text[:-1]} {MARK}"
    yield f'{text[:-1]}, "{MARK}": 1, "{MARK}": 2}}'
    yield f'{text[:-1]}, "{MARK}": NaN}}'
    yield f'{text[:-1]}, "{MARK}": 1e99999999999999999999}}'
    yield f'{text[:-1]}, "{MARK}": {"[" * 100_000}'
    yield f'{text[:-1]}, "{MARK}": "\\ud800"}}'
    yield f'{text[:-1]}, "\\ud800{MARK}": "{MARK}"}}'
    yield text.encode() + b"\xff"
    yield text.encode("utf-16")
    yield f'"{MARK}"'
    yield f'["{MARK}"]'
    yield MARK


ENTRY = json.loads(json.dumps(entry()))
FORM = json.loads(dermreport.form_json(dermreport.to_response(examination())))
BUNDLE = json.loads(to_json(bundle_of(examination(), "R5")))


def entries() -> Iterator[Any]:
    yield spoilt(ENTRY)
    yield with_names(ENTRY)
    yield from (spoilt(ENTRY) | {name: ENTRY[name]} for name in ("identifier", "status", "patient", "examined"))
    yield from ({**ENTRY, name: spoilt(ENTRY[name])} for name in ENTRY)
    yield from one_by_one(marked(ENTRY), spoilt, 7)
    yield from not_read(json.dumps(marked(ENTRY)))


def forms() -> Iterator[Any]:
    yield spoilt(FORM)
    yield with_names(FORM)
    yield spoilt(FORM) | {"resourceType": "QuestionnaireResponse"}
    yield {**FORM, "questionnaire": MARK}
    yield {**FORM, "questionnaire": f"{FORM['questionnaire']}|{MARK}"}
    yield {**FORM, "status": MARK, "subject": {"reference": f"Patient/{MARK}"}}
    yield {**FORM, "modifierExtension": [{"url": MARK}]}
    yield {**FORM, "item": [*FORM["item"], {"linkId": MARK, "text": MARK, "answer": [{"valueString": MARK}]}]}
    yield from one_by_one(marked(FORM), lambda _: MARK, 31)
    yield from one_by_one(marked(FORM), lambda _: {MARK: MARK}, 41)
    yield from one_by_one(marked(FORM), spoilt, 43)
    yield from not_read(json.dumps(marked(FORM)))


def bundles() -> Iterator[Any]:
    yield spoilt(BUNDLE)
    yield spoilt(BUNDLE) | {"resourceType": "Bundle", "type": "collection"}
    yield marked(BUNDLE)
    yield with_names(BUNDLE)
    yield to_xml(with_names(BUNDLE))
    yield to_xml(marked(BUNDLE))
    yield {**BUNDLE, "type": MARK}
    yield {**BUNDLE, "modifierExtension": [{"url": MARK}]}
    yield {**BUNDLE, "entry": [*BUNDLE["entry"], {"fullUrl": MARK, "resource": {"resourceType": MARK, "id": MARK}}]}
    yield {**BUNDLE, "entry": BUNDLE["entry"] * 2 + [{"resource": {"resourceType": "Patient", "id": MARK}}]}
    yield from one_by_one(marked(BUNDLE), lambda _: MARK, 211)
    yield from one_by_one(marked(BUNDLE), lambda _: {MARK: MARK}, 307)
    yield from one_by_one(marked(BUNDLE), lambda _: [{"url": MARK, "valueString": MARK}], 331)
    yield from not_read(json.dumps(marked(BUNDLE)))
    text = to_xml(marked(BUNDLE))
    yield text[: len(text) // 2]
    yield f"{text}{MARK}"
    yield f"<!DOCTYPE {MARK} [<!ENTITY {MARK} SYSTEM 'file:///{MARK}'>]>{text.partition('?>')[2]}"
    yield text.replace("<status", f"<{MARK}/><status", 3)
    yield text.replace("<status value=", f"<status {MARK}='{MARK}' value=")
    yield text.replace("<status", f"&{MARK};<status", 1)
    yield text.replace("<status", f"<{MARK}:status", 1)
    yield text.replace("<status", f"<!-- {MARK} --><?{MARK} {MARK}?>{MARK}<status")
    yield re.sub('value="[0-9.]+"', f'value="{MARK}"', text)
    yield re.sub('value="(true|false)"', f'value="{MARK}"', text)
    yield text.encode() + b"\xff"
    yield f"<{MARK}/>"
    yield f"<html><body>{MARK}</body></html>"


@pytest.mark.parametrize(
    "door", [dermreport.from_entry, dermreport.from_visit, dermreport.Examination.from_json, dermreport.Visit.from_json]
)
def test_nothing_of_an_entry_that_is_wrong_is_told(door: Callable[[Any], Any]) -> None:
    for one in entries():
        content = json.dumps(one) if isinstance(one, dict) else one
        assert leaks(told(lambda content=content: door(content), dermreport.EntryError)) == []
    for one in entries():
        if isinstance(one, dict):
            held = dermreport.from_entry(one)
            assert leaks(told(lambda held=held: held)) == []
            if held.examination is not None:
                assert leaks(told(lambda held=held: dermreport.review(held.examination))) == []
                assert leaks(told(lambda held=held: dermreport.to_fhir(dermreport.review(held.examination)))) == []


def test_nothing_of_a_form_is_told() -> None:
    for one in forms():
        assert leaks(told(lambda one=one: dermreport.from_response(one))) == []
        if isinstance(one, dict):
            assert leaks(told(lambda one=one: dermreport.from_response(json.dumps(one)))) == []


def test_nothing_of_what_was_received_is_told() -> None:
    for one in bundles():
        assert leaks(told(lambda one=one: dermreport.from_fhir(one))) == []
        reading = dermreport.from_fhir(json.dumps(one) if isinstance(one, dict) else one)
        for read in reading.examinations:
            review = dermreport.review(read)
            assert leaks(told(lambda review=review: review)) == []
            assert (
                leaks(told(lambda review=review, kept=reading.foreign: dermreport.to_fhir(review, foreign=kept))) == []
            )
    limits = dermreport.Limits(size=5000, depth=3, resources=2, number=3)
    for content in (marked(BUNDLE), to_xml(marked(BUNDLE)), to_json(marked(BUNDLE))):
        assert leaks(told(lambda content=content: dermreport.from_fhir(content, limits=limits))) == []


def photographs() -> Iterator[bytes]:
    from pydicom.dataset import Dataset

    region = Dataset()
    region.CodeValue, region.CodingSchemeDesignator, region.CodeMeaning = MARK[:16], MARK[:16], MARK
    for encoding in dicom_cases.ENCODINGS.values():
        yield dicom_cases.picture(
            encoding,
            Manufacturer=MARK,
            ManufacturerModelName=MARK,
            TrackingID=MARK,
            ImageComments=MARK,
            AnatomicRegionSequence=[region],
        )
    usual = dicom_cases.usual()
    for old, new in ((b"POLARIZED", MARK[:9]), (b"CONTACT", MARK[:7]), (b"10.0", MARK[:4]), (b"+0100", MARK[:5])):
        yield usual.replace(old, new.encode())
    yield from (usual[:length] for length in range(0, len(usual), 61))
    yield usual.replace(b"PN", b"ZZ").replace(b"DA", b"UN")
    yield MARK.encode() * 100
    yield usual[:132] + MARK.encode() * 100


def test_nothing_of_a_photograph_is_told() -> None:
    view = examination().views[0]
    for content in photographs():
        assert leaks(told(lambda content=content: dermreport.view_from_dicom(content, key="a"))) == []
        assert leaks(told(lambda content=content: dermreport.view_into_dicom(content, view))) == []


# Nothing outside is touched

#: Events of the interpreter by which a program reads a file, calls out, or runs what it was given (PEP 578).
TOUCHING = (
    "open",
    "socket.",
    "subprocess.",
    "os.",
    "exec",
    "compile",
    "import",
    "pickle.",
    "ctypes.",
    "urllib.",
    "shutil.",
)
_touched: list[str] | None = None


def _note_touching(event: str, _: Any) -> None:
    if _touched is not None and event.startswith(TOUCHING):
        _touched.append(event)


sys.addaudithook(_note_touching)


@contextmanager
def touching() -> Iterator[list[str]]:
    global _touched  # noqa: PLW0603 - a hook of the interpreter can't be taken away again
    _touched = found = []
    try:
        yield found
    finally:
        _touched = None


def through_every_door() -> None:
    """Put hostile documents through each door and what follows it."""
    for one in entries():
        held = dermreport.from_entry(one)
        if held.examination is not None:
            dermreport.to_fhir(dermreport.review(held.examination)).bundle("transaction").to_xml()
    for one in forms():
        dermreport.from_response(one)
    for one in bundles():
        reading = dermreport.from_fhir(one)
        dermreport.to_outcome((*reading.issues, *reading.foreign.issues))
    review = dermreport.review(examination(note="=cmd|' /C calc'!A0", assessment={"words": "{{7*7}}${jndi:x}"}))
    dermreport.to_hl7v2(review)
    dermreport.table([review]).write_csv(io.StringIO())
    for content in photographs():
        dermreport.view_from_dicom(content, key="a")
        dermreport.view_into_dicom(content, review.examination.views[0])


def test_no_file_no_network_and_no_code_is_touched_by_what_comes_in() -> None:
    # The first time loads what is loaded on first use.
    through_every_door()
    with touching() as touched:
        through_every_door()
    assert touched == []
    with touching() as touched:
        Path(__file__).read_bytes()
    assert touched == ["open"]


# The command line


def written(folder: Path, contents: Iterator[Any], ending: str) -> list[str]:
    """Write contents to files and return their paths; no name has a mark."""
    paths = []
    for number, content in enumerate(contents):
        text = json.dumps(content) if isinstance(content, dict) else content
        path = folder / f"{number}.{ending}"
        path.write_bytes(text if isinstance(text, bytes) else text.encode("utf-8", "surrogatepass"))
        paths.append(str(path))
    return paths


COMMANDS: dict[str, tuple[list[str], set[int]]] = {
    "check": (["check"], {cli.NOT_DONE}),
    "check as data": (["check", "--format", "json"], {cli.NOT_DONE}),
    "score": (["score"], {cli.NOT_DONE}),
    "report": (["report", "--release", "R4,R5", "--format", "json,xml", "-o", "{folder}/out"], {cli.NOT_DONE}),
    "document": (["report", "--bundle", "document", "-o", "{folder}/out"], {cli.NOT_DONE}),
    "table": (["table", "-o", "{folder}/table.csv"], {cli.NOT_DONE}),
    "findings": (["table", "--kind", "findings", "-o", "{folder}/table.csv"], {cli.NOT_DONE}),
}


@pytest.mark.parametrize("name", COMMANDS)
def test_the_command_line_tells_nothing_of_entries(
    name: str, tmp_path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    arguments, codes = COMMANDS[name]
    files = written(tmp_path, entries(), "json")
    good = tmp_path / "good.json"
    good.write_text(json.dumps(marked(ENTRY) | {"status": "final"}), encoding="utf-8")
    with ear() as heard:
        code = cli.main([*(part.format(folder=tmp_path) for part in arguments), *files, str(good)])
    assert code in codes
    printed = capfd.readouterr()
    assert printed.err or name == "check as data"
    # The names of files and what was found; the documents themselves are in the folder.
    assert leaks("\n".join((printed.out, printed.err, *heard))) == []


def test_the_command_line_tells_nothing_of_lines(tmp_path: Path, capfd: pytest.CaptureFixture[str]) -> None:
    lines = tmp_path / "all.ndjson"
    lines.write_text("\n".join(json.dumps(one) for one in entries() if isinstance(one, dict)), encoding="utf-8")
    assert cli.main(["check", str(lines)]) == cli.NOT_DONE
    printed = capfd.readouterr()
    assert leaks(printed.out + printed.err) == []


def test_the_command_line_tells_nothing_of_photographs_on_standard_error(
    tmp_path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    for path in written(tmp_path, photographs(), "dcm"):
        with ear() as heard:
            assert cli.main(["view", path]) in {cli.DONE, cli.ERROR_STANDS, cli.NOT_DONE}
        assert leaks("\n".join((capfd.readouterr().err, *heard))) == []


def test_a_repr_says_nothing_that_was_found() -> None:
    review = dermreport.review(examination())
    reading = dermreport.from_fhir(dermreport.to_fhir(review).bundle("collection").to_json())
    assert repr(review) == f"<Review: {len(review.issues)} issues>"
    assert repr(review.answers) == "<Answers>"
    assert repr(dermreport.table([review])).endswith(f"reviews=[{review!r}])")
    assert [word for word in ("present", "threshold", "Decimal") if word in repr(reading)] == []
