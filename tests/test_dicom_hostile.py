"""Hostile and broken DICOM files: issues, in bounded time and memory; no traceback, and no byte of another file.

The files are made by the tests, changed byte by byte, and those that pydicom ships as its own test data; pydicom's
reader is the other one that they are compared with.
"""

from __future__ import annotations

import io
import random
import struct
import time
import tracemalloc
import warnings
import zlib
from pathlib import Path
from typing import Any

import pydicom
import pytest
from dicom_cases import ENCODINGS, INSTANCE, PIXELS, SAYS_NOTHING, as_file, code, picture, read, usual
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from pydicom.data import get_testdata_files

from dermreport import DicomLimits, DicomView, Severity, WrittenView, view_from_dicom, view_into_dicom
from dermreport.dicom_files.module import Attribute
from dermreport.dicom_files.rules import DICOM_RULES
from dermreport.examination.observed import View
from dermreport.vocabulary.lights import Light

POLARISED = View.model_validate({"key": "a", "light": "polarised", "contact": "contact", "immersion": ["gel"]})
#: Small enough that a file can reach each of them.
SMALL = DicomLimits(size=100_000, inflated=200_000, elements=2_000, depth=16, value=2_000)

SEQUENCE_END = b"\xfe\xff\xdd\xe0\0\0\0\0"
ITEM_END = b"\xfe\xff\x0d\xe0\0\0\0\0"
OPEN_ITEM = b"\xfe\xff\x00\xe0\xff\xff\xff\xff"


def element(tag: int, vr: bytes, value: bytes, length: int | None = None) -> bytes:
    """Return an element of explicit VR little endian, its length right or not."""
    size = len(value) if length is None else length
    head = struct.pack("<HH", tag >> 16, tag & 0xFFFF) + vr
    long = vr in {b"OB", b"OW", b"SQ", b"UN", b"UT", b"UC"}
    return head + (struct.pack("<HL", 0, size) if long else struct.pack("<H", size)) + value


def file_of(*elements: bytes, syntax: bytes = b"1.2.840.10008.1.2.1\0") -> bytes:
    return b"\0" * 128 + b"DICM" + element(0x00020010, b"UI", syntax) + b"".join(elements)


def open_sequence(tag: int, inside: bytes, vr: bytes = b"SQ") -> bytes:
    return element(tag, vr, b"", 0xFFFFFFFF) + inside + SEQUENCE_END


def nested(depth: int) -> bytes:
    """Return sequences in one another, none with a length."""
    head = element(0x00081140, b"SQ", b"", 0xFFFFFFFF) + OPEN_ITEM
    return head * depth + (ITEM_END + SEQUENCE_END) * depth


PICTURE = element(0x7FE00010, b"OB", PIXELS)


def instance(*elements: bytes, picture: bytes = PICTURE) -> bytes:
    """Return a file that is an instance of a dermoscopic photograph and has these elements between."""
    return file_of(
        element(0x00080016, b"UI", b"1.2.840.10008.5.1.4.1.1.77.1.7"),
        element(0x00080018, b"UI", b"1.2.3\0"),
        *elements,
        picture,
    )


def both(content: bytes, limits: DicomLimits = SMALL) -> tuple[DicomView, WrittenView]:
    """Read a file and write into it; what is said must be issues of the rules, whatever the file."""
    found = view_from_dicom(content, key="a", limits=limits)
    written = view_into_dicom(content, POLARISED, limits=limits)
    for issue in (*found.issues, *written.issues):
        assert issue.rule in DICOM_RULES
        assert issue.message == DICOM_RULES[issue.rule].message.format(**dict(issue.parameters))
    assert (found.view is None) is (found.image is None)
    assert (written.content is None) is (written.dicom_uid is None)
    assert found.issues or (found.view is not None and found.view.light is not Light.UNKNOWN)
    if written.content is not None:
        # What was written can be read, and says what was to be written or what the file said before.
        again = view_from_dicom(written.content, key="a", limits=limits)
        assert again.view is not None
        assert again.view.light is not Light.UNKNOWN or any(issue.rule == "dicom-differs" for issue in written.issues)
    else:
        assert any(issue.severity is Severity.ERROR for issue in written.issues)
    return found, written


