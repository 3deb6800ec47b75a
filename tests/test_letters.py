"""Letters: what a reader who has only the letter can tell, what stands first, what the patient's copy never says.

The parser of this file knows headings, labels and lines as a reader sees them, and nothing of how a letter is made.
"""

from __future__ import annotations

import re
import subprocess
import sys
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from string import Formatter
from typing import Any

import pytest
import records
from examples_output import ENTRIES, EXAMPLES, LETTERS, REVIEWED, examinations, specimens
from hypothesis import given
from strategies import TEXTS, WHOLE_EXAMINATIONS, usual_examinations

import dermreport
from dermreport.answers import answer_to
from dermreport.examination.reader import read_json
from dermreport.languages.language import LANGUAGES, Language
from dermreport.letters.catalogue import messages
from dermreport.letters.rules import LETTER_RULES
from dermreport.vocabulary.impressions import Impression
from dermreport.vocabulary.plan_actions import PlanAction
from dermreport.vocabulary.presences import Presence
from dermreport.vocabulary.score_methods import ScoreMethod
from dermreport.vocabulary.sites import Site
from dermreport.vocabulary.structures import Structure
from dermreport.vocabulary.term import Term
from dermreport.wording.findings import unticked


@dataclass(frozen=True)
class Reader:
    """A reader of one language: its names of rows, and the headings and labels of a letter."""

    language: Language
    lesion: str
    findings: str
    views: str
    scores: str
    groups: Mapping[Presence, str]
    lights: Mapping[str, str]
    within: Mapping[str, str]

    def letter(self, reviews: list[dermreport.Review], settings: dermreport.LetterSettings) -> str:
        """Return a referral in this language."""
        asked = replace(settings, language=self.language.code, reviewed=REVIEWED)
        return dermreport.letter(reviews, settings=asked).text

    def term(self, row: Term) -> str:
        """Return what a row is called."""
        return self.language.term(row)


READERS = {
    "en": Reader(
        dermreport.language("en"),
        lesion="Lesion",
        findings="Dermatoscopic findings",
        views="Views",
        scores="Scores",
        groups={
            Presence.PRESENT: "Seen",
            Presence.UNCERTAIN: "Uncertain",
            Presence.NOT_ASSESSED: "Could not be assessed",
            Presence.ABSENT: "Looked for and not seen",
        },
        lights={"polarised": "polarised light", "non-polarised": "non-polarised light", "unknown": "light not known"},
        within={"polarised": "polarised light", "non-polarised": "non-polarised light", "unknown": "light not known"},
    ),
    "de": Reader(
        dermreport.language("de"),
        lesion="Läsion",
        findings="Dermatoskopischer Befund",
        views="Ansichten",
        scores="Punktwerte",
        groups={
            Presence.PRESENT: "Gesehen",
            Presence.UNCERTAIN: "Unsicher",
            Presence.NOT_ASSESSED: "Nicht beurteilt",
            Presence.ABSENT: "Gesucht und nicht gesehen",
        },
        lights={
            "polarised": "polarisiertes Licht",
            "non-polarised": "nicht polarisiertes Licht",
            "unknown": "Licht nicht bekannt",
        },
        within={
            "polarised": "polarisiertem Licht",
            "non-polarised": "nicht polarisiertem Licht",
            "unknown": "nicht bekanntem Licht",
        },
    ),
}
in_each_language = pytest.mark.parametrize("reader", READERS.values(), ids=READERS)

ALL = [pytest.param([dermreport.review(one) for one in examinations(path)], id=path.stem) for path in ENTRIES]
COMPLETE = replace(LETTERS, detail="complete")
DETAILS = {"short": LETTERS, "complete": COMPLETE}


def unwrapped(text: str) -> list[str]:
    """Return the lines of a letter with those that go on from the line above joined to it."""
    lines: list[str] = []
    for line in text.splitlines():
        goes_on = line.startswith(" ") and not line.lstrip().startswith("- ")
        if goes_on and lines and lines[-1]:
            lines[-1] = f"{lines[-1]} {line.strip()}"
        else:
            lines.append(line)
    return lines


def paragraphs(text: str) -> str:
    """Return a letter's words, whatever the line breaks."""
    return " ".join(text.split())


def lesions(text: str, count: int, word: str = "Lesion") -> list[list[str]]:
    """Return the lines that are about each lesion, by their labels; the word is that before a label."""
    lines = unwrapped(text)
    if count == 1:
        return [lines]
    starts = [number for number, line in enumerate(lines) if re.fullmatch(rf"{word} \S+: .+", line)]
    first_run = starts[:count]
    found = [lines[start:end] for start, end in zip(first_run, [*first_run[1:], len(lines)], strict=True)]
    return sorted(found, key=lambda about: about[0])


def part(lines: list[str], heading: str) -> list[str]:
    """Return the lines under a heading, up to the next one."""
    start = next(number for number, line in enumerate(lines) if line == heading) + 2
    marks = [n for n, line in enumerate(lines) if n > start and re.fullmatch(r"[-·=]{3,}", line)]
    return lines[start : marks[0] - 1 if marks else len(lines)]


