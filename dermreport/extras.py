"""Libraries that an extra installs: each is loaded when it is first needed."""

from __future__ import annotations

from importlib import import_module
from types import MappingProxyType
from typing import TYPE_CHECKING, Final

from dermreport.issues import MissingExtraError

if TYPE_CHECKING:
    from types import ModuleType

#: What each library is needed for, and the extra that installs it.
_EXTRAS: Final = MappingProxyType(
    {
        "PIL": ("Pictures need Pillow", "images"),
        "jinja2": ("HTML letters and templates need jinja2", "letter"),
        "pluggy": ("Plugins need pluggy", "plugins"),
        "pyarrow": ("Parquet needs pyarrow", "parquet"),
        "pydicom": ("DICOM files need pydicom", "dicom"),
        "segno": ("Codes in letters need segno", "letter"),
        "starlette": ("HTTP needs Starlette", "http"),
        "typst": ("PDF letters need typst", "letter"),
        "uvicorn": ("HTTP needs uvicorn", "http"),
    }
)


def loaded(module: str) -> ModuleType:
    """Return a module of a library that an extra installs.

    Args:
        module: Its whole name, as ``pydicom.uid``.

    Raises:
        MissingExtraError: The library isn't installed; the text names the command.
    """
    library = module.partition(".")[0]
    needed, extra = _EXTRAS[library]
    try:
        return import_module(module)
    except ModuleNotFoundError as error:
        if error.name is None or error.name.partition(".")[0] != library:
            raise
    raise MissingExtraError(f"{needed}: pip install 'dermreport[{extra}]'")
