"""The way to a plugin: by the name of its entry point, or given directly; nothing is loaded unless it is asked for."""

from __future__ import annotations

from importlib.metadata import EntryPoint, entry_points
from inspect import signature
from typing import TYPE_CHECKING, Any, Final

from dermreport.extras import loaded
from dermreport.issues import SettingsError
from dermreport.plugin import NONE, Plugin, Plugins
from dermreport.plugins.checking import Checking, several
from dermreport.plugins.guarding import Failure, NotTakenError, guarded

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

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
_HOOKS: Final = ("dermreport_about", *_PARTS.values())


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
    plugins: Plugins = NONE
    for position, one in enumerate(wanted):
        if any(one is other or (isinstance(one, str) and one == other) for other in wanted[:position]):
            raise SettingsError("plugins: one is asked for twice")
        point = _entry_point(one) if isinstance(one, str) else None
        name = one if isinstance(one, str) else ""
        checking = Checking(name, position + 1, plugins)
        plugin = _loaded(one, point, checking)
        if plugin is None and checking.refused.name in plugins.names:
            # Where it fits beside all but the one of its name, and is the same, nothing of it is lacking.
            others = plugins.without(frozenset((checking.refused.name,)))
            again = _loaded(one, point, Checking(name, position + 1, others))
            if again is not None and again in plugins.loaded:
                raise SettingsError(f"plugins: {again.about.name} is asked for twice: it is used once")
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
    if isinstance(given, Failure):
        checking.note("$", f"it can’t be imported ({given.kind})")
        return None
    manager = guarded(lambda: _manager(given))
    if isinstance(manager, Failure):
        checking.note("$", manager.why if not manager.kind else f"its hooks can’t be looked at ({manager.kind})")
        return None
    hooks: Any = manager.hook
    said = guarded(lambda: _one(hooks.dermreport_about()))
    if isinstance(said, Failure):
        checking.note("$.about", f"it doesn’t say who it is: dermreport_about fails ({said.kind})")
    about = None
    if not isinstance(said, Failure):
        about = checking.about(said, point.name if point is not None else None)
    parts: dict[str, Sequence[Any]] = {}
    for name, hook in _PARTS.items():
        found = guarded(lambda hook=hook: [one for each in getattr(hooks, hook)() for one in several(each, hook)])  # type: ignore[misc]  # the loop's own hook
        if isinstance(found, Failure):
            checking.note(f"$.{name}", f"{hook} fails ({found.kind})" if found.kind else found.why)
        else:
            parts[name] = found
    if about is None or len(parts) < len(_PARTS):
        return None
    made = guarded(lambda: checking.plugin(about, parts))
    if isinstance(made, Failure):
        checking.note("$", f"what it gives has values of other kinds ({made.kind})")
        return None
    return made


def _manager(given: object) -> PluginManager:
    """Return a manager that knows this plugin alone: no plugin meets another one's hooks.

    Raises:
        NotTakenError: It is a class, or it has no hook, a hook that there isn't, or one with other arguments.
    """
    import pluggy  # noqa: PLC0415 - an extra, loaded on first use

    from dermreport.plugins.hooks import GROUP, Hooks  # noqa: PLC0415 - needs it

    if isinstance(given, type):
        raise NotTakenError("it is a class: give an object that is made of it")
    manager = pluggy.PluginManager(GROUP)
    manager.add_hookspecs(Hooks)
    try:
        manager.register(given)
    except pluggy.PluginValidationError:
        there = (one for one in _HOOKS if hasattr(given, one))
        names = (one for one in there if manager.parse_hookimpl_opts(given, one) and _asks(getattr(given, one)))
        raise NotTakenError(f"a hook takes no argument, and here one does: {', '.join(names)}") from None
    if not manager.get_hookcallers(given):
        marked = "mark its functions with hookimpl = pluggy.HookimplMarker('dermreport')"
        raise NotTakenError(f"it has no hook: {marked}")
    try:
        manager.check_pending()
    except pluggy.PluginValidationError:
        raise NotTakenError(f"it has a hook that there isn’t: there are {', '.join(_HOOKS)}") from None
    if not manager.hook.dermreport_about.get_hookimpls():
        raise NotTakenError("it doesn’t say who it is: it has no dermreport_about that is marked as a hook")
    return manager


def _asks(hook: Callable[..., Any]) -> bool:
    """Return whether a function has to be given anything."""
    return any(one.default is one.empty for one in signature(hook).parameters.values())


def _one(given: list[Any]) -> Any:  # noqa: ANN401 - what a plugin gave
    (only,) = given
    return only
