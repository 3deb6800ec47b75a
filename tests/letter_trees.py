"""Letters built by hand, for the writers' tests: nobody in them exists."""

from __future__ import annotations

import io
from dataclasses import replace
from typing import Any

from PIL import Image

from dermreport.letters.blocks import (
    Beside,
    Block,
    Code,
    Entered,
    Fact,
    Facts,
    Figure,
    Figures,
    Items,
    LetterKind,
    LetterPart,
    Paragraph,
    Picture,
    Section,
    Signature,
    Tone,
    Tree,
)

DRAWING = Picture(
    b'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 120 160"><rect x="1" y="1" width="118" height="158" '
    b'fill="none" stroke="black"/><circle cx="60" cy="50" r="30" fill="none" stroke="black"/><path d="M60 80 V140" '
    b'stroke="black"/><circle cx="75" cy="95" r="4"/><text x="8" y="152" font-size="10">seen from behind</text></svg>',
    "image/svg+xml",
    ("Back of the body; the lesion on the left shoulder blade.",),
)


def photograph(form: str, width: int = 240, height: int = 180) -> bytes:
    """Return a picture of grey stripes as PNG or JPEG."""
    picture = Image.new("RGB", (width, height), "white")
    for left in range(0, width, 12):
        picture.paste((left % 200, left % 200, left % 200), (left, 0, left + 6, height))
    content = io.BytesIO()
    picture.save(content, form)
    return content.getvalue()


PNG = Picture(photograph("PNG"), "image/png", ("Overview, room light, 4 March 2026.",), 0.31)
JPEG = Picture(photograph("JPEG"), "image/jpeg", ("Close view, polarized, no contact.",), 0.31)
SQUARE = Picture(
    b'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 4 4"><path d="M0 0h2v1h-1v2h-1z M3 1h1v3h-2v-1h1z"/></svg>',
    "image/svg+xml",
    ("Code with the number of the report.",),
    0.16,
)


def facts(*rows: tuple[str, str]) -> Facts:
    """Return facts of label and entered words."""
    return Facts(tuple(Fact(label, ((Entered(words),),)) for label, words in rows))


SITE = Facts(
    (
        Fact("Site", (("Left scapular region (", Entered("lesion A"), "), 3 cm below the spine of the scapula"),)),
        Fact("Size", (("8.5 mm × 6 mm, measured with a ruler",),)),
        Fact("Skin type", (("II",),)),
        Fact("Seen in", (("Polarized light without contact and non-polarized light with immersion fluid",),)),
        Fact(
            "What the patient says", ((Entered("Has grown since last summer; bled once."),), ("Told on 4 March 2026",))
        ),
    )
)
FINDINGS = facts(
    ("Atypical pigment network (broadened network)", "Present, at the edge of one half"),
    ("Blue-white veil (structureless zone, blue)", "Present"),
    ("Irregular dots and globules", "Uncertain"),
    ("Streaks", "Absent"),
)
CAUTIONS = Section(
    LetterPart.CAUTIONS,
    ("Cautions",),
    (
        Paragraph(("Scores support judgement and never replace it; a low score excludes nothing.",), Tone.SMALL),
        Paragraph(("When in doubt refer. Local pathways and licensed practice come first.",), Tone.SMALL),
    ),
)
SIGNATURE = Section(
    LetterPart.SIGNATURE,
    (),
    (Signature((("Yours sincerely",), (Entered("Dr Robin Sample"), ", general practitioner"))),),
)


def tree(*sections: Section, name: str = "Alex Example", **changes: Any) -> Tree:
    """Return a letter with these sections."""
    running = ("About ", Entered(name), ", born 1 May 1961 · report 2026-0117")
    letter = Tree(
        LetterKind.REFERRAL,
        "en",
        ("Referral: skin lesion on the left shoulder blade",),
        running,
        "Referral letter 2026-0117",
        ((Entered("Sample Practice"),), (Entered("1 Example Road"),), ("Telephone ", Entered("01632 960 001"))),
        (
            (Entered("Dermatology Department"),),
            (Entered("Example Hospital"),),
            (Entered("22 Invented Street"),),
            (Entered("Exampleton EX1 2MP"),),
        ),
        ("4 March 2026",),
        (),
        (),
        (),
        sections,
        "2026-03-04",
    )
    return replace(letter, **changes)


def section(heading: str, *blocks: Block, part: LetterPart = LetterPart.LESION, level: int = 2) -> Section:
    """Return a section."""
    return Section(part, (heading,) if heading else (), blocks, level)


