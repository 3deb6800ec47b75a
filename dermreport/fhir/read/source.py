"""Text, bytes or objects as JSON: exact numbers, within limits."""

from __future__ import annotations

import re
from collections.abc import Mapping
from contextlib import suppress
from decimal import Decimal
from math import isfinite
from typing import TYPE_CHECKING, Any, NamedTuple

from dermreport.examination.entry_rules import entry_issue
from dermreport.examination.reader import NotPlainError, read_json, read_plain_json
from dermreport.fhir.read.attachments import may_have_files
from dermreport.fhir.read.received import may_be_modified
from dermreport.fhir.read.rules import read_issue
from dermreport.issues import EntryError, Issue

if TYPE_CHECKING:
    from dermreport.limits import Limits


class Source(NamedTuple):
    """What was received, as objects that share nothing with it.

    Attributes:
        value: The objects.
        issues: What was wrong with its text.
        modified: Whether a modifier can stand anywhere in it.
        attached: Whether a file can be embedded anywhere in it.
    """

    value: Any
    issues: list[Issue]
    modified: bool = True
    attached: bool = True


def parsed(content: Any, limits: Limits) -> Source:  # noqa: ANN401 - any JSON
    """Return what was received as objects.

    Raises:
        EntryError: It can't be read at all.
    """
    if not isinstance(content, str | bytes):
        return Source(_copied(content, limits), [])
    if len(content) > limits.size:
        raise EntryError((read_issue("read-too-large", "$", limit=str(limits.size)),))
    in_utf_8 = content if isinstance(content, bytes) else _encoded(content)
    try:
        value = read_plain_json(in_utf_8, number=limits.number, size=len(in_utf_8))
    except NotPlainError:
        return _of_text(_decoded(content) if isinstance(content, bytes) else content, limits)
    return _looked_through(value, limits)


def _of_text(text: str, limits: Limits) -> Source:
    """Return XML, or JSON however it is written, as objects."""
    text = text.removeprefix("\ufeff")
    if text.lstrip()[:1] == "<":
        from dermreport.fhir.read.xml import read_xml  # noqa: PLC0415 - loaded on first use

        return Source(*read_xml(text, limits))
    value = read_json(text, number=limits.number, size=limits.size)
    if _escapes_a_half(text) is not None:
        # Most of these are whole pairs: only the text itself can tell.
        return Source(_copied(value, limits), [])
    return _looked_through(value, limits)


_escapes_a_half = re.compile(r"\\u[dD][89a-fA-F]").search


def _encoded(text: str) -> bytes:
    """Return a text in UTF-8, unless it has half of a pair, which no encoding of Unicode has."""
    with suppress(UnicodeEncodeError):
        return text.encode()
    # Raised out here, so that the other error, which holds the whole text, isn't its context.
    raise EntryError((read_issue("read-text-not-allowed", "$"),))


def _copied(value: Any, limits: Limits, depth: int = 0) -> Any:  # noqa: ANN401 - any JSON
    """Return a copy that shares nothing; a float is taken by its shortest text, as it is in an entry."""
    if depth > limits.depth:
        raise EntryError((read_issue("read-too-deep", "$", limit=str(limits.depth)),))
    if isinstance(value, Mapping):
        return {_copied(str(name), limits): _copied(item, limits, depth + 1) for name, item in value.items()}
    if isinstance(value, list | tuple):
        return [_copied(item, limits, depth + 1) for item in value]
    if type(value) is str:
        _encoded(value)
    return value if isinstance(value, str | bool) else _number(value, limits)


def _number(value: Any, limits: Limits) -> Any:  # noqa: ANN401 - what stands in JSON, and whatever else somebody put there
    if type(value) is float:
        if not isfinite(value):
            raise EntryError((entry_issue("entry-not-a-number", "$"),))
        return Decimal(repr(value))
    digits = len(value.as_tuple().digits) if isinstance(value, Decimal) else 0
    if digits > limits.number or (isinstance(value, int) and abs(value) >= 10**limits.number):
        raise EntryError((read_issue("read-number-too-long", "$", limit=str(limits.number)),))
    return value


def _decoded(content: bytes) -> str:
    with suppress(UnicodeDecodeError):
        return content.decode()
    # Raised out here, so that the other error, which holds the whole content, isn't its context.
    raise EntryError((entry_issue("entry-not-utf-8", "$"),))


def _looked_through(value: Any, limits: Limits) -> Source:  # noqa: ANN401 - any JSON
    """Return what was received with what its names tell of it.

    Raises:
        EntryError: Objects and lists stand deeper in one another than the limit.
    """
    names: set[str] = set()
    level = [value]
    for _ in range(limits.depth + 1):
        objects = [one for one in level if type(one) is dict]
        lists = [one for one in level if type(one) is list]
        if not objects and not lists:
            return Source(value, [], may_be_modified(names), may_have_files(names))
        names.update(*objects)
        level = [item for one in objects for item in one.values() if type(item) is not str]
        for one in lists:
            level.extend(one)
    raise EntryError((read_issue("read-too-deep", "$", limit=str(limits.depth)),))