def groups(lines: list[str]) -> dict[str, list[str]]:
    """Return the lines of the findings by the label of their group."""
    found: dict[str, list[str]] = {}
    label = ""
    for line in lines:
        said = line.lstrip()
        if said.startswith("- "):
            found[label].append(said[2:])
            continue
        label, _, rest = line.partition(":")
        found[label] = [rest.strip()] if rest.strip() else []
    return found


@pytest.mark.parametrize("detail", DETAILS)
@in_each_language
@pytest.mark.parametrize("reviews", ALL)
def test_a_reader_of_the_letter_finds_every_finding_in_its_light(
    reviews: list[dermreport.Review], detail: str, reader: Reader
) -> None:
    text = reader.letter(reviews, DETAILS[detail])
    for review, lines in zip(reviews, lesions(text, len(reviews), reader.lesion), strict=True):
        told = groups(part(lines, reader.findings))
        views = {view.key: view for view in review.examination.views}
        for position, finding in enumerate(review.examination.findings):
            answer = answer_to(review.answers, position)
            assert isinstance(finding.structure, Structure)
            (line,) = [
                one
                for one in told[reader.groups[answer.presence]]
                if one.startswith(reader.language.structure(finding.structure))
            ]
            for key in finding.views:
                assert reader.within[views[key].light] in line
            for more in (finding.place, finding.distribution, finding.regularity, *finding.colours):
                assert more is None or reader.term(more) in line
            if answer.because is not None:
                assert reader.term(answer.because) in line
        assert sum(len(one) for label, one in told.items() if label in reader.groups.values()) >= len(
            review.examination.findings
        )


@in_each_language
@pytest.mark.parametrize("reviews", ALL)
def test_a_reader_of_the_complete_letter_finds_every_item_of_a_list_as_it_counts(
    reviews: list[dermreport.Review], reader: Reader
) -> None:
    text = reader.letter(reviews, COMPLETE)
    for review, lines in zip(reviews, lesions(text, len(reviews), reader.lesion), strict=True):
        told = groups(part(lines, reader.findings))
        for gone_through in review.examination.lists_gone_through:
            for structure, answer in unticked(review.answers, gone_through):
                named = [
                    one for one in told[reader.groups[answer.presence]] if reader.language.structure(structure) in one
                ]
                assert any(one.startswith(reader.term(gone_through.list)) for one in named)


@in_each_language
@pytest.mark.parametrize("reviews", ALL)
def test_a_reader_of_the_short_letter_finds_what_of_a_list_could_not_be_seen(
    reviews: list[dermreport.Review], reader: Reader
) -> None:
    text = reader.letter(reviews, LETTERS)
    for review, lines in zip(reviews, lesions(text, len(reviews), reader.lesion), strict=True):
        told = groups(part(lines, reader.findings))
        for gone_through in review.examination.lists_gone_through:
            for structure, answer in unticked(review.answers, gone_through):
                if answer.presence in {Presence.NOT_ASSESSED, Presence.UNCERTAIN}:
                    assert any(reader.term(structure) in one for one in told[reader.groups[answer.presence]])


@in_each_language
@pytest.mark.parametrize("reviews", ALL)
def test_a_reader_finds_every_view_with_its_light(reviews: list[dermreport.Review], reader: Reader) -> None:
    text = reader.letter(reviews, LETTERS)
    for review, lines in zip(reviews, lesions(text, len(reviews), reader.lesion), strict=True):
        told = groups(part(lines, reader.findings)).get(reader.views, [])
        complete = lesions(reader.letter(reviews, COMPLETE), len(reviews), reader.lesion)[reviews.index(review)]
        assert [f"- {one}" for one in told] == [one for one in part(complete, reader.views) if one]
        assert len(told) == len(review.examination.views)
        for view, line in zip(review.examination.views, told, strict=True):
            assert line.lower().startswith(reader.lights[view.light].lower())
            for one in (view.contact, view.covers, *view.immersion, *view.limits):
                assert one is None or reader.term(one) in line


@in_each_language
@pytest.mark.parametrize("reviews", ALL)
def test_a_reader_of_the_complete_letter_finds_every_score(reviews: list[dermreport.Review], reader: Reader) -> None:
    text = reader.letter(reviews, COMPLETE)
    for review, lines in zip(reviews, lesions(text, len(reviews), reader.lesion), strict=True):
        told = [one for one in part(lines, reader.scores) if one.startswith("- ")]
        for result in review.scores.values():
            name = reader.term(result.method.code)
            found = [one for one in told if one.lower().startswith(f"- {name}:".lower())]
            assert len(found) == result.valid
            for line in found:
                assert reader.term(result.verdict) in line
                digits = [reader.language.number(one) for one in (result.low, result.high) if one is not None]
                assert all(one in line for one in digits)
                labels = {one.id: reader.language.text(one.label) for one in result.method.criteria}
                assert all(labels[one] in line for one in result.met)
                assert result.method.basis.text in line
                assert all(reader.language.text(one) in paragraphs(text) for one in result.cautions)


@in_each_language
@pytest.mark.parametrize("reviews", ALL)
def test_the_short_letter_names_every_score_that_is_reached_or_open(
    reviews: list[dermreport.Review], reader: Reader
) -> None:
    text = reader.letter(reviews, LETTERS)
    for review, lines in zip(reviews, lesions(text, len(reviews), reader.lesion), strict=True):
        told = " ".join(part(lines, reader.scores)).lower()
        for result in review.scores.values():
            assert (reader.term(result.method.code).lower() in told) == result.valid


