"""The engine that makes settings of a TOML file: dataclasses, whose names are the file's; no value is in an error."""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Mapping
from dataclasses import MISSING, fields
from typing import Any, TypeVar

from dermreport.issues import SettingsError, must_be

#: How a value of the file becomes that of a setting, by the setting's name; others stay as they are.
Readers = Mapping[str, Callable[[Any], Any]]
_Kind = TypeVar("_Kind")


def settings_of(  # noqa: PLR0913 - the last two are given by name
    kind: type[_Kind],
    where: str,
    text: str | bytes,
    readers: Readers,
    *,
    asked: frozenset[str] = frozenset(),
    not_here: frozenset[str] = frozenset(),
) -> _Kind:
    """Return the settings that a file holds.

    Args:
        kind: The dataclass of the settings.
        where: What they are, for the errors.
        text: The file, as text or UTF-8 bytes.
        readers: How values are read.
        asked: Settings that a file must have, though code can leave them out.
        not_here: Settings that code alone can give.

    Raises:
        SettingsError: It is no TOML, or a setting isn't one or doesn't fit; the text names settings, never values.
        TypeError: It is neither text nor bytes.
    """
    must_be(f"{where}: text", text, str, bytes)
    try:
        given = tomllib.loads(text.decode("utf-8") if isinstance(text, bytes) else text)
    except (UnicodeDecodeError, tomllib.TOMLDecodeError, RecursionError):
        given = None
    if given is None:
        raise SettingsError(f"{where}: the file is no TOML in UTF-8")
    if given.keys() & not_here:
        raise SettingsError(f"{where}: a file can't say {', '.join(sorted(given.keys() & not_here))}")
    if not asked <= given.keys():
        raise SettingsError(f"{where}: a setting is missing: {', '.join(sorted(asked - given.keys()))}")
    return _made(kind, where, given, readers)


def _made(kind: type[_Kind], where: str, given: Mapping[str, Any], readers: Readers) -> _Kind:
    known = {one.name: one for one in fields(kind) if one.init}  # type: ignore[arg-type]  # each kind is a dataclass
    if not given.keys() <= known.keys():
        raise SettingsError(f"{where}: it has other settings than {', '.join(sorted(known))}")
    required = {one.name for one in known.values() if one.default is MISSING and one.default_factory is MISSING}
    if not required <= given.keys():
        raise SettingsError(f"{where}: a setting is missing: {', '.join(sorted(required - given.keys()))}")
    return kind(**{name: readers[name](value) if name in readers else value for name, value in given.items()})


def table(kind: type[Any], where: str, readers: Readers | None = None) -> Callable[[Any], Any]:
    """Return how a table of the file is read: as another dataclass of settings."""

    def read(value: Any) -> Any:  # noqa: ANN401 - any value of TOML
        if not isinstance(value, dict):
            raise SettingsError(f"{where}: it is a table")
        return _made(kind, where, value, readers or {})

    return read


def tables(kind: type[Any], where: str) -> Callable[[Any], Any]:
    """Return how an array of tables is read."""
    one = table(kind, where)

    def read(value: Any) -> Any:  # noqa: ANN401 - any value of TOML
        return tuple(one(item) for item in value) if isinstance(value, list) else value

    return read


def several(value: Any) -> Any:  # noqa: ANN401 - any value of TOML
    """Take a list of the file as the tuple of a setting."""
    return tuple(value) if isinstance(value, list) else value


def written(value: Any) -> Any:  # noqa: ANN401 - any value of TOML
    """Take a day or time of the file as its text."""
    return value.isoformat() if hasattr(value, "isoformat") else value
