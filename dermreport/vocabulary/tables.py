"""All vocabulary tables by their id, for whoever looks a word up."""

from __future__ import annotations

import pkgutil
from collections.abc import Mapping
from functools import cache
from importlib import import_module
from types import MappingProxyType

import dermreport.vocabulary
from dermreport.vocabulary.term import Term, table_id


@cache
def tables() -> Mapping[str, type[Term]]:
    """Return every table of the vocabulary by its id, sorted; all of them are loaded."""
    for module in pkgutil.iter_modules(dermreport.vocabulary.__path__, "dermreport.vocabulary."):
        import_module(module.name)
    ours = (table for table in Term.__subclasses__() if table.__module__.startswith(dermreport.vocabulary.__name__))
    found = {table_id(table): table for table in ours}
    return MappingProxyType(dict(sorted(found.items())))
