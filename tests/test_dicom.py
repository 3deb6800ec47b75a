"""A view read from a DICOM photograph, and one written into it.

Checked against DICOM PS3.3 (tests/dicom_standard.py), PS3.5 and PS3.6 as pydicom 3 ships them, and against pydicom as
another reader of the same files.
"""

from __future__ import annotations

import hashlib
import io
import itertools
import json
import logging
import subprocess
import sys
from decimal import Decimal
from pathlib import Path
from typing import Any

import pydicom
import pytest
from dicom_cases import (
    ENCODINGS,
    INSTANCE,
    MARKERS,
    PIXELS,
    SAYS_NOTHING,
    TRACKING_UID,
    as_file,
    code,
    picture,
    read,
    usual,
)
from dicom_standard import ROWS, violations
from hypothesis import given, settings
from hypothesis import strategies as st
from pydicom.datadict import dictionary_VM, dictionary_VR, keyword_for_tag
from pydicom.dataset import Dataset

import dermreport
from dermreport import DicomLimits, EntryError, SettingsError, Severity, cli, view_from_dicom, view_into_dicom
from dermreport.dicom_files.module import (
    CODING_SCHEMES,
    CONTACTS,
    COVERAGES,
    DERMOSCOPIC_PHOTOGRAPHY,
    LIGHTS,
    MEDIUMS,
    SIDES_BY_CODE,
    SITES_BY_CODE,
    WHOLE_PICTURE,
    Attribute,
)
from dermreport.dicom_files.rules import DICOM_RULES
from dermreport.examination.observed import View
from dermreport.vocabulary.contacts import Contact
from dermreport.vocabulary.coverages import Coverage
from dermreport.vocabulary.lights import Light
from dermreport.vocabulary.mapping import MAPPINGS, Relation
from dermreport.vocabulary.mediums import Medium
from dermreport.vocabulary.sides import Side
from dermreport.vocabulary.sites import Site

ROOT = Path(__file__).parent.parent


def rules(issues: Any) -> set[tuple[str, str]]:
    return {(issue.rule, issue.path) for issue in issues}


def view(**fields: Any) -> View:
    return View.model_validate({"key": "a", "light": "unknown", **fields})


# -- what is read is what the standard has -----------------------------------------------------------------------------


@pytest.mark.parametrize("attribute", Attribute, ids=lambda attribute: attribute.name)
def test_tags_keywords_and_kinds_are_those_of_the_data_dictionary(attribute: Attribute) -> None:
    assert keyword_for_tag(attribute.tag) == attribute.keyword
    assert dictionary_VR(attribute.tag) == attribute.vr


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row.keyword)
def test_the_modules_rows_are_those_of_the_data_dictionary(row: Any) -> None:
    assert (keyword_for_tag(row.tag), dictionary_VR(row.tag), dictionary_VM(row.tag)) == (row.keyword, row.vr, row.vm)


@pytest.mark.parametrize(
    ("keyword", "words"),
    [
        ("LightSourcePolarization", LIGHTS),
        ("ContactMethod", CONTACTS),
        ("ImmersionMedia", MEDIUMS),
        ("PartialView", {*COVERAGES, *WHOLE_PICTURE}),
    ],
)
def test_words_are_the_modules_enumerated_values(keyword: str, words: Any) -> None:
    (row,) = (row for row in ROWS if row.keyword == keyword)
    assert set(words) == row.values


@pytest.mark.parametrize(
    ("keyword", "word", "name", "code"),
    [
        ("LightSourcePolarization", "POLARIZED", "light", "polarised"),
        ("LightSourcePolarization", "NON_POLARIZED", "light", "non-polarised"),
        ("ContactMethod", "CONTACT", "contact", "contact"),
        ("ContactMethod", "NON_CONTACT", "contact", "non-contact"),
        ("ImmersionMedia", "ULTRASOUND_GEL", "immersion", ("gel",)),
        ("ImmersionMedia", "ALCOHOL", "immersion", ("alcohol",)),
        ("ImmersionMedia", "WATER", "immersion", ("water",)),
        ("ImmersionMedia", "MINERAL_OIL", "immersion", ("oil",)),
        ("ImmersionMedia", "PLASTIC_CAP", "immersion", ("cap",)),
        ("PartialView", "YES", "covers", "part"),
    ],
)
def test_each_word_is_its_term(keyword: str, word: str, name: str, code: Any) -> None:
    found = view_from_dicom(picture(**{**SAYS_NOTHING, keyword: word}), key="a")
    assert found.view is not None
    assert getattr(found.view, name) == code
    contact = {"contact": "contact"} if name == "immersion" else {}
    fields = {name: list(code) if isinstance(code, tuple) else code}
    written = view_into_dicom(picture(**SAYS_NOTHING), view(**contact, **fields))
    assert written.content is not None
    assert read(written.content)[keyword].value == word


