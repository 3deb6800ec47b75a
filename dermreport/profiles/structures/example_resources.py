"""An example for each profile, taken from whole reports: the resource that carries most.

A single resource points to the others as on a server, by type and id; a bundle stays as it is sent.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

from dermreport.fhir.bundle import BundleKind
from dermreport.fhir.report import to_fhir
from dermreport.issues import BuildError
from dermreport.letters.letter import letter
from dermreport.profiles.structures.tables import profile_url, profiles

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from dermreport.fhir.releases import Release
    from dermreport.reviews.review import Review

_URN: Final = "urn:uuid:"


def example_resources(reports: Iterable[Sequence[Review]], release: Release) -> dict[str, dict[str, Any]]:
    """Return one resource for each profile that reports use, by the profile's name, sorted.

    Args:
        reports: The reviews of each report, whose settings claim the profiles.
        release: The release.
    """
    names = {profile_url(one.name): one.name for one in profiles(release)}
    found: dict[str, dict[str, Any]] = {}
    for reviews in reports:
        for resource in _resources(reviews, release):
            for url in resource.get("meta", {}).get("profile", ()):
                name = names[url]
                if _weight(resource) > _weight(found.get(name)):
                    found[name] = resource
    return dict(sorted(found.items()))


def _resources(reviews: Sequence[Review], release: Release) -> Iterator[dict[str, Any]]:
    report = to_fhir(reviews, release=release, letters=[letter(reviews)])
    for kind in (BundleKind.COLLECTION, BundleKind.DOCUMENT):
        try:
            bundle = report.bundle(kind).to_dict()
        except BuildError:
            # Who has no examiner or no time of day has no document: another example has.
            continue
        identity = f"example-{kind.value}"
        yield {"resourceType": bundle["resourceType"], "id": identity, **bundle}
        types = {one["fullUrl"]: one["resource"]["resourceType"] for one in bundle["entry"]}
        for entry in bundle["entry"]:
            yield _on_a_server(entry["resource"], types)


def _on_a_server(value: Any, types: dict[str, str]) -> Any:  # noqa: ANN401 - any JSON
    """Return a copy in which references within the bundle are those of a server."""
    if isinstance(value, dict):
        return {
            name: f"{types[one]}/{one.removeprefix(_URN)}"
            if name == "reference" and isinstance(one, str) and one in types
            else _on_a_server(one, types)
            for name, one in value.items()
        }
    return [_on_a_server(one, types) for one in value] if isinstance(value, list) else value


def _weight(resource: Any) -> int:  # noqa: ANN401 - any JSON
    """Return how many elements a resource has, its narrative left out."""
    if isinstance(resource, dict):
        return sum(1 + _weight(one) for name, one in resource.items() if name != "text")
    return sum(map(_weight, resource)) if isinstance(resource, list) else 0