LIGHT = element(0x00161001, b"CS", b"POLARIZED ")
TIMES_100 = b"".join(element(0x00290000 | number, b"LO", b"") for number in range(0x1001, 0x1001 + 2_100))

#: Files, and the rules that say what is wrong with each, in reading and in writing.
FILES: dict[str, tuple[bytes, set[str], set[str]]] = {
    "nothing": (b"", {"dicom-not-a-file"}, {"dicom-not-a-file"}),
    "text": (b"<script>alert(1)</script>" * 99, {"dicom-not-a-file"}, {"dicom-not-a-file"}),
    "a prefix alone": (b"\0" * 128 + b"DICM", {"dicom-encoding-unknown"}, {"dicom-encoding-unknown"}),
    "no prefix": (file_of(LIGHT)[132:], {"dicom-not-a-file"}, {"dicom-not-a-file"}),
    "too large": (b"\0" * 128 + b"DICM" + b"\0" * 100_000, {"dicom-too-large"}, {"dicom-too-large"}),
    "an encoding of nobody": (
        file_of(LIGHT, syntax=b"1.2.3\0"),
        {"dicom-encoding-unknown"},
        {"dicom-encoding-unknown"},
    ),
    "an encoding that is no encoding": (
        file_of(LIGHT, syntax=b"1.2.840.10008.5.1.4.1.1.77.1.7"),
        {"dicom-encoding-unknown"},
        {"dicom-encoding-unknown"},
    ),
    "pixels elsewhere": (
        file_of(LIGHT, syntax=b"1.2.840.10008.1.2.4.94"),
        {"dicom-encoding-unknown"},
        {"dicom-encoding-unknown"},
    ),
    "not deflated": (
        file_of(LIGHT, syntax=b"1.2.840.10008.1.2.1.99"),
        {"dicom-not-inflated"},
        {"dicom-not-inflated"},
    ),
    "a bomb": (
        file_of(zlib.compress(b"\0" * 20_000_000, wbits=-15), syntax=b"1.2.840.10008.1.2.1.99"),
        {"dicom-not-inflated"},
        {"dicom-not-inflated"},
    ),
    "no picture": (instance(LIGHT, picture=b""), {"dicom-no-picture"}, {"dicom-not-whole"}),
    "no instance": (file_of(LIGHT, PICTURE), {"dicom-other-picture"}, {"dicom-not-an-instance"}),
    "a length beyond the end": (
        instance(LIGHT, element(0x00281351, b"ST", b"short", 60_000)),
        {"dicom-truncated"},
        {"dicom-truncated", "dicom-not-whole"},
    ),
    "ends in a header": (
        instance(LIGHT, picture=b"\x20\x00\x0d"),
        {"dicom-truncated"},
        {"dicom-truncated", "dicom-not-whole"},
    ),
    "a sequence that never ends": (
        instance(LIGHT, picture=element(0x00400555, b"SQ", b"", 0xFFFFFFFF) + OPEN_ITEM),
        {"dicom-truncated"},
        {"dicom-truncated", "dicom-not-whole"},
    ),
    "no letters where the kind is": (
        instance(LIGHT, b"\x18\x00\x00\x10\x01\x02\x03\x04"),
        {"dicom-broken"},
        {"dicom-broken", "dicom-not-whole"},
    ),
    "a delimiter out of nowhere": (
        instance(LIGHT, SEQUENCE_END),
        {"dicom-broken"},
        {"dicom-broken", "dicom-not-whole"},
    ),
    "a text without length": (
        instance(LIGHT, element(0x00620020, b"UT", b"", 0xFFFFFFFF) + SEQUENCE_END),
        {"dicom-truncated"},
        {"dicom-truncated", "dicom-not-whole"},
    ),
    "no item in a sequence": (
        instance(LIGHT, open_sequence(0x00400555, LIGHT)),
        {"dicom-broken"},
        {"dicom-broken", "dicom-not-whole"},
    ),
    "too deep": (instance(LIGHT, nested(17)), {"dicom-too-deep"}, {"dicom-too-deep", "dicom-not-whole"}),
    "very deep": (instance(LIGHT, nested(2_000)), {"dicom-too-deep"}, {"dicom-too-deep", "dicom-not-whole"}),
    "too many": (instance(LIGHT, TIMES_100), {"dicom-too-many"}, {"dicom-too-many", "dicom-not-whole"}),
    "the light twice": (
        instance(LIGHT, element(0x00161001, b"CS", b"NON_POLARIZED ")),
        {"dicom-twice", "dicom-light-missing"},
        {"dicom-not-whole"},
    ),
    "out of order": (
        instance(LIGHT, element(0x00080070, b"LO", b"late")),
        set(),
        {"dicom-not-whole"},
    ),
    "signed": (instance(LIGHT, picture=PICTURE + element(0xFFFAFFFA, b"SQ", b"")), set(), {"dicom-signed"}),
    "the light as a number": (
        instance(element(0x00161001, b"DS", b"1 ")),
        {"dicom-wrong-kind", "dicom-light-missing"},
        {"dicom-wrong-kind", "dicom-differs"},
    ),
    "a light without end": (
        instance(element(0x00161001, b"CS", b"P" * 3_000)),
        {"dicom-value-too-long", "dicom-light-missing"},
        {"dicom-value-too-long", "dicom-differs"},
    ),
    "a light that isn't ASCII": (
        instance(element(0x00161001, b"CS", b"\xff\xfe\0\x1b")),
        {"dicom-text-unreadable", "dicom-light-missing"},
        {"dicom-text-unreadable", "dicom-differs"},
    ),
    "a medium without contact": (
        instance(LIGHT, element(0x00161004, b"CS", b"WATER ")),
        {"dicom-medium-without-contact"},
        {"dicom-differs"},
    ),
    "a region that is none": (
        instance(element(0x00082218, b"SQ", b"no items here"), LIGHT),
        {"dicom-value-not-held"},
        set(),
    ),
    "a region cut short": (
        instance(element(0x00082218, b"SQ", b"\xfe\xff\x00\xe0\x0c\0\0\0" + LIGHT[:12]), LIGHT),
        {"dicom-value-not-held"},
        set(),
    ),
    "two regions": (
        instance(element(0x00082218, b"SQ", b"\xfe\xff\x00\xe0\0\0\0\0" * 2), LIGHT),
        {"dicom-several"},
        set(),
    ),
    "a structure": (
        instance(element(0x00082228, b"SQ", b"\xfe\xff\x00\xe0\0\0\0\0"), LIGHT),
        {"dicom-not-held"},
        set(),
    ),
}
_OF_A_BARE_INSTANCE = {"dicom-features-missing"}
#: Where the walk stops, so that what comes behind isn't found.
_STOPPED = {"dicom-truncated", "dicom-broken", "dicom-too-deep", "dicom-too-many"}


