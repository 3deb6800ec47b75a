"""The profiles, one table each: what a resource of a report carries beyond what its own definition asks.

Cardinalities are those that the library writes, a preliminary and a withdrawn record included: what an entry may lack
is optional here too, and what others may add to it stays open. Slices stand only where an element repeats. A number is
never used again.
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from typing import TYPE_CHECKING, Final

from dermreport.fhir.codes import ABSENT_REASONS, CRITERION_SYSTEM, TERMINOLOGY
from dermreport.fhir.extensions import Extension
from dermreport.fhir.ids import Thing
from dermreport.fhir.previous import SEQUEL_TO
from dermreport.fhir.releases import Release, shape_of
from dermreport.fhir.values import POINTS
from dermreport.profiles.structures.element import ALL, R4, R5, Element, Fixed, Invariant, Profile, Slicing
from dermreport.profiles.structures.items import (
    Held,
    about,
    answer,
    answer_of,
    coded,
    coded_as,
    component,
    components,
    concept,
    either,
    held,
    says,
    statement_codes,
    statement_rule,
)
from dermreport.publication import CANONICAL_BASE
from dermreport.vocabulary.attributes import Attribute
from dermreport.vocabulary.bedside_tests import BedsideTest
from dermreport.vocabulary.documents import Document
from dermreport.vocabulary.lights import Light
from dermreport.vocabulary.plan_actions import PlanAction
from dermreport.vocabulary.score_methods import ScoreMethod
from dermreport.vocabulary.sides import Side
from dermreport.vocabulary.sites import Site
from dermreport.vocabulary.standard_codes import UCUM
from dermreport.vocabulary.structures import Structure
from dermreport.vocabulary.summaries import Summary
from dermreport.vocabulary.term import Term, code_system, table_id
from dermreport.vocabulary.verdicts import Verdict
from dermreport.wording.items import (
    BEDSIDE_TEST,
    EARLIER_SKIN_CANCER,
    FINDING,
    IMPRESSION,
    OUTCOME,
    RANK,
    SINGLE,
    VIEW,
    Item,
    Kind,
)

if TYPE_CHECKING:
    from collections.abc import Iterator

_PATIENT: Final = ("Patient",)
_EXAMINER: Final = ("Practitioner", "PractitionerRole")
_REPORT: Final = ("DiagnosticReport",)
_BY_URL: Final = Slicing("value", "url")
_ITSELF: Final = Slicing("pattern", "$this")
_BY_CODE: Final = Slicing("pattern", "code")
_FOCUS_URL: Final = shape_of(Release.R4).report_lesion({})["url"]
_EARLIER_URL: Final = shape_of(Release.R4).earlier_report({})["extension"][0]["url"]


def profile_id(name: str) -> str:
    """Return the id of a profile by its short name."""
    return f"dermoscopy-{name}"


def profile_url(name: str) -> str:
    """Return the URL of a profile by its short name: what ``meta.profile`` claims."""
    return f"{CANONICAL_BASE}/StructureDefinition/{profile_id(name)}"


def _has_code(system: str, code: str, words: str) -> Fixed:
    return Fixed("pattern", "CodeableConcept", {"coding": [{"system": system, "code": code}]}, words)


def _extension(  # noqa: PLR0913, PLR0917 - the parts of one line, in its order
    number: int,
    which: Extension,
    means: str,
    low: int | None = None,
    high: int | None = 1,
    at: str = "",
    releases: frozenset[Release] = ALL,
) -> Element:
    """Return the line of one of our extensions; ``at`` is the element that has it, with a dot."""
    return Element(number, f"{at}extension:{which.value}", means, low, high, profiles=(which.url,), releases=releases)


def _slices_of(path: str, slicing: Slicing, releases: frozenset[Release] = ALL) -> Element:
    """Return the line that says how repetitions of an element are told apart."""
    return Element(0, path, slicing=slicing, supported=False, releases=releases)


def _lacking(number: int, *paths: str) -> Iterator[Element]:
    for path in paths:
        yield Element(number, path, high=0, supported=False)


def _holding(table: type[Term], *, other: bool = False, many: bool = False) -> Held:
    """Return what a coded detail holds that no field of the model stands for."""
    return Held(table=table, other=other, many=many, reasons=tuple(ABSENT_REASONS.get(table, {}).values()))


# What several profiles share. Numbers 1 to 29 are kept for these lines in every profile.

_TOLD: Final = (
    Element(1, "text", "what a reader sees: one sentence on this item", low=1),
    Element(2, "identifier", "the examination’s identifier, the kind of item and its key", low=1),
)
_KEY: Final = (
    _slices_of("extension", _BY_URL),
    _extension(3, Extension.ENTRY_KEY, "the item’s own key in the entry", low=1),
)
_RANK: Final = _extension(4, Extension.ENTRY_RANK, "the item’s place in the entry’s list", low=1)


def _site(number: int, path: str, means: str, releases: frozenset[Release] = ALL) -> tuple[Element, ...]:
    lines = (Element(number, path, means), *coded(number, path, Site, other=True))
    return tuple(_in(releases, lines))


def _in(releases: frozenset[Release], lines: tuple[Element, ...]) -> Iterator[Element]:
    for line in lines:
        yield line if releases == ALL else replace(line, releases=releases)


def _observed(*, focus: bool = True, site: bool = True) -> tuple[Element, ...]:
    """Return what every Observation of a report has in common."""
    common = (
        *_TOLD,
        Element(5, "status", "the report’s status"),
        Element(6, "category", "that it is of an examination", low=1),
        _slices_of("category", _ITSELF),
        Element(
            6,
            "category:exam",
            "an examination",
            low=1,
            high=1,
            fixed=_has_code(f"{TERMINOLOGY}/observation-category", "exam", "`exam`"),
        ),
        Element(7, "subject", "the patient", low=1, targets=_PATIENT),
        Element(9, "encounter", "the visit in the host’s record"),
        Element(10, "effective[x]", "when it was seen", low=1, types=("dateTime",)),
        Element(11, "issued", "when it was written down"),
        Element(12, "performer", "the examiner; who isn’t recorded is left out", targets=_EXAMINER),
    )
    lesion = (
        (Element(8, "focus", "the lesion", low=1, high=1, targets=("BodyStructure",)),)
        if focus
        else tuple(_lacking(8, "focus"))
    )
    place = (
        _site(13, "bodySite", "site of the lesion; its text has the side") if site else tuple(_lacking(13, "bodySite"))
    )
    return (*common, *lesion, *place)


_NOTE: Final = Element(14, "note", "words on it; others may add theirs")
#: Of what was seen of a lesion that was looked at before.
_SEQUEL: Final = (
    _slices_of("extension", _BY_URL),
    Element(15, "extension:sequel-to", "the same item at the previous examination", profiles=(SEQUEL_TO,)),
)
_SLICED_COMPONENTS: Final = _slices_of("component", _BY_CODE)
_KEYS_OF_VIEWS: Final = Held(Kind.TEXT, many=True)
_POINTS: Final = Held(Kind.NUMBER, POINTS)


def _own_code(attribute: Attribute) -> Element:
    """Return the line of a code that is always the same."""
    return Element(30, "code", attribute.definition, fixed=concept(attribute))


def _code_of(table: type[Term], means: str) -> tuple[Element, ...]:
    """Return the lines of a code of one table, or of somebody else's."""
    return (Element(30, "code", means), *coded(30, "code", table, other=True))


