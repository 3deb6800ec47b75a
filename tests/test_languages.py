"""Other languages: every row, rule and sentence is there and none is left over, held to the English and to others.

The sources of the checks stand beside them. That a translation is good German only a reader of German can tell: what is
checked here is that it is whole, that numbers and names in braces are those of the English, that it keeps to the rules
of a careful text, and that some words are those that HL7 Germany gave to HL7's own tables.

``python tests/test_languages.py`` writes the fingerprints of the English anew.
"""

from __future__ import annotations

import hashlib
import json
import re
import subprocess
import sys
from dataclasses import FrozenInstanceError, fields
from decimal import Decimal
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest
from hypothesis import given
from strategies import examinations
from terminology.libraries import HL7_V2, at_hand, fhir_r4_german
from test_rules import CASES, reviewed

import dermreport
from dermreport import SettingsError, review, shipped_pathway
from dermreport.examination.entry import _EXPECTED, _LIMITS
from dermreport.examination.entry_rules import ENTRY_RULES
from dermreport.expressions.nodes import Fact, Unresolved, entry_path, leaves, paths_of
from dermreport.fhir.read.foreign_report import _NEEDED
from dermreport.fhir.read.rules import READ_RULES
from dermreport.form.rules import FORM_RULES
from dermreport.issues import Issue, IssueRule, Severity
from dermreport.languages.files import FILES, HEAD, file_of, tables_of
from dermreport.languages.language import LANGUAGES, SOURCE, Language, language
from dermreport.letters.catalogue import messages as letter_messages
from dermreport.letters.drawn import NOT_IN_THE_RECORD
from dermreport.letters.pdf import rules as pdf_rules
from dermreport.letters.picture_rules import PICTURE_RULES, picture_issue
from dermreport.letters.rules import LETTER_RULES
from dermreport.letters.settings import PicturePurpose
from dermreport.letters.template_rules import TEMPLATE_RULES
from dermreport.over_time import kinds
from dermreport.over_time.alike import Course
from dermreport.over_time.comparison import Interval, SeriesVerdict
from dermreport.over_time.growth import Evenness
from dermreport.over_time.rules import FINDINGS, REFUSALS
from dermreport.pathways.issue_rules import PATHWAY_RULES
from dermreport.pathways.reading import SHIPPED
from dermreport.plots.body_map.marks import ENGLISH as MAP_TEXTS
from dermreport.plugins.issue_rules import PLUGIN_RULES
from dermreport.rules import windows
from dermreport.rules.completeness import REPORT_STANDARD
from dermreport.rules.tables import RULES
from dermreport.scores.method import CAUTIONS, Counted, Method
from dermreport.scores.methods import CLUE_LISTS, METHODS
from dermreport.vocabulary.colours import Colour
from dermreport.vocabulary.consents import Consent
from dermreport.vocabulary.sites import Site
from dermreport.vocabulary.structures import Structure
from dermreport.vocabulary.tables import tables
from dermreport.vocabulary.term import Term, table_id
from dermreport.wording.items import attributes_of_paths
from dermreport.wording.sentences import path_words

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from dermreport.examination.model import Examination

ROOT = Path(__file__).parent.parent
FINGERPRINTS = ROOT / "tests" / "languages_source.json"
ENGLISH = language("en")
GERMAN = language("de")
STATE = "machine-drafted, needs a clinician's review"

#: Rows whose words are the same in both languages, but for the size of letters.
SAME = {
    ("distribution", "segmental"),
    ("earlier-cancer", "melanoma-in-situ"),
    ("genetic-syndrome", "xeroderma-pigmentosum"),
    ("hash-algorithm", "sha-1"),
    ("hash-algorithm", "sha-256"),
    ("histology-result", "lentigo-maligna"),
    ("histology-result", "melanoma-in-situ"),
    ("immune-suppression", "hiv"),
    ("impression-group", "keratinocytic"),
    ("map-region", "hand"),
    ("site", "hand"),
    ("structure", "halo-hypopigmented"),
}
SAME_SENTENCES = {
    "lentigo maligna",
    "text",
    # Of letters.
    "Name",
    "E-mail",
    "E-mail {email}",
    "{number} mm",
    "{longest} mm",
    "{longest} × {crosswise} mm",
    "{said}, in {light}",
    "{title}, version {version} ({owner})",
    "penis",
    "arm",
}


