"""A view written into a DICOM file's Dermoscopic Image Module: new bytes, the given ones untouched.

Every element that isn't the module's keeps its bytes, the picture above all. A value that the file has already is
never replaced by another one: where the two differ nothing is written, for it may be the picture of another view.

The new file is a new instance: it says something else than the former one, and an archive that has the former under
its UID would keep that. No attribute of a derived image is written (Image Type, Derivation Description, Source Image
Sequence): they say that pixels were derived from others' (PS3.3, C.7.6.1.1.2 and C.12.4.1.1), and these are the same.
"""

from __future__ import annotations

import hashlib
import os
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from typing import IO, Final
from uuid import uuid5

from dermreport.dicom_files.limits import DEFAULT_DICOM_LIMITS, DicomLimits
from dermreport.dicom_files.module import (
    CONTACTS,
    COVERAGES,
    DERMOSCOPIC_PHOTOGRAPHY,
    LIGHTS,
    MEDIUMS,
    WHOLE_PICTURE,
    Attribute,
)
from dermreport.dicom_files.rules import dicom_issue
from dermreport.dicom_files.structure import META, DataSet, DicomFile, Encoding, Stopped, deflated, read_file
from dermreport.doors.dicom.reading import NUMBER, content_of, is_uid, nothing_known, said_by
from dermreport.doors.dicom.values import Values
from dermreport.examination.base import OtherCode
from dermreport.examination.observed import View
from dermreport.extras import loaded
from dermreport.fhir.ids import NAMESPACE
from dermreport.fhir.software import NAME, VERSION
from dermreport.issues import Issue, SettingsError, must_be
from dermreport.vocabulary.contacts import Contact
from dermreport.vocabulary.coverages import Coverage
from dermreport.vocabulary.lights import Light
from dermreport.vocabulary.mediums import Medium
from dermreport.vocabulary.term import Term

#: A UID that is a UUID (PS3.5, B.2).
_UUID_ROOT: Final = "2.25."
#: Characters of a decimal string (PS3.5, section 6.2).
_LONGEST_NUMBER: Final = 16
#: Fields of a view for which the module has no attribute at all.
_NO_ATTRIBUTE: Final = ("pressure", "limits", "field_of_view_mm", "note")
#: Fields of a view whose attributes stand in other modules, which belong to whoever made the picture.
_OTHER_MODULES: Final = ("equipment", "taken")
#: Who wrote the file last (PS3.10, section 7.1): this library. PS3.5, B.2 prefers a registered root, which it hasn't.
_IMPLEMENTATION: Final = f"{_UUID_ROOT}{uuid5(NAMESPACE, 'dicom-implementation').int}"
_IMPLEMENTATION_NAME: Final = f"{NAME} {VERSION}".upper()[:16]
#: The module's attributes of type 2: without a value they are there and empty.
_EMPTY_IF_UNKNOWN: Final = (
    Attribute.LIGHT_SOURCE_POLARIZATION,
    Attribute.EMITTER_COLOR_TEMPERATURE,
    Attribute.CONTACT_METHOD,
    Attribute.OPTICAL_MAGNIFICATION_FACTOR,
)
#: What the standard says of the instance with its UID (PS3.3, C.12.1): it was true of the former one.
_TRUE_OF_THE_FORMER: Final = (Attribute.INSTANCE_CREATION_DATE, Attribute.INSTANCE_CREATION_TIME)
#: Groups to which elements are added: their retired lengths (PS3.5, section 7.2) would be wrong.
_GROUP_LENGTHS: Final = frozenset({0x00080000, 0x00160000, 0x00280000})

Words = tuple[str, ...]


@dataclass(frozen=True, slots=True)
class WrittenView:
    """A DICOM file with a view in it.

    Attributes:
        content: The file's bytes; those given where there was nothing to write, ``None`` where it couldn't be done.
        dicom_uid: SOP instance UID of it, ``None`` without content.
        issues: What was left out or couldn't be written, with the standard's keywords or the view's fields as paths.
    """

    content: bytes | None = field(repr=False)
    dicom_uid: str | None
    issues: tuple[Issue, ...]


