"""The parts of a letter that all lesions of a visit share: the patient, risk factors, signature, number."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from dermreport.letters.blocks import Block, Code, Entered, Fact, Facts, Items, Line, Paragraph, Signature, Tone
from dermreport.letters.case import full_name
from dermreport.letters.speech import Speech, capital, joined
from dermreport.vocabulary.attributes import Attribute
from dermreport.wording.items import EARLIER_SKIN_CANCER, SINGLE, statement

if TYPE_CHECKING:
    from dermreport.examination.model import Examination
    from dermreport.examination.people import Identifier
    from dermreport.letters.case import Case
    from dermreport.letters.illustrations import Illustrations


@dataclass(frozen=True)
class Sitting:
    """All lesions of a letter, and what draws for it.

    Attributes:
        cases: One for each lesion, at least one.
        illustrations: What draws the codes.
    """

    cases: tuple[Case, ...]
    illustrations: Illustrations

    @property
    def first(self) -> Case:
        """The first lesion: what all share is read from it."""
        return self.cases[0]

    @property
    def by_background(self) -> tuple[Sitting, ...]:
        """The same lesions, those together whose records say the same of patient and background."""
        alike: dict[object, list[Case]] = {}
        for case in self.cases:
            examination = case.examination
            alike.setdefault((examination.patient, examination.background), []).append(case)
        return tuple(replace(self, cases=tuple(cases)) for cases in alike.values())

    @property
    def speech(self) -> Speech:
        """The language."""
        return self.first.speech

    @property
    def examination(self) -> Examination:
        """The first examination."""
        return self.first.examination


def patient_name(sitting: Sitting) -> Line:
    """Return the patient's name; where none is recorded, the number or reference that the host has."""
    patient = sitting.examination.patient
    name = full_name(patient.details)
    if name:
        return name
    if patient.identifiers:
        return (Entered(patient.identifiers[0].value),)
    if patient.reference is not None:
        return (Entered(patient.reference),)
    return (sitting.speech.text("letter.not-recorded"),)


def each_background(part: Callable[[Sitting], Iterator[Block]]) -> Callable[[Sitting], Iterator[Block]]:
    """Return a part that is told once for each background: where records of a visit differ, nothing is lost."""

    def told(sitting: Sitting) -> Iterator[Block]:
        groups = sitting.by_background
        for group in groups:
            if len(groups) > 1:
                lesions = joined(", ", [case.title for case in group.cases])
                yield Paragraph(sitting.speech.say("patient.as-recorded-with", lesions=lesions), Tone.WARNING)
            yield from part(group)

    return told


#: What a hospital asks of a patient before it can give a day, and a laboratory before it takes a specimen.
_ASKED_BY_HOSPITAL = (
    "patient.born",
    "patient.age",
    "patient.numbers",
    "patient.phone",
    "patient.email",
    "patient.address",
    "patient.needs",
)
_ASKED_BY_LABORATORY = ("patient.born", "patient.age", "patient.numbers", "patient.address")


def patient(sitting: Sitting) -> Iterator[Block]:
    """Yield who the patient is, how to reach the patient, and what of it a hospital asks in vain."""
    yield _patient(sitting, _ASKED_BY_HOSPITAL)


def patient_of_specimen(sitting: Sitting) -> Iterator[Block]:
    """Yield who the patient is, and what of it a laboratory asks in vain."""
    yield _patient(sitting, _ASKED_BY_LABORATORY)


def _patient(sitting: Sitting, asked: tuple[str, ...]) -> Facts:
    speech, given = sitting.speech, sitting.examination.patient
    details, background = given.details, sitting.examination.background
    age = joined(
        ", ",
        [
            speech.answer(one)
            for one in sitting.first.statements
            if one.item.attribute in (Attribute.AGE, Attribute.SEX)
        ],
    )
    numbers = joined("; ", [_number(speech, one) for one in given.identifiers])
    told = (
        ("patient.name", full_name(details) or (speech.text("letter.not-recorded"),)),
        ("patient.born", (speech.day(details.birth_date),) if details is not None and details.birth_date else ()),
        ("patient.age", age),
        ("patient.numbers", numbers),
        ("patient.record", (Entered(given.reference),) if given.reference else ()),
        ("patient.phone", _entered(details.phone if details is not None else None)),
        ("patient.email", _entered(details.email if details is not None else None)),
        ("patient.address", _entered(details.address if details is not None else None)),
        ("patient.reach", _entered(background.reach_quickly if background is not None else None)),
        ("patient.needs", _entered(background.needs if background is not None else None)),
        ("patient.knows", _knows(sitting)),
    )
    rows = tuple(Fact(speech.text(key), (line,)) for key, line in told if line)
    missing = joined("; ", [(speech.text(key),) for key, line in told if key in asked and not line])
    return Facts((*rows, Fact(speech.text("patient.missing"), (missing,)))) if missing else Facts(rows)