HEAD = ("Site:", "Size:", "Question:", "Clinician’s concern:")


@pytest.mark.parametrize("reviews", [one for one in ALL if len(one.values[0]) == 1])
def test_urgency_site_question_and_concern_stand_right_under_the_title(reviews: list[dermreport.Review]) -> None:
    lines = dermreport.letter(reviews, settings=LETTERS).text.splitlines()
    title = next(number for number, line in enumerate(lines) if set(line) == {"="})
    first = lines[title + 1 : title + 14]
    urgent = [one for one in first if one.startswith("!! ")]
    plan = reviews[0].examination.plan
    wanted = [one for one in plan.actions if one.urgency is not None and one.urgency.rank >= 3] if plan else []
    assert len(urgent) == len(wanted)
    assert all(any(one.startswith(head) for one in first) for head in HEAD)


@given(usual_examinations())
@WHOLE_EXAMINATIONS
def test_no_letter_is_withheld_and_an_urgent_step_stands_in_it(exam: dermreport.Examination) -> None:
    review = dermreport.review(exam)
    withdrawn = exam.status == "entered-in-error"
    for kind in dermreport.LetterKind:
        file = dermreport.letter(review, kind=kind)
        assert file.content == dermreport.letter(review, kind=kind).content
        assert file.text.endswith("\n")
        assert "\t" not in file.text
    text = paragraphs(dermreport.letter(review).text)
    actions = exam.plan.actions if exam.plan is not None else ()
    for action in actions:
        if action.urgency is not None and action.urgency.rank >= 3 and not withdrawn:
            assert f"!! {action.urgency.display.capitalize()}:" in text
    assert ("WITHDRAWN" in text) == withdrawn


SUSPICION = re.compile(r"cancer|melanoma|carcinoma|tumou?r|malign|suspic|metasta", re.IGNORECASE)


@pytest.mark.parametrize("told", [None, "no", "unknown"])
@pytest.mark.parametrize("action", [one.value for one in PlanAction])
def test_the_patients_copy_says_nothing_of_suspicion_that_was_not_told(action: str, told: str | None) -> None:
    plan: dict[str, Any] = {
        "actions": [
            {"key": "1", "action": action, "urgency": "urgent", "reason": "Melanoma?", "note": "cancer clinic"},
        ]
    }
    if told is not None:
        plan["patient_told"] = {"told": told, "words": "It may be a melanoma."}
    exam = records.record(
        plan=plan,
        assessment={
            "concern": "suspicious",
            "impressions": [{"key": "1", "impression": "melanoma-suspected", "certainty": "probable"}],
        },
    )
    text = dermreport.letter(dermreport.review(exam), kind="patient", settings=LETTERS).text
    assert SUSPICION.findall(text) == []
    assert "What we told you" not in text


def test_the_patients_copy_has_the_words_that_the_patient_was_told() -> None:
    plan = {"patient_told": {"told": "yes", "words": "It may be a melanoma."}}
    text = dermreport.letter(dermreport.review(records.record(plan=plan)), kind="patient").text
    assert "It may be a melanoma." in text


@pytest.mark.parametrize("reviews", ALL)
def test_the_patients_copy_has_no_score_no_comfort_and_says_what_to_do(reviews: list[dermreport.Review]) -> None:
    text = paragraphs(dermreport.letter(reviews, kind="patient", settings=LETTERS).text)
    assert not any(method.display in text for method in ScoreMethod)
    assert not re.search(r"\bpoints?\b|threshold|nothing to worry|benign|normal|all clear", text)
    told = [one.examination.plan.patient_told for one in reviews if one.examination.plan]
    words = " ".join(one.words or "" for one in told if one is not None)
    named = [one.display for one in Impression if one.display in text and one.display not in words]
    assert named == []
    for must in ("Keep an eye on the spot.", "A check can miss things.", "call us", "When in doubt, call."):
        assert must in text


@pytest.mark.parametrize(
    ("mode", "said"),
    [
        ("in-person", "we looked at a spot on your skin."),
        ("live-remote", "by video."),
        ("images-only", "we looked at pictures of a spot on your skin. We did not see you in person."),
    ],
)
def test_the_patients_copy_says_when_only_pictures_were_seen(mode: str, said: str) -> None:
    review = dermreport.review(records.record(mode=mode))
    assert said in paragraphs(dermreport.letter(review, kind="patient").text)


def syllable_free(text: str) -> tuple[int, int, int]:
    """Return letters, words and sentences of a text: what both indices count."""
    words = re.findall(r"[A-Za-z0-9’'×.-]*[A-Za-z0-9]", text)
    sentences = len(re.findall(r"[.!?](?=\s|$)", text)) or 1
    return sum(len(re.sub(r"[^A-Za-z0-9]", "", one)) for one in words), len(words), sentences


def automated_readability_index(text: str) -> float:
    """Senter and Smith 1967, AMRL-TR-66-220: grade of a US school. From memory."""
    characters, words, sentences = syllable_free(text)
    return 4.71 * characters / words + 0.5 * words / sentences - 21.43


def coleman_liau(text: str) -> float:
    """Coleman and Liau 1975, doi 10.1037/h0076540: grade of a US school. From memory."""
    characters, words, sentences = syllable_free(text)
    return 0.0588 * characters / words * 100 - 0.296 * sentences / words * 100 - 15.8


