"""The operations, one row each, with their parameters.

How an operation is called, and when a resource is the whole body or the whole answer, is the standard's matter:
https://hl7.org/fhir/R4/operations.html, https://hl7.org/fhir/R5/operations.html.
"""

from __future__ import annotations

from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

from dermreport.fhir.bundle import ENTITY_TAG, BundleKind
from dermreport.letter_file import LetterFormat, LetterKind


@dataclass(frozen=True, slots=True, kw_only=True)
class Parameter:
    """What an operation takes or gives.

    Attributes:
        name: Its name.
        kind: Its FHIR type.
        words: What it is.
        least: How often it is there at least.
        most: How often at most, ``*`` without a limit.
        codes: What it is one of; the first is taken where it isn't given. Empty for what is no list.
        form: A regular expression that a text has to match; ``""`` for any.
    """

    name: str
    kind: str
    words: str
    least: int = 0
    most: str = "1"
    codes: tuple[str, ...] = ()
    form: str = ""

    @property
    def is_resource(self) -> bool:
        """Whether it is a whole resource."""
        return self.kind[0].isupper()


@dataclass(frozen=True, slots=True, kw_only=True)
class Operation:
    """One operation of the system level, which stores nothing and changes nothing.

    Attributes:
        code: By what it is called, after a dollar sign.
        title: Its title.
        words: What it does.
        takes: Its parameters; the first one is the record.
        gives: What comes out: one that is called ``return`` is the whole answer.
    """

    code: str
    title: str
    words: str
    takes: tuple[Parameter, ...]
    gives: tuple[Parameter, ...]

    @property
    def settable(self) -> tuple[Parameter, ...]:
        """The parameters that can stand in the address."""
        return tuple(one for one in self.takes if not one.is_resource)


_RECORD: Final = (
    "a Binary with an examination or a visit as JSON, a QuestionnaireResponse to the form, or a Bundle in which "
    "reports came"
)
EXAMINATION: Final = Parameter(
    name="examination",
    kind="Resource",
    least=1,
    words=f"The record: {_RECORD}. It can be the whole body, an examination or a visit also as plain JSON.",
)
EARLIER: Final = Parameter(
    name="earlier",
    kind="Resource",
    most="*",
    words=f"The former revision of the examination: {_RECORD}. What it had and the record lacks is then withdrawn.",
)
AFTER: Final = Parameter(
    name="after",
    kind="Resource",
    most="*",
    words=f"The previous examination of the same lesion: {_RECORD}. The report then points to that one’s.",
)
BUNDLE: Final = Parameter(
    name="bundle",
    kind="code",
    codes=tuple(BundleKind),
    words="transaction for a server, collection for a file, document for a reader. Without it: transaction.",
)
IF_MATCH: Final = Parameter(
    name="if-match",
    kind="string",
    form=ENTITY_TAG,
    words='The version of the report that the host knows, as W/"3": a server then refuses to update another one.',
)
KIND: Final = Parameter(
    name="kind",
    kind="code",
    codes=tuple(LetterKind),
    words="referral to a colleague, patient in plain language, or pathologist with the specimen. Without it: referral.",
)
FORMAT: Final = Parameter(
    name="format",
    kind="code",
    codes=tuple(LetterFormat),
    words="How the letter is written. Without it: text, or what Accept asks for.",
)
_ISSUES: Final = Parameter(
    name="issues",
    kind="OperationOutcome",
    least=1,
    words="Everything that was found; none of it withholds the rest.",
)

REPORT: Final = Operation(
    code="dermoscopy-report",
    title="Report of an examination",
    words="Check and score a record, and write the report. While an error stands the report is preliminary; it is "
    "given all the same, and an urgent request in it stays urgent. What was found is given by dermoscopy-check.",
    takes=(EXAMINATION, BUNDLE, EARLIER, AFTER, IF_MATCH),
    gives=(Parameter(name="return", kind="Bundle", least=1, words="The report and all that it points to."),),
)
CHECK: Final = Operation(
    code="dermoscopy-check",
    title="Check of an examination",
    words="Say what is wrong, missing or open in a record, with the paths in it, and what to do about it. That an "
    "error is in the answer doesn’t make the call fail.",
    takes=(EXAMINATION, EARLIER),
    gives=(
        Parameter(name="return", kind="OperationOutcome", least=1, words="Everything that was found, gravest first."),
    ),
)
LETTER: Final = Operation(
    code="dermoscopy-letter",
    title="Letter on an examination",
    words="Write a letter. No issue withholds it. Where plain text, HTML or PDF is accepted, the letter itself is the "
    "answer, without the words of its issues.",
    takes=(EXAMINATION, KIND, FORMAT),
    gives=(
        Parameter(name="letter", kind="Binary", least=1, words="The letter."),
        _ISSUES,
    ),
)
READ: Final = Operation(
    code="dermoscopy-read",
    title="Reports read back",
    words="Read reports back, exactly as they were recorded. An examination that is given knows nothing of the issues "
    "of its reading: where an error stands among them, give the Bundle itself to the other operations, which then "
    "count it. Where newline-delimited JSON is accepted, the examinations themselves are the answer, one a line.",
    takes=(
        Parameter(
            name="reports",
            kind="Bundle",
            least=1,
            words="A transaction, collection, document or search set of any release; as the whole body also in XML.",
        ),
    ),
    gives=(
        Parameter(name="examination", kind="Binary", most="*", words="An examination as JSON, one for each report."),
        _ISSUES,
    ),
)

#: All of them, sorted by code.
OPERATIONS: Final = (CHECK, LETTER, READ, REPORT)
BY_CODE: Final = MappingProxyType({one.code: one for one in OPERATIONS})
