"""What a host decides, as a command takes it."""

from __future__ import annotations

import argparse
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
        "--pathway", metavar="NAME|FILE", help="compare the plan with this pathway; default: the neutral one"
    )


def host_settings(options: argparse.Namespace) -> dermreport.Settings:
    """Return the settings of the file, changed by what the call says.

    Raises:
        SettingsError: The file doesn't fit.
        PathwayError: The pathway's file doesn't fit.
        OSError: There is no such file.
    """
    settings = dermreport.Settings()
    if options.settings:
        settings = dermreport.settings_from_toml(Path(options.settings).read_bytes())
    return replace(settings, pathway=pathway_named(options.pathway)) if options.pathway else settings


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
