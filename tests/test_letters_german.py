"""Letters in German: nothing of ours stays English, a patient's copy waits for a reviewer, and it is plain German.

That the German is whole and keeps to what the English says is held by ``test_languages.py``; that a reader finds in it
what was entered, by ``test_letters.py``. That it is good German only a reader of German can tell.
"""

from __future__ import annotations

import io
import json
import re
from dataclasses import replace
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
import records
from examples_output import ENTRIES, LETTERS, REVIEWED, examinations, kinds
from pypdf import PdfReader
from test_letters import ALL, own_words, paragraphs

import dermreport
from dermreport.languages.language import language
from dermreport.letters.catalogue import messages
from dermreport.scores.method import Method
from dermreport.scores.methods import CLUE_LISTS, METHODS
from dermreport.vocabulary.impressions import Impression
from dermreport.vocabulary.plan_actions import PlanAction
from dermreport.vocabulary.score_methods import ScoreMethod
from dermreport.vocabulary.sites import Site

GERMAN = replace(LETTERS, language="de", reviewed=REVIEWED)
HEAD = 'language = "de"\nstate = "machine-drafted, needs a clinician\'s review"\ndrafted = 2026-11-29\n'


def written(reviews: list[dermreport.Review] | dermreport.Review, kind: str = "referral", **changes: Any) -> str:
    """Return a German letter as text, whatever the line breaks."""
    return paragraphs(dermreport.letter(reviews, kind=kind, settings=replace(GERMAN, **changes)).text)


# -- a draft until it is reviewed --------------------------------------------------------------------------------------


def test_the_file_of_sentences_says_first_that_a_machine_drafted_it() -> None:
    file = Path(dermreport.__file__).parent / "letters" / "messages" / "de.toml"
    first = [line for line in file.read_text(encoding="utf-8").splitlines() if not line.startswith("#")]
    assert "\n".join(first[:3]) + "\n" == HEAD
    draft = language("de").draft
    assert draft is not None
    assert f'language = "de"\nstate = "{draft.state}"\ndrafted = {draft.drafted}\n' == HEAD


def test_a_patients_copy_waits_until_somebody_reviewed_the_language() -> None:
    review = dermreport.review(records.record())
    for form in dermreport.LetterFormat:
        with pytest.raises(dermreport.SettingsError, match="reviewed"):
            dermreport.letter(review, kind="patient", format=form, settings=dermreport.LetterSettings(language="de"))
    for kind in ("referral", "pathologist"):
        text = dermreport.letter(review, kind=kind, settings=dermreport.LetterSettings(language="de")).text
        assert paragraphs(text).startswith(
            "Der deutsche Wortlaut dieses Schreibens wurde von einer Maschine entworfen und muss noch ärztlich geprüft "
            "werden."
        )


@pytest.mark.parametrize("kind", list(dermreport.LetterKind))
def test_a_letter_says_who_reviewed_the_language_and_when(kind: str) -> None:
    text = written(dermreport.review(records.record()), kind)
    assert text.startswith(
        "Der deutsche Wortlaut dieses Schreibens wurde von einer Maschine entworfen und am 1. Dezember 2026 von Dr. "
        "Example geprüft."
    )


def test_english_needs_no_reviewer_and_names_none() -> None:
    settings = dermreport.LetterSettings(reviewed=REVIEWED)
    for kind in dermreport.LetterKind:
        assert (
            "Dr. Example"
            not in dermreport.letter(dermreport.review(records.record()), kind=kind, settings=settings).text
        )


# -- nothing of ours stays English -------------------------------------------------------------------------------------

#: Words that both languages have, by what they are.
SAME = {
    *("mail", "mm", "revision", "version", "code", "name", "person", "plan", "software", "patient", "definition"),
    *("was", "in", "an", "hand", "band", "zone", "medium", "april", "august", "september", "november"),
    # Of the trade, and Latin.
    *("chaos", "parallel", "triage", "segmental", "multiple", "linear", "polygonal", "erosion", "pigment", "stroma"),
    *("starburst", "situ", "melanoma", "lentigo", "maligna", "diffuse", "regression", "longitudinal"),
    # Names of methods, people and guidelines, and types of skin.
    *("menzies", "cash", "abcd", "braaff", "ng", "spitz", "reed", "hutchinson", "ii", "iii", "iv"),
    # Ids of a rule and of a pathway's step, from which a plan departs.
    *("flag", "elevated", "firm", "growing", "neutral", "red"),
    # Entered in small letters; the last one is of a number.
    *("apixaban", "specialist", "dermatologist", "aa"),
}


