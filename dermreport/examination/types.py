r"""The scalar types of an entry: text, keys, numbers and times that keep their digits, offset and precision.

Each type is strict about kind (``"6"`` is no number, ``1`` is no text) and says its limits in the JSON Schema
by the same pattern that checks it here. So that every engine reads a pattern alike, it ends in ``(?![\s\S])``
(``$`` lets a last line feed pass), and digits and blanks are written out (``\d`` and ``\s`` differ by language).
"""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import date
from decimal import Decimal
from functools import cached_property
from typing import Annotated, LiteralString

from pydantic import AfterValidator, BeforeValidator, Field, Strict, WithJsonSchema
from pydantic_core import PydanticCustomError

_END = r"(?![\s\S])"
_DATE = (
    r"(?!0000)(?:"
    r"[0-9]{4}-(?:0[13578]|1[02])-(?:0[1-9]|[12][0-9]|3[01])"
    r"|[0-9]{4}-(?:0[469]|11)-(?:0[1-9]|[12][0-9]|30)"
    r"|[0-9]{4}-02-(?:0[1-9]|1[0-9]|2[0-8])"
    r"|(?:[0-9][0-9](?:0[48]|[2468][048]|[13579][26])|(?:[02468][048]|[13579][26])00)-02-29"
    r")"
)
_CLOCK = (
    r"T(?:[01][0-9]|2[0-3]):[0-5][0-9]:(?:[0-5][0-9]|60)(?:\.[0-9]{1,9})?"
    r"(?:Z|[+-](?:(?:0[0-9]|1[0-3]):[0-5][0-9]|14:00))"
)
#: Every blank of Unicode, inside a character class.
_BLANK = r"\u0009-\u000d\u0020\u0085\u00a0\u1680\u2000-\u200a\u2028\u2029\u202f\u205f\u3000\ufeff"
#: What XML 1.0 can't hold, inside a character class.
_NOT_XML = r"\u0000-\u0008\u000b\u000c\u000e-\u001f\ud800-\udfff\ufffe\uffff"

TEXT_PATTERN = rf"^(?=[\s\S]*[^{_BLANK}])[^{_NOT_XML}]*" + _END
KEY_PATTERN = r"^[A-Za-z0-9][A-Za-z0-9._-]{0,63}" + _END
#: An address of one of these schemes is no place: it holds what it means, or code.
_NO_PLACE = r"(?!(?:[Dd][Aa][Tt][Aa]|[Jj][Aa][Vv][Aa][Ss][Cc][Rr][Ii][Pp][Tt]|[Vv][Bb][Ss][Cc][Rr][Ii][Pp][Tt]):)"
URI_PATTERN = rf"^[A-Za-z][A-Za-z0-9+.-]*:[^{_BLANK}{_NOT_XML}|]+" + _END

ADDRESS_PATTERN = f"^{_NO_PLACE}{URI_PATTERN.removeprefix('^')}"


def _reference_pattern(kinds: str) -> str:
    """Return the pattern of a literal reference to resources of these kinds, or of an absolute one to anything."""
    return (
        rf"^(?:{kinds}/[A-Za-z0-9.-]{{1,64}}(?:/_history/[A-Za-z0-9.-]{{1,64}})?"
        rf"|(?:https?://|urn:)[^{_BLANK}{_NOT_XML}|]+)" + _END
    )


REFERENCE_PATTERN = _reference_pattern("[A-Z][A-Za-z]{1,63}")
PATIENT_PATTERN = _reference_pattern("Patient")
EXAMINER_PATTERN = _reference_pattern("(?:Practitioner|PractitionerRole)")
TIME_PATTERN = rf"^(?:(?!0000)[0-9]{{4}}(?:-(?:0[1-9]|1[0-2]))?|{_DATE}(?:{_CLOCK})?)" + _END
DAY_TIME_PATTERN = rf"^{_DATE}(?:{_CLOCK})?" + _END
INSTANT_PATTERN = rf"^{_DATE}{_CLOCK}" + _END
UUID_PATTERN = r"^(?:urn:uuid:)?[0-9a-f]{8}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{12}" + _END
MEDIA_TYPE_PATTERN = r"^[a-z]{1,32}/[A-Za-z0-9][A-Za-z0-9!#$&^_.+-]{0,126}" + _END
HEX_PATTERN = r"^(?:[0-9a-f]{40}|[0-9a-f]{64})" + _END
OID_PATTERN = r"^[0-2](?:\.(?:0|[1-9][0-9]*))+" + _END

MAX_TEXT = 20_000
MAX_SHORT = 255
#: xs:decimal, the number of FHIR's XML, must hold 18 digits; a float's shortest text has at most 17.
MAX_DIGITS = 18
#: Decimal places of the smallest float that is left over where two measures cancel, and some to spare.
MAX_PLACES = 40
#: No number of an entry is longer before its decimal point.
MAX_EXPONENT = 12