def _number(speech: Speech, number: Identifier) -> Line:
    if number.system is None:
        return (Entered(number.value),)
    return speech.bracketed((Entered(number.value),), (Entered(number.system),))


def _entered(text: str | None) -> Line:
    return (Entered(text),) if text else ()


def _knows(sitting: Sitting) -> Line:
    """Return whether the patient knows what is suspected, lesion by lesion where the letter has several."""
    speech = sitting.speech
    said = []
    for case in sitting.cases:
        plan = case.examination.plan
        told = plan.patient_told if plan is not None else None
        answer = speech.term(told.told) if told is not None else (speech.text("letter.not-recorded"),)
        said.append(speech.labelled(case.title, answer) if case.several else answer)
    return joined("; ", said)


#: What somebody who operates asks. The rest of the background are risk factors.
OPERATOR_ITEMS = (
    Attribute.BLOOD_THINNER,
    Attribute.BLOOD_THINNER_NAME,
    Attribute.IMPLANTED_DEVICE,
    Attribute.ALLERGY,
    Attribute.ALLERGY_TO,
    Attribute.IMMUNE_SUPPRESSION,
    Attribute.PREGNANCY,
)
#: Those whose absence from the record is told: the name of a medicine or allergen is only asked where there is one.
_ASKED_BY_OPERATOR = frozenset(OPERATOR_ITEMS) - {
    Attribute.BLOOD_THINNER_NAME,
    Attribute.ALLERGY_TO,
    Attribute.PREGNANCY,
}
_ELSEWHERE = frozenset((*OPERATOR_ITEMS, Attribute.AGE, Attribute.SEX, Attribute.NEEDS, Attribute.REACH_QUICKLY))
_BACKGROUND = tuple(item.attribute for item in SINGLE if item.path == "background")
#: Risk factors in the order of the table; the ones named here are told as not recorded where they are missing.
RISK_ITEMS = tuple(one for one in _BACKGROUND if one not in _ELSEWHERE)
_ASKED_OF_RISK = frozenset(
    (
        Attribute.PHOTOTYPE,
        Attribute.HAD_SKIN_CANCER,
        Attribute.FAMILY_MELANOMA,
        Attribute.NAEVI,
        Attribute.ATYPICAL_NAEVI,
        Attribute.SUN_DAMAGE,
        Attribute.SUNBEDS,
        Attribute.OUTDOOR_WORK,
    )
)
#: What of that a pathologist asks beside: it changes what a tumour looks like, or how likely one is.
_BESIDE_FOR_PATHOLOGIST = (Attribute.IMMUNE_SUPPRESSION, Attribute.PREGNANCY)


def history(sitting: Sitting) -> Iterator[Block]:
    """Yield the patient's risk factors, earlier skin cancers, and which of the usual ones aren't recorded."""
    yield Facts(tuple(_history(sitting, RISK_ITEMS, _ASKED_OF_RISK)))


def history_of_specimen(sitting: Sitting) -> Iterator[Block]:
    """Yield the same for a pathologist, with weakened immunity and pregnancy, which no operator's part tells there."""
    wanted = (*RISK_ITEMS, *_BESIDE_FOR_PATHOLOGIST)
    yield Facts(tuple(_history(sitting, wanted, _ASKED_OF_RISK | {Attribute.IMMUNE_SUPPRESSION})))


def _history(sitting: Sitting, wanted: tuple[Attribute, ...], asked: frozenset[Attribute]) -> Iterator[Fact]:
    background = sitting.examination.background
    speech = sitting.speech
    cancers = []
    for one in background.earlier_skin_cancers if background is not None else ():
        stated = statement(EARLIER_SKIN_CANCER, one)
        if stated is not None:
            cancers.append(capital(speech.answer(stated)))
    yield from _background(sitting, wanted, asked)
    if cancers:
        yield Fact(speech.text("history.cancer"), tuple(cancers))


