"""A host's own lines and pages: made of the letter by a template, and held to what a letter must show.

A page that leaves out what calls for action, whom the letter is about or the cautions gets them back. One that would
run, fetch or tell too much isn't taken when the settings are checked; where only a certain letter shows it, the
standard page is used and an issue says so. No error and no issue quotes a letter.
"""

from __future__ import annotations

import re
from dataclasses import replace
from functools import lru_cache
from typing import TYPE_CHECKING, Final

from dermreport.issues import SettingsError
from dermreport.letter_file import LetterKind
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
    LetterPart,
    Line,
    Paragraph,
    Picture,
    Section,
    Signature,
    Tone,
    Tree,
)
from dermreport.letters.standard_page import POLICY, body, standard_page, style
from dermreport.letters.template_language import ENTERED_BEGIN, ENTERED_END, LINES, PAGE, checked, written
from dermreport.letters.template_rules import template_issue
from dermreport.letters.views import Words, letter_view

if TYPE_CHECKING:
    from collections.abc import Iterator

    from lxml import html

    from dermreport.issues import Issue
    from dermreport.letters.settings import LetterSettings

#: Characters of a host's lines; and how many times the standard page's a host's page has.
_MOST_CHARACTERS: Final = 20_000
_MOST_PAGES: Final = 4
#: Parts that every page shows: what calls for action, of the reader or of the patient, and the cautions.
_KEPT: Final = frozenset(
    {LetterPart.FIRST, LetterPart.SPECIMEN, LetterPart.PLAN, LetterPart.WATCH, LetterPart.CONTACT, LetterPart.CAUTIONS}
)
_ENTERED: Final = re.compile(f"({ENTERED_BEGIN}[^{ENTERED_END}]*{ENTERED_END})")
_BODY: Final = re.compile(r"<body\b[^>]*>", re.IGNORECASE)
_BODY_END: Final = re.compile(r"</body\s*>", re.IGNORECASE)
#: Elements that run, fetch, send, or show another page.
_REFUSED: Final = frozenset(
    {"applet", "base", "embed", "fencedframe", "form", "frame", "frameset", "iframe", "link", "object", "portal"}
    | {"script"}
)
#: Attributes that name an address which is fetched or gone to.
_ADDRESSES: Final = frozenset(
    {"action", "archive", "background", "cite", "classid", "codebase", "data", "dynsrc", "formaction", "href"}
    | {"longdesc", "lowsrc", "manifest", "ping", "poster", "profile", "src", "srcdoc", "srcset", "usemap", "xlink:href"}
)
_FIXED: Final = re.compile(r"#[A-Za-z0-9_-]*|data:image/(?:png|jpeg|gif|webp|svg\+xml);base64,[A-Za-z0-9+/=\s]*")
_GONE_TO: Final = re.compile(r"#[A-Za-z0-9_-]*|(?:https://|mailto:|tel:)[^\s\"'<>]*", re.IGNORECASE)
#: Attributes that are words.
_WORDS: Final = frozenset({"alt", "title", "aria-label", "aria-description"})
_UNSEEN: Final = frozenset({"datalist", "dialog", "head", "noscript", "style", "template", "textarea", "title"})
_HIDES: Final = re.compile(
    r"display\s*:\s*none|visibility\s*:\s*(?:hidden|collapse)|opacity\s*:\s*0?(?:\.?0*)%?\s*(?:[;!]|$)"
)
_FETCHES: Final = re.compile(r"@import|image-set\(|src\(|url\(\s*+['\"]?+\s*+(?!data:image/|#)", re.IGNORECASE)

#: What stands for everything that was entered when a page is tried without a letter.
_SAMPLE: Final = "ENTERED onclick=1 <b>\"'"
_TRACE: Final = "ENTERED"


def own_lines(name: str, template: str, tree: Tree) -> tuple[tuple[Line, ...], tuple[Issue, ...]]:
    """Return a host's lines for a letter, one for each line that isn't empty.

    Args:
        name: The setting: ``header`` or ``footer``.
        template: The template; what is in braces is the letter's.
        tree: The letter.

    Returns:
        The lines, in which what was entered is marked, and an issue where they can't be made of this letter.

    Raises:
        SettingsError: It is no template that can be taken.
        MissingExtraError: jinja2 isn't installed.
    """
    if not template:
        return (), ()
    text = written(name, template, LINES, {"letter": letter_view(tree)}, _MOST_CHARACTERS)
    if text is None:
        return (), (template_issue("letter-lines-not-used", name=name),)
    lines = (line.strip() for line in text.split("\n"))
    return tuple(_line(line) for line in lines if line), ()


