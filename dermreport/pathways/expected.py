"""What a pathway expects of one examination, and how the plan stands to it: frozen values of a review."""

from __future__ import annotations

from msgspec import Struct

from dermreport.pathway import Choice, Pathway, Step
from dermreport.pathways.issue_rules import Kept
from dermreport.vocabulary.action_kinds import ActionKind
from dermreport.vocabulary.plan_actions import PlanAction
from dermreport.vocabulary.urgencies import Urgency


class ExpectedStep(Struct, frozen=True):
    """One step whose condition holds.

    Attributes:
        step: The pathway's step.
        name: How a departure names it.
        kept: How the plan stands to it.
        choice: The choice that the plan takes, wholly or in part; None where nothing planned does.
        not_before: First day of the window of the choice taken, where it has one.
        by: Last day, of the choice taken or, where none was, of the first one; None without a limit.
        answer_by: Day by which the patient is to know whether it is cancer.
    """

    step: Step
    name: str
    kept: Kept
    choice: Choice | None
    not_before: str | None
    by: str | None
    answer_by: str | None


class Expected(Struct, frozen=True):
    """What the pathway expects, with calendar days counted from the examination.

    Attributes:
        pathway: The pathway: its id, version, title and owner.
        steps: The steps whose condition holds.
        open: Steps of which the record can't tell whether they apply.
        urgency: The most urgent of what is expected; None where nothing is to be arranged.
        kinds: Kinds of planned step that will do for each step that holds. What will do under a condition only counts
            where the plan takes it.
        actions: Single planned steps that will do for each step that holds, beside those kinds.
        by: The first of the days by which the most urgent of these steps are expected; each step has its own.
        answer_by: The first of the days by which the patient is to know whether it is cancer.
        watch_for: What the patient is told to watch for.
        come_back_by: The first of the days by which to come back.
        heard_by: The first of the days after which to call if nothing was heard.
    """

    pathway: Pathway
    steps: tuple[ExpectedStep, ...]
    open: tuple[Step, ...]
    urgency: Urgency | None
    kinds: tuple[ActionKind, ...]
    actions: tuple[PlanAction, ...]
    by: str | None
    answer_by: str | None
    watch_for: tuple[str, ...]
    come_back_by: str | None
    heard_by: str | None