@cache
def german_terms() -> dict[str, dict[str, Any]]:
    found = tables_of("de", "terms")
    found.pop("definitions")
    return found


def shown(row: str | dict[str, str]) -> str:
    return row if isinstance(row, str) else row.get("metaphoric") or row["descriptive"]


@cache
def rule_messages() -> Mapping[str, Mapping[str, str]]:
    """Return the English messages that an issue of an examination, a series or a letter can have, by their table."""
    return {
        "rules": {rule.id: rule.message for rule in RULES},
        "pathway": {rule.id: rule.message for rule in PATHWAY_RULES.values()},
        "series": {rule.id: rule.message for rule in (*REFUSALS, *FINDINGS)},
        "entry": {rule.id: rule.message for rule in ENTRY_RULES.values()},
        "form": {rule.id: rule.message for rule in FORM_RULES.values()},
        "reading": {rule.id: rule.message for rule in READ_RULES.values()},
        "letters": {rule.id: rule.message for rule in (*LETTER_RULES, *TEMPLATE_RULES.values(), *of_the_pdf())},
        "pictures": {rule.id: rule.message for rule in (NOT_IN_THE_RECORD, *PICTURE_RULES.values())},
        "plugins": {rule.id: rule.message for rule in PLUGIN_RULES},
    }


def of_the_pdf() -> Iterator[IssueRule]:
    yield from (one for one in vars(pdf_rules).values() if isinstance(one, IssueRule))


def of_a_method(method: Any) -> Iterator[str]:
    """Yield what a method or a list says to a reader."""
    yield method.version
    if isinstance(method, Method):
        yield from (one.label for one in method.criteria)
        yield from (one.text for one in method.thresholds)
        yield from (one.reason for one in method.part_ranges)
        for variant in method.variants:
            yield variant.text
            yield from (one.label for one in variant.criteria)
    else:
        for clue in method.clues:
            yield from (clue.label, clue.speaks_for, clue.strength)
    for one in method.validity:
        yield from (one.reason, one.unknown)
    yield from method.cautions
    yield from (one.text for one in method.figures)
    if method.steps is not None:
        for step in method.steps.steps:
            yield from (step.asks, step.end.says, step.end.advice)
        yield from (method.steps.otherwise.says, method.steps.otherwise.advice)


def of_the_pathways() -> Iterator[str]:
    for name in SHIPPED:
        pathway = shipped_pathway(name)
        yield from (pathway.title, pathway.owner)
        for step in pathway.steps:
            yield from (step.title, step.message, step.ask)
            if step.advice is not None:
                yield from step.advice.watch_for


def of_open_inputs() -> Iterator[str]:
    """Yield what an open input of a score is called where no row names it: what a letter says that would settle it."""
    criteria = [one for method in METHODS for each in (method, *method.variants) for one in each.criteria]
    for leaf in (leaf for one in criteria if not isinstance(one, Counted) for leaf in leaves(one.when)):
        if isinstance(leaf, Fact | Unresolved):
            yield leaf.name.replace("-", " ")
        yield from (path_words(one) for one in paths_of(leaf) if entry_path(one) not in attributes_of_paths())


def of_the_body_map() -> Iterator[str]:
    for one in fields(MAP_TEXTS):
        said = getattr(MAP_TEXTS, one.name)
        yield from (
            [said] if isinstance(said, str) else [text for row, text in said.items() if not isinstance(row, Term)]
        )


def of_a_series() -> Iterator[str]:
    yield from kinds.CAUTIONS
    yield from (one.words for one in (*kinds.KINDS, *kinds.Gap, *SeriesVerdict))
    for words in (Interval, kinds.FollowUpRule, kinds.Weight, Evenness, Course):
        yield from (one.value for one in words)


