"""The rules on what is read: what can't be understood, what contradicts itself, and what to do about it.

No message holds a received value: paths are made of the standard's own element names and of positions.
"""

from __future__ import annotations

from typing import Final

from dermreport.issues import Issue, IssueRule, Severity

_MAPPING: Final = "the FHIR mapping of this library"
_JSON: Final = "FHIR R4 and R5, JSON representation of resources"
_XML: Final = "FHIR R4 and R5, XML representation of resources"
_BUNDLE: Final = "FHIR R4 and R5, Bundle and resolving references"
_MODIFIER: Final = "FHIR R4 and R5, modifier extensions and isModifier elements"
_STATUS: Final = "FHIR R4 and R5, status, intent, doNotPerform, active, deceased, link (isModifier elements)"
_SCORES: Final = "the published methods, as this library adds them up"


_W, _I = Severity.WARNING, Severity.INFORMATION

_TABLE: Final = (
    IssueRule("read-not-fhir", "This is neither JSON nor XML of a FHIR resource.", _JSON),
    IssueRule("read-too-large", "The input is larger than {limit} characters.", _MAPPING),
    IssueRule("read-too-deep", "The input is nested deeper than {limit} levels.", _MAPPING),
    IssueRule("read-too-many", "The input holds more than {limit} resources.", _MAPPING),
    IssueRule("read-number-too-long", "A number is longer than {limit} characters.", _JSON),
    IssueRule(
        "read-attachment-too-large",
        "An embedded file is longer than {limit} characters: its content isn't kept. Get it another way.",
        _MAPPING,
        _W,
    ),
    IssueRule(
        "read-attachment-kind",
        "An embedded file says no kind, or one that isn't taken here: its content isn't kept. Ask the sender for it.",
        _MAPPING,
        _W,
    ),
    IssueRule(
        "read-attachment-broken",
        "An embedded file isn't base64: its content isn't kept. Ask the sender for it.",
        "FHIR R4 and R5, data type base64Binary",
        _W,
    ),
    IssueRule(
        "read-attachment-address",
        "The address of a file would run something or open a file of the reader's own: don't follow it. It is sent "
        "again only where it was entered for a picture of the record. Ask the sender for the file.",
        "RFC 3986, 7 (security considerations)",
        _W,
    ),
    IssueRule(
        "read-id",
        "The id isn't one that FHIR allows (at most 64 letters, digits, hyphens and points): nobody can be sent it. It "
        "isn't sent again.",
        "FHIR R4 and R5, data type id",
        _W,
    ),
    IssueRule(
        "read-circle",
        "This Observation is a part of itself, at once or over others: don't follow its references. Ask the sender.",
        "FHIR R4 and R5, Observation (hasMember, derivedFrom)",
        _W,
    ),
    IssueRule(
        "read-xml-passed-over",
        "Text between elements, an attribute or a namespace that FHIR's XML doesn't have stands here: it isn't read "
        "and isn't kept. Look at it as it was received.",
        _XML,
        _W,
    ),
    IssueRule(
        "read-text-not-allowed",
        "A text has a character that can't be sent: half of a pair, a control character or no character at all.",
        "XML 1.0, production Char",
    ),
    IssueRule("read-not-xml", "This isn't XML that can be read: see line {line}.", _XML),
    IssueRule("read-document-type", "XML with a document type isn't read: it can name files and addresses.", _XML),
    IssueRule("read-unknown-element", "The standard's release has no such element here.", _XML),
    IssueRule(
        "read-bundle-kind",
        "This kind of bundle isn't read: give a transaction, batch, collection, document or search set.",
        _BUNDLE,
    ),
    IssueRule("read-no-report", "There is no report in it.", _MAPPING),
    IssueRule(
        "read-two-patients", "The resources are about different patients: nothing is read. Separate them.", _BUNDLE
    ),
    IssueRule(
        "read-patient-unclear",
        "This part of the report names no patient that can be told from another (no subject, words only, or not a "
        "Patient): an Observation isn't read, nothing here reassures. Ask the sender whom it is about.",
        _BUNDLE,
    ),
    IssueRule(
        "read-same-address",
        "Two different resources have this address: nobody can tell which is meant, so neither is read.",
        _BUNDLE,
    ),
    IssueRule("read-same-report", "Two reports have the same identifier: give one revision at a time.", _MAPPING),
    IssueRule(
        "read-part-missing", "The report refers to something that wasn't received: ask the sender for it.", _BUNDLE
    ),
    IssueRule(
        "read-contradiction",
        "This says two things at once, and nobody can tell which is meant: it counts as neither. Ask the sender.",
        "FHIR R4 and R5, CodeableConcept (codings of one meaning) and Observation (obs-6)",
    ),
    IssueRule(
        "read-part-status",
        "This is less settled than its report, or wasn't done: nothing in it reassures. Ask the sender.",
        _STATUS,
    ),
    IssueRule(
        "read-request-stopped",
        "This request says that its step isn't wanted, or not yet (status, intent or doNotPerform): the record keeps "
        "what was planned. Ask who stopped it, and why, before anybody waits for it.",
        _STATUS,
    ),
    IssueRule(
        "read-urgency-differs",
        "The priority isn't that of the urgency that was entered: the more urgent one is read. Ask the sender.",
        _MAPPING,
    ),
    IssueRule(
        "read-extension-missing",
        "The extensions of this library were taken out here: what other elements say is read. Ask for what was lost.",
        _MAPPING,
    ),
    IssueRule(
        "read-modifier",
        "A modifier that isn't known here changes what this says: it is not read. Look at it as it was received.",
        _MODIFIER,
    ),
    IssueRule(
        "read-part-withdrawn",
        "The report still refers to something that was entered in error: it is not read. Ask for the report anew.",
        "FHIR R4 and R5, status entered-in-error",
    ),
    IssueRule(
        "read-withdrawn",
        "This was entered in error: it is kept as received and is not current.",
        "FHIR R4 and R5, status entered-in-error",
        _I,
    ),
    IssueRule(
        "read-report-withdrawn",
        "The whole report was entered in error: nothing in it is current.",
        "FHIR R4 and R5, status entered-in-error",
        _W,
    ),
    IssueRule(
        "read-preliminary",
        "The sender holds this report for preliminary: an error stood there. Ask the sender before relying on it.",
        _MAPPING,
    ),
    IssueRule(
        "read-status-differs",
        "The report's status isn't the one under which it was entered: somebody changed it afterwards.",
        _MAPPING,
        _W,
    ),
    IssueRule(
        "read-out-of-use",
        "This record of a patient or lesion says that it is no longer the one to use (active, deceased or link): check "
        "whom and what the report is about.",
        _STATUS,
        _W,
    ),
    IssueRule(
        "read-report-status",
        "The report isn't finished, or was called off: nothing in it reassures. Ask the sender.",
        _STATUS,
    ),
    IssueRule(
        "read-summary-differs",
        "The sender's conclusion ({sent}) is graver than what was received gives ({computed}): something may be "
        "missing, such as a planned step. Ask for the whole report; the graver one counts.",
        _MAPPING,
    ),
    IssueRule(
        "read-summary-graver",
        "The sender's conclusion ({sent}) is less grave than the one made here ({computed}), which counts.",
        _MAPPING,
        _W,
    ),
    IssueRule(
        "read-conclusion-differs",
        "The conclusion isn't the one that is written for this record: somebody changed or added to it. It isn't in "
        "the record and isn't sent again. Read it as it was received, ask who wrote it, and enter it.",
        _MAPPING,
    ),
    IssueRule(
        "read-narrative-differs",
        "The narrative has words that aren't made of the record: read it as it was received, and enter what counts.",
        _MAPPING,
        _W,
    ),
    IssueRule(
        "read-words-differ",
        "The words beside this code aren't the code's: the code is read. Look at both, and ask the sender.",
        _MAPPING,
        _W,
    ),
    IssueRule(
        "read-part-differs",
        "This isn't as the report has it (a time, the encounter, the words of the site): the report's own is read.",
        _MAPPING,
        _I,
    ),
    IssueRule(
        "read-component-unknown",
        "This part of an Observation isn't known here: it is no part of the record, and is kept. Look at it.",
        _MAPPING,
        _I,
    ),
    IssueRule(
        "read-lesion-differs",
        "This is about another lesion or site than its report: nothing here reassures. Ask the sender which is meant.",
        _MAPPING,
    ),
    IssueRule(
        "read-not-linked",
        "This has a code of the record's and is about its lesion, but the report doesn't refer to it: it isn't read, "
        "nothing reassures. Ask the sender whether it belongs to the report.",
        _MAPPING,
    ),
    IssueRule(
        "read-foreign-member",
        "The report's results have something of somebody else's: it isn't in the record, and is kept. Look at it.",
        _MAPPING,
        _W,
    ),
    IssueRule("read-not-held", "This can't be held ({reason}): look at it as it was received.", _MAPPING),
    IssueRule(
        "read-patient-differs",
        "The report now belongs to another number of the patient's than the one entered: check that it is one person.",
        _MAPPING,
        _W,
    ),
    IssueRule(
        "read-score-differs",
        "The score that was sent ({sent}) isn't the one computed here ({computed}): look at both.",
        _SCORES,
        _W,
    ),
    IssueRule(
        "read-score-unknown", "The method of this score isn't known here: it is kept as it was sent.", _SCORES, _I
    ),
    IssueRule(
        "read-list-differs",
        "The list that was gone through had other items at the sender's: what was left unticked here isn't absent.",
        _MAPPING,
    ),
    IssueRule(
        "read-answer-differs",
        "What the sender counts this as isn't what is counted here: the clinician's own answer is kept.",
        _MAPPING,
        _W,
    ),
    IssueRule(
        "read-light-differs",
        "The light that stands beside this finding isn't that of its views: the views count.",
        _MAPPING,
        _W,
    ),
    IssueRule(
        "read-changed",
        "This isn't what the library writes for this examination: both are kept, and the record's own goes out.",
        _MAPPING,
        _I,
    ),
    IssueRule(
        "read-own-sent",
        "Somebody changed this value: the record's own goes out again in its place. Tell them where they differ.",
        _MAPPING,
        _W,
    ),
    IssueRule(
        "read-kept",
        "Somebody else added this: it is kept as received, and sent again where the release and the report have a "
        "place for it. Report.left_out names what isn't sent.",
        _MAPPING,
        _I,
    ),
    IssueRule(
        "read-not-sent",
        "This is kept and not sent again: the release or the report has no place for it, or it is the host's own.",
        "FHIR R4 and R5, differences of the releases",
        _W,
    ),
    IssueRule(
        "read-not-beside",
        "The record's own value changed since somebody added this to it: it isn't sent again. Ask them to look anew.",
        _MAPPING,
        _W,
    ),
    IssueRule(
        "read-narrative-cleaned",
        "Markup that isn't allowed in a narrative was taken out of what is sent again; the original is kept.",
        "FHIR R4 and R5, narrative (txt-1)",
        _W,
    ),
    IssueRule(
        "read-foreign-report",
        "Another system made this report: what could be understood is read, everything is kept as received.",
        _MAPPING,
        _W,
    ),
    IssueRule(
        "read-foreign-identifier", "The report has no identifier that can be kept: one was made of it.", _MAPPING, _W
    ),
    IssueRule(
        "read-foreign-needed",
        "The report doesn't say this, and no record can be without it: {field}. No examination is made of the report, "
        "and nothing of it is in the record. Look at it as it was received, and ask the sender.",
        _MAPPING,
    ),
    IssueRule("read-foreign-missing", "The report doesn't say this: {field}.", _MAPPING, _W),
    IssueRule(
        "read-foreign-sites",
        "The report speaks of several sites, sides or lesions, and a record has one: which finding is about which "
        "can't be told here. They stand in words in the record, and nothing is settled. Record each lesion by itself.",
        _MAPPING,
    ),
    IssueRule(
        "read-foreign-cancer",
        "The conclusion has the code of a cancer: it counts as suspected here, until somebody who knows the result "
        "records it. See that what was concluded is acted on.",
        _MAPPING,
        _W,
    ),
    IssueRule(
        "read-foreign-conclusion",
        "A code of the conclusion isn't understood here, however alarming it is: it is kept as sent, and nothing is "
        "settled. Read it, and record what it means.",
        _MAPPING,
    ),
    IssueRule("read-foreign-text", "This has no code that is known here: its words are kept as text.", _MAPPING, _I),
)

READ_RULES: Final = {rule.id: rule for rule in _TABLE}


def read_issue(rule: str, path: str, **parameters: str) -> Issue:
    """Return the issue of one rule on reading; parameters are codes, limits and counts, never what was received."""
    return READ_RULES[rule].at(path, **parameters)