_INSTANT_FORM = "2026-03-04T10:30:00+01:00"
_DAY_FORM = f"2026-03-04 or {_INSTANT_FORM}"
_PARTIAL_FORM = f"2026, 2026-03, {_DAY_FORM}"


class _Matches:
    """A check of a text against one pattern; the error names its kind and, where fields differ, the form asked."""

    def __init__(self, kind: LiteralString, pattern: str, form: str = "") -> None:
        self.kind: LiteralString = kind
        self.pattern = pattern
        self.context = {"form": form} if form else None

    @cached_property
    def match(self) -> Callable[[str], re.Match[str] | None]:
        """The compiled pattern, made when the first text is checked: an import needs none."""
        return re.compile(self.pattern).match

    def __call__(self, value: str) -> str:
        if self.match(value) is None:
            raise PydanticCustomError(self.kind, "The text doesn't have the form of this field.", self.context)
        return value


def _too_long() -> PydanticCustomError:
    return PydanticCustomError("number_too_long", "The number has too many digits.")


def _exact_decimal(value: object) -> object:
    """Take a number by its digits as written; a float by its shortest text; never a text or a truth value."""
    if type(value) is int:
        if abs(value) >= 10**MAX_DIGITS:
            raise _too_long()
        value = Decimal(value)
    elif type(value) is float:
        value = Decimal(repr(value))
    if type(value) is Decimal and value.is_finite():
        _, digits, exponent = value.as_tuple()
        if len(digits) > MAX_DIGITS or not -MAX_PLACES <= int(exponent) <= MAX_EXPONENT:
            raise _too_long()
        if int(exponent) > 0:
            return Decimal(f"{value:f}")
    return value


def _whole_number(value: object) -> object:
    """Take 3.0 for 3, as JSON Schema does; leave the rest to the strict type."""
    if type(value) is float and value.is_integer():
        return int(value)
    if type(value) is Decimal and value.is_finite():
        if value.adjusted() > MAX_DIGITS:
            raise _too_long()
        if value == value.to_integral_value():
            return int(value)
    return value


def _isoformat(value: object) -> object:
    """Take a date, or a datetime, by its ISO text; a datetime without an offset is then refused by its form."""
    return value.isoformat() if isinstance(value, date) else value


def _schema(title: str, pattern: str, longest: int, description: str) -> WithJsonSchema:
    return WithJsonSchema(
        {"title": title, "description": description, "type": "string", "pattern": pattern, "maxLength": longest}
    )


def _number_schema(title: str, kind: str, description: str, **limits: int) -> WithJsonSchema:
    return WithJsonSchema({"title": title, "description": description, "type": kind, **limits})