def test_the_indices_tell_easy_from_hard() -> None:
    hard = (
        "Dermatoscopic evaluation demonstrated heterogeneous pigmentation with irregularly distributed peripheral "
        "globular structures, necessitating expedited histopathological examination following complete excision."
    )
    for index in (automated_readability_index, coleman_liau):
        assert index("The cat sat on the mat. It was a big cat.") < 3
        assert index(hard) > 15


def own_words(text: str) -> str:
    """Return what a patient's copy says in our words: without letterhead, title, headings and entered lines."""
    lines = text.splitlines()
    title = next(number for number, line in enumerate(lines) if line and set(line) == {"="})
    body = lines[title + 3 :]
    marks = {number for number, line in enumerate(body) if line and set(line) <= {"-", "·"}}
    kept = [line for number, line in enumerate(body) if number not in marks and number + 1 not in marks]
    return " ".join(kept)


@pytest.mark.parametrize("reviews", ALL)
def test_the_patients_copy_is_read_at_eleven_or_twelve(reviews: list[dermreport.Review]) -> None:
    # Ages 11 to 12 are grades 6 and 7 of a US school; both indices give grades.
    plain = own_words(dermreport.letter(reviews, kind="patient", settings=LETTERS).text)
    entered = [
        one
        for review in reviews
        if (plan := review.examination.plan) is not None
        for one in (
            plan.patient_told.words if plan.patient_told else None,
            plan.safety_net.watch_for if plan.safety_net else None,
            plan.safety_net.contact if plan.safety_net else None,
        )
        if one
    ]
    for one in entered:
        plain = plain.replace(one, "")
    assert automated_readability_index(plain) < 7
    assert coleman_liau(plain) < 7


def test_every_planned_step_has_plain_words_that_an_eleven_year_old_reads() -> None:
    said = messages("en")
    for action in PlanAction:
        assert coleman_liau(said[f"next.{action}"]) < 9
        assert not SUSPICION.search(said[f"next.{action}"])
    whole = " ".join(said[f"next.{action}"] for action in PlanAction)
    assert automated_readability_index(whole) < 6
    assert coleman_liau(whole) < 6


HARD_SITES = re.compile(
    r"dors|plantar|palmar|vermilion|mucosa|areola|concha|helix|canthus|natal|sacr|peri|genital|labi|clitor|vestibul|"
    r"parietal|occipital|frontal|temporal|nail unit|limb|abdomen|flank|glans|nasolab"
)


@pytest.mark.parametrize("site", Site)
def test_the_patients_copy_names_each_site_in_plain_words(site: Site) -> None:
    exam = records.record(lesion={"site": site.value})
    text = paragraphs(dermreport.letter(dermreport.review(exam), kind="patient").text)
    named = re.search(r"Where it is: (.+?)\. ", text)
    assert named is not None
    assert not HARD_SITES.search(named[1])


@pytest.mark.parametrize("reviews", [one for one in ALL if any(specimens(each) for each in one.values[0])])
def test_the_pathologist_gets_site_kind_size_question_history_and_who_gets_the_result(
    reviews: list[dermreport.Review],
) -> None:
    (review,) = reviews
    text = paragraphs(dermreport.letter(reviews, kind="pathologist", settings=LETTERS).text)
    plan, lesion = review.examination.plan, review.examination.lesion
    assert plan is not None
    assert lesion is not None
    for action in plan.actions:
        if isinstance(action.action, PlanAction) and action.action.kind.value.startswith("tissue"):
            assert action.action.display.capitalize() in text
            assert action.reason is None or paragraphs(action.reason) in text
    assert f"{lesion.longest_mm} × {lesion.crosswise_mm} mm" in text
    for label in ("Site:", "Specimen:", "Question:", "Taken for, in order:", "Result to:", "Earlier biopsy"):
        assert label in text
    assert plan.for_pathologist is None or paragraphs(plan.for_pathologist) in text


def test_what_a_letter_lacks_is_an_issue_and_never_withholds_it() -> None:
    nothing = dermreport.review(records.record(plan={"actions": [{"key": "1", "action": "refer-dermatology"}]}))
    copy = dermreport.letter(nothing, kind="patient", settings=replace(LETTERS, sender=None))
    assert "Call the place that gave you this sheet." in copy.text
    assert "letter-no-contact" in [one.rule for one in copy.issues]
    request = dermreport.letter(nothing, kind="pathologist", settings=LETTERS)
    assert [one.rule for one in request.issues] == ["letter-no-specimen"]
    assert "No step of the plan takes a specimen" in request.text
    cut = {"actions": [{"key": "1", "action": "biopsy-punch"}]}
    without_owner = dermreport.letter(dermreport.review(records.record(plan=cut)), kind="pathologist", settings=LETTERS)
    assert [one.rule for one in without_owner.issues] == ["letter-no-result-owner"]
    owned = {"actions": [{"key": "1", "action": "biopsy-punch", "result_owner": {"display": "Dr A"}}]}
    with_owner = dermreport.letter(dermreport.review(records.record(plan=owned)), kind="pathologist", settings=LETTERS)
    assert with_owner.issues == ()
    # Who can't be reached is an issue of its own; a letterhead of the host's may name the sender.
    unreached = dermreport.letter(nothing)
    assert [one.rule for one in unreached.issues] == ["letter-no-sender", "letter-no-patient-contact"]
    nobody = replace(LETTERS, sender=dermreport.Party(name="Practice"))
    assert "letter-no-sender" in [one.rule for one in dermreport.letter(nothing, settings=nobody).issues]
    head = replace(LETTERS, sender=None, header="Our letterhead")
    assert "letter-no-sender" not in [one.rule for one in dermreport.letter(nothing, settings=head).issues]
    for reach in ({"patient": {"details": {"phone": "1"}}}, {"background": {"reach_quickly": "by post"}}):
        reached = dermreport.letter(dermreport.review(records.record(**reach)), settings=LETTERS)
        assert "letter-no-patient-contact" not in [one.rule for one in reached.issues]
    assert len({one.id for one in LETTER_RULES}) == len(LETTER_RULES)


