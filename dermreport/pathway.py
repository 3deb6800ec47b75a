"""What a pathway is: frozen values that a host's settings carry. How one is read and compared stands in ``pathways``.

A pathway is somebody's statement of what follows from an examination: steps, each with the condition under which it
is expected. It belongs to the body that it names, has a version and a day, and is named wherever it speaks.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property
from typing import TYPE_CHECKING

from dermreport.vocabulary.action_kinds import ActionKind
from dermreport.vocabulary.plan_actions import PlanAction
from dermreport.vocabulary.urgencies import Urgency

if TYPE_CHECKING:
    # Settings are imported with the package: only a review needs the conditions.
    from dermreport.expressions.nodes import Expression


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """One of several planned steps that are acceptable.

    Attributes:
        kinds: Any planned step of these kinds will do …
        actions: … and any of these.
        urgency: How soon at least, where that differs from the pathway's step.
        only_if: What must hold for it, ``@.`` being the planned step; None where it always will do.
        from_days: First day of the window, counted from the examination.
        within_days: Last day, counted from the examination.
    """

    kinds: tuple[ActionKind, ...] = ()
    actions: tuple[PlanAction, ...] = ()
    urgency: Urgency | None = None
    only_if: Expression | None = None
    from_days: int | None = None
    within_days: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Advice:
    """What the patient is told.

    Attributes:
        watch_for: What to watch for.
        come_back_days: Days after the examination by which to come back if it isn't settled.
        heard_days: Days after which to call if no appointment has come.
    """

    watch_for: tuple[str, ...]
    come_back_days: int | None = None
    heard_days: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """What a pathway expects under a condition.

    Attributes:
        id: Its id within the pathway.
        title: The condition in a few words.
        message: What is expected, for a clinician.
        when: The condition.
        choices: Any of these will do; empty where nothing is to be arranged.
        urgency: How soon at least; None where nothing is to be arranged.
        binding: False where the pathway asks to consider it only.
        answer_days: Days after the examination by which the patient is to know whether it is cancer.
        ask: What to record where the condition can't be told.
        advice: Safety-net advice.
        source: Where it comes from and how it is known.
        core: Whether it is one of the library's own, which no file takes away.
    """

    id: str
    title: str
    message: str
    when: Expression
    source: str
    choices: tuple[Choice, ...] = ()
    urgency: Urgency | None = None
    binding: bool = True
    answer_days: int | None = None
    ask: str = ""
    advice: Advice | None = None
    core: bool = False


@dataclass(frozen=True, kw_only=True)
class Pathway:
    """A pathway, as it was read: ``pathway_from_toml`` makes one.

    Attributes:
        id: Its id; a departure names a step as ``id/step``.
        version: The owner's version.
        title: What it is called.
        owner: The body that it belongs to.
        source: Where it comes from.
        valid_from: From which day it is valid.
        country: Two-letter code of the country for which it was written, empty where for none.
        steps: What it expects, in its order.
        digest: SHA-256 of all that it was made of.
    """

    id: str
    version: str
    title: str
    owner: str
    source: str = field(repr=False)
    valid_from: str
    country: str
    steps: tuple[Step, ...] = field(repr=False)
    digest: str = field(repr=False)

    def __hash__(self) -> int:
        """Hash by content: a review looks its pathway up, and steps are large."""
        return hash(self.digest)

    @property
    def name(self) -> str:
        """Title, version and owner, as they stand wherever the pathway speaks."""
        return f"{self.title}, version {self.version} ({self.owner})"

    @cached_property
    def step_ids(self) -> frozenset[str]:
        """The ids of its steps."""
        return frozenset(step.id for step in self.steps)
