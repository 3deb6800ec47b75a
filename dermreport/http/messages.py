"""What goes between the door and its processes: jobs and answers, as bytes in frames of a length and a body."""

from __future__ import annotations

import pickle
import struct
from dataclasses import dataclass, fields
from io import BytesIO
from types import FunctionType, MappingProxyType
from typing import TYPE_CHECKING, Any, Final

import msgspec

from dermreport.issues import SettingsError
from dermreport.letters.settings import LetterSettings
from dermreport.settings import Settings

if TYPE_CHECKING:
    from collections.abc import Iterator

LENGTH: Final = struct.Struct(">Q")


@dataclass(frozen=True, slots=True)
class Host:
    """What the host decides.

    Attributes:
        settings: Of reviews and reports.
        letters: Of letters.
    """

    settings: Settings
    letters: LetterSettings


class Job(msgspec.Struct, frozen=True):
    """One request.

    Attributes:
        operation: Code of the operation.
        release: The release of FHIR.
        media: Media type of the body.
        accepts: Media type of the answer.
        given: Parameters of the address.
        body: The body.
    """

    operation: str
    release: str
    media: str
    accepts: str
    given: dict[str, str]
    body: bytes


class Answer(msgspec.Struct, frozen=True):
    """What became of it.

    Attributes:
        status: Status of HTTP.
        media: Content-Type, without parameters.
        content: The body.
        rule: Id of the refusal, ``""`` where there is none.
        counts: How many errors, warnings and informations were found; empty where the body says so itself.
        name: File name of a letter, ``""`` for anything else.
        failed: What failed: kind and place; empty where nothing did.
    """

    status: int
    media: str
    content: bytes
    rule: str = ""
    counts: tuple[int, ...] = ()
    name: str = ""
    failed: tuple[str, ...] = ()


def fixed(values: dict[Any, Any]) -> MappingProxyType[Any, Any]:
    """Return a mapping that can't be changed: its class can't be named in what is pickled."""
    return MappingProxyType(values)


class _Pickler(pickle.Pickler):
    """Settings have mappings that can't be changed, which pickle doesn't know."""

    def reducer_override(self, value: Any) -> Any:  # noqa: ANN401 - the protocol's own type
        if type(value) is MappingProxyType:
            return fixed, (dict(value),)
        if isinstance(value, (type, FunctionType)) and value.__module__ == "__main__":
            # It would be looked for in another program: the process has a ``__main__`` of its own.
            raise pickle.PicklingError
        return NotImplemented


def host_bytes(host: Host) -> bytes:
    """Return what the host decides, for a process of ours.

    Raises:
        SettingsError: Something of it has no name by which another process finds it; the text says what.
    """
    content = _pickled(host)
    if content is not None:
        return content
    found = "; ".join(_without_a_name(host)) or "the settings as a whole"
    raise SettingsError(
        f"http_app: the door works in processes of its own, and these can't be handed to them: {found}. Define what "
        "they use as functions and classes at the top level of a module that is imported, not as a lambda, within "
        "another function, or in the program's own file"
    )


def _pickled(value: object) -> bytes | None:
    """Return a value for another process, None where it can't be handed over: code of others says how it is."""
    out = BytesIO()
    try:
        _Pickler(out).dump(value)
    except KeyboardInterrupt:
        raise
    except BaseException:  # noqa: BLE001 - whatever it raises
        return None
    return out.getvalue()


def _without_a_name(host: Host) -> Iterator[str]:
    """Yield what can't be handed over: each addition of a plugin, else the setting as a whole."""
    for plugin in host.settings.plugins.loaded:
        for part in fields(plugin):
            given = getattr(plugin, part.name)
            for position, one in enumerate(given if isinstance(given, tuple) else (given,)):
                if _pickled(one) is None:
                    yield f"plugin {plugin.about.name}: {part.name}[{position}] ({_own_name(one)})"
    for where, settings in (("settings", host.settings), ("letter_settings", host.letters)):
        for setting in fields(settings):
            if setting.name != "plugins" and _pickled(getattr(settings, setting.name)) is None:
                yield f"{where}: {setting.name}"


def _own_name(addition: Any) -> str:  # noqa: ANN401 - any addition of a plugin
    """Return how its author finds it: its id or code, which was held to letters when the plugin was loaded."""
    code = getattr(addition, "code", None)
    if code is None:
        return str(getattr(addition, "id", type(addition).__name__))
    return str(getattr(code, "value", code))


def host_of(content: bytes) -> Host:
    """Return what :func:`host_bytes` wrote; it comes from the process that started this one and from nowhere else."""
    host: Host = pickle.loads(content)  # noqa: S301 - see above
    return host


def framed(content: bytes) -> bytes:
    """Return bytes with their length before them."""
    return LENGTH.pack(len(content)) + content
