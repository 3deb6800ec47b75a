"""A host's templates: what they can say, what they are held to, and that nothing of a letter gets out of an error.

What jinja2's sandbox must withstand is its documentation's own list ("Sandbox", security considerations, 3.1): names
with underscores, what can be called, and templates that need too much time or memory.
"""

from __future__ import annotations

import sys
import time
from dataclasses import replace
from importlib import resources
from typing import Any

import html_trees
import pytest
from html_trees import TREES, letter, plain_letter, urgent_letter
from hypothesis import given, settings
from hypothesis import strategies as st
from lxml import html as parsed

import dermreport
from dermreport.issues import SettingsError
from dermreport.letters import template_language
from dermreport.letters.blocks import Entered, Items, LetterPart, Paragraph, Section, Tone, Tree
from dermreport.letters.html import write_html
from dermreport.letters.settings import LetterSettings
from dermreport.letters.standard_page import POLICY, standard_page
from dermreport.letters.template_language import LINES, PAGE, checked
from dermreport.letters.template_rules import TEMPLATE_RULES
from dermreport.letters.templates import check_templates, must_show, own_lines, own_page
from dermreport.letters.views import Words

SHIPPED = resources.files("dermreport.letters").joinpath("page.html").read_text(encoding="utf-8")
HEAD = f'<!DOCTYPE html><html lang="en"><head><meta http-equiv="Content-Security-Policy" content="{POLICY}">'
#: A page of a host's own, with everything in it.
OWN = (
    HEAD
    + """<title>{{ letter.subject }}</title></head>
<body class="{{ letter.kind }}">
{# Only the host reads this. #}
{% for line in letter.banner %}<p>{{ line }}</p>{% endfor %}
<p>{{ letter.running }}</p>
<h1 title="{{ letter.title | string }}">{{ letter.title }}</h1>
{% for section in letter.sections if section.part not in ["images"] %}
<h{{ section.level }}>{{ loop.index }} of {{ loop.length }}: {{ section.heading or section.part }}
</h{{ section.level }}>
{% for block in section.blocks %}
{% for line in block.lines %}<p class="{{ block.tone }}">{{ line }}</p>{% else %}<p>nothing</p>{% endfor %}
{% for figure in block.figures %}<p>{{ figure.picture }}</p>{% endfor %}
{% endfor %}
{% endfor %}
<p>{{ "First of several" if letter.sender | length > 1 else "One" }}: {{ letter.sender | first }}</p>
</body></html>
"""
)


def page(inside: str, head: str = "") -> str:
    return f"{HEAD}<title>{{{{ letter.subject }}}}</title>{head}</head><body>{inside}</body></html>"


def rules(issues: tuple[dermreport.Issue, ...]) -> list[str]:
    return [issue.rule for issue in issues]


def solid(text: str) -> str:
    return "".join(text.split())


# -- lines of text -----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("template", "lines"),
    [
        ("", ()),
        ("\n  \n", ()),
        ("Closed on Fridays.", (("Closed on Fridays.",),)),
        ("One.\n\n  Two.  \r\nThree.", (("One.",), ("Two.",), ("Three.",))),
        (
            "Re: {{ letter.running }}!",
            (("Re: ", Entered("Ines Example"), ", born 14 May 1961, number ", Entered("90017"), " · report 41!"),),
        ),
        ("{{ letter.date }}", (("4 March 2026",),)),
        (
            "{% for line in letter.sender %}\n{{ line }}\n{% endfor %}",
            ((Entered("Harbour Practice"),), (Entered("1 Quay Street"),), ("Telephone ", Entered("0100 200"))),
        ),
        ('{{ letter.recipient | join("; ") }}', ((Entered("Dermatology department; Hill Hospital"),),)),
        ("{{ letter.sender | first | upper }}", ((Entered("HARBOUR PRACTICE"),),)),
        ("{{ letter.sender | length }} lines", (("3 lines",),)),
        ('{{ letter.title and letter.date or "none" }}', (("4 March 2026",),)),
        ('{% if letter.kind == "referral" and not letter.banner %}yes{% else %}no{% endif %}', (("yes",),)),
        ('{% if letter.kind in ["patient"] %}a{% elif letter.written %}b{% endif %}', (("b",),)),
        ("{{ letter.subject }}", ((Entered("Referral, report 41"),),)),
        ("{# a remark #}a{% raw %}{{ b }}{% endraw %}", (("a{{ b }}",),)),
    ],
)
def test_lines_say_what_the_template_makes_of_the_letter(template: str, lines: Any) -> None:
    made, issues = own_lines("header", template, plain_letter())
    assert issues == ()
    assert [joined(line) for line in made] == [joined(line) for line in lines]