def test_every_term_has_one_word_but_those_that_the_module_lacks() -> None:
    assert set(Light) - set(LIGHTS.values()) == {Light.UNKNOWN}
    assert set(Contact) == set(CONTACTS.values())
    assert set(Medium) - set(MEDIUMS.values()) == {Medium.NONE}
    for table in (LIGHTS, CONTACTS, MEDIUMS):
        assert len(set(table.values())) == len(table)


def test_the_class_is_that_of_the_uid_registry() -> None:
    assert pydicom.uid.DermoscopicPhotographyImageStorage == DERMOSCOPIC_PHOTOGRAPHY


def test_nothing_of_the_patient_or_the_study_is_among_the_attributes() -> None:
    # PS3.3, C.7.1 (patient) is group 0010; C.7.2 (study): names, numbers and descriptions below.
    study = {0x00080020, 0x00080030, 0x00080050, 0x00080090, 0x00081030, 0x0020000D, 0x00200010}
    assert not [one for one in Attribute if one.tag >> 16 == 0x0010 or one.tag in study]


def test_codes_mean_one_term_each() -> None:
    assert SIDES_BY_CODE.keys() >= {(CODING_SCHEMES["SCT"], "7771000"), (CODING_SCHEMES["SCT"], "24028007")}
    assert set(SIDES_BY_CODE.values()) == set(Side)
    equivalent = [one for rows in MAPPINGS[Site].values() for one in rows if one.relation is Relation.EQUIVALENT]
    assert SITES_BY_CODE.keys() == {(one.system, one.code) for one in equivalent}
    assert len(set(SITES_BY_CODE.values())) == len(SITES_BY_CODE) == len(equivalent)


# -- a photograph in ---------------------------------------------------------------------------------------------------

EXPECTED = {
    "lesion": {
        "identifier": {"system": "urn:ietf:rfc:3986", "value": f"urn:oid:{TRACKING_UID}"},
        "label": "spot 3",
        "site": "forearm",
        "side": "left",
    },
    "views": [
        {
            "key": "a",
            "light": "polarised",
            "contact": "contact",
            "immersion": ("gel", "cap"),
            "magnification": Decimal("10.0"),
            "equipment": "Invented Optics Hand lens 10",
            "taken": "2026-03-04T10:15:00+01:00",
        }
    ],
    "images": [
        {
            "key": "a",
            "view": "a",
            "media_type": "application/dicom",
            "role": "dermatoscopic",
            "taken": "2026-03-04T10:15:00+01:00",
            "dicom_uid": INSTANCE,
        }
    ],
}


@pytest.mark.parametrize("encoding", ENCODINGS)
def test_a_photograph_says_all_that_it_says_in_every_encoding(encoding: str) -> None:
    content = usual(encoding)
    found = view_from_dicom(content, key="a")
    entry = found.entry
    image = entry["images"][0]
    assert image.pop("size_bytes") == len(content)
    assert image.pop("hash") == {"algorithm": "sha-256", "value": hashlib.sha256(content).hexdigest()}
    assert entry == EXPECTED
    assert str(entry["views"][0]["magnification"]) == "10.0"
    assert (found.issues, dict(found.set_aside)) == ((), {})


def test_the_parts_make_an_entry_that_is_held() -> None:
    parts = view_from_dicom(usual(), key="a").entry
    entry = dermreport.from_entry(
        {
            "identifier": {"system": "https://clinic.example/ids", "value": "1"},
            "status": "draft",
            "patient": {"reference": "Patient/1"},
            "examined": "2026-03-04",
            **json.loads(json.dumps(parts, default=str)),
            "views": parts["views"],
        }
    )
    assert (entry.issues, entry.set_aside) == ((), {})
    assert entry.examination is not None
    assert entry.examination.views[0].light is Light.POLARISED
    assert dermreport.to_fhir(dermreport.review(entry.examination)).resources


@pytest.mark.parametrize("encoding", ENCODINGS)
def test_a_file_that_says_nothing_gives_not_known_and_a_warning(encoding: str) -> None:
    found = view_from_dicom(picture(ENCODINGS[encoding], **SAYS_NOTHING), key="a")
    assert found.view is not None
    assert found.view.light is Light.UNKNOWN
    assert (found.view.contact, found.view.immersion, found.view.magnification) == (None, (), None)
    assert rules(found.issues) == {("dicom-light-missing", "$.LightSourcePolarization")}
    assert found.issues[0].severity is Severity.WARNING


def test_empty_attributes_say_nothing() -> None:
    empty = {keyword: "" for keyword in SAYS_NOTHING if not keyword.startswith("Tracking")}
    found = view_from_dicom(picture(**{**SAYS_NOTHING, **empty}), key="a")
    assert rules(found.issues) == {("dicom-light-missing", "$.LightSourcePolarization")}