@given(TEXTS)
def test_entered_words_stay_words_in_their_own_direction(words: str) -> None:
    exam = records.record(
        plan={"actions": [{"key": "1", "action": "refer-other", "urgency": "urgent", "reason": words}]}
    )
    text = dermreport.letter(dermreport.review(exam)).text
    # Nothing that was entered begins a line of its own, or leaves a turn of direction open behind it.
    for line in text.split("\n"):
        assert line.count("\u2068") == line.count("\u2069")
        assert not set(line) & set("\u202a\u202b\u202d\u202e\r\x0b\x0c\x85\u2028\u2029")
    assert text.count("Question:") == 1


def test_the_number_of_a_report_stays_on_its_line() -> None:
    exam = records.record(identifier={"system": "urn:x", "value": "7\nZebra: none\t\u202e\r8"})
    for kind in dermreport.LetterKind:
        text = dermreport.letter(dermreport.review(exam), kind=kind).text
        assert not [line for line in text.split("\n") if line.startswith(("Zebra", "8"))]
        assert not set(text) & set("\t\r\u202e")


def test_the_hosts_words_and_order_are_taken() -> None:
    review = dermreport.review(records.record())
    wording = {"part.plan": "What we shall do", "patient.name": "Patient’s full name"}
    settings = replace(COMPLETE, wording=wording, order=("plan", "scores"))
    text = dermreport.letter(review, settings=settings).text
    assert "What we shall do" in text
    assert "Patient’s full name:" in text
    headings = [one for one in text.splitlines() if one in {"In short", "What we shall do", "Scores", "Patient"}]
    assert headings == ["In short", "What we shall do", "Scores", "Patient"]


WRONG_SETTINGS: dict[str, dict[str, Any]] = {
    "a key that isn't one": {"wording": {"part.nothing": "x"}},
    "a name left out": {"wording": {"first.sign": "Sign!"}},
    "a name too many": {"wording": {"part.plan": "{secret}"}},
    "an open brace": {"wording": {"part.plan": "{"}},
    "no words": {"wording": {"part.plan": " "}},
    "a language": {"language": "xx"},
    "a detail": {"detail": "long"},
    "a day": {"written": "4 March"},
    "a day that the calendar hasn't": {"written": "2026-02-30"},
    "a part": {"order": ("nothing",)},
    "a sender": {"sender": "me"},
}


@pytest.mark.parametrize("name", WRONG_SETTINGS)
def test_settings_that_do_not_fit_are_refused_without_a_value(name: str) -> None:
    review = dermreport.review(records.record())
    with pytest.raises(dermreport.SettingsError) as caught:
        dermreport.letter(review, settings=dermreport.LetterSettings(**WRONG_SETTINGS[name]))
    assert "secret" not in str(caught.value)


def test_letters_are_of_one_patient() -> None:
    one = dermreport.review(records.record())
    other = dermreport.review(
        records.record(patient={"reference": "Patient/other"}, identifier={"system": "urn:x-a", "value": "2"})
    )
    with pytest.raises(dermreport.BuildError):
        dermreport.letter([one, other])
    with pytest.raises(dermreport.BuildError):
        dermreport.letter([])
    with pytest.raises(dermreport.SettingsError):
        dermreport.letter(one, kind="postcard")
    with pytest.raises(TypeError):
        dermreport.letter(object())


def test_a_file_name_and_title_hold_nothing_of_the_patient() -> None:
    exam = records.record(
        patient={
            "details": {"family": "Markerman", "given": ["Mia"]},
            "identifiers": [{"system": "urn:x", "value": "M1"}],
        }
    )
    for kind in dermreport.LetterKind:
        file = dermreport.letter(dermreport.review(exam), kind=kind)
        assert re.fullmatch(r"[a-z]+-letter-[0-9a-f]{12}\.txt", file.name)
        assert "Mark" not in file.title + file.name + repr(file)
        assert "Mia Markerman" in file.text


TOML = """
detail = "complete"
contact = "Desk, +00 555 0100"
written = 2026-03-05
order = ["plan", "scores"]
footer = "Not for {{ letter.title }}"

[sender]
name = "Harbour Lane Practice"
lines = ["2 Harbour Lane", "00000 Sampleton"]

[reviewed]
by = "Dr A"
on = 2026-11-29

[wording]
"part.plan" = "What we shall do"
"""


