"""Rules on the site and its side, and on what has no meaning there."""

from __future__ import annotations

from dermreport.expressions.nodes import Exists, Fact, Given, Not, every, is_one_of, some
from dermreport.issues import Severity
from dermreport.rules.conditions import ACTIONS, DOUBTFUL, planned, recorded_as
from dermreport.rules.rule import Group, Rule
from dermreport.sources import COMMON_PRACTICE
from dermreport.vocabulary.action_kinds import ActionKind
from dermreport.vocabulary.depths import Depth
from dermreport.vocabulary.lateralities import Laterality
from dermreport.vocabulary.presences import Presence
from dermreport.vocabulary.sides import Side
from dermreport.vocabulary.site_traits import SiteTrait

_PRESENT = recorded_as("@.presence", Presence.PRESENT)
_NAIL_STRUCTURE = recorded_as("@.structure.depth", Depth.NAIL_UNIT)


def _site_is(trait: SiteTrait) -> Exists:
    return Exists("lesion.site.traits", is_one_of("@", trait))


SITE_RULES: tuple[Rule, ...] = (
    Rule(
        id="site-missing",
        group=Group.SITE,
        severity=Severity.ERROR,
        when=Not(Given("lesion.site")),
        at="lesion.site",
        message="Where is the lesion? Give the site.",
        basis=COMMON_PRACTICE,
        hazard="H02",
    ),
    Rule(
        id="site-side-missing",
        group=Group.SITE,
        severity=Severity.ERROR,
        when=every(
            recorded_as("lesion.site.laterality", Laterality.PAIRED),
            Not(recorded_as("lesion.side", Side.LEFT, Side.RIGHT)),
        ),
        at="lesion.side",
        message="Left or right? There is one on each side ({site}).",
        basis=COMMON_PRACTICE,
        hazard="H02",
        shown=(("site", "lesion.site"),),
    ),
    Rule(
        id="site-nail-structure-elsewhere",
        group=Group.SITE,
        severity=Severity.ERROR,
        when=every(
            _PRESENT,
            _NAIL_STRUCTURE,
            Given("lesion.site.reading_style"),
            Not(some(_site_is(SiteTrait.NAIL), _site_is(SiteTrait.DIGIT))),
        ),
        at="structure",
        message="A sign of a nail ({structure}) at a site without one ({site}): which finger or toe is it?",
        basis=COMMON_PRACTICE,
        hazard="H02",
        each="findings",
        shown=(("structure", "@.structure"), ("site", "lesion.site")),
    ),
    Rule(
        id="site-side-impossible",
        group=Group.SITE,
        severity=Severity.WARNING,
        when=every(
            recorded_as("lesion.site.laterality", Laterality.MIDLINE),
            recorded_as("lesion.side", Side.LEFT, Side.RIGHT),
        ),
        at="lesion.side",
        message="The site lies on the midline and has no side ({site}): check site and side.",
        basis=COMMON_PRACTICE,
        hazard="H02",
        shown=(("site", "lesion.site"),),
    ),
    Rule(
        id="site-too-vague",
        group=Group.SITE,
        severity=Severity.WARNING,
        when=recorded_as("lesion.site.vague", True),  # noqa: FBT003 - the truth value is what the table holds
        at="lesion.site",
        message="Give the exact place: how the lesion is read, and a surgeon, depend on it.",
        basis=COMMON_PRACTICE,
        hazard="H02",
    ),
    Rule(
        id="site-map-point-outside",
        group=Group.SITE,
        severity=Severity.WARNING,
        when=every(Given("lesion.map_point"), Fact("map-point-outside-site")),
        at="lesion.map_point",
        message="The point on the body map ({map}) lies outside the site ({site}): check both.",
        basis=COMMON_PRACTICE,
        hazard="H02",
        shown=(("map", "lesion.map_point.map"), ("site", "lesion.site")),
    ),
    Rule(
        id="site-map-point-other-side",
        group=Group.SITE,
        severity=Severity.WARNING,
        when=every(Given("lesion.map_point"), Fact("map-point-on-other-side")),
        at="lesion.map_point",
        message="The point on the body map ({map}) doesn’t lie on the side given ({side}): check which is right.",
        basis=COMMON_PRACTICE,
        hazard="H02",
        shown=(("map", "lesion.map_point.map"), ("side", "lesion.side")),
    ),
    Rule(
        id="site-structure-without-meaning",
        group=Group.SITE,
        severity=Severity.WARNING,
        when=every(
            _PRESENT,
            Fact("structure-without-meaning-here"),
            Not(every(_NAIL_STRUCTURE, Not(_site_is(SiteTrait.DIGIT)))),
        ),
        at="structure",
        message="Described for another kind of skin than this site ({site}): {structure}. Check the site or the name.",
        basis=COMMON_PRACTICE,
        hazard="H05",
        each="findings",
        shown=(("structure", "@.structure"), ("site", "lesion.site")),
    ),
    Rule(
        id="site-pattern-without-meaning",
        group=Group.SITE,
        severity=Severity.WARNING,
        when=Fact("pattern-without-meaning-here"),
        at="description.pattern",
        message="Described for another kind of skin than this site ({site}): {pattern}. Check the site or the name.",
        basis=COMMON_PRACTICE,
        hazard="H05",
        shown=(("pattern", "description.pattern"), ("site", "lesion.site")),
    ),
    Rule(
        id="site-facial-eye-margin",
        group=Group.SITE,
        severity=Severity.WARNING,
        when=every(
            _site_is(SiteTrait.EYE),
            Given(ACTIONS),
            DOUBTFUL,
            Not(planned(ActionKind.REFERRAL, ActionKind.OPINION)),
        ),
        at=ACTIONS,
        message="At the margin of the eye: let a specialist decide.",
        basis=COMMON_PRACTICE,
        hazard="H06",
    ),
    Rule(
        id="site-list-without-meaning",
        group=Group.SITE,
        severity=Severity.INFORMATION,
        when=Fact("list-without-meaning-here"),
        at="list",
        message="Nothing on the list «{list}» is described for {site}: that none was seen says little.",
        basis=COMMON_PRACTICE,
        hazard="H05",
        each="lists_gone_through",
        shown=(("list", "@.list"), ("site", "lesion.site")),
    ),
    Rule(
        id="site-two-reading-styles",
        group=Group.SITE,
        severity=Severity.INFORMATION,
        when=Given("lesion.site.second_style"),
        at="lesion.site",
        message="The site ({site}) lies between two kinds of skin ({first}; {second}): methods for both are shown.",
        basis=COMMON_PRACTICE,
        hazard="H05",
        shown=(
            ("site", "lesion.site"),
            ("first", "lesion.site.reading_style"),
            ("second", "lesion.site.second_style"),
        ),
    ),
)
