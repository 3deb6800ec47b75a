r"""Values as text of HL7 v2.5.1: escape sequences, character sets, composites, and the forms of times and numbers.

Sources: HL7 v2.5.1, chapter 2, section 2.5.3 (delimiters), section 2.7 (escape sequences) and chapter 2A (data types),
read through the tables of the open library ``hl7apy`` and public copies of the chapters; lengths of ST, NM and FT are
those of ``hl7apy``.

What the hexadecimal bytes of ``\X..\`` mean is left to an agreement of sender and receiver by section 2.7. Here they
always are the UTF-8 bytes of one character, whatever the message's character set is.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from enum import StrEnum
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from collections.abc import Iterable
    from decimal import Decimal

ENCODING_CHARACTERS: Final = "^~\\&"
_ESCAPED: Final = {"|": "\\F\\", "^": "\\S\\", "&": "\\T\\", "~": "\\R\\", "\\": "\\E\\"}
_LINE_BREAK: Final = "\\.br\\"
#: Punctuation of print, of which the sentences have some: where the set lacks it, a plain character is read better than
#: a hexadecimal one. An issue says so.
_PLAIN: Final = {"’": "'", "\u2018": "'", "“": '"', "”": '"', "–": "-", "—": "-", "…": "...", "×": "x"}

#: Delimiters; controls, which end a segment or are shown by nobody; line and paragraph separators; and explicit
#: directional formatting (UAX #9, 2), one of which can make the rest of a line read backwards.
_SPECIAL: Final = r"|^&~\\\u0000-\u001f\u007f-\u009f\u2028\u2029\u202a-\u202e\u2066-\u2069"

#: Longest value of the data types (chapter 2A); FT and TX share theirs.
MAX_ST: Final = 199
MAX_NM: Final = 16
MAX_FT: Final = 65_536


class CharacterSet(StrEnum):
    """The character sets that a message can be written in; the value is MSH-18, of HL7 table 0211."""

    UTF_8 = "UNICODE UTF-8"
    LATIN_1 = "8859/1"
    ASCII = "ASCII"

    @property
    def codec(self) -> str:
        """Python's name of the character set."""
        return _CODECS[self]


_CODECS: Final = {CharacterSet.UTF_8: "utf-8", CharacterSet.LATIN_1: "latin-1", CharacterSet.ASCII: "ascii"}
_OUTSIDE: Final = {
    CharacterSet.UTF_8: "",
    CharacterSet.LATIN_1: r"\u0100-\U0010ffff",
    CharacterSet.ASCII: r"\u0080-\U0010ffff",
}
_is_special: Final = {one: re.compile(f"[{_SPECIAL}{outside}]") for one, outside in _OUTSIDE.items()}
#: Blanks at either end, which a reader of ST and TX may strip, and the two quotes by which a field is deleted.
_is_edge: Final = re.compile(r'\A +| +\Z|\A""\Z')


@dataclass(slots=True)
class Ink:
    """Writes texts in one character set, and remembers what the format bends.

    Attributes:
        characters: The character set.
        plain: How many characters of print were written as plain ones because the set lacks them.
        outside: How many characters were written as hexadecimal bytes because the set lacks them.
        too_long: How many texts are longer than their data type allows; they are written whole.
        divided: How many long texts were written in several repetitions.
        cut: How many times were cut to what the format's times hold.
    """

    characters: CharacterSet
    plain: int = field(default=0, init=False)
    outside: int = field(default=0, init=False)
    too_long: int = field(default=0, init=False)
    divided: int = field(default=0, init=False)
    cut: int = field(default=0, init=False)

    def st(self, text: str) -> str:
        """Return a text for a component of type ST, TX, IS or ID, escaped."""
        if len(text) > MAX_ST:
            self.too_long += 1
        return self._escaped(text)

    def ft(self, text: str) -> str:
        """Return a formatted text, escaped, line feeds as line breaks; repetitions where it is too long for one."""
        escaped = self._escaped(text).replace("\\X0A\\", _LINE_BREAK)
        if len(escaped) <= MAX_FT:
            return escaped
        self.divided += 1
        return "~".join(_divided(escaped))

    def time(self, text: str) -> str:
        """Return a time for a field that holds nothing else."""
        made = time(text)
        if not made.exact:
            self.cut += 1
        return made.value

    def _escaped(self, text: str) -> str:
        special = _is_special[self.characters]
        if special.search(text) is not None:
            text = special.sub(self._escape, text)
        if text[:1] in {" ", '"'} or text[-1:] == " ":
            text = _is_edge.sub(_all_hexadecimal, text)
        return text

    def _escape(self, found: re.Match[str]) -> str:
        character = found[0]
        known = _ESCAPED.get(character)
        if known is not None:
            return known
        if character in _PLAIN:
            self.plain += 1
            return _PLAIN[character]
        if not character.isascii() and self.characters is not CharacterSet.UTF_8:
            self.outside += 1
        return _hexadecimal(character)


