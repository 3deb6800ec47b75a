r"""HL7 v2 messages in tests: checked by ``hl7apy``, and read by a small reader that shares nothing with the door.

``hl7apy`` reads every OBX-5 as a short text whatever OBX-2 says, so the message is parsed strictly without these
fields, and each of them strictly by its data type.
"""

from __future__ import annotations

import re
from pathlib import Path
from typing import NamedTuple

from hl7apy.consts import VALIDATION_LEVEL
from hl7apy.core import Message
from hl7apy.parser import parse_components, parse_message

#: What a letter begins with; its content is nobody's matter here.
PDF = b"%PDF-1.7 letter"

VERSION = "2.5.1"
STRICT = VALIDATION_LEVEL.STRICT
#: Delimiters of MSH-1 and MSH-2, with which the library escapes nothing: texts come in as they are in the message.
_DELIMITERS = {"FIELD": "|", "COMPONENT": "^", "SUBCOMPONENT": "&", "REPETITION": "~", "ESCAPE": "\\"}


def parsed(text: str, warnings: Path) -> Message:
    """Return the message as ``hl7apy`` reads and validates it, strictly; its warnings go to a file."""
    lines = text.removesuffix("\r").split("\r")
    bare = []
    for line in lines:
        fields = line.split("|")
        if fields[0] == "OBX" and len(fields) > 5 and fields[2]:
            for value in fields[5].split("~"):
                parse_components(value, fields[2], VERSION, _DELIMITERS, STRICT)
            fields[5] = "x"
        bare.append("|".join(fields))
    message = parse_message("\r".join(bare), validation_level=STRICT, find_groups=True)
    message.validate(report_file=str(warnings))
    return message


#: Systems that are ours are local ones (99zzz); the other two joined table 0396, which is kept outside the versions,
#: later.
_NOT_IN_THE_TABLE = re.compile(r"Warning: Value (99dr[a-z]+|UCUM|SCT) not in table HL70396 in element ")


def surprises(warnings: Path) -> list[str]:
    """Return the warnings that nobody expects."""
    lines = warnings.read_text(encoding="utf-8").splitlines()
    return [line for line in lines if _NOT_IN_THE_TABLE.match(line) is None]


# --- the second reader

#: HL7 v2.5.1, section 2.7; the bytes of \X..\ are UTF-8 by the agreement that how-to/hl7v2.md states.
_ESCAPES = {"F": "|", "S": "^", "T": "&", "R": "~", "E": "\\", ".br": "\n"}


def unescaped(text: str) -> str:
    """Return an escaped text as it was entered."""

    def one(found: re.Match[str]) -> str:
        code = found[1]
        return bytes.fromhex(code[1:]).decode() if code.startswith("X") else _ESCAPES[code]

    return re.sub(r"\\([^\\]*)\\", one, text)


def as_sent(text: str, codec: str) -> str:
    """Return a text with the punctuation of print that a set lacks as plain characters, as an issue says it is sent."""
    plain = dict(zip("’\u2018“”–—…×", ["'", "'", '"', '"', "-", "-", "...", "x"], strict=True))
    return "".join(plain.get(one, one) if not one.encode(codec, "ignore") else one for one in text)


class Row(NamedTuple):
    """One OBX, as the message has it, with the notes under it."""

    data_type: str
    code: list[str]
    sub_id: str
    values: list[str]
    units: str
    flag: str
    status: str
    observed: str
    notes: list[str]

    @property
    def texts(self) -> list[str]:
        """The values, unescaped; repetitions of a formatted text are one text."""
        values = [unescaped(value) for value in self.values]
        return ["".join(values)] if self.data_type == "FT" else values

    @property
    def coded(self) -> list[list[str]]:
        """The components of coded values, unescaped."""
        return [[unescaped(part) for part in value.split("^")] for value in self.values]


def fields(text: str, name: str) -> list[list[str]]:
    """Return the fields of each segment of this name; the name itself is at 0."""
    return [line.split("|") for line in text.split("\r") if line.startswith(name + "|")]


def rows(text: str) -> list[Row]:
    """Return every OBX with its notes."""
    found: list[Row] = []
    under_observation = False
    for line in text.removesuffix("\r").split("\r"):
        parts = line.split("|") + [""] * 15
        if parts[0] == "OBX":
            under_observation = True
            code = [unescaped(one) for one in parts[3].split("^")]
            values = parts[5].split("~") if parts[5] else []
            found.append(Row(parts[2], code, parts[4], values, parts[6], parts[8], parts[11], parts[14], []))
        elif parts[0] == "NTE" and under_observation:
            found[-1].notes.append("".join(unescaped(one) for one in parts[3].split("~")))
        else:
            under_observation = False
    return found
