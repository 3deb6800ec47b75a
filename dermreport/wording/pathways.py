"""What the pathway in force expects, in sentences: its name, each step by its day, and how the plan stands to it."""

from __future__ import annotations

import re
from functools import cache
from typing import TYPE_CHECKING

from dermreport.pathways.issue_rules import Kept
from dermreport.vocabulary.action_kinds import ActionKind
from dermreport.vocabulary.plan_actions import PlanAction
from dermreport.vocabulary.urgencies import Urgency

if TYPE_CHECKING:
    from collections.abc import Iterable

    from dermreport.pathways.expected import Expected, ExpectedStep

#: How a plan stands to what is expected, the gravest first.
_STANDS = {
    Kept.MISSING: "the plan doesn’t do that",
    Kept.LESS_URGENT: "the plan is less urgent, or doesn’t say",
    Kept.LATER: "the plan says a later day",
    Kept.OPEN: "the record can’t tell whether the plan does that",
    Kept.ANSWERED: "the plan does otherwise, and the record answers the sign",
    Kept.DEPARTED: "the plan departs from that, with a reason",
    Kept.DECLINED: "the patient declined",
    Kept.MET: "the plan does that",
}
_GRAVEST_FIRST = {kept: place for place, kept in enumerate(_STANDS)}


_SEVERAL = "several steps, each as the pathway says"


def pathway_sentence(expected: Expected) -> str:
    """Return one sentence for a conclusion: which pathway, what it expects, by when, and what the plan does."""
    name = f"pathway «{expected.pathway.title}», version {expected.pathway.version} ({expected.pathway.owner})"
    asked = [one for one in expected.steps if one.step.choices]
    if not asked:
        if expected.watch_for:
            return f"Expected by the {name}: advice what to watch for."
        return f"The {name} has no step for what was recorded, which excludes nothing."
    wanted = [*(kind.display for kind in expected.kinds), *(action.display for action in expected.actions)]
    what = ", or ".join(wanted) if wanted else _SEVERAL
    urgency = f"; {expected.urgency.display}" if expected.urgency is not None else ""
    gravest = min((one.kept for one in asked), key=_GRAVEST_FIRST.__getitem__)
    days = _days(expected.by, expected.answer_by)
    return f"Expected by the {name}: {what}{urgency}{days}. {_sentence(_STANDS[gravest])}"


@cache
def _sentences() -> re.Pattern[str]:
    """Return what every such sentence is like: names and days are the pathway's own, all other words are ours."""

    def one_of(words: Iterable[str]) -> str:
        return "|".join(re.escape(one) for one in words)

    name = r"pathway «[^»]*», version [^ ()]* \([^()]*(?:\([^()]*\)[^()]*)*\)"
    step = f"(?:{one_of(one.display for table in (ActionKind, PlanAction) for one in table)})"
    what = f"(?:{step}(?:, or {step})*|{re.escape(_SEVERAL)})"
    urgency = f"(?:; (?:{one_of(one.display for one in Urgency)}))?"
    day = r"[0-9T:.+Z-]+"
    days = f"(?:, by {day})?(?:, cancer found or excluded by {day})?"
    stands = one_of(_sentence(one) for one in _STANDS.values())
    return re.compile(
        f"Expected by the {name}: advice what to watch for\\.|The {name} has no step for what was recorded, which "
        f"excludes nothing\\.|Expected by the {name}: {what}{urgency}{days}\\. (?:{stands})"
    )


def is_pathway_sentence(text: str) -> bool:
    """Return whether a text is a sentence on what a pathway expects, whichever pathway that is."""
    return _sentences().fullmatch(text) is not None


def pathway_lines(expected: Expected) -> tuple[str, ...]:
    """Return the lines of a report: the pathway, each step that holds, and its advice with days."""
    pathway = expected.pathway
    lines = [f"Pathway: {pathway.title}, version {pathway.version}, valid from {pathway.valid_from} ({pathway.owner})"]
    lines += [_step_line(one) for one in expected.steps]
    if not expected.steps:
        lines.append("It has no step for what was recorded, which excludes nothing.")
    lines += [f"{step.title}: the record can’t tell whether this applies." for step in expected.open]
    if expected.watch_for:
        lines.append(_advice_line(expected))
    return tuple(lines)


def _step_line(one: ExpectedStep) -> str:
    if not one.step.choices:
        return f"{one.step.title}: {one.step.message}"
    urgency = f"At least {one.step.urgency.display}" if one.step.urgency is not None else "No urgency"
    window = f", not before {one.not_before}" if one.not_before is not None else ""
    said = f"{urgency}{window}{_days(one.by, one.answer_by)}"
    return f"{one.step.title}: {one.step.message} {said}. {_sentence(_STANDS[one.kept])}"


def _sentence(words: str) -> str:
    return f"{words[0].upper()}{words[1:]}."


def _days(by: str | None, answer_by: str | None) -> str:
    said = [f"by {by}"] if by is not None else []
    if answer_by is not None:
        said.append(f"cancer found or excluded by {answer_by}")
    return "".join(f", {one}" for one in said)


def _advice_line(expected: Expected) -> str:
    said = [f"watch for: {', '.join(expected.watch_for)}"]
    if expected.come_back_by is not None:
        said.append(f"come back by {expected.come_back_by}")
    if expected.heard_by is not None:
        said.append(f"call when nothing is heard by {expected.heard_by}")
    return f"Advice to give: {'; '.join(said)}"