def note(words: str) -> Section:
    """Return a section with an entered note."""
    return section("Note", Paragraph(("Noted: ", Entered(words), " (end of the note)")), Items(((Entered(words),),)))


URGENT = section(
    "", Paragraph(("Urgent: please see within two weeks. Suspected melanoma.",), Tone.URGENT), part=LetterPart.FIRST
)
PATIENT = section(
    "Patient",
    facts(("Name", "Alex Example"), ("Born", "1 May 1961"), ("Number", "999 000 1234")),
    part=LetterPart.PATIENT,
)
SCORES = section(
    "Scores",
    Items(
        (("Seven-point checklist: 4, at its threshold of 3 or above it",), ("Total dermoscopy score: 5.6, above 5.45",))
    ),
    Paragraph(("A threshold was studied in lesions that doctors had chosen.",), Tone.WARNING),
    part=LetterPart.SCORES,
)
CODE = section("", Code("urn:report:2026-0117", SQUARE, ("The report in the record system: ",)), part=LetterPart.REPORT)

USUAL = tree(
    URGENT,
    PATIENT,
    section("Lesion", Beside(SITE, Figure(DRAWING, ("Seen from behind",)))),
    section("Findings", FINDINGS, level=3, part=LetterPart.FINDINGS),
    SCORES,
    section("Plan", Items((("Excision biopsy",), ("Photographs were taken",))), part=LetterPart.PLAN),
    SIGNATURE,
    CODE,
    CAUTIONS,
)
HOSTILE = (
    '#read("/etc/passwd") #import "@preview/x:1.0.0" $x^2$ *bold* _it_ `raw` // no comment /* nor */ = no heading '
    "<b>&amp;</b> @label <label> \\ \\u{41} #panic() [ ] { } ~ -- --- ... ' \" - + 1. / term: {{7*7}} ${jndi:x} %s"
)

#: Headings of lesion A as a host may word them; each is taller than what it heads, where it stands beside it.
TALL = tuple(
    section(
        f"Part {number}, " + "whose heading was worded by somebody who had much to say " * count,
        *(Paragraph((f"Fact {position} of part {number}.",)) for position in range(3)),
        level=level,
    )
    for number, (count, level) in enumerate([(1, 2), (3, 2), (2, 3), (3, 3), (2, 3), (1, 2), (3, 2)])
)
NARROW = (
    *TALL,
    section("Donaudampfschifffahrtsgesellschaft Untersuchungsbefundbesprechung", facts(("Fact", "of long words"))),
    section("WWWWWWWWWWWWWWW " * 3, facts(("Fact", "of wide words"))),
)

LONG = "Words of a text that goes on and on. " * 120