def entered(value: Any) -> list[str]:
    """Return the words of an entry that stand in a letter as they are: free text and somebody else's codes."""
    if isinstance(value, dict):
        return [one for each in value.values() for one in entered(each)]
    if isinstance(value, list):
        return [one for each in value for one in entered(each)]
    # One of our codes has small letters and hyphens only.
    return [value] if isinstance(value, str) and len(value) > 1 and not re.fullmatch(r"[a-z0-9-]+", value) else []


def sources() -> list[str]:
    """Return where the methods come from, which is told as it was read, in English."""
    methods = [one for one in (*METHODS, *CLUE_LISTS) if isinstance(one, Method)]
    return [one.basis.text for one in methods] + [source.locator for one in methods for source in one.basis.sources]


def words(text: str, without: list[str]) -> set[str]:
    """Return the words of a letter, small, without some texts."""
    said = paragraphs(text)
    for one in sorted({paragraphs(one) for one in without}, key=len, reverse=True):
        said = re.sub(rf"(?<!\w){re.escape(one)}(?!\w)", " ", said)
    return set(re.findall(r"[^\W\d_]{2,}", said.lower()))


LETTERS_OF_ALL = [
    pytest.param(path, kind, detail, id=f"{path.stem}-{kind}-{detail}")
    for path in ENTRIES
    for kind in kinds([dermreport.review(one) for one in examinations(path)])
    for detail in ("short", "complete")
]


@pytest.mark.parametrize(("path", "kind", "detail"), LETTERS_OF_ALL)
def test_no_word_of_the_english_letter_stands_in_the_german_one(path: Path, kind: str, detail: str) -> None:
    reviews = [dermreport.review(one) for one in examinations(path)]
    said = [one for review in reviews for one in entered(json.loads(review.examination.to_json()))]
    said += [
        *sources(),
        GERMAN.sender.name,
        *GERMAN.sender.lines,
        GERMAN.recipient.name,
        GERMAN.sender.email,
        REVIEWED.by,
    ]
    english, german = (
        words(dermreport.letter(reviews, kind=kind, settings=replace(one, detail=detail)).text, said)
        for one in (LETTERS, GERMAN)
    )
    assert len(german) > 60
    assert english & german <= SAME


def test_a_sentence_that_stayed_english_would_be_found() -> None:
    review = dermreport.review(records.record())
    english = words(dermreport.letter(review, settings=LETTERS).text, [])
    left = words(written(review, wording={"first.no-step": messages("en")["first.no-step"]}), [])
    assert {"planned", "record"} <= english & left
    assert not {"planned", "record"} & words(written(review), [])


@pytest.mark.parametrize("reviews", ALL)
def test_the_drawing_of_a_german_letter_has_german_words(reviews: list[dermreport.Review]) -> None:
    def described(settings: dermreport.LetterSettings) -> str:
        page = dermreport.letter(reviews, format="html", settings=settings).text
        return " ".join(re.findall(r"<desc[^>]*>([^<]*)</desc>", page))

    english, german = described(LETTERS), described(GERMAN)
    assert ("The patient’s left" in english) == ("Die linke Seite des Patienten" in german)
    assert words(english, []) & words(german, []) <= SAME


@pytest.mark.parametrize("kind", list(dermreport.LetterKind))
def test_a_file_says_that_its_words_are_german(kind: str) -> None:
    review = dermreport.review(records.record())
    page = dermreport.letter(review, kind=kind, format="html", settings=GERMAN)
    assert page.language == "de"
    assert '<html lang="de" dir="ltr">' in page.text
    pdf = dermreport.letter(review, kind=kind, format="pdf", settings=GERMAN)
    assert PdfReader(io.BytesIO(pdf.content)).trailer["/Root"]["/Lang"] == "de"


# -- how German writes -------------------------------------------------------------------------------------------------


