"""What becomes of each damage: by our checks (the reader and the review), and by the reference validator.

``python tests/conformance/mutation_outcomes.py`` writes the table beside it; ``test_mutations.py`` compares.
"""

from __future__ import annotations

import sys
from collections import Counter
from enum import StrEnum
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import NamedTuple

if __name__ == "__main__":
    sys.path.insert(0, str(Path(__file__).parent.parent))

from conformance import engine
from conformance.definitions import definitions
from conformance.mutations import RELEASE, Damage, damages, sources

import dermreport
from dermreport.publication import CANONICAL_BASE

TABLE = Path(__file__).with_name("mutations.tsv")


class Ours(StrEnum):
    """What our checks make of a damage."""

    ISSUE = "issue"
    """The reader or the review names it."""
    KEPT = "kept"
    """The reader keeps it apart as not the report's own, and says so when asked."""
    SAME = "reads the same"
    """What was recorded is read exactly as before: the damage took nothing away."""
    OTHERWISE = "reads otherwise"
    """Something else is read, and nothing says so."""


class Theirs(StrEnum):
    """What the reference validator makes of it."""

    DEFINITIONS = "our definitions"
    """A message that follows from what we publish: profile, constraint, value set, code system."""
    STANDARD = "the standard"
    NOTHING = "-"


class Outcome(NamedTuple):
    """What became of a damage."""

    damage: Damage
    ours: Ours
    theirs: Theirs

    @property
    def missed(self) -> bool:
        """Whether it matters, and nothing caught it."""
        return self.ours is Ours.OTHERWISE and self.theirs is Theirs.NOTHING

    def line(self) -> str:
        return f"{self.damage.kind}\t{self.damage.place}\t{self.damage.source}\t{self.ours}\t{self.theirs}"


def outcomes() -> list[Outcome]:
    """Damage, read and validate: the outcomes in the order of the damages."""
    made = damages()
    return [Outcome(*one) for one in zip(made, _by_us(made), _by_the_validator(made), strict=True)]


def _by_us(made: list[Damage]) -> list[Ours]:
    sound = {kind: dermreport.from_fhir(bundle.to_json()) for kind, bundle in sources().items()}
    issues = {kind: _issues(reading) for kind, reading in sound.items()}
    return [_ours(dermreport.from_fhir(one.text), sound[one.source], issues[one.source]) for one in made]


def _ours(reading: dermreport.Reading, sound: dermreport.Reading, issues: Counter[str]) -> Ours:
    if _issues(reading) - issues:
        return Ours.ISSUE
    if reading.foreign:
        return Ours.KEPT
    return Ours.SAME if _texts(reading) == _texts(sound) else Ours.OTHERWISE


def _issues(reading: dermreport.Reading) -> Counter[str]:
    found = [reading, *map(dermreport.review, reading.examinations)]
    return Counter(issue.rule for one in found for issue in one.issues)


def _texts(reading: dermreport.Reading) -> list[str]:
    return [one.to_json() for one in reading.examinations]


def _by_the_validator(made: list[Damage]) -> list[Theirs]:
    with TemporaryDirectory() as folder:
        texts = {f"sound-{kind}": bundle.to_json() for kind, bundle in sources().items()}
        texts |= {f"damaged-{number}": one.text for number, one in enumerate(made)}
        files = {name: Path(folder, name) for name in texts}
        for name, path in files.items():
            path.write_text(texts[name], encoding="utf-8")
        answers = engine.validate(RELEASE, list(files.values()), definitions(RELEASE))
    messages = {name: Counter(one["message"] for one in answers[str(path)]) for name, path in files.items()}
    return [_theirs(messages[f"damaged-{number}"] - messages[f"sound-{one.source}"]) for number, one in enumerate(made)]


def _theirs(messages: Counter[str]) -> Theirs:
    if not messages:
        return Theirs.NOTHING
    return Theirs.DEFINITIONS if any(CANONICAL_BASE in one for one in messages) else Theirs.STANDARD


def table(found: list[Outcome]) -> str:
    """Return the outcomes as the table has them."""
    return "\n".join(["damage\tplace\tbundle\tour checks\treference validator", *(one.line() for one in found), ""])


if __name__ == "__main__":
    TABLE.write_text(table(outcomes()), encoding="utf-8", newline="\n")
