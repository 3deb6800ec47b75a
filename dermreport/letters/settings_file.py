"""A host's settings of letters as a TOML file."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

from dermreport.letters.settings import LetterSettings, Party, Reviewed
from dermreport.settings_file import settings_of, several, table, written

if TYPE_CHECKING:
    from dermreport.settings_file import Readers


def letter_settings_from_toml(text: str | bytes) -> LetterSettings:
    """Read settings of letters from TOML: the names are those of :class:`LetterSettings`, of parties and of a review.

    Args:
        text: The file, as text or UTF-8 bytes.

    Raises:
        SettingsError: It is no TOML, or settings aren't any or don't fit: all of them, gathered in ``problems``; the
            text names settings, never values.
        TypeError: It is neither text nor bytes.
    """
    return settings_of(LetterSettings, "letter settings", text, _READ)


def _folder(value: Any) -> Any:  # noqa: ANN401 - any value of TOML
    return Path(value) if isinstance(value, str) else value


_OF_A_PARTY: Readers = {"lines": several}
_READ: Readers = {
    "sender": table(Party, "letter settings: sender", _OF_A_PARTY),
    "recipient": table(Party, "letter settings: recipient", _OF_A_PARTY),
    "reviewed": table(Reviewed, "letter settings: reviewed", {"on": written}),
    "order": several,
    "written": written,
    "fonts": _folder,
}
