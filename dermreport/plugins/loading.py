"""The way to a plugin: by the name of its entry point, or given directly; nothing is loaded unless it is asked for."""

from __future__ import annotations

from importlib.metadata import EntryPoint, entry_points
from typing import TYPE_CHECKING, Any, Final

from dermreport.extras import loaded
from dermreport.issues import SettingsError
from dermreport.plugin import NONE, Plugin, Plugins
from dermreport.plugins.checking import Checking, several
from dermreport.plugins.reviewing import guarded

if TYPE_CHECKING:
    from collections.abc import Sequence

    from pluggy import PluginManager

#: Which hook gives which part of a plugin.
_PARTS: Final = {
    "rows": "dermreport_rows",
    "codings": "dermreport_codings",
    "methods": "dermreport_methods",
    "rules": "dermreport_rules",
    "pathways": "dermreport_pathways",
    "sections": "dermreport_letter_sections",
    "resources": "dermreport_resources",
}


def load_plugins(*wanted: object) -> Plugins:
    """Load plugins for one host: give the result to ``Settings(plugins=…)``.

    Args:
        wanted: Names of plugins that are installed, by their entry points in the group ``dermreport``; or plugins
            themselves: modules or objects with functions for the hooks.

    Returns:
        What they add. One of which anything doesn't fit isn't used at all; ``.issues`` says what, and so does each
        review. Nothing is kept elsewhere: another call loads anew.

    Raises:
        SettingsError: No plugin of a name is installed, or one is asked for twice.
        MissingExtraError: pluggy isn't installed; the text names the command.
    """
    loaded("pluggy")
    plugins = NONE
    for position, one in enumerate(wanted):
        if any(one is other or (isinstance(one, str) and one == other) for other in wanted[:position]):
            raise SettingsError("plugins: one is asked for twice")
        point = _entry_point(one) if isinstance(one, str) else None
        checking = Checking(one if isinstance(one, str) else "", plugins)
        plugin = _loaded(one, point, checking)
        if plugin is not None:
            plugins = Plugins((*plugins.loaded, plugin), plugins.refused, plugins.issues)
        else:
            refused = (*plugins.refused, checking.refused)
            plugins = Plugins(plugins.loaded, refused, (*plugins.issues, *checking.issues))
    return plugins


def _entry_point(name: str) -> EntryPoint:
    found = tuple(entry_points(group="dermreport", name=name))
    if not found:
        installed = ", ".join(sorted({one.name for one in entry_points(group="dermreport")})) or "none"
        raise SettingsError(f"plugins: no plugin of this name is installed; installed are: {installed}")
    if len({one.value for one in found}) > 1:
        raise SettingsError("plugins: several packages that are installed have a plugin of this name")
    return found[0]


def _loaded(wanted: object, point: EntryPoint | None, checking: Checking) -> Plugin | None:
    """Return a plugin that fits, None where anything in it doesn't: what, is noted."""
    given = wanted if point is None else guarded(point.load)
    if given is None:
        checking.note("$", "it can’t be imported")
        return None
    manager = guarded(lambda: _manager(given))
    if manager is None:
        checking.note("$", "it has a hook that there isn’t, or one with other arguments")
        return None
    hooks: Any = manager.hook
    about = checking.about(guarded(lambda: _one(hooks.dermreport_about())), point.name if point is not None else None)
    parts: dict[str, Sequence[Any]] = {}
    for name, hook in _PARTS.items():
        found = guarded(lambda hook=hook: [one for each in getattr(hooks, hook)() for one in several(each)])  # type: ignore[misc]  # the loop's own hook
        if found is None:
            checking.note(f"$.{name}", f"{hook} fails, or gives no list")
        else:
            parts[name] = found
    if about is None or len(parts) < len(_PARTS):
        return None
    made = guarded(lambda: (checking.plugin(about, parts),))
    if made is None:
        checking.note("$", "what it gives has values of other kinds")
        return None
    return made[0]


def _manager(given: object) -> PluginManager:
    """Return a manager that knows this plugin alone: no plugin meets another one's hooks.

    Raises:
        PluginValidationError: It has a hook that there isn't, or one with other arguments.
    """
    import pluggy  # noqa: PLC0415 - an extra, loaded on first use

    from dermreport.plugins.hooks import GROUP, Hooks  # noqa: PLC0415 - needs it

    manager = pluggy.PluginManager(GROUP)
    manager.add_hookspecs(Hooks)
    manager.register(given)
    manager.check_pending()
    if not manager.hook.dermreport_about.get_hookimpls():
        raise TypeError
    return manager


def _one(given: list[Any]) -> Any:  # noqa: ANN401 - what a plugin gave
    (only,) = given
    return only
