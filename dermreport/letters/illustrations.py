"""What draws for a letter: the body map, machine-readable codes, embedded pictures; or nothing, where only words go."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Protocol

if TYPE_CHECKING:
    from dermreport.examination.model import Examination
    from dermreport.issues import Issue
    from dermreport.letters.blocks import Figure, Picture
    from dermreport.letters.speech import Speech


class Illustrations(Protocol):
    """What a letter is illustrated with."""

    def drawings(self, examinations: Sequence[Examination], speech: Speech) -> Sequence[Figure | None]:
        """Return the body map for each examination, None where nobody recorded a place that it has."""
        ...

    def code(self, content: str) -> Picture | None:
        """Return a machine-readable code."""
        ...

    def pictures(self, position: int, examination: Examination) -> tuple[Mapping[str, Picture], tuple[Issue, ...]]:
        """Return what of an examination's pictures is embedded, by key, and why others aren't."""
        ...


class InWords:
    """A letter of words alone."""

    def drawings(self, examinations: Sequence[Examination], speech: Speech) -> Sequence[Figure | None]:
        """Return no drawing: site and side stand in the words."""
        del speech
        return [None for _ in examinations]

    def code(self, content: str) -> None:
        """Return no code: its content stands in the words."""

    def pictures(self, position: int, examination: Examination) -> tuple[Mapping[str, Picture], tuple[Issue, ...]]:
        """Return nothing: pictures are listed."""
        del position, examination
        return {}, ()