def _hexadecimal(character: str) -> str:
    return f"\\X{character.encode().hex().upper()}\\"


def _all_hexadecimal(found: re.Match[str]) -> str:
    return "".join(map(_hexadecimal, found[0]))


_is_piece = re.compile(r"\\[^\\]*\\|[^\\]+").findall


def _divided(escaped: str) -> Iterable[str]:
    """Yield an escaped text in parts that one repetition holds; no escape sequence is broken."""
    part: list[str] = []
    room = MAX_FT
    for piece in _is_piece(escaped):
        rest = piece
        while len(rest) > room:
            if not rest.startswith("\\"):
                part.append(rest[:room])
                rest = rest[room:]
            yield "".join(part)
            part, room = [], MAX_FT
        part.append(rest)
        room -= len(rest)
    yield "".join(part)


def components(*values: str) -> str:
    """Join escaped components; empty ones at the end are left out."""
    return "^".join(values).rstrip("^")


def subcomponents(*values: str) -> str:
    """Join escaped subcomponents; empty ones at the end are left out."""
    return "&".join(values).rstrip("&")


def segment(name: str, fields: dict[int, str]) -> str:
    """Return a segment of its fields by their positions; those that aren't given are empty."""
    values = [fields.get(position, "") for position in range(1, max(fields) + 1)]
    return "|".join((name, *values)).rstrip("|")


#: A sequence number has four digits (SI); what is beyond goes without one, which is optional everywhere.
_LAST_NUMBER: Final = 9999


def set_id(number: int) -> str:
    """Return the number of a repeated segment."""
    return str(number) if number <= _LAST_NUMBER else ""


# --- times and numbers

_clock = re.compile(
    r"(?P<date>[0-9-]{10})T(?P<hour>..):(?P<minute>..):(?P<second>..)(?:\.(?P<fraction>[0-9]+))?(?P<zone>Z|[+-]..:..)"
).fullmatch
#: DTM holds ten-thousandths of a second.
_FRACTION: Final = 4


@dataclass(frozen=True, slots=True)
class Time:
    """A time of an entry in the forms of v2.

    Attributes:
        value: YYYY[MM[DD[HHMMSS[.SSSS]+ZZZZ]]]: as precise as it was entered.
        exact: Whether nothing of it was cut.
    """

    value: str
    exact: bool

    @property
    def data_type(self) -> str:
        """DT for a day, a month or a year, TS for what has a clock."""
        return "TS" if len(self.value) > len("YYYYMMDD") else "DT"


def time(text: str) -> Time:
    """Return a year, month, day or time with offset in the form of v2.

    A leap second becomes the second before it, and digits beyond a ten-thousandth of a second are cut.
    """
    found = _clock(text)
    if found is None:
        return Time(text.replace("-", ""), exact=True)
    second, fraction = found["second"], found["fraction"] or ""
    leaps = second == "60"
    kept = fraction[:_FRACTION]
    value = "".join(
        (
            found["date"].replace("-", ""),
            found["hour"],
            found["minute"],
            "59" if leaps else second,
            f".{kept}" if kept else "",
            "+0000" if found["zone"] == "Z" else found["zone"].replace(":", ""),
        )
    )
    return Time(value, exact=not leaps and kept == fraction)


def number(value: Decimal | int) -> str:
    """Return a number with the digits that were entered, never with an exponent."""
    return f"{value:f}" if not isinstance(value, int) else str(value)