def _answer_of(item: Item) -> tuple[Element, ...]:
    return tuple(answer(31, "", answer_of(item)))


def _said_or_why(name: str, what: str) -> Element:
    rule = either(f"{name}-said", f"{what} SHALL have an answer, or the reason why there is none.")
    return Element(32, "", rules=(rule,), supported=False)


def _is_named(attribute: Attribute) -> Element:
    """Return the second category, by which an item with somebody else's code is known for what it is."""
    return Element(33, f"category:{attribute.value}", attribute.definition, low=1, high=1, fixed=concept(attribute))


_REPORT_PROFILE: Final = Profile(
    Thing.REPORT.value,
    "DiagnosticReport",
    "Dermatoscopy report",
    "The report of one dermatoscopic examination of one lesion: what a doctor reads, and references to all that it "
    "rests on. While an error stands it is preliminary; it is never refused for what it lacks.",
    (
        _TOLD[0],
        Element(2, "identifier", "the examination’s identifier, the same at each revision", low=1),
        _slices_of("extension", _BY_URL),
        Element(30, "extension:lesion", "the lesion", low=1, high=1, releases=R4),
        Element(
            30,
            "extension:lesion.url",
            fixed=Fixed("fixed", "uri", _FOCUS_URL, "the standard’s URL"),
            releases=R4,
        ),
        Element(
            30,
            "extension:lesion.value[x]",
            "the lesion",
            low=1,
            types=("Reference",),
            targets=("BodyStructure",),
            releases=R4,
        ),
        _extension(30, Extension.REPORT_LESION, "the lesion", low=1, releases=R5),
        Element(
            31,
            "extension:earlier-report",
            "the report that it replaces, and that of the previous examination of the same lesion",
            profiles=(_EARLIER_URL,),
            releases=R4,
        ),
        Element(
            31,
            "supportingInfo",
            "the report that it replaces, and that of the previous examination of the same lesion",
            releases=R5,
        ),
        _extension(32, Extension.ENTRY_STATUS, "the status that was entered", low=1),
        _extension(33, Extension.ENTRY_REVISION, "1, 2, …: rises with every change of content", low=1),
        _extension(34, Extension.ENTRY_EMPTY, "a part of the entry that was given without content", high=None),
        _extension(46, Extension.PLANNED, "a step, advice or departure that points to this report", high=None),
        _extension(35, Extension.PATIENT_AS_ENTERED, "what was entered on the patient"),
        _extension(36, Extension.EXAMINER_AS_ENTERED, "what was entered on the examiner"),
        Element(37, "basedOn", "the request that it answers"),
        Element(5, "status", "preliminary while an error stands"),
        Element(38, "category", "whether it has pictures", low=1),
        Element(39, "code", "what kind of report", fixed=concept(Document.DERMOSCOPY_REPORT)),
        Element(7, "subject", "the patient", low=1, targets=_PATIENT),
        Element(9, "encounter", "the visit in the host’s record"),
        Element(10, "effective[x]", "when the lesion was looked at", low=1, types=("dateTime",)),
        Element(11, "issued", "when it was written down"),
        Element(12, "performer", "the examiner, and where it was done", targets=(*_EXAMINER, "Organization")),
        Element(40, "result", "panels, scores, impressions and outcomes"),
        Element(41, "media", "the pictures, with the light of their view"),
        Element(42, "conclusion", "the clinician’s words, and the caution that stands under every conclusion", low=1),
        Element(
            43,
            "conclusionCode",
            "one word on the whole; never a disorder, never a negative result",
            high=1,
            value_set=table_id(Summary),
        ),
        Element(47, "presentedForm", "letters to a colleague that are made of the report"),
    ),
)