@pytest.mark.parametrize(("content", "reading", "writing"), FILES.values(), ids=FILES)
def test_what_is_wrong_with_a_file_is_said(content: bytes, reading: set[str], writing: set[str]) -> None:
    found, written = both(content)
    behind_the_break = {"dicom-no-picture"} if reading & _STOPPED else set()
    assert {issue.rule for issue in found.issues} == reading | behind_the_break
    assert {issue.rule for issue in written.issues} - _OF_A_BARE_INSTANCE == writing


def test_every_rule_is_in_a_test() -> None:
    here = Path(__file__).read_text(encoding="utf-8") + Path(__file__).with_name("test_dicom.py").read_text(
        encoding="utf-8"
    )
    assert [rule for rule in DICOM_RULES if f'"{rule}"' not in here] == []


def test_what_stood_before_the_break_is_read() -> None:
    content = FILES["a length beyond the end"][0]
    found = view_from_dicom(content, key="a")
    assert found.view is not None
    assert found.view.light is Light.POLARISED


def test_structure_that_is_allowed_is_stepped_over() -> None:
    """Private elements, unknown kinds, sequences and items with and without length (PS3.5, 6.2.2, 7.5, 7.8)."""
    inner = element(0x00080100, b"SH", b"1 ")
    implicit_inner = struct.pack("<HHL", 8, 0x100, 2) + b"1 "
    with_length = b"\xfe\xff\x00\xe0" + struct.pack("<L", len(inner)) + inner
    content = instance(
        open_sequence(0x00081140, with_length + OPEN_ITEM + inner + ITEM_END),
        element(0x00090010, b"LO", b"PRIVATE "),
        element(0x00091001, b"UN", b"\xfe\xff\x00\xe0anything at all"),
        open_sequence(0x00091002, OPEN_ITEM + implicit_inner + ITEM_END, b"UN"),
        open_sequence(0x00091003, OPEN_ITEM + open_sequence(0x00081140, with_length) + ITEM_END),
        open_sequence(
            0x00091004,
            OPEN_ITEM + open_sequence(0x00091002, OPEN_ITEM + implicit_inner + ITEM_END, b"UN") + ITEM_END,
        ),
        LIGHT,
        picture=element(0x7FE00010, b"OB", b"", 0xFFFFFFFF)
        + b"\xfe\xff\x00\xe0\0\0\0\0"
        + b"\xfe\xff\x00\xe0\x08\0\0\0"
        + SEQUENCE_END
        + SEQUENCE_END
        + element(0xFFFCFFFC, b"OB", b"\0\0"),
    )
    found, written = both(content)
    assert found.view is not None
    assert found.view.light is Light.POLARISED
    assert found.issues == ()
    assert written.content is not None
    assert read(written.content).ContactMethod == "CONTACT"


