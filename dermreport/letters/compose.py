"""From reviews to the tree of a letter: which parts it has, in which order, under which headings."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from itertools import groupby
from operator import attrgetter
from typing import TYPE_CHECKING

from dermreport.letter_file import LetterKind
from dermreport.letters.blocks import Block, Entered, LetterPart, Line, Section, Tree
from dermreport.letters.settings import LetterSettings, Party
from dermreport.letters.speech import Speech, joined
from dermreport.letters.visit_parts import Sitting, patient_name
from dermreport.vocabulary.statuses import Status

if TYPE_CHECKING:
    from dermreport.letters.case import Case

OfLesion = Callable[["Case"], Iterator[Block]]
OfVisit = Callable[[Sitting], Iterator[Block]]


@dataclass(frozen=True, slots=True)
class Layout:
    """What a kind of letter has.

    Attributes:
        order: Its parts in our order. The first one says what calls for action, and stays first.
        of_lesion: Parts that each lesion has.
        of_visit: Parts that all lesions share.
        headings: Group of the catalogue with its headings.
        title: What a lesion is called where the letter has several.
        place: Where it is, in the words of this letter.
    """

    order: tuple[LetterPart, ...]
    of_lesion: Mapping[LetterPart, OfLesion]
    of_visit: Mapping[LetterPart, OfVisit]
    headings: str = "part"
    title: Callable[[Case], Line] = attrgetter("title")
    place: Callable[[Case], Line] = attrgetter("place")


#: As many reports are named on every page.
_NAMED_REPORTS = 3


def in_order(layout: Layout, wanted: tuple[LetterPart, ...]) -> tuple[LetterPart, ...]:
    """Return the parts of a letter in a host's order, what calls for action first, parts that it doesn't name last.

    What plugins add keeps its place among these: it never gets before what the library says.
    """
    head = layout.order[0]
    fixed = {head, LetterPart.PLUGINS}
    named = [one for one in dict.fromkeys(wanted) if one in layout.order and one not in fixed]
    return (head, *named, *(one for one in layout.order if one is not head and one not in named))


def sections(layout: Layout, sitting: Sitting, wanted: tuple[LetterPart, ...]) -> Iterator[Section]:
    """Yield the parts that have something to say; of several lesions each under its own heading."""
    for of_lesion, run in groupby(in_order(layout, wanted), key=layout.of_lesion.__contains__):
        parts = tuple(run)
        if not of_lesion:
            yield from _made(layout, ((part, layout.of_visit[part](sitting)) for part in parts), sitting.speech, 2)
        elif len(sitting.cases) == 1:
            yield from _of_lesion(layout, sitting.first, parts, 2)
        else:
            yield from _of_lesions(layout, sitting, parts)


def _of_lesions(layout: Layout, sitting: Sitting, parts: tuple[LetterPart, ...]) -> Iterator[Section]:
    """Yield a run of parts of several lesions: what calls for action of all first, the most urgent on top."""
    if parts[0] is layout.order[0]:
        yield Section(parts[0], (sitting.speech.text(f"{layout.headings}.{parts[0]}"),), ())
        for case in sitting.cases:
            yield Section(parts[0], layout.title(case), tuple(layout.of_lesion[parts[0]](case)), 3)
        parts = parts[1:]
    for case in sitting.cases if parts else ():
        made = tuple(_of_lesion(layout, case, parts, 3))
        if made:
            yield Section(parts[0], joined(": ", (layout.title(case), layout.place(case))), ())
            yield from made


def _of_lesion(layout: Layout, case: Case, parts: tuple[LetterPart, ...], level: int) -> Iterator[Section]:
    if case.examination.status is Status.ENTERED_IN_ERROR:
        # Nothing that a withdrawn record says may be used: that it is withdrawn stands first.
        parts = tuple(part for part in parts if part is layout.order[0])
    yield from _made(layout, ((part, layout.of_lesion[part](case)) for part in parts), case.speech, level)


def _made(
    layout: Layout, parts: Iterable[tuple[LetterPart, Iterator[Block]]], speech: Speech, level: int
) -> Iterator[Section]:
    for part, blocks in parts:
        said = tuple(blocks)
        if said:
            yield Section(part, (speech.text(f"{layout.headings}.{part}"),), said, level)


def tree(  # noqa: PLR0913 - what a letter is made of, by name only
    *,
    kind: LetterKind,
    title: Line,
    sitting: Sitting,
    settings: LetterSettings,
    recipient: tuple[Line, ...],
    banner: tuple[Line, ...],
    sections: tuple[Section, ...],
) -> Tree:
    """Return a letter of sections: with sender, recipient, day, and the line that stands on every page."""
    speech, examination = sitting.speech, sitting.examination
    day = sitting.first.written
    numbers = joined(
        "; ",
        [
            speech.say(
                "page.report",
                number=(Entered(case.examination.identifier.value),),
                revision=str(case.examination.revision),
            )
            for case in sitting.cases[:_NAMED_REPORTS]
        ],
    )
    if len(sitting.cases) > _NAMED_REPORTS:
        numbers = speech.say("page.more", reports=numbers, count=str(len(sitting.cases) - _NAMED_REPORTS))
    details = examination.patient.details
    patient = patient_name(sitting)
    if details is not None and details.birth_date:
        patient = speech.say("page.born", patient=patient, day=speech.day(details.birth_date))
    running = speech.say("page.running", patient=patient, report=numbers)
    return Tree(
        kind=kind,
        language=speech.catalogue.language,
        title=title,
        running=running,
        subject=speech.text(f"letter.subject-{kind}"),
        sender=party_lines(speech, "page.from", settings.sender),
        recipient=recipient,
        date=(speech.day(day),),
        banner=banner,
        header=(),
        footer=(),
        sections=sections,
        written=day,
    )


def party_lines(speech: Speech, label: str, party: Party | None) -> tuple[Line, ...]:
    """Return the lines of a sender or recipient."""
    if party is None:
        return ()
    lines: list[Line] = [speech.labelled(speech.text(label), (Entered(party.name),))]
    lines += [(Entered(line),) for line in party.lines]
    if party.phone:
        lines.append(speech.say("page.phone", phone=(Entered(party.phone),)))
    if party.email:
        lines.append(speech.say("page.email", email=(Entered(party.email),)))
    return tuple(lines)