def of_the_parameters() -> Iterator[str]:
    """Yield the words that fill a name in braces: those of tables, and those that stand where they are given."""
    yield from (*_EXPECTED.values(), *_LIMITS.values(), *(words for _, words in _NEEDED))
    yield from (one.words for one in (windows.SHORT, windows.LONG, windows.FACE))
    yield from (*(one.value for one in PicturePurpose), "not recorded")
    given = re.compile(r'(?:reason|field)="([^"]+)"|or "(Record what [^"]+)"|"(a code of the list, [^"]+)" if')
    for path in ("fhir/read", "pathways/engine.py", "examination/entry.py"):
        home = ROOT / "dermreport" / path
        for file in sorted(home.glob("*.py")) if home.is_dir() else (home,):
            for found in given.findall(file.read_text(encoding="utf-8")):
                yield from found


def says_words(text: str) -> bool:
    """Whether a text is more than a whole number, a year or a name such as NG12."""
    return re.search(r"[a-z]{2}|\d\.\d", text) is not None


SENTENCES = {
    "methods": {one for method in (*METHODS, *CLUE_LISTS) for one in of_a_method(method)}
    | set(CAUTIONS)
    | set(of_open_inputs()),
    "pathways": set(of_the_pathways()),
    "completeness": {text for row in REPORT_STANDARD for text in (row.item, row.missing)},
    "series": set(of_a_series()),
    "body_map": set(of_the_body_map()),
    "rules": set(of_the_parameters()),
}


def german_sentences(name: str) -> dict[str, str]:
    """Return the sentences of a file by the English; one that stands twice in it is an error."""
    found = tables_of("de", name)
    if name == "rules":
        found = {"values": found["values"]}
    joined = [pair for table in found.values() for pair in table.items()]
    assert len(dict(joined)) == len(joined), [key for key, _ in joined if [one for one, _ in joined].count(key) > 1]
    return dict(joined)


@cache
def all_german() -> Mapping[str, tuple[str, str]]:
    """Return every text of the files, the English beside the German, by what it belongs to."""
    found: dict[str, tuple[str, str]] = {}
    for name, table in tables().items():
        for term in table:
            row = german_terms()[name][term.value]
            if isinstance(term, Structure):
                found[f"{name}.{term.value}.descriptive"] = (term.descriptive, row["descriptive"])
                if term.metaphoric:
                    found[f"{name}.{term.value}.metaphoric"] = (term.metaphoric, row["metaphoric"])
            else:
                found[f"{name}.{term.value}"] = (term.display, row)
    for name, rows in tables_of("de", "terms")["definitions"].items():
        for term in tables()[name]:
            found[f"definitions.{name}.{term.value}"] = (term.definition, rows[term.value])
    german_rules = tables_of("de", "rules")
    for name, messages in rule_messages().items():
        for rule, english in messages.items():
            found[f"{name}.{rule}"] = (english, german_rules[name][rule])
    for name in SENTENCES:
        found |= {f"{name}: {english}": (english, said) for english, said in german_sentences(name).items()}
    ours = letter_messages("en")
    found |= {f"letter: {key}": (ours[key], said) for key, said in letter_messages("de").items() if key in ours}
    return found


# -- whole, and nothing left over --------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", FILES)
def test_each_file_says_first_that_a_machine_drafted_it_and_a_clinician_must_review_it(name: str) -> None:
    content = file_of("de", name)
    assert list(content)[: len(HEAD)] == list(HEAD)
    assert (content["language"], content["state"]) == ("de", STATE)
    assert content["drafted"].isoformat() == GERMAN.draft.drafted
    assert GERMAN.draft.state == STATE


def test_a_folder_has_those_files_and_no_other() -> None:
    for code in set(LANGUAGES) - {SOURCE}:
        assert {one.name for one in (files("dermreport.languages") / code).iterdir()} == {
            f"{one}.toml" for one in FILES
        }


def test_every_row_of_every_table_has_a_name_and_no_name_is_left_over() -> None:
    german = german_terms()
    assert german.keys() == tables().keys()
    for name, table in tables().items():
        assert german[name].keys() == {term.value for term in table}, name
        assert all(shown(row).strip() for row in german[name].values())


def test_a_structure_has_a_metaphoric_name_where_the_english_one_has() -> None:
    for structure in Structure:
        row = german_terms()["structure"][structure.value]
        assert row.keys() == {"descriptive", "metaphoric"} if structure.metaphoric else {"descriptive"}
        same = structure.metaphoric == structure.descriptive
        assert (row.get("metaphoric") == row["descriptive"]) is same, structure


