"""Which light shows a structure."""

from __future__ import annotations

from dermreport.sources import COMMON_PRACTICE, Source, seen
from dermreport.vocabulary.lights import Light
from dermreport.vocabulary.term import Term

_LIGHTS_COMPARED = seen(Source.LIGHTS_COMPARED_2007, Source.LIGHTS_COMPARED_PAGE)


class LightFit(Term):
    """Which light shows a structure."""

    EITHER = "either", "either light", "Polarised and non-polarised light show it alike.", COMMON_PRACTICE
    BETTER_POLARISED = (
        "better-polarised",
        "better in polarised light",
        "Seen in both, plainer in polarised light: an absence found without it is less sure.",
        _LIGHTS_COMPARED,
    )
    BETTER_NON_POLARISED = (
        "better-non-polarised",
        "better in non-polarised light",
        "Seen in both, plainer in non-polarised light: an absence found without it is less sure.",
        _LIGHTS_COMPARED,
    )
    ONLY_POLARISED = (
        "only-polarised",
        "only in polarised light",
        "Not seen in non-polarised light: without polarised light it was not assessed.",
        seen(Source.TERMINOLOGY_OF_SHINY_WHITE_STRUCTURES, Source.WHITE_SHINY_STRUCTURES_2011),
    )

    @property
    def best(self) -> Light | None:
        """The light that shows the structure, or shows it best; None where either does alike."""
        return _BEST.get(self)


_BEST = {
    LightFit.ONLY_POLARISED: Light.POLARISED,
    LightFit.BETTER_POLARISED: Light.POLARISED,
    LightFit.BETTER_NON_POLARISED: Light.NON_POLARISED,
}