def test_settings_of_a_file_are_those_of_the_class() -> None:
    assert dermreport.letter_settings_from_toml(TOML) == dermreport.LetterSettings(
        detail="complete",
        contact="Desk, +00 555 0100",
        written="2026-03-05",
        order=("plan", "scores"),
        footer="Not for {{ letter.title }}",
        sender=dermreport.Party(name="Harbour Lane Practice", lines=("2 Harbour Lane", "00000 Sampleton")),
        reviewed=dermreport.Reviewed(by="Dr A", on="2026-11-29"),
        wording={"part.plan": "What we shall do"},
    )
    assert dermreport.letter_settings_from_toml(TOML.encode()) == dermreport.letter_settings_from_toml(TOML)


@pytest.mark.parametrize(
    "text",
    [
        "secret",
        b"\xff",
        'secret = "x"',
        'detail = "secret"',
        "sender = 5",
        "[sender]\nlines = []",
        '[sender]\nname = "x"\nsecret = 1',
        "[reviewed]\non = 2026-11-29",
        "contact = 5",
        'order = ["secret"]',
        "[wording]\nx = 5",
    ],
)
def test_a_file_of_settings_that_does_not_fit_says_where_and_no_value(text: str | bytes) -> None:
    def asked() -> dermreport.LetterFile:
        settings = dermreport.letter_settings_from_toml(text)
        return dermreport.letter(dermreport.review(records.record()), settings=settings)

    with pytest.raises(dermreport.SettingsError) as caught:
        asked()
    assert "secret" not in str(caught.value)
    assert caught.value.__cause__ is None
    assert caught.value.__context__ is None


def test_all_that_is_wrong_in_a_file_of_settings_is_said_at_once_with_its_place() -> None:
    text = """
secret = 1
detail = ["secret"]
order = [["secret"]]
contact = 5
[sender]
name = " "
[recipient]
name = "x"
lines = "secret"
[reviewed]
on = 2026-11-29
"""
    with pytest.raises(dermreport.SettingsError) as caught:
        dermreport.letter_settings_from_toml(text)
    assert [one.partition(" is ")[0].partition(" has ")[0] for one in caught.value.problems] == [
        "letter settings: it",
        "letter settings: reviewed: a setting",
        "letter settings: sender: a party",
        "letter settings: recipient: a party",
        "letter settings: detail",
        "letter settings: contact",
        "letter settings: order",
    ]
    assert "secret" not in str(caught.value)


def names(text: str) -> set[str]:
    return {name for _, name, _, _ in Formatter().parse(text) if name}


def keys_used() -> Iterator[str]:
    from pathlib import Path

    for path in (Path(dermreport.__file__).parent / "letters").glob("*.py"):
        yield from re.findall(r"\"([a-z]+(?:-part)?\.[a-z0-9-]+)\"", path.read_text(encoding="utf-8"))


@pytest.mark.parametrize("language", LANGUAGES)
def test_every_sentence_is_used_and_every_used_one_exists(language: str) -> None:
    said = messages(language)
    english = messages("en")
    # Which sites need plainer words is a matter of each language: the vocabulary's own can be plain enough.
    sites = {f"site.{one}" for one in Site}
    assert set(said) - sites == set(english) - sites
    assert {key for key in said if key.startswith("site.")} <= sites
    assert all(names(text) == names(english.get(key, "")) for key, text in said.items())
    used = set(keys_used())
    #: Those whose last part is a code.
    made = re.compile(
        r"(next|site|part|copy-part|kept|check|look|light|in-light|letter\.subject|copy\.side)[.-].*"
        r"|copy\.(back|heard)-lesion"
    )
    assert {key for key in said if key not in used and not made.fullmatch(key)} == set()
    #: A path of the entry, and names of this package and its files, look like keys.
    others = {"lesion.history", "dermreport.letters", "body.html", "page.html", "page.css"}
    assert {key for key in used if key not in said} == others


WITHOUT_EXTRAS = """
import sys
for name in ("jinja2", "segno", "typst", "PIL", "pydicom", "pyarrow"):
    sys.modules[name] = None
import dermreport
with open("examples/visit-three-lesions.json", "rb") as file:
    visit = dermreport.Visit.from_json(file.read())
reviews = [dermreport.review(one) for one in visit.examinations]
for kind in dermreport.LetterKind:
    print(len(dermreport.letter(reviews, kind=kind).text.splitlines()) > 20)
for form in ("html", "pdf"):
    try:
        dermreport.letter(reviews, format=form)
    except dermreport.MissingExtraError as error:
        print(error)
"""


def test_text_letters_need_no_extra_and_the_others_name_the_command() -> None:
    done = subprocess.run(
        [sys.executable, "-c", WITHOUT_EXTRAS], cwd=EXAMPLES.parent, capture_output=True, text=True, check=True
    )
    lines = done.stdout.splitlines()
    assert lines[:3] == ["True"] * 3
    assert len(lines) == 5
    assert all("pip install 'dermreport[letter]'" in one for one in lines[3:])


# -- what a reader found -----------------------------------------------------------------------------------------------


def first_lines(text: str) -> str:
    """Return what stands between the title and the part on the patient."""
    return paragraphs(text.partition("In short")[2].partition("\nPatient\n")[0])


def letter_of(kind: str = "referral", **changes: Any) -> str:
    return dermreport.letter(dermreport.review(records.record(**changes)), kind=kind, settings=LETTERS).text


