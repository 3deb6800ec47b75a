"""The observations of one report as segments OBX and NTE.

They are made of the Observations that FHIR gets (codes, values, details, notes) and of the same sentences, so that no
code and no sentence is written twice. One Observation is one group: its answer, then its details, all with the same
OBX-4. Items of a list that was gone through are groups within the list's group: ``7.1`` lies in ``7``.

Where FHIR sends a reason instead of a value («not assessed», «not known»), OBX-5 keeps our code and OBX-11 is ``X``: a
reader who looks at either can't take it for absent.

Source: HL7 v2.5.1, chapter 7 (OBX), chapter 2 (NTE), chapter 2A (CE, CX, DT, ED, FT, NM, RP, SN, ST, TS); tables 0078,
0085, 0125, 0136, 0191, 0291, 0299, 0396. Table 0125 of this version has CE and lacks CWE, so coded values are CE. Of
table 0191 AP is an application's data («Application» is of v2.3.1 alone); 0291 lists no PDF, whose subtype here is the
one registered with IANA. SCT and UCUM of table 0396, which is kept outside the versions, are from memory. Codes longer
than the 20 characters that CE gives them are sent whole: a code that is cut is another one.
"""

from __future__ import annotations

from base64 import b64encode
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, Final

from dermreport.doors.hl7v2.parties import cx, known_by
from dermreport.doors.hl7v2.text import MAX_NM, components, number, segment, set_id, time
from dermreport.examination.base import OtherCode
from dermreport.fhir.codes import TERMINOLOGY, Codes, codes
from dermreport.fhir.observations import observations
from dermreport.fhir.releases import ANY_IMAGE, ShapeR5
from dermreport.fhir.resources import PICTURES, departures
from dermreport.publication import CANONICAL_BASE
from dermreport.vocabulary.attributes import Attribute
from dermreport.vocabulary.documents import Document
from dermreport.vocabulary.standard_codes import DICOM, LOINC, SNOMED_CT
from dermreport.vocabulary.structures import Structure
from dermreport.vocabulary.summaries import Summary
from dermreport.vocabulary.term import Term, code_system
from dermreport.wording.report import Heading, sections
from dermreport.wording.sentences import conclusion

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from dermreport.doors.hl7v2.text import Ink
    from dermreport.examination.decided import Action
    from dermreport.examination.observed import Image
    from dermreport.fhir.frame import Built, Frame
    from dermreport.settings import Settings

Concept = dict[str, Any]

# --- codes


class _OwnAnswers(Codes):
    """Concepts as FHIR has them; an answer that says why there is none keeps our own code."""

    def answer(self, code: Term | OtherCode) -> tuple[str, Concept]:
        """Return FHIR's element, which tells a value from a reason, with our concept in it."""
        element, _ = super().answer(code)
        return element, self.concept(code)


class Shape(ShapeR5):
    """What the Observations of R5 are, with our own answers everywhere."""

    def codes(self, settings: Settings) -> Codes:
        """Return the concepts, with the codings that a host wants."""
        return codes(settings, kind=_OwnAnswers)


_CODE_SYSTEMS: Final = f"{CANONICAL_BASE}/CodeSystem/"
_STANDARD: Final = {SNOMED_CT: "SCT", LOINC: "LN", DICOM: "DCM"}
#: A system that this door has no name for: its URI stands in a note.
_LOCAL: Final = "L"
#: Longest name of a coding system.
_LONGEST_SYSTEM: Final = 20


def system_name(system: str) -> str:
    """Return the name of a coding system as in table 0396: ours are local ones, ``99dr`` and the table's name."""
    if system.startswith(_CODE_SYSTEMS):
        return f"99dr{system.removeprefix(_CODE_SYSTEMS).replace('-', '')}"[:_LONGEST_SYSTEM]
    return _STANDARD.get(system, _LOCAL)


def _code_of(coded: Concept) -> str:
    """Return the code of a coding; one that FHIR's type can't hold stands in an extension there."""
    code: str | None = coded.get("code")
    return code if code is not None else coded["_code"]["extension"][0]["valueString"]


