"""Characters that no letter can hold, and those that turn the reading direction."""

from __future__ import annotations

import re
from typing import Final

#: What no HTML, XML or text file can hold: control characters, halves of characters, noncharacters.
_UNPRINTABLE: Final = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\ud800-\udfff\ufdd0-\ufdef\ufffe\uffff]")
_LINE_ENDS: Final = re.compile("\r\n|[\r\u2028\u2029]")
#: What opens a change of direction, with what closes it (UAX 9, section 2).
_OPENING: Final = {
    **dict.fromkeys("\u202a\u202b\u202d\u202e", "\u202c"),
    **dict.fromkeys("\u2066\u2067\u2068", "\u2069"),
}
_CLOSING: Final = frozenset(_OPENING.values())


#: Characters that turn the direction of what follows; a word's own script needs none of them.
TURNS: Final = frozenset("\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069\u200e\u200f\u061c")
_TURNING: Final = re.compile(f"[{''.join(sorted(TURNS))}]")


def undirected(text: str) -> str:
    """Return entered text without what turns the reading direction: a telephone number must never run backwards."""
    return _TURNING.sub("", text)


def printable(text: str) -> str:
    """Return text without what no file can hold, each replaced by U+FFFD, and with one kind of line end."""
    return _UNPRINTABLE.sub("\ufffd", _LINE_ENDS.sub("\n", text))


def balanced(text: str) -> str:
    """Return text in which each change of the reading direction ends in its own line.

    One that is left open swallows the end of whatever isolates the text, and the words after it turn round.
    """
    return "\n".join(map(_balanced, text.split("\n")))


def _balanced(line: str) -> str:
    made: list[str] = []
    opened: list[str] = []
    for character in line:
        if character in _OPENING:
            opened.append(_OPENING[character])
        elif character in _CLOSING:
            if character not in opened:
                continue
            while opened[-1] != character:
                made.append(opened.pop())
            opened.pop()
        made.append(character)
    return "".join((*made, *reversed(opened)))