def test_a_table_of_definitions_is_whole() -> None:
    for name, rows in tables_of("de", "terms")["definitions"].items():
        assert rows.keys() == {term.value for term in tables()[name]}, name


def test_every_definition_that_a_report_shows_is_there() -> None:
    # wording/report.py shows that of the summary.
    assert "summary" in tables_of("de", "terms")["definitions"]


@pytest.mark.parametrize("name", rule_messages())
def test_every_rule_has_a_message_and_no_message_is_left_over(name: str) -> None:
    assert tables_of("de", "rules")[name].keys() == rule_messages()[name].keys()


def test_the_file_of_rules_has_no_other_table_and_no_rule_twice() -> None:
    assert tables_of("de", "rules").keys() == {*rule_messages(), "values"}
    ids = [rule for messages in rule_messages().values() for rule in messages]
    assert len(ids) == len(set(ids))


@pytest.mark.parametrize("name", SENTENCES)
def test_every_sentence_is_there_and_none_is_left_over(name: str) -> None:
    elsewhere = {text for other, texts in SENTENCES.items() if other != name for text in texts}
    wanted = {text for text in SENTENCES[name] if says_words(text) or "{" in text}
    found = german_sentences(name).keys()
    assert found - SENTENCES[name] == set()
    assert wanted - found <= elsewhere
    assert all(GERMAN.translates(text) for text in wanted)


def test_no_sentence_stands_in_two_files() -> None:
    keys = [text for name in SENTENCES for text in german_sentences(name)]
    assert len(keys) == len(set(keys))


def fingerprints() -> dict[str, str]:
    """Return the fingerprint of each English text whose translation is found by a code or an id."""
    by_sentence = tuple(f"{name}: " for name in SENTENCES)
    return {
        key: hashlib.sha256(english.encode()).hexdigest()[:12]
        for key, (english, _) in sorted(all_german().items())
        if not key.startswith(by_sentence)
    }


def test_no_english_text_changed_since_its_translation_was_looked_at() -> None:
    committed = json.loads(FINGERPRINTS.read_text(encoding="utf-8"))
    now = fingerprints()
    assert [key for key in now.keys() | committed.keys() if now.get(key) != committed.get(key)] == []


# -- held to the English -----------------------------------------------------------------------------------------------


def test_names_in_braces_are_those_of_the_english() -> None:
    for key, (english, german) in all_german().items():
        assert set(re.findall(r"{\w*}", german)) == set(re.findall(r"{\w*}", english)), key


def numbers(text: str) -> list[str]:
    """Return the numbers of a text, with a point; an ordinal or a word for a number is none."""
    return sorted(one.replace(",", ".") for one in re.findall(r"\d+(?:[.,]\d+)?", text))


def test_numbers_are_those_of_the_english() -> None:
    for key, (english, german) in all_german().items():
        assert numbers(german) == numbers(english), key


def test_a_german_number_has_a_comma() -> None:
    pointed = {key for key, (_, german) in all_german().items() if re.search(r"\d\.\d", german)}
    assert pointed == set()


def test_what_is_in_code_marks_is_that_of_the_english() -> None:
    for key, (english, german) in all_german().items():
        assert re.findall(r"`[^`]*`", german) == re.findall(r"`[^`]*`", english), key


def test_a_name_differs_from_the_english_but_for_those_listed() -> None:
    same = {
        (name, term.value)
        for name, table in tables().items()
        for term in table
        if GERMAN.term(term).casefold() == term.display.casefold()
    }
    assert same == SAME


def test_a_message_or_sentence_differs_from_the_english() -> None:
    names = tuple(f"{name}." for name in tables())
    others = [pair for key, pair in all_german().items() if not key.startswith(names)]
    same = {english for english, german in others if english.casefold() == german.casefold()}
    assert {one for one in same if says_words(re.sub(r"{\w+}", "", one))} == SAME_SENTENCES


