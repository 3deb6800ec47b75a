"""Entered and other words as a page can hold them: no control character, nothing that turns the words round it."""

from __future__ import annotations

import re
import unicodedata
from typing import TYPE_CHECKING, Any, Final

from dermreport.letters.blocks import Entered
from dermreport.letters.characters import has_right_to_left, is_right_to_left

if TYPE_CHECKING:
    from collections.abc import Iterator

    from dermreport.letters.blocks import Line

#: A word on a page, where a line ends (``"\n"``), or a long word that breaks anywhere if its column is too narrow.
Run = str | dict[str, str]

#: First strong isolate and its end: words between them don't turn those round them (Unicode Annex 9).
_ISOLATE, _POP = "\u2068", "\u2069"
#: Where a line ends, whoever wrote it (Unicode Annex 14: BK, CR, LF, NL).
_LINE_END: Final = re.compile("\r\n|[\n\r\v\f\x1c-\x1e\x85\u2028\u2029]")
#: Embeddings, overrides and isolates, which reach beyond what was entered; a byte order mark, which says nothing.
_DROPPED: Final = dict.fromkeys([*range(0x202A, 0x202F), *range(0x2066, 0x206A), 0xFEFF])
#: Words that may be wider than a column, in scripts that write words apart; others break by rules of their own.
_LONG: Final = re.compile("([^\\s\u0e00-\u0eff\u1000-\u109f\u1780-\u17ff\u2e80-\u9fff\uac00-\ud7af\uf900-\ufaff]{16,})")
#: Control characters, halves of a pair, private use.
_MEANINGLESS: Final = frozenset({"Cc", "Cs", "Co"})
_REPLACEMENT: Final = "\ufffd"


class Words:
    """Makes runs of lines, and counts the characters that it had to replace.

    Attributes:
        replaced: How many characters have no meaning outside the system that entered them.
    """

    def __init__(self, language: str) -> None:
        """Keep the letter's language, which says how the page runs."""
        self.replaced: int = 0
        self._right_to_left = is_right_to_left(language)

    def runs(self, line: Line) -> list[Run]:
        """Return a line as runs; entered words are isolated where the line has letters of both directions."""
        pieces = [(self._lines(piece), isinstance(piece, Entered)) for piece in line]
        isolated = self._right_to_left or any(has_right_to_left(text) for texts, _ in pieces for text in texts)
        whole = "".join(
            "\n".join(f"{_ISOLATE}{text}{_POP}" if isolated and entered and text else text for text in texts)
            for texts, entered in pieces
        )
        return _parted(whole)

    def plain(self, line: Line) -> str:
        """Return a line as one text, for what is no text of the page: words for a picture, the title in metadata."""
        return " ".join(self._lines("".join(line))).strip()

    def _lines(self, text: str) -> list[str]:
        return [self._clean(one) for one in _LINE_END.split(text)]

    def _clean(self, text: str) -> str:
        text = text.translate(_DROPPED).replace("\t", " ")
        if text.isascii() and text.isprintable():
            return text
        found = [_meaningless(character) for character in text]
        self.replaced += sum(found)
        return "".join(_REPLACEMENT if bad else one for one, bad in zip(text, found, strict=True))


def texts_of(data: Any) -> Iterator[str]:  # noqa: ANN401 - JSON
    """Yield every text of JSON data."""
    if isinstance(data, str):
        yield data
    elif isinstance(data, dict | list):
        for one in data.values() if isinstance(data, dict) else data:
            yield from texts_of(one)


def rare_words(data: Any) -> list[str]:  # noqa: ANN401 - the same
    """Return the different words of JSON data that have more than ASCII."""
    return sorted({word for text in texts_of(data) for word in text.split() if not word.isascii()})


def _meaningless(character: str) -> bool:
    code = ord(character)
    never_a_character = code & 0xFFFE == 0xFFFE or 0xFDD0 <= code <= 0xFDEF  # noqa: PLR2004 - Unicode's own
    return never_a_character or unicodedata.category(character) in _MEANINGLESS


def _parted(text: str) -> list[Run]:
    runs: list[Run] = []
    for number, line in enumerate(text.split("\n")):
        if number:
            runs.append("\n")
        for place, piece in enumerate(_LONG.split(line)):
            if piece:
                runs.append({"word": piece} if place % 2 else piece)
    return runs