def test_days_numbers_and_nouns_are_written_as_german_does() -> None:
    exam = records.record(
        patient={"details": {"family": "Example", "given": ["Mia"], "birth_date": "1984-12-03"}},
        lesion={
            "site": "calf",
            "side": "right",
            "longest_mm": Decimal("6.50"),
            "crosswise_mm": Decimal("4.0"),
            "history": None,
        },
        plan={"actions": [{"key": "1", "action": "excise-complete", "urgency": "soon", "latest": "2026-03"}]},
        views=[{"key": "1", "light": "polarised"}, {"key": "2", "light": "non-polarised"}],
        findings=[{"structure": "network", "presence": "present", "views": ["1", "2"]}],
        assessment={"concern": "suspicious", "impressions": [{"key": "1", "impression": "melanoma-suspected"}]},
    )
    text = written(dermreport.review(exam))
    assert "Mia Example, geb. 3. Dezember 1984 · Bericht" in text
    assert "Größe: 6,50 × 4,0 mm" in text
    assert "Bald: vollständige Exzision zur Histologie, bis März 2026" in text
    assert "in polarisiertem Licht und nicht polarisiertem Licht" in text
    assert "verdächtig; eingeordnet als: Verdacht auf Melanom (Sicherheit nicht angegeben)" in text
    # What a short letter takes into one list keeps its capitals.
    assert "Nicht dokumentiert: Anamnese der Läsion; Tastbefund; regionäre Lymphknoten;" in text


#: Unicode CLDR, German, months in dates in full. From memory.
MONTHS = (
    *("Januar", "Februar", "März", "April", "Mai", "Juni"),
    *("Juli", "August", "September", "Oktober", "November", "Dezember"),
)


@pytest.mark.parametrize("month", range(1, 13))
def test_months_are_those_of_the_calendar(month: int) -> None:
    exam = records.record(examined=f"2025-{month:02}-07")
    text = written(dermreport.review(exam), "patient")
    assert f"Am 7. {MONTHS[month - 1]} 2025 haben wir eine Stelle an Ihrer Haut angesehen." in text


# -- the patient's copy ------------------------------------------------------------------------------------------------

SUSPICION = re.compile(r"krebs|melanom|karzinom|tumor|bösartig|malign|verdacht|verdächtig|metastas", re.IGNORECASE)
COMFORT = re.compile(r"gutartig|unauffällig|negativ|normal|unbedenklich|keine Sorge|Entwarnung", re.IGNORECASE)


@pytest.mark.parametrize("told", [None, "no", "unknown"])
@pytest.mark.parametrize("action", [one.value for one in PlanAction])
def test_it_says_nothing_of_suspicion_that_was_not_told(action: str, told: str | None) -> None:
    plan: dict[str, Any] = {
        "actions": [{"key": "1", "action": action, "urgency": "urgent", "reason": "Melanom?", "note": "Tumorzentrum"}]
    }
    if told is not None:
        plan["patient_told"] = {"told": told, "words": "Es kann ein Melanom sein."}
    impressions = [{"key": "1", "impression": "melanoma-suspected", "certainty": "probable"}]
    exam = records.record(plan=plan, assessment={"concern": "suspicious", "impressions": impressions})
    text = written(dermreport.review(exam), "patient")
    assert SUSPICION.findall(text) == []
    assert "Was wir Ihnen gesagt haben" not in text
    assert SUSPICION.findall(messages("de")[f"next.{action}"]) == []


def test_it_has_the_words_that_the_patient_was_told() -> None:
    plan = {"patient_told": {"told": "yes", "words": "Es kann ein Melanom sein."}}
    assert "Es kann ein Melanom sein." in written(dermreport.review(records.record(plan=plan)), "patient")


@pytest.mark.parametrize("reviews", ALL)
def test_it_has_no_score_no_comfort_and_says_what_to_do(reviews: list[dermreport.Review]) -> None:
    text = written(reviews, "patient")
    german = language("de")
    assert not any(german.term(method) in text for method in ScoreMethod)
    assert not re.search(r"\bPunkte?\b|Schwellenwert", text)
    assert not COMFORT.search(text)
    named = {german.term(one) for one in Impression if german.term(one) in text}
    assert named == set()
    for must in (
        "Behalten Sie die Stelle im Auge.",
        "Auch wer genau hinsieht, kann etwas übersehen.",
        "Dieses Blatt sagt nicht, dass die Stelle harmlos ist.",
        "Wenn sich etwas ändert, rufen Sie uns an.",
        "Rufen Sie im Zweifel an.",
    ):
        assert must in text


def test_no_sentence_of_a_letter_comforts() -> None:
    assert {key: said for key, said in messages("de").items() if COMFORT.search(said)} == {}


