"""A host's settings of letters as a TOML file."""

from __future__ import annotations

import tomllib
from dataclasses import fields
from pathlib import Path
from typing import TYPE_CHECKING, Any

from dermreport.issues import SettingsError, must_be
from dermreport.letters.settings import LetterSettings, Party, Reviewed

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping


def letter_settings_from_toml(text: str | bytes) -> LetterSettings:
    """Read settings of letters from TOML: the names are those of :class:`LetterSettings`, of parties and of a review.

    Args:
        text: The file, as text or UTF-8 bytes.

    Raises:
        SettingsError: It is no TOML, or a setting isn't one or doesn't fit; the text names settings, never values.
        TypeError: It is neither text nor bytes.
    """
    must_be("letter_settings_from_toml: text", text, str, bytes)
    try:
        given = tomllib.loads(text.decode("utf-8") if isinstance(text, bytes) else text)
    except (UnicodeDecodeError, tomllib.TOMLDecodeError):
        given = None
    if given is None:
        raise SettingsError("letter settings: the file is no TOML in UTF-8")
    settings: LetterSettings = _made(LetterSettings, "letter settings", given)
    return settings


def _made(kind: type[Any], where: str, given: Mapping[str, Any]) -> Any:  # noqa: ANN401 - one of three classes
    """Return an object of settings made of a table of the file."""
    known = {one.name for one in fields(kind)}
    if not given.keys() <= known:
        raise SettingsError(f"{where}: it has other settings than {', '.join(sorted(known))}")
    read = {name: _READ[name](value) if name in _READ else value for name, value in given.items()}
    try:
        return kind(**read)
    except TypeError:
        pass
    raise SettingsError(f"{where}: a setting is missing: {', '.join(sorted(known - given.keys()))}")


def _table(kind: type[Any], where: str) -> Callable[[Any], Any]:
    def read(value: Any) -> Any:  # noqa: ANN401 - any value of TOML
        if not isinstance(value, dict):
            raise SettingsError(f"{where}: it is a table")
        return _made(kind, where, value)

    return read


def _list(value: Any) -> Any:  # noqa: ANN401 - any value of TOML
    return tuple(value) if isinstance(value, list) else value


def _day(value: Any) -> Any:  # noqa: ANN401 - any value of TOML, a day among them
    return value.isoformat() if hasattr(value, "isoformat") else value


def _folder(value: Any) -> Any:  # noqa: ANN401 - any value of TOML
    return Path(value) if isinstance(value, str) else value


#: How a value of the file becomes that of the setting; others stay as they are.
_READ: Mapping[str, Callable[[Any], Any]] = {
    "sender": _table(Party, "letter settings: sender"),
    "recipient": _table(Party, "letter settings: recipient"),
    "reviewed": _table(Reviewed, "letter settings: reviewed"),
    "lines": _list,
    "order": _list,
    "written": _day,
    "on": _day,
    "fonts": _folder,
}
