"""Letters made by hand for the tests of the writers: invented people, every block, and what is hard to write."""

from __future__ import annotations

import struct
import zlib
from types import MappingProxyType

from dermreport.letter_file import LetterKind
from dermreport.letters.blocks import (
    Beside,
    Code,
    Entered,
    Fact,
    Facts,
    Figure,
    Figures,
    Items,
    LetterPart,
    Line,
    Paragraph,
    Picture,
    Section,
    Signature,
    Tone,
    Tree,
)


def png(width: int = 90, height: int = 60) -> bytes:
    """Return a picture of brown skin with a darker spot: PNG, section 5 and 11 (W3C), made by hand."""
    rows = bytearray()
    for y in range(height):
        rows.append(0)
        for x in range(width):
            inside = (x - width / 2) ** 2 + (y - height / 2) ** 2 < (height / 3) ** 2
            rows += bytes((92, 58, 40) if inside else (226, 178, 150))

    def chunk(name: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))

    header = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    return (
        b"\x89PNG\r\n\x1a\n"
        + chunk(b"IHDR", header)
        + chunk(b"IDAT", zlib.compress(bytes(rows), 9))
        + chunk(b"IEND", b"")
    )


DRAWING = (
    b'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 120 160" role="img" aria-labelledby="map-t">'
    b'<title id="map-t">Where the lesion is</title>'
    b'<path d="M60 10a18 18 0 1 1 0 36a18 18 0 1 1 0-36M30 56h60l8 50h-16v48h-44v-48h-16z" fill="none" '
    b'stroke="#1b1f23" stroke-width="2"/><circle cx="46" cy="84" r="6" fill="#9b1c1c" stroke="#1b1f23"/>'
    b'<text x="58" y="88" font-size="11" font-family="sans-serif" fill="#1b1f23">A</text></svg>'
)


def drawing(words: Line = ("Drawing of a body from the front with a point on the left forearm.",)) -> Picture:
    return Picture(DRAWING, "image/svg+xml", words, 0.28)


def photograph(words: Line, width: float = 0.45) -> Picture:
    return Picture(png(), "image/png", words, width)


def letter(sections: tuple[Section, ...], **changed: object) -> Tree:
    """Return a referral from an invented practice about an invented person."""
    values: dict[str, object] = {
        "kind": LetterKind.REFERRAL,
        "language": "en",
        "title": ("Referral: pigmented lesion of the left forearm",),
        "running": (Entered("Ines Example"), ", born ", "14 May 1961", ", number ", Entered("90017"), " · report 41"),
        "subject": "Referral, report 41",
        "sender": ((Entered("Harbour Practice"),), (Entered("1 Quay Street"),), ("Telephone ", Entered("0100 200"))),
        "recipient": ((Entered("Dermatology department"),), (Entered("Hill Hospital"),)),
        "date": ("4 March 2026",),
        "banner": (),
        "header": (),
        "footer": (),
        "sections": sections,
        "written": "2026-03-04",
    }
    return Tree(**(values | changed))  # type: ignore[arg-type]