def background_in_short(sitting: Sitting) -> Iterator[Block]:
    """Yield risk factors and what an operator asks together."""
    rows = (
        *_history(sitting, RISK_ITEMS, _ASKED_OF_RISK),
        *_background(sitting, OPERATOR_ITEMS, _ASKED_BY_OPERATOR),
    )
    given = sitting.speech.text("history.given")
    together: dict[str, list[Line]] = {given: [line for row in rows if row.label == given for line in row.lines]}
    for row in (one for one in rows if one.label != given):
        together.setdefault(row.label, []).extend(row.lines)
    yield Facts(tuple(Fact(label, (joined("; ", lines),)) for label, lines in together.items() if lines))


def operator(sitting: Sitting) -> Iterator[Block]:
    """Yield what an operator asks, and what of it isn't recorded."""
    yield Facts(_background(sitting, OPERATOR_ITEMS, _ASKED_BY_OPERATOR))


def _background(sitting: Sitting, wanted: tuple[Attribute, ...], asked: frozenset[Attribute]) -> tuple[Fact, ...]:
    speech = sitting.speech
    given = {one.item.attribute: one for one in sitting.first.statements if one.item.path == "background"}
    said = joined("; ", [speech.statement(given[one]) for one in wanted if one in given])
    missing = joined("; ", [speech.term(one) for one in wanted if one not in given and one in asked])
    rows = (("history.given", capital(said)), ("history.missing", missing))
    return tuple(Fact(speech.text(key), (line,)) for key, line in rows if line)


def cautions(sitting: Sitting) -> Iterator[Block]:
    """Yield what every report says of itself."""
    yield Paragraph((" ".join(sitting.speech.cautions),), Tone.SMALL)


def signature(sitting: Sitting) -> Iterator[Block]:
    """Yield where the examiner signs: name, role, training, when the patient was seen."""
    yield Signature(_signed(sitting))


def signature_with_numbers(sitting: Sitting) -> Iterator[Block]:
    """Yield the same with the numbers of the reports, in words and as codes."""
    numbers = tuple(_report_number(case) for case in sitting.cases)
    yield Signature((*_signed(sitting), *numbers), tuple(_codes(sitting)))


def _signed(sitting: Sitting) -> tuple[Line, ...]:
    """Return who examined and when, each once where lesions were seen by several or at several times."""
    seen: dict[object, Examination] = {}
    for case in sitting.cases:
        examination = case.examination
        seen.setdefault((examination.examiner, examination.examined), examination)
    return tuple(line for examination in seen.values() for line in _examined(sitting.speech, examination))


def _examined(speech: Speech, examination: Examination) -> Iterator[Line]:
    examiner = examination.examiner
    lines: list[Line] = []
    details = examiner.details if examiner is not None else None
    if details is not None:
        lines += [one for one in (full_name(details), _entered(details.role), _entered(details.training)) if one]
    if examiner is not None:
        lines += [_number(speech, one) for one in examiner.identifiers]
        lines += [_entered(examiner.reference)] if examiner.reference and not lines else []
    yield from lines or [(speech.text("signature.missing"),)]
    yield speech.say("signature.examined", day=speech.day(examination.examined))


def token(examination: Examination) -> str:
    """Return the number of a report as a search on a server takes it: system and number, a bar between them."""
    number = examination.identifier
    return f"{number.system}|{number.value}" if number.system is not None else number.value


def report(sitting: Sitting) -> Iterator[Block]:
    """Yield the numbers of the reports, in words and as a machine-readable code that holds nothing of the patient."""
    lines = [_report_number(case) for case in sitting.cases]
    yield Items(tuple(lines)) if len(lines) > 1 else Paragraph(lines[0])
    yield from _codes(sitting)
    yield Paragraph((sitting.speech.text("report.made"),), Tone.SMALL)


def _codes(sitting: Sitting) -> Iterator[Code]:
    # A token a line: what breaks a line within one is a blank.
    tokens = [" ".join(token(case.examination).splitlines()) for case in sitting.cases]
    for part in _in_parts(tokens):
        yield Code(part, sitting.illustrations.code(part), (sitting.speech.text("report.code"),))


def _report_number(case: Case) -> Line:
    examination = case.examination
    said = case.speech.say(
        "report.identifier",
        number=(Entered(examination.identifier.value),),
        revision=str(examination.revision),
        status=case.speech.term(examination.status),
    )
    return case.speech.labelled(case.title, said) if case.several else said


#: Characters of one code at most: more of them can't be read from paper in a print of this size.
_LONGEST_CODE = 400


def _in_parts(tokens: list[str]) -> Iterator[str]:
    """Yield tokens in codes that can be read from paper, a token a line."""
    part = tokens[0]
    for one in tokens[1:]:
        if len(part) + 1 + len(one) > _LONGEST_CODE:
            yield part
            part = one
        else:
            part = f"{part}\n{one}"
    yield part