def own_page(template: str, tree: Tree) -> tuple[str, tuple[Issue, ...]]:
    """Return a host's page for a letter.

    Args:
        template: The template of a whole page.
        tree: The letter.

    Returns:
        The page, to which what every letter shows is put where the template leaves it out, and what was done about it.

    Raises:
        SettingsError: It is no template that can be taken.
        MissingExtraError: jinja2 isn't installed.
    """
    _try(template)
    standard = standard_page(tree)
    page = _made(template, tree)
    if page is None or next(_faults(page), None) is not None:
        return standard, (template_issue("letter-page-not-used"),)
    seen = _seen(page)
    people = [line for line in _people(tree) if _lacks(seen, line)]
    urgent = [line for line in _urgent(tree) if _lacks(seen, line)]
    left_out = [one for one in tree.sections if one.part in _KEPT and any(_lacks(seen, line) for line in _said(one))]
    if not (people or urgent or left_out):
        return page, ()
    page = _put_back(page, [*people, *urgent], left_out)
    if any(_lacks(_seen(page), line) for line in must_show(tree)):
        return standard, (template_issue("letter-page-not-used"),)
    found = (
        ("letter-page-lacks-person", bool(people)),
        ("letter-page-lacks-action", bool(urgent) or any(one.part is not LetterPart.CAUTIONS for one in left_out)),
        ("letter-page-lacks-cautions", any(one.part is LetterPart.CAUTIONS for one in left_out)),
    )
    return page, tuple(template_issue(rule) for rule, is_so in found if is_so)


def must_show(tree: Tree) -> Iterator[Line]:
    """Yield the lines that every page of a host shows."""
    yield from _people(tree)
    yield from _urgent(tree)
    for section in tree.sections:
        if section.part in _KEPT:
            yield from _said(section)


def _put_back(page: str, lines: list[Line], sections: list[Section]) -> str:
    """Return a page with lines and the first part at its beginning, and other parts at its end."""
    first = [one for one in sections if one.part is LetterPart.FIRST]
    if lines:
        first.insert(0, Section(LetterPart.FIRST, (), tuple(Paragraph(line, Tone.URGENT) for line in lines)))
    last = [one for one in sections if one.part is not LetterPart.FIRST]
    begin, end = _BODY.search(page), _BODY_END.search(page)
    if begin is None or end is None:
        return page
    return "".join(
        (page[: begin.end()], _framed(first), page[begin.end() : end.start()], _framed(last), page[end.start() :])
    )


def _framed(sections: list[Section]) -> str:
    """Return parts of a letter in a frame that needs no style sheet."""
    if not sections:
        return ""
    return f'<div style="border: 3px solid; padding: .5em 1em; margin: 1em 0">{body(sections).__html__()}</div>'


def check_templates(settings: LetterSettings) -> None:
    """Refuse templates that can't be taken, before there is a letter.

    Raises:
        SettingsError: One of them isn't a template, names what isn't there, or makes a page that runs, fetches, or
            tells in its head or in an address what was entered. The text names the setting and the line or the fault.
        MissingExtraError: jinja2 isn't installed.
    """
    for name, template in (("header", settings.header), ("footer", settings.footer)):
        if template:
            checked(name, template, LINES)
    if settings.page:
        _try(settings.page)


@lru_cache(maxsize=16)
def _try(template: str) -> None:
    """Refuse a template of a page that can't be taken, by what it makes of a letter that is nobody's.

    Raises:
        SettingsError: It can't be taken.
    """
    for kind in LetterKind:
        page = _made(template, replace(_sample(), kind=kind))
        if page is None:
            raise SettingsError(
                "letter settings: page: it makes no letter: it is too long, or takes the first of an empty list"
            )
        for fault in _faults(page, _TRACE):
            raise SettingsError(f"letter settings: page: {fault}")


# -- making it ---------------------------------------------------------------------------------------------------------


def _made(template: str, tree: Tree) -> str | None:
    longest = _MOST_PAGES * len(standard_page(tree)) + len(template)
    values = {"letter": letter_view(tree), "body": body(tree.sections), "style": style(), "policy": POLICY}
    return written("page", template, PAGE, values, longest)


def _line(text: str) -> Line:
    pieces = (piece for piece in _ENTERED.split(text) if piece)
    return tuple(Entered(piece[1:-1]) if piece.startswith(ENTERED_BEGIN) else piece for piece in pieces)


# -- what it must show -------------------------------------------------------------------------------------------------


def _people(tree: Tree) -> Iterator[Line]:
    """Yield who a letter is about, and that it is a draft."""
    yield from (line for line in (*tree.banner, tree.running) if line)


def _urgent(tree: Tree) -> Iterator[Line]:
    """Yield what is urgent, wherever it stands; parts that are kept whole have their own."""
    for section in tree.sections:
        for block in section.blocks:
            if section.part not in _KEPT and isinstance(block, Paragraph) and block.tone is Tone.URGENT:
                yield block.line