@pytest.mark.parametrize("table", tables().values(), ids=tables().keys())
def test_two_rows_of_a_table_have_one_name_only_where_they_have_in_english(table: type[Term]) -> None:
    def together(said: Language) -> list[tuple[Term, ...]]:
        by_name = {said.term(term): () for term in table}
        for term in table:
            by_name[said.term(term)] += (term,)
        return [rows for rows in by_name.values() if len(rows) > 1]

    assert together(GERMAN) == together(ENGLISH)


def test_a_name_is_that_of_one_structure() -> None:
    owners: dict[str, set[Structure]] = {}
    for structure in Structure:
        for name in GERMAN.structure_names(structure):
            owners.setdefault(name, set()).add(structure)
    owners.pop("", None)
    assert [name for name, own in owners.items() if len(own) > 1] == []


def test_a_criterion_that_is_called_as_a_structure_is_called_so_in_german_too() -> None:
    names = {one.display: GERMAN.term(one) for one in Structure}
    for english, german in german_sentences("methods").items():
        if english in names:
            assert german == names[english], english


# -- a careful text ----------------------------------------------------------------------------------------------------


def test_no_text_calls_anything_benign_normal_or_negative() -> None:
    # The names of the trade: a network, and a pathologist's result.
    allowed = re.compile(r"[Nn]egatives Pigmentnetz|benigner Hautanhangstumor")
    forbidden = re.compile(
        r"gutartig|benign|\bnormal|negativ|unauffällig|unbedenklich|Entwarnung|kein Krebs", re.IGNORECASE
    )
    assert [key for key, (_, german) in all_german().items() if forbidden.search(allowed.sub("", german))] == []


def test_a_verdict_is_about_the_threshold_of_its_method() -> None:
    for code in ("below-threshold", "between-thresholds", "above-threshold"):
        assert re.search(r"Schwellenwerte?n? dieser Methode$", german_terms()["verdict"][code])
    assert german_terms()["verdict"]["below-threshold"] == "unter dem Schwellenwert dieser Methode"


def test_what_excludes_nothing_in_english_does_in_german() -> None:
    for key, (english, german) in all_german().items():
        if "excludes nothing" in english:
            assert re.search(r"schließt nichts aus|ist nichts ausgeschlossen", german), key


def test_a_reader_is_addressed_formally() -> None:
    informal = re.compile(r"\b(?:du|dich|dir|dein\w*|euch|euer|eure\w*)\b", re.IGNORECASE)
    assert [key for key, (_, german) in all_german().items() if informal.search(german)] == []


def test_marks_are_those_of_german_print() -> None:
    for key, (_, german) in all_german().items():
        assert not re.search(r"[\"'«»’\u2018]| - |\.\.\.|  ", german), key
        assert german.count("„") == german.count("“"), key
        assert german == german.strip(), key


def test_an_urgent_word_is_urgent() -> None:
    # A message that asks for haste keeps asking for it.
    for key, (english, german) in all_german().items():
        if re.search(r"\burgent", english) and "." in english:
            assert re.search(r"dringend|Dringlichkeit", german), key
        if re.search(r"\bnever watched", english):
            assert "nie" in german, key


# -- words of others ---------------------------------------------------------------------------------------------------

