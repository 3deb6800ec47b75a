"""The patient's copy: in plain words what was looked at, what happens next, what to look out for, whom to call.

It holds no score and nothing about suspicion beyond the words in which the record says that the patient was told. It
comforts nobody falsely: it says that a check can miss things, and that a change can't wait.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from types import MappingProxyType
from typing import TYPE_CHECKING

from dermreport.letter_file import LetterKind
from dermreport.letters import lesion_parts
from dermreport.letters.blocks import Block, Entered, Items, LetterPart, Line, Paragraph, Tone, Tree
from dermreport.letters.case import full_name, goes_to_pathologist, how_late
from dermreport.letters.compose import Layout, sections, tree
from dermreport.letters.speech import capital, joined
from dermreport.vocabulary.action_kinds import ActionKind
from dermreport.vocabulary.modes import Mode
from dermreport.vocabulary.plan_actions import PlanAction
from dermreport.vocabulary.replies import Reply
from dermreport.vocabulary.sites import Site
from dermreport.vocabulary.statuses import Status
from dermreport.vocabulary.urgencies import Urgency

if TYPE_CHECKING:
    from dermreport.examination.decided import Action, SafetyNet
    from dermreport.letters.case import Case
    from dermreport.letters.settings import LetterSettings
    from dermreport.letters.visit_parts import Sitting

#: How the sentence on what was looked at begins, by how the examiner met the patient.
_LOOKED = MappingProxyType({Mode.IMAGES_ONLY: "copy.looked-images", Mode.LIVE_REMOTE: "copy.looked-video"})


def looked_at(case: Case) -> Iterator[Block]:
    """Yield which spot was looked at, when and how."""
    speech, examination = case.speech, case.examination
    if examination.status is Status.ENTERED_IN_ERROR:
        yield Paragraph((speech.text("copy.withdrawn"),), Tone.URGENT)
        return
    if examination.status is Status.DRAFT:
        yield Paragraph((speech.text("copy.draft"),), Tone.WARNING)
    key = _LOOKED.get(examination.mode, "copy.looked") if examination.mode is not None else "copy.looked"
    said = [speech.say(key, day=speech.date(examination.examined))]
    place = plain_place(case)
    if place:
        said.append(speech.say("copy.where", site=place))
    if case.size and examination.lesion is not None and examination.lesion.longest_mm is not None:
        said.append(
            speech.say(
                "copy.size", size=speech.say("lesion.size-one", longest=speech.number(examination.lesion.longest_mm))
            )
        )
    if examination.views and examination.mode is Mode.IN_PERSON:
        said.append((speech.text("copy.light"),))
    yield Paragraph(joined(" ", said))


def spot(case: Case) -> Line:
    """Return what a spot is called on a sheet with several."""
    lesion = case.examination.lesion
    label = lesion.label if lesion is not None else None
    # A label can say what is suspected: only one that can't is shown to the patient.
    shown: Line = (Entered(label),) if label is not None and case.labelled and _says_nothing(label) else ()
    return case.speech.say("copy.spot", label=shown or str(case.position + 1))


#: A label that can only be a name for the spot.
_says_nothing = re.compile(r"[A-Za-z0-9]{1,3}").fullmatch


def plain_place(case: Case) -> Line:
    """Return where the spot is in plain words: the site, and on which side."""
    speech, lesion = case.speech, case.examination.lesion
    if lesion is None or not isinstance(lesion.site, Site):
        # A site in somebody else's words could say what is suspected.
        return ()
    site = speech.plain_site(lesion.site)
    return joined(", ", (site, (speech.text(f"copy.side-{lesion.side}"),) if lesion.side is not None else ()))


def told(case: Case) -> Iterator[Block]:
    """Yield the words in which the patient was told what is suspected; nothing where the record doesn't say so."""
    plan = case.examination.plan
    given = plan.patient_told if plan is not None else None
    if given is None or given.told is not Reply.YES:
        return
    if given.words:
        yield Paragraph((case.speech.text("copy.told"),))
        yield Items(((Entered(given.words),),))
    else:
        yield Paragraph((case.speech.text("copy.told-no-words"),))


def what_next(case: Case) -> Iterator[Block]:
    """Yield each planned step in plain words, the most urgent first, with its day."""
    steps = sorted(
        (one for one in case.actions if not case.is_done(one)), key=lambda one: (case.is_past(one), how_late(one))
    )
    if not steps:
        yield Paragraph((case.speech.text("copy.no-step"),), Tone.WARNING)
        return
    yield Items(tuple(dict.fromkeys(_step(case, one) for one in steps)))