def joined(line: tuple[str, ...]) -> list[tuple[str, bool]]:
    """Return a line with neighbouring pieces of a kind put together."""
    found: list[tuple[str, bool]] = []
    for piece in line:
        entered = isinstance(piece, Entered)
        if found and found[-1][1] is entered:
            found[-1] = (found[-1][0] + piece, entered)
        else:
            found.append((piece, entered))
    return found


def test_what_was_entered_begins_no_new_line_and_stays_marked() -> None:
    forged = "a\nb\r\nc\u2028d\ufdd1e\ufdd0f"
    made, _ = own_lines("footer", "By {{ letter.title }}.", letter((), title=(Entered(forged), " ours")))
    assert [joined(line) for line in made] == [[("By ", False), ("a b c d\ufffde\ufffdf", True), (" ours.", False)]]


def test_a_template_can_not_forge_the_marks_of_what_was_entered() -> None:
    made, _ = own_lines("footer", "a\ufdd0b\ufdd1c", plain_letter())
    assert made == (("a\ufffdb\ufffdc",),)


def test_markup_in_lines_is_text() -> None:
    made, _ = own_lines("footer", "<b>{{ letter.title }}</b>", letter((), title=(Entered("<i>"),)))
    assert "".join(made[0]) == "<b><i></b>"
    assert "&lt;b&gt;<bdi>&lt;i&gt;</bdi>&lt;/b&gt;" in standard_page(replace(plain_letter(), footer=made))


