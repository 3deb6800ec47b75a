"""The columns of the table of lesion visits: one row an examination of a lesion.

One row here is one column. A cell stays empty where nothing was recorded or nothing can be said: an empty cell is never
«no», «absent» or nought. Names, birth dates, labels, notes and other free text are in no column.
"""

from __future__ import annotations

from datetime import date
from functools import partial
from typing import TYPE_CHECKING, Any, Final, Protocol

from dermreport.answers import answer_to
from dermreport.doors.table.column import (
    DAYS,
    MILLIMETRES,
    POINTS,
    TIMES,
    YEARS,
    Cell,
    Column,
    ColumnType,
    Found,
    at,
    code_text,
)
from dermreport.doors.table.sql import answer_of, code_of, number_of, only, seen, stated, stated_value
from dermreport.examination.people import system_and_value
from dermreport.fhir.frame import lesion_identity, status_of
from dermreport.fhir.ids import Identity
from dermreport.issues import Severity
from dermreport.reviews.review import Review
from dermreport.scores.methods import METHODS
from dermreport.vocabulary.attributes import Attribute
from dermreport.vocabulary.certainties import Certainty
from dermreport.vocabulary.colours import Colour
from dermreport.vocabulary.comparisons import Comparison
from dermreport.vocabulary.concerns import Concern
from dermreport.vocabulary.contacts import Contact
from dermreport.vocabulary.elevations import Elevation
from dermreport.vocabulary.finding_lists import FindingList
from dermreport.vocabulary.judgements import Judgement
from dermreport.vocabulary.lights import Light
from dermreport.vocabulary.modes import Mode
from dermreport.vocabulary.outcome_kinds import OutcomeKind
from dermreport.vocabulary.phototypes import Phototype
from dermreport.vocabulary.pigmentations import Pigmentation
from dermreport.vocabulary.presences import Presence
from dermreport.vocabulary.reading_styles import ReadingStyle
from dermreport.vocabulary.replies import Reply
from dermreport.vocabulary.sexes import Sex
from dermreport.vocabulary.sites import Site
from dermreport.vocabulary.statuses import Status
from dermreport.vocabulary.step_ones import StepOne
from dermreport.vocabulary.structures import Structure
from dermreport.vocabulary.urgencies import Urgency
from dermreport.vocabulary.verdicts import Verdict

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from dermreport.examination.decided import Action, Outcome
    from dermreport.examination.observed import View
    from dermreport.vocabulary.term import Term

VisitColumn = Column[Review]
_TEXT, _CODE, _INTEGER = ColumnType.TEXT, ColumnType.CODE, ColumnType.INTEGER
_DECIMAL, _BOOLEAN, _DATE = ColumnType.DECIMAL, ColumnType.BOOLEAN, ColumnType.DATE


def identifier_name(code: str) -> str:
    """Return a code as a part of a column's name."""
    return code.replace("-", "_")


# -- which examination -------------------------------------------------------------------------------------------------


def examination_of(review: Review) -> str:
    """Return the examination's number as FHIR's token, ``system|value``."""
    return "|".join(system_and_value(review.examination.identifier))


def _lesion(review: Review) -> str:
    examination = review.examination
    known = lesion_identity(examination.lesion, Identity(examination.identifier)).identifier
    return f"{known['system']}|{known['value']}"


def _patient(review: Review) -> str | None:
    patient = review.examination.patient
    if patient.reference is not None:
        return patient.reference
    return "|".join(system_and_value(patient.identifiers[0])) if patient.identifiers else None


def _day(text: str | None) -> date | None:
    return None if text is None else date.fromisoformat(text[:10])


def _precision(review: Review) -> str:
    return "time" if "T" in review.examination.examined else "day"


