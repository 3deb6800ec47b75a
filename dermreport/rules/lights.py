"""Rules on the light: each view says which it was, and a structure is judged by the light that can show it."""

from __future__ import annotations

from functools import partial

from dermreport.expressions.nodes import Exists, Expression, Fact, Given, Not, every, is_one_of, some
from dermreport.issues import Severity
from dermreport.rules.conditions import recorded_as
from dermreport.rules.rule import Group, Rule
from dermreport.sources import COMMON_PRACTICE, Source, seen
from dermreport.vocabulary.contacts import Contact
from dermreport.vocabulary.elements import Element
from dermreport.vocabulary.light_fits import LightFit
from dermreport.vocabulary.lights import Light
from dermreport.vocabulary.mediums import Medium
from dermreport.vocabulary.presences import Presence
from dermreport.vocabulary.pressures import Pressure

_VIEWS = "views"
_ONLY_IN_POLARISED_LIGHT = seen(
    Source.TERMINOLOGY_OF_SHINY_WHITE_STRUCTURES,
    Source.WHITE_SHINY_STRUCTURES_2011,
)
_LIGHTS_COMPARED = seen(Source.LIGHTS_COMPARED_2007, Source.LIGHTS_COMPARED_PAGE)

_PRESENT = recorded_as("@.presence", Presence.PRESENT)
_ABSENT = recorded_as("@.presence", Presence.ABSENT)
_NON_POLARISED = recorded_as("@.light", Light.NON_POLARISED)
_ONLY_POLARISED_SHOWS_IT = recorded_as("@.structure.light", LightFit.ONLY_POLARISED)


def _between(*mediums: Medium) -> Expression:
    """Return the condition that one of these lay between faceplate and skin."""
    return Exists("@.immersion", is_one_of("@", *mediums))


_FLUID = _between(Medium.GEL, Medium.ALCOHOL, Medium.WATER, Medium.OIL)

_error = partial(Rule, group=Group.LIGHT, severity=Severity.ERROR, hazard="H03")
_warning = partial(Rule, group=Group.LIGHT, severity=Severity.WARNING, hazard="H03")
_information = partial(Rule, group=Group.LIGHT, severity=Severity.INFORMATION, hazard="H03")

