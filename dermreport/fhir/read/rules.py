"""The rules on what is read: what can't be understood, what contradicts itself, and what to do about it.

No message holds a received value: paths are made of the standard's own element names and of positions.
"""

from __future__ import annotations

from typing import Final, NamedTuple

from dermreport.issues import Issue, Severity

_MAPPING: Final = "the FHIR mapping of this library"
_JSON: Final = "FHIR R4 and R5, JSON representation of resources"
_XML: Final = "FHIR R4 and R5, XML representation of resources"
_BUNDLE: Final = "FHIR R4 and R5, Bundle and resolving references"
_MODIFIER: Final = "FHIR R4 and R5, modifier extensions and isModifier elements"
_STATUS: Final = "FHIR R4 and R5, status, intent, doNotPerform, active, deceased, link (isModifier elements)"
_SCORES: Final = "the published methods, as this library adds them up"


class ReadRule(NamedTuple):
    """One rule on what is read."""

    id: str
    severity: Severity
    message: str
    source: str


_E, _W, _I = Severity.ERROR, Severity.WARNING, Severity.INFORMATION

_TABLE: Final = (
    ReadRule("read-not-fhir", _E, "This is neither JSON nor XML of a FHIR resource.", _JSON),
    ReadRule("read-too-large", _E, "The input is larger than {limit} characters.", _MAPPING),
    ReadRule("read-too-deep", _E, "The input is nested deeper than {limit} levels.", _MAPPING),
    ReadRule("read-too-many", _E, "The input holds more than {limit} resources.", _MAPPING),
    ReadRule("read-number-too-long", _E, "A number is longer than {limit} characters.", _JSON),
    ReadRule(
        "read-text-not-allowed",
        _E,
        "A text has a character that can't be sent: half of a pair, a control character or no character at all.",
        "XML 1.0, production Char",
    ),
    ReadRule("read-not-xml", _E, "This isn't XML that can be read: see line {line}.", _XML),
    ReadRule("read-document-type", _E, "XML with a document type isn't read: it can name files and addresses.", _XML),
    ReadRule("read-unknown-element", _E, "The standard's release has no such element here.", _XML),
    ReadRule(
        "read-bundle-kind",
        _E,
        "This kind of bundle isn't read: give a transaction, batch, collection, document or search set.",
        _BUNDLE,
    ),
    ReadRule("read-no-report", _E, "There is no report in it.", _MAPPING),
    ReadRule(
        "read-two-patients",
        _E,
        "The resources are about different patients: nothing is read. Separate them.",
        _BUNDLE,
    ),
    ReadRule(
        "read-same-address",
        _E,
        "Two different resources have this address: nobody can tell which is meant, so neither is read.",
        _BUNDLE,
    ),
    ReadRule("read-same-report", _E, "Two reports have the same identifier: give one revision at a time.", _MAPPING),
    ReadRule(
        "read-part-missing",
        _E,
        "The report refers to something that wasn't received: ask the sender for it.",
        _BUNDLE,
    ),
    ReadRule(
        "read-contradiction",
        _E,
        "This says two things at once, and nobody can tell which is meant: it counts as neither. Ask the sender.",
        "FHIR R4 and R5, CodeableConcept (codings of one meaning) and Observation (obs-6)",
    ),
    ReadRule(
        "read-part-status",
        _E,
        "This is less settled than its report, or wasn't done: nothing in it reassures. Ask the sender.",
        _STATUS,
    ),
    ReadRule(
        "read-request-stopped",
        _E,
        "This request says that its step isn't wanted, or not yet (status, intent or doNotPerform): the record keeps "
        "what was planned. Ask who stopped it, and why, before anybody waits for it.",
        _STATUS,
    ),
    ReadRule(
        "read-urgency-differs",
        _E,
        "The priority isn't that of the urgency that was entered: the more urgent one is read. Ask the sender.",
        _MAPPING,
    ),
    ReadRule(
        "read-extension-missing",
        _E,
        "The extensions of this library were taken out here: what other elements say is read. Ask for what was lost.",
        _MAPPING,
    ),
    ReadRule(
        "read-modifier",
        _E,
        "A modifier that isn't known here changes what this says: it is not read. Look at it as it was received.",
        _MODIFIER,
    ),
    ReadRule(
        "read-part-withdrawn",
        _E,
        "The report still refers to something that was entered in error: it is not read. Ask for the report anew.",
        "FHIR R4 and R5, status entered-in-error",
    ),
    ReadRule(
        "read-withdrawn",
        _I,
        "This was entered in error: it is kept as received and is not current.",
        "FHIR R4 and R5, status entered-in-error",
    ),
    ReadRule(
        "read-report-withdrawn",
        _W,
        "The whole report was entered in error: nothing in it is current.",
        "FHIR R4 and R5, status entered-in-error",
    ),
    ReadRule(
        "read-preliminary",
        _E,
        "The sender holds this report for preliminary: an error stood there. Ask the sender before relying on it.",
        _MAPPING,
    ),
    ReadRule(
        "read-status-differs",
        _W,
        "The report's status isn't the one under which it was entered: somebody changed it afterwards.",
        _MAPPING,
    ),
    ReadRule(
        "read-out-of-use",
        _W,
        "This record of a patient or lesion says that it is no longer the one to use (active, deceased or link): check "
        "whom and what the report is about.",
        _STATUS,
    ),
    ReadRule(
        "read-report-status",
        _E,
        "The report isn't finished, or was called off: nothing in it reassures. Ask the sender.",
        _STATUS,
    ),
    ReadRule(
        "read-summary-differs",
        _E,
        "The sender's conclusion ({sent}) is graver than what was received gives ({computed}): something may be "
        "missing, such as a planned step. Ask for the whole report; the graver one counts.",
        _MAPPING,
    ),
    ReadRule(
        "read-summary-graver",
        _W,
        "The sender's conclusion ({sent}) is less grave than the one made here ({computed}), which counts.",
        _MAPPING,
    ),
    ReadRule("read-not-held", _E, "This can't be held ({reason}): look at it as it was received.", _MAPPING),
    ReadRule(
        "read-patient-differs",
        _W,
        "The report now belongs to another number of the patient's than the one entered: check that it is one person.",
        _MAPPING,
    ),
    ReadRule(
        "read-score-differs",
        _W,
        "The score that was sent ({sent}) isn't the one computed here ({computed}): look at both.",
        _SCORES,
    ),
    ReadRule(
        "read-score-unknown", _I, "The method of this score isn't known here: it is kept as it was sent.", _SCORES
    ),
    ReadRule(
        "read-list-differs",
        _E,
        "The list that was gone through had other items at the sender's: what was left unticked here isn't absent.",
        _MAPPING,
    ),
    ReadRule(
        "read-answer-differs",
        _W,
        "What the sender counts this as isn't what is counted here: the clinician's own answer is kept.",
        _MAPPING,
    ),
    ReadRule(
        "read-light-differs",
        _W,
        "The light that stands beside this finding isn't that of its views: the views count.",
        _MAPPING,
    ),
    ReadRule(
        "read-changed",
        _I,
        "This isn't what the library writes for this examination: both are kept, and the record's own goes out.",
        _MAPPING,
    ),
    ReadRule(
        "read-own-sent",
        _W,
        "Somebody changed this value: the record's own goes out again in its place. Tell them where they differ.",
        _MAPPING,
    ),
    ReadRule("read-kept", _I, "Somebody else added this: it is kept as received and sent again.", _MAPPING),
    ReadRule(
        "read-not-sent",
        _W,
        "This is kept and not sent again: the release or the report has no place for it, or it is the host's own.",
        "FHIR R4 and R5, differences of the releases",
    ),
    ReadRule(
        "read-narrative-cleaned",
        _W,
        "Markup that isn't allowed in a narrative was taken out of what is sent again; the original is kept.",
        "FHIR R4 and R5, narrative (txt-1)",
    ),
    ReadRule(
        "read-foreign-report",
        _W,
        "Another system made this report: what could be understood is read, everything is kept as received.",
        _MAPPING,
    ),
    ReadRule(
        "read-foreign-identifier", _W, "The report has no identifier that can be kept: one was made of it.", _MAPPING
    ),
    ReadRule("read-foreign-missing", _W, "The report doesn't say this: {field}.", _MAPPING),
    ReadRule("read-foreign-text", _I, "This has no code that is known here: its words are kept as text.", _MAPPING),
)

READ_RULES: Final = {rule.id: rule for rule in _TABLE}


def read_issue(rule: str, path: str, **parameters: str) -> Issue:
    """Return the issue of one rule on reading; parameters are codes, limits and counts, never what was received."""
    row = READ_RULES[rule]
    return Issue(
        rule=rule,
        severity=row.severity,
        path=path,
        message=row.message.format(**parameters),
        source=row.source,
        parameters=tuple(parameters.items()),
    )