_WHICH: Final[tuple[VisitColumn, ...]] = (
    Column(
        "examination",
        _TEXT,
        "Number of the examination, with the system that gave it: system|value. Not a patient’s number, and as telling "
        "as the host made it. Revisions of one examination share it.",
        "identifier",
        examination_of,
        Found("report", "r.identifier_system || '|' || r.identifier_value"),
    ),
    Column(
        "revision",
        _INTEGER,
        "Revision: keep the highest of an examination when you count.",
        "revision",
        lambda review: review.examination.revision,
        Found("report", "r.revision"),
    ),
    Column(
        "status",
        _CODE,
        "Status as recorded: draft, final, amended, entered-in-error. Leave out what was entered in error.",
        "status",
        lambda review: code_text(review.examination.status),
        Found("report", "r.status"),
    ),
    Column(
        "report_status",
        _CODE,
        "Status of the report in FHIR’s words: preliminary for a draft and while an error stands.",
        "status and issues",
        status_of,
        Found("report", "r.report_status"),
    ),
    Column(
        "lesion",
        _TEXT,
        "Number of the lesion, system|value: the host’s own, the same at every visit, or one made from the "
        "examination’s, of this visit alone.",
        "lesion.identifier",
        _lesion,
        Found("report", "b.identifier_system || '|' || b.identifier_value"),
    ),
    Column(
        "lesion_numbered",
        _BOOLEAN,
        "Whether the host numbers the lesion: only then its visits can be told to be of one lesion.",
        "lesion.identifier",
        lambda review: at(review.examination.lesion, "identifier") is not None,
        not_in_views="A made number of an examination that is known by a UUID is a UUID like any other.",
    ),
    Column(
        "examined",
        _TEXT,
        "When the lesion was looked at, as written, with its offset.",
        "examined",
        lambda review: review.examination.examined,
        Found("report", "r.examined"),
    ),
    Column(
        "examined_precision",
        _CODE,
        "How precise that is: day or time.",
        "examined",
        _precision,
        Found("report", "CASE WHEN LENGTH(r.examined) > 10 THEN 'time' ELSE 'day' END"),
    ),
    Column(
        "examined_date",
        _DATE,
        "Its day, in the offset as written.",
        "examined",
        lambda review: _day(review.examination.examined),
        Found("report", "SUBSTR(r.examined, 1, 10)"),
    ),
)


# -- what is stated ----------------------------------------------------------------------------------------------------


def _read(path: str) -> Callable[[Review], Cell]:
    """Return a reader of a plain value of the examination."""

    def read(review: Review) -> Cell:
        cell: Cell = at(review.examination, path)
        return cell

    return read


def _read_code(path: str) -> Callable[[Review], Cell]:
    """Return a reader of a code of the examination."""
    return lambda review: code_text(at(review.examination, path))


def _coded(name: str, path: str, attribute: Attribute, table: type[Term], description: str) -> VisitColumn:
    """Return the column of one coded answer."""
    return Column(name, _CODE, description, path, _read_code(path), stated(attribute, table))


def _style(review: Review) -> str | None:
    site = at(review.examination.lesion, "site")
    return code_text(site.reading_style) if isinstance(site, Site) else None


def _style_found() -> Found:
    """Return how the way of reading follows from a site, which the published CodeSystem of sites says too."""
    site = stated(Attribute.SITE, Site)
    cases = []
    for style in ReadingStyle:
        sites = ", ".join(f"'{one.value}'" for one in Site if one.reading_style is style)
        cases.append(f"WHEN {{0}} IN ({sites}) THEN '{style.value}'")
    return site._replace(final=f"CASE {' '.join(cases)} END")


def _told(name: str, attribute: Attribute, words: str) -> VisitColumn:
    """Return the column of one answer of the lesion's history."""
    return _coded(
        f"told_{name}",
        f"lesion.history.{name}.answer",
        attribute,
        Reply,
        f"What the patient tells: {words}. yes, no or unknown; empty: not recorded.",
    )


