"""What a host decides, as a command takes it."""

from __future__ import annotations

import argparse
import sys
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

import dermreport
from dermreport.cli.entries import Given

if TYPE_CHECKING:
    from dermreport.reviews import Review


def add_settings(parser: argparse.ArgumentParser) -> None:
    """Add what decides about reviews and reports."""
    parser.add_argument("--settings", metavar="FILE", help="a host's settings as TOML: systems, codes, language…")
    parser.add_argument(
        "--pathway",
        metavar="NAME|FILE",
        help="compare the plan with this pathway, a plugin's as PLUGIN/PATHWAY; default: the neutral one",
    )
    parser.add_argument(
        "--plugin",
        action="append",
        default=[],
        metavar="NAME",
        help="use a plugin that is installed, in place of those of the settings; give it again for another one",
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
    for issue in settings.plugins.issues:
        print(f"dermreport {options.command}: {issue}", file=sys.stderr)
    if not options.pathway:
        return settings
    if options.pathway.partition("/")[0] in settings.plugins.names:
        return replace(settings, pathway=settings.plugins.pathway(options.pathway))
    return replace(settings, pathway=pathway_named(options.pathway))


def letter_settings(name: str | None) -> dermreport.LetterSettings:
    """Return the settings of letters that a file has, or those of the library.

    Raises:
        SettingsError: The file doesn't fit.
        OSError: There is no such file.
    """
    return dermreport.letter_settings_from_toml(Path(name).read_bytes() if name else b"")


def pathway_named(name: str) -> dermreport.Pathway:
    """Return a pathway that comes with the library, or the one in a file.

    Raises:
        PathwayError: The file doesn't fit.
        OSError: There is no such file.
    """
    from dermreport.pathways.reading import SHIPPED  # noqa: PLC0415 - loaded on first use

    if name in SHIPPED:
        return dermreport.shipped_pathway(name)
    return dermreport.pathway_from_toml(Path(name).read_bytes())


def reviews(entry: Given, settings: dermreport.Settings) -> list[Review]:
    """Return the reviews of an entry, one a lesion."""
    from dermreport.reviews import review  # noqa: PLC0415 - loaded on first use

    return [review(examination, settings) for examination in entry.examinations]
