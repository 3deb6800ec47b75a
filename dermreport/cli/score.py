"""``score``: every published method, and what would settle it."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING, Any

from dermreport.cli.arguments import Commands
from dermreport.cli.codes import DONE, ERROR_STANDS
from dermreport.cli.entries import add_input, inputs
from dermreport.cli.hosts import add_settings, host_settings, reviews, say_failed
from dermreport.cli.labels import label
from dermreport.examination.reader import write_json

if TYPE_CHECKING:
    from dermreport.reviews import Review
    from dermreport.scores.associations import ClueResult
    from dermreport.scores.engine import ScoreResult


def add(commands: Commands) -> None:
    """Add the command."""
    scores = commands.add_parser("score", help="compute the published scores")
    add_input(scores)
    scores.add_argument("--format", choices=("text", "json"), default="text")
    add_settings(scores)
    scores.set_defaults(run=_score)


def _score(options: argparse.Namespace) -> int:
    code, settings = DONE, host_settings(options)
    for entry in inputs(options):
        code = max(code, entry.code)
        entry.say(settings)
        for review in reviews(entry, settings):
            code = max(code, ERROR_STANDS if review.has_errors else DONE)
            code = max(code, say_failed(entry.name, review.issues, review.language))
            if options.format == "json":
                print(write_json(_scores_as_data(entry.name, review)))
            else:
                from dermreport.wording.scores import scores_as_text  # noqa: PLC0415 - loaded on first use

                print(f"{entry.name}: {label(review)}\n{scores_as_text(review)}")
    return code


def _scores_as_data(name: str, review: Review) -> dict[str, Any]:
    return {
        "entry": name,
        "scores": [_score_as_data(code, result) for code, result in review.scores.items()],
        **(
            {"plugin_scores": [_score_as_data(code, result) for code, result in review.plugin_scores.items()]}
            if review.plugin_scores
            else {}
        ),
        **_decisions_as_data(review),
    }


def _score_as_data(code: str, result: ScoreResult) -> dict[str, Any]:
    total = {"verdict": result.verdict, "low": result.low, "high": result.high, "possible": result.possible}
    return _result_as_data(code, result, total)


def _result_as_data(code: str, result: ScoreResult | ClueResult, total: dict[str, Any]) -> dict[str, Any]:
    """Return what a method says; a list of signs has no total."""
    return {
        "method": code,
        "version": result.method.version,
        **total,
        "met": result.met,
        "open": result.open,
        "reasons": result.reasons,
        "cautions": result.cautions,
        "ends": [] if result.path is None else [end.says for end in result.path.ends],
        "source": result.method.basis.text,
    }


def _decisions_as_data(review: Review) -> dict[str, Any]:
    """Return what the findings leave open, as the text form says it."""
    beside = review.side_by_side
    return {
        "side_by_side": {
            "reached": beside.reached,
            "below": beside.below,
            "not_settled": beside.not_settled,
            "disagree": beside.disagree,
            "forms_differ": beside.forms_differ,
        },
        "open_questions": [
            {
                "subject": one.subject,
                "where": one.where,
                "light": one.light,
                "changes": one.changes,
                "settles": one.settles,
            }
            for one in review.open_questions
        ],
        "open_signs": {code: [clue.id for clue in clues] for code, clues in review.open_signs.items()},
        "second_views": [
            {"light": one.light, "hidden": one.hidden, "clearer": one.clearer} for one in review.second_views
        ],
        "sensitivity": [
            {
                "subject": one.subject,
                "recorded": one.recorded,
                "verdicts": {code: {"now": now, "if_wrong": then} for code, (now, then) in one.verdicts.items()},
            }
            for one in review.sensitivity()
        ],
        "clues": [_result_as_data(result.method.code, result, {}) for result in review.clues.values()],
    }