_STATED: Final[tuple[VisitColumn, ...]] = (
    _coded("mode", "mode", Attribute.MODE, Mode, "In person, live at a distance, or from images only."),
    _coded("site", "lesion.site", Attribute.SITE, Site, "Where the lesion is."),
    Column(
        "side",
        _CODE,
        "Left, right or midline.",
        "lesion.side",
        _read_code("lesion.side"),
        Found("statement", only(f"item = '{Attribute.SITE.value}'", code_of("side"))),
    ),
    Column(
        "reading_style",
        _CODE,
        "How a lesion at this site is read; empty where the site doesn’t tell.",
        "lesion.site",
        _style,
        _style_found(),
    ),
    Column(
        "longest_mm",
        _DECIMAL,
        "Longest diameter.",
        "lesion.longest_mm",
        _read("lesion.longest_mm"),
        stated_value(Attribute.LESION_SIZE, "longest_mm"),
        MILLIMETRES,
    ),
    Column(
        "crosswise_mm",
        _DECIMAL,
        "Diameter at right angles to the longest.",
        "lesion.crosswise_mm",
        _read("lesion.crosswise_mm"),
        stated_value(Attribute.LESION_SIZE, "crosswise_mm"),
        MILLIMETRES,
    ),
    _coded("elevation", "lesion.elevation", Attribute.ELEVATION, Elevation, "How far it stands out of the skin."),
    _coded("pigmentation", "lesion.pigmentation", Attribute.PIGMENTATION, Pigmentation, "How much pigment it has."),
    _coded("ulcerated", "lesion.ulcerated", Attribute.ULCERATED, Judgement, "Whether the surface is lost."),
    _coded(
        "compared_with_others",
        "lesion.compared_with_others",
        Attribute.COMPARED_WITH_OTHERS,
        Comparison,
        "Like or unlike the patient’s other naevi.",
    ),
    _told("new", Attribute.NEW, "new"),
    _told("growing", Attribute.GROWING, "growing"),
    _told("changed_colour", Attribute.CHANGED_COLOUR, "changed in colour"),
    _told("changed_shape", Attribute.CHANGED_SHAPE, "changed in shape"),
    _told("itching", Attribute.ITCHING, "itches"),
    _told("pain", Attribute.PAIN, "hurts"),
    _told("inflamed", Attribute.INFLAMED, "inflamed"),
    _told("bleeding", Attribute.BLEEDING, "bleeds, oozes or crusts"),
)


# -- views, lists, findings, colours -----------------------------------------------------------------------------------


def _one_is(states: Iterable[bool | None]) -> bool | None:
    """Return True where one is so, None where one is open or there is none, False otherwise."""
    known = list(states)
    if True in known:
        return True
    return None if not known or None in known else False


def _in_light(light: Light, view: View) -> bool | None:
    return None if view.light is Light.UNKNOWN else view.light is light


def _with_contact(contact: Contact, view: View) -> bool | None:
    return None if view.contact is None else view.contact is contact


def _any_view(
    name: str, description: str, origin: str, judge: Callable[[View], bool | None], found: str
) -> VisitColumn:
    return Column(
        name,
        _BOOLEAN,
        f"{description} Empty where no view is recorded, or where one that says nothing of it could be.",
        origin,
        lambda review: _one_is(judge(view) for view in review.examination.views),
        Found("view", found),
    )


_VIEWS: Final[tuple[VisitColumn, ...]] = (
    Column(
        "views",
        _INTEGER,
        "Number of views recorded.",
        "views",
        lambda review: len(review.examination.views),
        Found("view", "COUNT(*)", "COALESCE({}, 0)"),
    ),
    *(
        _any_view(
            f"view_{identifier_name(light.value)}",
            f"Whether one view is in {light.display} light.",
            "views[].light",
            partial(_in_light, light),
            seen(f"light = '{light.value}'", "light IS NULL"),
        )
        for light in (Light.POLARISED, Light.NON_POLARISED)
    ),
    *(
        _any_view(
            f"view_{identifier_name(contact.value)}",
            f"Whether one view is with {contact.display}.",
            "views[].contact",
            partial(_with_contact, contact),
            seen(f"contact = '{contact.value}'", "contact IS NULL"),
        )
        for contact in Contact
    ),
    Column(
        "highest_magnification",
        _DECIMAL,
        "Highest optical magnification of a view; empty where none is recorded.",
        "views[].magnification",
        lambda review: max(
            (view.magnification for view in review.examination.views if view.magnification is not None), default=None
        ),
        Found("view", "MAX(magnification)"),
        TIMES,
    ),
)


