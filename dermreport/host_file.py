"""A host's settings as a TOML file."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from dermreport.codings import ExtraCoding
from dermreport.issues import SettingsError
from dermreport.limits import Limits
from dermreport.pathways.reading import SHIPPED, shipped_pathway
from dermreport.plugins.loading import load_plugins
from dermreport.settings import IdentifierSystems, Settings
from dermreport.settings_file import settings_of, table, tables

if TYPE_CHECKING:
    from dermreport.settings_file import Readers


def settings_from_toml(text: str | bytes) -> Settings:
    """Read a host's settings from TOML: the names are those of :class:`Settings` and of its parts.

    ``identifier_systems`` must be there. ``pathway`` names one that comes with the library; a host's own is put in with
    ``dataclasses.replace(settings, pathway=pathway_from_toml(…))``. ``plugins`` are names, and those alone are loaded.
    ``now`` is no matter of a file.

    Args:
        text: The file, as text or UTF-8 bytes.

    Raises:
        SettingsError: It is no TOML, or settings aren't any or don't fit: all of them, gathered in ``problems``; the
            text names settings, never values.
        MissingExtraError: It names plugins, and pluggy isn't installed.
        TypeError: It is neither text nor bytes.
    """
    return settings_of(
        Settings, "settings", text, _READ, asked=frozenset(("identifier_systems",)), not_here=frozenset(("now",))
    )


def _pathway(value: Any) -> Any:  # noqa: ANN401 - any value of TOML
    if not isinstance(value, str) or value not in SHIPPED:
        raise SettingsError(f"settings: pathway is one of {', '.join(SHIPPED)}")
    return shipped_pathway(value)


def _plugins(value: Any) -> Any:  # noqa: ANN401 - any value of TOML
    if not isinstance(value, list) or not all(isinstance(one, str) for one in value):
        raise SettingsError("settings: plugins is a list of names of plugins that are installed")
    return load_plugins(*value)


def _kinds(value: Any) -> Any:  # noqa: ANN401 - any value of TOML
    texts = isinstance(value, list) and all(isinstance(one, str) for one in value)
    return frozenset(value) if texts else value


_READ: Readers = {
    "identifier_systems": table(IdentifierSystems, "settings: identifier_systems"),
    "extra_codings": tables(ExtraCoding, "settings: extra_codings"),
    "limits": table(Limits, "settings: limits", {"attachment_kinds": _kinds}),
    "pathway": _pathway,
    "plugins": _plugins,
}
