"""The rules on a response to the form: what can't be read of it, and what to do about it.

What the examination can't hold has the rules of every entry (:mod:`dermreport.examination.entry_rules`).
"""

from __future__ import annotations

from types import MappingProxyType
from typing import Final

from dermreport.issues import Issue, IssueRule, Severity

_FORM: Final = "the form of this library"
_RESPONSE: Final = "FHIR R4 and R5, QuestionnaireResponse"


_TABLE: Final = (
    IssueRule("form-not-a-response", "This isn't a QuestionnaireResponse.", _RESPONSE),
    IssueRule("form-other-form", "These are the answers to another form: nothing is read of them.", _RESPONSE),
    IssueRule(
        "form-modifier",
        "Something in it changes what it means in a way that isn't known here: nothing is read of it.",
        "FHIR R4 and R5, modifier extensions and implicit rules",
    ),
    IssueRule(
        "form-two-patients",
        "The form is about one patient, its answers name another: nothing is read. Find out whose lesion it is.",
        _RESPONSE,
    ),
    IssueRule(
        "form-not-finished",
        "The form isn't finished, yet the examination is called final: finish it, or call the examination a draft.",
        _RESPONSE,
    ),
    IssueRule(
        "form-withdrawn",
        "The form was entered in error, so the examination counts as withdrawn, whatever its state says.",
        _RESPONSE,
    ),
    IssueRule(
        "form-state-not-said",
        "The form is finished, but nobody said how the examination stands: it is taken as a draft. Say that it is "
        "final, if it is.",
        _RESPONSE,
    ),
    IssueRule(
        "form-other-version",
        "These are the answers to another version of the form: check that all of them were read as they were meant.",
        _RESPONSE,
        Severity.WARNING,
    ),
    IssueRule(
        "form-not-named",
        "The response doesn't say to which form it belongs: it is read as one to this form.",
        _RESPONSE,
        Severity.WARNING,
    ),
    IssueRule("form-two-answers", "There are two answers where one is asked: choose one.", _FORM),
    IssueRule(
        "form-answer-unclear",
        "The answer contradicts itself: two values in one, one that is called missing, or a code beside the words of "
        "another. Answer again.",
        _RESPONSE,
    ),
    IssueRule("form-answer-empty", "There is an answer without a value: answer again, or clear it.", _RESPONSE),
    IssueRule(
        "form-misplaced",
        "An answer stands in another place than its question. It is read as if it stood there: check it.",
        _RESPONSE,
    ),
    IssueRule(
        "form-words-kept",
        "These words are none of the answers of the list {list}: they are kept as a note beside it. Choose an answer, "
        "or write a code as system|code.",
        _FORM,
    ),
    IssueRule(
        "form-score-differs",
        "The form showed another result of the method {method} than is computed from its answers: tell whoever saw it.",
        _FORM,
        Severity.WARNING,
    ),
    IssueRule("form-unit", "The number has another unit than the form asks: give it in {unit}.", _FORM),
    IssueRule(
        "form-says-both",
        "Checklist and finding in detail say different things of one structure: what says more is kept. Decide.",
        _FORM,
    ),
)

FORM_RULES: Final = MappingProxyType({rule.id: rule for rule in _TABLE})


def form_issue(rule: str, path: str, **parameters: str) -> Issue:
    """Return the issue of one rule of the form; parameters are units and methods, never what was entered."""
    return FORM_RULES[rule].at(path, **parameters)
