"""The way to a letter: from reviews to a tree of blocks, and from the tree to a file."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from hashlib import sha256

from dermreport.examination.lesion import Lesion
from dermreport.examination.model import Examination
from dermreport.examination.people import system_and_value
from dermreport.issues import Issue, SettingsError, must_be
from dermreport.languages.language import language
from dermreport.letter_file import LetterFile, LetterFormat, LetterKind
from dermreport.letters.blocks import Entered, Line, Tree
from dermreport.letters.case import Case, how_late
from dermreport.letters.catalogue import catalogue
from dermreport.letters.illustrations import Illustrations, InWords
from dermreport.letters.lesion_parts import PLACE_RULES
from dermreport.letters.pathologist import pathologist
from dermreport.letters.patient_copy import patient_copy
from dermreport.letters.plugin_sections import AddedSection, added_sections
from dermreport.letters.referral import referral
from dermreport.letters.rules import LACKS
from dermreport.letters.settings import LetterSettings
from dermreport.letters.speech import Speech
from dermreport.letters.text import write_text
from dermreport.letters.visit_parts import Sitting, token
from dermreport.reviews.review import Review
from dermreport.reviews.together import of_one_patient
from dermreport.wording.row_names import with_row_names

_DEFAULTS = LetterSettings()

#: How each kind of letter is composed.
_COMPOSED: Mapping[LetterKind, Callable[[Sitting, LetterSettings, tuple[Line, ...]], Tree]] = {
    LetterKind.REFERRAL: referral,
    LetterKind.PATIENT: patient_copy,
    LetterKind.PATHOLOGIST: pathologist,
}


@dataclass(frozen=True, slots=True)
class _Writer:
    """One way to write a letter."""

    media_type: str
    suffix: str
    illustrations: Callable[[Sequence[Examination], Mapping[str, bytes], LetterSettings], Illustrations]
    write: Callable[[Tree, LetterSettings], tuple[bytes, tuple[Issue, ...]]]


def _text(tree: Tree, settings: LetterSettings) -> tuple[bytes, tuple[Issue, ...]]:
    del settings
    return write_text(tree).encode(), ()


def _html(tree: Tree, settings: LetterSettings) -> tuple[bytes, tuple[Issue, ...]]:
    from dermreport.letters.html import write_html  # noqa: PLC0415 - loaded on first use

    page, issues = write_html(tree, settings.page)
    return page.encode(), issues


def _pdf(tree: Tree, settings: LetterSettings) -> tuple[bytes, tuple[Issue, ...]]:
    from dermreport.letters.pdf import write_pdf  # noqa: PLC0415 - loaded on first use

    return write_pdf(tree, settings.fonts)


def _drawn(colour: str) -> Callable[[Sequence[Examination], Mapping[str, bytes], LetterSettings], Illustrations]:
    """Return what makes drawings with lines of a colour."""

    def illustrations(
        examinations: Sequence[Examination], pictures: Mapping[str, bytes], settings: LetterSettings
    ) -> Illustrations:
        from dermreport.letters.drawn import Drawn  # noqa: PLC0415 - loaded on first use

        return Drawn(examinations, pictures, settings.purpose, colour)

    return illustrations


def _in_words(
    examinations: Sequence[Examination], pictures: Mapping[str, bytes], settings: LetterSettings
) -> Illustrations:
    del examinations, pictures, settings
    return InWords()


_WRITERS: Mapping[LetterFormat, _Writer] = {
    LetterFormat.TEXT: _Writer("text/plain; charset=utf-8", "txt", _in_words, _text),
    LetterFormat.HTML: _Writer("text/html; charset=utf-8", "html", _drawn("currentColor"), _html),
    LetterFormat.PDF: _Writer("application/pdf", "pdf", _drawn("#000000"), _pdf),
}


def letter(
    review: Review | Sequence[Review],
    *,
    kind: LetterKind | str = LetterKind.REFERRAL,
    format: LetterFormat | str = LetterFormat.TEXT,  # noqa: A002 - what a caller calls it, by name only
    settings: LetterSettings = _DEFAULTS,
    pictures: Mapping[str, bytes] | None = None,
) -> LetterFile:
    """Write a letter.

    Args:
        review: The review of one lesion, or those of all lesions of a visit.
        kind: ``referral`` to a colleague, ``patient`` in plain language, or ``pathologist`` with a specimen.
        format: ``text``, ``html`` or ``pdf``; text needs no extra.
        settings: What the host decides.
        pictures: JPEG, PNG or DICOM files to be embedded in HTML or PDF, by the key of their image; in a letter on
            several lesions by ``number/key``, the number being that of the examination, for keys are an entry's own.

    Returns:
        The file: bytes, media type, a name that holds nothing of the patient, and issues. The same call gives the same
        bytes. No issue of the review withholds a letter.

    Raises:
        BuildError: The reviews are of different patients, or there is none.
        SettingsError: A setting, kind or format isn't one, or a patient's copy is asked for in a language that no
            clinician has reviewed.
        MissingExtraError: HTML, PDF, a host's template or pictures need an extra that isn't installed.
        TypeError: An argument of another kind.
    """
    reviews = (review,) if isinstance(review, Review) else tuple(review)
    for one in reviews:
        must_be("letter: review", one, Review)
    must_be("letter: settings", settings, LetterSettings)
    if kind not in set(LetterKind) or format not in set(LetterFormat):
        raise SettingsError(
            f"letter: kind is one of {', '.join(LetterKind)}, and format one of {', '.join(LetterFormat)}"
        )
    chosen = LetterKind(kind)
    must_be("letter: pictures", pictures, Mapping, type(None))
    for key, content in (pictures or {}).items():
        must_be("letter: each key of pictures", key, str)
        must_be("letter: each of pictures", content, bytes)
    of_one_patient(reviews)
    speech = Speech(catalogue(settings.language, settings.wording), language(settings.language))
    banner = _banner(speech, chosen, settings)
    writer = _WRITERS[LetterFormat(format)]
    illustrations = writer.illustrations([one.examination for one in reviews], pictures or {}, settings)
    added, failed = added_sections(reviews, chosen)
    named = [with_row_names(one) for one in reviews]
    sitting, refused = _sitting(named, speech, settings, illustrations, added)
    tree, unused = _with_own_lines(_COMPOSED[chosen](sitting, settings, banner), settings)
    content, issues = writer.write(tree, settings)
    return LetterFile(
        content=content,
        media_type=writer.media_type,
        name=f"{chosen}-letter-{_mark(reviews)}.{writer.suffix}",
        title=tree.subject,
        kind=chosen,
        language=tree.language,
        written=tree.written,
        reports=tuple((*system_and_value(one.examination.identifier), one.examination.revision) for one in reviews),
        issues=(*LACKS[chosen](sitting), *refused, *unused, *issues, *failed),
    )


def _banner(speech: Speech, kind: LetterKind, settings: LetterSettings) -> tuple[Line, ...]:
    """Return what stands above a letter in a language that a machine drafted.

    Raises:
        SettingsError: It is a patient's copy, and no clinician has reviewed the language.
    """
    if speech.language.draft is None:
        return ()
    reviewed = settings.reviewed
    if reviewed is not None:
        return (speech.say("letter.draft-reviewed", by=(Entered(reviewed.by),), on=speech.day(reviewed.on)),)
    if kind is LetterKind.PATIENT:
        raise SettingsError(
            "letter settings: a machine drafted this language: no patient’s copy is written in it until `reviewed` "
            "names the clinician who reviewed it, and the day"
        )
    return ((speech.text("letter.draft"),),)


def _with_own_lines(tree: Tree, settings: LetterSettings) -> tuple[Tree, tuple[Issue, ...]]:
    """Return a letter with the host's own lines, and why they aren't used."""
    if not settings.header and not settings.footer:
        return tree, ()
    from dermreport.letters.templates import own_lines  # noqa: PLC0415 - loaded on first use

    header, above = own_lines("header", settings.header, tree)
    footer, below = own_lines("footer", settings.footer, tree)
    return replace(tree, header=header, footer=footer), (*above, *below)


def _sitting(
    reviews: Sequence[Review],
    speech: Speech,
    settings: LetterSettings,
    illustrations: Illustrations,
    added: tuple[tuple[AddedSection, ...], ...],
) -> tuple[Sitting, tuple[Issue, ...]]:
    """Return what the letter is composed of, and why pictures aren't embedded."""
    drawings = illustrations.drawings([one.examination for one in reviews], speech)
    cases: list[Case] = []
    issues: list[Issue] = []
    labelled = _tell_apart([one.examination.lesion for one in reviews])
    for position, (one, drawing) in enumerate(zip(reviews, drawings, strict=True)):
        embedded, refused = illustrations.pictures(position, one.examination)
        contradicted = any(issue.rule in PLACE_RULES for issue in one.issues)
        shown = None if contradicted else drawing
        several = len(reviews) > 1
        cases.append(Case(one, speech, settings, position, several, labelled, shown, embedded, added[position]))
        issues.extend(refused)
    # The most urgent lesion first, in every part of the letter alike.
    cases.sort(key=lambda case: min((how_late(step) for step in case.urgent_actions), default=0))
    return Sitting(tuple(cases), illustrations), tuple(issues)


def _tell_apart(lesions: Sequence[Lesion | None]) -> bool:
    """Return whether labels tell lesions apart: each has one, and no two are alike to a reader's eye."""
    labels = [one.label.casefold().strip() for one in lesions if one is not None and one.label is not None]
    return len(labels) == len(lesions) == len(set(labels))


def _mark(reviews: Sequence[Review]) -> str:
    """Return what tells a file from others: made of the numbers of its reports, so that it holds nothing of anybody."""
    said = "\n".join(f"{token(one.examination)}|{one.examination.revision}" for one in reviews)
    return sha256(said.encode()).hexdigest()[:12]