@pytest.mark.parametrize("encoding", ENCODINGS)
def test_a_file_cut_at_any_byte_is_read_as_far_as_it_goes(encoding: str) -> None:
    content = usual(encoding)
    begun = time.monotonic()
    for length in range(len(content)):
        found = view_from_dicom(content[:length], key="a")
        assert {issue.rule for issue in found.issues} & {
            "dicom-not-a-file",
            "dicom-encoding-unknown",
            "dicom-not-inflated",
            "dicom-truncated",
            "dicom-no-picture",
        }
        assert view_into_dicom(content[:length], POLARISED).content is None
        if found.view is not None:
            assert found.view.light in {Light.POLARISED, Light.UNKNOWN}
    assert time.monotonic() - begun < 120


@pytest.mark.parametrize("encoding", ENCODINGS)
def test_changed_bytes_end_in_issues(encoding: str) -> None:
    chance = random.Random(f"dicom {encoding}")  # noqa: S311 - the same files every time, nothing secret
    content = usual(encoding)
    begun = time.monotonic()
    for _ in range(1_000):
        changed = bytearray(content)
        for _ in range(chance.choice((1, 1, 1, 2, 4, 16))):
            position = chance.randrange(128, len(changed))
            match chance.randrange(4):
                case 0:
                    changed[position] = chance.choice((0, 0xFF, 0xFE, 0x5C, 0x1B))
                case 1:
                    changed[position] ^= 1 << chance.randrange(8)
                case 2:
                    del changed[position : position + chance.randrange(1, 9)]
                case _:
                    changed[position:position] = chance.randbytes(chance.randrange(1, 9))
        both(bytes(changed))
    assert time.monotonic() - begun < 120


@settings(max_examples=300, suppress_health_check=[HealthCheck.too_slow])
@given(st.binary(max_size=300))
def test_any_bytes_as_a_data_set_end_in_issues(data: bytes) -> None:
    for syntax in (b"1.2.840.10008.1.2\0", b"1.2.840.10008.1.2.1\0", b"1.2.840.10008.1.2.2\0"):
        both(file_of(data, syntax=syntax))


