"""What somebody changed in a report of ours and the record doesn't hold: the conclusion, words, narratives, times.

Each is held to what the record says by itself, so that nothing has to be written anew: most parts are just as they were
written, and an equality tells.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

from dermreport.fhir.extensions import Extension
from dermreport.fhir.ids import Thing
from dermreport.fhir.narrative import XHTML_NAMESPACE
from dermreport.fhir.read.contradictions import as_written, has_other_words, is_known_component
from dermreport.fhir.read.narratives import has_our_form
from dermreport.fhir.read.parts import Json, extended_parts, first, objects, our_code, text
from dermreport.fhir.read.rules import read_issue
from dermreport.fhir.read.values import other_coding
from dermreport.vocabulary.sites import Site
from dermreport.vocabulary.summaries import Summary
from dermreport.vocabulary.term import code_system
from dermreport.wording.names import place_words
from dermreport.wording.report import Heading
from dermreport.wording.sentences import is_conclusion

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from dermreport.examination.model import Examination
    from dermreport.fhir.read.received import Received
    from dermreport.issues import Issue

_SUMMARIES: Final = code_system(Summary)
_SITES: Final = code_system(Site)


def conclusion_issues(examination: Examination, report: Received) -> Iterator[Issue]:
    """Yield where the conclusion isn't the one that is written for what was recorded."""
    said = report.resource.get("conclusion")
    if said is not None and (type(said) is not str or not is_conclusion(said, examination)):
        yield read_issue("read-conclusion-differs", f"{report.path}.conclusion")
    for position, concept in enumerate(objects(report.resource, "conclusionCode")):
        if not _is_summary(concept):
            yield read_issue("read-conclusion-differs", f"{report.path}.conclusionCode[{position}]")


def _is_summary(concept: Json) -> bool:
    """Return whether a concept is one word of ours on the whole and nothing else, even of a newer version."""
    if as_written(concept):
        return True
    codings = objects(concept, "coding")
    return (
        len(codings) == 1
        and text(codings[0], "system") == _SUMMARIES
        and "valueCodeableConcept" not in concept
        and not has_other_words(concept)
        and concept.keys() <= {"coding", "text", "id"}
    )


#: Narratives that software made of the data alone.
_MADE_OF_DATA: Final = frozenset(("generated", "empty"))
_LINES: Final = r"<ul>(?:<li>[^<]*(?:<br/>[^<]*)*</li>)+</ul>"
_HEADINGS: Final = "|".join(re.escape(one.value) for one in Heading)
_is_ours_as_written = re.compile(
    f'<div xmlns="{XHTML_NAMESPACE}">(?:<p>[^<]*(?:<br/>[^<]*)*</p>|'
    f"<h1>[^<]*</h1>(?:<h2>(?:{_HEADINGS})</h2>{_LINES})+)</div>"
).fullmatch


def narrative_issues(sources: Iterable[Received]) -> Iterator[Issue]:
    """Yield each narrative in which words stand that aren't made of the data."""
    for source in sources:
        narrative = source.resource.get("text")
        if type(narrative) is not dict:
            continue
        div = text(narrative, "div")
        by_software = text(narrative, "status") in _MADE_OF_DATA
        if div is not None and by_software and (_is_ours_as_written(div) is not None or has_our_form(div)):
            continue
        yield read_issue("read-narrative-differs", f"{source.path}.text")


#: Elements that each Observation shares with its report.
_SHARED: Final = ("encounter", "effectiveDateTime", "issued")
#: What has a time of its own.
_OF_ITS_OWN_TIME: Final = frozenset((Thing.VIEW, Thing.OUTCOME))


def shared_issues(parts: Iterable[tuple[Received, Thing, str]], report: Received) -> Iterator[Issue]:
    """Yield where an Observation has another time or encounter than its report."""
    shared = [(name, report.resource.get(name)) for name in _SHARED]
    for source, thing, _ in parts:
        resource = source.resource
        for name, value in shared:
            if resource.get(name) == value or (name == "effectiveDateTime" and thing in _OF_ITS_OWN_TIME):
                continue
            yield read_issue("read-part-differs", f"{source.path}.{name}")


