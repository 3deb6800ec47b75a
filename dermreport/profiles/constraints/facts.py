"""Derived facts of the rules as FHIRPath: each is read from what the resources of a report state.

A fact on a score reads the score's Observation (its interpretation and its verdict), a fact on light reads what each
finding says of its lights, a fact on pictures follows the references between views and pictures. Each text is true or
false, and true only where the fact surely holds.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from dermreport.answers import MADE_OF_PARTS
from dermreport.expressions.fhirpath import NotSaidHereError
from dermreport.fhir.codes import TERMINOLOGY
from dermreport.fhir.extensions import Extension
from dermreport.fhir.people import BIRTH_TIME
from dermreport.profiles.constraints.fields import (
    DEPARTURES,
    IMAGES,
    IN_FORCE,
    LISTS,
    Field,
    about,
    coded,
    component,
    condition_of_items,
    extension,
    one_of,
    resource_of_items,
)
from dermreport.profiles.constraints.people import people
from dermreport.profiles.constraints.text import Spot, Text, joined, negated
from dermreport.profiles.constraints.times import (
    certainly_before,
    certainly_less_before,
    first_day,
    last_day,
    years_between,
)
from dermreport.rules.facts_description import MANY
from dermreport.rules.facts_plans import SAYS_NOTHING
from dermreport.rules.facts_scores import SECOND_FORMS
from dermreport.rules.facts_times import A_MONTH, CLOCK_TOLERANCE, LONGEST_YEAR_DAYS, SAME_VISIT
from dermreport.rules.tables import RULES
from dermreport.rules.windows import FACE, SHORT
from dermreport.scores.methods import CHECKLISTS, METHODS, NAMES
from dermreport.scores.validity import ADULT_YEARS
from dermreport.vocabulary.attributes import Attribute
from dermreport.vocabulary.colours import Colour
from dermreport.vocabulary.image_roles import ImageRole
from dermreport.vocabulary.image_scales import ImageScale
from dermreport.vocabulary.lights import Light
from dermreport.vocabulary.not_assessed_reasons import NotAssessedReason
from dermreport.vocabulary.places import Place
from dermreport.vocabulary.presences import Presence
from dermreport.vocabulary.replies import Reply
from dermreport.vocabulary.score_methods import ScoreMethod
from dermreport.vocabulary.sites import Site
from dermreport.vocabulary.structures import Structure, family_of
from dermreport.vocabulary.verdicts import Verdict
from dermreport.wording.items import FINDING, VIEW

Fact = Callable[[Text], str]


def said(name: str, text: Text) -> str:
    """Return whether a fact surely holds: true or false.

    Raises:
        NotSaidHereError: It can't be said on this spot, or in FHIRPath at all.
    """
    if name.startswith(_DEPARTS):
        return _departs_from(text, (name.removeprefix(_DEPARTS),))
    if name not in _FACTS:
        raise NotSaidHereError(name)
    return _FACTS[name](text)


def never_open(name: str) -> bool:
    """Return whether a fact always holds or doesn't, so that what isn't surely so surely isn't."""
    return name.startswith(_DEPARTS) or name in _NEVER_OPEN


# --- views, lights and pictures ---------------------------------------------------------------------------------------


def _names_unknown_view(text: Text) -> str:
    if text.items not in {FINDING.path, LISTS}:
        raise NotSaidHereError("a key of a view")
    return f"{component(Attribute.VIEW_KEY)}.exists()"


def _image_names_unknown_view(text: Text) -> str:
    if text.items != IMAGES:
        raise NotSaidHereError("a key of a view")
    return f"{extension(Extension.VIEW_KEY)}.exists()"


def _only_in(light: Light) -> Fact:
    def only_in(text: Text) -> str:
        if text.items != FINDING.path:
            raise NotSaidHereError("the lights of a list")
        lights = component(Attribute.LIGHT)
        return f"({lights}.exists() and {lights}.all(value.coding.exists({coded(Light, (light,))})))"

    return only_in