def _step(case: Case, action: Action) -> Line:
    speech = case.speech
    key = f"next.{action.action}" if isinstance(action.action, PlanAction) else "next.unknown"
    lab: Line = (speech.text("copy.to-lab"),) if goes_to_pathologist(action) else ()
    what = joined(" ", ((speech.text(key),), lab))
    if case.is_past(action):
        return speech.say("copy.step-past", what=what, day=speech.day(action.date or action.latest or ""))
    said = [_with_day(case, action, what)]
    if _asks_something(action):
        rank = -how_late(action)
        if rank >= Urgency.SAME_VISIT.rank:
            said.append((speech.text("copy.at-once"),))
        elif rank >= Urgency.SOON.rank:
            said.append((speech.text("copy.soon"),))
    return joined(" ", said)


#: Kinds of steps that nobody has to do anything for by a day.
_ASKS_NOTHING = frozenset((ActionKind.REASSURANCE, ActionKind.ADVICE, ActionKind.ADMINISTRATION))


def _asks_something(action: Action) -> bool:
    """Return whether a step can be put off to somebody's harm: not before its first day, nor where nothing is done."""
    if action.earliest is not None and action.latest is None and action.date is None:
        return False
    if action.action is PlanAction.OTHER_STEP or not isinstance(action.action, PlanAction):
        return True
    return action.action.kind not in _ASKS_NOTHING


def _is_advice(action: Action) -> bool:
    """Return whether nothing is arranged, so that no day belongs to it."""
    kinds = {ActionKind.REASSURANCE, ActionKind.ADVICE}
    return isinstance(action.action, PlanAction) and action.action.kind in kinds


def _with_day(case: Case, action: Action, what: Line) -> Line:
    speech = case.speech
    date, earliest, latest = action.date, action.earliest, action.latest
    if date is not None:
        whole = len(date) >= len("2026-03-04")
        said = speech.say("copy.step-on" if whole else "copy.step-in", what=what, day=speech.day(date))
    elif earliest is not None and latest is not None:
        days = {"from": speech.day(earliest), "to": speech.day(latest)}
        said = speech.say("copy.step-window", what=what, **days)
    elif latest is not None:
        said = speech.say("copy.step-latest", what=what, day=speech.day(latest))
    elif earliest is not None:
        said = speech.say("copy.step-earliest", what=what, day=speech.day(earliest))
    else:
        said = what
    return what if _is_advice(action) and earliest is None else said


def watch(sitting: Sitting) -> Iterator[Block]:
    """Yield what to look out for: the advice given, else the pathway's, else what common practice says."""
    speech = sitting.speech
    current = _current(sitting)
    if not current:
        return
    yield Paragraph((speech.text("copy.watch"),))
    yield Items(tuple(dict.fromkeys(capital(line) for case in current for line in _watch_for(case))))
    yield Paragraph(joined(" ", ((speech.text("copy.change"),), (speech.text("copy.miss"),))))
    backs = {spot(case): _day(case, "by_when", case.review.expected.come_back_by) for case in current}
    yield from (Paragraph(line) for line in _dated(sitting, backs, "copy.back"))


def _current(sitting: Sitting) -> tuple[Case, ...]:
    return tuple(one for one in sitting.cases if one.examination.status is not Status.ENTERED_IN_ERROR)


def _net(case: Case) -> SafetyNet | None:
    plan = case.examination.plan
    return plan.safety_net if plan is not None else None


def _watch_for(case: Case) -> Iterable[Line]:
    net = _net(case)
    if net is not None and net.watch_for:
        return ((Entered(net.watch_for),),)
    expected = tuple(map(case.speech.sentence, case.review.expected.watch_for))
    watched = expected or case.speech.text("copy.watch-default").split("; ")
    return tuple((one,) for one in (*watched, case.speech.text("copy.watch-any")))


def _day(case: Case, field: str, expected: str | None) -> str | None:
    net = _net(case)
    recorded: str | None = getattr(net, field) if net is not None else None
    return recorded or expected


def _dated(sitting: Sitting, days: Mapping[Line, str | None], key: str) -> Iterator[Line]:
    """Yield a sentence with a day: once where all lesions share it, else for each lesion that has one."""
    speech = sitting.speech
    known = {title: day for title, day in days.items() if day is not None}
    if len(set(known.values())) == 1 and len(known) == len(days):
        yield speech.say(key, day=speech.day(next(iter(known.values()))))
        return
    for title, day in known.items():
        if len(days) == 1:
            yield speech.say(key, day=speech.day(day))
        else:
            yield speech.say(f"{key}-lesion", lesion=title, day=speech.day(day))


