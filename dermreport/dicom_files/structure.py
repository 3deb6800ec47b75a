"""The structure of a DICOM file: where each element begins and ends, found without decoding a value.

The walk is ours, because a file may be hostile: it never recurses, never looks beyond the bytes that it was given,
stops at its limits, notices a file that ends too early, and touches none of the patient's values, so that none can
end in a warning. It also tells the exact bytes of each element, so that writing one leaves the others as they are.
What an element holds is pydicom's matter where it takes more than ASCII.

The encoding is that of PS3.5, sections 7.1 (elements) and 7.5 (sequences), and PS3.10, section 7.1 (the file).
"""

from __future__ import annotations

import struct
import zlib
from dataclasses import dataclass, field
from itertools import pairwise
from typing import TYPE_CHECKING, Final, NamedTuple, Protocol

from dermreport.dicom_files.module import PICTURES, Attribute
from dermreport.dicom_files.rules import dicom_issue
from dermreport.extras import loaded

if TYPE_CHECKING:
    from collections.abc import Iterator

    from dermreport.dicom_files.limits import DicomLimits
    from dermreport.issues import Issue

_PREAMBLE: Final = 128
_PREFIX: Final = b"DICM"
_BEGIN: Final = _PREAMBLE + len(_PREFIX)
_META_GROUP: Final = 2
_UNDEFINED: Final = 0xFFFFFFFF
_ITEM: Final = 0xFFFEE000
_ITEM_END: Final = 0xFFFEE00D
_SEQUENCE_END: Final = 0xFFFEE0DD
_DELIMITERS: Final = frozenset({_ITEM, _ITEM_END, _SEQUENCE_END})
_SHORT_HEADER: Final = 8
_LONG_HEADER: Final = 12
#: What may have no length of its own: sequences, what isn't known, and fragments of pixel data.
_MAY_BE_UNDEFINED: Final = frozenset({"SQ", "UN", "OB", "OW", ""})


class Tagged(Protocol):
    """An attribute."""

    @property
    def tag(self) -> int:
        """Group and element number as one number."""
        ...


class Encoding(NamedTuple):
    """How elements are encoded (PS3.5, annex A)."""

    implicit: bool
    big_endian: bool

    @property
    def order(self) -> str:
        """The byte order, as ``struct`` writes it."""
        return ">" if self.big_endian else "<"


#: The file's meta information, always (PS3.10, section 7.1).
META: Final = Encoding(implicit=False, big_endian=False)
#: What stands in a value of unknown representation without length (PS3.5, section 6.2.2).
_INSIDE_UNKNOWN: Final = Encoding(implicit=True, big_endian=False)


class Element(NamedTuple):
    """Where an element stands.

    Attributes:
        tag: Group and element number as one number.
        vr: Value representation as written, ``""`` where the encoding writes none.
        start: Where the element begins.
        value: Where its value begins.
        end: Where its value ends; of one without length the delimiter is part of it.
        undefined: Whether it has no length of its own.
    """

    tag: int
    vr: str
    start: int
    value: int
    end: int
    undefined: bool


class Stopped(Exception):  # noqa: N818 - not an error to whoever reads the file: the issue says what was found
    """The walk can't go on; the issue says why."""

    def __init__(self, rule: str, **parameters: str) -> None:
        """Keep the issue."""
        super().__init__(rule)
        self.issue: Issue = dicom_issue(rule, "$", **parameters)