#: Words of doctors for places on the body.
HARD_SITES = re.compile(
    r"okzipital|parietal|temporal|frontal|Nagelorgan|[Ss]chleimhaut|Extremität|Mamma|Rima|Concha|Helix|Warzenhof|Stamm|"
    r"Flanke|Streckseite|Beugeseite|Lidwinkel|Nasolabial|Jochbein|Genital|Vorhof|vorhof|Sohlenseite|Damm|Lippenrot"
)


def test_words_of_doctors_would_be_found() -> None:
    german = language("de")
    hard = {one for one in Site if HARD_SITES.search(german.term(one))}
    assert len(hard) > 40
    assert {f"site.{one}" for one in hard} <= set(messages("de"))


@pytest.mark.parametrize("site", Site)
def test_it_names_each_site_in_plain_words(site: Site) -> None:
    text = written(dermreport.review(records.record(lesion={"site": site.value})), "patient")
    named = re.search(r"Wo sie ist: (.+?)\. ", text)
    assert named is not None
    assert not HARD_SITES.search(named[1])


def test_two_sites_have_one_plain_name_only_where_they_have_in_english_too() -> None:
    def together(code: str) -> set[frozenset[Site]]:
        said, own = language(code), messages(code)
        names: dict[str, set[Site]] = {}
        for one in Site:
            names.setdefault(own.get(f"site.{one}", said.term(one)), set()).add(one)
        return {frozenset(each) for each in names.values() if len(each) > 1}

    assert together("de") <= together("en")


# -- how hard it is to read --------------------------------------------------------------------------------------------

_SYLLABLE = re.compile(r"aa|ai|au|äu|ee|ei|eu|ie|oo|[aeiouyäöü]")


def syllables(word: str) -> int:
    """Return the syllables of a German word: its vowels, two that sound as one counted once. Common practice."""
    return len(_SYLLABLE.findall(word.lower())) or 1


def wiener_sachtextformel(text: str) -> float:
    """First formula of Bamberger and Vanecek 1984 (Lesen, Verstehen, Lernen, Schreiben): a school grade from 4 to 15.

    Its weights were seen in the manual of the R package koRpus
    (https://search.r-project.org/CRAN/refmans/koRpus/html/nWS.html); the scale from 4 to 15 is from memory.
    """
    found = re.findall(r"[^\W\d_]+", text)
    sentences = len(re.findall(r"(?<!\d)[.!?](?=\s|$)", text)) or 1

    def share(those: int) -> float:
        return 100 * those / len(found)

    long, short = sum(syllables(one) >= 3 for one in found), sum(syllables(one) == 1 for one in found)
    letters = sum(len(one) > 6 for one in found)
    return (
        0.1935 * share(long) + 0.1672 * len(found) / sentences + 0.1297 * share(letters) - 0.0327 * share(short) - 0.875
    )


@pytest.mark.parametrize(
    ("word", "count"),
    [("Haut", 1), ("Stelle", 2), ("Hautarzt", 2), ("Ärztin", 2), ("Untersuchung", 4), ("sehen", 2), ("Knie", 1)],
)
def test_syllables_are_counted_as_one_speaks(word: str, count: int) -> None:
    assert syllables(word) == count


def test_the_index_tells_easy_from_hard() -> None:
    assert wiener_sachtextformel("Die Katze sitzt auf der Matte. Sie ist groß und alt.") < 4
    hard = (
        "Die dermatoskopische Untersuchung demonstrierte heterogene Pigmentierungen mit unregelmäßig verteilten "
        "peripheren Strukturen, sodass eine beschleunigte histopathologische Begutachtung erforderlich erscheint."
    )
    assert wiener_sachtextformel(hard) > 15


@pytest.mark.parametrize("reviews", ALL)
def test_it_is_read_at_eleven_or_twelve(reviews: list[dermreport.Review]) -> None:
    # Ages 11 to 12 are the sixth and seventh year of school.
    plain = own_words(dermreport.letter(reviews, kind="patient", settings=GERMAN).text)
    said = [one for review in reviews for one in entered(json.loads(review.examination.to_json()))]
    for one in sorted(said, key=len, reverse=True):
        plain = plain.replace(one, "") if len(one) > 6 else plain
    assert wiener_sachtextformel(plain) < 7


def test_every_planned_step_is_read_at_eleven_or_twelve() -> None:
    said = messages("de")
    assert all(wiener_sachtextformel(said[f"next.{action}"]) < 9 for action in PlanAction)
    assert wiener_sachtextformel(" ".join(said[f"next.{action}"] for action in PlanAction)) < 7