#: A row of ours, the HL7 v2 table and code that mean the same, and what both are called in German. Source: the German
#: designations of HL7's own tables in FHIR R4 (``v2-tables.xml``), made by HL7 Germany.
HL7_GERMANY = (
    ("sex", "female", "0001", "F", "weiblich"),
    ("sex", "male", "0001", "M", "männlich"),
    ("sex", "unknown", "0001", "U", "unbekannt"),
    ("pregnancy", "not-applicable", "0001", "N", "nicht zutreffend"),
    ("reply", "yes", "0136", "Y", "ja"),
    ("reply", "no", "0136", "N", "nein"),
    ("judgement", "yes", "0136", "Y", "ja"),
    ("judgement", "no", "0136", "N", "nein"),
    ("reply", "unknown", "0534", "U", "unbekannt"),
    ("side", "left", "0495", "L", "links"),
    ("site", "buttock", "0163", "BU", "Gesäß"),
    ("site", "hand", "0163", "LH", "Hand"),
    ("site", "foot", "0163", "LF", "Fuß"),
    ("site", "upper-arm-outer", "0163", "LUA", "Oberarm"),
    ("site", "forearm", "0163", "LMFA", "Unterarm"),
    ("site", "thigh-anterior", "0163", "LT", "Oberschenkel"),
    ("site", "perineum", "0163", "PERIN", "Damm"),
    ("site", "ear", "0070", "EAR", "Ohr"),
    ("site", "nose", "0070", "NOS", "Nase"),
    ("site", "skin", "0070", "SKN", "Haut"),
    ("site", "external-genitalia", "0070", "GEN", "Genitale"),
    ("site-trait", "nail", "0070", "NAIL", "Nagel"),
    ("view-limit", "hair", "0070", "HAR", "Haare"),
    ("histology-result", "cyst", "0070", "CYST", "Zyste"),
    ("plan-action", "curettage-with-histology", "0070", "TISC", "Kürettage"),
    ("blood-thinner", "antiplatelet", "0070", "THRB", "Thrombozyten"),
    ("action-kind", "referral", "0023", "1", "Überweisung"),
    ("attribute", "allergy", "0436", "AL", "Allergie"),
    ("attribute", "pregnancy", "0043", "80", "schwanger"),
    ("medium", "alcohol", "0431", "A", "Alkohol"),
    ("urgency", "immediate", "0091", "I", "sofort"),
)


@pytest.fixture(scope="module")
def hl7_germany() -> Mapping[tuple[str, str], str]:
    at_hand(HL7_V2[0])
    return fhir_r4_german()


@pytest.mark.parametrize("case", HL7_GERMANY, ids=lambda case: "-".join(case[:2]))
def test_a_word_is_the_one_of_hl7_germany(hl7_germany, case: tuple[str, ...]) -> None:
    table, code, v2_table, v2_code, word = case
    assert word.casefold() in hl7_germany[v2_table, v2_code].casefold()
    assert word.casefold() in shown(german_terms()[table][code]).casefold()


#: How the trade calls them in German. Common practice, from memory, no source opened.
TRADE = {
    "network-atypical": "atypisches Pigmentnetz",
    "blue-white-veil": "blau-weißer Schleier",
    "ridge-parallel": "paralleles Leistenmuster",
    "furrow-parallel": "paralleles Furchenmuster",
    "vessels-looped": "Haarnadelgefäße",
    "vessels-curved": "Kommagefäße",
    "globules": "Globuli",
    "pseudopods": "Pseudopodien",
    "regression-structures": "Regressionsstrukturen",
}
#: The five elements, likewise: a descriptive name in German begins with one of them as the English one does.
ELEMENTS = {
    "lines": "Linien",
    "clods": "Schollen",
    "dots": "Punkte",
    "circles": "Kreise",
    "structureless": "strukturlos",
    "vessels": "Gefäße",
}


@pytest.mark.parametrize(("code", "name"), TRADE.items())
def test_a_structure_has_the_name_of_the_trade(code: str, name: str) -> None:
    assert GERMAN.term(Structure(code)) == name


def test_descriptive_names_are_made_of_the_same_elements_in_both_languages() -> None:
    for structure in Structure:
        english, german = structure.descriptive, GERMAN.structure_names(structure)[0]
        first = re.match(r"(\w+)[ ,]", english)
        if first is not None and first[1] in ELEMENTS:
            assert german.startswith(ELEMENTS[first[1]]), structure


# -- the interface -----------------------------------------------------------------------------------------------------


def test_a_language_is_known_or_refused_without_being_repeated() -> None:
    assert [language(code).code for code in LANGUAGES] == ["en", "de"]
    with pytest.raises(SettingsError) as refused:
        language("xx-secret")
    assert "xx-secret" not in str(refused.value)
    with pytest.raises(TypeError):
        language(3)


def test_a_language_is_read_once_and_frozen() -> None:
    assert language("de") is GERMAN
    with pytest.raises(FrozenInstanceError):
        GERMAN.code = "en"
    assert dermreport.language is language
    assert "Pigmentnetz" not in repr(GERMAN)