_LIGHT_KNOWN: Final = f"value.coding.exists({coded(Light)})"
_THROUGH_THE_DERMATOSCOPE: Final = f"value.exists({coded(ImageRole, (ImageRole.DERMATOSCOPIC,))})"


def _entries_of_images(text: Text, condition: str) -> str:
    """Return the path to the entries of pictures that meet a condition."""
    kind = resource_of_items(IMAGES, text.release)
    return f"{text.root}entry.where(resource.ofType({kind}).exists({condition_of_items(IMAGES)} and {condition}))"


def _image_light_not_known(text: Text) -> str:
    """Say it of all pictures at once: which view a picture belongs to is told by the view's reference to it."""
    if text.items:
        raise NotSaidHereError("the view of a picture, from the picture")
    inside = text.within(IMAGES)
    views = inside.all_items(VIEW.path)
    known = f"fullUrl.toString() in {views}.where({_LIGHT_KNOWN}).derivedFrom.reference.select(toString())"
    of_a_view = f"fullUrl.toString() in {views}.derivedFrom.reference.select(toString())"
    names_one = f"resource.{extension(Extension.VIEW_KEY)}.exists()"
    one_light = f"({views}.all({_LIGHT_KNOWN}) and {views}.value.coding.code.distinct().count() = 1)"
    images = _entries_of_images(text, f"{extension(Extension.IMAGE_ROLE)}.{_THROUGH_THE_DERMATOSCOPE}")
    return f"{images}.exists(({known}).not() and (({of_a_view}) or {names_one} or {negated(one_light)}))"


def _baseline(text: Text, *scales: ImageScale) -> str:
    role = extension(Extension.IMAGE_ROLE)
    condition = f"({role}.empty() or {role}.{_THROUGH_THE_DERMATOSCOPE})"
    if scales:
        condition += f" and {extension(Extension.IMAGE_SCALE)}.value.exists({coded(ImageScale, scales)})"
    known = f"{text.nested().all_items(VIEW.path)}.where({_LIGHT_KNOWN}).derivedFrom.reference.select(toString())"
    return f"{_entries_of_images(text, condition)}.fullUrl.select(toString()).intersect({known}).exists()"


def _absent_behind_limits(text: Text) -> str:
    """Say that something called absent counts as uncertain, because each view that could show it was limited."""
    hidden = coded(NotAssessedReason, (NotAssessedReason.HIDDEN,))
    uncertain = f"value.coding.exists({coded(Presence, (Presence.UNCERTAIN,))})"
    recorded = f"{component(Attribute.RECORDED_ANSWER)}.value.coding.exists({coded(Presence, (Presence.ABSENT,))})"
    because = f"{component(Attribute.NOT_ASSESSED_BECAUSE)}.value.coding.exists({hidden})"
    unticked = f"{extension(Extension.NOT_ASSESSED_BECAUSE)}.value.exists({hidden})"
    finding = f"{text.all_items(FINDING.path)}.exists({uncertain} and {recorded} and {because})"
    return f"({finding} or {text.all_items(LISTS)}.component.exists({uncertain} and {unticked}))"


# --- findings beside each other ---------------------------------------------------------------------------------------


def _absent_but_kind_present(text: Text) -> str:
    """Say it of all findings at once: structures are compared, alone or joined with their places.

    Absent everywhere goes against present anywhere but outside; absent at a place goes against present there.
    """
    if text.items:
        raise NotSaidHereError("the other findings")
    inside = text.within(FINDING.path)
    findings, others = text.all_items(FINDING.path), inside.all_items(FINDING.path)
    absent = inside.is_one_of("@.presence", Presence.ABSENT)
    present = inside.is_one_of("@.presence", Presence.PRESENT)
    place = component(Attribute.PLACE)
    everywhere = f"({place}.empty() or {inside.is_one_of('@.place', Place.WHOLE_LESION)})"
    inside_it = negated(inside.is_one_of("@.place", Place.OUTSIDE))
    structure = f"code.coding.where({coded(Structure)}).code"
    at = f"select({structure} & ' ' & {place}.value.coding.first().select(system & '|' & code))"
    anywhere = f"select({structure} & ' ')"
    wider = _with_wider(
        " | ".join(
            f"$this.where($this.matches('^({'|'.join(one.value for one in family_of(parent)[1:])}) .*$'))"
            f".select('{parent.value}' & $this.substring($this.indexOf(' ')))"
            for parent in _PARENTS
        )
    )
    return (
        f"({findings}.where({absent} and {everywhere}).{anywhere}.intersect("
        f"{others}.where({present} and {inside_it}).{anywhere}.{wider}).exists() or "
        f"{findings}.where({absent} and {place}.exists()).{at}.intersect("
        f"{others}.where({present} and {place}.exists()).{at}.{wider}).exists())"
    )