_LESION_PROFILE: Final = Profile(
    Thing.LESION.value,
    "BodyStructure",
    "Skin lesion",
    "One spot, the same at every visit: what never changes. What was seen of it stands in Observations.",
    (
        _TOLD[0],
        Element(2, "identifier", "the lesion’s own identifier, or that of its only examination", low=1),
        _slices_of("extension", _BY_URL),
        _extension(30, Extension.BODY_MAP_POINT, "where it is on the body map"),
        Element(31, "morphology", "what it is: a skin lesion", low=1, fixed=concept(Document.SKIN_LESION)),
        *_site(32, "location", "site; its text has the side", R4),
        Element(33, "locationQualifier", "side", high=1, value_set=table_id(Side), releases=R4),
        Element(32, "includedStructure", "site and side", high=1, releases=R5),
        *_site(32, "includedStructure.structure", "site; its text has the side", R5),
        Element(33, "includedStructure.laterality", "side", value_set=table_id(Side), releases=R5),
        Element(34, "description", "where it is, in words"),
        Element(35, "active", "that it is in use"),
        Element(7, "patient", "the patient", targets=_PATIENT),
    ),
)


def _image_parts(at: str) -> tuple[Element, ...]:
    """Return the lines of a picture's own details; ``at`` is its Attachment."""
    return (
        *_KEY,
        _extension(30, Extension.VIEW_KEY, "key of a view that the entry doesn’t have"),
        _extension(31, Extension.IMAGE_ROLE, "overview, close-up or dermatoscopic"),
        _extension(32, Extension.IMAGE_SCALE, "whether a scale is in the picture"),
        _extension(33, Extension.IMAGE_CONSENT, "what the patient agreed to"),
        Element(34, f"{at}.contentType", "kind of the file"),
        Element(34, f"{at}.url", "where the host keeps it"),
        Element(34, f"{at}.size", "bytes"),
        Element(34, f"{at}.hash", "SHA-1 of its bytes; another one stands in an extension"),
        _slices_of(f"{at}.extension", _BY_URL),
        _extension(35, Extension.HASH, "hash of its bytes by a named algorithm", at=f"{at}."),
    )


_IMAGE_MEDIA: Final = Profile(
    Thing.IMAGE.value,
    "Media",
    "Picture of a lesion",
    "A picture by reference: where the host keeps it, what it shows, and what the patient agreed to.",
    (
        *_TOLD,
        *_image_parts("content"),
        _extension(36, Extension.SIZE, "bytes, where R4’s element can’t hold so many", at="content.", releases=R4),
        Element(5, "status", "completed, or entered in error"),
        Element(
            37, "type", "that it is a picture", low=1, fixed=_has_code(f"{TERMINOLOGY}/media-type", "image", "`image`")
        ),
        Element(38, "modality", "through the dermatoscope or without", value_set=table_id(Document)),
        Element(7, "subject", "the patient", low=1, targets=_PATIENT),
        Element(9, "encounter", "the visit in the host’s record"),
        Element(10, "created[x]", "when it was taken", types=("dateTime",)),
        Element(12, "operator", "the examiner", targets=_EXAMINER),
        *_site(13, "bodySite", "site of the lesion; its text has the side"),
        _NOTE,
    ),
    releases=R4,
)
_IMAGE_DOCUMENT: Final = Profile(
    Thing.IMAGE.value,
    "DocumentReference",
    "Picture of a lesion",
    "A picture by reference: where the host keeps it, what it shows, and what the patient agreed to.",
    (
        *_TOLD,
        *_image_parts("content.attachment"),
        Element(5, "status", "current, or entered in error"),
        Element(37, "docStatus", "the report’s status", low=1),
        Element(38, "type", "through the dermatoscope or without", low=1),
        *coded(38, "type", Document, other=True),
        Element(7, "subject", "the patient", low=1, targets=_PATIENT),
        Element(9, "context", "the visit in the host’s record"),
        Element(13, "bodySite", "site of the lesion; its text has the side"),
        Element(12, "author", "the examiner", targets=_EXAMINER),
        Element(14, "description", "words on it"),
        Element(39, "content", "the picture", high=1),
        Element(10, "content.attachment.creation", "when it was taken"),
    ),
    releases=R5,
)