def view_into_dicom(
    file: bytes | str | os.PathLike[str] | IO[bytes],
    view: View,
    *,
    uid: str | None = None,
    limits: DicomLimits = DEFAULT_DICOM_LIMITS,
) -> WrittenView:
    """Write a view into a file's Dermoscopic Image Module.

    Args:
        file: The file's bytes, its path, or a binary stream, which is read from where it stands. It isn't changed.
        view: The view that the picture shows.
        uid: SOP instance UID of the new file; without it one is made of the file's hash and of what is written, so
            that the same call makes the same file.
        limits: How much is read at most.

    Returns:
        The new file, and what was left out. Nothing is raised for what is in the file.

    Raises:
        SettingsError: The UID isn't one.
        MissingExtraError: pydicom isn't installed.
        OSError: The path can't be read.
        TypeError: It isn't a file or a view, or the limits aren't DicomLimits.
    """
    if uid is not None and not is_uid(uid):
        raise SettingsError("view_into_dicom: uid is a DICOM unique identifier, of 64 characters at most")
    must_be("view_into_dicom: view", view, View)
    content = content_of(file, limits)
    try:
        found = read_file(content, limits)
    except Stopped as stopped:
        return WrittenView(None, None, (stopped.issue,))
    former, refused = _instance(found, limits)
    if refused:
        return WrittenView(None, None, refused)
    wanted = _Wanted(Values(found.data_set, limits), view, said_by(found, nothing_known(view.key), limits).view)
    module = wanted.elements()
    if wanted.differs:
        return WrittenView(None, None, tuple(dict.fromkeys(wanted.issues)))
    if not any(module.values()):
        return WrittenView(content, former, tuple(dict.fromkeys(wanted.issues)))
    own_uid = uid or _made_uid(content, module)
    issues = [*wanted.issues, *_notes_on_the_file(found, limits)]
    return WrittenView(_written(found, module, own_uid), own_uid, tuple(dict.fromkeys(issues)))


def _instance(file: DicomFile, limits: DicomLimits) -> tuple[str | None, tuple[Issue, ...]]:
    """Return the file's instance UID, and why nothing can be written into it."""
    data_set = file.data_set
    if data_set.stopped is not None:
        return None, (data_set.stopped, dicom_issue("dicom-not-whole", "$"))
    if not (data_set.in_order and file.meta.in_order and data_set.has_picture):
        return None, (dicom_issue("dicom-not-whole", "$"),)
    if data_set.find(Attribute.DIGITAL_SIGNATURES_SEQUENCE):
        return None, (dicom_issue("dicom-signed", f"$.{Attribute.DIGITAL_SIGNATURES_SEQUENCE.keyword}"),)
    values = Values(data_set, limits)
    uid = values.one(Attribute.SOP_INSTANCE_UID)
    if uid is None or not is_uid(uid) or values.one(Attribute.SOP_CLASS_UID) is None:
        return None, (dicom_issue("dicom-not-an-instance", f"$.{Attribute.SOP_INSTANCE_UID.keyword}"),)
    return uid, ()