def _goes_through(name: FindingList, review: Review) -> bool:
    return any(one.list is name for one in review.examination.lists_gone_through)


_LISTS: Final[tuple[VisitColumn, ...]] = tuple(
    Column(
        f"list_{identifier_name(name.value)}",
        _BOOLEAN,
        f"Whether it is stated that the list was gone through: {name.display}.",
        "lists_gone_through[].list",
        partial(_goes_through, name),
        Found("list", f"MAX(CASE WHEN gone_through = '{name.value}' THEN 1 ELSE 0 END)", "COALESCE({}, 0) = 1"),
    )
    for name in FindingList
)


def _counted(presence: Presence, review: Review) -> int:
    positions = range(len(review.examination.findings))
    return sum(answer_to(review.answers, position).presence is presence for position in positions)


_FINDINGS: Final[tuple[VisitColumn, ...]] = tuple(
    Column(
        f"findings_{identifier_name(presence.value)}",
        _INTEGER,
        f"Number of findings recorded, each a structure at a place, that count as {presence.display}. What light and "
        "view could not show counts as not assessed, whatever was entered.",
        "findings[].presence, as counted",
        partial(_counted, presence),
        Found("finding", number_of(f"{answer_of('presence', Presence)} = '{presence.value}'"), "COALESCE({}, 0)"),
    )
    for presence in Presence
)


def _colour_found(colour: Colour) -> Found:
    """Return how a colour is found: listed; else of a present finding, which a list that lacks it leaves open.

    Without a list only a colour that was seen is known; a list is full where the whole lesion was in one view.
    """
    listed = f"about = '{Attribute.LESION_COLOURS.value}' AND sort = '{Attribute.COLOUR.value}'"
    doubtful = f"sort = '{Attribute.DOUBTFUL_COLOUR.value}' AND colour = '{colour.value}'"
    of_finding = (
        f"about <> '{Attribute.LESION_COLOURS.value}' AND presence = 'present' AND COALESCE(place, '') <> 'outside' "
        f"AND colour = '{colour.value}'"
    )
    shades = ""
    if colour is Colour.BROWN:
        one_shade = f"{listed} AND colour IN ('{Colour.LIGHT_BROWN.value}', '{Colour.DARK_BROWN.value}')"
        shades = f" AND {number_of(one_shade)} = 0"
    in_list = f"{listed} AND colour = '{colour.value}'"
    value = (
        f"CASE WHEN {number_of(in_list)} > 0 THEN 'seen' "
        f"WHEN {number_of(of_finding)} > 0{shades} THEN "
        f"CASE WHEN {number_of(listed)} > 0 THEN 'open' ELSE 'seen' END "
        f"WHEN {number_of(listed)} > 0 AND {number_of(doubtful)} = 0 THEN 'not listed' ELSE 'open' END"
    )
    return Found(
        "colour",
        value,
        "CASE {0} WHEN 'seen' THEN TRUE WHEN 'not listed' THEN CASE WHEN v.only_parts = 1 THEN NULL ELSE FALSE END END",
    )


_COLOURS: Final[tuple[VisitColumn, ...]] = tuple(
    Column(
        f"colour_{identifier_name(colour.value)}",
        _BOOLEAN,
        f"Whether {colour.display} was seen: listed, or of a present finding. False only where the full list of the "
        "whole lesion lacks it; empty where that is open.",
        "description.colours, findings[].colours, as counted",
        lambda review, colour=colour: review.answers.colours[colour],  # type: ignore[misc]
        _colour_found(colour),
    )
    for colour in Colour
)

_DESCRIBED: Final[tuple[VisitColumn, ...]] = (
    _coded("pattern", "description.pattern", Attribute.PATTERN, Structure, "The prevailing pattern."),
    _coded("step_one", "description.step_one", Attribute.STEP_ONE, StepOne, "First step of the two-step method."),
)