CAUTIONS = Section(
    LetterPart.CAUTIONS,
    ("Please note",),
    (
        Paragraph(("A score supports judgement and never replaces it. A low score excludes nothing.",), Tone.SMALL),
        Paragraph(("When in doubt, refer. Local pathways and licensed practice come first.",), Tone.SMALL),
    ),
)
SIGNATURE = Section(
    LetterPart.SIGNATURE,
    (),
    (Signature(((Entered("Dr Noor Example"),), ("general practitioner",), ("4 March 2026",))),),
)
PATIENT = Section(
    LetterPart.PATIENT,
    ("Patient",),
    (
        Facts(
            (
                Fact("Name", ((Entered("Ines Example"),),)),
                Fact("Born", (("14 May 1961",),)),
                Fact("Number", ((Entered("90017"), " (", Entered("https://numbers.clinic.example"), ")"),)),
            )
        ),
    ),
)
LESION = Section(
    LetterPart.LESION,
    ("Lesion ", Entered("A")),
    (
        Beside(
            Facts(
                (
                    Fact("Where", (("left forearm, outer side",),)),
                    Fact("Size", (("7.5 mm × 6.0 mm",),)),
                    Fact("Noticed", (("darker and larger for six months, told by the patient",), ("itches at night",))),
                )
            ),
            Figure(drawing(), ("Left forearm. ", "Drawing, not to scale.")),
        ),
    ),
)
VIEWS = Section(
    LetterPart.IMAGES,
    ("Pictures",),
    (
        Figures(
            (
                Figure(photograph(("Dermatoscopic picture A1.",)), ("A1, polarised light, contact with gel.",)),
                Figure(photograph(("Dermatoscopic picture A2.",)), ("A2, non-polarised light, contact with gel.",)),
            )
        ),
        Paragraph(("The originals are kept by the sender: ", Entered("A1.dcm"), ", ", Entered("A2.dcm"), ".")),
    ),
)


def findings(count: int) -> Section:
    names = ("atypical network", "irregular dots", "blue-white veil", "regression, white", "irregular streaks")
    rows = tuple(
        Fact(
            f"{names[number % 5].capitalize()} {number + 1}",
            ((f"present, at the edge, uneven; seen in view {number % 2 + 1}",),),
        )
        for number in range(count)
    )
    return Section(LetterPart.FINDINGS, ("Findings",), (Facts(rows),))


def plain_letter() -> Tree:
    return letter(
        (
            Section(
                LetterPart.REASON,
                ("Reason",),
                (
                    Paragraph(("Please take over the care of this lesion. The patient would like a second look.",)),
                    Items((("changed over six months",), ("first melanoma in the family at 41",))),
                ),
            ),
            PATIENT,
            LESION,
            findings(4),
            CAUTIONS,
            SIGNATURE,
        )
    )


def urgent_letter() -> Tree:
    return letter(
        (
            Section(
                LetterPart.FIRST,
                (),
                (
                    Paragraph(("URGENT: a melanoma is suspected. Please see within two weeks.",), Tone.URGENT),
                    Paragraph(("Wanted: excision of the whole lesion with a narrow margin.",), Tone.URGENT),
                ),
            ),
            PATIENT,
            LESION,
            VIEWS,
            findings(7),
            Section(
                LetterPart.SCORES,
                ("Scores",),
                (
                    Paragraph(
                        ("One answer is open: the total can be higher. It reaches its threshold in any case.",),
                        Tone.WARNING,
                    ),
                    Facts((Fact("Seven-point checklist", (("4 to 5, at or above its threshold of 3",),)),)),
                ),
            ),
            CAUTIONS,
            SIGNATURE,
            Section(
                LetterPart.REPORT,
                ("Report",),
                (
                    Code(
                        "https://reports.clinic.example/41 revision 2",
                        Picture(DRAWING.replace(b"map-t", b"code-t"), "image/svg+xml", ("Code to scan.",), 0.2),
                        ("The same for a scanner.",),
                    ),
                ),
            ),
        ),
        banner=(("Machine translation, not reviewed: a draft.",),),
        header=(("This practice is closed on Fridays.",),),
        footer=(("Harbour Practice, a practice that doesn't exist.",),),
    )


def long_letter() -> Tree:
    """Sixty findings, two lesions under level-3 headings, and many remarks: several pages."""
    first = urgent_letter()
    parts = tuple(
        Section(
            LetterPart.VIEWS,
            (f"View {number}",),
            (Paragraph(("Seen in polarised light, with contact and gel, the whole lesion in view. " * 4,)),),
            3,
        )
        for number in range(1, 13)
    )
    return letter(
        (
            *first.sections[:2],
            findings(60),
            Section(LetterPart.VIEWS, ("Views",), (Paragraph(("How it was looked at.",)),)),
            *parts,
            Section(
                LetterPart.HISTORY,
                ("History",),
                (Items(tuple((f"remark {number}: none",) for number in range(1, 31))),),
            ),
            CAUTIONS,
            SIGNATURE,
        )
    )