def _with_wider(wider: str) -> str:
    return f"select($this | {wider})"


_PARENTS: Final = tuple(one for one in Structure if len(family_of(one)) > 1)


def _differs_from_parts(text: Text) -> str:
    """Say it of all composites and patterns at once."""
    if text.items:
        raise NotSaidHereError("the parts")
    ways = []
    for structure in MADE_OF_PARTS:
        absent = text.structures.absent_by_parts(structure)
        present = text.structures.present_by_parts(structure)
        if absent is not None:
            ways.append(f"({_entered(Presence.PRESENT, structure)} and {absent})")
        if absent is not None and present is not None:
            ways.append(f"({_entered(Presence.ABSENT, structure)} and {present} and {negated(absent)})")
    return text.of_structures(joined(" or ", ways, "false"))


def _entered(presence: Presence, structure: Structure) -> str:
    return f"$this.contains(' entered-{presence.value}:{structure.value};')"


def _pattern_without_parts(text: Text) -> str:
    pattern = text.field("description.pattern")
    ways = [
        f"({pattern.is_one_of((structure,))} and {text.of_structures(absent)})"
        for structure in MADE_OF_PARTS
        if (absent := text.structures.absent_by_parts(structure)) is not None
    ]
    return joined(" or ", ways, "false")


_BROWNS: Final = f"$this.matches('^({Colour.LIGHT_BROWN.value}|{Colour.DARK_BROWN.value})$')"


def _colour_missing_from_list(text: Text) -> str:
    """Say it of all findings at once: their colours without those on the lists.

    Brown of a shade not given goes with either shade, and a list with brown on it has both.
    """
    if text.items:
        raise NotSaidHereError("the list of colours")
    inside = text.within(FINDING.path)
    shown = joined(
        " and ",
        [inside.is_one_of("@.presence", Presence.PRESENT), negated(inside.is_one_of("@.place", Place.OUTSIDE))],
        "true",
    )
    colour = f"value.coding.where({coded(Colour)}).code.select(toString())"
    recorded = f"{component(Attribute.COLOUR)}.{colour}"
    by_definition = " | ".join(
        f"code.coding.where({coded(Structure, structures)}).select('{one.value}')"
        for one in Colour
        if (structures := tuple(structure for structure in Structure if one in structure.implied_colours))
    )
    of_findings = f"{text.all_items(FINDING.path)}.where({shown}).select({recorded} | {by_definition})"
    listed = text.nested().observations(Attribute.LESION_COLOURS)
    shades = f"'{Colour.LIGHT_BROWN.value}' | '{Colour.DARK_BROWN.value}'"
    brown = f"'{Colour.BROWN.value}'"
    sure = (
        f"{listed}.{component(Attribute.COLOUR)}.{colour}.select($this | $this.where($this = {brown}).select({shades}))"
    )
    either = f"{listed}.component.where({about(Attribute.COLOUR, Attribute.DOUBTFUL_COLOUR)})"
    named = f"{either}.{colour}.select($this | $this.where({_BROWNS}).select({brown}))"
    return f"({text.field_of_colours().recorded()} and {of_findings}.exists(($this in ({sure} | {named})).not()))"