_VIEW_PROFILE: Final = Profile(
    Thing.VIEW.value,
    "Observation",
    "Dermatoscopic view",
    "One look through the dermatoscope in one light: without it nobody can tell what was absent from what could not be "
    "seen. A light that isn’t known is said as such.",
    (
        *_observed(),
        *_KEY,
        _own_code(Attribute.VIEW),
        *_answer_of(VIEW),
        _said_or_why("view", "A view"),
        _NOTE,
        Element(34, "derivedFrom", "the pictures of this view", targets=("Media",), releases=R4),
        Element(34, "derivedFrom", "the pictures of this view", targets=("DocumentReference",), releases=R5),
        _SLICED_COMPONENTS,
        *components(40, VIEW),
    ),
)

_STRUCTURE_ITEM: Final = (
    f"component.where({about(Attribute.VIEW_KEY)}.not()).all("
    f"code.coding.where(system = '{code_system(Structure)}').exists() and {says(answer_of(FINDING))})"
)
_LIST_PROFILE: Final = Profile(
    Thing.LIST.value,
    "Observation",
    "List gone through",
    "A list whose items were all looked for. Each item that no finding names is a component: absent by this statement, "
    "or not assessed where no view could show it.",
    (
        *_observed(),
        _own_code(Attribute.LIST_GONE_THROUGH),
        *answer(31, "", held("lists_gone_through", "list")),
        Element(34, "derivedFrom", "the views in which it was gone through", targets=("Observation",)),
        _SLICED_COMPONENTS,
        *component(40, Attribute.VIEW_KEY, _KEYS_OF_VIEWS),
        Element(
            41,
            "",
            rules=(
                Invariant(
                    "list-item",
                    "Each component that isn’t the key of a view SHALL have a structure as its code, and as its value "
                    "a presence or the reason why there is none.",
                    _STRUCTURE_ITEM,
                ),
            ),
            supported=False,
        ),
    ),
)

_FINDING_PROFILE: Final = Profile(
    Thing.FINDING.value,
    "Observation",
    "Dermatoscopic finding",
    "One structure: present, absent, uncertain or not assessed, and in which light. A structure that no view could "
    "show counts as not assessed; the clinician’s own answer stays beside it.",
    (
        *_observed(),
        *_SEQUEL,
        _is_named(Attribute.FINDING),
        *_code_of(Structure, "the structure"),
        *_answer_of(FINDING),
        _said_or_why("finding", "A finding"),
        _NOTE,
        Element(34, "derivedFrom", "the views in which it was looked for", targets=("Observation",)),
        _SLICED_COMPONENTS,
        *component(41, Attribute.LIGHT, _holding(Light, many=True)),
        *component(42, Attribute.VIEW_KEY, _KEYS_OF_VIEWS),
        *component(43, Attribute.RECORDED_ANSWER, held("findings", "presence")._replace(reasons=())),
        *component(44, Attribute.RECORDED_REASON, held("findings", "not_assessed_because")),
        *components(40, FINDING),
    ),
)

_TEST_PROFILE: Final = Profile(
    Thing.TEST.value,
    "Observation",
    "Bedside test",
    "A small test at the couch and what it showed.",
    (
        *_observed(),
        _is_named(Attribute.BEDSIDE_TEST),
        *_code_of(BedsideTest, "the test"),
        *_answer_of(BEDSIDE_TEST),
        _NOTE,
    ),
)

_EARLIER_CANCER_PROFILE: Final = Profile(
    Thing.EARLIER_CANCER.value,
    "Observation",
    "Earlier skin cancer",
    "One skin cancer that the patient has had; it is about the patient, not about the lesion of the report.",
    (
        *_observed(focus=False, site=False),
        _own_code(Attribute.EARLIER_SKIN_CANCER),
        *_answer_of(EARLIER_SKIN_CANCER),
        _NOTE,
        _SLICED_COMPONENTS,
        *components(40, EARLIER_SKIN_CANCER),
    ),
)

