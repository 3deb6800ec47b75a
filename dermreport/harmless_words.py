"""Words that nothing of a host or a plugin may have where they would contradict a record: they call it harmless.

A whole word is looked for, in the two languages of the letters, and not what a sentence makes of it: "isn't normal" is
refused too. Whoever means something else words it otherwise, and says what a total is: below its threshold, or at or
above it.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from typing import Final
from unicodedata import normalize

#: They say that something planned waits, or doesn't hold.
_SLOWER: Final = (
    r"not\s+urgent",
    r"no\s+(?:urgency|hurry|rush)",
    r"cancel(?:led)?",
    r"revoked?",
    r"nicht\s+dringend",
    r"keine\s+eile",
    r"storniert",
)
_WORDS: Final = (
    r"benign(?:ity|ly|ancy)?",
    r"harmless(?:ly|ness)?",
    r"innocuous(?:ly)?",
    r"normal(?:ly|ity)?",
    r"negative(?:ly)?",
    r"unsuspicious(?:ly)?",
    r"all[\s-]clear",
    r"(?:not|non|nothing)[\s-]suspicious",
    r"(?:no|without)\s+(?:any\s+)?suspicion",
    r"benigne?[mnrs]?",
    r"gutartig(?:e[mnrs]?|keit)?",
    r"harmlos(?:e[mnrs]?|igkeit)?",
    r"ungefährlich(?:e[mnrs]?|keit)?",
    r"unbedenklich(?:e[mnrs]?|keit)?",
    r"unauffällig(?:e[mnrs]?|keit)?",
    r"unverdächtig(?:e[mnrs]?)?",
    r"normal(?:e[mnrs]?|befund)",
    r"negativ(?:e[mnrs]?|befund)?",
    r"entwarnung",
    # What a result is said to exclude or to make needless; "excludes nothing" and "doesn't rule out" stay.
    r"rule-out",
    r"(?:cancer|melanoma|malignancy|is|are|be|been)\s+(?:safely\s+)?(?:excluded|ruled\s+out)",
    r"low[\s-]risk",
    r"reassured",
    r"no\s+(?:further\s+|urgent\s+)?(?:action|referral|biopsy|follow[\s-]up)\s+(?:is\s+)?(?:needed|required|necessary)",
    r"no\s+need\s+to\s+(?:act|refer|worry|look)",
    r"(?:melanom|krebs)\s+(?:ist\s+)?(?:sicher\s+)?ausgeschlossen",
    r"(?:geringes|niedriges|kein)\s+risiko",
    r"kein(?:e[rn]?)?\s+(?:weiteren?\s+)?(?:maßnahmen?|massnahmen?|überweisung|handlungsbedarf)(?:\s+nötig)?",
    *_SLOWER,
)


def _finding(words: Iterable[str]) -> Callable[[str], object]:
    """Return what finds one of some words as a whole word."""
    return re.compile(rf"(?<!\w)(?:{'|'.join(words)})(?!\w)").search


_harmless: Final = _finding(_WORDS)
_slower: Final = _finding((*_SLOWER, r"routine(?:mäßig)?"))


def calls_harmless(text: str) -> bool:
    """Return whether a text has a word that calls something harmless, however it is written."""
    return _harmless(_plain(text)) is not None


def says_it_waits(text: str) -> bool:
    """Return whether a text has a word by which a planned step waits or doesn't hold."""
    return _slower(_plain(text)) is not None


def _plain(text: str) -> str:
    return normalize("NFKC", text).casefold().replace("\u00ad", "")