def ce(ink: Ink, concept: Concept) -> str:
    """Return a concept as CE: our code with its text, then the first of the standard codes."""
    codings = concept.get("coding", ())
    if not codings:
        return components("", ink.st(concept["text"]))
    first = codings[0]
    text = concept.get("text") or first.get("display", "")
    parts = [ink.st(_code_of(first)), ink.st(text), system_name(first["system"])]
    if len(codings) > 1:
        second = codings[1]
        parts += [ink.st(_code_of(second)), ink.st(second.get("display", "")), system_name(second["system"])]
    return components(*parts)


def _beside(concept: Concept) -> Iterable[str]:
    """Yield in words what CE doesn't hold of a concept: a third code, and a system that has no name there."""
    codings = concept.get("coding", ())
    for coded in codings[2:]:
        display = f" ({coded['display']})" if "display" in coded else ""
        yield f"also coded as {_code_of(coded)}{display} of {coded['system']}"
    for coded in codings:
        if system_name(coded["system"]) == _LOCAL:
            version = f", version {coded['version']}" if "version" in coded else ""
            yield f"coding system of {_code_of(coded)}: {coded['system']}{version}"


# --- rows and groups


@dataclass(slots=True)
class _Row:
    """One OBX: what it is about, its data type (table 0125), its values; none of these where there is no value."""

    code: str
    sub_id: str
    data_type: str = ""
    values: list[str] = field(default_factory=list)
    units: str = ""
    #: Whether the value says why there is none.
    is_reason: bool = False


@dataclass(slots=True)
class _Group:
    """An answer with its details and notes.

    Attributes:
        sub_id: OBX-4.
        rows: The answer first.
        notes: Said under the answer.
        flag: OBX-8 of the first coded row: of table 0078 only A and AA, which are for what isn't a number.
        observed: When, where it isn't the time of the examination.
    """

    sub_id: str
    rows: list[_Row] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    flag: str = ""
    observed: str = ""

    def add(self, row: _Row) -> None:
        """Add a row; further codes of one detail are repetitions of its value."""
        last = self.rows[-1] if self.rows else None
        if (
            last is not None
            and row.data_type == last.data_type == "CE"
            and (row.code, row.sub_id, row.is_reason) == (last.code, last.sub_id, last.is_reason)
        ):
            last.values += row.values
        else:
            self.rows.append(row)


#: Table 0085, by FHIR's status of the report: final, preliminary, a correction, posted as wrong.
_STATUSES: Final = {"final": "F", "preliminary": "P", "amended": "C", "entered-in-error": "W"}
#: Table 0085: no result can be obtained.
_NO_RESULT: Final = "X"
#: Table 0078.
_ABNORMAL, _VERY_ABNORMAL = "A", "AA"


