"""A letter as one HTML page: no script, nothing fetched, for the screen, for paper and for who can't see it.

Read is the tree of blocks and nothing else.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from dermreport.letters.standard_page import standard_page
from dermreport.letters.templates import own_page

if TYPE_CHECKING:
    from dermreport.issues import Issue
    from dermreport.letters.blocks import Tree


def write_html(tree: Tree, page: str = "") -> tuple[str, tuple[Issue, ...]]:
    """Write a letter as a page of its own.

    Args:
        tree: The letter.
        page: The host's template of the page; empty for the standard one.

    Returns:
        The page, UTF-8 where it is stored, and what the host's template left out or couldn't do. The standard page's
        title is the tree's subject, so nothing of the patient stands in its head.

    Raises:
        SettingsError: The template can't be taken.
        MissingExtraError: jinja2 isn't installed.
    """
    return own_page(page, tree) if page else (standard_page(tree), ())
