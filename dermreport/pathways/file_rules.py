"""What can be wrong with a pathway's file: each with what to do about it."""

from __future__ import annotations

from dermreport.issues import IssueRule

_SOURCE = "the form of a pathway's file"
_ROWS = (
    ("pathway-not-toml", "This is no TOML: {where}."),
    ("pathway-too-large", "The file is larger than {limit} bytes."),
    ("pathway-too-deep", "Conditions stand more than {limit} deep in one another: say it in several steps."),
    ("pathway-too-many", "More than {limit} of these: divide the file."),
    ("pathway-unknown-key", "This key isn't one of {known}."),
    ("pathway-key-missing", "This key is missing: {key}."),
    ("pathway-wrong-type", "Here stands {wanted}."),
    ("pathway-unknown-code", "This isn't one of the codes of {table}: `dermreport terms {table}` lists them."),
    ("pathway-unknown-word", "This isn't one of {known}."),
    ("pathway-unknown-path", "The examination has no such path, or the condition can't ask this of it."),
    ("pathway-id-taken", "This id is taken: give the file, and each of its steps, one of its own."),
    ("pathway-one-condition", "A condition is one key: join several by `all` or `any`."),
    ("pathway-no-choice", "Say which kinds or which actions will do."),
    ("pathway-no-urgency", "What is to be arranged needs an urgency."),
    ("pathway-nothing-said", "The step expects nothing and advises nothing: give `expects` or `safety_net`."),
    ("pathway-window", "The first day lies after the last one."),
    ("pathway-not-there", "No step of the pathway that is extended has this id."),
    ("pathway-core-weakened", "A step of the core can be made sooner or say more: `{key}` would weaken it."),
    (
        "pathway-urgent-too-late",
        "What is urgent is expected within {limit} days at most: give fewer, or say less urgent.",
    ),
    ("pathway-sign-delays", "A step that is sooner than urgent can't ask that no warning sign be there."),
)

FILE_RULES: dict[str, IssueRule] = {id_: IssueRule(id_, message, _SOURCE) for id_, message in _ROWS}