def test_a_path_and_a_stream_are_read_as_the_bytes_are(tmp_path: Path) -> None:
    path = tmp_path / "picture.dcm"
    path.write_bytes(usual())
    expected = view_from_dicom(usual(), key="a")
    assert view_from_dicom(path, key="a") == view_from_dicom(str(path), key="a") == expected
    assert view_from_dicom(io.BytesIO(usual()), key="a") == expected
    with pytest.raises(FileNotFoundError):
        view_from_dicom(tmp_path / "nothing.dcm", key="a")


def test_the_key_is_the_hosts_and_must_be_one() -> None:
    with pytest.raises(EntryError):
        view_from_dicom(usual(), key="no key")


#: What is in the file, what the record holds of it, and what is set aside with which issue.
ATTRIBUTES: dict[str, tuple[dict[str, Any], dict[str, Any], dict[str, tuple[str, str]]]] = {
    "non-polarised": ({"LightSourcePolarization": "NON_POLARIZED"}, {"view.light": Light.NON_POLARISED}, {}),
    "a light that isn't one": (
        {"LightSourcePolarization": "CROSS"},
        {"view.light": Light.UNKNOWN},
        {"LightSourcePolarization": ("dicom-word-unknown", "CROSS")},
    ),
    "two lights": (
        {"LightSourcePolarization": ["POLARIZED", "NON_POLARIZED"]},
        {"view.light": Light.UNKNOWN},
        {"LightSourcePolarization": ("dicom-several", "POLARIZED\\NON_POLARIZED")},
    ),
    "a medium that isn't one": (
        {"ImmersionMedia": ["WATER", "HONEY"]},
        {"view.immersion": (Medium.WATER,)},
        {"ImmersionMedia": ("dicom-word-unknown", "HONEY")},
    ),
    "a medium twice": ({"ImmersionMedia": ["WATER", "WATER"]}, {"view.immersion": (Medium.WATER,)}, {}),
    "part of the lesion": ({"PartialView": "YES"}, {"view.covers": Coverage.PART}, {}),
    "no partial view": ({"PartialView": "NO"}, {"view.covers": None}, {"PartialView": ("dicom-not-held", "NO")}),
    "colour temperature": (
        {"EmitterColorTemperature": "5500"},
        {},
        {"EmitterColorTemperature": ("dicom-not-held", "5500")},
    ),
    "digits kept": (
        {"OpticalMagnificationFactor": "20.00"},
        {"view.magnification": Decimal("20.00")},
        {},
    ),
    "an exponent": ({"OpticalMagnificationFactor": "2E+1"}, {"view.magnification": Decimal(20)}, {}),
    "no magnification": (
        {"OpticalMagnificationFactor": "0"},
        {"view.magnification": None},
        {"OpticalMagnificationFactor": ("dicom-value-not-held", "0")},
    ),
    "the day alone": (
        {"AcquisitionDateTime": "20260304"},
        {"view.taken": "2026-03-04", "image.taken": "2026-03-04"},
        {},
    ),
    "its own zone": (
        {"AcquisitionDateTime": "20260304101500.25-0530"},
        {"image.taken": "2026-03-04T10:15:00.25-05:30"},
        {},
    ),
    "no zone": (
        {"TimezoneOffsetFromUTC": None},
        {"image.taken": "2026-03-04"},
        {"AcquisitionDateTime": ("dicom-time-without-zone", "101500")},
    ),
    "a zone that must not be": (
        {"TimezoneOffsetFromUTC": "-0000"},
        {"image.taken": "2026-03-04"},
        {"AcquisitionDateTime": ("dicom-time-without-zone", "101500-0000")},
    ),
    "no seconds": (
        {"AcquisitionDateTime": "202603041015+0100"},
        {"image.taken": "2026-03-04"},
        {"AcquisitionDateTime": ("dicom-time-without-zone", "1015+0100")},
    ),
    "the year alone, so the content's time": (
        {"AcquisitionDateTime": "2026", "ContentTime": "111213"},
        {"image.taken": "2026-03-04T11:12:13+01:00"},
        {"AcquisitionDateTime": ("dicom-value-not-held", "2026")},
    ),
    "acquisition before content": (
        {"AcquisitionDateTime": None, "AcquisitionDate": "20260228", "AcquisitionTime": "235960"},
        {"image.taken": "2026-02-28T23:59:60+01:00"},
        {},
    ),
    "no such day": (
        {"AcquisitionDateTime": "20260229101500", "ContentDate": "20260230"},
        {"image.taken": None},
        {
            "AcquisitionDateTime": ("dicom-value-not-held", "20260229101500"),
            "ContentDate": ("dicom-value-not-held", "20260230"),
        },
    ),
    "right": ({"ImageLaterality": "R"}, {"lesion.side": Side.RIGHT}, {}),
    "the series' side": ({"ImageLaterality": None, "Laterality": "R"}, {"lesion.side": Side.RIGHT}, {}),
    "both sides": ({"ImageLaterality": "B"}, {"lesion.side": None}, {"ImageLaterality": ("dicom-not-held", "B")}),
    "unpaired": ({"ImageLaterality": "U"}, {"lesion.side": None}, {"ImageLaterality": ("dicom-not-held", "U")}),
    "two sides": (
        {"Laterality": "R"},
        {"lesion.side": None},
        {"ImageLaterality": ("dicom-sides-differ", "left\\right")},
    ),
    "a site of its own": (
        {"AnatomicRegionSequence": [code("123037004", "SCT", "Body structure")]},
        {"lesion.site.system": "http://snomed.info/sct", "lesion.site.code": "123037004"},
        {},
    ),
    "a site of a private scheme": (
        {"AnatomicRegionSequence": [code("A1", "99CLINIC", "Arm")]},
        {"lesion.site": None},
        {"AnatomicRegionSequence": ("dicom-value-not-held", "99CLINIC A1")},
    ),
    "a body part without a code": (
        {"AnatomicRegionSequence": None, "BodyPartExamined": "ARM"},
        {"lesion.site": None},
        {"BodyPartExamined": ("dicom-not-held", "ARM")},
    ),
    "no lesion's number": (
        {"TrackingUID": None},
        {"lesion.identifier": None, "lesion.label": "spot 3"},
        {"TrackingUID": ("dicom-tracking-half", "")},
    ),
    "another character set": (
        {"SpecificCharacterSet": "ISO_IR 192", "TrackingID": "Fleck Nr. 3 – Rücken"},
        {"lesion.label": "Fleck Nr. 3 – Rücken"},
        {},
    ),
    "Greek": (
        {"SpecificCharacterSet": "ISO_IR 126", "ManufacturerModelName": "φακός"},
        {"view.equipment": "Invented Optics φακός"},
        {},
    ),
    "a change of the character set": (
        {"SpecificCharacterSet": ["", "ISO 2022 IR 87"], "ManufacturerModelName": "鏡"},
        {"view.equipment": "Invented Optics 鏡"},
        {},
    ),
}


