"""The parameters of an address, held to the table of operations."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from dermreport.http.errors import RefusedError
from dermreport.profiles.operations import refusals

if TYPE_CHECKING:
    from collections.abc import Iterable

    from dermreport.profiles.operations.table import Operation


def checked(operation: Operation, given: Iterable[tuple[str, str]]) -> dict[str, str]:
    """Return parameters of an address, each once, and each what it may be.

    Raises:
        RefusedError: One isn't known, is given twice, or is something else.
    """
    known = {one.name: one for one in operation.settable}
    found: dict[str, str] = {}
    for name, value in given:
        if name not in known:
            names = ", ".join(("_format", *known))
            raise RefusedError(refusals.PARAMETER_UNKNOWN, names=names)
        if name in found:
            raise RefusedError(refusals.PARAMETER_TWICE, name=name)
        one = known[name]
        if one.codes and value not in one.codes:
            raise RefusedError(refusals.PARAMETER_VALUE, name=name, form=f"one of {', '.join(one.codes)}")
        if one.form and re.fullmatch(one.form, value, re.ASCII) is None:
            raise RefusedError(refusals.PARAMETER_VALUE, name=name, form='a version, as W/"3"')
        found[name] = value
    return found