# -- what the clinician and the scores say -----------------------------------------------------------------------------


def _summary(review: Review) -> str | None:
    return None if review.examination.status is Status.ENTERED_IN_ERROR else code_text(review.summary)


def _impressions(review: Review) -> tuple[Any, ...]:
    assessment = review.examination.assessment
    return assessment.impressions if assessment is not None else ()


def _first_impression(review: Review, field: str) -> str | None:
    return next((code_text(getattr(one, field)) for one in _impressions(review)), None)


_JUDGED: Final[tuple[VisitColumn, ...]] = (
    _coded("concern", "assessment.concern", Attribute.CONCERN, Concern, "The clinician’s concern."),
    Column(
        "unequivocal",
        _BOOLEAN,
        "Whether the clinician said that there is no doubt at all; empty: not recorded.",
        "assessment.unequivocal",
        _read("assessment.unequivocal"),
        stated_value(Attribute.UNEQUIVOCAL, "CASE WHEN truth THEN 1 WHEN NOT truth THEN 0 END")._replace(
            final="{} = 1"
        ),
    ),
    Column(
        "impressions",
        _INTEGER,
        "Number of impressions recorded.",
        "assessment.impressions",
        lambda review: len(_impressions(review)),
        Found("impression", "COUNT(*)", "COALESCE({}, 0)"),
    ),
    Column(
        "impression",
        _CODE,
        "What the clinician takes the lesion for, the likeliest.",
        "assessment.impressions[0].impression",
        partial(_first_impression, field="impression"),
        Found("impression", only("rank = 1", code_of("impression"))),
    ),
    Column(
        "impression_certainty",
        _CODE,
        "How sure the clinician is of it.",
        "assessment.impressions[0].certainty",
        partial(_first_impression, field="certainty"),
        Found("impression", only("rank = 1", answer_of("certainty", Certainty))),
    ),
    Column(
        "summary",
        _CODE,
        "One word on the whole. It excludes nothing; empty for what was entered in error.",
        "summary of the review",
        _summary,
        Found("report", "r.summary"),
    ),
    Column(
        "warning_signs",
        _INTEGER,
        "Number of warning signs that the rules found, answered or not; 0 says that no rule found one.",
        "red_flags of the review",
        lambda review: len(review.red_flags),
        not_in_views="The rules’ findings are in the report’s text and in the outcome of a check, not coded in it.",
    ),
    Column(
        "errors",
        _INTEGER,
        "Number of errors that the rules found.",
        "issues of the review",
        lambda review: sum(issue.severity is Severity.ERROR for issue in review.issues),
        not_in_views="The same; report_status says whether there is one.",
    ),
)


_SETTLED_VERDICTS: Final = (Verdict.BELOW_THRESHOLD, Verdict.BETWEEN_THRESHOLDS, Verdict.ABOVE_THRESHOLD)


def _score_columns() -> Iterable[VisitColumn]:
    for method in METHODS:
        code = method.code.value
        name = identifier_name(code)
        of_method = partial(only, f"method = '{code}'")
        # A method that isn't valid here is sent only where the host wants it: without a score it wasn't valid.
        verdict = Found("score", of_method("verdict"), f"COALESCE({{}}, '{Verdict.NOT_VALID.value}')")
        settled = ", ".join(f"'{one.value}'" for one in _SETTLED_VERDICTS)
        title = method.code.display
        yield Column(
            f"{name}_low",
            _DECIMAL,
            f"{title}: lowest possible total; the total where it is settled. Empty where the method isn’t valid here.",
            f"scores[{code}].low",
            lambda review, code=code: review.scores[code].low,  # type: ignore[misc]
            Found("score", of_method("COALESCE(low, total)")),
            POINTS,
        )
        yield Column(
            f"{name}_high",
            _DECIMAL,
            f"{title}: highest possible total.",
            f"scores[{code}].high",
            lambda review, code=code: review.scores[code].high,  # type: ignore[misc]
            Found("score", of_method("COALESCE(high, total)")),
            POINTS,
        )
        yield Column(
            f"{name}_verdict",
            _CODE,
            f"{title}: on which side of the method’s threshold the total falls. A total below it excludes nothing.",
            f"scores[{code}].verdict",
            lambda review, code=code: code_text(review.scores[code].verdict),  # type: ignore[misc]
            verdict,
        )
        yield Column(
            f"{name}_settled",
            _BOOLEAN,
            f"{title}: whether no open input can change that; empty where the method isn’t valid here.",
            f"scores[{code}].settled",
            lambda review, code=code: review.scores[code].settled if review.scores[code].valid else None,  # type: ignore[misc]
            Found(
                "score",
                of_method("verdict"),
                f"CASE WHEN {{0}} IN ({settled}) THEN TRUE WHEN {{0}} = '{Verdict.NOT_SETTLED.value}' THEN FALSE END",
            ),
        )