# -- what isn't taken --------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("template", "line", "says"),
    [
        ("a\n{{ letter.kind", 2, "can't be read"),
        ("{% if letter.kind %}", 1, "can't be read"),
        ("\n\n{% endfor %}", 3, "can't be read"),
        ("{% nothing %}", 1, "can't be read"),
        ("a\nb\n{{ patient }}", 3, "no such name; there is "),
        ("{{ letter.patient }}", 1, "no such part here; it has banner, date, direction"),
        ("{{ letter.title.line }}", 1, "it has no parts"),
        ("{{ letter.__class__ }}", 1, "no such part"),
        ("{{ letter.kind.__class__.__mro__ }}", 1, "no parts"),
        ('{{ letter["kind"] }}', 1, "a value is a part"),
        ("{{ letter.kind.upper() }}", 1, "a value is"),
        ("{{ range(10) }}", 1, "a value is"),
        ("{{ letter }}", 1, "no single value"),
        ("{{ letter.sections }}", 1, "no single value"),
        ("{{ letter.sender }}", 1, "no single value"),
        ("{% for a in letter.sections %}{{ a }}{% endfor %}", 1, "no single value"),
        ("{% for a in letter.sections %}\n{{ a.name }}\n{% endfor %}", 2, "it has blocks, heading, level, part"),
        ("{% for a in letter.kind %}{{ a }}{% endfor %}", 1, "runs over a list"),
        ("{% for a in [1, 2] %}{{ a }}{% endfor %}", 1, "runs over a list"),
        ("{% for a, b in letter.sections %}{% endfor %}", 1, "one name"),
        ("{% for a in letter.sections recursive %}{% endfor %}", 1, "recursive"),
        ("{% for letter in letter.sections %}{% endfor %}", 1, "taken already"),
        ("{% for a in letter.sections %}{% endfor %}{{ a.part }}", 1, "no such name"),
        ("{{ loop.index }}", 1, "no such name"),
        ("{% for a in letter.sections %}{{ loop.cycle }}{% endfor %}", 1, "first, index, last, length"),
        ("{% set a = 1 %}", 1, "nothing else"),
        ("{% macro a() %}{% endmacro %}", 1, "nothing else"),
        ('{% include "a" %}', 1, "nothing else"),
        ('{% import "a" as b %}', 1, "nothing else"),
        ('{% extends "a" %}', 1, "nothing else"),
        ("{% block a %}{% endblock %}", 1, "nothing else"),
        ("{% filter upper %}a{% endfilter %}", 1, "nothing else"),
        ("{% autoescape false %}{% endautoescape %}", 1, "nothing else"),
        ("{% with a = 1 %}{% endwith %}", 1, "nothing else"),
        ("{{ letter.kind | safe }}", 1, "no such filter; there is capitalize"),
        ("{{ letter.kind | attr('__class__') }}", 1, "no such filter"),
        ("{{ letter.kind | nothing }}", 1, "no such filter"),
        ("{{ letter.kind | turns_ }}", 1, "no such filter"),
        ("{{ letter.sender | join(letter.kind) }}", 1, "one fixed text"),
        ('{{ letter.sender | join(d="a") }}', 1, "one fixed text"),
        ("{{ letter.kind | upper(3) }}", 1, "one fixed text"),
        ("{{ letter.sections | join }}", 1, "takes lines"),
        ("{{ letter.kind | first }}", 1, "take a list"),
        ("{{ letter.sender | upper }}", 1, "take a list"),
        ("{{ letter.sections | first | upper }}", 1, "no single value"),
        ('{{ "a" * 1000000000 }}', 1, "a value is"),
        ("{{ 9 ** 9 ** 9 }}", 1, "a value is"),
        ("{{ letter.kind ~ letter.kind }}", 1, "a value is"),
        ('{{ "%1000000000d" % 1 }}', 1, "a value is"),
        ("{{ letter.kind is defined }}", 1, "a value is"),
        ("{{ {1: 2} }}", 1, "a value is"),
        ('{{ "a" if letter.kind }}', 1, "with if and else"),
        ("{{ letter if letter.kind else letter }}", 1, "no single value"),
        ("{{ letter.sender or letter.kind }}", 1, "no single value"),
        ("{{ letter.kind and (letter.date or letter.sections) }}", 1, "no single value"),
        ('{{ ["a"] }}', 1, "no single value"),
        ('{{ "a", letter.kind }}', 1, "no single value"),
        ("{% if letter.patient %}{% endif %}", 1, "no such part"),
        ("{% if letter.kind %}\n{% elif letter.patient %}{% endif %}", 2, "no such part"),
        ("{% if letter.kind == letter.patient %}{% endif %}", 1, "no such part"),
        ("{% for a in letter.sections if a.name %}{% endfor %}", 1, "no such part"),
        ("{% if letter.kind %}" * 9 + "a" + "{% endif %}" * 9, 1, "deep at most"),
        ("{{ " + "(" * 3000 + "letter.kind" + ")" * 3000 + " }}", 1, "can't be read"),
        ("{{ " + "letter.kind or " * 9000 + "letter.kind }}", 1, "can't be read"),
        ("{{ " + "not " * 9000 + "letter.kind }}", 1, "can't be read"),
    ],
)
@pytest.mark.parametrize("language", [LINES, PAGE], ids=["lines", "page"])
def test_what_is_not_taken_is_said_with_its_line(template: str, line: int, says: str, language: Any) -> None:
    with pytest.raises(SettingsError) as caught:
        checked("header", template, language)
    text = str(caught.value)
    assert text.startswith(f"letter settings: header, line {line}: ")
    assert says in text
    assert caught.value.__cause__ is None
    assert caught.value.__context__ is None


@pytest.mark.parametrize("deep", [7, 8, 9])
def test_conditions_stand_in_one_another_as_deep_as_the_limit(deep: int) -> None:
    template = "{% if letter.kind %}" * deep + "a" + "{% endif %}" * deep
    if deep <= 8:
        assert own_lines("header", template, plain_letter()) == ((("a",),), ())
    else:
        with pytest.raises(SettingsError, match="8 deep"):
            own_lines("header", template, plain_letter())


def test_a_template_has_a_longest_length() -> None:
    assert checked("page", "a" * 200_000, PAGE)
    with pytest.raises(SettingsError, match="200000 characters"):
        checked("page", "a" * 200_001, PAGE)


# -- what can't hang or grow -------------------------------------------------------------------------------------------


def many(count: int) -> Tree:
    return letter(tuple(Section(LetterPart.FINDINGS, ("a",), (Paragraph(("b",)),)) for _ in range(count)))


def test_turns_of_all_loops_count_together() -> None:
    template = "{% for a in letter.sections %}{% for b in letter.sections %}{% endfor %}{% endfor %}a"
    # 315 turns of the outer loop and 315 times as many of the inner one are 99 540; 316 are 100 172.
    assert own_lines("header", template, many(315)) == ((("a",),), ())
    assert rules(own_lines("header", template, many(316))[1]) == ["letter-lines-not-used"]


