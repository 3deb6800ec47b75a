"""What a host decides, as a command takes it."""

from __future__ import annotations

import argparse
import re
import sys
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Final

import dermreport
from dermreport.cli.codes import DONE, ERROR_STANDS
from dermreport.cli.entries import Given
from dermreport.issues import SettingsError
from dermreport.plugin import NONE
from dermreport.plugins.issue_rules import FAILED, NOT_USED

if TYPE_CHECKING:
    from collections.abc import Iterable

    from dermreport.issues import Issue
    from dermreport.languages.language import Language
    from dermreport.reviews import Review


def add_settings(parser: argparse.ArgumentParser) -> None:
    """Add what decides about reviews and reports."""
    parser.add_argument("--settings", metavar="FILE", help="a host's settings as TOML: systems, codes, language…")
    parser.add_argument(
        "--pathway",
        metavar="NAME|FILE",
        help="compare the plan with this pathway, a plugin's as PLUGIN/PATHWAY; default: the neutral one",
    )
    add_plugins(parser, "use a plugin that is installed, in place of those of the settings")


def add_plugins(parser: argparse.ArgumentParser, what: str) -> None:
    """Add which plugins are used, and for what."""
    parser.add_argument(
        "--plugin", action="append", default=[], metavar="NAME", help=f"{what}; give it again for another one"
    )


def host_settings(options: argparse.Namespace) -> dermreport.Settings:
    """Return the settings of the file, changed by what the call says.

    Raises:
        SettingsError: The file doesn't fit; there is no such plugin, or it has no such pathway.
        PathwayError: The pathway's file doesn't fit.
        MissingExtraError: Plugins are asked for, and pluggy isn't installed.
        OSError: There is no such file.
    """
    settings = dermreport.Settings()
    if options.settings:
        settings = dermreport.settings_from_toml(Path(options.settings).read_bytes())
    if options.plugin:
        settings = replace(settings, plugins=dermreport.load_plugins(*options.plugin))
    say_refused(options, settings.plugins)
    if not options.pathway:
        return settings
    return replace(settings, pathway=pathway_named(options.pathway, settings.plugins))


def asked_plugins(options: argparse.Namespace) -> dermreport.Plugins:
    """Return the plugins that the call names.

    Raises:
        SettingsError: There is no such plugin.
        MissingExtraError: Plugins are asked for, and pluggy isn't installed.
    """
    plugins = dermreport.load_plugins(*options.plugin) if options.plugin else NONE
    say_refused(options, plugins)
    return plugins


def say_refused(options: argparse.Namespace, plugins: dermreport.Plugins) -> None:
    """Say why plugins that were asked for aren't used."""
    for issue in plugins.issues:
        print(f"dermreport {options.command}: {issue}", file=sys.stderr)


def say_failed(name: str, issues: Iterable[Issue], said: Language) -> int:
    """Say which plugins failed with an entry, and return the exit code for what plugins lack there.

    Args:
        name: What the entry is called.
        issues: What was found in its review, or in making something of it; why a plugin isn't used was said before.
        said: The language to say it in.
    """
    from dermreport.wording.issues import issue_lines  # noqa: PLC0415 - loaded on first use

    lacking = [one for one in issues if one.rule in {FAILED.id, NOT_USED.id}]
    for line in issue_lines((one for one in lacking if one.rule == FAILED.id), said):
        print(f"{name}: {line}", file=sys.stderr)
    return ERROR_STANDS if lacking else DONE


def letter_settings(name: str | None) -> dermreport.LetterSettings:
    """Return the settings of letters that a file has, or those of the library.

    Raises:
        SettingsError: The file doesn't fit.
        OSError: There is no such file.
    """
    return dermreport.letter_settings_from_toml(Path(name).read_bytes() if name else b"")


def pathway_named(name: str, plugins: dermreport.Plugins) -> dermreport.Pathway:
    """Return a pathway that comes with the library, one of a plugin, or the one in a file.

    Raises:
        SettingsError: The plugin that is used has no such pathway, or it looks like one of a plugin that isn't used.
        PathwayError: The file doesn't fit.
        OSError: There is no such file.
    """
    from dermreport.pathways.reading import SHIPPED  # noqa: PLC0415 - loaded on first use

    if name in SHIPPED:
        return dermreport.shipped_pathway(name)
    plugin, _, _ = name.partition("/")
    if plugin in plugins.names:
        return plugins.pathway(name)
    if _is_of_a_plugin(name) and not Path(name).exists():
        refused = plugin in {one.name for one in plugins.refused}
        why = "doesn't fit and isn't used" if refused else f"isn't used here: add --plugin {plugin}"
        raise SettingsError(f"there is no file {name}, and as a pathway of a plugin: the plugin {plugin} {why}")
    return dermreport.pathway_from_toml(Path(name).read_bytes())


#: As a plugin and its pathway are named; a file's name has a dot or more folders as a rule.
_is_of_a_plugin: Final = re.compile(r"[a-z][a-z0-9-]*/[a-z0-9-]+").fullmatch


def reviews(entry: Given, settings: dermreport.Settings) -> list[Review]:
    """Return the reviews of an entry, one a lesion."""
    from dermreport.reviews import review  # noqa: PLC0415 - loaded on first use

    return [review(examination, settings) for examination in entry.examinations]
