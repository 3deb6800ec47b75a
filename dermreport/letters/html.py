"""A letter as one HTML page: no script, nothing fetched, for the screen, for paper and for who can't see it.

Read is the tree of blocks and nothing else. The standard page is itself a template of the kind that a host can write.
"""

from __future__ import annotations

from functools import cache
from importlib import resources
from typing import TYPE_CHECKING

from dermreport.extras import loaded
from dermreport.letters.views import Shown, letter_view, section_view

if TYPE_CHECKING:
    from collections.abc import Iterable

    from jinja2.sandbox import ImmutableSandboxedEnvironment

    from dermreport.letters.blocks import Section, Tree


def write_html(tree: Tree) -> str:
    """Write a letter as a page of its own.

    Args:
        tree: The letter.

    Returns:
        The page; UTF-8 where it is stored. Its title is the tree's subject, so nothing of the patient stands there.

    Raises:
        MissingExtraError: jinja2 isn't installed.
    """
    page: str = (
        _environment()
        .get_template("page.html")
        .render(letter=letter_view(tree), body=body(tree.sections), style=style())
    )
    return page


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
    jinja2, sandbox = loaded("jinja2"), loaded("jinja2.sandbox")
    made: ImmutableSandboxedEnvironment = sandbox.ImmutableSandboxedEnvironment(
        loader=jinja2.FunctionLoader(_shipped),
        autoescape=True,
        undefined=jinja2.StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )
    return made


def _shipped(name: str) -> str:
    return resources.files("dermreport.letters").joinpath(name).read_text(encoding="utf-8")