def test_loops_in_loops_end_soon() -> None:
    template = "".join(f"{{% for a{at} in letter.sections %}}" for at in range(8)) + "{% endfor %}" * 8
    began = time.monotonic()
    assert rules(own_lines("header", template, many(1000))[1]) == ["letter-lines-not-used"]
    assert time.monotonic() - began < 5


def test_lines_are_no_longer_than_the_limit() -> None:
    template = "{{ letter.title }}"
    long = letter((), title=("a" * 20_000,))
    assert own_lines("header", template, long)[0] == (("a" * 20_000,),)
    longer = letter((), title=("a" * 20_001,))
    assert own_lines("header", template, longer) == (
        (),
        (TEMPLATE_RULES["letter-lines-not-used"].at("$", name="header"),),
    )


def test_a_page_is_no_longer_than_some_standard_pages() -> None:
    tree = urgent_letter()
    made, issues = own_page(page(PEOPLE + "{{ body }}" * 3), tree)
    assert issues == ()
    assert made != standard_page(tree)
    # The letter that a page is tried with is English.
    often = "{% for a in letter.sections %}{% for b in letter.sections %}{{ body }}{% endfor %}{% endfor %}"
    template = page('{{ body }}{% if letter.language == "de" %}' + often + "{% endif %}")
    tree = replace(tree, language="de")
    assert own_page(template, tree) == (standard_page(tree), (TEMPLATE_RULES["letter-page-not-used"].at("$"),))


# -- nothing of a letter gets out --------------------------------------------------------------------------------------


def test_what_fails_with_a_letter_tells_nothing_of_it(monkeypatch: pytest.MonkeyPatch) -> None:
    tree = replace(plain_letter(), banner=())
    made, issues = own_lines("footer", "{{ letter.running }} {{ letter.banner | first }}", tree)
    assert made == ()
    assert rules(issues) == ["letter-lines-not-used"]
    assert "Ines" not in repr(issues)

    def broken(_: object) -> str:
        raise ValueError("Ines Example")

    monkeypatch.setattr(template_language, "balanced", broken)
    made, issues = own_lines("footer", "{{ letter.running }}", tree)
    assert (made, rules(issues)) == ((), ["letter-lines-not-used"])


def test_a_page_that_fails_gives_the_standard_one() -> None:
    # The letter that a page is tried with has a banner.
    tree = replace(plain_letter(), banner=())
    made, issues = own_page(page("{{ letter.banner | first }}{{ body }}"), tree)
    assert made == standard_page(tree)
    assert rules(issues) == ["letter-page-not-used"]


# -- pages -------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", TREES)
def test_the_standard_page_is_a_template_that_a_host_can_write(name: str) -> None:
    assert write_html(TREES[name](), SHIPPED) == (standard_page(TREES[name]()), ())
    assert write_html(TREES[name]()) == (standard_page(TREES[name]()), ())


@pytest.mark.parametrize("name", TREES)
def test_a_page_of_a_host_s_own_shows_what_every_letter_shows(name: str) -> None:
    tree = replace(TREES[name](), sender=((Entered("Harbour"),),))
    check_templates(LetterSettings(page=OWN))
    made, issues = write_html(tree, OWN)
    assert issues == ()
    text = solid(parsed.document_fromstring(made.encode(), parser=parsed.HTMLParser(encoding="utf-8")).text_content())
    lines = [solid(str(Words(line))) for line in must_show(tree)]
    assert [line for line in lines if line not in text] == []
    if name != "bare":
        assert len(lines) > 2
    assert "Only the host" not in made


def test_markup_in_a_letter_is_text_on_a_host_s_page() -> None:
    made, issues = write_html(html_trees.hostile_letter(), OWN)
    assert issues == ()
    root = parsed.document_fromstring(made)
    assert {one.tag for one in root.iter("script", "img", "b")} <= {"img"}
    assert [one.get("src")[:15] for one in root.iter("img")] == ["data:image/png;"]
    assert all(not key.startswith("on") for one in root.iter() for key in one.attrib)


URGENT = "URGENT: a melanoma is suspected. Please see within two weeks."
SECOND = "Wanted: excision of the whole lesion with a narrow margin."
CAUTION = "A score supports judgement and never replaces it. A low score excludes nothing."
PERSON = "Ines Example, born 14 May 1961, number 90017 · report 41"
DRAFT = "Machine translation, not reviewed: a draft."


