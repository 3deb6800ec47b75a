"""The picture in a DICOM file: its pixels as they stand there, with what says how to read them.

Only what a photograph of skin is: one frame in colours of eight bits, as it is or as JPEG. What is encoded otherwise
isn't guessed at, for colours are what a reader looks at.
"""

from __future__ import annotations

import struct
from dataclasses import dataclass, field
from enum import Enum
from typing import TYPE_CHECKING, Final

from dermreport.dicom_files.module import Attribute
from dermreport.dicom_files.structure import Stopped, fragments, read_file

if TYPE_CHECKING:
    from dermreport.dicom_files.limits import DicomLimits
    from dermreport.dicom_files.structure import DataSet

#: Uncompressed encodings in the usual byte order, and that of JPEG with eight bits (PS3.5, annex A).
_PLAIN: Final = frozenset({"1.2.840.10008.1.2", "1.2.840.10008.1.2.1", "1.2.840.10008.1.2.1.99"})
_JPEG: Final = "1.2.840.10008.1.2.4.50"
_COLOURS: Final = 3
_BITS: Final = 8
_MOST_DIGITS: Final = 12


class PixelAttribute(Enum):
    """An attribute that says how pixels are read, or what is in the picture (PS3.3, C.7.6.3 and C.7.6.1; PS3.6)."""

    SAMPLES_PER_PIXEL = 0x00280002
    PHOTOMETRIC_INTERPRETATION = 0x00280004
    PLANAR_CONFIGURATION = 0x00280006
    NUMBER_OF_FRAMES = 0x00280008
    ROWS = 0x00280010
    COLUMNS = 0x00280011
    BITS_ALLOCATED = 0x00280100
    BITS_STORED = 0x00280101
    PIXEL_REPRESENTATION = 0x00280103
    BURNED_IN_ANNOTATION = 0x00280301
    ICC_PROFILE = 0x00282000

    @property
    def tag(self) -> int:
        """The tag."""
        return self.value


@dataclass(frozen=True, slots=True)
class Pixels:
    """The one frame of a DICOM file.

    Attributes:
        width: Columns.
        height: Rows.
        data: Its pixels: a JPEG file, or three bytes a pixel.
        jpeg: Whether it is a JPEG file.
        luminance: Whether the three are luminance and two colour differences (``YBR``), else red, green and blue.
        planar: Whether each of the three stands in a plane of its own.
        profile: Its ICC profile, empty where it has none.
        written_on: Whether words stand in the picture itself, by the file.
        recognisable: Whether the picture can show who the patient is, by the file.
    """

    width: int
    height: int
    data: bytes = field(repr=False)
    jpeg: bool
    luminance: bool
    planar: bool
    profile: bytes = field(repr=False)
    written_on: bool
    recognisable: bool


class NotOnePictureError(Exception):
    """A file holds several frames."""


class OtherEncodingError(Exception):
    """A file's pixels are encoded as none of those that are read here."""


def pixels(content: bytes, limits: DicomLimits) -> Pixels:
    """Return the picture in a DICOM file.

    Args:
        content: The bytes of the file.
        limits: How much is read at most.

    Raises:
        Stopped: It can't be read to its end.
        NotOnePictureError: It holds several frames.
        OtherEncodingError: It isn't one frame in colours of eight bits, plain or as JPEG.
        MissingExtraError: pydicom isn't installed.
    """
    file = read_file(content, limits)
    data_set = file.data_set
    if data_set.stopped is not None or not data_set.in_order:
        raise Stopped("dicom-broken")
    syntax = _text(file.meta, Attribute.TRANSFER_SYNTAX_UID)
    frames = _text(data_set, PixelAttribute.NUMBER_OF_FRAMES) or "1"
    if not frames.isascii() or not frames.isdigit() or len(frames) > _MOST_DIGITS:
        raise OtherEncodingError
    if int(frames) != 1:
        raise NotOnePictureError
    said = {attribute: _number(data_set, attribute) for attribute in _NUMBERS}
    interpretation = _text(data_set, PixelAttribute.PHOTOMETRIC_INTERPRETATION)
    if said[PixelAttribute.SAMPLES_PER_PIXEL] != _COLOURS or any(
        said[one] != wanted for one, wanted in _WANTED.items()
    ):
        raise OtherEncodingError
    found = data_set.find(Attribute.PIXEL_DATA)
    if len(found) != 1 or found[0].undefined is not (syntax == _JPEG):
        raise OtherEncodingError
    if syntax == _JPEG and interpretation in {"RGB", "YBR_FULL", "YBR_FULL_422"}:
        data = b"".join(fragments(data_set, found[0], limits)[1:])
    elif syntax in _PLAIN and interpretation in {"RGB", "YBR_FULL"}:
        data = data_set.value(found[0])
    else:
        raise OtherEncodingError
    profile = data_set.find(PixelAttribute.ICC_PROFILE)
    return Pixels(
        width=said[PixelAttribute.COLUMNS],
        height=said[PixelAttribute.ROWS],
        data=data,
        jpeg=syntax == _JPEG,
        luminance=interpretation != "RGB",
        planar=said[PixelAttribute.PLANAR_CONFIGURATION] == 1,
        profile=data_set.value(profile[0]) if profile else b"",
        written_on=_text(data_set, PixelAttribute.BURNED_IN_ANNOTATION) == "YES",
        recognisable=_text(data_set, Attribute.RECOGNIZABLE_VISUAL_FEATURES) == "YES",
    )


_WANTED: Final = {
    PixelAttribute.BITS_ALLOCATED: _BITS,
    PixelAttribute.BITS_STORED: _BITS,
    PixelAttribute.PIXEL_REPRESENTATION: 0,
}
_NUMBERS: Final = (
    PixelAttribute.SAMPLES_PER_PIXEL,
    PixelAttribute.PLANAR_CONFIGURATION,
    PixelAttribute.ROWS,
    PixelAttribute.COLUMNS,
    *_WANTED,
)


def _number(data_set: DataSet, attribute: PixelAttribute) -> int:
    """Return a value of two bytes (US), -1 where there is none."""
    found = data_set.find(attribute)
    raw = data_set.value(found[0]) if found else b""
    return int(struct.unpack(f"{data_set.encoding.order}H", raw)[0]) if len(raw) == struct.calcsize("H") else -1


def _text(data_set: DataSet, attribute: PixelAttribute | Attribute) -> str:
    found = data_set.find(attribute)
    return data_set.value(found[0]).strip(b" \0").decode("ascii", "replace") if found else ""
