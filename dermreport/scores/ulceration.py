"""Loss of surface as several methods count it: seen in the dermatoscope, or by the naked eye."""

from __future__ import annotations

from dermreport.expressions.nodes import Expression, Given, Present, every, is_one_of, some
from dermreport.scores.recorded import present_where_recorded
from dermreport.vocabulary.judgements import Judgement
from dermreport.vocabulary.structures import Structure

#: By the naked eye a surface can be seen to be lost; that it is whole is told by the dermatoscope alone.
_SEEN_BY_THE_NAKED_EYE = every(Given("lesion.ulcerated"), is_one_of("lesion.ulcerated", Judgement.YES))

ULCERATION: Expression = some(_SEEN_BY_THE_NAKED_EYE, Present(Structure.ULCERATION))
ULCERATION_OR_EROSION: Expression = some(ULCERATION, present_where_recorded(Structure.EROSIONS_SMALL_MULTIPLE))