class Observations:
    """Writes the observations of one report, numbered through."""

    def __init__(self, ink: Ink, frame: Frame) -> None:
        """Take what all observations of the report share."""
        self._ink = ink
        self._frame = frame
        self._codes = frame.codes
        self._segments: list[str] = []
        self._groups = 0
        self._observations = 0

    def segments(self, letter: bytes | None) -> list[str]:
        """Return the segments: what calls for action, plan, what was seen and added up, gaps, cautions, letter."""
        frame = self._frame
        told = {one.heading: one.lines for one in sections(frame.told, frame.review)}
        self._text(Document.DERMOSCOPY_REPORT, "\n".join(told[Heading.FIRST]), self._alarm())
        self._conclusion()
        self._plan()
        self._lesion_number()
        self._observed()
        for image, sentence in zip(frame.examination.images, frame.told.images, strict=True):
            self._image(image, sentence)
        for heading in (Heading.ISSUES, Heading.GAPS, Heading.CAUTIONS):
            if heading in told:
                self._text(Document.DERMOSCOPY_REPORT, "\n".join((heading.value, *told[heading])))
        if letter is not None:
            self._letter(letter)
        return self._segments

    # --- what stands first

    def _alarm(self) -> str:
        """Return the flag of what stands first: the gravest of its urgent steps, warning signs and the summary."""
        review = self._frame.review
        plan = review.examination.plan
        flags = {_urgency_flag(one) for one in plan.actions} if plan is not None else set()
        if review.red_flags or review.summary is Summary.SUSPICIOUS:
            flags.add(_ABNORMAL)
        return max(flags, default="", key=len)

    def _conclusion(self) -> None:
        """Write the word on the whole with the conclusion; a withdrawn record has none, and its first lines say so."""
        if self._frame.withdrawn:
            return
        group = self._group()
        summary = self._frame.review.summary
        self._answer(group, self._codes.concept(Document.DERMOSCOPY_REPORT), *self._codes.answer(summary))
        group.notes.append(conclusion(self._frame.review))
        group.flag = _ABNORMAL if summary is Summary.SUSPICIOUS else ""
        self._write(group)

    def _plan(self) -> None:
        frame = self._frame
        plan = frame.examination.plan
        if plan is None:
            return
        for action, sentence in zip(plan.actions, frame.told.actions, strict=True):
            self._action(action, sentence)
        if frame.told.safety_net:
            self._text(Document.SAFETY_NET_ADVICE, frame.told.safety_net)
        for built, sentence in zip(departures(frame, ()), frame.told.departures, strict=True):
            self._text(built.resource["code"], sentence)

    def _action(self, action: Action, sentence: str) -> None:
        """Write a planned step: what, and how soon; without an urgency the sentence is the value."""
        concept = self._codes.concept(action.action)
        group = self._group()
        if action.urgency is None:
            self._answer(group, concept, "valueString", sentence)
        else:
            self._answer(group, concept, *self._codes.answer(action.urgency))
            group.notes.append(sentence)
        for name, reference in (("responsible", action.responsible), ("result goes to", action.result_owner)):
            known = known_by(reference) if reference is not None else []
            group.notes += [f"{name}: {'; '.join(known)}"] if known else []
        group.flag = _urgency_flag(action)
        self._write(group)

    # --- what was seen

    def _lesion_number(self) -> None:
        lesion = self._frame.examination.lesion
        if lesion is None or lesion.identifier is None:
            return
        group = self._group()
        code = ce(self._ink, self._codes.concept(Document.SKIN_LESION))
        group.rows.append(_Row(code, group.sub_id, "CX", [cx(self._ink, lesion.identifier)]))
        self._write(group)

    def _observed(self) -> None:
        """Write every Observation but the panels, with its sentence where it says more than the rows."""
        frame = self._frame
        told, made, examination = frame.told, observations(frame, {}), frame.examination
        for (stated, sentence), built in zip(told.statements, made.by_item.values(), strict=True):
            self._built(built, sentence if stated.value is None else "", is_answer=stated.value is not None)
        for view, built, sentence in zip(examination.views, made.views.values(), told.views, strict=True):
            self._built(built, sentence, keys=(view.key,))
        for gone_through, built, one in zip(examination.lists_gone_through, made.lists, told.lists, strict=True):
            self._built(built, one.sentence, keys=gone_through.views)
        for finding, built, seen in zip(examination.findings, made.findings, told.findings, strict=True):
            self._built(built, seen.sentence, keys=finding.views)
        for several, sentences in (
            (made.tests, [sentence for _, sentence in told.tests]),
            (made.earlier_cancers, [sentence for _, sentence in told.earlier_cancers]),
            (made.scores, [sentence for _, sentence in told.scores]),
            (made.impressions, told.impressions),
            (made.outcomes, [sentence for _, sentence in told.outcomes]),
            (made.plugin_scores, [sentence for _, sentence in told.plugin_scores]),
        ):
            for built, sentence in zip(several, sentences, strict=True):
                self._built(built, sentence)

    def _built(self, built: Built, sentence: str, *, keys: Sequence[str] = (), is_answer: bool = True) -> None:
        """Write one Observation.

        Args:
            built: The Observation.
            sentence: What it says in words, "" where the rows say it.
            keys: Keys of the views that it is or was seen in.
            is_answer: Whether it has an answer; else it has details only, and the sentence is the value.
        """
        resource = built.resource
        group = self._group()
        code = resource["code"]
        answered = [(name, value) for name, value in resource.items() if _is_value(name)]
        if answered:
            self._answer(group, code, *answered[0])
        elif not is_answer:
            self._answer(group, code, "valueString", sentence)
        if sentence and is_answer:
            group.notes.append(sentence)
        group.notes += [one["text"] for one in resource.get("note", ()) if one["text"] not in sentence]
        for one in resource.get("interpretation", ()):
            group.flag = one["coding"][0]["code"]
        group.observed = self._time_of(resource, group)
        for part in resource.get("component", ()):
            self._detail(group, part)
        self._view_keys(group, keys)
        self._write(group)

    def _view_keys(self, group: _Group, keys: Sequence[str]) -> None:
        """Add the keys of the views in which it was seen, as the views have them, whether these exist or not."""
        if keys:
            code = ce(self._ink, self._codes.concept(Attribute.VIEW_KEY))
            group.rows.append(_Row(code, group.sub_id, "ST", [self._ink.st(key) for key in keys]))

    def _time_of(self, resource: Concept, group: _Group) -> str:
        """Return when it was observed where that isn't the time of the examination."""
        observed = resource.get("effectiveDateTime")
        if observed is None:
            group.notes.append("time not known")
            return ""
        return self._ink.time(observed) if observed != self._frame.examination.examined else ""

    def _detail(self, group: _Group, part: Concept) -> None:
        """Add a detail; an item of a list is a group of its own within the list's, with the reason of its answer."""
        code = part["code"]
        ((name, value),) = [(name, value) for name, value in part.items() if _is_value(name)]
        if code == self._codes.concept(Attribute.VIEW_KEY):
            return
        if code.get("coding", _NO_CODES)[0]["system"] != _STRUCTURES:
            self._answer(group, code, name, value)
            return
        item = _Group(f"{group.sub_id}.{len({row.sub_id for row in group.rows})}")
        self._answer(item, code, name, value)
        for one in part.get("extension", ()):
            reason = {"coding": [one["valueCoding"]], "text": one["valueCoding"]["display"]}
            self._answer(item, self._codes.concept(Attribute.NOT_ASSESSED_BECAUSE), "valueCodeableConcept", reason)
        group.rows += item.rows
        group.notes += item.notes

    def _image(self, image: Image, sentence: str) -> None:
        """Write a picture by reference; its address is the value where it has one."""
        concept = self._codes.concept(PICTURES[image.role]) if image.role is not None else ANY_IMAGE
        group = self._group()
        if image.address is None:
            self._answer(group, concept, "valueString", sentence)
        else:
            main, subtype = _PICTURE_TYPES.get(image.media_type or "", _ANY_PICTURE)
            pointer = components(self._ink.st(image.address), "", main, subtype)
            group.rows.append(_Row(ce(self._ink, concept), group.sub_id, "RP", [pointer]))
            group.notes.append(sentence)
        if image.taken is not None and image.taken != self._frame.examination.examined:
            group.observed = self._ink.time(image.taken)
        self._view_keys(group, (image.view,) if image.view is not None else ())
        self._write(group)

    def _letter(self, letter: bytes) -> None:
        """Write a letter as an embedded document."""
        group = self._group()
        data = components("", "AP", "PDF", "Base64", b64encode(letter).decode("ascii"))
        code = ce(self._ink, self._codes.concept(Document.DERMOSCOPY_REPORT))
        group.rows.append(_Row(code, group.sub_id, "ED", [data]))
        self._write(group)

    # --- rows

    def _group(self) -> _Group:
        self._groups += 1
        return _Group(str(self._groups))

    def _text(self, about: Document | Concept, text: str, flag: str = "") -> None:
        """Write a group that is a text."""
        group = self._group()
        concept = self._codes.concept(about) if isinstance(about, Document) else about
        self._answer(group, concept, "valueString", text)
        group.flag = flag
        self._write(group)

    def _answer(self, group: _Group, about: Concept, element: str, value: Any) -> None:  # noqa: ANN401 - a value of any kind
        """Add a row with the value of an element of FHIR."""
        row = _Row(ce(self._ink, about), group.sub_id, is_reason=element == "dataAbsentReason")
        group.notes += _beside(about)
        match element:
            case "valueCodeableConcept" | "dataAbsentReason":
                # A reason that isn't an answer of ours says that there is no value, as OBX-11 does.
                if not value.get("coding", _NO_CODES)[0]["system"].startswith(TERMINOLOGY):
                    row.data_type, row.values = "CE", [ce(self._ink, value)]
                    group.notes += _beside(value)
            case "valueQuantity":
                digits = number(value["value"])
                row.data_type, row.values = "NM" if len(digits) <= MAX_NM else "ST", [digits]
                row.units = self._units(value)
            case "valueRange":
                low, high = value["low"], value["high"]
                row.data_type = "SN"
                row.values = [components("", number(low["value"]), "-", number(high["value"]))]
                row.units = self._units(low)
            case "valueDateTime":
                moment = time(value)
                row.data_type = moment.data_type if moment.exact else "ST"
                row.values = [moment.value if moment.exact else self._ink.st(value)]
            case "valueBoolean":
                row.data_type, row.values = "CE", [_YES if value else _NO]
            case _:
                row.data_type, row.values = "FT", [self._ink.ft(value)]
        group.add(row)

    def _units(self, quantity: Concept) -> str:
        return components(self._ink.st(quantity["code"]), self._ink.st(quantity["unit"]), "UCUM")

    def _write(self, group: _Group) -> None:
        """Write the segments of a group: the answer, its notes, the details."""
        withdrawn = self._frame.withdrawn
        flagged = next((row for row in group.rows if row.data_type == "CE" and not row.is_reason), None)
        if flagged is None and group.rows and group.rows[0].data_type == "FT":
            flagged = group.rows[0]
        for position, row in enumerate(group.rows):
            self._observations += 1
            fields = {
                1: set_id(self._observations),
                2: row.data_type,
                3: row.code,
                4: row.sub_id,
                5: "~".join(row.values),
                6: row.units,
                8: group.flag if row is flagged and not withdrawn else "",
                11: _NO_RESULT if row.is_reason and not withdrawn else _STATUSES[self._frame.status],
                14: group.observed,
            }
            self._segments.append(segment("OBX", fields))
            if position == 0:
                self._segments += comments(self._ink, dict.fromkeys(group.notes))


def comments(ink: Ink, notes: Iterable[str]) -> list[str]:
    """Return notes as segments."""
    return [segment("NTE", {1: set_id(rank), 3: ink.ft(text)}) for rank, text in enumerate(notes, start=1)]


def _is_value(name: str) -> bool:
    return name.startswith("value") or name == "dataAbsentReason"


def _urgency_flag(action: Action) -> str:
    """Return the flag of a planned step: more than routine is A, the same day AA."""
    priority = action.urgency.fhir_priority if action.urgency is not None else "routine"
    return {"routine": "", "stat": _VERY_ABNORMAL}.get(priority, _ABNORMAL)


_STRUCTURES: Final = code_system(Structure)
_NO_CODES: Final = ({"system": ""},)
#: Table 0136.
_YES: Final = components("Y", "Yes", "HL70136")
_NO: Final = components("N", "No", "HL70136")
#: Tables 0191 and 0291, by media type; a type that 0291 lacks goes without.
_PICTURE_TYPES: Final = {
    "image/jpeg": ("IM", "JPEG"),
    "image/tiff": ("IM", "TIFF"),
    "image/gif": ("IM", "GIF"),
    "application/dicom": ("AP", "DICOM"),
}
_ANY_PICTURE: Final = ("IM", "")