class _Walk:
    """A walk over elements, which counts its steps."""

    def __init__(self, data: bytes, limits: DicomLimits) -> None:
        self.data = data
        self._limits = limits
        self._left = limits.elements
        self._long = frozenset(str(vr) for vr in loaded("pydicom.valuerep").EXPLICIT_VR_LENGTH_32)

    def elements(self, position: int, end: int, encoding: Encoding) -> Iterator[Element]:
        """Yield the elements of a data set; what stands inside of them is stepped over.

        Raises:
            Stopped: The walk can't go on.
        """
        while position < end:
            element = self._header(position, end, encoding)
            if element.undefined:
                inner = _INSIDE_UNKNOWN if element.vr == "UN" else encoding
                element = element._replace(end=self._after_sequence(element.value, end, inner))
            yield element
            position = element.end

    def items(self, element: Element, encoding: Encoding) -> Iterator[tuple[int, int]]:
        """Yield where the data sets of a sequence's items begin and end.

        Raises:
            Stopped: The walk can't go on.
        """
        position = element.value
        while position < element.end:
            tag, length = self._item(position, element.end, encoding)
            position += _SHORT_HEADER
            if tag == _SEQUENCE_END and element.undefined:
                return
            if tag != _ITEM:
                raise Stopped("dicom-broken")
            if length == _UNDEFINED:
                after = self._after_item(position, element.end, encoding)
                yield position, after - _SHORT_HEADER
                position = after
            else:
                yield position, position + length
                position += length

    def _step(self) -> None:
        self._left -= 1
        if self._left < 0:
            raise Stopped("dicom-too-many", limit=str(self._limits.elements))

    def _header(self, position: int, end: int, encoding: Encoding) -> Element:
        """Return an element whose length is known to lie inside; without length its end is where its value begins."""
        self._step()
        if end - position < _SHORT_HEADER:
            raise Stopped("dicom-truncated")
        group, number = struct.unpack_from(f"{encoding.order}HH", self.data, position)
        tag, vr, value = group << 16 | number, "", position + _SHORT_HEADER
        if tag in _DELIMITERS:
            raise Stopped("dicom-broken")
        if encoding.implicit:
            (length,) = struct.unpack_from(f"{encoding.order}L", self.data, position + 4)
        else:
            written = self.data[position + 4 : position + 6]
            if not (written.isalpha() and written.isupper()):
                raise Stopped("dicom-broken")
            vr = written.decode("ascii")
            if vr in self._long:
                value = position + _LONG_HEADER
                if value > end:
                    raise Stopped("dicom-truncated")
                (length,) = struct.unpack_from(f"{encoding.order}L", self.data, position + 8)
            else:
                (length,) = struct.unpack_from(f"{encoding.order}H", self.data, position + 6)
        if length == _UNDEFINED and vr in _MAY_BE_UNDEFINED:
            return Element(tag, vr, position, value, value, undefined=True)
        if length > end - value:
            raise Stopped("dicom-truncated")
        return Element(tag, vr, position, value, value + length, undefined=False)

    def _item(self, position: int, end: int, encoding: Encoding) -> tuple[int, int]:
        """Return tag and length of an item or delimiter; the length of an item lies inside."""
        self._step()
        if end - position < _SHORT_HEADER:
            raise Stopped("dicom-truncated")
        group, number, length = struct.unpack_from(f"{encoding.order}HHL", self.data, position)
        tag = group << 16 | number
        if tag == _ITEM and length != _UNDEFINED and length > end - position - _SHORT_HEADER:
            raise Stopped("dicom-truncated")
        return tag, length

    def _after_sequence(self, position: int, end: int, encoding: Encoding) -> int:
        """Return where a sequence without length ends, behind its delimiter."""
        return self._after([_Open(_SEQUENCE_END, encoding)], position, end)

    def _after_item(self, position: int, end: int, encoding: Encoding) -> int:
        """Return where an item without length ends, behind its delimiter."""
        return self._after([_Open(_ITEM_END, encoding)], position, end)

    def _after(self, opened: list[_Open], position: int, end: int) -> int:
        """Step over everything until what was opened first is closed."""
        while opened:
            if len(opened) > self._limits.depth:
                raise Stopped("dicom-too-deep", limit=str(self._limits.depth))
            closes, encoding = opened[-1]
            tag, length = self._item(position, end, encoding)
            if tag == closes:
                opened.pop()
                position += _SHORT_HEADER
            elif closes == _SEQUENCE_END:
                if tag != _ITEM:
                    raise Stopped("dicom-broken")
                position += _SHORT_HEADER
                if length == _UNDEFINED:
                    opened.append(_Open(_ITEM_END, encoding))
                else:
                    position += length
            else:
                element = self._header(position, end, encoding)
                position = element.end
                if element.undefined:
                    opened.append(_Open(_SEQUENCE_END, _INSIDE_UNKNOWN if element.vr == "UN" else encoding))
        return position


class _Open(NamedTuple):
    """Something without length that isn't closed yet: the tag that closes it, and how its content is encoded."""

    closes: int
    encoding: Encoding


@dataclass(frozen=True, slots=True)
class DataSet:
    """Elements of the file, or of an item in it, by tag.

    Attributes:
        data: The bytes in which they stand.
        encoding: How they are encoded.
        elements: In the order of the file.
        stopped: Why the walk ended early, or ``None``.
    """

    data: bytes = field(repr=False)
    encoding: Encoding
    elements: tuple[Element, ...]
    stopped: Issue | None

    def find(self, attribute: Tagged) -> tuple[Element, ...]:
        """Return the elements of an attribute: none, one, or more in a file that repeats it."""
        return tuple(one for one in self.elements if one.tag == attribute.tag)

    def value(self, element: Element) -> bytes:
        """Return the value of an element as it stands in the file."""
        return self.data[element.value : element.end]

    def written(self, element: Element) -> bytes:
        """Return an element as it stands in the file, header and all."""
        return self.data[element.start : element.end]

    @property
    def has_picture(self) -> bool:
        """Whether there is a picture in it."""
        return any(self.find(attribute) for attribute in PICTURES)

    @property
    def in_order(self) -> bool:
        """Whether tags rise, as the standard asks, so that none is there twice."""
        tags = [element.tag for element in self.elements]
        return all(before < after for before, after in pairwise(tags))


@dataclass(frozen=True, slots=True)
class DicomFile:
    """A DICOM file.

    Attributes:
        content: Its bytes.
        meta: Its meta information.
        data_set: Its data set.
        deflated: Whether the data set is deflated in the file.
    """

    content: bytes = field(repr=False)
    meta: DataSet
    data_set: DataSet
    deflated: bool


def is_dicom(content: bytes) -> bool:
    """Return whether bytes begin as a DICOM file does (PS3.10, section 7.1)."""
    return content[_PREAMBLE:_BEGIN] == _PREFIX