def _colour_sure_and_doubtful(text: Text) -> str:
    """Say it of our own code where a colour has one: two shades can share a standard one."""
    ours = coded(Colour)
    other = "coding.first().select(system & '|' & code)"
    which = f"value.select(iif(coding.exists({ours}), coding.where({ours}).code.toString(), {other}))"
    sure, doubtful = (text.field(f"description.{name}").path(which) for name in ("colours", "doubtful_colours"))
    return f"{sure}.intersect(%resource.{doubtful}).exists()"


def _many_absent_without_list(text: Text) -> str:
    inside = text.within(FINDING.path)
    absent = f"{text.all_items(FINDING.path)}.where({inside.is_one_of('@.presence', Presence.ABSENT)})"
    which = f"{absent}.select(code.coding.first().select(system & '|' & code)).distinct().count() > {MANY}"
    return f"({text.all_items(LISTS)}.empty() and {which})"


def _without_meaning(code: str) -> str:
    """Return whether a structure, by the path to its codings, isn't described for the kind of skin at the site."""
    ways = []
    for styles in dict.fromkeys(structure.reading_styles for structure in Structure):
        elsewhere = tuple(site for site in Site if site.styles and site.styles.isdisjoint(styles))
        others = tuple(site for site in Site if site not in elsewhere)
        structures = tuple(structure for structure in Structure if structure.reading_styles == styles)
        if elsewhere:
            short = coded(Site, elsewhere)
            if len(others) < len(elsewhere):
                short = f"{coded(Site)} and ({one_of(tuple(site.value for site in others))}).not()"
            ways.append(f"({code}.exists({coded(Structure, structures)}) and bodySite.coding.exists({short}))")
    return joined(" or ", ways, "false")


def _structure_without_meaning_here(text: Text) -> str:
    if text.items != FINDING.path or text.spot is not Spot.ITEM:
        raise NotSaidHereError("the site of a finding")
    return _without_meaning("code.coding")


def _pattern_without_meaning_here(text: Text) -> str:
    if text.spot is not Spot.STATEMENT:
        raise NotSaidHereError("the site of a pattern")
    text.field("description.pattern")
    return _without_meaning("value.coding")


# --- scores -----------------------------------------------------------------------------------------------------------

_REACHED: Final = f"interpretation.coding.exists(system = '{TERMINOLOGY}/v3-ObservationInterpretation' and code = 'A')"
_BELOW: Final = f"{component(Attribute.VERDICT)}.value.coding.exists({coded(Verdict, (Verdict.BELOW_THRESHOLD,))})"
_CROSSES: Final = f"value.exists() and {_REACHED}.not() and {_BELOW}.not()"


_WITH_THRESHOLD: Final = tuple(method.code for method in METHODS)


def _scores(text: Text, methods: tuple[ScoreMethod, ...] = _WITH_THRESHOLD) -> str:
    """Return the path to the Observations of scores that give a number."""
    return text.resources(
        "Observation", f"code.coding.exists({coded(ScoreMethod, methods)}) and value.exists() and {IN_FORCE}"
    )


def _score_reached(text: Text) -> str:
    return f"{_scores(text)}.exists({_REACHED})"


_CHECKLISTS: Final = tuple(method.code for method in CHECKLISTS)


def _score_unsettled(text: Text) -> str:
    return f"({_scores(text, _CHECKLISTS)}.exists({_CROSSES}) or {_used_score_unsettled(text)})"


def _used(text: Text) -> str:
    codes = f"where({coded(ScoreMethod, _WITH_THRESHOLD)}).code.select(toString())"
    return f"{text.field('assessment.methods_used').path('value.coding')}.{codes}"


def _used_score_unsettled(text: Text) -> str:
    codes = f"{_scores(text)}.where({_CROSSES}).code.coding.where({coded(ScoreMethod)}).code.select(toString())"
    return f"{codes}.intersect({_used(text.nested())}).exists()"


def _every_score_below(text: Text) -> str:
    with_number = f"{_scores(text)}.code.coding.where({coded(ScoreMethod)}).code.select(toString())"
    waited_for = f"({_scores(text, _CHECKLISTS)}.exists() or {with_number}.intersect({_used(text.nested())}).exists())"
    return f"({waited_for} and {_score_reached(text)}.not() and {_score_unsettled(text)}.not())"