class _Wanted:
    """What shall stand in the module, and what was left out.

    Attributes:
        issues: What was left out, or stands differently in the file.
        differs: Whether something stands differently in the file: then it may be the picture of another view.
    """

    def __init__(self, values: Values, view: View, said: View | None) -> None:
        self._values = values
        self._view = view
        self._said = said
        self.issues = values.issues
        self.differs = False

    def elements(self) -> dict[Attribute, Words]:
        """Return what is to be added: attributes that the file doesn't have yet, or has empty.

        Some may be empty too, as the standard asks; by themselves they say nothing, and are no reason to write.
        """
        said = {
            Attribute.LIGHT_SOURCE_POLARIZATION: self._light(),
            Attribute.CONTACT_METHOD: _word(CONTACTS, self._view.contact),
            Attribute.OPTICAL_MAGNIFICATION_FACTOR: self._magnification(),
            Attribute.PARTIAL_VIEW: self._coverage(),
        }
        added = {attribute: words for attribute, words in said.items() if self._is_new(attribute, words)}
        added |= self._immersion(added.get(Attribute.CONTACT_METHOD) or self._there(Attribute.CONTACT_METHOD))
        for attribute in _EMPTY_IF_UNKNOWN:
            if attribute not in added and not self._values.holds(attribute):
                added[attribute] = ()
        for name in _NO_ATTRIBUTE:
            if getattr(self._view, name):
                self._leave_out("dicom-no-word", name)
        for name in _OTHER_MODULES:
            if getattr(self._view, name) not in {None, getattr(self._said, name)}:
                self._leave_out("dicom-other-module", name)
        return added

    def _light(self) -> Words:
        if self._view.light is Light.UNKNOWN and not self._there(Attribute.LIGHT_SOURCE_POLARIZATION):
            self._leave_out("dicom-no-word", "light")
        return _word(LIGHTS, self._view.light)

    def _magnification(self) -> Words:
        number = self._view.magnification
        text = "" if number is None else f"{number:f}"
        if len(text) > _LONGEST_NUMBER:
            self._leave_out("dicom-number-left-out", "magnification", limit=str(_LONGEST_NUMBER))
            return ()
        return (text,) if text else ()

    def _coverage(self) -> Words:
        if self._view.covers is Coverage.WHOLE:
            return tuple(WHOLE_PICTURE)
        return _word(COVERAGES, self._view.covers)

    def _immersion(self, contact: Words) -> dict[Attribute, Words]:
        """Return the mediums that are to be added, given the contact that the new file says."""
        attribute = Attribute.IMMERSION_MEDIA
        words = tuple(word for medium in self._view.immersion for word in _word(MEDIUMS, medium))
        if len(words) < len(self._view.immersion):
            self._leave_out("dicom-no-word", "immersion")
        words = tuple(dict.fromkeys(words))
        there = self._there(attribute)
        dry = Medium.NONE in self._view.immersion or self._view.contact is Contact.NON_CONTACT
        if there and dry and not words:
            self._note_difference(attribute)
        if contact != _word(CONTACTS, Contact.CONTACT):
            if words and not _same(words, there):
                self._leave_out("dicom-medium-left-out", "immersion")
            return {}
        if self._is_new(attribute, words):
            return {attribute: words}
        # Type 2C: with contact it is there, and empty where the medium isn't known.
        return {} if self._values.holds(attribute) else {attribute: ()}

    def _is_new(self, attribute: Attribute, words: Words) -> bool:
        """Return whether the file doesn't say anything of an attribute and the view does; note where they differ."""
        there = self._there(attribute)
        if not words:
            if there:
                self._values.note("dicom-says-more", attribute)
            return False
        if not self._values.has(attribute):
            return True
        if not _same(words, there):
            self._note_difference(attribute)
        return False

    def _note_difference(self, attribute: Attribute) -> None:
        self._values.note("dicom-differs", attribute)
        self.differs = True

    def _there(self, attribute: Attribute) -> Words:
        return self._values.several(attribute)

    def _leave_out(self, rule: str, name: str, **parameters: str) -> None:
        self.issues.append(dicom_issue(rule, f"$.{name}", **parameters))


def _word(table: Mapping[str, Term], term: Term | OtherCode | None) -> Words:
    """Return the standard's word for a term of ours, none where it has none."""
    return tuple(word for word, ours in table.items() if ours is term)


def _same(one: Words, other: Words) -> bool:
    """Return whether two lists of words say the same: in any order, and numbers by their value."""
    return {_value(word) for word in one} == {_value(word) for word in other}