def several(*changes: dict[str, Any]) -> list[dermreport.Review]:
    """Return reviews of one patient's lesions, each with its own number."""
    numbered = [{"identifier": {"system": "urn:x-a", "value": str(place)}, **one} for place, one in enumerate(changes)]
    return [dermreport.review(records.record(**one)) for one in numbered]


def test_a_cancer_that_a_pathologist_found_stands_first() -> None:
    outcome = {"key": "1", "kind": "histology", "result": "melanoma", "date": "2026-03-09", "thickness_mm": 2.0}
    lines = first_lines(letter_of(assessment={"concern": "benign"}, outcomes=[outcome]))
    assert "!! Found by a pathologist: melanoma, 9 March 2026. Patient informed: not recorded." in lines
    assert lines.index("Found by a pathologist") < lines.index("judged harmless")
    harmless = {"key": "1", "kind": "histology", "result": "seborrhoeic-keratosis"}
    assert "Found by a pathologist" not in letter_of(outcomes=[harmless])


@pytest.mark.parametrize("urgency", [None, "none", "routine", "scheduled", "urgent"])
def test_a_referral_for_suspected_cancer_always_stands_out(urgency: str | None) -> None:
    step = {"key": "1", "action": "refer-suspected-cancer", **({"urgency": urgency} if urgency else {})}
    text = letter_of(plan={"actions": [step]})
    (bar,) = [one for one in text.splitlines() if one.startswith("!! ")]
    assert "refer as suspected cancer" in bar
    assert bar.startswith("!! Urgency not recorded:") == (urgency is None)
    copy = paragraphs(letter_of("patient", plan={"actions": [step]}))
    assert ("Please do not put this off." in copy) == (urgency in {None, "urgent"})


@pytest.mark.parametrize(("day", "past"), [("2026-03-03", True), ("2026-03-04", False), ("2026-03", False)])
def test_a_step_whose_day_has_passed_is_not_told_as_coming(day: str, *, past: bool) -> None:
    step = {"key": "1", "action": "excise-complete", "urgency": "urgent", "date": day}
    changes = {"plan": {"actions": [step]}, "recorded": None}
    settings = replace(LETTERS, written="2026-03-04")
    review = dermreport.review(records.record(**changes))
    lines = first_lines(dermreport.letter(review, settings=settings).text)
    assert ("The day has passed" in lines) == past
    assert lines.startswith("-------- !! Urgent") is not past
    copy = paragraphs(dermreport.letter(review, kind="patient", settings=settings).text)
    assert ("If it was not done, call us." in copy) == past
    assert ("Please do not put this off." in copy) is not past
    answered = {"outcomes": [{"key": "1", "kind": "histology", "result": "melanoma"}]}
    done = dermreport.review(records.record(**changes, **answered))
    assert ("excise completely" in first_lines(dermreport.letter(done, settings=settings).text)) is not past


@pytest.mark.parametrize(
    ("action", "histology", "taken"),
    [
        ("excise-complete", None, True),
        ("excise-complete", "unknown", True),
        ("excise-complete", "no", False),
        ("curettage-without-histology", None, False),
        ("curettage-without-histology", "yes", True),
        ("other-step", "yes", True),
        ({"system": "urn:x", "code": "m", "display": "staged excision"}, "yes", True),
        ("refer-dermatology", None, False),
    ],
)
def test_a_specimen_is_what_the_record_sends_to_a_pathologist(
    action: Any, histology: str | None, *, taken: bool
) -> None:
    step = {"key": "1", "action": action, **({"histology": histology} if histology else {})}
    assert ("No step of the plan takes a specimen" in letter_of("pathologist", plan={"actions": [step]})) is not taken
    assert ("sent to a lab" in letter_of("patient", plan={"actions": [step]})) == taken


def test_what_a_pathway_expects_beyond_the_plan_stands_in_the_first_lines() -> None:
    watched = {"actions": [{"key": "1", "action": "monitor-short"}]}
    lines = first_lines(letter_of(assessment={"concern": "suspicious"}, plan=watched))
    assert "Expected by the pathway, and not planned so:" in lines
    referred = {
        "actions": [{"key": "1", "action": "refer-suspected-cancer", "urgency": "urgent", "latest": "2026-01-10"}]
    }
    assert "not planned so" not in first_lines(letter_of(assessment={"concern": "suspicious"}, plan=referred))


def test_a_point_on_the_other_side_is_said_first_and_not_drawn() -> None:
    lesion = {"site": "shin", "side": "left", "map_point": {"map": "body-front", "x": 0.42, "y": 0.8}}
    review = dermreport.review(records.record(lesion=lesion))
    assert "site-map-point-other-side" in [one.rule for one in review.issues]
    message = next(one.message for one in review.issues if one.rule == "site-map-point-other-side")
    assert message in first_lines(dermreport.letter(review, settings=LETTERS).text)
    assert "Body map" not in dermreport.letter(review, format="html", settings=LETTERS).text
    right = {**lesion, "map_point": {"map": "body-front", "x": 0.58, "y": 0.8}}
    page = dermreport.letter(dermreport.review(records.record(lesion=right)), format="html", settings=LETTERS).text
    assert "Body map" in page


