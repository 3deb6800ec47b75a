"""What a process does with a request: bytes in, bytes out, by the library's own doors and its exact reader.

What can be held of a partly filled record is held, as everywhere: the rest is an error of its review, the report is
preliminary, and no planned step is withheld. Nothing of a record gets into an answer that refuses it.
"""

from __future__ import annotations

import base64
import binascii
from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from http import HTTPStatus
from types import MappingProxyType
from typing import TYPE_CHECKING, Any, Final

from dermreport.examination.entry_rules import entry_issue
from dermreport.examination.not_sent import unread
from dermreport.examination.people import system_and_value
from dermreport.examination.reader import read_json
from dermreport.examination.visits import from_visit
from dermreport.fhir.outcome import to_outcome, with_issues
from dermreport.fhir.read.reading import Reading, from_fhir
from dermreport.fhir.releases import Release
from dermreport.fhir.report import Report, to_fhir
from dermreport.form.questionnaire import FORM_ID, questionnaire
from dermreport.form.reading import from_response
from dermreport.http import media
from dermreport.http.answers import answer, refused
from dermreport.http.errors import RefusedError, UnreadableError
from dermreport.http.messages import Answer, Host, Job
from dermreport.http.parameters import checked
from dermreport.issues import BuildError, EntryError, Issue, MissingExtraError, SettingsError, Severity
from dermreport.letters.letter import letter
from dermreport.limits import Limits
from dermreport.profiles.operations import refusals, table
from dermreport.reviews.review import review

if TYPE_CHECKING:
    from dermreport.examination.model import Examination
    from dermreport.fhir.foreign import Foreign
    from dermreport.profiles.operations.table import Operation, Parameter
    from dermreport.reviews.review import Review

Json = dict[str, Any]

_FORMAT_OF: Final = MappingProxyType({name: one for one, name in media.LETTER_TYPES.items()})


@dataclass(frozen=True, slots=True)
class Record:
    """A record that was read.

    Attributes:
        examinations: At least one.
        lost: What is said of lesions of a visit of which nothing is held.
        foreign: What others added to it, where it came as a report.
    """

    examinations: tuple[Examination, ...] = field(repr=False)
    lost: tuple[Issue, ...] = ()
    foreign: Foreign | None = field(default=None, repr=False)

    def reviews(self, host: Host) -> tuple[Review, ...]:
        """Return the reviews of its examinations."""
        return tuple(review(one, host.settings) for one in self.examinations)


@dataclass(frozen=True, slots=True)
class Made:
    """What an operation made: a resource, or bytes of another kind.

    Attributes:
        content: It.
        issues: What was found; ``None`` where the content says it itself.
        media: Media type of bytes.
        name: Their file name.
    """

    content: Json | bytes = field(repr=False)
    issues: tuple[Issue, ...] | None = None
    media: str = ""
    name: str = ""


# Reading a record


def read_record(content: Any, size: int, limits: Limits) -> Record:  # noqa: ANN401 - any JSON
    """Read a record by what it says it is.

    Args:
        content: JSON of an examination, a visit, or a resource.
        size: How many bytes there are at most.
        limits: How much of a report is read at most.

    Raises:
        UnreadableError: Nothing of it can be held.
    """
    kind = content.get("resourceType") if isinstance(content, dict) else None
    if kind == "Binary":
        return read_record(_of_binary(content, size), size, limits)
    if kind == "QuestionnaireResponse":
        return _held(from_response(content))
    if kind is not None:
        return _received(from_fhir(content, limits=limits))
    found = from_visit(content)
    if not found.examinations:
        raise UnreadableError(found.issues)
    return Record(found.examinations, found.lost)


def _of_binary(resource: Json, size: int) -> Any:  # noqa: ANN401 - any JSON
    data = resource.get("data")
    try:
        content = base64.b64decode(data, validate=True) if isinstance(data, str) else None
    except (binascii.Error, ValueError):
        content = None
    if content is None:
        raise UnreadableError(unread([entry_issue("entry-missing", "$.data")]))
    value = _json(content, size)
    if isinstance(value, dict) and "resourceType" in value:
        # A file in a file in a file: it has to be given as what it is.
        raise UnreadableError(unread([entry_issue("entry-unknown-field", "$")]))
    return value


def _json(content: bytes, size: int) -> Any:  # noqa: ANN401 - any JSON
    try:
        return read_json(content, size=size)
    except EntryError as error:
        issues = error.issues
    raise UnreadableError(unread(issues))


def _held(entry: Any) -> Record:  # noqa: ANN401 - an Entry
    if entry.examination is None:
        raise UnreadableError(entry.issues)
    return Record((entry.examination,))


