"""The engine that makes settings of a TOML file: dataclasses, whose names are the file's; no value is in an error."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Callable, Mapping
from dataclasses import MISSING, fields
from typing import Any, Final, TypeVar

from dermreport.issues import SettingsError, must_be, refuse_all

#: How a value of the file becomes that of a setting, by the setting's name; others stay as they are.
Readers = Mapping[str, Callable[[Any], Any]]
_Kind = TypeVar("_Kind")
_Made = TypeVar("_Made")


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
        text: The file, as text or UTF-8 bytes; a byte order mark before it is passed over.
        readers: How values are read.
        asked: Settings that a file must have, though code can leave them out.
        not_here: Settings that code alone can give.

    Raises:
        SettingsError: It is no TOML, or settings aren't any or don't fit: all of them, gathered in ``problems``; the
            text names settings, never values.
        TypeError: It is neither text nor bytes.
    """
    must_be(f"{where}: text", text, str, bytes)
    place = ""
    try:
        written = text.decode("utf-8") if isinstance(text, bytes) else text
        given = tomllib.loads(written.removeprefix("\ufeff"))
    except tomllib.TOMLDecodeError as error:
        # Its own words can quote the file.
        given, place = None, "".join(_is_place.findall(str(error))[-1:])
        if _is_twice(str(error)):
            place += ": a setting or table is there twice"
    except (UnicodeDecodeError, RecursionError):
        given = None
    if given is None:
        raise SettingsError(f"{where}: the file is no TOML in UTF-8{place and f': {place}'}")
    code_alone = given.keys() & not_here
    here = {name: value for name, value in given.items() if name not in not_here}
    made, problems = _made(kind, where, here, readers, asked)
    if code_alone:
        problems = (f"{where}: a file can't say {', '.join(sorted(code_alone))}", *problems)
    if made is None or problems:
        raise SettingsError(*problems)
    return made


#: Where a file isn't TOML, as the reader of the standard library ends its message.
_is_place: Final = re.compile(r"(?:line \d+, column \d+|end of document)(?=\)\Z)")

#: How it begins where something is given again.
_is_twice: Final = re.compile(r"Cannot (?:overwrite a value|declare .* twice|mutate immutable namespace)").match


def _made(
    kind: type[_Kind],
    where: str,
    given: Mapping[str, Any],
    readers: Readers,
    asked: frozenset[str] = frozenset(),
) -> tuple[_Kind | None, tuple[str, ...]]:
    """Return a value of a table, or None, and all that is wrong with it."""
    known = {one.name: one for one in fields(kind) if one.init}  # type: ignore[arg-type]  # each kind is a dataclass
    required = {one.name for one in known.values() if one.default is MISSING and one.default_factory is MISSING}
    problems: list[str] = []
    if not given.keys() <= known.keys():
        problems.append(f"{where}: it has other settings than {', '.join(sorted(known))}")
    if not required | asked <= given.keys():
        missing = sorted((required | asked) - given.keys())
        problems.append(f"{where}: a setting is missing: {', '.join(missing)}")
    values: dict[str, Any] = {}
    for name in (one for one in known if one in given):
        read = readers.get(name)
        value, wrong = _tried(lambda read=read, one=given[name]: one if read is None else read(one))  # type: ignore[misc]  # the loop's own
        problems.extend(wrong)
        if not wrong:
            values[name] = value
    if not required <= values.keys():
        return None, tuple(problems)
    made, wrong = _tried(lambda: kind(**values))
    return made, (*problems, *(_placed(one, where) for one in wrong))


def _tried(make: Callable[[], _Made]) -> tuple[_Made | None, tuple[str, ...]]:
    """Return what is made, or None, and all that is wrong with it."""
    try:
        return make(), ()
    except SettingsError as error:
        return None, error.problems


def _placed(problem: str, where: str) -> str:
    """Return a problem with its place in the file: a class knows its own name, and not in which table it stands."""
    known = {one.partition("[")[0] for one in where.split(": ")}
    parts = problem.split(": ")
    while len(parts) > 1 and parts[0] in known:
        parts.pop(0)
    return ": ".join((where, *parts))


def table(kind: type[Any], where: str, readers: Readers | None = None) -> Callable[[Any], Any]:
    """Return how a table of the file is read: as another dataclass of settings."""

    def read(value: Any) -> Any:  # noqa: ANN401 - any value of TOML
        if not isinstance(value, dict):
            raise SettingsError(f"{where}: it is a table")
        made, problems = _made(kind, where, value, readers or {})
        refuse_all(problems)
        return made

    return read


def tables(kind: type[Any], where: str) -> Callable[[Any], Any]:
    """Return how an array of tables is read."""

    def read(value: Any) -> Any:  # noqa: ANN401 - any value of TOML
        if not isinstance(value, list):
            return value
        tried = [
            _tried(lambda position=position, item=item: table(kind, f"{where}[{position}]")(item))  # type: ignore[misc]  # the loop's own
            for position, item in enumerate(value)
        ]
        refuse_all(problem for _, problems in tried for problem in problems)
        return tuple(made for made, _ in tried)

    return read


def several(value: Any) -> Any:  # noqa: ANN401 - any value of TOML
    """Take a list of the file as the tuple of a setting."""
    return tuple(value) if isinstance(value, list) else value


def written(value: Any) -> Any:  # noqa: ANN401 - any value of TOML
    """Take a day or time of the file as its text."""
    return value.isoformat() if hasattr(value, "isoformat") else value