@pytest.mark.parametrize(("attributes", "held", "aside"), ATTRIBUTES.values(), ids=ATTRIBUTES)
def test_an_attribute_is_held_or_set_aside(
    attributes: dict[str, Any], held: dict[str, Any], aside: dict[str, tuple[str, str]]
) -> None:
    found = view_from_dicom(picture(**attributes), key="a")
    for path, expected in held.items():
        value: Any = found
        for name in path.split("."):
            value = getattr(value, name)
        assert value == expected
        assert str(value) == str(expected)
    expected_rules = {(rule, f"$.{keyword}") for keyword, (rule, _) in aside.items()}
    if held.get("view.light") is Light.UNKNOWN:
        expected_rules.add(("dicom-light-missing", "$.LightSourcePolarization"))
    assert rules(found.issues) == expected_rules
    assert dict(found.set_aside) == {keyword: value for keyword, (_, value) in aside.items() if value}


def test_sides_may_be_coded_with_the_region() -> None:
    region = code("5742000", "SCT", "Skin of forearm")
    region.AnatomicRegionModifierSequence = [code("24028007", "SCT", "Right")]
    found = view_from_dicom(picture(AnatomicRegionSequence=[region], ImageLaterality=None), key="a")
    assert found.lesion is not None
    assert (found.lesion.site, found.lesion.side, found.issues) == (Site.FOREARM, Side.RIGHT, ())
    region.AnatomicRegionModifierSequence = [code("51440002", "SCT", "Bilateral")]
    found = view_from_dicom(picture(AnatomicRegionSequence=[region], ImageLaterality=None), key="a")
    assert found.lesion is not None
    assert found.lesion.side is None
    assert rules(found.issues) == {("dicom-not-held", "$.AnatomicRegionModifierSequence")}


@pytest.mark.parametrize(("scheme_and_code", "site"), SITES_BY_CODE.items(), ids=str)
def test_every_equivalent_site_code_is_read(scheme_and_code: tuple[str, str], site: Site) -> None:
    designators = {system: designator for designator, system in CODING_SCHEMES.items()}
    system, value = scheme_and_code
    region = code(value, designators[system], "any words")
    found = view_from_dicom(picture(AnatomicRegionSequence=[region], ImageLaterality=None), key="a")
    assert found.lesion is not None
    assert found.lesion.site is site


def test_another_kind_of_picture_is_read_and_its_role_left_open() -> None:
    found = view_from_dicom(picture(SOPClassUID=pydicom.uid.VLPhotographicImageStorage), key="a")
    assert found.image is not None
    assert found.image.role is None
    assert rules(found.issues) == {("dicom-other-picture", "$.SOPClassUID")}


def test_a_picture_that_shows_who_it_is_is_said() -> None:
    found = view_from_dicom(picture(RecognizableVisualFeatures="YES"), key="a")
    assert rules(found.issues) == {("dicom-identifying", "$.RecognizableVisualFeatures")}


# -- a view out, and back ----------------------------------------------------------------------------------------------