_STATEMENT_PROFILE: Final = Profile(
    Thing.STATEMENT.value,
    "Observation",
    "Statement",
    "One thing that an examination can state once: of the lesion, its history, the patient or the assessment. The code "
    "says what it is about; a condition for each code says which value, table and unit belong to it.",
    (
        *_observed(),
        *_SEQUEL,
        Element(30, "code", "what it is about", value_set=table_id(Attribute)),
        Element(31, "value[x]", "the answer"),
        Element(31, "dataAbsentReason", "why there is no answer"),
        _NOTE,
        Element(34, "component", "details"),
        Element(
            32,
            "",
            rules=(
                Invariant(
                    "statement-code",
                    "The code of a statement SHALL be that of something which an examination states once.",
                    f"code.coding.where(system = '{code_system(Attribute)}' and ({statement_codes()})).exists()",
                ),
            ),
            supported=False,
        ),
        *(Element(33, "", rules=(statement_rule(item),), supported=False, family=item.key) for item in SINGLE),
    ),
)

_POINTS_RULE: Final = Invariant(
    "score-points",
    "A total and its lowest and highest value SHALL be points, in UCUM’s unit `1`.",
    " and ".join(
        f"{which}.all(system = '{UCUM}' and code = '{POINTS.ucum}')"
        for which in ("value.ofType(Quantity)", "value.ofType(Range).low", "value.ofType(Range).high")
    ),
)
_RANGE_RULE: Final = Invariant(
    "score-range",
    "A total that isn’t settled SHALL have its lowest and highest value as components too, where a search finds them.",
    "value.ofType(Range).exists() implies "
    f"(value.ofType(Range).low.value = component.where({about(Attribute.SCORE_LOW)}).value.ofType(Quantity).value and "
    f"value.ofType(Range).high.value = component.where({about(Attribute.SCORE_HIGH)}).value.ofType(Quantity).value)",
)
_REASSURE_RULE: Final = Invariant(
    "score-never-normal",
    "A score SHALL NOT be interpreted as normal or negative; below a threshold it has no interpretation.",
    "interpretation.exists() implies "
    f"component.where({about(Attribute.VERDICT)}).value.ofType(CodeableConcept).coding"
    f".where(system = '{code_system(Verdict)}' and code = '{Verdict.BELOW_THRESHOLD.value}').empty()",
)
_CRITERION_RULE: Final = Invariant(
    "score-criterion",
    "A criterion SHALL be one of the published criteria of the methods.",
    f"coding.where(system = '{CRITERION_SYSTEM}').exists()",
)


def _criterion(attribute: Attribute) -> tuple[Element, ...]:
    name = attribute.value
    return (
        Element(45, f"component:{name}", attribute.definition, family=name),
        Element(45, f"component:{name}.code", attribute.display, fixed=concept(attribute), family=name),
        Element(
            45,
            f"component:{name}.value[x]",
            "the criterion",
            1,
            types=("CodeableConcept",),
            rules=(_CRITERION_RULE,),
            family=name,
        ),
    )


_SCORE_PROFILE: Final = Profile(
    Thing.SCORE.value,
    "Observation",
    "Dermatoscopic score",
    "A published score: its total, or lowest and highest possible total while inputs are open, its verdict, what it "
    "rests on and what would settle it. A total below a threshold excludes nothing: it is never sent as normal or "
    "negative.",
    (
        *_observed(),
        *_SEQUEL,
        Element(30, "code", "the method", value_set=table_id(ScoreMethod)),
        Element(31, "value[x]", "the total, or the interval while inputs are open", types=("Quantity", "Range")),
        Element(31, "dataAbsentReason", "why there is no number: the method isn’t valid here"),
        _said_or_why("score", "A score"),
        Element(33, "", rules=(_POINTS_RULE,), supported=False, family="points"),
        Element(33, "", rules=(_RANGE_RULE,), supported=False, family="range"),
        Element(33, "", rules=(_REASSURE_RULE,), supported=False, family="never-normal"),
        Element(
            35,
            "interpretation",
            "at or above a threshold",
            high=1,
            fixed=_has_code(f"{TERMINOLOGY}/v3-ObservationInterpretation", "A", "`A` (abnormal)"),
        ),
        Element(14, "note", "method, threshold, source and cautions", low=1),
        Element(36, "method", "the method and its version", low=1, value_set=table_id(ScoreMethod)),
        Element(34, "derivedFrom", "what it rests on", targets=("Observation",)),
        _SLICED_COMPONENTS,
        *component(41, Attribute.VERDICT, _holding(Verdict), low=1),
        *component(42, Attribute.SCORE_LOW, _POINTS),
        *component(43, Attribute.SCORE_HIGH, _POINTS),
        *_criterion(Attribute.CRITERION_MET),
        *_criterion(Attribute.CRITERION_OPEN),
        *component(44, Attribute.WOULD_SETTLE, _holding(Structure, other=True, many=True)),
        Element(
            46,
            "component:would-settle.value[x].text",
            "the input in words, with the light to use",
            low=1,
        ),
    ),
)

