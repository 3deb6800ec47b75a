"""One sentence for each thing that a report says."""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING, Any

from dermreport.answers import Answer
from dermreport.expressions.nodes import ColourSeen, Fact, Found, Leaf, Present, Unresolved, entry_path, paths_of
from dermreport.scores.method import PublishedMethod, points
from dermreport.vocabulary.attributes import Attribute
from dermreport.vocabulary.light_fits import LightFit
from dermreport.vocabulary.presences import Presence
from dermreport.vocabulary.statuses import Status
from dermreport.vocabulary.term import Term
from dermreport.wording.items import FINDING, IMPRESSION, VIEW, Item, Part, Statement, details, names_of_paths
from dermreport.wording.names import place_words, somebody, structure_words, value_words, words
from dermreport.wording.pathways import is_pathway_sentence, pathway_sentence

if TYPE_CHECKING:
    from dermreport.examination.decided import Action, Departure, NamedImpression, SafetyNet
    from dermreport.examination.model import Examination
    from dermreport.examination.observed import Finding, Image, View
    from dermreport.reviews.review import Review
    from dermreport.scores.engine import OpenInput, ScoreResult
    from dermreport.scores.method import Method

#: Stands where words that tell how to reach the patient were recorded.
PRIVATE = "recorded"


def details_words(given: tuple[tuple[Part, Any], ...], about: Attribute | None = None) -> str:
    """Return details in words, the members of one list together.

    Args:
        given: The details.
        about: What they are details of: one that is about the same isn't named again.
    """
    told: dict[Part, str] = {}
    for part, value in given:
        said = value_words(part.kind, part.unit, value)
        told[part] = f"{told[part]}, {said}" if part in told else said
    return "; ".join(
        [said if part.attribute is about else f"{part.attribute.display}: {said}" for part, said in told.items()]
    )


def statement_sentence(stated: Statement) -> str:
    """Return what an entry states on one item."""
    item = stated.item
    if not stated.parts and stated.note is None and isinstance(stated.value, Term):
        return _coded_sentence(item, stated.value)
    named = item.attribute.display
    if item.private:
        return f"{named}: {PRIVATE}"
    answer = "" if stated.value is None else value_words(item.kind, item.unit, stated.value)
    listed = details_words(stated.parts, item.attribute) if stated.parts else ""
    if answer and listed:
        listed = f" ({listed})"
    note = f" – {stated.note}" if stated.note is not None else ""
    return f"{named}: {answer}{listed}{note}"


@cache
def _coded_sentence(item: Item, answer: Term) -> str:
    """Return the sentence of an item that is one of our codes alone: few, and in every report."""
    return f"{item.attribute.display}: {words(answer)}"


def view_sentence(view: View) -> str:
    """Return one view: its light first, then contact, medium and what limits it."""
    listed = details_words(details(VIEW, view))
    note = f" – {view.note}" if view.note is not None else ""
    light = f"{view.light.display} light" if view.light.value != "unknown" else "light not known"
    return f"{light}: {listed}{note}" if listed else f"{light}{note}"


def image_sentence(image: Image, light: str) -> str:
    """Return one picture: its role, scale and the light of its view; never its address."""
    named = [one.display for one in (image.role,) if one is not None]
    if light:
        named.append(light)
    if image.scale is not None:
        named.append(f"scale: {image.scale.display}")
    if image.taken is not None:
        named.append(f"taken {image.taken}")
    note = f" – {image.note}" if image.note is not None else ""
    return f"picture: {', '.join(named)}{note}" if named else f"picture{note}"


def finding_sentence(finding: Finding, answer: Answer, lights: str) -> str:
    """Return one finding: both names, what it counts as and why, how it was recorded where that differs, details."""
    named = words(finding.structure)
    counted = answer.presence.display
    if answer.presence is Presence.NOT_ASSESSED and answer.because is not None:
        counted = f"{counted}, {answer.because.display}"
    elif answer.recorded is not None and answer.because is not None:
        counted = f"{counted}, because {answer.because.display}"
    if answer.recorded is not None:
        counted = f"{counted}; recorded as {answer.recorded.display}"
    if answer.look_in is not None:
        counted = f"{counted}; look again in {answer.look_in.display} light"
    given = details(FINDING, finding)
    if answer.because is not None and finding.not_assessed_because is answer.because:
        given = tuple(one for one in given if one[0].attribute is not Attribute.NOT_ASSESSED_BECAUSE)
    listed = "; ".join(one for one in (details_words(given), lights) if one)
    shown = f" ({listed})" if listed else ""
    note = f" – {finding.note}" if finding.note is not None else ""
    return f"{named}: {counted}{shown}{note}"


_LOOK = {
    LightFit.ONLY_POLARISED: "in polarised light",
    LightFit.BETTER_POLARISED: "best in polarised light",
    LightFit.BETTER_NON_POLARISED: "best in non-polarised light",
}


@cache
def leaf_words(leaf: Leaf | str) -> str:
    """Return what an input of a score asks, with the light in which to look."""
    match leaf:
        case Present(structure) | Found(structure, _):
            look = _LOOK.get(structure.light)
            said = f"{structure_words(structure)}, to be looked for {look}" if look else structure_words(structure)
        case ColourSeen(colour):
            said = f"colour: {colour.display}"
        case Fact(name) | Unresolved(name):
            said = name.replace("-", " ")
        case str():
            said = path_words(leaf)
        case _:
            said = ", ".join(path_words(path) for path in paths_of(leaf))
    return said


def path_words(path: str) -> str:
    """Return what the field at a path of the entry is called."""
    path = entry_path(path)
    return names_of_paths().get(path, path.replace("_", " ").replace(".", ", "))