@pytest.mark.parametrize("form", ["text", "html"])
def test_nothing_that_was_entered_turns_a_telephone_number_round(form: str) -> None:
    plan = {"safety_net": {"contact": "\u202e+00 555 0123"}}
    text = dermreport.letter(dermreport.review(records.record(plan=plan)), kind="patient", format=form).text
    assert "\u202e" not in text
    assert "+00 555 0123" in text


def test_a_label_or_a_site_in_other_words_says_nothing_to_the_patient() -> None:
    other = {"system": "urn:x", "code": "s", "display": "scar of melanoma"}
    reviews = several({"lesion": {"label": "Melanoma?", "site": "chest"}}, {"lesion": {"label": "B", "site": other}})
    text = dermreport.letter(reviews, kind="patient", settings=LETTERS).text
    assert SUSPICION.findall(text) == []
    assert "Spot 1" in text
    assert "Spot B" in text


@pytest.mark.parametrize("labels", [("A", "A"), ("A", "a "), (None, None), ("2", None), ("A", None)])
def test_no_two_lesions_of_a_letter_have_one_name(labels: tuple[str | None, ...]) -> None:
    reviews = several(*({"lesion": {"site": "chest", **({"label": one} if one else {})}} for one in labels))
    text = dermreport.letter(reviews, settings=LETTERS).text
    titles = re.findall(r"^(Lesion .+): chest$", text, re.MULTILINE)
    # Each stands above its findings, and above its checks.
    assert len(set(titles)) == 2


def test_where_records_differ_on_the_patient_nothing_of_one_is_lost() -> None:
    reviews = several(
        {"background": {"age_years": 30, "blood_thinner": "none"}},
        {"background": {"age_years": 60, "allergy": "yes", "allergy_to": "lidocaine"}, "lesion": {"site": "shin"}},
    )
    text = paragraphs(dermreport.letter(reviews, settings=LETTERS).text)
    assert "30 years" in text
    assert "60 years" in text
    assert "lidocaine" in text
    assert text.count("don’t agree on the patient") == 4
    alike = several({"background": {"age_years": 30}}, {"background": {"age_years": 30}, "lesion": {"site": "shin"}})
    assert "don’t agree" not in dermreport.letter(alike, settings=LETTERS).text


@pytest.mark.parametrize("pictures", [["x"], "x", {1: b"x"}, {"a": None}, {"a": "x"}])
def test_pictures_of_another_kind_are_refused_in_every_format(pictures: Any) -> None:
    review = dermreport.review(records.record())
    for form in dermreport.LetterFormat:
        with pytest.raises(TypeError, match="letter: "):
            dermreport.letter(review, format=form, pictures=pictures)


@pytest.mark.parametrize("name", ["", " ", "a\x00", "a\nb"])
def test_a_party_has_a_name_of_one_line(name: str) -> None:
    with pytest.raises(dermreport.SettingsError):
        dermreport.Party(name=name)


def test_steps_stand_by_their_urgency() -> None:
    plan = {
        "actions": [
            {"key": "1", "action": "monitor-long", "urgency": "routine"},
            {"key": "2", "action": "other-step", "urgency": "immediate", "note": "ring the clinic now"},
        ]
    }
    text = paragraphs(letter_of(plan=plan))
    assert "!! Immediate: another step, in words – ring the clinic now" in text
    told = text.partition("Plan ----")[2]
    assert told.index("ring the clinic now") < told.index("monitoring")


@pytest.mark.parametrize("detail", list(dermreport.LetterDetail))
@pytest.mark.parametrize("language", LANGUAGES)
def test_entered_words_that_read_like_ours_are_told_as_entered(language: str, detail: dermreport.LetterDetail) -> None:
    unsaid = messages(language)["letter.not-recorded"]
    review = dermreport.review(records.record(order={"reference": "Practitioner/7", "display": unsaid}))
    settings = dermreport.LetterSettings(language=language, reviewed=REVIEWED, detail=detail)
    asked_by = messages(language)["reason.asked-by"]
    assert f"{asked_by}: {unsaid}" in dermreport.letter(review, settings=settings).text


@pytest.mark.parametrize("plan", [7, {"actions": [{"key": "1", "action": "refer-other"}, 7]}])
@pytest.mark.parametrize("language", ["en", "de"])
def test_a_plan_that_could_not_be_read_stands_first_and_nothing_says_that_none_is_withheld(
    plan: Any, language: str
) -> None:
    entry = read_json((EXAMPLES / "usual.json").read_bytes())
    held = dermreport.from_entry({**entry, "plan": plan})
    assert held.examination is not None
    review = dermreport.review(held.examination)
    text = " ".join(
        dermreport.letter(review, kind="referral", settings=dermreport.LetterSettings(language=language)).text.split()
    )
    lost = {"en": "A plan may have been entered", "de": "Möglicherweise wurde ein Plan eingetragen"}[language]
    withheld = {"en": "No planned step is withheld", "de": "Kein geplanter Schritt wird"}[language]
    none = {"en": "No step is planned in this record", "de": "ist kein Schritt geplant"}[language]
    assert text.count(lost) == 1
    assert withheld not in text
    assert none not in text
    narrative = dermreport.to_fhir(review).bundle().to_json()
    assert "A plan may have been entered" in narrative
    assert "No planned step is withheld" not in narrative