def contact(sitting: Sitting) -> Iterator[Block]:
    """Yield whom to call, and by when to have heard."""
    speech = sitting.speech
    named = dict.fromkeys(contacts(sitting))
    yield (
        Items(tuple(speech.say("copy.contact", contact=one) for one in named))
        if named
        else Paragraph((speech.text("copy.contact-missing"),), Tone.WARNING)
    )
    heard = {spot(case): heard_by(case) for case in _current(sitting)}
    yield from (Paragraph(line) for line in _dated(sitting, heard, "copy.heard"))
    if any(waits_for_others(case) for case in _current(sitting)):
        yield Paragraph((speech.text("copy.ask"),))
    if any(one.days_given for one in sitting.cases):
        yield Paragraph((speech.text("copy.not-there"),))


def contacts(sitting: Sitting) -> Iterator[Line]:
    """Yield whom to call: as recorded, else as the host says, else the sender's telephone."""
    recorded = [net.contact for case in sitting.cases if (net := _net(case)) is not None and net.contact]
    settings = sitting.first.settings
    sender = settings.sender
    if recorded:
        yield from ((Entered(one),) for one in recorded)
    elif settings.contact:
        yield (Entered(settings.contact),)
    elif sender is not None and sender.phone:
        yield (Entered(f"{sender.name}, {sender.phone}"),)


def heard_by(case: Case) -> str | None:
    """Return by when the patient should have heard: as recorded, else as the pathway has it where others are to act."""
    return _day(case, "heard_by", case.review.expected.heard_by if waits_for_others(case) else None)


#: Kinds of steps that somebody else answers.
_ANSWERED_BY_OTHERS = frozenset((ActionKind.REFERRAL, ActionKind.OPINION))


def waits_for_others(case: Case) -> bool:
    """Return whether a planned step is answered by somebody else: a clinic, a specialist, a laboratory."""
    return any(
        goes_to_pathologist(one) or (isinstance(one.action, PlanAction) and one.action.kind in _ANSWERED_BY_OTHERS)
        for one in case.actions
    )


def cautions(sitting: Sitting) -> Iterator[Block]:
    """Yield what the sheet is and isn't."""
    yield Paragraph((sitting.speech.text("copy.caution"),))


def report(sitting: Sitting) -> Iterator[Block]:
    """Yield the number to give on the telephone."""
    numbers = joined(", ", [(Entered(one.examination.identifier.value),) for one in sitting.cases])
    yield Paragraph(sitting.speech.say("copy.number-to-give", number=numbers))


PATIENT = Layout(
    order=(
        LetterPart.LESION,
        LetterPart.TOLD,
        LetterPart.PLAN,
        LetterPart.WATCH,
        LetterPart.CONTACT,
        LetterPart.PLUGINS,
        LetterPart.CAUTIONS,
        LetterPart.REPORT,
    ),
    of_lesion=MappingProxyType(
        {
            LetterPart.LESION: looked_at,
            LetterPart.TOLD: told,
            LetterPart.PLAN: what_next,
            LetterPart.PLUGINS: lesion_parts.plugin_sections,
        }
    ),
    of_visit=MappingProxyType(
        {LetterPart.WATCH: watch, LetterPart.CONTACT: contact, LetterPart.CAUTIONS: cautions, LetterPart.REPORT: report}
    ),
    headings="copy-part",
    title=spot,
    place=plain_place,
)


def _patient_lines(sitting: Sitting) -> tuple[Line, ...]:
    """Return name and address of the patient, to whom the sheet goes."""
    details = sitting.examination.patient.details
    address = details.address.splitlines() if details is not None and details.address else ()
    return tuple(line for line in (full_name(details), *((Entered(one),) for one in address)) if line)


def patient_copy(sitting: Sitting, settings: LetterSettings, banner: tuple[Line, ...]) -> Tree:
    """Return the patient's copy."""
    return tree(
        kind=LetterKind.PATIENT,
        title=(sitting.speech.text("letter.patient"),),
        sitting=sitting,
        settings=settings,
        recipient=_patient_lines(sitting),
        banner=banner,
        sections=tuple(sections(PATIENT, sitting, settings.order)),
    )