def all_but(*parts: str) -> str:
    listed = ", ".join(f'"{part}"' for part in parts)
    return (
        "{% for section in letter.sections %}{% if section.part not in [" + listed + "] %}"
        "{% for block in section.blocks %}{% for line in block.lines %}<p>{{ line }}</p>{% endfor %}{% endfor %}"
        "{% endif %}{% endfor %}"
    )


PEOPLE = "{% for line in letter.banner %}<p>{{ line }}</p>{% endfor %}<p>{{ letter.running }}</p>"


@pytest.mark.parametrize(
    ("inside", "expected"),
    [
        (PEOPLE + all_but("nothing"), []),
        (PEOPLE + all_but("first"), ["letter-page-lacks-action"]),
        (PEOPLE + all_but("cautions"), ["letter-page-lacks-cautions"]),
        (all_but("nothing"), ["letter-page-lacks-person"]),
        ("<p>{{ letter.running }}</p>" + all_but("nothing"), ["letter-page-lacks-person"]),
        ("<p>A letter.</p>", ["letter-page-lacks-person", "letter-page-lacks-action", "letter-page-lacks-cautions"]),
        (
            f"<div hidden>{PEOPLE}{{{{ body }}}}</div>",
            ["letter-page-lacks-person", "letter-page-lacks-action", "letter-page-lacks-cautions"],
        ),
        (
            f"{PEOPLE}<div style='Display : NONE'>{all_but('cautions')}</div>{all_but('first')}",
            ["letter-page-lacks-action"],
        ),
        (
            f"{PEOPLE}<div style='opacity: 0'>{all_but('cautions')}</div>{all_but('first')}",
            ["letter-page-lacks-action"],
        ),
        (f"{PEOPLE}<div style='opacity: 0.9'>{all_but('nothing')}</div>", []),
        (f"{PEOPLE}<template>{all_but('cautions')}</template>{all_but('first')}", ["letter-page-lacks-action"]),
        (f"{PEOPLE}<div aria-hidden='true'>{{{{ body }}}}</div>{all_but('first')}", ["letter-page-lacks-action"]),
    ],
)
def test_a_page_gets_back_what_it_leaves_out(inside: str, expected: list[str]) -> None:
    template = page(inside)
    check_templates(LetterSettings(page=template))
    made, issues = write_html(urgent_letter(), template)
    assert rules(issues) == expected
    assert all(issue.severity is dermreport.Severity.WARNING for issue in issues)
    root = parsed.document_fromstring(made)
    said = [one.text_content() for one in root.iter("p")]
    for line in (DRAFT, PERSON, URGENT, SECOND, CAUTION):
        assert line in said
    put_first = [DRAFT, PERSON] if "letter-page-lacks-person" in expected else []
    put_first += [URGENT, SECOND] if "letter-page-lacks-action" in expected else []
    at_the_top = [one.text_content() for one in root.xpath("//body/*[1]/section/p[@class='urgent']")]
    assert at_the_top == [line for line in put_first if line != PERSON or not inside.startswith("<p>{{ letter.running")]
    if "letter-page-lacks-cautions" in expected:
        assert said[-2] == CAUTION
    assert "Ines" not in repr(issues)


def test_what_is_urgent_in_any_part_must_be_shown() -> None:
    late = Section(LetterPart.HISTORY, ("History",), (Paragraph(("Call today.",), Tone.URGENT), Paragraph(("Rest.",))))
    made, issues = write_html(letter((late, html_trees.CAUTIONS)), page(PEOPLE + all_but("history")))
    assert rules(issues) == ["letter-page-lacks-action"]
    assert "<strong>Call today.</strong>" in made
    assert "Rest." not in made


@pytest.mark.parametrize("part", [LetterPart.SPECIMEN, LetterPart.PLAN, LetterPart.WATCH, LetterPart.CONTACT])
def test_what_somebody_must_do_is_put_back_whole(part: LetterPart) -> None:
    kept = Section(part, ("Heading",), (Paragraph(("Do this.",)), Items((("and that",),))))
    tree = letter((kept, html_trees.CAUTIONS))
    made, issues = write_html(tree, page(PEOPLE + all_but(part.value)))
    assert rules(issues) == ["letter-page-lacks-action"]
    assert made.index("<h2>Heading</h2>") < made.index("<p>Do this.</p>") < made.index("<li>and that</li>")
    half = all_but(part.value) + "<p>Do this.</p>"
    assert rules(write_html(tree, page(PEOPLE + half))[1]) == ["letter-page-lacks-action"]
    assert write_html(tree, page(PEOPLE + half + "<p>and that</p>"))[1] == ()