def _value(word: str) -> Decimal | str:
    return Decimal(word) if NUMBER.fullmatch(word) else word


def _notes_on_the_file(file: DicomFile, limits: DicomLimits) -> Iterator[Issue]:
    """Yield what whoever keeps the new file should know of it."""
    values = Values(file.data_set, limits)
    if values.one(Attribute.SOP_CLASS_UID) != DERMOSCOPIC_PHOTOGRAPHY:
        yield dicom_issue("dicom-other-class", f"$.{Attribute.SOP_CLASS_UID.keyword}")
    elif not values.has(Attribute.RECOGNIZABLE_VISUAL_FEATURES):
        yield dicom_issue("dicom-features-missing", f"$.{Attribute.RECOGNIZABLE_VISUAL_FEATURES.keyword}")
    for attribute in _TRUE_OF_THE_FORMER:
        if values.holds(attribute):
            yield dicom_issue("dicom-creation-left-out", f"$.{attribute.keyword}")


# --- The bytes -------------------------------------------------------------------------------------------------------


def _made_uid(content: bytes, module: Mapping[Attribute, Words]) -> str:
    """Return a UID of the file and of what is written into it: the same for the same, without clock or chance."""
    words = [f"{attribute.keyword}={'/'.join(words)}" for attribute, words in module.items()]
    name = " ".join(("dicom-instance", hashlib.sha256(content).hexdigest(), *sorted(words)))
    return f"{_UUID_ROOT}{uuid5(NAMESPACE, name).int}"


def _written(file: DicomFile, module: Mapping[Attribute, Words], uid: str) -> bytes:
    """Return the file with the module's attributes and the new instance's UID."""
    gone = _GROUP_LENGTHS | {attribute.tag for attribute in _TRUE_OF_THE_FORMER}
    if module.get(Attribute.CONTACT_METHOD) == _word(CONTACTS, Contact.NON_CONTACT):
        # Type 2C: without contact it isn't there, and with a value nothing would have been written.
        gone |= {Attribute.IMMERSION_MEDIA.tag}
    data_set = _merged(file.data_set, {**module, Attribute.SOP_INSTANCE_UID: (uid,)}, gone)
    meta = _merged(
        file.meta,
        {
            Attribute.MEDIA_STORAGE_SOP_INSTANCE_UID: (uid,),
            Attribute.IMPLEMENTATION_CLASS_UID: (_IMPLEMENTATION,),
            Attribute.IMPLEMENTATION_VERSION_NAME: (_IMPLEMENTATION_NAME,),
        },
        frozenset({Attribute.FILE_META_INFORMATION_GROUP_LENGTH.tag, Attribute.SOURCE_APPLICATION_ENTITY_TITLE.tag}),
    )
    length = _element(Attribute.FILE_META_INFORMATION_GROUP_LENGTH, len(meta), META)
    head = file.content[: file.meta.elements[0].start]
    return b"".join((head, length, meta, deflated(data_set) if file.deflated else data_set))


def _merged(data_set: DataSet, added: Mapping[Attribute, Words], gone: frozenset[int]) -> bytes:
    """Return the elements of a data set with others in their place, in the order of their tags."""
    pieces = {one.tag: data_set.written(one) for one in data_set.elements if one.tag not in gone}
    for attribute, words in added.items():
        pieces[attribute.tag] = _element(attribute, list(words), data_set.encoding)
    return b"".join(pieces[tag] for tag in sorted(pieces))


def _element(attribute: Attribute, value: object, encoding: Encoding) -> bytes:
    """Return an element as pydicom writes it."""
    made = loaded("pydicom.filebase").DicomBytesIO()
    made.is_implicit_VR, made.is_little_endian = encoding.implicit, not encoding.big_endian
    element = loaded("pydicom.dataelem").DataElement(attribute.tag, attribute.vr, value)
    loaded("pydicom.filewriter").write_data_element(made, element)
    return bytes(made.getvalue())