_IMPRESSION_PROFILE: Final = Profile(
    Thing.IMPRESSION.value,
    "Observation",
    "Clinician’s impression",
    "What the clinician takes the lesion for, how sure that is, and its place in the clinician’s order. It is an "
    "impression, never a diagnosis.",
    (
        *_observed(),
        *_KEY,
        _own_code(Attribute.IMPRESSION),
        *_answer_of(IMPRESSION),
        Element(14, "note", "words on it, and the caution that stands under every impression", low=1),
        Element(34, "derivedFrom", "the scores", targets=("Observation",)),
        _SLICED_COMPONENTS,
        *components(40, IMPRESSION),
        *component(41, Attribute.RANK, Held(Kind.NUMBER, RANK), low=1),
    ),
)

_OUTCOME_PROFILE: Final = Profile(
    Thing.OUTCOME.value,
    "Observation",
    "Outcome",
    "What became known later of the lesion: a pathologist’s result, an opinion, a comparison.",
    (
        *_observed(),
        *_KEY,
        _own_code(Attribute.OUTCOME),
        *_answer_of(OUTCOME),
        _NOTE,
        _SLICED_COMPONENTS,
        *components(40, OUTCOME),
    ),
)

_PANELS: Final = (Attribute.FINDINGS, Attribute.HISTORY, Attribute.ASSESSMENT)
_PANEL_PROFILE: Final = Profile(
    Thing.PANEL.value,
    "Observation",
    "Panel",
    "Findings, history or assessment: holds its members in the entry’s order and says nothing itself.",
    (
        *_observed(),
        Element(30, "code", "findings, history or assessment", value_set=table_id(Attribute)),
        Element(
            32,
            "",
            rules=(
                Invariant(
                    "panel-code",
                    "The code of a panel SHALL be findings, history or assessment.",
                    " or ".join(about(panel) for panel in _PANELS),
                ),
            ),
            supported=False,
        ),
        *_lacking(31, "value[x]", "dataAbsentReason", "component"),
        Element(34, "hasMember", "its members, in the entry’s order", low=1, targets=("Observation",)),
    ),
)

_PLAN_PROFILE: Final = Profile(
    Thing.ACTION.value,
    "ServiceRequest",
    "Planned step",
    "One step of the plan. What is urgent is active, whatever the issues of the report are: nothing withholds it.",
    (
        *_TOLD,
        *_KEY,
        _RANK,
        _extension(31, Extension.URGENCY, "how soon, finer than the priority"),
        _extension(32, Extension.PLAN_INTERVAL, "the date or window as entered"),
        _extension(33, Extension.HISTOLOGY_REQUESTED, "whether what is removed goes to a pathologist"),
        _extension(34, Extension.RESULT_OWNER, "who looks for the result"),
        _extension(35, Extension.RESULT_BY, "by when the result is expected"),
        _extension(36, Extension.IF_NOT_ATTENDED, "what happens if the patient doesn’t come"),
        Element(37, "requisition", "the examination’s identifier: by it the whole plan is found", low=1),
        Element(5, "status", "active; completed for what asks nothing of anybody"),
        Element(38, "intent", "plan, or order where the host’s setting says so"),
        Element(39, "priority", "the nearest of the standard’s four"),
        Element(40, "code", "what is to be done", low=1),
        *_in(R4, tuple(coded(40, "code", PlanAction, other=True))),
        Element(40, "code.concept", "what is to be done", low=1, releases=R5),
        *_in(R5, tuple(coded(40, "code.concept", PlanAction, other=True))),
        Element(7, "subject", "the patient", targets=_PATIENT),
        Element(9, "encounter", "the visit in the host’s record"),
        Element(10, "occurrence[x]", "the date, or the window where it can be one", types=("dateTime", "Period")),
        Element(11, "authoredOn", "when it was written down", low=1),
        Element(12, "requester", "the examiner", targets=_EXAMINER),
        Element(41, "performer", "who sees to it", high=1),
        Element(42, "reasonCode", "question or reason, in words", high=1, releases=R4),
        Element(42, "reasonReference", "the impressions", releases=R4),
        Element(42, "reason", "question or reason, and the impressions", releases=R5),
        Element(43, "supportingInfo", "the report", low=1),
        Element(13, "bodySite", "site of the lesion; its text has the side", high=1),
        _NOTE,
    ),
)

_SAFETY_NET_PROFILE: Final = Profile(
    Thing.SAFETY_NET.value,
    "Communication",
    "Safety-net advice",
    "What the patient was told to watch for, by when and whom to call.",
    (
        *_TOLD,
        _slices_of("extension", _BY_URL),
        _extension(30, Extension.SAFETY_NET, "the advice, part by part", low=1),
        Element(5, "status", "completed, or entered in error"),
        Element(31, "category", "that it is such advice", low=1, high=1, fixed=concept(Document.SAFETY_NET_ADVICE)),
        Element(7, "subject", "the patient", low=1, targets=_PATIENT),
        Element(32, "about", "the report", low=1, targets=_REPORT),
        Element(9, "encounter", "the visit in the host’s record"),
        Element(10, "sent", "when it was given", low=1),
        Element(33, "recipient", "the patient", low=1, targets=_PATIENT),
        Element(12, "sender", "the examiner", targets=_EXAMINER),
        Element(34, "payload", "the advice in one text", low=1, high=1),
        Element(34, "payload.content[x]", "the advice in one text", types=("string",), releases=R4),
        Element(34, "payload.content[x]", "the advice in one text", types=("CodeableConcept",), releases=R5),
    ),
)

