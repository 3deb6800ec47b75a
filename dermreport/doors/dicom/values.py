"""The values of a DICOM file's attributes as text: what it says once, in the kind that the standard asks.

Value representations are those of PS3.5, section 6.2; character sets those of PS3.3, C.12.1.1.2.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

from dermreport.dicom_files.module import Attribute
from dermreport.dicom_files.rules import dicom_issue
from dermreport.dicom_files.structure import Stopped, items
from dermreport.extras import loaded

if TYPE_CHECKING:
    from dermreport.dicom_files.limits import DicomLimits
    from dermreport.dicom_files.structure import DataSet, Element
    from dermreport.issues import Issue

#: Value representations whose letters are those of the file's character set.
_IN_CHARACTER_SET: Final = frozenset({"LO", "SH", "ST", "UC", "UT"})
#: Value representations that hold one text, in which a backslash is a letter as any other.
_ONE_TEXT: Final = frozenset({"ST", "UT"})
_ESCAPE: Final = b"\x1b"
#: Between values (PS3.5, section 6.4).
_SEPARATOR: Final = "\\"


class Values:
    """Reads values of a data set, and notes what can't be read.

    Attributes:
        issues: What was found.
        aside: What couldn't be held, by keyword, as written.
    """

    def __init__(self, data_set: DataSet, limits: DicomLimits) -> None:
        """Keep the data set and its character set."""
        self._data_set = data_set
        self._limits = limits
        self.issues: list[Issue] = []
        self.aside: dict[str, str] = {}
        self._encodings = self._character_sets()

    def note(self, rule: str, attribute: Attribute, value: str | None = None, **parameters: str) -> None:
        """Note an issue on an attribute, and set its value aside."""
        self.issues.append(dicom_issue(rule, f"$.{attribute.keyword}", **parameters))
        if value is not None:
            self.aside[attribute.keyword] = value

    def several(self, attribute: Attribute, data_set: DataSet | None = None) -> tuple[str, ...]:
        """Return the values of an attribute, none where it isn't there or empty.

        Args:
            attribute: Which one.
            data_set: Where: the file's own data set where none is given.
        """
        where = data_set or self._data_set
        element = self._element(attribute, where)
        if element is None:
            return ()
        raw = where.value(element)
        text = self._decoded(attribute, raw)
        if text is None:
            return ()
        if attribute.vr in _ONE_TEXT:
            return (text.rstrip(" \0"),) if text.strip(" \0") else ()
        values = tuple(value.strip(" \0") for value in text.split(_SEPARATOR))
        return values if any(values) else ()

    def one(self, attribute: Attribute, data_set: DataSet | None = None) -> str | None:
        """Return the one value of an attribute, ``None`` where there is none; of several none is taken."""
        values = self.several(attribute, data_set)
        if len(values) > 1:
            self.note("dicom-several", attribute, _SEPARATOR.join(values))
            return None
        return values[0] if values else None

    def items(self, attribute: Attribute, data_set: DataSet | None = None) -> tuple[DataSet, ...]:
        """Return the items of a sequence; one that can't be followed to its end has none."""
        where = data_set or self._data_set
        element = self._element(attribute, where)
        if element is None:
            return ()
        try:
            found = items(where, element, self._limits)
        except Stopped:
            found = ()
            self.note("dicom-value-not-held", attribute)
        if any(item.stopped is not None for item in found):
            self.note("dicom-value-not-held", attribute)
            return ()
        return found

    def holds(self, attribute: Attribute) -> bool:
        """Return whether the file has an attribute, with a value or empty."""
        return bool(self._data_set.find(attribute))

    def has(self, attribute: Attribute) -> bool:
        """Return whether the file has an attribute with a value."""
        return any(element.end > element.value for element in self._data_set.find(attribute))

    def _element(self, attribute: Attribute, where: DataSet) -> Element | None:
        """Return the element of an attribute, if it is there once, of its kind, and short enough."""
        found = where.find(attribute)
        if len(found) > 1:
            self.note("dicom-twice", attribute)
            return None
        if not found:
            return None
        element = found[0]
        if element.end - element.value > self._limits.value:
            self.note("dicom-value-too-long", attribute, limit=str(self._limits.value))
            return None
        if element.vr not in {attribute.vr, "", "UN"}:
            self.note("dicom-wrong-kind", attribute, _as_written(where.value(element)))
            return None
        return element

    def _decoded(self, attribute: Attribute, raw: bytes) -> str | None:
        encodings = self._encodings if attribute.vr in _IN_CHARACTER_SET else ("ascii",)
        text = _decoded(raw, encodings)
        if text is None:
            self.note("dicom-text-unreadable", attribute, _as_written(raw))
        return text

    def _character_sets(self) -> tuple[str, ...]:
        """Return Python's names of the file's character sets; none that is known leaves ASCII."""
        found = self._data_set.find(Attribute.SPECIFIC_CHARACTER_SET)
        if len(found) != 1 or found[0].end - found[0].value > self._limits.value:
            return ("ascii",)
        terms = self._data_set.value(found[0]).decode("ascii", "replace").split(_SEPARATOR)
        known = loaded("pydicom.charset").python_encoding
        return tuple(known.get(term.strip(" \0"), "ascii") for term in terms)


def _decoded(raw: bytes, encodings: tuple[str, ...]) -> str | None:
    """Return bytes as text, or ``None`` where a character set doesn't have them."""
    try:
        if _ESCAPE not in raw:
            return raw.decode("ascii" if encodings[0] == "iso8859" else encodings[0])
        if not _escapes_are_known(raw, encodings):
            return None
        # Changes of the character set within a text. pydicom warns and puts a sign in place of what it can't read.
        text = str(loaded("pydicom.charset").decode_bytes(raw, list(encodings), {ord(_SEPARATOR)}))
    except (LookupError, UnicodeError, UserWarning):
        return None
    return None if "\ufffd" in text or "\x1b" in text else text


def _escapes_are_known(raw: bytes, encodings: tuple[str, ...]) -> bool:
    """Return whether each escape sequence begins a character set that the file names, or ASCII."""
    sets = loaded("pydicom.charset").CODES_TO_ENCODINGS
    known = tuple(code for code, encoding in sets.items() if encoding in {*encodings, "iso8859"})
    return all((_ESCAPE + part).startswith(known) for part in raw.split(_ESCAPE)[1:])


def _as_written(raw: bytes) -> str:
    """Return bytes as ASCII, what isn't ASCII with its number."""
    return re.sub(r"[\x00-\x1f\x7f]", "", raw.decode("ascii", "backslashreplace")).strip()