LIGHT_RULES: tuple[Rule, ...] = (
    _error(
        id="light-finding-unknown-view",
        each="findings",
        when=Fact("names-unknown-view"),
        at=_VIEWS,
        message="This finding names a view that isn’t in the record: correct the key.",
        basis=COMMON_PRACTICE,
    ),
    _error(
        id="light-list-unknown-view",
        each="lists_gone_through",
        when=Fact("names-unknown-view"),
        at=_VIEWS,
        message="This list names a view that isn’t in the record: correct the key.",
        basis=COMMON_PRACTICE,
    ),
    _warning(
        id="light-view-missing",
        when=every(some(Given("findings"), Given("lists_gone_through")), Not(Given(_VIEWS))),
        at=_VIEWS,
        message="In which light was this seen? Record the view: what its light can’t show isn’t absent.",
        basis=COMMON_PRACTICE,
    ),
    _warning(
        id="light-unknown",
        each=_VIEWS,
        when=recorded_as("@.light", Light.UNKNOWN),
        at="light",
        message="In which light was this seen? Without it nobody can tell what was absent from what could not be seen.",
        basis=COMMON_PRACTICE,
    ),
    _warning(
        id="light-unknown-image",
        each="images",
        when=Fact("image-light-not-known"),
        at="view",
        message="This picture doesn’t say in which light it was taken: name its view, and the view’s light.",
        basis=COMMON_PRACTICE,
    ),
    _warning(
        id="light-nonpolarised-without-contact",
        each=_VIEWS,
        when=every(_NON_POLARISED, recorded_as("@.contact", Contact.NON_CONTACT)),
        at="contact",
        message="Non-polarised light without contact shows the glare of the surface: check the light or the contact.",
        basis=COMMON_PRACTICE,
    ),
    _warning(
        id="light-nonpolarised-without-medium",
        each=_VIEWS,
        when=every(
            _NON_POLARISED,
            recorded_as("@.contact", Contact.CONTACT),
            _between(Medium.NONE),
            Not(_FLUID),
        ),
        at="immersion",
        message="Non-polarised light needs gel, alcohol, oil or water: dry skin reflects and hides structures.",
        basis=COMMON_PRACTICE,
    ),
    _warning(
        id="light-medium-without-contact",
        each=_VIEWS,
        when=every(recorded_as("@.contact", Contact.NON_CONTACT), _FLUID),
        at="immersion",
        message="A medium needs contact: check which of the two is right.",
        basis=COMMON_PRACTICE,
    ),
    _warning(
        id="light-medium-and-none",
        each=_VIEWS,
        when=every(_between(Medium.NONE), _FLUID),
        at="immersion",
        message="A medium and none at once: check which is right.",
        basis=COMMON_PRACTICE,
    ),
    _warning(
        id="light-structure-not-visible",
        each="findings",
        when=every(_PRESENT, _ONLY_POLARISED_SHOWS_IT, Fact("only-in-non-polarised-light")),
        at="structure",
        message="Hardly ever visible without polarised light: {structure}. Check the light or the name.",
        basis=_ONLY_IN_POLARISED_LIGHT,
        shown=(("structure", "@.structure"),),
    ),
    _warning(
        id="light-absent-not-visible",
        each="findings",
        when=every(_ABSENT, _ONLY_POLARISED_SHOWS_IT, Fact("only-in-non-polarised-light")),
        at="presence",
        message=(
            "The light used can’t show it: {structure}. It counts as not assessed; look again in polarised light. "
            "Your entry is unchanged."
        ),
        basis=_ONLY_IN_POLARISED_LIGHT,
        shown=(("structure", "@.structure"),),
    ),
    _warning(
        id="light-finding-without-view",
        when=every(
            Exists(_VIEWS, recorded_as("@.light", Light.POLARISED)),
            Exists(_VIEWS, _NON_POLARISED),
            Exists("findings", every(_PRESENT, Not(Given("@.views")))),
        ),
        at="findings",
        message="More than one light was used: say of each finding in which view it was seen.",
        basis=COMMON_PRACTICE,
    ),
    _information(
        id="light-list-not-visible",
        each="lists_gone_through",
        when=every(Fact("only-in-non-polarised-light"), Fact("list-needs-polarised-light")),
        at="list",
        message=(
            "Some items of this list show only in polarised light, and it was gone through without: those count as "
            "not assessed."
        ),
        basis=_ONLY_IN_POLARISED_LIGHT,
    ),
    _information(
        id="light-absent-less-visible",
        each="findings",
        when=every(
            _ABSENT,
            some(
                every(recorded_as("@.structure.light", LightFit.BETTER_POLARISED), Fact("only-in-non-polarised-light")),
                every(recorded_as("@.structure.light", LightFit.BETTER_NON_POLARISED), Fact("only-in-polarised-light")),
            ),
        ),
        at="presence",
        message="The other light shows this better, so that it is absent is less sure: {structure}.",
        basis=_LIGHTS_COMPARED,
        shown=(("structure", "@.structure"),),
    ),
    _information(
        id="light-vessels-pressure",
        when=every(
            Exists("findings", every(_ABSENT, recorded_as("@.structure.element", Element.VESSEL))),
            Given(_VIEWS),
            Not(
                Exists(
                    _VIEWS,
                    some(
                        Not(recorded_as("@.contact", Contact.CONTACT)),
                        _between(Medium.GEL),
                        recorded_as("@.pressure", Pressure.LIGHT),
                    ),
                )
            ),
        ),
        at="findings",
        message="Pressure empties vessels: look again with gel and a light touch, or polarised without contact.",
        basis=COMMON_PRACTICE,
    ),
)