LIGHT_CHOICES = tuple(Light)
CONTACT_CHOICES = (None, *Contact)
MEDIUM_CHOICES = ((), *((medium,) for medium in Medium), (Medium.GEL, Medium.CAP), (Medium.NONE, Medium.WATER))
COMBINATIONS = tuple(itertools.product(LIGHT_CHOICES, CONTACT_CHOICES, MEDIUM_CHOICES))


@pytest.mark.parametrize(("light", "contact", "immersion"), COMBINATIONS)
def test_a_view_comes_back_as_far_as_the_module_has_words(
    light: Light, contact: Contact | None, immersion: tuple[Medium, ...]
) -> None:
    given_view = view(light=light, contact=contact, immersion=list(immersion), magnification=Decimal("10.50"))
    written = view_into_dicom(picture(**SAYS_NOTHING), given_view)
    assert written.content is not None
    other_reader = read(written.content)
    assert violations(other_reader) == []
    back = view_from_dicom(written.content, key="a").view
    assert back is not None
    # The module's words and conditions: no word for an unknown light or for no medium, and a medium needs contact.
    with_words = tuple(medium for medium in immersion if medium is not Medium.NONE)
    kept = with_words if contact is Contact.CONTACT else ()
    assert (back.light, back.contact, back.immersion) == (light, contact, kept)
    assert str(back.magnification) == "10.50"
    left_out = set()
    if light is Light.UNKNOWN:
        left_out.add(("dicom-no-word", "$.light"))
    if Medium.NONE in immersion:
        left_out.add(("dicom-no-word", "$.immersion"))
    if with_words and contact is not Contact.CONTACT:
        left_out.add(("dicom-medium-left-out", "$.immersion"))
    said = {one for one in rules(written.issues) if one[0] != "dicom-creation-left-out"}
    assert said == left_out


def raw(content: bytes) -> dict[int, Any]:
    """Return every element as another reader has it, undecoded; a deflated file and pixel data included."""
    data_set = read(content)
    return {int(tag): data_set.get_item(tag).value for tag in data_set.keys()}  # noqa: SIM118 - keys that aren't decoded


#: What a file with a view in it may have of its own: the module, its UID, and no time of creation.
OWN = {row.tag for row in ROWS} | {0x00080018, 0x00080012, 0x00080013}


@pytest.mark.parametrize("encoding", ENCODINGS)
def test_everything_else_keeps_its_bytes_and_the_given_ones_are_untouched(encoding: str) -> None:
    content = picture(ENCODINGS[encoding], **SAYS_NOTHING)
    before = bytes(content)
    written = view_into_dicom(content, view(light="polarised", contact="contact", immersion=["oil"]))
    assert content == before
    assert written.content is not None
    assert violations(read(written.content)) == []
    old, new = raw(content), raw(written.content)
    assert {tag: value for tag, value in new.items() if tag not in OWN} == {
        tag: value for tag, value in old.items() if tag not in OWN
    }
    assert read(written.content)["PixelData"].value == read(content)["PixelData"].value
    if encoding != "deflated":
        # From the first element behind the module to the end: not one byte differs, headers included.
        serial_number = b"\x00\x18\x10\x00" if encoding == "big-endian" else b"\x18\x00\x00\x10"
        rest = content[content.index(serial_number) :]
        assert PIXELS in rest
        assert written.content.endswith(rest)


def test_the_new_file_is_a_new_instance_the_same_each_time() -> None:
    content = picture(**SAYS_NOTHING)
    first = view_into_dicom(content, view(light="polarised"))
    again = view_into_dicom(content, view(light="polarised"))
    other = view_into_dicom(content, view(light="non-polarised"))
    assert first.content == again.content
    assert first.content is not None
    data_set = read(first.content)
    assert first.dicom_uid == data_set.SOPInstanceUID == data_set.file_meta.MediaStorageSOPInstanceUID
    assert len({first.dicom_uid, other.dicom_uid, INSTANCE}) == 3
    # PS3.5, B.2: 2.25. and a UUID as a number without leading zeros.
    root, _, number = str(first.dicom_uid).rpartition(".")
    assert root == "2.25"
    assert 0 < int(number) < 2**128
    assert str(int(number)) == number
    # PS3.3, C.12.1: the time of creation is that of the UID, so the former one's would be wrong.
    assert "InstanceCreationDate" not in data_set
    assert ("dicom-creation-left-out", "$.InstanceCreationDate") in rules(first.issues)
    # PS3.3, C.7.6.1.1.2: the pixels are those of the camera, so the image is as original as it was.
    assert data_set.ImageType == ["ORIGINAL", "PRIMARY"]
    # PS3.10, 7.1: who wrote the file last.
    assert data_set.file_meta.ImplementationVersionName.startswith("DERMREPORT")
    assert data_set.file_meta.FileMetaInformationGroupLength == len(first.content) - 144 - _data_set_length(data_set)


