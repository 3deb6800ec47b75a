"""A DICOM file in: the view that a dermoscopic photograph shows, and the picture by reference.

Read are the attributes of :mod:`dermreport.dicom_files.module` and no others: nothing of the patient is decoded, and
no pixel. What a file says and the record can't hold is an issue, and is set aside.
"""

from __future__ import annotations

import hashlib
import os
import re
from dataclasses import dataclass, field
from decimal import Decimal
from pathlib import Path
from types import MappingProxyType
from typing import IO, TYPE_CHECKING, Any, Final, TypeVar

from dermreport.dicom_files.limits import DEFAULT_DICOM_LIMITS, DicomLimits
from dermreport.dicom_files.module import (
    CODING_SCHEMES,
    CONTACTS,
    COVERAGES,
    DERMOSCOPIC_PHOTOGRAPHY,
    LIGHTS,
    MEDIA_TYPE,
    MEDIUMS,
    NO_SIDE,
    SIDES,
    SIDES_BY_CODE,
    SITES_BY_CODE,
    WHOLE_PICTURE,
    Attribute,
)
from dermreport.dicom_files.structure import Stopped, read_file
from dermreport.doors.dicom.values import Values
from dermreport.examination.base import Model, entry_dict
from dermreport.examination.lesion import Lesion
from dermreport.examination.observed import Image, View
from dermreport.examination.people import URN_SYSTEM
from dermreport.examination.types import DAY_TIME_PATTERN, OID_PATTERN
from dermreport.issues import EntryError, must_be
from dermreport.vocabulary.contacts import Contact
from dermreport.vocabulary.hash_algorithms import HashAlgorithm
from dermreport.vocabulary.image_roles import ImageRole
from dermreport.vocabulary.lights import Light
from dermreport.vocabulary.term import Term

if TYPE_CHECKING:
    from collections.abc import Mapping

    from dermreport.dicom_files.structure import DataSet, DicomFile
    from dermreport.issues import Issue

#: A decimal string (PS3.5, section 6.2).
NUMBER: Final = re.compile(r"[+-]?(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)(?:[eE][+-]?[0-9]+)?", re.ASCII)
_DATE: Final = re.compile(r"([0-9]{4})\.?([0-9]{2})\.?([0-9]{2})", re.ASCII)
_TIME: Final = re.compile(r"([0-9]{2})([0-9]{2})([0-9]{2})(\.[0-9]{1,6})?", re.ASCII)
_DATE_TIME: Final = re.compile(r"([0-9]{8})([0-9.]*)([+-][0-9]{4})?", re.ASCII)
_ZONE: Final = re.compile(r"(?!-0000)([+-][0-9]{2})([0-9]{2})", re.ASCII)
_DAY_TIME: Final = re.compile(DAY_TIME_PATTERN)
_UID: Final = re.compile(OID_PATTERN)
_LONGEST_UID: Final = 64
#: When the pixels were made: dates and their times of day, the closest first (PS3.3, C.7.10.1 and C.7.6.1).
_DATES: Final = (
    (Attribute.ACQUISITION_DATE, Attribute.ACQUISITION_TIME),
    (Attribute.CONTENT_DATE, Attribute.CONTENT_TIME),
)
#: What an OID begins with as a URN (RFC 3061).
URN_OID: Final = "urn:oid:"

T = TypeVar("T", bound=Term)
M = TypeVar("M", bound=Model)


@dataclass(frozen=True, slots=True)
class DicomView:
    """What a DICOM file says of a view. As text it shows issues only, for the rest is the patient's.

    Attributes:
        view: The view, with the light «not known» where the file doesn't say it; ``None`` where it isn't a DICOM file.
        image: The picture by reference: instance, time, size, hash.
        lesion: Number, label, site and side of the lesion, as far as the file has them.
        issues: What was found, with the standard's keywords as paths, without any value.
        set_aside: What the record can't hold, by keyword, as written. It is your own data: don't log it.
    """

    view: View | None = field(repr=False)
    image: Image | None = field(repr=False)
    lesion: Lesion | None = field(repr=False)
    issues: tuple[Issue, ...]
    set_aside: Mapping[str, str] = field(repr=False)

    @property
    def entry(self) -> dict[str, Any]:
        """The parts of an entry that it makes, as new dicts: put them to the rest before ``from_entry``."""
        parts: dict[str, Any] = {}
        if self.lesion is not None:
            parts["lesion"] = entry_dict(self.lesion)
        if self.view is not None:
            parts["views"] = [entry_dict(self.view)]
        if self.image is not None:
            parts["images"] = [entry_dict(self.image)]
        return parts


