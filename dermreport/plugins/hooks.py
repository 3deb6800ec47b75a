"""What a plugin can give: one hook each, by its name. Each is called once, when the plugin is loaded.

Every hook but the first can be left out. What one gives is held to what a plugin may add before anything of it is used.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Final

import pluggy

if TYPE_CHECKING:
    from dermreport.codings import ExtraCoding
    from dermreport.plugin import About, LetterSection, ResourceMaker, Row, Rule
    from dermreport.scores.method import Method

#: The project of the markers, and the group of the entry points.
GROUP: Final = "dermreport"
_spec = pluggy.HookspecMarker(GROUP)


class Hooks:
    """The hooks."""

    @_spec
    def dermreport_about(self) -> About:  # type: ignore[empty-body]  # a specification
        """Return who the plugin is; an entry point has the same name."""

    @_spec
    def dermreport_rows(self) -> Sequence[Row]:  # type: ignore[empty-body]  # the same
        """Return rows of the plugin's own code system, which an entry can have wherever it takes another code."""

    @_spec
    def dermreport_codings(self) -> Sequence[ExtraCoding]:  # type: ignore[empty-body]  # the same
        """Return codes that stand beside ours for rows of the library's vocabulary."""

    @_spec
    def dermreport_methods(self) -> Sequence[Method]:  # type: ignore[empty-body]  # the same
        """Return methods, each with a code of the plugin's system; they stand beside the library's."""

    @_spec
    def dermreport_rules(self) -> Sequence[Rule]:  # type: ignore[empty-body]  # the same
        """Return rules; they can't silence one of the library's."""

    @_spec
    def dermreport_pathways(self) -> Sequence[str]:  # type: ignore[empty-body]  # the same
        """Return pathways as TOML; a host puts one in force, and the library's core is in each."""

    @_spec
    def dermreport_letter_sections(self) -> Sequence[LetterSection]:  # type: ignore[empty-body]  # the same
        """Return sections of letters, which stand after what the library says and before its cautions."""

    @_spec
    def dermreport_resources(self) -> Sequence[ResourceMaker]:  # type: ignore[empty-body]  # the same
        """Return what makes further FHIR resources of a report."""
