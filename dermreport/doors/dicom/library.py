"""pydicom: an extra, loaded when the first DICOM file is read."""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING

from dermreport.issues import MissingExtraError

if TYPE_CHECKING:
    from types import ModuleType


def pydicom_part(name: str) -> ModuleType:
    """Return a module of pydicom.

    Args:
        name: Its name without ``pydicom.``, as ``uid``.

    Raises:
        MissingExtraError: pydicom isn't installed.
    """
    try:
        return import_module(f"pydicom.{name}")
    except ModuleNotFoundError as error:
        if error.name is None or error.name.partition(".")[0] != "pydicom":
            raise
    raise MissingExtraError("DICOM files need pydicom: pip install 'dermreport[dicom]'")