def _data_set_length(data_set: Dataset) -> int:
    stream = io.BytesIO()
    pydicom.dcmwrite(stream, pydicom.dataset.Dataset(data_set), implicit_vr=False, little_endian=True)
    return len(stream.getvalue())


def test_the_hosts_uid_is_taken_and_must_be_one() -> None:
    written = view_into_dicom(picture(**SAYS_NOTHING), view(light="polarised"), uid="1.2.3")
    assert written.content is not None
    assert written.dicom_uid == read(written.content).SOPInstanceUID == "1.2.3"
    for uid in ("1.02", "x", "", "1." + "2" * 63):
        with pytest.raises(SettingsError) as refused:
            view_into_dicom(picture(**SAYS_NOTHING), view(), uid=uid)
        assert uid == "" or uid not in str(refused.value)


def test_what_is_there_already_needs_no_new_instance() -> None:
    content = usual()
    said = view_from_dicom(content, key="a").view
    assert said is not None
    written = view_into_dicom(content, said)
    assert (written.content, written.dicom_uid, written.issues) == (content, INSTANCE, ())


@pytest.mark.parametrize(
    ("fields", "keyword"),
    [
        ({"light": "non-polarised", "contact": "contact"}, "LightSourcePolarization"),
        ({"light": "polarised", "contact": "non-contact"}, "ContactMethod"),
        ({"light": "polarised", "contact": "contact", "immersion": ["water"]}, "ImmersionMedia"),
        ({"light": "polarised", "contact": "contact", "magnification": 20}, "OpticalMagnificationFactor"),
    ],
)
def test_where_the_file_says_something_else_nothing_is_written(fields: dict[str, Any], keyword: str) -> None:
    written = view_into_dicom(usual(), view(**fields))
    assert (written.content, written.dicom_uid) == (None, None)
    assert ("dicom-differs", f"$.{keyword}") in rules(written.issues)


def test_one_difference_keeps_everything_from_being_written() -> None:
    content = picture(**{**SAYS_NOTHING, "LightSourcePolarization": "POLARIZED"})
    assert view_into_dicom(content, view(light="non-polarised", contact="contact")).content is None
    assert view_into_dicom(content, view(light="polarised", contact="contact")).content is not None


@pytest.mark.parametrize(
    ("attributes", "fields"),
    [
        ({"ContactMethod": "CONTACT", "ImmersionMedia": "WATER"}, {"contact": "contact", "immersion": ["none"]}),
        ({"ImmersionMedia": "WATER"}, {"contact": "non-contact"}),
        ({"ImmersionMedia": "WATER"}, {"immersion": ["none"]}),
    ],
)
def test_dry_in_the_record_and_a_medium_in_the_file_differ(attributes: dict[str, Any], fields: dict[str, Any]) -> None:
    written = view_into_dicom(picture(**{**SAYS_NOTHING, **attributes}), view(light="polarised", **fields))
    assert written.content is None
    assert ("dicom-differs", "$.ImmersionMedia") in rules(written.issues)


def test_an_empty_medium_goes_where_there_is_no_contact() -> None:
    content = picture(**{**SAYS_NOTHING, "ImmersionMedia": ""})
    written = view_into_dicom(content, view(light="polarised", contact="non-contact"))
    assert written.content is not None
    assert violations(read(written.content)) == []


@pytest.mark.parametrize("number", ["SNAN", "NAN", "INF", "1E999999", "1_0", "\u0661"])
def test_what_is_no_number_is_no_magnification(number: str) -> None:
    content = picture(OpticalMagnificationFactor="10.0").replace(b"10.0", f"{number}    ".encode()[:8].ljust(8))
    position = content.index(b"\x16\x00\x05\x10DS") + 6
    content = content[:position] + b"\x08\x00" + content[position + 2 :]
    found = view_from_dicom(content, key="a")
    assert found.view is not None
    assert found.view.magnification is None
    written = view_into_dicom(content, view(light="polarised", magnification=10))
    assert written.content is None
    assert ("dicom-differs", "$.OpticalMagnificationFactor") in rules(written.issues)


def test_the_same_number_written_otherwise_is_the_same() -> None:
    written = view_into_dicom(usual(), view(light="polarised", magnification=Decimal(10)))
    assert "dicom-differs" not in {issue.rule for issue in written.issues}
    assert written.content == usual()


def test_a_view_that_says_nothing_needs_no_new_instance() -> None:
    content = picture(**SAYS_NOTHING)
    written = view_into_dicom(content, view(immersion=["none"]))
    assert (written.content, written.dicom_uid) == (content, INSTANCE)
    assert rules(written.issues) == {("dicom-no-word", "$.light"), ("dicom-no-word", "$.immersion")}


def test_what_the_file_says_and_the_view_does_not_stays() -> None:
    written = view_into_dicom(usual(), view())
    assert rules(written.issues) == {
        ("dicom-says-more", f"$.{keyword}")
        for keyword in ("LightSourcePolarization", "ContactMethod", "ImmersionMedia", "OpticalMagnificationFactor")
    }
    assert written.content == usual()