def _said(section: Section) -> Iterator[Line]:
    """Yield what a part says as lines."""
    for block in section.blocks:
        match block:
            case Paragraph(line, _):
                yield line
            case Items(lines) | Signature(lines):
                yield from lines
            case Facts(rows) | Beside(Facts(rows), _):
                yield from (line for row in rows for line in row.lines)
            case Figures(figures):
                yield from (one.caption for one in figures)
            case Code(_, _, caption):
                yield caption


def _solid(text: str) -> str:
    return "".join(text.split())


def _lacks(seen: str, line: Line) -> bool:
    return _solid(str(Words(line))) not in seen


def _parsed(page: str) -> html.HtmlElement:
    from lxml import html  # noqa: PLC0415 - loaded on first use

    return html.document_fromstring(page.encode(), parser=html.HTMLParser(encoding="utf-8", huge_tree=True))


def _seen(page: str) -> str:
    """Return the text of a page that can be seen, without its spaces; what a style sheet hides isn't noticed."""
    parsed = _parsed(page)
    for element in list(parsed.iter()):
        if element.getparent() is not None and _is_hidden(element):
            element.drop_tree()
    return _solid(parsed.text_content())


def _is_hidden(element: html.HtmlElement) -> bool:
    return (
        element.tag in _UNSEEN
        or element.get("hidden") is not None
        or element.get("aria-hidden") == "true"
        or _HIDES.search(element.get("style", "").lower()) is not None
    )


# -- what it must not do -----------------------------------------------------------------------------------------------


def _faults(page: str, entered: str = "") -> Iterator[str]:
    """Yield what stands against a page, for its host.

    Args:
        page: The page.
        entered: A word that must stand nowhere but in its text, where a page is tried.
    """
    parsed = _parsed(page)
    if len(_BODY.findall(page)) != 1 or len(_BODY_END.findall(page)) != 1 or parsed.find("head") is None:
        yield "it needs one head and one body, each with its end"
        return
    policies = [one.get("content") for one in parsed.find("head").iter("meta") if _is_policy(one)]
    if policies != [POLICY]:
        yield f'its head needs <meta http-equiv="Content-Security-Policy" content="{POLICY}">, once'
    if entered and entered in "".join(parsed.find("head").itertext()):
        yield "nothing of a letter but its subject, kind, language and day stands in the head"
    for element in parsed.iter():
        if not isinstance(element.tag, str):
            yield "it has comments of HTML: write them as {# … #}, so that they stay with you"
        elif element.tag in _REFUSED or (element.tag == "meta" and element.get("http-equiv", "").lower() == "refresh"):
            yield "it has an element that runs, fetches, sends or shows something else"
        elif element.tag == "style" and _FETCHES.search(element.text or ""):
            yield "its style sheet fetches something"
        elif element.tag == "style" and entered and entered in (element.text or ""):
            yield "its style sheet tells what was entered"
        for name, value in element.attrib.items():
            yield from _faults_of(str(element.tag), name.lower(), value, entered)


def _is_policy(meta: html.HtmlElement) -> bool:
    return str(meta.get("http-equiv", "")).lower() == "content-security-policy"


def _faults_of(tag: str, name: str, value: str, entered: str) -> Iterator[str]:
    """Yield what stands against one attribute."""
    if name.startswith("on"):
        yield "an attribute would run: write no such attribute, and quotation marks round every value"
    address = _GONE_TO if (tag, name) == ("a", "href") else _FIXED
    if name in _ADDRESSES and not address.fullmatch(value):
        yield "an attribute fetches or leads to an address: a picture stands in the page as data"
    if name == "style" and _FETCHES.search(value):
        yield "a style fetches something"
    if entered and (f"<bdi>{entered}" in value or (entered in value and name not in _WORDS)):
        yield "an attribute tells what was entered: only alt, title and aria-label may, by the filter string"


# -- a letter to try a page with ---------------------------------------------------------------------------------------


def _sample() -> Tree:
    """Return a letter that has everything that a letter can have, and nothing of anybody."""
    line: Line = (Entered(_SAMPLE), " words")
    drawn = Picture(b'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 1 1"/>', "image/svg+xml", line)
    facts = Facts((Fact("label", (line,)),))
    figure = Figure(drawn, line)
    blocks: tuple[Block, ...] = (
        *(Paragraph(line, tone) for tone in Tone),
        Items((line,)),
        facts,
        Figures((figure, figure)),
        Beside(facts, figure),
        Code("content", drawn, line),
        Signature((line,)),
    )
    return Tree(
        kind=LetterKind.REFERRAL,
        language="en",
        title=line,
        running=line,
        subject="Letter",
        sender=(line,),
        recipient=(line,),
        date=line,
        banner=(line,),
        header=(line,),
        footer=(line,),
        sections=tuple(Section(part, line, blocks) for part in LetterPart),
        written="2026-01-01",
    )
