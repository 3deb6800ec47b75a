"""What a published method is made of: frozen tables of criteria, thresholds, validity, cautions and figures.

Weights and totals are integer tenths, so that no total is ever rounded. A threshold is the first total, in tenths,
that reaches it.
"""

from __future__ import annotations

from decimal import Decimal
from enum import StrEnum
from typing import Self

from msgspec import Struct
from msgspec.structs import replace

from dermreport.expressions.nodes import Expression
from dermreport.sources import Basis
from dermreport.vocabulary.score_methods import ScoreMethod
from dermreport.vocabulary.verdicts import Verdict

#: What every score and every report says.
CAUTIONS = (
    "This adds up what the examiner recorded: it supports judgement and never replaces it.",
    "A total below a threshold excludes nothing.",
    "When in doubt, refer.",
    "Local pathways and licensed practice come first.",
)


def points(tenths: int) -> Decimal:
    """Return a number of tenths as points: a whole number as written, else one decimal (``66`` is ``6.6``)."""
    return Decimal(tenths // 10) if tenths % 10 == 0 else Decimal(tenths).scaleb(-1)


class Criterion(Struct, frozen=True):
    """One criterion that is met or not.

    Attributes:
        id: Its id within the method.
        label: What it is called.
        when: When it is met.
        tenths: Its weight; 0 where it only vetoes.
        basis: How it is known.
        group: The part of the total that it belongs to, where the method limits a part.
        vetoes: When met, the total counts as below the threshold whatever else is met.
    """

    id: str
    label: str
    when: Expression
    tenths: int
    basis: Basis
    group: str = ""
    vetoes: bool = False


class Counted(Struct, frozen=True):
    """A criterion that is a number from the entry times a weight; without the number it is open over its range."""

    id: str
    label: str
    path: str
    tenths: int
    lowest: int
    highest: int
    basis: Basis
    group: str = ""


class PartRange(Struct, frozen=True):
    """The published range of one part of the total, as a count of criteria met; outside it there is no number."""

    group: str
    lowest: int
    highest: int
    reason: str


class Effect(StrEnum):
    """What a validity condition does."""

    NO_NUMBER = "no number"
    CAUTION = "caution"


class Validity(Struct, frozen=True):
    """A condition under which the method gives no number, or gives it with a caution.

    Attributes:
        when: The condition.
        effect: What follows when it holds.
        reason: Why, in one sentence.
        basis: How it is known.
        unknown: The caution when the condition can't be told; ``""`` where that says nothing.
    """

    when: Expression
    effect: Effect
    reason: str
    basis: Basis
    unknown: str = ""


class Threshold(Struct, frozen=True):
    """A total from which a verdict holds."""

    from_tenths: int
    verdict: Verdict
    text: str


class Figure(Struct, frozen=True):
    """A published figure of the method's performance, in one sentence, with its source."""

    text: str
    basis: Basis


class Variant(Struct, frozen=True):
    """A reading of a criterion in which published sources differ: criteria by id that it replaces."""

    name: str
    text: str
    criteria: tuple[Criterion, ...]
    basis: Basis


class End(Struct, frozen=True):
    """Where a method that goes step by step can end.

    Attributes:
        says: What the method says there, in its own published sense.
        verdict: On which side of its threshold that is; None where the end names a kind of lesion and no threshold.
        advice: What it asks for, in the words that two forms of one method share; empty where nothing is compared.
    """

    says: str
    verdict: Verdict | None = None
    advice: str = ""


class Step(Struct, frozen=True, eq=False):
    """One step of a method that goes step by step; each is itself only, as a method is.

    Attributes:
        asks: What is asked, in words.
        when: When the answer is yes.
        end: Where a yes ends; a no goes on to the next step.
    """

    asks: str
    when: Expression
    end: End


class Steps(Struct, frozen=True):
    """The steps of a method in their published order.

    Attributes:
        steps: The steps.
        otherwise: Where the method ends when every answer is no.
    """

    steps: tuple[Step, ...]
    otherwise: End


class OwnCode(Struct, frozen=True):
    """The code of a plugin's method, in the plugin's own code system.

    Attributes:
        plugin: Name of the plugin.
        system: URI of its code system.
        value: The code.
        title: What the method is called.
        definition: What it is, in one sentence.
    """

    plugin: str
    system: str
    value: str
    title: str
    definition: str

    @property
    def display(self) -> str:
        """What the method is called wherever it speaks: always as the plugin's."""
        return f"{self.title} (plugin {self.plugin})"

    @property
    def name(self) -> str:
        """What a departure calls it, and under what a review has it: plugin and code."""
        return f"{self.plugin}/{self.value}"


class Method(Struct, frozen=True, eq=False):
    """One score, published or a plugin's; each is itself only, so that what is compiled for it is found by identity.

    Attributes:
        code: Our code, or that of a plugin.
        version: Which publication or variant.
        criteria: What is counted.
        thresholds: Ascending; below the first the verdict is below the threshold.
        lowest_tenths: Lowest published total.
        highest_tenths: Highest published total.
        validity: Where it gives no number, or one with a caution.
        cautions: What its reader must know, beside those that every score shows.
        figures: Published performance.
        basis: Where the method comes from.
        part_ranges: Published ranges of parts of the total.
        variants: Readings in which sources differ.
        steps: The published order of its questions, where it has one; it gives the same verdict as the total.
        only_rules_in: True where it is for one kind of cancer, so that below its threshold it says nothing of others.
    """

    code: ScoreMethod | OwnCode
    version: str
    criteria: tuple[Criterion | Counted, ...]
    thresholds: tuple[Threshold, ...]
    lowest_tenths: int
    highest_tenths: int
    validity: tuple[Validity, ...]
    cautions: tuple[str, ...]
    figures: tuple[Figure, ...]
    basis: Basis
    part_ranges: tuple[PartRange, ...] = ()
    variants: tuple[Variant, ...] = ()
    steps: Steps | None = None
    only_rules_in: bool = False

    @property
    def id(self) -> str:
        """Code and version: what a stored score names as its method."""
        return f"{self.code}|{self.version}"

    def verdict(self, tenths: int) -> Verdict:
        """Return on which side of the thresholds a total falls."""
        reached = Verdict.BELOW_THRESHOLD
        for threshold in self.thresholds:
            if tenths >= threshold.from_tenths:
                reached = threshold.verdict
        return reached

    def variant(self, name: str) -> Self:
        """Return the method in one of its named variants; its steps are those of the usual reading, so it has none.

        Raises:
            KeyError: The method has no such variant.
        """
        for variant in self.variants:
            if variant.name == name:
                replaced = {criterion.id: criterion for criterion in variant.criteria}
                criteria = tuple(replaced.get(criterion.id, criterion) for criterion in self.criteria)
                return replace(self, version=f"{self.version}, {name}", criteria=criteria, steps=None)
        raise KeyError(name)


class PublishedMethod(Method, frozen=True, eq=False):
    """A method of the library's own, by our code."""

    code: ScoreMethod


class Clue(Struct, frozen=True):
    """One sign of a list of associations.

    Attributes:
        id: Its id within the list.
        label: What it is called.
        when: When it is there.
        speaks_for: What it is associated with.
        basis: How it is known.
        strength: The published strength of the association, in words; empty where none was seen.
    """

    id: str
    label: str
    when: Expression
    speaks_for: str
    basis: Basis
    strength: str = ""


class ClueList(Struct, frozen=True, eq=False):
    """A published list of associations without a published total: it shows what is there and gives no number.

    Attributes:
        code: Our code.
        version: Which publication.
        clues: What is looked for.
        validity: Where the list isn't for such a lesion, or is so with a caution.
        cautions: What its reader must know, beside those that every method shows.
        figures: Published figures.
        basis: Where the list comes from.
        steps: The published order of its questions, where it has one.
    """

    code: ScoreMethod
    version: str
    clues: tuple[Clue, ...]
    validity: tuple[Validity, ...]
    cautions: tuple[str, ...]
    figures: tuple[Figure, ...]
    basis: Basis
    steps: Steps | None = None

    @property
    def id(self) -> str:
        """Code and version."""
        return f"{self.code}|{self.version}"