def test_what_has_no_place_in_the_module_is_said() -> None:
    fields = {
        "pressure": "light",
        "limits": ["hair"],
        "field_of_view_mm": 10,
        "note": "MARKER",
        "equipment": "another lens",
        "taken": "2026-03-04",
        "magnification": Decimal("1.2345678901234567"),
        "immersion": [{"system": "https://clinic.example/mediums", "code": "MARKER"}],
        "contact": "contact",
    }
    written = view_into_dicom(picture(**SAYS_NOTHING), view(**fields))
    assert {(rule, path) for rule, path in rules(written.issues) if path[2].islower()} == {
        ("dicom-no-word", "$.light"),
        ("dicom-no-word", "$.immersion"),
        ("dicom-no-word", "$.pressure"),
        ("dicom-no-word", "$.limits"),
        ("dicom-no-word", "$.field_of_view_mm"),
        ("dicom-no-word", "$.note"),
        ("dicom-other-module", "$.equipment"),
        ("dicom-other-module", "$.taken"),
        ("dicom-number-left-out", "$.magnification"),
    }
    assert written.content is not None
    assert b"MARKER" not in written.content.replace(b"MARKER^", b"").replace(b"555-MARKER", b"").replace(
        b"ACC-MARKER", b""
    )
    assert violations(read(written.content)) == []


@pytest.mark.parametrize(("covers", "word"), [("part", "YES"), ("whole", "NO")])
def test_coverage_is_written(covers: str, word: str) -> None:
    written = view_into_dicom(picture(**SAYS_NOTHING), view(light="polarised", covers=covers))
    assert written.content is not None
    assert read(written.content).PartialView == word


def test_a_picture_of_another_class_is_extended_and_said() -> None:
    content = picture(**{**SAYS_NOTHING, "SOPClassUID": pydicom.uid.VLPhotographicImageStorage})
    written = view_into_dicom(content, view(light="polarised"))
    assert ("dicom-other-class", "$.SOPClassUID") in rules(written.issues)
    assert written.content is not None
    assert read(written.content).LightSourcePolarization == "POLARIZED"


def test_a_file_that_must_say_whether_it_identifies_and_does_not_is_said() -> None:
    content = picture(**{**SAYS_NOTHING, "RecognizableVisualFeatures": None})
    written = view_into_dicom(content, view(light="polarised"))
    assert ("dicom-features-missing", "$.RecognizableVisualFeatures") in rules(written.issues)
    assert written.content is not None
    assert violations(read(written.content)) == ["RecognizableVisualFeatures: missing"]


def test_retired_group_lengths_of_changed_groups_go_and_others_stay() -> None:
    data_set = read(picture(**SAYS_NOTHING))
    for group in (0x0008, 0x0016, 0x0020):
        data_set.add_new((group, 0), "UL", 7)
    # pydicom leaves group lengths out when it writes, so they are put in by hand, as old writers did.
    content = as_file(data_set)
    position = content.index(b"\x20\x00\x0d\x00UI")
    content = content[:position] + b"\x20\x00\x00\x00UL\x04\x00\x07\x00\x00\x00" + content[position:]
    position = content.index(b"\x08\x00\x08\x00CS")
    content = content[:position] + b"\x08\x00\x00\x00UL\x04\x00\x07\x00\x00\x00" + content[position:]
    written = view_into_dicom(content, view(light="polarised"))
    assert written.content is not None
    assert b"\x20\x00\x00\x00UL" in written.content
    assert b"\x08\x00\x00\x00UL" not in written.content


magnifications = st.decimals(min_value="0.01", max_value=9999, places=2)


VIEWS = st.fixed_dictionaries(
    {"light": st.sampled_from(Light), "immersion": st.lists(st.sampled_from(Medium), max_size=4)},
    optional={
        "contact": st.sampled_from(Contact),
        "magnification": st.decimals(min_value="0.01", max_value=9999, places=2),
        "covers": st.sampled_from(Coverage),
    },
)


@settings(max_examples=200)
@given(fields=VIEWS, encoding=st.sampled_from(sorted(ENCODINGS)))
def test_any_view_written_keeps_the_modules_rules_and_never_contradicts_the_view(
    fields: dict[str, Any], encoding: str
) -> None:
    shown = view(**fields)
    content = picture(ENCODINGS[encoding], **SAYS_NOTHING)
    written = view_into_dicom(content, shown)
    assert written.content is not None
    says_something = shown.light is not Light.UNKNOWN or shown.model_dump(exclude_defaults=True).keys() & {
        "contact",
        "magnification",
        "covers",
    }
    assert (written.content != content) is bool(says_something)
    assert violations(read(written.content)) == [] or not says_something
    back = view_from_dicom(written.content, key="a").view
    assert back is not None
    assert (back.light, back.contact) == (shown.light, shown.contact)
    assert set(back.immersion) <= set(shown.immersion)
    assert str(back.magnification) == str(shown.magnification)
    # And once more: nothing is left to write.
    again = view_into_dicom(written.content, back)
    assert again.content == written.content


