"""What the findings support, what they leave open, and what to look at next, in sentences for a trainee."""

from __future__ import annotations

from typing import TYPE_CHECKING

from dermreport.reviews.looks import Where
from dermreport.vocabulary.colours import Colour
from dermreport.vocabulary.score_methods import ScoreMethod
from dermreport.vocabulary.structures import Structure
from dermreport.wording.names import structure_words
from dermreport.wording.sentences import leaf_words, path_words

if TYPE_CHECKING:
    from collections.abc import Iterable

    from dermreport.reviews.disagreement import SideBySide
    from dermreport.reviews.looks import OpenQuestion, SecondView, Subject
    from dermreport.reviews.review import Review
    from dermreport.reviews.sensitivity import Turned
    from dermreport.scores.associations import ClueResult
    from dermreport.scores.path import PathTaken
    from dermreport.vocabulary.verdicts import Verdict

#: Where methods disagree nobody averages them, and the library picks none.
MORE_CAREFUL = "The more careful one counts until the clinician gives a reason."


def methods_words(codes: Iterable[str]) -> str:
    """Return methods by what they are called."""
    return "; ".join(ScoreMethod(code).display for code in codes)


def subject_words(subject: Subject) -> str:
    """Return what one look decides, in words."""
    if isinstance(subject, Structure):
        return structure_words(subject)
    if isinstance(subject, Colour):
        return f"colour: {subject.display}"
    return path_words(subject)


_WHERE = {
    Where.DERMATOSCOPE: "",
    Where.NAKED_EYE: " – look with the naked eye",
    Where.FINGERS: " – feel it",
    Where.PATIENT: " – ask the patient",
}


def open_question_sentence(question: OpenQuestion) -> str:
    """Return one open question: what to look for, where and in which light, and which verdicts it can change."""
    sentence = f"{leaf_words(question.leaf)}{_WHERE[question.where]}: can change {methods_words(question.changes)}"
    if not question.settles:
        return sentence
    if question.settles == question.changes:
        return f"{sentence}, which one answer alone settles"
    return f"{sentence}; one answer alone settles {methods_words(question.settles)}"


def second_view_sentence(view: SecondView) -> str:
    """Return what a view in another light would add."""
    told = []
    if view.hidden:
        told.append(f"no view so far is known to show {_named(view.hidden)}")
    if view.clearer:
        told.append(f"it shows better: {_named(view.clearer)}")
    return f"A view in {view.light.display} light: {'; '.join(told)}"


def _named(structures: tuple[Structure, ...]) -> str:
    return ", ".join(structure_words(one) for one in structures)


def turned_lines(turned: Iterable[Turned]) -> tuple[str, ...]:
    """Return the recorded answers on which verdicts hang, those together that change the same verdicts."""
    together: dict[tuple[bool, tuple[tuple[str, tuple[Verdict, Verdict]], ...]], list[str]] = {}
    for one in turned:
        alike = (one.recorded, tuple(one.verdicts.items()))
        together.setdefault(alike, []).append(subject_words(one.subject))
    return tuple(
        f"{'; '.join(subjects)}: {_wrongly(len(subjects), counted=recorded)}, {_changed(verdicts)}"
        for (recorded, verdicts), subjects in together.items()
    )


def _wrongly(number: int, *, counted: bool) -> str:
    which = "if this is" if number == 1 else "if one of these is"
    return f"{which} wrongly counted as {'present or yes' if counted else 'absent or no'}"


def _changed(verdicts: tuple[tuple[str, tuple[Verdict, Verdict]], ...]) -> str:
    return "; ".join(
        f"{ScoreMethod(code).display} would be {then.display} instead of {now.display}"
        for code, (now, then) in verdicts
    )


def side_by_side_lines(beside: SideBySide) -> tuple[str, ...]:
    """Return the methods by what they say, and what holds where they disagree."""
    lines = [
        f"{said}: {methods_words(codes)}"
        for said, codes in (
            ("at or above their threshold", beside.reached),
            ("below it", beside.below),
            ("not settled", beside.not_settled),
        )
        if codes
    ]
    lines += [f"two published forms of one method differ: {methods_words(pair)}" for pair in beside.forms_differ]
    return (*lines, MORE_CAREFUL) if beside.disagree or beside.forms_differ else tuple(lines)


def path_words_of(path: PathTaken) -> str:
    """Return the way taken, step by step, and where it ends or can end."""
    said = {True: "yes", False: "no", None: "open"}
    steps = " ".join(f"{step.asks} {said[step.answer].capitalize()}." for step in path.taken)
    if len(path.ends) == 1:
        return f"{steps} → {path.ends[0].says}"
    return f"{steps} Still possible: {'; '.join(end.says for end in path.ends)}"


def clue_lines(result: ClueResult) -> tuple[str, ...]:
    """Return what a list shows: its signs by what they are associated with, what is open, its cautions and source."""
    method = result.method
    if not result.valid:
        return (f"{method.code.display}: not for this lesion. {' '.join(result.reasons)}",)
    labels = {clue.id: clue.label for clue in method.clues}
    lines = [f"{method.code.display}: a list of associations, no number"]
    for speaks_for, clues in result.speaking_for.items():
        signs = ", ".join(f"{clue.label} ({clue.strength})" if clue.strength else clue.label for clue in clues)
        lines.append(f"  associated with {speaks_for}: {signs}")
    if not result.met:
        lines.append("  none of its signs is recorded; that excludes nothing")
    if result.open:
        lines.append(f"  open: {', '.join(labels[one] for one in result.open)}")
    if result.path is not None:
        lines.append(f"  step by step: {path_words_of(result.path)}")
    lines += [f"  caution: {one}" for one in method.cautions]
    lines.append(f"  source: {method.basis.text}")
    return tuple(lines)


def _open_sign_lines(review: Review) -> tuple[str, ...]:
    return tuple(
        f"{ScoreMethod(code).display}: {'; '.join(clue.label for clue in clues)}"
        for code, clues in review.open_signs.items()
    )


def decisions_as_text(review: Review) -> str:
    """Return what a review leaves open: methods side by side, next looks, a second light, what hangs on one answer."""
    parts = (
        ("methods side by side", side_by_side_lines(review.side_by_side)),
        ("signs for this lesion that nobody looked for", _open_sign_lines(review)),
        ("what to look at next", tuple(open_question_sentence(one) for one in review.open_questions)),
        ("what another light would add", tuple(second_view_sentence(one) for one in review.second_views)),
        ("verdicts that hang on one answer", turned_lines(review.sensitivity())),
    )
    lines = []
    for title, said in parts:
        if said:
            lines.append(f"  {title}:")
            lines += [f"    {one}" for one in said]
    for result in review.clues.values():
        if result.valid:
            lines += [f"  {line}" for line in clue_lines(result)]
    return "\n".join(lines)