TAGS_THAT_ARE_READ = st.sampled_from(
    sorted(attribute.tag for attribute in Attribute if 0x0008001F < attribute.tag < 0x7FE00000)
)
KINDS = st.sampled_from([b"CS", b"DS", b"UI", b"UT", b"UN", b"SQ", b"LO", b"DT", b"ZZ"])


@settings(max_examples=400, suppress_health_check=[HealthCheck.too_slow])
@given(st.dictionaries(TAGS_THAT_ARE_READ, st.tuples(KINDS, st.binary(max_size=40)), max_size=8))
def test_any_values_of_what_is_read_end_in_issues(values: dict[int, tuple[bytes, bytes]]) -> None:
    elements = [element(tag, kind, value) for tag, (kind, value) in sorted(values.items())]
    found, _ = both(instance(*elements))
    assert found.view is not None


def test_the_default_limits_bound_time_and_memory() -> None:
    begun = time.monotonic()
    deep = instance(nested(100_000))
    flat = instance(b"".join(element(0x00090000 | number % 0xFFFF, b"LO", b"") for number in range(150_000)))
    bomb = file_of(zlib.compress(b"\0" * 60_000_000, wbits=-15), syntax=b"1.2.840.10008.1.2.1.99")
    for content, rule in ((deep, "dicom-too-deep"), (flat, "dicom-too-many")):
        found = view_from_dicom(content, key="a")
        assert rule in {issue.rule for issue in found.issues}
    tracemalloc.start()
    found = view_from_dicom(bomb, key="a", limits=DicomLimits(inflated=1_000_000))
    _, peak = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert [issue.rule for issue in found.issues] == ["dicom-not-inflated"]
    assert peak < 10_000_000
    assert time.monotonic() - begun < 20


LONG = {
    "digits and a letter": b"1" * 60_001 + b"x",
    "a long UID": b"1." + b"2" * 60_000,
    "a long fraction": b"0." + b"1" * 60_000,
    "many values": b"1\\" * 30_001,
    "many points": b"1." * 30_001,
    "many escapes": b"\x1b$B" * 20_000,
    "many escapes of nobody": b"\x1b$Z" * 20_000,
    "blanks": b" " * 60_001 + b"x",
}


@pytest.mark.parametrize("attribute", [one for one in Attribute if one.vr != "SQ" and 0x0008 <= one.tag >> 16 < 0x7FE0])
@pytest.mark.parametrize("value", LONG.values(), ids=LONG)
def test_a_long_value_takes_no_long_time(attribute: Attribute, value: bytes) -> None:
    begun = time.monotonic()
    others = {0x00080005: (b"CS", b"\\ISO 2022 IR 87 "), 0x00080016: (b"UI", b"1.2\0"), 0x00080018: (b"UI", b"1.3\0")}
    others[attribute.tag] = (attribute.vr.encode(), value)
    content = file_of(*(element(tag, vr, one) for tag, (vr, one) in sorted(others.items())), PICTURE)
    for limits in (DicomLimits(), DicomLimits(value=100_000)):
        view_from_dicom(content, key="a", limits=limits)
        view_into_dicom(content, POLARISED, limits=limits)
    assert time.monotonic() - begun < 5


def test_the_limit_of_what_is_inflated_holds_to_the_byte() -> None:
    content = usual("deflated")
    inflated = len(zlib.decompress(content[content.index(b"PYDICOM") + 14 :], wbits=-15))
    assert view_from_dicom(content, key="a", limits=DicomLimits(inflated=inflated)).issues == ()
    found = view_from_dicom(content, key="a", limits=DicomLimits(inflated=inflated - 1))
    assert [issue.rule for issue in found.issues] == ["dicom-not-inflated"]


def test_the_limit_of_depth_holds_to_one() -> None:
    content = instance(LIGHT, nested(4))
    deepest = 2 * 4
    assert view_from_dicom(content, key="a", limits=DicomLimits(depth=deepest)).issues == ()
    found = view_from_dicom(content, key="a", limits=DicomLimits(depth=deepest - 1))
    assert "dicom-too-deep" in {issue.rule for issue in found.issues}