def _several_scores_reached(text: Text) -> str:
    methods = tuple(method.code for method in METHODS if method.code not in SECOND_FORMS)
    return f"({_scores(text, methods)}.where({_REACHED}).count() >= 2)"


def _method_without_number(text: Text) -> str:
    """Say it of all methods used at once: one of ours without a number."""
    if text.items:
        raise NotSaidHereError("one method")
    with_number = f"{_scores(text.nested())}.code.coding.where({coded(ScoreMethod)}).code.select(toString())"
    return f"{_used(text)}.exists(($this in {with_number}).not())"


def _reached_scores_departed_from(text: Text) -> str:
    ways = [
        f"({_scores(text, (method.code,))}.exists({_REACHED}).not() or "
        f"{_departs_from(text, (method.code.value, method.id))})"
        for method in METHODS
    ]
    return joined(" and ", ways, "true")


# --- plan -------------------------------------------------------------------------------------------------------------

_DEPARTS: Final = "departs-from."


def _departs_from(text: Text, names: tuple[str, ...]) -> str:
    condition = " or ".join(f"code.text = '{name}'" for name in names)
    return f"{text.all_items(DEPARTURES)}.exists(({condition}) and {_GIVES_REASON})"


_GIVES_REASON: Final = f"mitigation.exists(action.text.matches('{SAYS_NOTHING}').not())"


def _departure_without_words(text: Text) -> str:
    if text.items != DEPARTURES:
        raise NotSaidHereError("a departure")
    return f"{_GIVES_REASON}.not()"


def _departure_names_nothing(text: Text) -> str:
    if text.items != DEPARTURES:
        raise NotSaidHereError("a departure")
    names = (*(rule.id for rule in RULES), *NAMES)
    escaped = "|".join(name.replace(".", "[.]").replace("|", "[|]") for name in names)
    # A step of a pathway is the receiver's to know or not: the pathway may be a host's own file.
    return f"code.text.matches('^({escaped}|{_PATHWAY_STEP})$').not()"


_PATHWAY_STEP: Final = "[a-z0-9][a-z0-9.-]*/[a-z0-9][a-z0-9.-]*"


def _outcome_within(days: int) -> Fact:
    def within(text: Text) -> str:
        since = f"{first_day(_time(text, '@.date'))} - ({first_day(_time(text, 'examined'))})"
        return f"({since}).exists($this >= 0 and $this < {days})"

    return within


def _action_after_short_window(text: Text) -> str:
    date, earliest, latest = (_time(text, f"@.{name}") for name in ("date", "earliest", "latest"))
    deadline = f"iif({date}.exists(), {date}, iif({latest}.exists(), {latest}, {earliest}))"
    since = f"{first_day(deadline)} - ({first_day(_time(text, 'examined'))})"
    return f"({since}).exists($this > {SHORT.to_days})"


def _result_overdue(text: Text) -> str:
    """Say it by the report's own time: a host's later time can only make a result more overdue."""
    return f"iif({last_day(_time(text, '@.result_by'))} < {first_day(_time(text, 'recorded'))}, true, false)"


# --- times ------------------------------------------------------------------------------------------------------------

_TOLERANCE: Final = int(CLOCK_TOLERANCE.total_seconds())
_A_DAY: Final = int(SAME_VISIT.total_seconds())
_A_MONTH: Final = int(A_MONTH.total_seconds())


def _time(text: Text, path: str) -> str:
    """Return the path to a time."""
    if path == "birth":
        birth = f"{people(text, 'Patient')}.birthDate"
        return (
            f"{birth}.select(iif(extension('{BIRTH_TIME}').exists(), extension('{BIRTH_TIME}').value, $this)).first()"
        )
    field, _ = text.split(path)
    return field.path(field.time)


def _before(one: str, other: str, margin: int = 0) -> Fact:
    return lambda text: certainly_before(_time(text, one), _time(text, other), margin)


