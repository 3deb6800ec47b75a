"""One examination of one lesion, and a visit of one patient with any number of lesions."""

from collections.abc import Hashable, Sequence
from operator import attrgetter
from typing import Annotated, Any, Self

from pydantic import BeforeValidator, PrivateAttr

from dermreport.examination.base import Model, NotEmpty, entry_dict
from dermreport.examination.decided import Assessment, Outcomes, Plan
from dermreport.examination.entry_rules import entry_issue
from dermreport.examination.lesion import Lesion
from dermreport.examination.observed import Description, Findings, Images, Lists, Views
from dermreport.examination.people import Background, Examiner, Identifier, Patient, Reference
from dermreport.examination.reader import MAX_ENTRY, read_json, write_json
from dermreport.examination.types import DayTime, Instant, Revision, Text
from dermreport.examination.unique import unique_by
from dermreport.issues import EntryError, Issue, must_be
from dermreport.vocabulary.modes import Mode
from dermreport.vocabulary.statuses import Status


class _Document(Model):
    """What is read and written as one JSON object."""

    @classmethod
    def from_json(cls, text: str | bytes, *, size: int = MAX_ENTRY) -> Self:
        """Read one from JSON: digits, offsets and precision stay as written.

        Args:
            text: JSON as text, or as UTF-8 bytes.
            size: How many characters or bytes it has at most.

        Raises:
            EntryError: With every issue, gathered; no entered value is in it.
        """
        return cls.model_validate(read_json(text, size=size))

    def to_dict(self) -> dict[str, Any]:
        """Return it as a new dict, in the model's order, without what was not given."""
        return entry_dict(self)

    def to_json(self) -> str:
        """Return it as JSON text in the model's order: the same content gives the same text."""
        return write_json(entry_dict(self))


class Shared(_Document):
    """What all lesions of one visit have in common.

    Attributes:
        patient: Whose skin.
        examiner: Who examined.
        encounter: The visit in the host's record.
        order: The request that this answers.
        organisation: Where it was done.
        mode: In person, live at a distance, or from images only.
        examined: When the lesion was looked at.
        recorded: When it was written down.
        background: What is known of the patient.
    """

    patient: Patient
    examiner: Examiner | None = None
    encounter: Reference | None = None
    order: Reference | None = None
    organisation: Reference | None = None
    mode: Mode | None = None
    examined: DayTime
    recorded: Instant | None = None
    background: Background | None = None


def _first_if_null(value: object) -> object:
    return 1 if value is None else value


class LesionRecord(Model):
    """What a visit records of one lesion.

    Attributes:
        identifier: Identifier of the examination: the same for each of its revisions.
        status: Draft, final, amended or entered in error.
        revision: 1, 2, …: rises with every change of content.
        earlier: The examination that this one replaces or withdraws.
        lesion: What and where.
        views: Looks through the dermatoscope, one light each.
        images: Pictures, by reference.
        lists_gone_through: Lists whose unticked items are absent by that statement.
        findings: Structures, each with what was recorded of it.
        description: The lesion as a whole.
        assessment: What the clinician makes of it.
        plan: What happens next.
        outcomes: What became known later.
        note: Anything else.
    """

    identifier: Identifier
    status: Status
    revision: Annotated[Revision, BeforeValidator(_first_if_null)] = 1
    earlier: Reference | None = None
    lesion: Lesion | None = None
    views: Views = ()
    images: Images = ()
    lists_gone_through: Lists = ()
    findings: Findings = ()
    description: Description | None = None
    assessment: Assessment | None = None
    plan: Plan | None = None
    outcomes: Outcomes = ()
    note: Text | None = None


class Examination(LesionRecord, Shared):
    """One examination of one lesion: who, when, what was seen in which light, what follows.

    Only identifier, status, patient and examined are required; whatever else is missing is a rule's matter.
    """

    _not_held: tuple[Issue, ...] = PrivateAttr(default=())
    _position: int | None = PrivateAttr(default=None)

    @property
    def not_held(self) -> tuple[Issue, ...]:
        """Issues on what a partly filled entry had and this couldn't hold: a review never forgets them."""
        return self._not_held

    @property
    def position_in_visit(self) -> int | None:
        """Which lesion of its visit it is, from 0, where it was read from one in part; others may not be held."""
        return self._position

    def remembering(self, issues: tuple[Issue, ...], position: int | None = None) -> Self:
        """Return the same examination with issues on what it couldn't hold of its entry.

        Args:
            issues: They, with paths of the examination.
            position: Which lesion of its visit it is.
        """
        copy = self.model_copy()
        copy._not_held = issues  # noqa: SLF001 - its own private attribute
        copy._position = position  # noqa: SLF001 - the same
        return copy


def _label(record: LesionRecord) -> Hashable:
    """Return the lesion's label; a record without one has only itself."""
    label = record.lesion.label if record.lesion is not None else None
    return record.identifier if label is None else label  # pyright: ignore[reportReturnType]  # pydantic makes frozen models hashable


def _spot(record: LesionRecord) -> Hashable:
    """Return the lesion's identifier; a record without one has only its own, as of another kind."""
    spot = record.lesion.identifier if record.lesion is not None else None
    return (record.identifier, None) if spot is None else spot  # pyright: ignore[reportReturnType]  # pydantic makes frozen models hashable


class Visit(Shared):
    """One visit of one patient: the shared facts once, and one record for each lesion.

    Attributes:
        identifier: Identifier of the visit.
        lesions: One record for each lesion.
    """

    identifier: Identifier | None = None
    lesions: Annotated[
        tuple[LesionRecord, ...],
        NotEmpty(),
        unique_by(attrgetter("identifier")),
        unique_by(_label),
        unique_by(_spot),
    ]

    @classmethod
    def of(cls, examinations: Sequence[Examination], identifier: Identifier | None = None) -> Self:
        """Put examinations of one visit together.

        Raises:
            EntryError: They don't share patient, examiner, place and time, or two lesions are the same one.
        """
        must_be("Visit.of: examinations", examinations, Sequence)
        for one in examinations:
            must_be("Visit.of: each of examinations", one, Examination)
        shared = [{name: getattr(one, name) for name in Shared.model_fields} for one in examinations]
        issues = tuple(
            entry_issue("entry-two-patients" if name == "patient" else "entry-visit-differs", f"$[{position}].{name}")
            for position, facts in enumerate(shared)
            for name, value in facts.items()
            if value != shared[0][name]
        )
        if issues:
            raise EntryError(issues)
        records = [
            LesionRecord.model_construct(one.model_fields_set & LesionRecord.model_fields.keys(), **_record(one))
            for one in examinations
        ]
        facts = {name: value for name, value in shared[0].items() if value is not None} if shared else {}
        return cls.model_validate({"identifier": identifier, **facts, "lesions": records})

    @property
    def examinations(self) -> tuple[Examination, ...]:
        """One whole examination for each lesion, with the shared facts."""
        shared = {name: getattr(self, name) for name in Shared.model_fields}
        return tuple(Examination.model_validate({**shared, **_record(record)}) for record in self.lesions)


def _record(one: LesionRecord) -> dict[str, Any]:
    return {name: getattr(one, name) for name in LesionRecord.model_fields}