def test_a_stream_is_read_no_further_than_the_limit() -> None:
    stream = io.BytesIO(b"\0" * 10_000)
    found = view_from_dicom(stream, key="a", limits=DicomLimits(size=1_000))
    assert [issue.rule for issue in found.issues] == ["dicom-too-large"]
    assert stream.tell() == 1_001


def test_no_other_file_and_no_network_is_touched(monkeypatch: pytest.MonkeyPatch) -> None:
    both(usual())

    def refused(*_: Any, **__: Any) -> None:
        raise AssertionError("something was opened")

    data_set = read(usual())
    data_set.ReferencedFileID = ["UP", "SECRET"]
    data_set.RetrieveURL = "https://host.example/secret"
    content = as_file(data_set)
    monkeypatch.setattr("builtins.open", refused)
    monkeypatch.setattr("io.open", refused)
    monkeypatch.setattr("os.open", refused)
    monkeypatch.setattr("socket.socket", refused)
    found, _ = both(content)
    assert found.issues == ()


SHIPPED = sorted(
    path for path in get_testdata_files() if path.endswith(".dcm") and Path(path).is_file() and "test_files" in path
)


@pytest.mark.filterwarnings("ignore")  # pydicom's own reader warns of some of its own files
@pytest.mark.parametrize("path", SHIPPED, ids=lambda path: Path(path).name)
def test_pydicoms_own_files_are_read_as_pydicom_reads_them(path: str) -> None:
    found = view_from_dicom(path, key="a")
    written = view_into_dicom(path, POLARISED)
    if found.view is None:
        # Not a file of PS3.10: no prefix, or no transfer syntax.
        assert {issue.rule for issue in found.issues} <= {"dicom-not-a-file", "dicom-encoding-unknown"}
        return
    with warnings.catch_warnings(record=True) as guessed:
        warnings.simplefilter("always")
        other = pydicom.dcmread(path)
    if any("Expected explicit VR, but found implicit VR" in str(one.message) for one in guessed):
        # The file says one encoding and has another; pydicom guesses, this library says so.
        assert "dicom-broken" in {issue.rule for issue in found.issues}
        return
    assert found.image is not None
    assert found.image.dicom_uid == other.get("SOPInstanceUID")
    assert found.view.light is Light.UNKNOWN
    day = str(other.get("AcquisitionDate") or other.get("ContentDate") or "").replace(".", "")
    if found.image.taken and "AcquisitionDateTime" not in other:
        assert found.image.taken[:10].replace("-", "") == day
    if written.content is None:
        return
    new = pydicom.dcmread(io.BytesIO(written.content))
    assert new.LightSourcePolarization == "POLARIZED"
    assert new.SOPInstanceUID == written.dicom_uid != found.image.dicom_uid
    own = {0x00080018, 0x00080012, 0x00080013, *(tag for tag in new.keys() if tag >> 16 == 0x0016)}  # noqa: SIM118
    for tag in other.keys():  # noqa: SIM118 - keys that aren't decoded
        if tag not in own and tag & 0xFFFF:
            assert new.get_item(tag) is not None
            assert new[tag] == other[tag], tag


def test_enough_of_pydicoms_files_are_read_and_written() -> None:
    assert len(SHIPPED) > 60
    written = [path for path in SHIPPED if view_into_dicom(path, POLARISED).content is not None]
    assert len(written) > 40


def test_a_region_of_any_depth_is_read_or_said() -> None:
    region = code("5742000", "SCT", "Skin of forearm")
    for _ in range(30):
        outer = code("24028007", "SCT", "Right")
        outer.AnatomicRegionModifierSequence = [region]
        region = outer
    found, _ = both(picture(AnatomicRegionSequence=[region], ImageLaterality=None))
    assert found.lesion is not None


def test_pictures_and_instances_of_the_cases_are_what_they_say() -> None:
    assert read(usual()).SOPInstanceUID == INSTANCE
    assert read(usual())["PixelData"].value == PIXELS
    assert "LightSourcePolarization" not in read(picture(**SAYS_NOTHING))
