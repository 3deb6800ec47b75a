"""Bundles: a transaction for a server, a collection for a file, a document for a reader."""

from __future__ import annotations

from enum import StrEnum
from importlib import import_module
from typing import TYPE_CHECKING, Any, Final

from pydantic import ValidationError

from dermreport.fhir.document import composition, document_identifier, instant
from dermreport.fhir.frame import Built, Request
from dermreport.fhir.ids import Thing
from dermreport.fhir.write import fresh, to_json, to_xml
from dermreport.issues import BuildError

if TYPE_CHECKING:
    from dermreport.fhir.build import Visit
    from dermreport.fhir.releases import Release, Shape

#: The version of a resource as an entity tag: RFC 9110, 8.8.3, weak and around a ``versionId``, as FHIR R4 and R5 have
#: it (RESTful API, "Managing Resource Contention"; the characters are those of the type ``id``).
ENTITY_TAG: Final = r'W/"[A-Za-z0-9\-.]{1,64}"'


class BundleKind(StrEnum):
    """What a bundle is for."""

    TRANSACTION = "transaction"
    COLLECTION = "collection"
    DOCUMENT = "document"


class Bundle:
    """A bundle that is ready to be written; whatever it hands out is fresh and shares nothing with it.

    Attributes:
        kind: What it is for.
        release: The release of FHIR.
    """

    __slots__ = ("_content", "_shape", "kind", "release")
    kind: BundleKind
    release: Release

    def __init__(self, content: dict[str, Any], kind: BundleKind, release: Release, shape: Shape) -> None:
        """Keep the content, whose dicts may be shared among its resources."""
        self._content = content
        self._shape = shape
        self.kind = kind
        self.release = release

    def to_dict(self) -> dict[str, Any]:
        """Return the bundle as new dicts in the standard's element order; numbers are ``int`` and ``Decimal``."""
        copied: dict[str, Any] = fresh(self._content)
        return copied

    def to_json(self) -> str:
        """Return the bundle as JSON text, numbers digit for digit."""
        return to_json(self._content)

    def to_xml(self) -> str:
        """Return the bundle as XML text."""
        return to_xml(self._content)

    def typed(self) -> Any:  # noqa: ANN401 - a class of a library that is loaded only here
        """Return the bundle as an object of ``fhir.resources``, which is loaded now.

        That library has no classes of R4 itself: R4 and R4B come as those of R4B, whose elements are the same here.
        Its own dump changes digits and offsets: write with :meth:`to_json` or :meth:`to_xml`.

        Raises:
            BuildError: It has parts of others that its classes refuse. They are sent all the same: the text says in
                which entries they are, and nothing of what they hold.
        """
        module = import_module(f"{self._shape.typed_package}.bundle")
        try:
            return module.Bundle.model_validate(self.to_dict())
        except ValueError as error:
            refused = error
        # Outside the handler: the library's own error quotes what it refuses, and would hang on this one.
        raise BuildError(f"the classes of fhir.resources refuse parts of others in it: {_where(refused)}")


def _where(refused: ValueError) -> str:
    """Return in which entries of a bundle something is refused."""
    if not isinstance(refused, ValidationError):
        return "where isn’t known"
    places = sorted({one["loc"][1] for one in refused.errors(include_input=False) if one["loc"][0] == "entry"})
    return f"entry {', '.join(map(str, places))}"


def with_id(built: Built) -> dict[str, Any]:
    """Return a resource with its id, which stands second."""
    return {"resourceType": built.resource["resourceType"], "id": built.uuid, **built.resource}


def transaction(visit: Visit, if_match: str | None) -> dict[str, Any]:
    """Return a transaction: nothing is changed when it, or an older one, is sent again."""
    entries = [
        {
            "fullUrl": built.reference["reference"],
            "resource": with_id(built) if built.request is Request.BY_ID else built.resource,
            "request": _request(built),
        }
        for built in visit.all
    ]
    if if_match is not None:
        reports = {one.report.reference["reference"] for one in visit.examinations}
        for entry in entries:
            if entry["fullUrl"] in reports and entry["request"]["method"] == "PUT":
                entry["request"]["ifMatch"] = if_match
    return {**_head(visit, Thing.BUNDLE), "type": "transaction", "entry": entries}


def _head(visit: Visit, thing: Thing) -> dict[str, Any]:
    """Return what a bundle starts with: its type, and the profile claim where the host wants it."""
    claimed = visit.examinations[0].frame.claimed(thing)
    return {"resourceType": "Bundle"} if claimed is None else {"resourceType": "Bundle", "meta": claimed}


def _request(built: Built) -> dict[str, Any]:
    kind = built.resource["resourceType"]
    if built.request is Request.BY_ID:
        return {"method": "PUT", "url": f"{kind}/{built.uuid}"}
    if built.request is Request.VERSIONED and built.revision > 1:
        return {"method": "PUT", "url": f"{kind}?{built.search}"}
    return {"method": "POST", "url": kind, "ifNoneExist": built.search}


def collection(visit: Visit) -> dict[str, Any]:
    """Return a collection: every resource with its id."""
    return {**_head(visit, Thing.BUNDLE), "type": "collection", "entry": _entries(visit.all)}


def document(visit: Visit, shape: Shape) -> dict[str, Any]:
    """Return a document: the Composition first, and all that it points to.

    Raises:
        BuildError: A time with its offset or the examiner is missing.
    """
    time = instant(visit)
    first = composition(visit, shape)
    return {
        **_head(visit, Thing.DOCUMENT),
        "identifier": document_identifier(visit),
        "type": "document",
        "timestamp": time,
        "entry": _entries([first, *visit.all]),
    }


def _entries(made: list[Built]) -> list[dict[str, Any]]:
    return [{"fullUrl": f"urn:uuid:{built.uuid}", "resource": with_id(built)} for built in made]