def request_issues(requests: Iterable[Received], report: Received) -> Iterator[Issue]:
    """Yield where a planned step has another time than was entered."""
    written = (report.resource.get("issued"), report.resource.get("effectiveDateTime"))
    for source in requests:
        resource = source.resource
        authored = resource.get("authoredOn")
        if authored is not None and authored not in written:
            yield read_issue("read-part-differs", f"{source.path}.authoredOn")
        entered = {
            name: part.get("valueDateTime") for name, part in extended_parts(resource, Extension.PLAN_INTERVAL).items()
        }
        period = first(resource, "occurrencePeriod")
        given = (
            ("occurrenceDateTime", resource.get("occurrenceDateTime"), entered.get("date")),
            ("occurrencePeriod", period.get("start"), entered.get("earliest")),
            ("occurrencePeriod", period.get("end"), entered.get("latest")),
        )
        differ = {name for name, said, known in given if said is not None and said != known}
        if entered or "extension" in resource:
            yield from (read_issue("read-part-differs", f"{source.path}.{name}") for name in sorted(differ))


def site_issues(
    parts: Iterable[tuple[Received, Thing, str]], site: object, *, known: bool
) -> Iterator[tuple[Received, Issue]]:
    """Yield each Observation at another site than the lesion's.

    Args:
        parts: The Observations.
        site: The site as the entry has it: a code of ours, or an object with somebody else's.
        known: Whether a site was read.
    """
    right: Json | None = None
    for source, thing, _ in parts:
        here = source.resource.get("bodySite")
        if here is None or here == right or thing is Thing.EARLIER_CANCER:
            continue
        if type(here) is dict and _is_at(here, site, known=known):
            right = here
        else:
            yield source, read_issue("read-lesion-differs", f"{source.path}.bodySite")


def _is_at(body_site: Json, site: object, *, known: bool) -> bool:
    codings = objects(body_site, "coding")
    if not known:
        return not codings
    if type(site) is str:
        return our_code(body_site, _SITES) == site and not has_other_words({"coding": codings})
    # As it is read: a code that FHIR's type can't hold stands beside it, as it was entered.
    return type(site) is not dict or any(
        (one.get("system"), one.get("code")) == (site.get("system"), site.get("code"))
        for one in map(other_coding, codings)
    )


def site_word_issues(parts: Iterable[tuple[Received, Thing, str]], examination: Examination) -> Iterator[Issue]:
    """Yield where the words of the site aren't those of the lesion's."""
    words = place_words(examination.lesion)
    for source, thing, _ in parts:
        here = source.resource.get("bodySite")
        if type(here) is dict and thing is not Thing.EARLIER_CANCER and here.get("text", words) != words:
            yield read_issue("read-part-differs", f"{source.path}.bodySite.text")


def word_issues(parts: Iterable[tuple[Received, Thing, str]]) -> Iterator[Issue]:
    """Yield where words beside a code of ours are others than its own, and components that aren't known here."""
    for source, thing, _ in parts:
        if source.plain:
            continue
        resource = source.resource
        for name in ("code", "valueCodeableConcept"):
            if has_other_words(first(resource, name)):
                yield read_issue("read-words-differ", f"{source.path}.{name}.text")
        for position, component in enumerate(objects(resource, "component")):
            path = f"{source.path}.component[{position}]"
            code = first(component, "code")
            if not is_known_component(code):
                yield read_issue("read-component-unknown", path)
            elif has_other_words(code):
                yield read_issue("read-words-differ", f"{path}.code.text")
            # A score's own words say more than the code; it is made anew here, and compared.
            if thing is not Thing.SCORE and has_other_words(first(component, "valueCodeableConcept")):
                yield read_issue("read-words-differ", f"{path}.valueCodeableConcept.text")