def _received(reading: Reading) -> Record:
    if not reading.examinations:
        raise UnreadableError(reading.issues)
    return Record(reading.examinations, foreign=reading.foreign)


@dataclass(frozen=True, slots=True)
class Asked:
    """What an operation is asked to do.

    Attributes:
        release: The release of FHIR that is written.
        accepts: The media type that is asked for.
        given: Parameters that are no resources, by name.
        records: Records, by the name of their parameter.
    """

    release: Release
    accepts: str
    given: Mapping[str, str] = field(repr=False)
    records: Mapping[str, tuple[Record, ...]] = field(repr=False)

    def code(self, parameter: Parameter) -> str:
        """Return what a parameter with a list of codes is, or its first one."""
        return self.given.get(parameter.name, parameter.codes[0])

    def reviews(self, parameter: Parameter, host: Host) -> tuple[Review, ...]:
        """Return the reviews of the records of one parameter."""
        return tuple(one for record in self.records.get(parameter.name, ()) for one in record.reviews(host))


def _asked(job: Job, operation: Operation, limits: Limits) -> Asked:
    """Read the body: a record, or Parameters with it.

    Raises:
        RefusedError: The parameters aren't those of the operation.
        UnreadableError: Nothing of a record can be held.
    """
    release, size = Release(job.release), len(job.body)
    first = operation.takes[0].name
    if job.media in media.AS_XML:
        record = _received(from_fhir(job.body, limits=limits))
        return Asked(release, job.accepts, job.given, {first: (record,)})
    content = _json(job.body, size)
    if not (isinstance(content, dict) and content.get("resourceType") == "Parameters"):
        return Asked(release, job.accepts, job.given, {first: (read_record(content, size, limits),)})
    values, resources = _parameters(content, operation)
    given = checked(operation, [*job.given.items(), *values])
    if first not in resources:
        raise RefusedError(refusals.PARAMETER_MISSING, name=first)
    try:
        records = {
            name: tuple(read_record(one, size, limits) for one in several) for name, several in resources.items()
        }
    except UnreadableError as error:
        # Nothing is made of the records beside it either, and any of them may have a plan.
        issues = error.issues if sum(map(len, resources.values())) == 1 else unread(error.issues)
    else:
        return Asked(release, job.accepts, given, records)
    raise UnreadableError(issues)


def _parameters(content: Json, operation: Operation) -> tuple[list[tuple[str, str]], dict[str, list[Any]]]:
    """Return what a Parameters resource has: values and resources, by name."""
    known = {one.name: one for one in operation.takes}
    values: list[tuple[str, str]] = []
    resources: dict[str, list[Any]] = {}
    parts = content.get("parameter")
    for part in parts if isinstance(parts, list) else []:
        name = part.get("name") if isinstance(part, dict) else None
        one = known.get(name) if isinstance(name, str) else None
        if one is None:
            raise RefusedError(refusals.PARAMETER_UNKNOWN, names=", ".join(known))
        if not one.is_resource:
            value = next((value for key, value in part.items() if key.startswith("value")), None)
            values.append((one.name, value if isinstance(value, str) else ""))
            continue
        resource = part.get("resource")
        if not isinstance(resource, dict) or "resourceType" not in resource:
            raise RefusedError(refusals.PARAMETER_VALUE, name=one.name, form="a resource")
        several = resources.setdefault(one.name, [])
        several.append(resource)
        if one.most == "1" and len(several) > 1:
            raise RefusedError(refusals.PARAMETER_TWICE, name=one.name)
    return values, resources


# The operations


def _written(asked: Asked, host: Host) -> tuple[tuple[Issue, ...], Report]:
    """Return a report, and what is said of its records."""
    (record,) = asked.records[table.EXAMINATION.name]
    reviews = record.reviews(host)
    earlier = asked.reviews(table.EARLIER, host)
    if record.lost:
        # The former revision of a lesion that isn't held withdraws nothing, and takes no other lesion with it.
        held = {system_and_value(one.identifier) for one in record.examinations}
        earlier = tuple(one for one in earlier if system_and_value(one.examination.identifier) in held)
    report = to_fhir(
        reviews,
        release=asked.release,
        earlier=earlier,
        after=asked.reviews(table.AFTER, host),
        if_match=asked.given.get(table.IF_MATCH.name),
        foreign=record.foreign,
    )
    return (*record.lost, *(issue for one in reviews for issue in one.issues)), report


