"""What the server tests store: the examples, a later visit, copies of an example for a clinic of its own."""

from __future__ import annotations

import atexit
import json
from collections.abc import Iterable
from dataclasses import dataclass, field
from functools import cache, partial
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from conformance import server
from conformance.server import Answer, Server
from examples_output import ENTRIES, examinations
from fhir_cases import objects

import dermreport
from dermreport import cli
from dermreport.examination.people import system_and_value
from dermreport.fhir.bundle import Bundle
from dermreport.fhir.ids import Identity, Thing
from dermreport.publication import CANONICAL_BASE
from dermreport.vocabulary.term import Term, code_system

#: The server has our package, so every resource may name its profile, and is checked against it when it comes in.
CLAIMING = dermreport.Settings(claim_profiles=True)

Known = tuple[str, str]

#: The example whose lesion is looked at again later.
FOLLOWED = "lower-back-watched-with-baseline"
#: What an R5 server stores: people, pictures, several revisions, several lesions, one lesion at two visits.
SOME = {
    "back-melanoma-suspected-referred",
    "cheek-grey-circles-from-images-only",
    "forearm-revision-1-reassured",
    "forearm-revision-2-amended-to-excision",
    FOLLOWED,
    "visit-three-lesions",
}


def token(term: Term) -> str:
    """Return a term as a search has it: its system and code."""
    return f"{code_system(type(term))}|{term.value}"


def identifier_of(resource: dict[str, Any]) -> Known:
    """Return the first identifier of a resource."""
    first = resource["identifier"][0] if isinstance(resource["identifier"], list) else resource["identifier"]
    return first["system"], first["value"]


def identifiers(resources: Iterable[dict[str, Any]]) -> set[Known]:
    return {identifier_of(one) for one in resources}


def item(review: dermreport.Review, thing: Thing, key: str) -> Known:
    """Return the identifier of an item of an examination."""
    known = Identity(review.examination.identifier).item(thing, key).identifier
    return known["system"], known["value"]


def number(review: dermreport.Review) -> Known:
    """Return the identifier of an examination."""
    return system_and_value(review.examination.identifier)


def whole_report(known: Known) -> list[tuple[str, str]]:
    """Return the search that brings a report with all that belongs to it, on a server that has our package."""
    return [
        ("identifier", "|".join(known)),
        *(("_include", f"DiagnosticReport:{name}") for name in ("result", "subject", "performer", "media", "lesion")),
        *(("_include:iterate", f"Observation:{name}") for name in ("has-member", "derived-from")),
        *(("_revinclude", name) for name in ("ServiceRequest:report", "Communication:report", "Provenance:target")),
        ("_revinclude:iterate", "DetectedIssue:implicated"),
    ]


def reviewed(entry: dict[str, Any], settings: dermreport.Settings = CLAIMING) -> dermreport.Review:
    return dermreport.review(dermreport.Examination.from_json(json.dumps(entry)), settings)


def example(stem: str) -> dict[str, Any]:
    """Return the entry of an example; its numbers are floats, which are only sent, never compared."""
    (path,) = (path for path in ENTRIES if path.stem == stem)
    entry: dict[str, Any] = json.loads(path.read_bytes())
    return entry


def at_clinic(clinic: str, stem: str, **changes: Any) -> dict[str, Any]:
    """Return an example as if another clinic had recorded it: with its own numbers, of its own patient."""
    entry = example(stem)
    numbered = [entry["identifier"], entry["lesion"].get("identifier"), entry.get("earlier", {}).get("identifier")]
    for one in numbered:
        if one is not None:
            one["system"] = one["system"].replace("https://clinic.example/", f"https://{clinic}.example/")
    entry["patient"] = {"reference": f"Patient/{clinic}"}
    return {name: value for name, value in (entry | changes).items() if value is not None}


def later_visit(stem: str, value: str, examined: str) -> dict[str, Any]:
    """Return a later examination of the lesion of an example, which points to the earlier report."""
    entry = example(stem)
    earlier = {"identifier": entry["identifier"]}
    number = entry["identifier"] | {"value": value}
    return entry | {"identifier": number, "earlier": earlier, "examined": examined, "images": [], "outcomes": []}


def short(clinic: str, value: str = "e-1", **changes: Any) -> dict[str, Any]:
    """Return a short examination: the fewest resources that still have a finding, a light and an urgent request."""
    made = {
        "identifier": {"system": f"https://{clinic}.example/examinations", "value": value},
        "status": "final",
        "patient": {"reference": f"Patient/{clinic}"},
        "examined": "2026-05-04T10:15:00+02:00",
        "lesion": {"site": "thumb-nail", "side": "left"},
        "views": [{"key": "a", "light": "polarised", "contact": "contact", "immersion": ["gel"]}],
        "findings": [{"structure": "nail-micro-hutchinson", "presence": "present", "views": ["a"]}],
        "plan": {"actions": [{"key": "1", "action": "refer-dermatology", "urgency": "urgent"}]},
    }
    return made | changes


