"""The rules on the shape of an entry: what can't be held, and what to do about it.

Shape is what the model itself can't represent. Whatever is unusual but possible is a rule's matter, elsewhere.
"""

from __future__ import annotations

import json

from dermreport.issues import Issue, IssueRule

Path = tuple[str | int, ...]

_SHAPE = "the examination model of this library"
_JSON = "RFC 8259 (JSON)"
_NOT_IN_THE_LIST = (
    "This isn't one of the answers of the list {list}: choose one of them. Where the list is open, a code of another "
    "system is entered with its system, at a form as system|code."
)
_CAREFUL = "the more careful reading: common practice, no source"
_FHIR_TIME = "FHIR R4 and R5, data types dateTime and instant"


_TABLE = (
    IssueRule("entry-not-json", "This isn't JSON: see line {line}, column {column}.", _JSON),
    IssueRule("entry-not-utf-8", "The bytes aren't UTF-8 text.", _JSON),
    IssueRule("entry-not-an-object", "An examination is one JSON object, its names are text.", _SHAPE),
    IssueRule("entry-key-twice", "A field is given twice in one object: nobody can tell which is meant.", _JSON),
    IssueRule("entry-not-a-number", "NaN and Infinity aren't numbers: leave the field out.", _JSON),
    IssueRule("entry-too-large", "The entry is larger than {limit} bytes.", _SHAPE),
    IssueRule("entry-too-deep", "The entry is nested too deep.", _SHAPE),
    IssueRule("entry-number-too-long", "A number has more digits than any measurement.", _SHAPE),
    IssueRule("entry-missing", "This field is needed: add it, and read the entry again.", _SHAPE),
    IssueRule("entry-unknown-field", "There is a field here that this version doesn't know: check its name.", _SHAPE),
    IssueRule("entry-wrong-kind", "The value is of the wrong kind: {expected} is expected.", _SHAPE),
    IssueRule("entry-unknown-code", _NOT_IN_THE_LIST, _SHAPE),
    IssueRule("entry-out-of-range", "The number is outside what is possible ({limit}).", _SHAPE),
    IssueRule(
        "entry-text-not-allowed", "The text is blank or has a character that can't be sent.", "XML 1.0, production Char"
    ),
    IssueRule("entry-list-empty", "Give at least one.", _SHAPE),
    IssueRule("entry-text-too-long", "The text is longer than {limit} characters.", _SHAPE),
    IssueRule("entry-key-not-allowed", "A key has 1 to 64 letters, digits, dots, hyphens or underscores.", _SHAPE),
    IssueRule("entry-uri-not-allowed", "This must be an absolute URI.", "RFC 3986"),
    IssueRule(
        "entry-reference-not-allowed",
        "Write Type/id of the right type, as Patient/1, or an absolute URL.",
        "FHIR R4 and R5, Reference.reference",
    ),
    IssueRule("entry-time-not-allowed", "Write {form}: as precise as it is known.", _FHIR_TIME),
    IssueRule("entry-hash-not-allowed", "Write the hash in lower-case hexadecimal, of its algorithm's length.", _SHAPE),
    IssueRule("entry-media-type-not-allowed", "Write a media type, as image/jpeg.", "RFC 6838"),
    IssueRule("entry-uid-not-allowed", "This isn't a DICOM unique identifier.", "DICOM PS3.5, 9.1"),
    IssueRule("entry-identifier-without-system", "Give the identifier's system; only a UUID needs none.", _SHAPE),
    IssueRule("entry-reference-empty", "Give a reference, an identifier or a name to show.", _SHAPE),
    IssueRule(
        "entry-list-undone",
        "This says what was not there, and something that it rests on couldn't be held: enter both again.",
        _SHAPE,
    ),
    IssueRule(
        "entry-code-contradicts",
        "The code says one thing of the list {list}, the words beside it another: choose again.",
        "FHIR R4 and R5, Coding.display",
    ),
    IssueRule(
        "entry-step-in-words",
        "What this step is can't be read: it goes out as another step, with the words in its note. Choose the step.",
        _SHAPE,
    ),
    IssueRule(
        "entry-urgency-read",
        "The urgency isn't one word of the list: the step goes out as «{urgency}» until one is chosen.",
        "FHIR R4 and R5, RequestPriority, where it is one; else the most careful reading, common practice, no source",
    ),
    IssueRule(
        "entry-limit-in-words",
        "What limits the view can't be read: it counts as limited, with the words in its note. Choose the limit.",
        _SHAPE,
    ),
    IssueRule(
        "entry-nothing-held",
        "Nothing of this entry is held and nothing of it is sent: mend what the other issues name, and read it again.",
        _SHAPE,
    ),
    IssueRule(
        "entry-plan-not-sent",
        "A plan was entered here, and none of it has been sent, however urgent it is: see to it at once another way, "
        "or mend the entry and read it again.",
        _SHAPE,
    ),
    IssueRule(
        "entry-plan-not-known",
        "What can't be read here may be a plan, and nothing of it has gone out: if something in it is urgent, see to "
        "it at once another way, or mend it and read it again.",
        _SHAPE,
    ),
    IssueRule(
        "entry-lesion-not-held",
        "Another lesion of this visit isn't in this report, for nothing of it is held, and what was planned for it "
        "hasn't gone out: if something in it is urgent, see to it at once another way, or mend it and read the visit "
        "again.",
        _SHAPE,
    ),
    IssueRule("entry-given-twice", "Two items of this list are the same one: merge them or tell them apart.", _SHAPE),
    IssueRule(
        "entry-findings-differ",
        "This structure is recorded twice for one place, and not alike: the graver answer counts, and this one is set "
        "aside. Look again, and keep the answer that is right.",
        _CAREFUL,
    ),
    IssueRule(
        "entry-lights-differ",
        "Two views with this key name different lights: which one it was counts as not known. Give each view a key of "
        "its own and its own light.",
        _CAREFUL,
    ),
    IssueRule("entry-two-patients", "The parts belong to different patients: separate them.", _SHAPE),
    IssueRule("entry-visit-differs", "The examinations aren't of one visit: this differs.", _SHAPE),
    IssueRule("entry-not-held", "This can't be held.", _SHAPE),
)


def path_text(path: Path) -> str:
    """Return a path as text: ``("views", 0, "light")`` is ``$.views[0].light``, any other name is quoted."""
    return "$" + "".join(_part_text(part) for part in path)


def _part_text(part: str | int) -> str:
    if isinstance(part, int):
        return f"[{part}]"
    return f".{part}" if part.isascii() and part.isidentifier() else f"[{json.dumps(part)}]"


ENTRY_RULES = {rule.id: rule for rule in _TABLE}


def entry_issue(rule: str, path: str, **parameters: str) -> Issue:
    """Return the issue of one entry rule; parameters are limits, list names and positions, never what was entered."""
    return ENTRY_RULES[rule].at(path, **parameters)