# -- nothing of the patient --------------------------------------------------------------------------------------------


@pytest.mark.parametrize("encoding", ENCODINGS)
def test_nothing_of_the_patient_comes_out(
    encoding: str, caplog: pytest.LogCaptureFixture, capsys: pytest.CaptureFixture[str]
) -> None:
    caplog.set_level(logging.DEBUG)
    private = {"AcquisitionDateTime": "MARKER-TIME", "ImageLaterality": "MARKER-SIDE", "ContactMethod": "MARKER-HOW"}
    for content in (usual(encoding), _unchecked(encoding, private)):
        found = view_from_dicom(content, key="a")
        written = view_into_dicom(content, view(light="non-polarised", note="MARKER-NOTE"))
        shown = [repr(found), repr(written), *map(str, (*found.issues, *written.issues))]
        shown += [repr(issue) for issue in (*found.issues, *written.issues)]
        shown += [caplog.text, *capsys.readouterr()]
        assert "MARKER" not in "".join(shown).upper()
        values = repr((found.entry, dict(found.set_aside)))
        for marker in MARKERS:
            assert marker not in values
            assert marker not in "".join(shown)


def _unchecked(encoding: str, attributes: dict[str, str]) -> bytes:
    """Return a photograph with values that the standard doesn't allow, which pydicom would warn of."""
    content = picture(ENCODINGS[encoding], **SAYS_NOTHING)
    data_set = read(content)
    for keyword, value in attributes.items():
        data_set.add(pydicom.dataelem.DataElement(keyword, "CS", value, validation_mode=pydicom.config.IGNORE))
    return as_file(data_set, ENCODINGS[encoding])


# -- what it needs, and the command line -------------------------------------------------------------------------------


@pytest.mark.parametrize("door", [view_from_dicom, view_into_dicom])
def test_without_pydicom_the_error_names_the_command(door: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    content = usual()
    for name in ("pydicom", *[name for name in sys.modules if name.startswith("pydicom.")]):
        monkeypatch.setitem(sys.modules, name, None)
    with pytest.raises(dermreport.MissingExtraError, match=r"pip install 'dermreport\[dicom\]'"):
        door(content, key="a") if door is view_from_dicom else door(content, view())


def test_pydicom_is_loaded_on_first_use() -> None:
    script = "import dermreport, sys; dermreport.view_from_dicom; print('pydicom' in sys.modules)"
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True, cwd=ROOT)
    assert done.stdout == "False\n"


def test_every_rule_has_an_id_a_message_and_a_source() -> None:
    for rule in DICOM_RULES.values():
        assert rule.id.startswith("dicom-")
        assert len(rule.id) <= 64
        assert rule.message.endswith(".")
        assert rule.source


def test_limits_are_the_hosts_and_bound_the_size() -> None:
    limits = DicomLimits(size=1000)
    found = view_from_dicom(usual(), key="a", limits=limits)
    assert (found.view, found.image, rules(found.issues)) == (None, None, {("dicom-too-large", "$")})
    assert found.issues[0].parameters == (("limit", "1000"),)
    assert view_from_dicom(usual(), key="a", limits=DicomLimits(size=len(usual()))).issues == ()
    assert view_into_dicom(usual(), view(), limits=limits).content is None


def test_the_command_prints_the_parts_of_an_entry(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "picture.dcm"
    path.write_bytes(usual())
    assert cli.main(["view", str(path), "--key", "b"]) == cli.DONE
    printed = capsys.readouterr()
    parts = json.loads(printed.out)
    assert parts["views"][0] == {
        **EXPECTED["views"][0],
        "key": "b",
        "immersion": ["gel", "cap"],
        "magnification": 10.0,
    }
    assert '"magnification":10.0' in printed.out
    assert printed.err == ""


def test_the_command_says_what_is_missing_and_what_is_no_file(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    silent, none = tmp_path / "silent.dcm", tmp_path / "none.dcm"
    silent.write_bytes(picture(**SAYS_NOTHING))
    none.write_bytes(b"nothing")
    assert cli.main(["view", str(none), str(silent)]) == cli.NOT_DONE
    printed = capsys.readouterr()
    assert "[dicom-not-a-file]" in printed.err
    assert "[dicom-light-missing]" in printed.err
    assert json.loads(printed.out)["views"] == [
        {
            "key": "silent",
            "light": "unknown",
            "equipment": "Invented Optics Hand lens 10",
            "taken": "2026-03-04T10:15:00+01:00",
        }
    ]
    silent.write_bytes(picture(Laterality="R"))
    assert cli.main(["view", str(silent)]) == cli.ERROR_STANDS
