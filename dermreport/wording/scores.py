"""The scores of one examination as plain text: each with its criteria, cautions, figures and source; what is open."""

from __future__ import annotations

from typing import TYPE_CHECKING

from dermreport.scores.method import CAUTIONS
from dermreport.wording.decisions import decisions_as_text, path_words_of
from dermreport.wording.sentences import score_sentence

if TYPE_CHECKING:
    from dermreport.reviews.review import Review
    from dermreport.scores.engine import ScoreResult


def scores_as_text(review: Review) -> str:
    """Return every score of a review; what each says stands under the cautions that hold for all."""
    lines = [f"  {caution}" for caution in CAUTIONS]
    for result in (*review.scores.values(), *review.plugin_scores.values()):
        lines.append(f"  {score_sentence(result)}")
        lines += [f"    {line}" for line in _details(result)]
    lines.append(decisions_as_text(review))
    return "\n".join(lines)


def _details(result: ScoreResult) -> list[str]:
    labels = {criterion.id: criterion.label for criterion in result.method.criteria}
    lines = []
    if result.valid:
        lines.append(f"met: {', '.join(labels[one] for one in result.met) or 'none'}")
        if result.open:
            lines.append(f"open: {', '.join(labels[one] for one in result.open)}")
        if result.path is not None:
            lines.append(f"step by step: {path_words_of(result.path)}")
        lines += [f"caution: {one}" for one in result.cautions if one not in CAUTIONS]
        lines += [f"published: {figure.text}" for figure in result.method.figures]
    lines.append(f"source: {result.method.basis.text}")
    return lines