#: What would be markup, script, style or an expression, were it not text.
MARKUP = (
    "<script>window.harmed=1</script>",
    '"><img src=x onerror="window.harmed=1">',
    "</style></title><b>bold</b>",
    "{{ 7 * 7 }}{% for a in b %}",
    "&lt;i&gt; &amp; &#x41;",
    "]]> --> <!--",
    "javascript:window.harmed=1",
)


def hostile_letter() -> Tree:
    """Every place that takes words has markup in it."""
    words = tuple((Entered(one),) for one in MARKUP)
    line: Line = ("Our words & <ours>, ", *(Entered(one) for one in MARKUP))
    return letter(
        (
            Section(
                LetterPart.FIRST,
                line,
                (
                    Paragraph(line, Tone.URGENT),
                    Items(words),
                    Beside(Facts((Fact("<label> & 'more'", words),)), Figure(drawing(line), line)),
                    Figures((Figure(photograph(line), line),)),
                    Code("".join(MARKUP), None, line),
                    Signature(words),
                ),
            ),
            CAUTIONS,
        ),
        title=line,
        running=line,
        sender=words,
        recipient=words,
        date=line,
        banner=words,
        header=words,
        footer=words,
        subject='Referral </title><script>window.harmed=1</script> "41"',
    )


#: Names in scripts that run from right to left, with marks that turn the direction left open; accents; emoji.
NAMES = (
    "نور حداد",
    "שרה לוי (07)",
    "\u202eelpmaxE\u202c \u2067open",
    "Zoë Åström-Núñez Œuvré",
    "Παπαδοπούλου",
    "Ни́на Ўла́нова",
    "山田 花子",
    "👩🏽\u200d⚕️ 🩺",
    "e\u0301\u0323",
)


def scripts_letter() -> Tree:
    return letter(
        (
            Section(
                LetterPart.PATIENT,
                ("Patient",),
                (
                    Facts(tuple(Fact(f"Name {at}", ((Entered(one), ", 12"),)) for at, one in enumerate(NAMES))),
                    Paragraph(tuple(piece for one in NAMES for piece in (Entered(one), "; "))),
                    Paragraph(("A note: ", Entered("first line\nsecond line\r\nthird\x00\x07\x1b[0m line\ud800"))),
                ),
            ),
            CAUTIONS,
        ),
        running=(Entered(NAMES[0]), ", born ", "14 May 1961", ", number ", Entered("07-12"), " · report 41"),
    )


def long_words_letter() -> Tree:
    long = "Donaudampfschifffahrtsgesellschaft" * 12
    address = "https://records.clinic.example/" + "a1b2c3d4" * 40
    entered = (Entered(long), " ", Entered(address))
    return letter(
        (
            Section(
                LetterPart.FIRST,
                entered,
                (
                    Paragraph(entered, Tone.URGENT),
                    Items((entered,)),
                    Beside(
                        Facts((Fact("Label" * 40, (entered,)), Fact("Note", ((Entered("word " * 900),),)))),
                        Figure(drawing(entered), entered),
                    ),
                    Figures((Figure(photograph(entered, 1.0), entered), Figure(photograph(entered, 0.01), entered))),
                    Code(address, drawing(), entered),
                    Signature((entered,)),
                ),
            ),
            CAUTIONS,
        ),
        title=entered,
        running=entered,
        sender=(entered,),
        recipient=(entered,),
    )


def bare_letter() -> Tree:
    """A letter without anything that can be left out."""
    return letter((), title=("Letter",), running=(), sender=(), recipient=(), date=(), written="")


TREES = MappingProxyType(
    {
        "plain": plain_letter,
        "urgent": urgent_letter,
        "long": long_letter,
        "hostile": hostile_letter,
        "scripts": scripts_letter,
        "long-words": long_words_letter,
        "bare": bare_letter,
        "arabic": lambda: letter(plain_letter().sections, language="ar"),
    }
)