def _some_before(*pairs: tuple[str, str]) -> Fact:
    return lambda text: joined(
        " or ", [certainly_before(_time(text, one), _time(text, other)) for one, other in pairs], "false"
    )


def _taken_on_another_day(text: Text) -> str:
    taken, examined = _time(text, "@.taken"), _time(text, "examined")
    return f"({certainly_before(taken, examined, _A_DAY)} or {certainly_before(examined, taken, _A_DAY)})"


def _since(text: Text) -> str:
    """Return the path to every time since which something of the lesion's history is so."""
    answers = f"{text.observations(*_HISTORY)}.{component(Attribute.SINCE)}.value.ofType(dateTime)"
    return f"({answers} | {_time(text, 'lesion.history.since')})"


def _some_onset(before: str) -> Fact:
    """Return the fact that something of the history began before the birth, or after the examination."""

    def some_onset(text: Text) -> str:
        inside = text.nested()
        if before == "birth":
            return f"{_since(text)}.exists({certainly_before('$this', _time(inside, 'birth'))})"
        return f"{_since(text)}.exists({certainly_before(_time(inside, before), '$this')})"

    return some_onset


def _growing_for_a_month(text: Text) -> str:
    yes = text.is_one_of("lesion.history.growing.answer", Reply.YES)
    days, _ = text.split("lesion.history.growing.for_days")
    told = days.exists(f"{days.number} >= {A_MONTH.days}")
    since = certainly_before(_time(text, "lesion.history.growing.since"), _time(text, "examined"), _A_MONTH)
    return f"({yes} and ({told} or ({negated(days.recorded())} and {since})))"


def _growing_time_not_told(text: Text) -> str:
    yes = text.is_one_of("lesion.history.growing.answer", Reply.YES)
    days, _ = text.split("lesion.history.growing.for_days")
    since, examined = _time(text, "lesion.history.growing.since"), _time(text, "examined")
    longer = certainly_before(since, examined, _A_MONTH)
    shorter = certainly_less_before(since, examined, _A_MONTH)
    return f"({yes} and {negated(days.recorded())} and {negated(longer)} and {negated(shorter)})"


def _age(text: Text) -> Field:
    return text.split("background.age_years")[0]


def _adult_or_age_not_known(text: Text) -> str:
    """Say it by the age told, or else by the date of birth; without either a patient counts as an adult."""
    age = _age(text)
    young = age.exists(f"{age.number} < {ADULT_YEARS}")
    by_birth = f"iif({_most_years(text)} < {ADULT_YEARS}, true, false)"
    return f"({young} or ({negated(age.recorded())} and {by_birth})).not()"


def _most_years(text: Text) -> str:
    """Return the most whole years that the patient can have by the date of birth; empty where that isn't known."""
    return years_between(_time(text, "birth"), _time(text, "examined"), most=True)


def _age_differs_from_birth_date(text: Text) -> str:
    age = _age(text).path(_age(text).number)
    younger = (
        f"iif({age} + 1 < {years_between(_time(text, 'birth'), _time(text, 'examined'), most=False)}, true, false)"
    )
    older = f"iif({age} - 1 > {_most_years(text)}, true, false)"
    return f"({younger} or {older})"


def _history_longer_than_life(text: Text) -> str:
    inside = text.nested()
    age = _age(inside).path(_age(inside).number)
    known = f"({age}.exists() or {_time(inside, 'birth')}.exists())"
    days = f"{text.observations(*_HISTORY)}.{component(Attribute.FOR_DAYS)}.value.ofType(Quantity).value"
    longer = " and ".join(
        f"iif($this <= ({years} + 1) * {LONGEST_YEAR_DAYS}, false, true)" for years in (age, _most_years(inside))
    )
    return f"{days}.exists({known} and {longer})"


_HISTORY: Final = (
    Attribute.FROM_BIRTH,
    Attribute.NEW,
    Attribute.GROWING,
    Attribute.CHANGED_COLOUR,
    Attribute.CHANGED_SHAPE,
    Attribute.ITCHING,
    Attribute.PAIN,
    Attribute.INFLAMED,
    Attribute.BLEEDING,
    Attribute.TREATED_BEFORE,
)