def view_from_dicom(
    file: bytes | str | os.PathLike[str] | IO[bytes], *, key: str, limits: DicomLimits = DEFAULT_DICOM_LIMITS
) -> DicomView:
    """Read the view and the picture that a DICOM file holds.

    Args:
        file: The file's bytes, its path, or a binary stream, which is read from where it stands.
        key: Key of the view and of the picture in the entry.
        limits: How much is read at most.

    Returns:
        What the file says, every issue, and what is set aside. Nothing is raised for what is in the file.

    Raises:
        EntryError: The key isn't one of an entry.
        MissingExtraError: pydicom isn't installed.
        OSError: The path can't be read.
        TypeError: It isn't a file, or the limits aren't DicomLimits.
    """
    view = nothing_known(key)
    content = content_of(file, limits)
    try:
        found = read_file(content, limits)
    except Stopped as stopped:
        return DicomView(None, None, None, (stopped.issue,), MappingProxyType({}))
    return said_by(found, view, limits)


def nothing_known(key: str) -> View:
    """Return a view of which nothing but its key is known.

    Raises:
        EntryError: The key isn't one of an entry.
    """
    return View.model_validate({"key": key, "light": Light.UNKNOWN})


def said_by(file: DicomFile, view: View, limits: DicomLimits) -> DicomView:
    """Return what a file says, put to a view of which nothing but its key is known."""
    return _Reading(file, limits).result(view)


def content_of(file: bytes | str | os.PathLike[str] | IO[bytes], limits: DicomLimits) -> bytes:
    """Return the bytes of a file, one more than the limit at most.

    Raises:
        OSError: The path can't be read.
    """
    must_be("limits", limits, DicomLimits)
    if isinstance(file, bytes | bytearray | memoryview):
        return bytes(file[: limits.size + 1])
    if isinstance(file, str | os.PathLike):
        with Path(file).open("rb") as stream:
            return stream.read(limits.size + 1)
    content: object = file.read(limits.size + 1) if hasattr(file, "read") else None
    if not isinstance(content, bytes):
        raise TypeError(f"a DICOM file is bytes, a path or a binary stream, not {type(file).__name__}")
    return content


