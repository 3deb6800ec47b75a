"""A report that goes on from the previous examination of the same lesion: what it points to, and how.

The report points to the earlier report, and its Observations on the lesion to those of the same item. All of these are
logical references, by number: a server that has both resolves them, one that has only the later one refuses nothing.
How the two examinations differ stands in none of them: that is worked out from both (:mod:`dermreport.over_time`).
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

from msgspec.structs import replace

from dermreport.examination.observed import finding_key
from dermreport.examination.people import may_be_one_patient, system_and_value
from dermreport.examination.times import certainly_before
from dermreport.fhir.build import build
from dermreport.fhir.extensions import Extension, extension
from dermreport.issues import BuildError
from dermreport.vocabulary.statuses import Status
from dermreport.wording.report import tell

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from dermreport.examination.model import Examination
    from dermreport.fhir.build import One, Visit
    from dermreport.fhir.frame import Built
    from dermreport.fhir.people import Pointing
    from dermreport.fhir.releases import Shape
    from dermreport.reviews.review import Review

#: The standard’s extension of an Observation that follows an earlier one.
SEQUEL_TO: Final = "http://hl7.org/fhir/StructureDefinition/observation-sequelTo"
#: What was seen of the lesion follows what was seen before; what is told, assessed and planned is new each time.
_SEEN: Final = frozenset(("lesion", "description"))
_TOLD: Final = "lesion.history"
_DAY: Final = len("2026-03-04")


def check_previous(reviews: Sequence[Review], previous: Sequence[Review]) -> None:
    """Refuse examinations that a report can't go on from.

    Raises:
        BuildError: It says why.
    """
    lesions = {number: one for one in reviews if (number := _lesion_number(one.examination)) is not None}
    numbers = [_lesion_number(one.examination) for one in previous]
    if len(set(numbers)) != len(numbers):
        raise BuildError("`after` has two examinations of one lesion: give the last one before this.")
    for number, one in zip(numbers, previous, strict=True):
        review = lesions.get(number) if number is not None else None
        if review is None:
            raise BuildError("`after` is of another lesion, or has no number of it: both need the same identifier.")
        before, after = one.examination, review.examination
        if system_and_value(before.identifier) == system_and_value(after.identifier):
            raise BuildError("`after` is the same examination: give its former revision as `earlier`.")
        if not may_be_one_patient(before.patient, after.patient):
            raise BuildError("`after` is of another patient: nothing is joined.")
        if before.status is Status.ENTERED_IN_ERROR:
            raise BuildError("`after` was entered in error: a report can't go on from it.")
        if certainly_before(after.examined, before.examined):
            raise BuildError("`after` is later than this examination: give one that lies before it.")


def _lesion_number(examination: Examination) -> tuple[str, str] | None:
    lesion = examination.lesion
    return None if lesion is None or lesion.identifier is None else system_and_value(lesion.identifier)


def following(visit: Visit, previous: Sequence[Review], shape: Shape, how: Pointing) -> Visit:
    """Return a visit whose reports and Observations point to those of the previous examination of each lesion."""
    before = {}
    for review in previous:
        (one,) = build([review], [tell(review)], shape, how).examinations
        before[one.lesion.uuid] = one
    made = [
        _following(one, before[one.lesion.uuid], shape) if one.lesion.uuid in before else one
        for one in visit.examinations
    ]
    return replace(visit, examinations=made)


def _following(one: One, before: One, shape: Shape) -> One:
    sequels = {now.uuid: _sequel(then) for then, now in _pairs(before, one)}
    observed = replace(
        one.observed,
        all=[
            _with(built, {"extension": [sequels[built.uuid]]}, shape) if built.uuid in sequels else built
            for built in one.observed.all
        ],
    )
    report = _with(one.report, shape.previous_report(_previous(before)), shape)
    return replace(one, observed=observed, report=report)


def _previous(before: One) -> dict[str, Any]:
    examined = before.frame.examination.examined
    return {
        "extension": [extension(Extension.PREVIOUS_EXAMINATION, "valueDateTime", examined)],
        "type": "DiagnosticReport",
        "identifier": before.report.resource["identifier"][0],
        "display": f"examination of {examined[:_DAY]}",
    }


def _sequel(then: Built) -> dict[str, Any]:
    reference = {"type": "Observation", "identifier": then.resource["identifier"][0]}
    return {"url": SEQUEL_TO, "valueReference": reference}


def _with(built: Built, added: dict[str, Any], shape: Shape) -> Built:
    """Return a resource with more items in its lists; nothing that is shared with others is changed."""
    resource = dict(built.resource)
    for name, items in added.items():
        resource[name] = [*resource.get(name, ()), *items]
    return built._replace(resource=shape.resource(resource["resourceType"], resource))


def _pairs(before: One, after: One) -> Iterator[tuple[Built, Built]]:
    """Yield the Observations of the same item: a statement on the lesion, a structure at its place, a method."""
    for item, now in after.observed.by_item.items():
        then = before.observed.by_item.get(item)
        seen = item.path.partition(".")[0] in _SEEN and not item.path.startswith(_TOLD)
        if then is not None and seen:
            yield then, now
    for then_by, now_by in ((_findings(before), _findings(after)), (_scores(before), _scores(after))):
        for key, now in now_by.items():
            if (then := then_by.get(key)) is not None:
                yield then, now


def _findings(one: One) -> dict[Any, Built]:
    named = (finding_key(finding) for finding in one.frame.examination.findings)
    return dict(zip(named, one.observed.findings, strict=True))


def _scores(one: One) -> dict[Any, Built]:
    named = (result.method.code for result, _ in one.frame.told.scores)
    return dict(zip(named, one.observed.scores, strict=True))