_AMBULATORY = {"system": "http://terminology.hl7.org/CodeSystem/v3-ActCode", "code": "AMB"}
#: What a host's own resources need to be valid, by release.
_HOST = {
    "R4": {"Encounter": {"status": "finished", "class": _AMBULATORY}},
    "R5": {"Encounter": {"status": "completed", "class": [{"coding": [_AMBULATORY]}]}},
}
_HOST_ALWAYS = {"Organization": {"name": "Clinic"}}


@dataclass
class Store:
    """A running server, and what was sent to it.

    Attributes:
        server: The server.
        release: Its release of FHIR.
        reviews: The reviews that were sent, by the examination's identifier; the last revision of each.
        sent: Identifiers of everything that was sent with them.
        answers: The server's answers to the transactions, by the name of the example.
    """

    server: Server
    release: str
    reviews: dict[Known, dermreport.Review] = field(default_factory=dict)
    sent: set[Known] = field(default_factory=set)
    answers: dict[str, Answer] = field(default_factory=dict)
    _host: set[str] = field(default_factory=set)

    def ours(self, resources: Iterable[dict[str, Any]]) -> set[Known]:
        """Return which of the resources that were sent with the examples were found."""
        return identifiers(resources) & self.sent

    def give_host_records(self, bundle: dict[str, Any]) -> None:
        """Store what a bundle points to and the host has: patients, staff, encounters."""
        wanted = {one["reference"] for one in objects(bundle) if isinstance(one.get("reference"), str)}
        for literal in sorted(wanted - self._host):
            kind, _, name = literal.partition("/")
            if kind.isalpha() and "?" not in literal:
                needed = _HOST[self.release].get(kind, {}) | _HOST_ALWAYS.get(kind, {})
                answer = self.server.put({"resourceType": kind, "id": name, **needed})
                assert answer.status in {200, 201}, answer.text
                self._host.add(literal)

    def post(self, bundle: Bundle, **headers: str) -> Answer:
        """Send a transaction; what it points to is there."""
        self.give_host_records(bundle.to_dict())
        return self.server.send("POST", "", bundle.to_json(), **headers)

    def report(self, *reviews: dermreport.Review, **options: Any) -> Bundle:
        """Return the transaction of a report in the server's release."""
        return dermreport.to_fhir(reviews, release=self.release, **options).bundle("transaction")

    def store(self, *reviews: dermreport.Review, **options: Any) -> Answer:
        """Send a report, which the server must take."""
        answer = self.post(self.report(*reviews, **options))
        assert answer.status == 200, answer.problems
        return answer

    def the(self, kind: str, known: Known) -> dict[str, Any]:
        """Return the one resource of an identifier."""
        (found,) = self.server.search(kind, ("identifier", "|".join(known)))
        return found

    def the_canonical(self, kind: str, name: str) -> dict[str, Any]:
        """Return what our package published under an address."""
        (found,) = self.server.search(kind, ("url", f"{CANONICAL_BASE}/{kind}/{name}"))
        return found

    def store_examples(self, paths: Iterable[Path]) -> None:
        """Send examples, and a later visit of one lesion: patient by patient, two patients at once."""
        visits = {path.stem: [dermreport.review(one, CLAIMING) for one in examinations(path)] for path in paths}
        later = later_visit(FOLLOWED, "2026-0502", "2026-06-17T10:00:00+02:00")
        visits["a-later-visit"] = [reviewed(later)]
        queues: dict[str | None, dict[str, Bundle]] = {}
        for name, reviews in visits.items():
            earlier = [self.reviews[number(one)] for one in reviews if number(one) in self.reviews]
            bundle = self.report(*reviews, earlier=earlier or None)
            queues.setdefault(reviews[0].examination.patient.reference, {})[name] = bundle
            self.reviews |= {number(one): one for one in reviews}
            content = bundle.to_dict()
            self.give_host_records(content)
            self.sent |= identifiers(one["resource"] for one in content["entry"] if "identifier" in one["resource"])
        tasks = [partial(self._send_in_order, queue) for queue in queues.values()]
        for answers in server.at_once(tasks, senders=2):
            self.answers |= answers

    def _send_in_order(self, queue: dict[str, Bundle]) -> dict[str, Answer]:
        return {name: self.server.send("POST", "", bundle.to_json()) for name, bundle in queue.items()}


def package(release: str, folder: Path) -> Path:
    """Make our FHIR package of a release, as its users do."""
    assert cli.main(["profiles", "pack", "--release", release, "-o", str(folder)]) == 0
    (made,) = folder.glob(f"*{release.lower()}*.tgz")
    return made


@cache
def store(release: str = "R4") -> Store:
    """Return the server that tests share, with our package and examples (R4: all); it ends with the process."""
    server.build()
    folder = TemporaryDirectory()
    atexit.register(folder.cleanup)
    root = Path(folder.name)
    started = Server(release, root / "server.log", packages=(package(release, root),))
    atexit.register(started.stop)
    made = Store(started, release)
    made.store_examples(path for path in ENTRIES if release == "R4" or path.stem in SOME)
    return made
