"""How the two diameters of a lesion changed, and whether they changed alike."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import ROUND_HALF_EVEN, Decimal
from enum import StrEnum
from typing import TYPE_CHECKING, Final

from dermreport.over_time.kinds import (
    ENLARGED,
    ENLARGED_EVENLY,
    ENLARGED_UNEVENLY,
    EVEN_WITHIN_PERCENT,
    HARDLY_DIFFERS,
    MEASURABLE,
    SMALLER,
    Kind,
)

if TYPE_CHECKING:
    from dermreport.examination.model import Examination


class Evenness(StrEnum):
    """Whether a lesion grew alike along both axes, as far as two diameters can tell."""

    EVENLY = "evenly, as far as two diameters tell"
    UNEVENLY = "unevenly"
    NOT_TOLD = "not told"


_TENTH: Final = Decimal("0.1")


@dataclass(frozen=True, slots=True)
class Diameter:
    """One diameter at two examinations, in millimetres.

    Attributes:
        then: At the earlier one.
        now: At the later one.
    """

    then: Decimal | None
    now: Decimal | None

    @property
    def difference(self) -> Decimal | None:
        """Now less then; ``None`` where one isn't recorded."""
        return None if self.then is None or self.now is None else self.now - self.then

    @property
    def percent(self) -> Decimal | None:
        """The difference in per cent of the earlier one, to one decimal place."""
        difference = self.difference
        if difference is None or not self.then:
            return None
        return (100 * difference / self.then).quantize(_TENTH, ROUND_HALF_EVEN)


@dataclass(frozen=True, slots=True)
class Growth:
    """Both diameters at two examinations.

    Attributes:
        longest: The longest diameter.
        crosswise: The one at right angles to it.
    """

    longest: Diameter
    crosswise: Diameter

    @property
    def settled(self) -> bool:
        """Whether both diameters were measured both times."""
        return self.longest.difference is not None and self.crosswise.difference is not None

    @property
    def evenness(self) -> Evenness | None:
        """Whether it grew alike along both axes; ``None`` where it isn't known to have grown.

        It grew unevenly where the axes differ both by 0.5 mm or more and by more than ten per cent: the same growth at
        every point of the edge gives other per cents, and the same share of growth gives other millimetres. That is
        common practice, no source; and two diameters can't tell a growth at one side from one at both.
        """
        differences = [one.difference for one in (self.longest, self.crosswise)]
        known = [one for one in differences if one is not None]
        if not known or max(known) < MEASURABLE:
            return None
        percents = [one.percent for one in (self.longest, self.crosswise) if one.percent is not None]
        if len(known) < len(differences) or len(percents) < len(known):
            return Evenness.NOT_TOLD
        apart = max(known) - min(known) >= MEASURABLE and max(percents) - min(percents) > EVEN_WITHIN_PERCENT
        return Evenness.UNEVENLY if apart else Evenness.EVENLY

    @property
    def kind(self) -> Kind | None:
        """What kind of change it is; ``None`` where nothing was measured twice, or it is the same."""
        evenness = self.evenness
        if evenness is not None:
            return _KINDS[evenness]
        known = [one.difference for one in (self.longest, self.crosswise) if one.difference is not None]
        if any(one <= -MEASURABLE for one in known):
            return SMALLER
        return HARDLY_DIFFERS if any(known) else None


_KINDS: Final = {
    Evenness.EVENLY: ENLARGED_EVENLY,
    Evenness.UNEVENLY: ENLARGED_UNEVENLY,
    Evenness.NOT_TOLD: ENLARGED,
}


def growth(then: Examination, now: Examination) -> Growth:
    """Return both diameters of two examinations."""
    before, after = then.lesion, now.lesion
    return Growth(
        Diameter(before.longest_mm if before else None, after.longest_mm if after else None),
        Diameter(before.crosswise_mm if before else None, after.crosswise_mm if after else None),
    )