def read_file(content: bytes, limits: DicomLimits) -> DicomFile:
    """Return where everything in a file stands.

    Args:
        content: The bytes of the file.
        limits: How much is read at most.

    Returns:
        The file; what couldn't be followed to its end says why.

    Raises:
        Stopped: It isn't a DICOM file, or one that can't be read at all.
        MissingExtraError: pydicom isn't installed.
    """
    loaded("pydicom.uid")
    if len(content) > limits.size:
        raise Stopped("dicom-too-large", limit=str(limits.size))
    if not is_dicom(content):
        raise Stopped("dicom-not-a-file")
    walk = _Walk(content, limits)
    meta = _meta(walk, _BEGIN)
    after = meta.elements[-1].end if meta.elements else _BEGIN
    encoding, deflated = _transfer_syntax(meta)
    if deflated:
        data = _inflated(content[after:], limits)
        return DicomFile(content, meta, _data_set(_Walk(data, limits), 0, len(data), encoding), deflated)
    return DicomFile(content, meta, _data_set(walk, after, len(content), encoding), deflated)


def items(data_set: DataSet, element: Element, limits: DicomLimits) -> tuple[DataSet, ...]:
    """Return the items of a sequence.

    Raises:
        Stopped: The sequence can't be followed.
    """
    walk = _Walk(data_set.data, limits)
    encoding = _INSIDE_UNKNOWN if element.vr == "UN" else data_set.encoding
    return tuple(_data_set(walk, begin, end, encoding) for begin, end in list(walk.items(element, encoding)))


def fragments(data_set: DataSet, element: Element, limits: DicomLimits) -> tuple[bytes, ...]:
    """Return the pieces of encapsulated pixel data, the table of offsets first (PS3.5, A.4).

    Raises:
        Stopped: They can't be followed.
    """
    ranges = _Walk(data_set.data, limits).items(element, data_set.encoding)
    return tuple(data_set.data[begin:end] for begin, end in ranges)


def _data_set(walk: _Walk, begin: int, end: int, encoding: Encoding) -> DataSet:
    found: list[Element] = []
    stopped = None
    try:
        for element in walk.elements(begin, end, encoding):
            found.append(element)  # noqa: PERF402 - what was found before the walk stopped is kept
    except Stopped as reason:
        stopped = reason.issue
    return DataSet(walk.data, encoding, tuple(found), stopped)


def _meta(walk: _Walk, begin: int) -> DataSet:
    """Return the meta information: the elements of group 2, which come first."""
    found: list[Element] = []
    try:
        for element in walk.elements(begin, len(walk.data), META):
            if element.tag >> 16 != _META_GROUP:
                break
            found.append(element)
    except Stopped:
        # Whether it is the meta information or what follows that can't be read shows at the transfer syntax.
        pass
    return DataSet(walk.data, META, tuple(found), None)


def _transfer_syntax(meta: DataSet) -> tuple[Encoding, bool]:
    """Return how the data set is encoded, and whether it is deflated."""
    found = meta.find(Attribute.TRANSFER_SYNTAX_UID)
    text = meta.value(found[0]).rstrip(b"\0 ").decode("ascii", "replace") if len(found) == 1 else ""
    uids = loaded("pydicom.uid")
    if text not in uids.UID_dictionary or text in _ELSEWHERE or not uids.UID(text).is_transfer_syntax:
        raise Stopped("dicom-encoding-unknown")
    uid = uids.UID(text)
    return Encoding(implicit=uid.is_implicit_VR, big_endian=not uid.is_little_endian), uid.is_deflated


#: Transfer syntaxes that pydicom knows and whose data set isn't in a file as the others' (PS3.5, A.6 to A.8; retired).
_ELSEWHERE: Final = frozenset(
    {
        "1.2.840.10008.1.20",  # Papyrus 3, retired
        "1.2.840.10008.1.2.4.94",  # JPIP Referenced
        "1.2.840.10008.1.2.4.95",  # JPIP Referenced Deflate
        "1.2.840.10008.1.2.4.204",  # JPIP HTJ2K Referenced
        "1.2.840.10008.1.2.4.205",  # JPIP HTJ2K Referenced Deflate
    }
)


def _inflated(content: bytes, limits: DicomLimits) -> bytes:
    """Return what a deflated data set holds, never more than the limit."""
    opened = zlib.decompressobj(-zlib.MAX_WBITS)
    try:
        data = opened.decompress(content, limits.inflated + 1)
    except zlib.error:
        raise Stopped("dicom-not-inflated", limit=str(limits.inflated)) from None
    if not opened.eof or len(data) > limits.inflated:
        raise Stopped("dicom-not-inflated", limit=str(limits.inflated))
    return data


def deflated(data: bytes) -> bytes:
    """Return a data set deflated, with a zero where its length would be odd (PS3.5, A.5)."""
    packer = zlib.compressobj(wbits=-zlib.MAX_WBITS)
    packed = packer.compress(data) + packer.flush()
    return packed + b"\0" * (len(packed) % 2)