_FACTS: Final[dict[str, Fact]] = {
    "names-unknown-view": _names_unknown_view,
    "image-names-unknown-view": _image_names_unknown_view,
    "image-light-not-known": _image_light_not_known,
    "only-in-non-polarised-light": _only_in(Light.NON_POLARISED),
    "only-in-polarised-light": _only_in(Light.POLARISED),
    "absent-behind-limits": _absent_behind_limits,
    "absent-but-kind-present": _absent_but_kind_present,
    "differs-from-parts": _differs_from_parts,
    "pattern-without-parts": _pattern_without_parts,
    "colour-missing-from-list": _colour_missing_from_list,
    "colour-sure-and-doubtful": _colour_sure_and_doubtful,
    "many-absent-without-list": _many_absent_without_list,
    "structure-without-meaning-here": _structure_without_meaning_here,
    "pattern-without-meaning-here": _pattern_without_meaning_here,
    "score-reached": _score_reached,
    "score-unsettled": _score_unsettled,
    "used-score-unsettled": _used_score_unsettled,
    "every-score-below": _every_score_below,
    "several-scores-reached": _several_scores_reached,
    "method-without-number": _method_without_number,
    "reached-scores-departed-from": _reached_scores_departed_from,
    "baseline-image": _baseline,
    "baseline-image-with-scale": lambda text: _baseline(text, ImageScale.RULER, ImageScale.BUILT_IN),
    "departure-names-nothing": _departure_names_nothing,
    "departure-without-words": _departure_without_words,
    "outcome-within-75-days": _outcome_within(SHORT.from_days),
    "outcome-within-180-days": _outcome_within(FACE.from_days),
    "action-after-short-window": _action_after_short_window,
    "result-overdue": _result_overdue,
    "recorded-before-examined": _before("recorded", "examined", _TOLERANCE),
    "taken-in-future": _before("recorded", "@.taken", _TOLERANCE),
    "dated-in-future": _before("recorded", "@.date", _TOLERANCE),
    "examined-before-birth": _before("examined", "birth"),
    "taken-before-birth": _before("@.taken", "birth"),
    "earlier-cancer-before-birth": _before("@.year", "birth"),
    "earlier-cancer-after-examination": _before("examined", "@.year"),
    "outcome-before-examination": _before("@.date", "examined"),
    "action-before-examination": _some_before(
        ("@.date", "examined"), ("@.latest", "examined"), ("@.result_by", "examined")
    ),
    "action-window-reversed": _some_before(
        ("@.latest", "@.earliest"), ("@.latest", "@.date"), ("@.date", "@.earliest")
    ),
    "advice-before-examination": _some_before(
        ("plan.safety_net.by_when", "examined"), ("plan.safety_net.heard_by", "examined")
    ),
    "taken-on-another-day": _taken_on_another_day,
    "onset-before-birth": _some_onset("birth"),
    "onset-after-examination": _some_onset("examined"),
    "growing-for-a-month": _growing_for_a_month,
    "growing-time-not-told": _growing_time_not_told,
    "adult-or-age-not-known": _adult_or_age_not_known,
    "age-differs-from-birth-date": _age_differs_from_birth_date,
    "history-longer-than-life": _history_longer_than_life,
}

#: Facts that are said of a whole list at once, though their rule looks at its items one by one.
OF_A_WHOLE_LIST: Final = frozenset(
    (
        "image-light-not-known",
        "absent-but-kind-present",
        "differs-from-parts",
        "colour-missing-from-list",
        "method-without-number",
    )
)

#: Facts that are true or false and never open.
_NEVER_OPEN: Final = frozenset(
    (
        "adult-or-age-not-known",
        "baseline-image",
        "baseline-image-with-scale",
        "reached-scores-departed-from",
        "score-reached",
        "score-unsettled",
        "used-score-unsettled",
        "several-scores-reached",
        "every-score-below",
    )
)