Text = Annotated[
    str,
    Strict(),
    Field(max_length=MAX_TEXT),
    AfterValidator(_Matches("text_not_allowed", TEXT_PATTERN)),
    _schema("Text", TEXT_PATTERN, MAX_TEXT, "Free text: not blank, no control character that XML can't hold."),
]
ShortText = Annotated[
    str,
    Strict(),
    Field(max_length=MAX_SHORT),
    AfterValidator(_Matches("text_not_allowed", TEXT_PATTERN)),
    _schema("ShortText", TEXT_PATTERN, MAX_SHORT, "Short text: not blank, no control character that XML can't hold."),
]
Key = Annotated[
    str,
    Strict(),
    AfterValidator(_Matches("key_not_allowed", KEY_PATTERN)),
    _schema("Key", KEY_PATTERN, 64, "A key of the entry's own: letters, digits, dot, hyphen, underscore."),
]
Uri = Annotated[
    str,
    Strict(),
    Field(max_length=MAX_SHORT),
    AfterValidator(_Matches("uri_not_allowed", URI_PATTERN)),
    _schema("Uri", URI_PATTERN, MAX_SHORT, "An absolute URI."),
]
Address = Annotated[
    str,
    Strict(),
    Field(max_length=2048),
    AfterValidator(_Matches("uri_not_allowed", ADDRESS_PATTERN)),
    _schema(
        "Address", ADDRESS_PATTERN, 2048, "The absolute URI at which a picture is kept; never fetched by this library."
    ),
]
HostReference = Annotated[
    str,
    Strict(),
    Field(max_length=MAX_SHORT),
    AfterValidator(_Matches("reference_not_allowed", REFERENCE_PATTERN)),
    _schema(
        "HostReference",
        REFERENCE_PATTERN,
        MAX_SHORT,
        "A literal FHIR reference of the host: Type/id, or an absolute URL.",
    ),
]
PatientReference = Annotated[
    str,
    Strict(),
    Field(max_length=MAX_SHORT),
    AfterValidator(_Matches("reference_not_allowed", PATIENT_PATTERN)),
    _schema(
        "PatientReference",
        PATIENT_PATTERN,
        MAX_SHORT,
        "A literal FHIR reference of the host: Patient/id, or an absolute URL.",
    ),
]
ExaminerReference = Annotated[
    str,
    Strict(),
    Field(max_length=MAX_SHORT),
    AfterValidator(_Matches("reference_not_allowed", EXAMINER_PATTERN)),
    _schema(
        "ExaminerReference",
        EXAMINER_PATTERN,
        MAX_SHORT,
        "A literal FHIR reference of the host: Practitioner/id or PractitionerRole/id, or an absolute URL.",
    ),
]
PartialTime = Annotated[
    str,
    BeforeValidator(_isoformat),
    Strict(),
    AfterValidator(_Matches("time_not_allowed", TIME_PATTERN, _PARTIAL_FORM)),
    _schema(
        "PartialTime", TIME_PATTERN, 40, "A year, a month, a day, or a time with seconds and offset; kept as written."
    ),
]
DayTime = Annotated[
    str,
    BeforeValidator(_isoformat),
    Strict(),
    AfterValidator(_Matches("time_not_allowed", DAY_TIME_PATTERN, _DAY_FORM)),
    _schema("DayTime", DAY_TIME_PATTERN, 40, "A day, or a time with seconds and offset; kept as written."),
]
Instant = Annotated[
    str,
    BeforeValidator(_isoformat),
    Strict(),
    AfterValidator(_Matches("time_not_allowed", INSTANT_PATTERN, _INSTANT_FORM)),
    _schema("Instant", INSTANT_PATTERN, 40, "A time with seconds and offset; kept as written."),
]
MediaType = Annotated[
    str,
    Strict(),
    AfterValidator(_Matches("media_type_not_allowed", MEDIA_TYPE_PATTERN)),
    _schema("MediaType", MEDIA_TYPE_PATTERN, 160, "A media type, as image/jpeg."),
]
HexDigest = Annotated[
    str,
    Strict(),
    AfterValidator(_Matches("hash_not_allowed", HEX_PATTERN)),
    _schema("HexDigest", HEX_PATTERN, 64, "A hash in lower-case hexadecimal: 40 digits for SHA-1, 64 for SHA-256."),
]
DicomUid = Annotated[
    str,
    Strict(),
    Field(max_length=64),
    AfterValidator(_Matches("uid_not_allowed", OID_PATTERN)),
    _schema("DicomUid", OID_PATTERN, 64, "A DICOM unique identifier."),
]

Millimetres = Annotated[
    Decimal,
    BeforeValidator(_exact_decimal),
    Strict(),
    Field(ge=0, le=2500),
    _number_schema("Millimetres", "number", "Millimetres; digits kept.", minimum=0, maximum=2500),
]
Percent = Annotated[
    Decimal,
    BeforeValidator(_exact_decimal),
    Strict(),
    Field(ge=0, le=100),
    _number_schema("Percent", "number", "Per cent; digits kept.", minimum=0, maximum=100),
]
Share = Annotated[
    Decimal,
    BeforeValidator(_exact_decimal),
    Strict(),
    Field(ge=0, le=1),
    _number_schema("Share", "number", "From 0 to 1; digits kept.", minimum=0, maximum=1),
]
Magnification = Annotated[
    Decimal,
    BeforeValidator(_exact_decimal),
    Strict(),
    Field(gt=0, le=10000),
    _number_schema("Magnification", "number", "Times; digits kept.", exclusiveMinimum=0, maximum=10000),
]
Years = Annotated[
    int,
    BeforeValidator(_whole_number),
    Strict(),
    Field(ge=0, le=200),
    _number_schema("Years", "integer", "Whole years.", minimum=0, maximum=200),
]
Days = Annotated[
    int,
    BeforeValidator(_whole_number),
    Strict(),
    Field(ge=0, le=73000),
    _number_schema("Days", "integer", "Whole days.", minimum=0, maximum=73000),
]
Count = Annotated[
    int,
    BeforeValidator(_whole_number),
    Strict(),
    Field(ge=0, le=10000),
    _number_schema("Count", "integer", "A count.", minimum=0, maximum=10000),
]
Revision = Annotated[
    int,
    BeforeValidator(_whole_number),
    Strict(),
    Field(ge=1, le=100_000),
    _number_schema("Revision", "integer", "1, 2, …: rises with content.", minimum=1, maximum=100_000),
]
Segments = Annotated[
    int,
    BeforeValidator(_whole_number),
    Strict(),
    Field(ge=0, le=8),
    _number_schema("Segments", "integer", "Eighths of the border, 0 to 8.", minimum=0, maximum=8),
]
Bytes = Annotated[
    int,
    BeforeValidator(_whole_number),
    Strict(),
    Field(ge=0, le=2**40),
    _number_schema("Bytes", "integer", "Bytes.", minimum=0, maximum=2**40),
]