_DEPARTURE_PROFILE: Final = Profile(
    Thing.DEPARTURE.value,
    "DetectedIssue",
    "Departure from a rule or score",
    "Where the plan departs from what a rule or score suggests, with the clinician’s reason.",
    (
        *_TOLD,
        *_KEY,
        _RANK,
        Element(5, "status", "the report’s status"),
        Element(30, "code", "the rule or method", low=1),
        Element(31, "severity", "how much the rule matters"),
        Element(7, "patient", "the patient", low=1, targets=_PATIENT, releases=R4),
        Element(7, "subject", "the patient", low=1, targets=_PATIENT, releases=R5),
        Element(10, "identified[x]", "when it was decided", low=1, types=("dateTime",)),
        Element(12, "author", "the examiner", targets=_EXAMINER),
        Element(32, "implicated", "the planned steps", targets=("ServiceRequest",)),
        Element(33, "mitigation", "the clinician’s reason", low=1, high=1),
        Element(34, "mitigation.action.text", "the clinician’s reason, in words", low=1),
    ),
)


def _letter(at: str) -> tuple[Element, ...]:
    """Return the lines of an embedded letter; ``at`` is its Attachment."""
    return (
        Element(41, f"{at}.contentType", "kind of the file", low=1),
        Element(41, f"{at}.language", "language of its words", low=1),
        Element(42, f"{at}.data", "the letter", low=1),
        Element(41, f"{at}.size", "bytes", low=1),
        Element(41, f"{at}.hash", "SHA-1 of its bytes", low=1),
        Element(41, f"{at}.title", "who it is for, and nothing of the patient", low=1),
        Element(10, f"{at}.creation", "the day on it"),
    )


_LETTER_PROFILE: Final = Profile(
    Thing.LETTER.value,
    "DocumentReference",
    "Letter made of a report",
    "A finished letter: to a colleague, to the pathologist, or the patient’s copy. Its bytes are those that were sent.",
    (
        *_TOLD,
        Element(5, "status", "current, or entered in error"),
        Element(37, "docStatus", "the report’s status", low=1),
        Element(38, "type", "who it is for", low=1),
        *coded(38, "type", Document, other=True),
        Element(7, "subject", "the patient", low=1, targets=_PATIENT),
        Element(9, "context", "the visit in the host’s record", releases=R5),
        Element(9, "context.encounter", "the visit in the host’s record", releases=R4),
        Element(43, "context.related", "the reports that it is made of", low=1, targets=_REPORT, releases=R4),
        _slices_of("extension", _BY_URL, releases=R5),
        _extension(43, Extension.LETTER_REPORT, "the reports that it is made of", low=1, high=None, releases=R5),
        Element(12, "author", "the examiner", targets=_EXAMINER),
        Element(14, "description", "its title", low=1),
        Element(39, "content", "the letter", high=1),
        *_letter("content.attachment"),
    ),
)


def _taking_part(kind: str, means: str, low: int | None = None) -> tuple[Element, ...]:
    return (
        Element(34, f"agent:{kind}", means, low, 1, family=kind),
        Element(
            34,
            f"agent:{kind}.type",
            low=1,
            fixed=_has_code(f"{TERMINOLOGY}/provenance-participant-type", kind, f"`{kind}`"),
            supported=False,
            family=kind,
        ),
    )


def _origin(role: str, means: str, low: int | None, high: int | None) -> tuple[Element, ...]:
    return (
        Element(35, f"entity:{role}", means, low, high, family=role),
        Element(
            35, f"entity:{role}.role", fixed=Fixed("pattern", "code", role, f"`{role}`"), supported=False, family=role
        ),
    )


_PROVENANCE_PROFILE: Final = Profile(
    Thing.PROVENANCE.value,
    "Provenance",
    "Origin of a revision",
    "Who made one revision of a report, with which versions of software, vocabulary and rules, and what it amends.",
    (
        _TOLD[0],
        Element(30, "target", "the report", high=1, targets=_REPORT),
        Element(10, "occurred[x]", "when the lesion was looked at", low=1, types=("dateTime",)),
        Element(11, "recorded", "when it was written down; R4 asks for it, so that it isn’t known is said"),
        Element(33, "activity", "created, or revised", low=1),
        _slices_of("agent", Slicing("pattern", "type")),
        *_taking_part("author", "the examiner"),
        *_taking_part("assembler", "the software", low=1),
        _slices_of("entity", Slicing("value", "role")),
        *_origin("source", "vocabulary and rules, with their versions", 1, None),
        *_origin("revision", "the revision that this one amends", None, 1),
    ),
)