def test_english_is_the_tables_themselves_and_reads_no_file() -> None:
    assert ENGLISH.draft is None
    for table in tables().values():
        for term in table:
            assert (ENGLISH.term(term), ENGLISH.definition(term)) == (term.display, term.definition)
    for structure in Structure:
        assert ENGLISH.structure_names(structure) == (structure.descriptive, structure.metaphoric)
    assert ENGLISH.text("anything") == "anything"
    assert ENGLISH.translates("anything")
    code = (
        "import dermreport, sys, pathlib\n"
        "exam = dermreport.Examination.from_json(pathlib.Path('examples/usual.json').read_bytes())\n"
        "dermreport.to_fhir(dermreport.review(exam))\n"
        "print('dermreport.languages' in sys.modules)\n"
        "print(dermreport.language('en').code, 'dermreport.languages.files' in sys.modules)\n"
        "print(dermreport.language('de').code, 'dermreport.languages.files' in sys.modules)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=ROOT)
    assert done.stdout == "False\nen False\nde True\n"


def test_both_names_of_a_structure_stand_together_where_they_differ() -> None:
    assert GERMAN.structure(Structure.NETWORK) == "Linien, retikulär (Pigmentnetz)"
    assert GERMAN.structure(Structure.PSEUDOPODS) == "Pseudopodien"
    assert GERMAN.structure(Structure.NETWORK_WHITE) == "Linien, retikulär, weiß"
    assert ENGLISH.structure(Structure.NETWORK) == "lines, reticular (pigment network)"


def test_rows_of_different_tables_that_are_equal_text_keep_their_own_names() -> None:
    for code in ("none", "other", "unknown", "whole", "light", "pressure"):
        rows = [term for table in tables().values() for term in table if term == code]
        assert len(rows) > 1
        for term in rows:
            assert GERMAN.term(term) == shown(german_terms()[table_id(type(term))][code])


def test_a_definition_that_is_shown_to_nobody_stays_english() -> None:
    assert GERMAN.definition(Colour.RED) == Colour.RED.definition


def test_a_number_keeps_its_digits() -> None:
    assert (GERMAN.number(Decimal("6.60")), ENGLISH.number(Decimal("6.60"))) == ("6,60", "6.60")
    assert (GERMAN.number(Decimal("1E+2")), GERMAN.number(7)) == ("100", "7")


def check_said(issue: Issue) -> None:
    """Hold one issue to both languages: the names of its rows in each, and no name in braces left."""
    said = GERMAN.message(issue)
    assert ENGLISH.message(issue) == issue.message
    assert said != issue.message
    assert not re.search(r"[{}]", said)
    for _, value in issue.parameters:
        if isinstance(value, Term):
            assert GERMAN.term(value) in said
            assert value.display in issue.message


@pytest.mark.parametrize(
    "case", [case for case in CASES if case["fires"]], ids=lambda case: f"{case['rule']}: {case['name']}"
)
def test_every_issue_of_the_rules_is_said_in_german_with_german_names(case: dict[str, Any]) -> None:
    for issue in reviewed(case["set"]).issues:
        check_said(issue)


@given(examinations())
def test_every_issue_of_any_examination_is_said_in_german(examination: Examination) -> None:
    for issue in review(examination).issues:
        check_said(issue)


def test_an_issue_names_rows_and_each_language_its_own_words() -> None:
    issue = Issue(
        "site-side-missing", Severity.WARNING, "$", "Left or right? …", "no source", parameters=(("site", Site.HEEL),)
    )
    assert GERMAN.message(issue) == "Links oder rechts? Es gibt auf jeder Seite eine (Ferse)."


def test_an_issue_that_is_not_here_is_said_as_it_is() -> None:
    issue = Issue("pathway-not-toml", Severity.ERROR, "$", "This is no TOML: at line 1.", "no source")
    assert GERMAN.message(issue) == issue.message


@pytest.mark.parametrize(
    ("rule", "parameters", "said"),
    [
        ("entry-out-of-range", {"limit": "at least 0"}, "Die Zahl liegt außerhalb des Möglichen (mindestens 0)."),
        ("entry-out-of-range", {"limit": "at most 4.5"}, "Die Zahl liegt außerhalb des Möglichen (höchstens 4,5)."),
        ("entry-wrong-kind", {"expected": "a number"}, "Der Wert ist von der falschen Art: Erwartet wird eine Zahl."),
        ("entry-too-large", {"limit": "8388608"}, "Der Eintrag ist größer als 8388608 Bytes."),
        ("entry-time-not-allowed", {"form": "2026-03-04"}, "Schreiben Sie 2026-03-04: so genau, wie es bekannt ist."),
    ],
)
def test_words_that_fill_a_name_in_braces_are_german_and_values_stay(rule: str, parameters, said: str) -> None:
    assert GERMAN.message(ENTRY_RULES[rule].at("$", **parameters)) == said


@pytest.mark.parametrize(
    ("consent", "said"), [(Consent.WITHDRAWN, "widerrufen"), ("not recorded", "nicht dokumentiert")]
)
def test_a_picture_that_is_not_embedded_says_so_in_german(consent: str, said: str) -> None:
    issue = picture_issue("letter-picture-consent", "$", purpose=PicturePurpose.TEACHING.value, consent=consent)
    assert GERMAN.message(issue) == (
        f"Die Einwilligung, das Bild für die Lehre zu zeigen, ist: {said}. Es wird aufgeführt und nicht eingebettet."
    )


def test_the_windows_of_follow_up_are_german_in_a_message() -> None:
    (rule,) = [one for one in FINDINGS if one.id == "series-too-soon"]
    assert "(2,5 bis 4,5 Monate)" in GERMAN.message(rule.at("$", days="10", window=windows.SHORT.words))


PATHWAY = """
id = "clinic"
version = "1"
title = "Hautzentrum"
owner = "Example clinic"
source = "agreed in the clinic"
valid_from = 2026-01-01
extends = "neutral"

[[steps]]
id = "suspicious"
title = "bei uns"
message = "Rufen Sie im Hautzentrum an."
known = "common practice"
source = "agreed in the clinic"
safety_net = { watch_for = ["Wachstum der Haare"] }
"""


def test_a_hosts_own_words_stay_and_the_librarys_beside_them_are_german() -> None:
    steps = {step.id: step for step in dermreport.pathway_from_toml(PATHWAY).steps}
    own = steps["suspicious"]
    assert GERMAN.text(own.title) == "Verdächtig: bei uns"
    assert GERMAN.text(own.message).startswith("Es besteht der Verdacht auf Krebs")
    assert GERMAN.text(own.message).endswith("Rufen Sie im Hautzentrum an.")
    assert not GERMAN.translates(own.title)
    assert [GERMAN.text(one) for one in own.advice.watch_for] == [
        "Wachstum",
        "Blutung",
        "eine Wunde, die nicht heilt",
        "Knoten in der Nähe",
        "Wachstum der Haare",
    ]
    assert GERMAN.text(steps["equivocal"].title) == "Weder verdächtig noch geklärt"
    assert GERMAN.text("growth of hair") == "growth of hair"


def test_an_issue_of_a_pathway_says_step_and_title_in_german() -> None:
    with (ROOT / "examples" / "child-thigh-starburst-referred.json").open("rb") as file:
        found = review(dermreport.Examination.from_json(file.read()))
    (issue,) = [issue for issue in found.issues if issue.rule == "pathway-less-urgent"]
    assert issue.message.startswith("Warning sign: at least «urgent» is expected")
    assert GERMAN.message(issue) == (
        "Warnzeichen: Mindestens „dringend“ wird erwartet: Ziehen Sie den Plan vor, oder sagen Sie, warum nicht, und "
        "nennen Sie dabei neutral/red-flag. Neutraler Standardpfad 1.0.0."
    )


def test_every_word_of_a_score_is_german_in_a_german_reader() -> None:
    with (ROOT / "examples" / "calf-excised-with-histology.json").open("rb") as file:
        found = review(dermreport.Examination.from_json(file.read()))
    said = [text for result in found.scores.values() for text in (*result.reasons, *result.cautions)]
    assert said
    assert all(GERMAN.translates(text) and GERMAN.text(text) != text for text in said)


def main() -> None:
    """Write the fingerprints of the English anew, once the German was looked at."""
    FINGERPRINTS.write_text(json.dumps(fingerprints(), indent=0) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
