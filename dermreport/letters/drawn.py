"""What illustrates a letter that can show pictures: the body map, codes, and photographs that were handed in."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from io import BytesIO
from typing import TYPE_CHECKING

from dermreport.extras import loaded
from dermreport.issues import IssueRule, Severity
from dermreport.letters.blocks import Figure, Picture
from dermreport.letters.pictures import prepared
from dermreport.plots.body_map import Extent, body_map_svg

if TYPE_CHECKING:
    from dermreport.examination.model import Examination
    from dermreport.issues import Issue
    from dermreport.letters.blocks import Line
    from dermreport.letters.settings import PicturePurpose
    from dermreport.letters.speech import Speech
    from dermreport.plots.body_map import MarkedDrawing

NOT_IN_THE_RECORD = IssueRule(
    "letter-picture-unknown",
    "{count} of the pictures that were handed in are in no examination of this letter: they aren't embedded. Name each "
    "by the key of its image; in a letter on several lesions by the examination's number, a stroke and the key.",
    "how this library makes letters; no source",
    Severity.WARNING,
    "H26",
)
#: Two photographs stand side by side.
_WIDTH = 0.47
_CODE_WIDTH = 0.13
_DRAWING = 0.2
#: A label that is drawn as it is; others are numbers on the drawing.
_is_plain = re.compile(r"[A-Za-z0-9]{1,3}").fullmatch


def _figure(drawing: MarkedDrawing) -> Figure:
    words: Line = (" ".join((drawing.title + ".", *drawing.description)),)
    return Figure(Picture(drawing.svg.encode(), "image/svg+xml", words, _DRAWING), (drawing.title,))


class Drawn:
    """Drawings, codes and pictures."""

    def __init__(
        self, examinations: Sequence[Examination], pictures: Mapping[str, bytes], purpose: PicturePurpose, colour: str
    ) -> None:
        """Take the files that were handed in, what they are for, and the colour of a drawing's lines."""
        self._colour = colour
        self._alone = len(examinations) == 1
        self._files = pictures
        self._purpose = purpose
        known = {name for one in examinations for image in one.images for name in self._names(one, image.key)}
        self._unknown = len(set(pictures) - known)

    def _names(self, examination: Examination, key: str) -> tuple[str, ...]:
        """Return how a picture may be handed in; a key alone only where no other examination could have it."""
        numbered = f"{examination.identifier.value}/{key}"
        return (numbered, key) if self._alone else (numbered,)

    def drawings(self, examinations: Sequence[Examination], speech: Speech) -> Sequence[Figure | None]:
        """Return the body map for each examination, with the lesion's label or its place in the letter."""
        texts = speech.map_texts()
        labels = [one.lesion.label if one.lesion is not None else None for one in examinations]
        plain = all(one is not None and _is_plain(one) for one in labels) and len(set(labels)) == len(labels)
        drawn: list[Figure | None] = []
        for position, (examination, label) in enumerate(zip(examinations, labels, strict=True)):
            name = label if plain and label is not None else str(position + 1)
            lesion = examination.lesion
            made = (
                body_map_svg(
                    [lesion],
                    names=(name,),
                    prefix=f"map-{position}",
                    colour=self._colour,
                    texts=texts,
                    extent=Extent.HALF,
                )
                if lesion is not None
                else ()
            )
            drawn.append(_figure(made[0]) if made else None)
        return drawn

    def code(self, content: str) -> Picture:
        """Return a code of ISO/IEC 18004 that a camera reads, medium error correction."""
        made = BytesIO()
        loaded("segno").make(content, micro=False, error="m").save(made, kind="svg", xmldecl=False, border=4, scale=4)
        return Picture(made.getvalue(), "image/svg+xml", (content.replace("\n", " "),), _CODE_WIDTH)

    def pictures(self, position: int, examination: Examination) -> tuple[Mapping[str, Picture], tuple[Issue, ...]]:
        """Return what is embedded, by key, and why others aren't."""
        found: dict[str, Picture] = {}
        issues: list[Issue] = []
        for place, image in enumerate(examination.images):
            names = [one for one in self._names(examination, image.key) if one in self._files]
            if not names:
                continue
            made = prepared(image, self._files[names[0]], purpose=self._purpose, path=f"$.images[{place}]")
            issues.extend(made.issues)
            if made.content is not None:
                found[image.key] = Picture(made.content, made.media_type, (), _WIDTH)
        if position == 0 and self._unknown:
            issues.append(NOT_IN_THE_RECORD.at("$.images", count=str(self._unknown)))
        return found, tuple(issues)