_COMPOSITION_PROFILE: Final = Profile(
    Thing.COMPOSITION.value,
    "Composition",
    "Dermatoscopy document",
    "The first resource of a document: one section for each part that a doctor reads, urgent steps first, and below "
    "each the resources that it rests on.",
    (
        _TOLD[0],
        Element(2, "identifier", "the examination’s identifier and the kind of item", low=1),
        Element(5, "status", "that of the least finished report"),
        Element(30, "type", "what kind of document", fixed=concept(Document.DERMOSCOPY_REPORT)),
        Element(7, "subject", "the patient", low=1, targets=_PATIENT),
        Element(10, "date", "when it was written down"),
        Element(12, "author", "the examiner", targets=_EXAMINER),
        Element(31, "relatesTo", "the document that it replaces", high=1),
        Element(36, "title", "what a reader sees as its name"),
        Element(32, "section", "a part, or a lesion of a visit with its parts", low=1),
        Element(33, "section.title", "heading of the part", low=1),
        Element(34, "section.text", "what a reader sees", low=1),
        Element(35, "section.entry", "what the part rests on"),
    ),
)

_FINDINGS: Final = (
    f"entry.resource.ofType(Observation).where(status != 'entered-in-error' and "
    f"category.coding.where({coded_as(Attribute.FINDING)}).exists() and derivedFrom.exists())"
)


def _same_light(light: Light) -> Invariant:
    """Return the condition that a finding names a light just where one of its views has it."""
    seen = f"value.ofType(CodeableConcept).coding.where({coded_as(light)}).exists()"
    views = f"%resource.entry.where(resource.ofType(Observation).where({about(Attribute.VIEW)} and {seen}).exists())"
    in_view = f"derivedFrom.reference.select(toString()).intersect({views}.fullUrl.select(toString())).exists()"
    in_finding = f"component.where({about(Attribute.LIGHT)} and {seen}).exists()"
    return Invariant(
        f"bundle-{light.value}",
        f"A finding SHALL name the light `{light.value}` where a view that it rests on has it, and only there.",
        f"{_FINDINGS}.all({in_finding} = {in_view})",
    )


_BUNDLE_PROFILE: Final = Profile(
    Thing.BUNDLE.value,
    "Bundle",
    "Reports of one patient",
    "A transaction, a collection or a document with the reports of one patient. Rules that look at an examination as a "
    "whole stand here; they hold for a bundle with one report.",
    (
        Element(29, "type", "a transaction, a collection or a document"),
        Element(30, "entry", "the resources", low=1),
        Element(31, "entry.fullUrl", "by which the others point to it", low=1),
        Element(32, "entry.resource", "the resource", low=1),
        *(
            Element(33, "", rules=(_same_light(light),), supported=False, family=light.value)
            for light in Light
            if light is not Light.UNKNOWN
        ),
    ),
)

_DOCUMENT_PROFILE: Final = Profile(
    Thing.DOCUMENT.value,
    "Bundle",
    "Dermatoscopy document with its content",
    "A document that stands alone: the Composition first, then all that it points to.",
    (
        Element(33, "identifier", "the examination’s identifier and its revision", low=1),
        Element(34, "type", "a document", fixed=Fixed("pattern", "code", "document", "`document`")),
        Element(35, "timestamp", "when it was written down", low=1),
        _slices_of("entry", Slicing("type", "resource")),
        Element(36, "entry:composition", "the Composition", low=1, high=1),
        Element(
            37,
            "entry:composition.resource",
            low=1,
            types=("Composition",),
            profiles=(profile_url(Thing.COMPOSITION.value),),
        ),
    ),
    parent=Thing.BUNDLE.value,
)

PROFILES: Final = (
    _REPORT_PROFILE,
    _LESION_PROFILE,
    _IMAGE_MEDIA,
    _IMAGE_DOCUMENT,
    _STATEMENT_PROFILE,
    _VIEW_PROFILE,
    _LIST_PROFILE,
    _FINDING_PROFILE,
    _TEST_PROFILE,
    _EARLIER_CANCER_PROFILE,
    _SCORE_PROFILE,
    _IMPRESSION_PROFILE,
    _OUTCOME_PROFILE,
    _PANEL_PROFILE,
    _PLAN_PROFILE,
    _SAFETY_NET_PROFILE,
    _DEPARTURE_PROFILE,
    _LETTER_PROFILE,
    _PROVENANCE_PROFILE,
    _COMPOSITION_PROFILE,
    _BUNDLE_PROFILE,
    _DOCUMENT_PROFILE,
)


@cache
def profiles(release: Release) -> tuple[Profile, ...]:
    """Return the profiles of a release, sorted by name."""
    return tuple(sorted((one for one in PROFILES if release in one.releases), key=lambda one: one.name))