def input_words(one: OpenInput) -> str:
    """Return an open input in words."""
    return leaf_words(one.leaf)


def total_words(result: ScoreResult) -> str:
    """Return the total, or the interval in which it lies."""
    low, high = result.low, result.high
    if low is None or high is None:
        return "no number"
    if low == high:
        return f"{low} point" if abs(low) == 1 else f"{low} points"
    return f"{low} to {high} points"


def threshold_words(method: Method) -> str:
    """Return a method's thresholds as published."""
    return " and ".join(threshold.text for threshold in method.thresholds)


@cache
def _scale_words(method: Method) -> str:
    """Return a method's thresholds and its range; nobody published a plugin's."""
    reach = f"{points(method.lowest_tenths)} to {points(method.highest_tenths)}"
    kind = "published range" if isinstance(method, PublishedMethod) else "range"
    return f"threshold {threshold_words(method)}; {kind} {reach}"


@cache
def score_sentence(result: ScoreResult) -> str:
    """Return one score: total, verdict, threshold, range; or why there is no number."""
    method = result.method
    if not result.valid:
        return f"{method.code.display}: {result.verdict.display}. {' '.join(result.reasons)}"
    sentence = f"{method.code.display}: {total_words(result)}, {result.verdict.display} ({_scale_words(method)})"
    if result.path is not None:
        sentence = f"{sentence} – {' or '.join(end.says for end in result.path.ends)}"
    settling = [input_words(one) for one in result.would_settle]
    return f"{sentence}. Would settle it: {'; '.join(settling)}" if settling else sentence


def impression_sentence(named: NamedImpression) -> str:
    """Return one impression with its certainty."""
    certainty = named.certainty.display if named.certainty is not None else "certainty not given"
    note = f" – {named.note}" if named.note is not None else ""
    return f"{words(named.impression)} ({certainty}){note}"


def _told(said: tuple[tuple[str, str | None], ...]) -> str:
    """Return what was recorded, each with its words before it."""
    return "; ".join([f"{before}{words_of}" for before, words_of in said if words_of is not None])


def action_sentence(action: Action) -> str:
    """Return one planned step: urgency first, then what, when, who and why."""
    urgency = f"{action.urgency.display}: " if action.urgency is not None else ""
    return _told(
        (
            (urgency, words(action.action)),
            ("on ", action.date),
            ("not before ", action.earliest),
            ("by ", action.latest),
            ("responsible: ", somebody(action.responsible)),
            ("reason: ", action.reason),
            ("histology: ", action.histology.display if action.histology is not None else None),
            ("result goes to: ", somebody(action.result_owner)),
            ("result expected by ", action.result_by),
            ("if not attended: ", action.if_not_attended),
            ("", action.note),
        )
    )


def safety_net_sentence(advice: SafetyNet) -> str:
    """Return the safety-net advice that was given; empty where nothing of it was recorded."""
    return _told(
        (
            ("watch for: ", advice.watch_for),
            ("come back by ", advice.by_when),
            ("whom to call: ", advice.contact),
            ("call when nothing is heard by ", advice.heard_by),
        )
    )


def departure_sentence(departure: Departure) -> str:
    """Return where the plan departs from a rule or a score, and why."""
    return f"departs from {departure.departs_from}: {departure.reason}"


def lesion_sentence(examination: Examination) -> str:
    """Return where the lesion is and how large."""
    lesion = examination.lesion
    place = place_words(lesion) or "site not recorded"
    if lesion is not None and lesion.label is not None:
        place = f"{lesion.label}: {place}"
    sizes = [] if lesion is None else [one for one in (lesion.longest_mm, lesion.crosswise_mm) if one is not None]
    size = f", {' × '.join(f'{one:f}' for one in sizes)} mm" if sizes else ""
    return f"{place}{size}"


#: What stands first wherever a withdrawn record is shown.
WITHDRAWN = "Withdrawn: this record was entered in error and must not be used."


def conclusion(review: Review) -> str:
    """Return the clinician's conclusion in the clinician's words, the pathway's sentence, and what it doesn't say."""
    examination = review.examination
    if examination.status is Status.ENTERED_IN_ERROR:
        return WITHDRAWN
    return " ".join((clinicians_conclusion(examination), pathway_sentence(review.expected), CAUTION))


def clinicians_conclusion(examination: Examination) -> str:
    """Return what the clinician concluded, without what software adds."""
    told = []
    assessment = examination.assessment
    if assessment is not None:
        if assessment.concern is not None:
            told.append(f"Clinician’s concern: {assessment.concern.display}.")
        named = "; ".join(f"{impression_sentence(one)}" for one in assessment.impressions)
        if named:
            told.append(f"{IMPRESSION.attribute.display.capitalize()}: {named}.")
        if assessment.words is not None:
            told.append(assessment.words)
    return " ".join(told) or "No assessment was recorded."


def is_conclusion(text: str, examination: Examination) -> bool:
    """Return whether a text is a conclusion that is written for an examination, under whichever pathway."""
    if examination.status is Status.ENTERED_IN_ERROR:
        return text == WITHDRAWN
    begin, end = f"{clinicians_conclusion(examination)} ", CAUTION
    if not text.startswith(begin) or not text.endswith(end):
        return False
    between = text[len(begin) : -len(end)]
    # The first versions knew no pathways.
    return not between or (between.endswith(" ") and is_pathway_sentence(between[:-1]))


#: The line under every conclusion.
CAUTION = (
    "This supports judgement and never replaces it; a total below a threshold excludes nothing; when in doubt, refer; "
    "local pathways and licensed practice come first."
)
