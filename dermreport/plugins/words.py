"""Words that no score, rule or flag of a plugin may have: they call something harmless.

A whole word is looked for, in the two languages of the letters, and not what a sentence makes of it: "isn't normal" is
refused too. Whoever means something else words it otherwise, and says what a total is: below its threshold, or at or
above it.
"""

from __future__ import annotations

import re
from typing import Final
from unicodedata import normalize

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
)
_found: Final = re.compile(rf"(?<!\w)(?:{'|'.join(_WORDS)})(?!\w)").search


def calls_harmless(text: str) -> bool:
    """Return whether a text has a word that calls something harmless, however it is written."""
    return _found(normalize("NFKC", text).casefold().replace("\u00ad", "")) is not None
