"""What illustrates a letter that can show pictures: the body map, codes, and photographs that were handed in."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from io import BytesIO
from typing import TYPE_CHECKING

from dermreport.extras import loaded
from dermreport.letters.blocks import Picture

if TYPE_CHECKING:
    from dermreport.examination.model import Examination
    from dermreport.issues import Issue
    from dermreport.letters.blocks import Figure
    from dermreport.letters.settings import Purpose
    from dermreport.letters.speech import Speech


class Drawn:
    """Drawings, codes and pictures."""

    def __init__(self, pictures: Mapping[str, bytes], purpose: Purpose) -> None:
        """Take the files that were handed in, by the key of their image, and what they are for."""
        self._files = pictures
        self._purpose = purpose

    def drawings(self, examinations: Sequence[Examination], speech: Speech) -> Sequence[Figure | None]:
        """Return the body map for each examination."""
        del speech
        return [None for _ in examinations]

    def code(self, content: str) -> Picture:
        """Return a code of ISO/IEC 18004 that a camera reads, medium error correction."""
        made = BytesIO()
        loaded("segno").make(content, micro=False, error="m").save(made, kind="svg", xmldecl=False, border=4, scale=4)
        return Picture(made.getvalue(), "image/svg+xml", (content.replace("\n", " "),), 0.16)

    def pictures(self, position: int, examination: Examination) -> tuple[Mapping[str, Picture], tuple[Issue, ...]]:
        """Return what is embedded, by key, and why others aren't."""
        del position, examination
        return {}, ()
