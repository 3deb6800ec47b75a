"""The standard page: itself a template of the kind that a host can write, with its style sheet and the parts in it."""

from __future__ import annotations

from functools import cache
from importlib import resources
from typing import TYPE_CHECKING, Final

from dermreport.extras import loaded
from dermreport.letters.template_language import sandbox
from dermreport.letters.views import Shown, letter_view, section_view

if TYPE_CHECKING:
    from collections.abc import Iterable

    from jinja2.sandbox import ImmutableSandboxedEnvironment

    from dermreport.letters.blocks import Section, Tree


#: What a page may do, as browsers hold it to: nothing runs, nothing is fetched, pictures stand in the page.
POLICY: Final = "default-src 'none'; img-src data:; style-src 'unsafe-inline'"


def standard_page(tree: Tree) -> str:
    """Return a letter as the standard page.

    Raises:
        MissingExtraError: jinja2 isn't installed.
    """
    template = _environment().get_template("page.html")
    return template.render(letter=letter_view(tree), body=body(tree.sections), style=style(), policy=POLICY)


def body(sections: Iterable[Section]) -> Shown:
    """Return parts of a letter as a piece of a page."""
    template = _environment().get_template("body.html")
    return Shown(template.render(sections=[section_view(section) for section in sections]))


@cache
def style() -> Shown:
    """Return the standard page's style sheet: ours, so nothing is escaped in it."""
    return Shown(_shipped("page.css"))


@cache
def _environment() -> ImmutableSandboxedEnvironment:
    return sandbox(loader=loaded("jinja2").FunctionLoader(_shipped), autoescape=True)


def _shipped(name: str) -> str:
    return resources.files("dermreport.letters").joinpath(name).read_text(encoding="utf-8")