#: Letters by what is special about them.
TREES: dict[str, Tree] = {
    "usual": USUAL,
    "nothing": tree(),
    "bare": tree(sender=(), recipient=(), date=(), title=(), written=""),
    "no recipient": tree(PATIENT, recipient=()),
    "sections without content": tree(section("Findings"), section("", Facts(())), section("", Items(()))),
    "a level left out": tree(section("Lesion A", FINDINGS, level=3), title=()),
    "sixty findings": tree(
        PATIENT,
        section(
            "Findings", facts(*((f"Structure number {number}", f"Present, place {number}") for number in range(60)))
        ),
        SIGNATURE,
    ),
    "beside over a page": tree(
        section(
            "Lesion",
            Beside(
                facts(*((f"Fact {number}", f"What is known of it, {number}") for number in range(60))),
                Figure(DRAWING, ("Back",)),
            ),
        )
    ),
    "long names": tree(
        PATIENT,
        sender=((Entered("Department " * 15),), *((Entered(f"Line {number}"),) for number in range(9))),
        recipient=(
            (Entered("Aninventednamewithoutanend" * 8),),
            *((Entered(f"Part {number}"),) for number in range(9)),
        ),
        name="Maximiliane-Alexandra " * 8,
    ),
    "accents": tree(note("Žofie Núñez Ångström-Łukasiewicz, Đặng Thị Hưởng, Ζωή Ιωάννου, Юлия Щукина, Ijsbrand Œuvré")),
    "Hebrew and Arabic": tree(
        section("Patient", facts(("Name", "דוד לוי"), ("Known as", "محمد علي"), ("Street", "רחוב הדוגמה 12, תל אביב"))),
        section("", Paragraph(("Patient ", Entered("דוד לוי"), ", 64 years, number ", Entered("12-345"), " (copy)."))),
        section("", Paragraph(("Seen by ", Entered("محمد علي"), ": 3 lesions, 2 of them chosen."))),
        name="דוד לוי (12)",
    ),
    "hostile": tree(
        note(HOSTILE),
        section(
            "Lesion",
            Beside(
                facts((HOSTILE, HOSTILE)), Figure(replace(DRAWING, words=("Drawing: ", Entered(HOSTILE))), (HOSTILE,))
            ),
        ),
        title=(Entered(HOSTILE),),
        subject=HOSTILE,
        name=HOSTILE,
        sender=((Entered(HOSTILE),),),
        recipient=((Entered(HOSTILE),),),
    ),
    "long words": tree(
        note("W" * 300),
        section("Lesion", Beside(facts(("M" * 60, "W" * 300)), Figure(DRAWING, ("i" * 300,)))),
        section("", Code("urn:" + "W" * 300, SQUARE, ("C" * 100,))),
        section("W" * 300),
        title=("W" * 300,),
        sender=((Entered("W" * 300),),),
        recipient=((Entered("W" * 300),),),
        name="W" * 300,
    ),
    "tall headings": tree(*NARROW, sender=(), recipient=(), date=(), title=()),
    "headings too tall": tree(
        section("W" * 300, facts(("Fact", "of a word without an end"))),
        section("A heading of many words " * 13, facts(("Fact", "of many words"))),
        section("A heading of many words " * 13, facts(("Fact", "of a lesion")), level=3),
    ),
    "long note": tree(note("An observation that goes on. " * 350)),
    "long everywhere": tree(
        section(LONG, Paragraph((LONG,), Tone.URGENT), Paragraph((LONG,), Tone.WARNING)),
        section("Lesion", Beside(facts(("Site", LONG)), Figure(DRAWING, (LONG,)))),
        section("Images", Figures((Figure(PNG, (LONG,)), Figure(JPEG, ("Short",))))),
        section("", Code(LONG, SQUARE, (LONG,))),
        section("", Signature(((Entered(LONG),),))),
        title=(LONG,),
        sender=((Entered(LONG),),),
        recipient=((Entered(LONG),), (Entered(LONG),)),
        date=(LONG,),
        banner=((LONG,),),
    ),
    "long labels": tree(
        section(
            "Lesion", Beside(facts((LONG, LONG), ("W" * 300, "Wide"), ("Last", "fact")), Figure(DRAWING, ("Back",)))
        ),
        section("Findings", facts((LONG, "Present"), ("one\ntwo", "Absent"))),
    ),
    "labels of several lines": tree(
        section(
            "Findings",
            facts(*((f"Number {number} " + "and more words " * 12, f"Place {number}") for number in range(25))),
        ),
        section(
            "Lesion",
            Beside(
                facts(*((f"Number {number} " + "and more words " * 12, f"Place {number}") for number in range(25))),
                Figure(DRAWING, ("Back",)),
            ),
        ),
    ),
    "short lines": tree(
        section("Items", Items((("x",),) * 300)),
        section("Lines", Items(((Entered("x\n" * 390),),)), facts(("Note", "x\n" * 390))),
        section("Images", Figures((Figure(replace(PNG, width=0.1), ("x\n" * 390,)),))),
        section("", Signature(((Entered("x\n" * 390),),))),
    ),
    "many lines": tree(note("one\ntwo\r\nthree\u2028four\x0bfive\n\nsix\tseven")),
    "controls": tree(note("a\u202eb\u2066c\u2069d\ufeffe\u200bf\u00adg")),
    "photographs": tree(
        section(
            "Images",
            Figures(
                (
                    Figure(PNG, ("Overview",)),
                    Figure(JPEG, ("Close view, polarized light without contact; the whole lesion is in the picture",)),
                    Figure(replace(PNG, width=0.31), ("View 3",)),
                    Figure(replace(JPEG, width=0.5), ("View 4",)),
                    Figure(replace(PNG, width=1.0), ("View 5",)),
                )
            ),
            part=LetterPart.IMAGES,
        )
    ),
    "host's words": tree(
        PATIENT,
        CAUTIONS,
        banner=(("This translation was drafted by a machine and reviewed by nobody.",),),
        header=(("Sample Practice, member of the Example Network",), ("Reply to the address above",)),
        footer=(("Open Monday to Friday",),),
    ),
}

#: Letters with characters that the built-in fonts lack.
WITHOUT_GLYPHS: dict[str, Tree] = {
    "Chinese": tree(section("Patient", facts(("Name", "王小明"))), name="王小明"),
    "Thai": tree(section("Patient", facts(("Name", "สมชาย ใจดี"))), name="สมชาย ใจดี"),
    "emoji": tree(note("itches 😀")),
}
