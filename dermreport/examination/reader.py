"""The one exact reader and writer of entries as JSON.

Numbers keep their digits (``6.0`` stays ``6.0``), a key given twice is refused, and NaN and Infinity aren't numbers.
Size and depth have limits, the depth that of the interpreter; how long a number may be is the field's matter.
"""

from __future__ import annotations

import json
import re
from decimal import Decimal, InvalidOperation
from functools import cache, partial
from typing import TYPE_CHECKING, Any, Final

from dermreport.examination.entry_rules import entry_issue
from dermreport.issues import EntryError, must_be

if TYPE_CHECKING:
    import msgspec

#: The longest entry that is read unless the caller allows another length, in characters or bytes.
MAX_ENTRY = 8 * 1024 * 1024
#: The longest whole number that is read as ``int``, in characters: making one takes the square of its length.
MAX_INT = 40


class _RefusedError(ValueError):
    """A refusal inside the JSON reader, by the id of its entry rule."""


def _number(longest: int, text: str) -> Decimal:
    if len(text) > longest:
        raise _RefusedError("entry-number-too-long")
    try:
        return Decimal(text)
    except InvalidOperation:
        raise _RefusedError("entry-number-too-long") from None


def _whole(longest: int, text: str) -> int | Decimal:
    return int(text) if len(text) <= MAX_INT and len(text) <= longest else _number(longest, text)


def _constant(_: str) -> Any:  # noqa: ANN401 - the hook's own type
    raise _RefusedError("entry-not-a-number")


def _once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    result = dict(pairs)
    if len(result) != len(pairs):
        raise _RefusedError("entry-key-twice")
    return result


def read_json(text: str | bytes, *, number: int = MAX_ENTRY, size: int = MAX_ENTRY) -> Any:  # noqa: ANN401 - JSON is any kind of value
    """Read JSON exactly.

    Args:
        text: JSON as text, or as UTF-8 bytes; a byte order mark before it is allowed.
        number: How many characters a number has at most.
        size: How many characters or bytes the text has at most.

    Returns:
        dicts, lists, texts, ``int`` and :class:`~decimal.Decimal`, ``True``, ``False``, ``None``.

    Raises:
        EntryError: One issue at ``$``, with the position of a syntax error but never the text there.
    """
    must_be("text", text, str, bytes)
    must_be("size", size, int)
    if len(text) > size:
        raise EntryError((entry_issue("entry-too-large", "$", limit=str(size)),))
    try:
        if isinstance(text, bytes):
            text = text.decode()
        return json.loads(
            text.removeprefix("\ufeff"),
            parse_float=partial(_number, number),
            parse_int=partial(_whole, number),
            parse_constant=_constant,
            object_pairs_hook=_once,
        )
    except _RefusedError as error:
        refused = entry_issue(str(error), "$")
    except RecursionError:
        refused = entry_issue("entry-too-deep", "$")
    except UnicodeDecodeError:
        refused = entry_issue("entry-not-utf-8", "$")
    except json.JSONDecodeError as error:
        refused = entry_issue("entry-not-json", "$", line=str(error.lineno), column=str(error.colno))
    # Raised out here, so that the other error, which holds the whole text, isn't its context.
    raise EntryError((refused,))


class NotPlainError(Exception):
    """A text isn't one that :func:`write_json` writes."""


#: How a text begins that has white space where ours has none.
_begins_spaced = re.compile(rb'\s|[{\[]\s|\{"\w*"(\s|:\s)').match
_AS_ZEROS: Final = bytes.maketrans(b"0123456789", b"0" * 10)
_TOO_LONG: Final = b"0" * (MAX_INT + 1)
#: Characters of the longest number in which no run of digits is too long, with sign, point and exponent; what is two
#: full runs with an exponent of 18 digits has two more, and no field takes it.
_LONGEST_HERE: Final = 2 * MAX_INT + 20


def read_plain_json(content: bytes, *, number: int = MAX_ENTRY, size: int = MAX_ENTRY) -> Any:  # noqa: ANN401 - JSON is any kind of value
    """Read JSON in UTF-8 that is written as we write it, as :func:`read_json` reads it and several times as fast.

    Args:
        content: JSON.
        number: Characters of a number, at most; where so few are allowed that this can't tell, it isn't read here.
        size: How many bytes it has at most.

    What is written again character for character as it stood has lost nothing on the way: no digit, no key given twice.

    Raises:
        NotPlainError: It may be written otherwise, or be no JSON at all: :func:`read_json` is the one to say.
    """
    import msgspec  # noqa: PLC0415 - loaded on first use

    if number < _LONGEST_HERE or len(content) > size or _begins_spaced(content):
        raise NotPlainError
    try:
        value = _plain_decoder().decode(content)
        written = _encoder().encode(value)
    except (msgspec.MsgspecError, ValueError, ArithmeticError, RecursionError):
        value = written = None
    if written != content or _TOO_LONG in content.translate(_AS_ZEROS):
        raise NotPlainError
    return value


@cache
def _plain_decoder() -> msgspec.json.Decoder[Any]:
    import msgspec  # noqa: PLC0415 - loaded on first use

    return msgspec.json.Decoder(float_hook=Decimal)


@cache
def _encoder() -> msgspec.json.Encoder:
    import msgspec  # noqa: PLC0415 - loaded on first use

    return msgspec.json.Encoder(decimal_format="number")


def write_json(value: Any) -> str:  # noqa: ANN401 - JSON is any kind of value
    """Write JSON with decimals as numbers, digit for digit, and without spaces."""
    return _encoder().encode(value).decode()