def test_a_page_without_room_for_what_must_be_shown_is_not_used() -> None:
    template = page("<p>A letter.</p>").replace("<body>", "<body hidden>")
    tree = urgent_letter()
    assert write_html(tree, template) == (standard_page(tree), (TEMPLATE_RULES["letter-page-not-used"].at("$"),))


@pytest.mark.parametrize(
    ("template", "says"),
    [
        ("<p>{{ body }}</p>", "one head and one body"),
        (page("{{ body }}") + "<body>", "one head and one body"),
        (page("{{ body }}").replace("</body>", ""), "one head and one body"),
        (page("{{ body }}").replace("img-src data:", "img-src *"), "Content-Security-Policy"),
        (page("{{ body }}").replace("http-equiv", "name"), "Content-Security-Policy"),
        (page("{{ body }}", '<meta http-equiv="Content-Security-Policy" content="">'), "Content-Security-Policy"),
        (page("{{ body }}<!-- a remark -->"), "comments"),
        (page("{{ body }}<script>window.harmed=1</script>"), "runs, fetches"),
        (page("{{ body }}<iframe></iframe>"), "runs, fetches"),
        (page("{{ body }}<form></form>"), "runs, fetches"),
        (page("{{ body }}<object></object>"), "runs, fetches"),
        (page("{{ body }}", '<link rel="stylesheet">'), "runs, fetches"),
        (page("{{ body }}", "<base>"), "runs, fetches"),
        (page("{{ body }}", '<meta http-equiv="Refresh" content="0">'), "runs, fetches"),
        (page('{{ body }}<p ONCLICK="a()">a</p>'), "would run"),
        (page("{{ body }}<p class={{ letter.title | string }}>a</p>"), "tells what was entered"),
        (page("{{ body }}<p title={{ letter.title | string }}>a</p>"), "would run"),
        (page("{{ body }}<p class='{{ letter.title | string }}'>a</p>"), "tells what was entered"),
        (page("{{ body }}<p title='{{ letter.title }}'>a</p>"), "by the filter string"),
        (page('{{ body }}<img alt="" src="https://clinic.example/a.png">'), "address"),
        (page('{{ body }}<img alt="" src="//clinic.example/a.png">'), "address"),
        (page('{{ body }}<img alt="" src="a.png">'), "address"),
        (page('{{ body }}<img alt="" srcset="https://clinic.example/a.png 2x">'), "address"),
        (page('{{ body }}<img alt="" src="data:text/html;base64,AAAA">'), "address"),
        (page('{{ body }}<a href="javascript:a()">a</a>'), "address"),
        (page('{{ body }}<a href="JAVASCRIPT:a()">a</a>'), "address"),
        (page('{{ body }}<a href="{{ letter.running | string }}">a</a>'), "address"),
        (page('{{ body }}<a href="https://clinic.example/{{ letter.running | string }}">a</a>'), "address"),
        (page('{{ body }}<a ping="https://clinic.example">a</a>'), "address"),
        (page('{{ body }}<svg><use xlink:href="https://clinic.example/a#b"/></svg>'), "address"),
        (page('{{ body }}<p style="background: url(https://clinic.example/a)">a</p>'), "fetches"),
        (page("{{ body }}", "<style>@import 'a.css';</style>"), "style sheet fetches"),
        (page("{{ body }}", "<style>p { background: image-set('a.png' 1x) }</style>"), "style sheet fetches"),
        (
            page("{{ body }}", "<style>p { background: URL( 'https://clinic.example/a' ) }</style>"),
            "style sheet fetches",
        ),
        (page("{{ body }}", "<style>/* {{ letter.title | string }} */</style>"), "stands in the head"),
        (page("{{ body }}<style>/* {{ letter.title | string }} */</style>"), "style sheet tells"),
        (page("{{ body }}").replace("letter.subject", "letter.running"), "stands in the head"),
        (page("{{ body }}", '<meta name="author" content="{{ letter.running | string }}">'), "tells what was entered"),
        (page("{{ body }}" * 9), "too long"),
    ],
)
@pytest.mark.parametrize("early", [True, False], ids=["settings", "letter"])
def test_a_page_that_runs_fetches_or_tells_is_not_taken(template: str, says: str, *, early: bool) -> None:
    with pytest.raises(SettingsError) as caught:
        check_templates(LetterSettings(page=template)) if early else write_html(urgent_letter(), template)
    assert str(caught.value).startswith("letter settings: page: ")
    assert says in str(caught.value)
    assert "ENTERED" not in str(caught.value)
    assert (caught.value.__cause__, caught.value.__context__) == (None, None)