class _Reading:
    """One file, read attribute by attribute."""

    def __init__(self, file: DicomFile, limits: DicomLimits) -> None:
        self._file = file
        self._values = Values(file.data_set, limits)

    def result(self, unsaid: View) -> DicomView:
        """Return what the file says, put to a view of which nothing but its key is known."""
        taken = self._taken()
        view = self._view(unsaid, taken)
        image = self._image(view.key, taken)
        lesion = self._lesion()
        stopped = self._file.data_set.stopped
        issues = dict.fromkeys((*(() if stopped is None else (stopped,)), *self._values.issues))
        return DicomView(view, image, lesion, tuple(issues), MappingProxyType(dict(self._values.aside)))

    # --- The view ---

    def _view(self, view: View, taken: str | None) -> View:
        light = self._word(Attribute.LIGHT_SOURCE_POLARIZATION, LIGHTS)
        contact = self._word(Attribute.CONTACT_METHOD, CONTACTS)
        immersion = self._mediums()
        if light is None:
            self._values.note("dicom-light-missing", Attribute.LIGHT_SOURCE_POLARIZATION)
        if immersion and contact is not Contact.CONTACT:
            self._values.note("dicom-medium-without-contact", Attribute.IMMERSION_MEDIA)
        view = self._with(view, Attribute.LIGHT_SOURCE_POLARIZATION, "light", light)
        view = self._with(view, Attribute.CONTACT_METHOD, "contact", contact)
        view = self._with(view, Attribute.IMMERSION_MEDIA, "immersion", immersion or None)
        view = self._with(view, Attribute.PARTIAL_VIEW, "covers", self._coverage())
        view = self._magnified(view)
        view = self._with(view, Attribute.MANUFACTURER, "equipment", self._equipment())
        view = self._with(view, Attribute.ACQUISITION_DATE_TIME, "taken", taken)
        for attribute in (Attribute.EMITTER_COLOR_TEMPERATURE, Attribute.PARTIAL_VIEW_DESCRIPTION):
            self._not_held(attribute)
        return view

    def _mediums(self) -> list[Term]:
        """Return the mediums that the file names, each once."""
        words = self._values.several(Attribute.IMMERSION_MEDIA)
        unknown = [word for word in words if word not in MEDIUMS]
        if unknown:
            self._values.note("dicom-word-unknown", Attribute.IMMERSION_MEDIA, "\\".join(unknown))
        return list(dict.fromkeys(MEDIUMS[word] for word in words if word in MEDIUMS))

    def _coverage(self) -> Term | None:
        return self._word(Attribute.PARTIAL_VIEW, COVERAGES, says_nothing_of_ours=WHOLE_PICTURE)

    def _magnified(self, view: View) -> View:
        attribute = Attribute.OPTICAL_MAGNIFICATION_FACTOR
        text = self._values.one(attribute)
        if text is None:
            return view
        if NUMBER.fullmatch(text) is None:
            self._values.note("dicom-value-not-held", attribute, text)
            return view
        return self._with(view, attribute, "magnification", Decimal(text))

    def _equipment(self) -> str | None:
        names = (self._values.one(Attribute.MANUFACTURER), self._values.one(Attribute.MANUFACTURER_MODEL_NAME))
        return " ".join(name for name in names if name) or None

    # --- The picture ---

    def _image(self, key: str, taken: str | None) -> Image:
        content = self._file.content
        image = Image.model_validate(
            {
                "key": key,
                "view": key,
                "media_type": MEDIA_TYPE,
                "size_bytes": len(content),
                "hash": {"algorithm": HashAlgorithm.SHA_256, "value": hashlib.sha256(content).hexdigest()},
            }
        )
        if self._values.one(Attribute.SOP_CLASS_UID) == DERMOSCOPIC_PHOTOGRAPHY:
            image = self._with(image, Attribute.SOP_CLASS_UID, "role", ImageRole.DERMATOSCOPIC)
        else:
            self._values.note("dicom-other-picture", Attribute.SOP_CLASS_UID)
        if not self._file.data_set.has_picture:
            self._values.note("dicom-no-picture", Attribute.PIXEL_DATA)
        if self._values.one(Attribute.RECOGNIZABLE_VISUAL_FEATURES) == "YES":
            self._values.note("dicom-identifying", Attribute.RECOGNIZABLE_VISUAL_FEATURES)
        image = self._with(image, Attribute.SOP_INSTANCE_UID, "dicom_uid", self._values.one(Attribute.SOP_INSTANCE_UID))
        return self._with(image, Attribute.ACQUISITION_DATE_TIME, "taken", taken)

    def _taken(self) -> str | None:
        """Return when the picture was taken, as precisely as the record can hold it."""
        zone = self._values.one(Attribute.TIMEZONE_OFFSET_FROM_UTC) or ""
        attribute = Attribute.ACQUISITION_DATE_TIME
        text = self._values.one(attribute)
        if text is not None:
            parts = _DATE_TIME.fullmatch(text)
            day = _day(parts[1]) if parts is not None else None
            if parts is not None and day is not None:
                return self._time(day, parts[2], parts[3] or zone, attribute)
            self._values.note("dicom-value-not-held", attribute, text)
        for date, time in _DATES:
            text = self._values.one(date)
            if text is None:
                continue
            day = _day(text)
            if day is not None:
                return self._time(day, self._values.one(time) or "", zone, time)
            self._values.note("dicom-value-not-held", date, text)
        return None

    def _time(self, day: str, clock: str, zone: str, attribute: Attribute) -> str:
        """Return a time; the day alone where the time of day has no seconds or no zone."""
        if not clock:
            return day
        time, offset = _TIME.fullmatch(clock), _ZONE.fullmatch(zone)
        if time is not None and offset is not None:
            text = f"{day}T{time[1]}:{time[2]}:{time[3]}{time[4] or ''}{offset[1]}:{offset[2]}"
            if _DAY_TIME.match(text):
                return text
        self._values.note("dicom-time-without-zone", attribute, clock + zone)
        return day

    # --- The lesion ---

    def _lesion(self) -> Lesion | None:
        uid, label = self._values.one(Attribute.TRACKING_UID), self._values.one(Attribute.TRACKING_ID)
        if (uid is None) is not (label is None):
            self._values.note("dicom-tracking-half", Attribute.TRACKING_UID if uid is None else Attribute.TRACKING_ID)
        lesion = self._with(Lesion(), Attribute.TRACKING_ID, "label", label)
        if uid is not None and is_uid(uid):
            identifier = {"system": URN_SYSTEM, "value": f"{URN_OID}{uid}"}
            lesion = self._with(lesion, Attribute.TRACKING_UID, "identifier", identifier)
        elif uid is not None:
            self._values.note("dicom-value-not-held", Attribute.TRACKING_UID, uid)
        regions = self._values.items(Attribute.ANATOMIC_REGION_SEQUENCE)
        if len(regions) > 1:
            self._values.note("dicom-several", Attribute.ANATOMIC_REGION_SEQUENCE)
        region = regions[0] if len(regions) == 1 else None
        lesion = self._with(
            lesion, Attribute.ANATOMIC_REGION_SEQUENCE, "site", None if region is None else self._site(region)
        )
        if lesion.site is None:
            self._not_held(Attribute.BODY_PART_EXAMINED)
        if self._values.has(Attribute.PRIMARY_ANATOMIC_STRUCTURE_SEQUENCE):
            self._values.note("dicom-not-held", Attribute.PRIMARY_ANATOMIC_STRUCTURE_SEQUENCE)
        lesion = self._with(lesion, Attribute.IMAGE_LATERALITY, "side", self._side(region))
        return lesion if entry_dict(lesion) else None

    def _site(self, region: DataSet) -> Term | dict[str, str] | None:
        code = self._code(region, Attribute.ANATOMIC_REGION_SEQUENCE)
        if code is None:
            return None
        display = self._values.one(Attribute.CODE_MEANING, region)
        return SITES_BY_CODE.get(code) or {
            "system": code[0],
            "code": code[1],
            **({} if display is None else {"display": display}),
        }

    def _side(self, region: DataSet | None) -> Term | None:
        """Return the side, where everything that names one names the same."""
        named: list[Term | None] = [
            self._word(attribute, SIDES, says_nothing_of_ours=NO_SIDE)
            for attribute in (Attribute.IMAGE_LATERALITY, Attribute.LATERALITY)
        ]
        modifier = Attribute.ANATOMIC_REGION_MODIFIER_SEQUENCE
        for item in () if region is None else self._values.items(modifier, region):
            code = self._code(item, modifier)
            if code is None:
                continue
            if code in SIDES_BY_CODE:
                named.append(SIDES_BY_CODE[code])
            else:
                self._values.note("dicom-not-held", modifier, " ".join(code))
        sides = list(dict.fromkeys(side for side in named if side is not None))
        if len(sides) > 1:
            self._values.note("dicom-sides-differ", Attribute.IMAGE_LATERALITY, "\\".join(sides))
            return None
        return sides[0] if sides else None

    def _code(self, item: DataSet, attribute: Attribute) -> tuple[str, str] | None:
        """Return system and code of an item of a code sequence, where its scheme has an address."""
        scheme = self._values.one(Attribute.CODING_SCHEME_DESIGNATOR, item) or ""
        code = self._values.one(Attribute.CODE_VALUE, item) or self._values.one(Attribute.LONG_CODE_VALUE, item) or ""
        system = CODING_SCHEMES.get(scheme)
        if system is None or not code:
            self._values.note("dicom-value-not-held", attribute, f"{scheme} {code}".strip())
            return None
        return system, code

    # --- Values ---

    def _word(
        self, attribute: Attribute, table: Mapping[str, T], says_nothing_of_ours: frozenset[str] = frozenset()
    ) -> T | None:
        """Return our term for a word of the standard; another word is set aside."""
        word = self._values.one(attribute)
        if word is None or word in table:
            return None if word is None else table[word]
        rule = "dicom-not-held" if word in says_nothing_of_ours else "dicom-word-unknown"
        self._values.note(rule, attribute, word)
        return None

    def _with(self, part: M, attribute: Attribute, name: str, value: object) -> M:
        """Return a part of the entry with one field more, if it can hold the value; ``None`` says nothing."""
        if value is None:
            return part
        try:
            return type(part).model_validate({**entry_dict(part), name: value})
        except EntryError:
            self._values.note("dicom-value-not-held", attribute, str(value))
            return part

    def _not_held(self, attribute: Attribute) -> None:
        """Set aside what the record has no place for."""
        values = self._values.several(attribute)
        if values:
            self._values.note("dicom-not-held", attribute, "\\".join(values))


def is_uid(text: str) -> bool:
    """Return whether a text is a UID (PS3.5, section 9.1)."""
    return len(text) <= _LONGEST_UID and _UID.match(text) is not None


def _day(text: str) -> str | None:
    """Return a date of DICOM as a day of the entry, ``None`` where the calendar has none."""
    parts = _DATE.fullmatch(text)
    day = "" if parts is None else "-".join(parts.groups())
    return day if _DAY_TIME.match(day) else None
