"""Rules on time: nothing in the future, before birth, or out of order. Only an order that is certain makes an issue."""

from __future__ import annotations

from functools import partial

from dermreport.expressions.nodes import AtLeast, Fact, MoreThan, Not, every
from dermreport.issues import Severity
from dermreport.rules.conditions import recorded_as
from dermreport.rules.rule import Group, Rule
from dermreport.sources import COMMON_PRACTICE
from dermreport.vocabulary.modes import Mode

_BIRTH_DATE_WRONG = "This is earlier than the date of birth: check both, and whether it is the right patient."


_error = partial(Rule, group=Group.TIME, severity=Severity.ERROR, basis=COMMON_PRACTICE)
_warning = partial(Rule, group=Group.TIME, severity=Severity.WARNING, basis=COMMON_PRACTICE)


TIME_RULES: tuple[Rule, ...] = (
    _error(
        id="time-future",
        when=Fact("examined-in-future"),
        at="examined",
        message="The examination lies in the future: check clock and zone.",
        hazard="H18",
    ),
    _error(
        id="time-future-recorded",
        when=Fact("recorded-in-future"),
        at="recorded",
        message="The record’s own time lies in the future: check clock and zone.",
        hazard="H18",
    ),
    _error(
        id="time-recorded-before-examination",
        when=Fact("recorded-before-examined"),
        at="recorded",
        message="Recorded before it was examined? Check clock and zone.",
        hazard="H18",
    ),
    _error(
        id="time-future-view",
        each="views",
        when=Fact("taken-in-future"),
        at="taken",
        message="This view was taken after the record was made: check clock and zone.",
        hazard="H18",
    ),
    _error(
        id="time-future-image",
        each="images",
        when=Fact("taken-in-future"),
        at="taken",
        message="This picture was taken after the record was made: check clock and zone, or renew the record’s time.",
        hazard="H18",
    ),
    _error(
        id="time-future-outcome",
        each="outcomes",
        when=Fact("dated-in-future"),
        at="date",
        message="This result is dated after the record was made: check its date, or renew the record’s time.",
        hazard="H18",
    ),
    _error(
        id="time-before-birth",
        when=Fact("examined-before-birth"),
        at="examined",
        message=_BIRTH_DATE_WRONG,
        hazard="H01",
    ),
    _error(
        id="time-before-birth-image",
        each="images",
        when=Fact("taken-before-birth"),
        at="taken",
        message=_BIRTH_DATE_WRONG,
        hazard="H01",
    ),
    _error(
        id="time-before-birth-onset",
        when=Fact("onset-before-birth"),
        at="lesion.history",
        message=_BIRTH_DATE_WRONG,
        hazard="H01",
    ),
    _error(
        id="time-before-birth-cancer",
        each="background.earlier_skin_cancers",
        when=Fact("earlier-cancer-before-birth"),
        at="year",
        message=_BIRTH_DATE_WRONG,
        hazard="H01",
    ),
    _error(
        id="time-age-implausible",
        when=MoreThan("background.age_years", 120),
        at="background.age_years",
        message="Hardly anybody has been over 120: check the age.",
        hazard="H01",
    ),
    _error(
        id="time-age-differs",
        when=Fact("age-differs-from-birth-date"),
        at="background.age_years",
        message="Age and date of birth don’t agree: check both, and whether it is the right patient.",
        hazard="H01",
    ),
    _error(
        id="time-onset-after-examination",
        when=Fact("onset-after-examination"),
        at="lesion.history",
        message="This can’t have begun after the examination: check the dates of the history.",
        hazard="H18",
    ),
    _error(
        id="time-cancer-after-examination",
        each="background.earlier_skin_cancers",
        when=Fact("earlier-cancer-after-examination"),
        at="year",
        message="An earlier cancer can’t be later than the examination: check the year.",
        hazard="H18",
    ),
    _error(
        id="time-longer-than-life",
        when=Fact("history-longer-than-life"),
        at="lesion.history",
        message="This has lasted longer than the patient has lived: check the days.",
        hazard="H18",
    ),
    _error(
        id="time-plan-before-examination",
        each="plan.actions",
        when=Fact("action-before-examination"),
        at="",
        message="This step or its result is planned for a time before the examination: check the date.",
        hazard="H11",
    ),
    _error(
        id="time-window-reversed",
        each="plan.actions",
        when=Fact("action-window-reversed"),
        at="",
        message="The dates of this step don’t fit: earliest comes first, the date lies between.",
        hazard="H11",
    ),
    _warning(
        id="time-advice-before-examination",
        when=Fact("advice-before-examination"),
        at="plan.safety_net",
        message="A date in the advice to the patient has passed before the examination: check it.",
        hazard="H11",
    ),
    _warning(
        id="time-age-unusual",
        when=every(MoreThan("background.age_years", 110), Not(AtLeast("background.age_years", 121))),
        at="background.age_years",
        message="Over 110 years of age: check it.",
        hazard="H01",
    ),
    _warning(
        id="time-outcome-before-examination",
        each="outcomes",
        when=Fact("outcome-before-examination"),
        at="date",
        message="This result is dated before the examination: check the date, or record it as earlier history.",
        hazard="H18",
    ),
    _warning(
        id="time-image-not-of-this-visit",
        each="images",
        when=every(Not(recorded_as("mode", Mode.IMAGES_ONLY)), Fact("taken-on-another-day")),
        at="taken",
        message="This picture is from another day: check its time, or leave it to the record of that day.",
        hazard="H02",
    ),
    _warning(
        id="time-view-not-of-this-visit",
        each="views",
        when=every(Not(recorded_as("mode", Mode.IMAGES_ONLY)), Fact("taken-on-another-day")),
        at="taken",
        message="This view is from another day: check its time, or leave it to the record of that day.",
        hazard="H02",
    ),
)
