"""The one way in which a plugin's code is called: where it fails it is left out, and nothing of its words is kept."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final, TypeVar

_T = TypeVar("_T")
#: Why something of a plugin is left out, where its own code says no more than that it failed.
RAISED: Final = "it raised an exception"
#: Characters of a name that can be said, at most.
_LONGEST: Final = 100


class NotTakenError(Exception):
    """What a plugin gave isn't what it may give.

    Attributes:
        why: What is wrong with it, in words of ours: nothing of what it gave.
    """

    def __init__(self, why: str) -> None:
        """Keep what is wrong."""
        self.why = why
        super().__init__()


@dataclass(frozen=True, slots=True)
class Failure:
    """That a plugin's code failed.

    Attributes:
        why: What is wrong, in words of ours.
        kind: The class of what it raised, and the module that it missed; to be said only where no record is at hand,
            for a name can be made of anything.
    """

    why: str
    kind: str = ""


def guarded(call: Callable[[], _T]) -> _T | Failure:
    """Return what a plugin's code gives, or how it fails in any way but by the process being stopped.

    What it raises can hold a patient's data, so nothing of it is kept or shown. Not every failure is an
    ``Exception``: a fault in an extension module, or a task that ended within the plugin, comes as a kind of its own.

    Raises:
        KeyboardInterrupt: Somebody stops the process; a plugin that raises it can't be told from that.
    """
    try:
        return call()
    except KeyboardInterrupt:
        raise
    except NotTakenError as error:
        return Failure(error.why)
    except BaseException as error:  # noqa: BLE001 - code of others: nothing of ours may hang on it
        return Failure(RAISED, _kind(error))


def _kind(error: BaseException) -> str:
    name = type(error).__name__
    missing = error.name if type(error) is ModuleNotFoundError else None
    if isinstance(missing, str) and len(missing) <= _LONGEST and all(map(str.isidentifier, missing.split("."))):
        return f"{name}: {missing}"
    return name if name.isidentifier() and len(name) <= _LONGEST else "an exception"