@pytest.mark.parametrize(
    "inside",
    [
        '<a href="https://clinic.example/help">help</a>',
        '<a href="#top" id="top">up</a>',
        '<a href="mailto:desk@clinic.example">write</a>',
        '<a href="tel:+100200">call</a>',
        '<img alt="Mark of the practice" src="data:image/png;base64,iVBORw0KGgo=">',
        '<p style="background: url(data:image/png;base64,iVBORw0KGgo=)">a</p>',
        "<p style='background: url( \"data:image/png;base64,iVBORw0KGgo=\" )'>a</p>",
        '<p title="{{ letter.title | string }}" aria-label="{{ letter.running | string }}">a</p>',
    ],
)
def test_a_page_may_have_what_only_a_reader_s_hand_follows(inside: str) -> None:
    template = page("{{ letter.running }}{% for line in letter.banner %}{{ line }}{% endfor %}{{ body }}" + inside)
    check_templates(LetterSettings(page=template))
    made, issues = write_html(urgent_letter(), template)
    assert issues == ()
    assert made != standard_page(urgent_letter())


def test_what_only_a_certain_letter_turns_into_harm_gives_the_standard_page() -> None:
    """An attribute without quotation marks, where the letter that a page is tried with never gets."""
    inside = '{% if letter.language == "de" %}<p class={{ letter.title | string }}>a</p>{% endif %}'
    template = page("{{ letter.running }}{{ body }}" + inside)
    check_templates(LetterSettings(page=template))
    good, bad = (letter((html_trees.CAUTIONS,), title=(Entered(one),), language="de") for one in ("a", "a onclick=b"))
    assert write_html(good, template)[1] == ()
    assert write_html(bad, template) == (standard_page(bad), (TEMPLATE_RULES["letter-page-not-used"].at("$"),))


@pytest.mark.parametrize("name", ["header", "footer", "page"])
def test_every_template_of_the_settings_is_checked(name: str) -> None:
    check_templates(LetterSettings())
    check_templates(LetterSettings(header="{{ letter.date }}", footer="a", page=OWN))
    with pytest.raises(SettingsError, match=f"^letter settings: {name}, line 2: "):
        check_templates(LetterSettings(**{name: "a\n{{ nobody }}"}))


# -- whatever a host writes --------------------------------------------------------------------------------------------

PIECES = st.from_regex(
    r"\{\{|\}\}|\{% if|\{% for a in|%\}|\{% endif %\}|\{% endfor %\}|\{% raw %\}|letter|sections|title|running|sender|"
    r"body|first|upper|join|loop|__class__| in | not | if | else | [|] |[|.()'a1*~\n #]|<p>|\uFDD0",
    fullmatch=True,
)


@settings(max_examples=300)
@given(st.lists(PIECES, max_size=14).map("".join))
def test_any_template_gives_lines_or_an_error_of_ours(template: str) -> None:
    said = ""
    lines, issues = (), ()
    try:
        lines, issues = own_lines("header", template, urgent_letter())
    except SettingsError as error:
        said = str(error)
    assert "Ines" not in said
    assert all(lines)
    assert rules(issues) in ([], ["letter-lines-not-used"])


def test_the_table_of_issues_quotes_nothing() -> None:
    for rule in TEMPLATE_RULES.values():
        assert rule.id.startswith("letter-")
        assert rule.message.endswith(".")
        assert all(one.startswith("name}") for one in rule.message.split("{")[1:])


def test_without_jinja2_the_error_names_the_command(monkeypatch: pytest.MonkeyPatch) -> None:
    checked.cache_clear()
    for name in ("jinja2", *[name for name in sys.modules if name.startswith("jinja2.")]):
        monkeypatch.setitem(sys.modules, name, None)
    with pytest.raises(dermreport.MissingExtraError, match=r"pip install 'dermreport\[letter\]'"):
        own_lines("header", "{{ letter.date }}", plain_letter())
    assert own_lines("header", "", plain_letter()) == ((), ())
