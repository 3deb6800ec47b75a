"""What the example clinic adds to its reports: the hooks, each with what it gives."""

from __future__ import annotations

from importlib.metadata import version
from importlib.resources import files

import pluggy

from dermreport.plugins import About, ExtraCoding, LetterSection, Method, ResourceMaker, Row, Rule
from example_clinic import checklist, codes, letters, resources, rules

hookimpl = pluggy.HookimplMarker("dermreport")


@hookimpl
def dermreport_about() -> About:
    """Return who this is."""
    return About(
        name=codes.NAME,
        version=version("dermreport-example-clinic"),
        title="Example clinic",
        system=codes.SYSTEM,
    )


@hookimpl
def dermreport_rows() -> tuple[Row, ...]:
    """Return the rows of the clinic's code system."""
    return codes.ROWS


@hookimpl
def dermreport_codings() -> tuple[ExtraCoding, ...]:
    """Return the clinic's old codes beside those of the library."""
    return codes.CODINGS


@hookimpl
def dermreport_methods() -> tuple[Method, ...]:
    """Return the recheck list."""
    return (checklist.RECHECK,)


@hookimpl
def dermreport_rules() -> tuple[Rule, ...]:
    """Return the clinic's rules."""
    return rules.RULES


@hookimpl
def dermreport_pathways() -> tuple[str, ...]:
    """Return the clinic's pathway; it is in force only where a host says so."""
    return (files(__name__).joinpath("pathway.toml").read_text(encoding="utf-8"),)


@hookimpl
def dermreport_letter_sections() -> tuple[LetterSection, ...]:
    """Return what stands at the end of a letter to a colleague."""
    return (letters.CONTACT,)


@hookimpl
def dermreport_resources() -> tuple[ResourceMaker, ...]:
    """Return what makes further resources."""
    return (resources.AUDIT, resources.FLAG)