def _report(asked: Asked, host: Host) -> Made:
    issues, report = _written(asked, host)
    bundle = report.bundle(asked.code(table.BUNDLE))
    content = bundle.to_xml() if asked.accepts in media.AS_XML else bundle.to_json()
    return Made(content.encode(), (*issues, *report.left_out), asked.accepts)


def _check(asked: Asked, host: Host) -> Made:
    _, report = _written(asked, host)
    (record,) = asked.records[table.EXAMINATION.name]
    return Made(with_issues(report.outcome(), record.lost, "Visit", language=host.settings.language))


def _letter(asked: Asked, host: Host) -> Made:
    native = _FORMAT_OF.get(asked.accepts)
    (record,) = asked.records[table.EXAMINATION.name]
    reviews = record.reviews(host)
    made = letter(
        reviews,
        kind=asked.code(table.KIND),
        format=native or asked.code(table.FORMAT),
        settings=host.letters,
    )
    found = (*(issue for one in reviews for issue in one.issues), *made.issues)
    if native is not None:
        return Made(made.content, (*record.lost, *found), asked.accepts, made.name)
    issues = with_issues(to_outcome(found), record.lost, "Visit")
    return Made(_out((("letter", _binary(made.media_type, made.content)), ("issues", issues))))


def _read(job: Job, host: Host) -> Made:
    reading = _reading(job, host.settings.limits)
    if not reading.examinations:
        raise UnreadableError(reading.issues)
    texts = [one.to_json() for one in reading.examinations]
    if job.accepts == media.NDJSON:
        return Made("".join(f"{one}\n" for one in texts).encode(), reading.issues, job.accepts)
    binaries = (("examination", _binary(media.JSON, one.encode())) for one in texts)
    return Made(_out((*binaries, ("issues", to_outcome(reading.issues, "Bundle")))))


def _reading(job: Job, limits: Limits) -> Reading:
    """Read reports: the body itself, or what Parameters hold."""
    if job.media in media.AS_XML or b"Parameters" not in job.body:
        return from_fhir(job.body, limits=limits)
    content = _json(job.body, len(job.body))
    if not (isinstance(content, dict) and content.get("resourceType") == "Parameters"):
        return from_fhir(job.body, limits=limits)
    _, resources = _parameters(content, table.READ)
    name = table.READ.takes[0].name
    if name not in resources:
        raise RefusedError(refusals.PARAMETER_MISSING, name=name)
    (resource,) = resources[name]
    return from_fhir(resource, limits=limits)


def _binary(kind: str, content: bytes) -> Json:
    return {"resourceType": "Binary", "contentType": kind, "data": base64.b64encode(content).decode()}


def _out(parts: Iterable[tuple[str, Json]]) -> Json:
    return {"resourceType": "Parameters", "parameter": [{"name": name, "resource": one} for name, one in parts]}


def _on_a_record(make: Callable[[Asked, Host], Made], operation: Operation) -> Callable[[Job, Host], Made]:
    return lambda job, host: make(_asked(job, operation, host.settings.limits), host)


_MAKERS: Final[Mapping[str, Callable[[Job, Host], Made]]] = MappingProxyType(
    {
        table.REPORT.code: _on_a_record(_report, table.REPORT),
        table.CHECK.code: _on_a_record(_check, table.CHECK),
        table.LETTER.code: _on_a_record(_letter, table.LETTER),
        table.READ.code: _read,
        # The form is asked for, and no operation.
        FORM_ID: lambda job, _: Made(questionnaire(job.release)),
    }
)


def done(job: Job, host: Host) -> Answer:
    """Do what a request asks for."""
    try:
        made = _MAKERS[job.operation](job, host)
    except RefusedError as error:
        return refused(error.refusal, job.accepts, **error.parameters)
    except UnreadableError as error:
        return answer(HTTPStatus.UNPROCESSABLE_ENTITY, to_outcome(error.issues), job.accepts)
    except (BuildError, SettingsError) as error:
        return refused(refusals.NOT_MADE, job.accepts, reason=_sentence(error))
    except MissingExtraError as error:
        return refused(refusals.NOT_INSTALLED, job.accepts, reason=_sentence(error))
    counts = () if made.issues is None else _counts(made.issues)
    if isinstance(made.content, bytes):
        return Answer(HTTPStatus.OK, made.media, made.content, counts=counts, name=made.name)
    return answer(HTTPStatus.OK, made.content, job.accepts)


def _sentence(error: Exception) -> str:
    return f"{str(error).removesuffix('.')}."


def _counts(issues: Sequence[Issue]) -> tuple[int, ...]:
    found = Counter(one.severity for one in issues)
    return tuple(found[one] for one in Severity)