_SCORES: Final = tuple(_score_columns())


# -- plan and outcome --------------------------------------------------------------------------------------------------


def _actions(review: Review) -> tuple[Action, ...]:
    plan = review.examination.plan
    return plan.actions if plan is not None else ()


def _soonest(review: Review, field: str) -> str | None:
    """Return a field of the step that is wanted soonest, of the first of several; steps without a word come last."""
    actions = _actions(review)
    if not actions:
        return None
    first = max(actions, key=lambda one: -1 if one.urgency is None else one.urgency.rank)
    return code_text(getattr(first, field))


_PLAN: Final[tuple[VisitColumn, ...]] = (
    Column(
        "actions",
        _INTEGER,
        "Number of planned steps.",
        "plan.actions",
        lambda review: len(_actions(review)),
        Found("plan", "COUNT(*)", "COALESCE({}, 0)"),
    ),
    Column(
        "soonest_action",
        _CODE,
        "The planned step that is wanted soonest, the first of several.",
        "plan.actions[].action",
        partial(_soonest, field="action"),
        Found("plan", only("place = 1", code_of("action"))),
    ),
    Column(
        "soonest_urgency",
        _CODE,
        "How soon that step is wanted; empty where no step says it.",
        "plan.actions[].urgency",
        partial(_soonest, field="urgency"),
        Found("plan", only("place = 1", "urgency")),
    ),
)


def _latest(kind: OutcomeKind, review: Review) -> Outcome | None:
    """Return the latest outcome of a kind by its time as written, one without a time first, then by its key."""
    known = [one for one in review.examination.outcomes if one.kind is kind]
    return max(known, key=lambda one: (one.date or "", one.key), default=None)


class _Reader(Protocol):
    def __call__(self, kind: OutcomeKind, field: str, review: Review, /) -> Cell: ...


def _latest_code(kind: OutcomeKind, field: str, review: Review) -> Cell:
    return code_text(at(_latest(kind, review), field))


def _latest_value(kind: OutcomeKind, field: str, review: Review) -> Cell:
    cell: Cell = at(_latest(kind, review), field)
    return cell


def _latest_day(kind: OutcomeKind, field: str, review: Review) -> Cell:
    return _day(at(_latest(kind, review), field))


def _outcome(  # noqa: PLR0913, PLR0917 - the cells of a row, in its order
    name: str,
    kind: OutcomeKind,
    field: str,
    sort: ColumnType,
    read: _Reader,
    found: str,
    words: str,
    unit: str = "",
) -> VisitColumn:
    return Column(
        name,
        sort,
        f"{words} Of the latest {kind.display} recorded.",
        f"outcomes[].{field}",
        partial(read, kind, field),
        Found("outcome", only(f"sort = '{kind.value}' AND latest = 1", found)),
        unit,
    )


def _number_of_outcomes(kind: OutcomeKind, review: Review) -> int:
    return sum(one.kind is kind for one in review.examination.outcomes)


def _outcomes(name: str, kind: OutcomeKind) -> VisitColumn:
    return Column(
        name,
        _INTEGER,
        f"Number of outcomes of this kind recorded: {kind.display}. 0 says that none was recorded.",
        "outcomes",
        partial(_number_of_outcomes, kind),
        Found("outcome", number_of(f"sort = '{kind.value}'"), "COALESCE({}, 0)"),
    )


