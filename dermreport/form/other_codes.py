"""Somebody else's code as words of a form: ``system|code``, then its display and its version where it has them.

A form's list of answers is closed to codes that aren't in it (the reference validator refuses them in every release)
and open to words. No system holds ``|``; in the other parts it is written ``%7C``, and ``%`` is written ``%25``.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

from dermreport.examination.types import URI_PATTERN

if TYPE_CHECKING:
    from dermreport.examination.base import OtherCode

_BETWEEN: Final = "|"
_PARTS: Final = ("system", "code", "display", "version")
_is_uri = re.compile(URI_PATTERN).match


def words_of(code: OtherCode) -> str:
    """Return a code as the words of an answer."""
    others = [_escaped(text or "") for text in (code.code, code.display, code.version)]
    return _BETWEEN.join((code.system, *others)).rstrip(_BETWEEN)


def code_in(words: str) -> dict[str, str] | None:
    """Return the parts of the code that words give; ``None`` where they give none."""
    system, *others = words.split(_BETWEEN)
    if not others or len(others) >= len(_PARTS) or _is_uri(system) is None:
        return None
    parts = dict(zip(_PARTS, (system, *map(_plain, others)), strict=False))
    return {name: text for name, text in parts.items() if text}


def _escaped(text: str) -> str:
    return text.replace("%", "%25").replace(_BETWEEN, "%7C")


def _plain(text: str) -> str:
    return text.replace("%7C", _BETWEEN).replace("%25", "%")