_HISTOLOGY, _OPINION, _MONITORING = OutcomeKind.HISTOLOGY, OutcomeKind.OPINION, OutcomeKind.MONITORING
_KNOWN_ON: Final = "SUBSTR(known, 1, 10)"
_OUTCOMES: Final[tuple[VisitColumn, ...]] = (
    _outcomes("histologies", _HISTOLOGY),
    _outcome(
        "histology_result", _HISTOLOGY, "result", _CODE, _latest_code, code_of("result"), "The pathologist’s result."
    ),
    _outcome("histology_date", _HISTOLOGY, "date", _DATE, _latest_day, _KNOWN_ON, "Day on which it became known."),
    _outcome(
        "histology_specimen",
        _HISTOLOGY,
        "specimen",
        _CODE,
        _latest_code,
        code_of("specimen"),
        "Whether the whole lesion or a part was examined.",
    ),
    _outcome(
        "histology_thickness_mm",
        _HISTOLOGY,
        "thickness_mm",
        _DECIMAL,
        _latest_value,
        "thickness_mm",
        "Breslow thickness.",
        MILLIMETRES,
    ),
    _outcome(
        "histology_agreement",
        _HISTOLOGY,
        "agreement",
        _CODE,
        _latest_code,
        code_of("agreement"),
        "Whether it agrees with the assessment.",
    ),
    _outcomes("opinions", _OPINION),
    _outcome("opinion_date", _OPINION, "date", _DATE, _latest_day, _KNOWN_ON, "Day on which it became known."),
    _outcome(
        "opinion_agreement",
        _OPINION,
        "agreement",
        _CODE,
        _latest_code,
        code_of("agreement"),
        "Whether it agrees with the assessment.",
    ),
    _outcomes("monitorings", _MONITORING),
    _outcome("monitoring_date", _MONITORING, "date", _DATE, _latest_day, _KNOWN_ON, "Day on which it became known."),
    _outcome(
        "monitoring_change",
        _MONITORING,
        "change",
        _CODE,
        _latest_code,
        code_of("change"),
        "What the comparison showed.",
    ),
    _outcome(
        "monitoring_days",
        _MONITORING,
        "days_since_baseline",
        _INTEGER,
        _latest_value,
        "days",
        "Days between the pictures compared.",
        DAYS,
    ),
)

#: The columns of the table, in its order.
VISIT_COLUMNS: Final[tuple[VisitColumn, ...]] = (
    *_WHICH,
    *_STATED,
    *_VIEWS,
    *_LISTS,
    *_FINDINGS,
    *_COLOURS,
    *_DESCRIBED,
    *_JUDGED,
    *_SCORES,
    *_PLAN,
    *_OUTCOMES,
)

#: Columns that tell more of the patient: in the table only where they are asked for by name.
ASKED_VISIT_COLUMNS: Final[tuple[VisitColumn, ...]] = (
    Column(
        "patient",
        _TEXT,
        "The host’s reference to the patient, or the first number as system|value: it identifies the patient.",
        "patient.reference, patient.identifiers[0]",
        _patient,
        not_in_views="A server points to the patient by its own key: patient_key of dermoscopy_report.",
    ),
    Column(
        "age_years",
        _INTEGER,
        "Age at the examination, in completed years.",
        "background.age_years",
        _read("background.age_years"),
        stated_value(Attribute.AGE, "number"),
        YEARS,
    ),
    _coded("sex", "background.sex", Attribute.SEX, Sex, "Sex as recorded."),
    _coded("phototype", "background.phototype", Attribute.PHOTOTYPE, Phototype, "How the skin reacts to sun."),
)

#: How soon is sooner, for a query.
URGENCY_RANK: Final = (
    "CASE urgency " + " ".join(f"WHEN '{one.value}' THEN {one.rank}" for one in Urgency) + " ELSE -1 END"
)
