"""The command line: check, score, series, report, letter, table, view, terms, schema, pathway, profiles, serve.

Exit codes: 0 done; 1 done, and an error stands in some record or series; 2 the call is wrong; 3 something can't be
read, made or written (the others are done all the same), or the entries are no series.
"""

from __future__ import annotations

import argparse
import re
import sys
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from pathlib import Path
from typing import IO, TYPE_CHECKING, Any

import dermreport
from dermreport.examination.model import Examination, Visit
from dermreport.examination.reader import MAX_ENTRY, read_json, write_json
from dermreport.issues import (
    BuildError,
    EntryError,
    Issue,
    MissingExtraError,
    PathwayError,
    SeriesError,
    SettingsError,
    Severity,
)
from dermreport.languages.language import LANGUAGES, SOURCE
from dermreport.letter_file import LetterFormat, LetterKind

if TYPE_CHECKING:
    from dermreport.reviews import Review
    from dermreport.scores.engine import ScoreResult

DONE = 0
ERROR_STANDS = 1
WRONG_CALL = 2
NOT_DONE = 3

#: Characters of a key that is made of a file's name.
_LONGEST_KEY = 64
_LAST_PORT = 65535

_EPILOG = """\
examples:
  dermreport check examples/usual.json
  dermreport score examples/usual.json
  dermreport series examples/lower-back-*.json --plot lower-back.svg
  dermreport report examples/usual.json --release R4,R5 --format json,xml -o report
  dermreport report --lines < examinations.ndjson > bundles.ndjson
  dermreport letter examples/usual.json --format pdf -o letter.pdf
  dermreport table examples/*.json --format csv -o visits.csv
  dermreport view picture.dcm
  dermreport terms structure veil
  dermreport terms site Ferse --language de
  dermreport pathway uk-ng12
  dermreport profiles pack --release R4 -o packages
  dermreport serve --port 8080

exit codes:
  0  done
  1  done, and an error stands in some record or series; a report is written all the same
  2  the call is wrong
  3  an entry or file can't be read, made or written, the others are done; or the entries are no series

It supports judgement and never replaces it; a total below a threshold excludes nothing; when in doubt, refer.
Local pathways and licensed practice come first. Not a certified medical device.
"""


@dataclass(frozen=True, slots=True)
class _Input:
    """One entry, read: where it came from and its examinations, or what is wrong with it."""

    name: str
    examinations: tuple[Examination, ...]
    issues: tuple[Issue, ...] = ()


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="dermreport",
        description="Check and score dermatoscopic skin examinations, and write them as HL7 FHIR resources.",
        epilog=_EPILOG,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.add_argument("--version", action="version", version=f"dermreport {dermreport.__version__}")
    commands = parser.add_subparsers(dest="command", required=True, metavar="COMMAND")

    check = commands.add_parser("check", help="say what is wrong or missing in examinations")
    _add_input(check)
    check.add_argument("--format", choices=("text", "json"), default="text", help="json: a FHIR OperationOutcome each")
    _add_pathway(check)
    check.set_defaults(run=_check)

    scores = commands.add_parser("score", help="compute the published scores")
    _add_input(scores)
    scores.add_argument("--format", choices=("text", "json"), default="text")
    _add_plugin(scores)
    scores.set_defaults(run=_score)

    _add_series(commands)

    _add_report(commands)

    _add_letter(commands)

    _add_table(commands)

    view = commands.add_parser("view", help="print what DICOM photographs say of their view, as parts of an entry")
    view.add_argument("files", nargs="*", metavar="FILE", help="DICOM files; - or none: standard input")
    view.add_argument("--key", help="key of the view and the picture; default: made of the file's name")
    view.set_defaults(run=_view)

    terms = commands.add_parser("terms", help="look the vocabulary up")
    terms.add_argument("list", nargs="?", help="a list, as structure; without it the lists are shown")
    terms.add_argument("words", nargs="*", help="show rows whose code, names or definition have all these words")
    terms.add_argument("--format", choices=("text", "json"), default="text")
    terms.add_argument("--language", choices=LANGUAGES, default=SOURCE, help="the language of the names")
    terms.set_defaults(run=_terms)

    schema = commands.add_parser("schema", help="print the JSON Schema of an entry")
    schema.add_argument("what", nargs="?", choices=("examination", "visit"), default="examination")
    schema.set_defaults(run=_schema)

    pathway = commands.add_parser("pathway", help="print a pathway's file, to copy and change, or check one")
    pathway.add_argument("pathway", nargs="?", default="neutral", metavar="NAME|FILE", help="default: neutral")
    pathway.set_defaults(run=_pathway)

    _add_profiles(commands)

    _add_serve(commands)

    return parser


def _add_report(commands: Any) -> None:  # noqa: ANN401 - argparse names this type by a private name
    report = commands.add_parser("report", help="write checked and scored FHIR bundles")
    _add_input(report)
    report.add_argument(
        "--release", type=_releases, action=_Once, default=["R4"], metavar="R4[,R4B,R5]", help="default: R4"
    )
    report.add_argument(
        "--format", type=_formats, action=_Once, default=["json"], metavar="json[,xml]", help="default: json"
    )
    report.add_argument("--bundle", choices=("transaction", "collection", "document"), default="transaction")
    report.add_argument(
        "-o", "--output", metavar="PATH", help="a file, or a folder for several; default: standard output"
    )
    report.add_argument("--without-snomed", action="store_true", help="send no SNOMED CT codings")
    _add_pathway(report)
    report.set_defaults(run=_report)


def _add_letter(commands: Any) -> None:  # noqa: ANN401 - argparse names this type by a private name
    letter = commands.add_parser("letter", help="write letters: to a colleague, to a pathologist, or for the patient")
    _add_input(letter)
    letter.add_argument("--kind", choices=[one.value for one in LetterKind], default=LetterKind.REFERRAL.value)
    letter.add_argument("--format", choices=[one.value for one in LetterFormat], default=LetterFormat.TEXT.value)
    letter.add_argument("--complete", action="store_true", help="say all that the report has")
    letter.add_argument("--language", choices=LANGUAGES, help="language of our words; default: that of the settings")
    letter.add_argument("--settings", metavar="FILE", help="settings of letters as TOML: sender, recipient, wording…")
    letter.add_argument(
        "--picture", action="append", default=[], type=_picture, metavar="KEY=FILE", help="embed a picture by its key"
    )
    letter.add_argument(
        "-o", "--output", metavar="PATH", help="a file, or a folder for several; default for text: standard output"
    )
    _add_pathway(letter)
    letter.set_defaults(run=_letter)


def _add_table(commands: Any) -> None:  # noqa: ANN401 - argparse names this type by a private name
    tables = commands.add_parser("table", help="write a flat table for people who count, as CSV or Parquet")
    _add_input(tables)
    tables.add_argument(
        "--kind", choices=("visits", "findings"), default="visits", help="one row a lesion visit, or one a finding"
    )
    tables.add_argument("--format", choices=("csv", "parquet"), default="csv")
    tables.add_argument(
        "--also", action="append", default=[], metavar="NAME", help="a column that is left out unless it is asked for"
    )
    tables.add_argument("--columns", action="store_true", help="say what each column means, and write no table")
    tables.add_argument("-o", "--output", metavar="FILE", help="default: standard output; Parquet needs a file")
    tables.set_defaults(run=_table)


def _add_profiles(commands: Any) -> None:  # noqa: ANN401 - argparse names this type by a private name
    published = commands.add_parser("profiles", help="terminology, profiles and form, for whoever receives reports")
    actions = published.add_subparsers(dest="action", required=True, metavar="ACTION")
    pack = actions.add_parser("pack", help="write a FHIR package for each release, which a server installs")
    pack.add_argument(
        "--release",
        type=_releases,
        action=_Once,
        default=["R4", "R4B", "R5"],
        metavar="R4[,R4B,R5]",
        help="default: all",
    )
    pack.add_argument("-o", "--output", metavar="FOLDER", default=".", help="default: the present folder")
    pack.set_defaults(run=_pack)


def _add_serve(commands: Any) -> None:  # noqa: ANN401 - argparse names this type by a private name
    from dermreport.http.limits import LOOPBACK, PORT  # noqa: PLC0415 - loaded on first use

    served = commands.add_parser(
        "serve",
        help="serve all this over HTTP, for systems that aren't in Python",
        description="Serve FHIR operations over HTTP: report, check, letter, read; /openapi.json describes them. "
        "Nothing is stored. Nobody is authenticated and nothing is encrypted: that, and the audit trail, is the matter "
        "of the gateway before it. So it listens on this machine alone unless another address is given. The log goes "
        "to standard error, one JSON object a line, without anything that was sent. SIGTERM or SIGINT stops it: what "
        "was asked is answered first.",
    )
    served.add_argument("--host", default=LOOPBACK, metavar="ADDRESS", help=f"where to listen; default: {LOOPBACK}")
    served.add_argument("--port", type=_port, default=PORT, metavar="NUMBER", help=f"default: {PORT}; 0: a free one")
    served.add_argument(
        "--workers", type=_count, default=None, metavar="NUMBER", help="processes that do the work; default: 2"
    )
    served.add_argument("--letter-settings", metavar="FILE", help="settings of letters as TOML, as of `letter`")
    _add_pathway(served)
    served.set_defaults(run=_serve)


def _add_series(commands: Any) -> None:  # noqa: ANN401 - argparse names this type by a private name
    series = commands.add_parser("series", help="compare the examinations of one lesion, in the order of their times")
    _add_input(series)
    series.add_argument("--format", choices=("text", "json"), default="text")
    series.add_argument(
        "--as-of", type=_day, metavar="DATE", help="what was due by then: default: the last examination"
    )
    series.add_argument("--plot", type=_file, metavar="FILE", help="also write diameters and a score over time as SVG")
    series.add_argument("--method", type=_method, default=None, metavar="CODE", help="the score that is drawn")
    series.set_defaults(run=_series)


def _add_input(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "files", nargs="*", metavar="FILE", help="examinations or visits as JSON; - or none: standard input"
    )
    parser.add_argument("--lines", action="store_true", help="one examination a line (also for files named *.ndjson)")


def _add_pathway(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--pathway",
        metavar="NAME|FILE",
        help="compare the plan with this pathway, a plugin's as PLUGIN/PATHWAY; default: the neutral one",
    )
    _add_plugin(parser)


def _add_plugin(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--plugin",
        action="append",
        default=[],
        metavar="NAME",
        help="use a plugin that is installed; give it again for another one",
    )


class _Once(argparse.Action):
    """A list that is given once: a second one would take the first one's place without a word."""

    def __call__(
        self,
        parser: argparse.ArgumentParser,
        namespace: argparse.Namespace,
        values: str | Sequence[Any] | None,
        option_string: str | None = None,
    ) -> None:
        if getattr(namespace, self.dest) is not self.default:
            parser.error(f"{option_string} is given twice: join the values by a comma")
        setattr(namespace, self.dest, values)


def _listed(allowed: Sequence[str], text: str) -> list[str]:
    names = [name for name in text.split(",") if name]
    for name in names:
        if name not in allowed:
            raise argparse.ArgumentTypeError(f"{name!r} isn't one of {', '.join(allowed)}")
    if not names:
        raise argparse.ArgumentTypeError(f"name at least one of {', '.join(allowed)}")
    return list(dict.fromkeys(names))


def _releases(text: str) -> list[str]:
    return _listed(("R4", "R4B", "R5"), text)


def _formats(text: str) -> list[str]:
    return _listed(("json", "xml"), text)


def _day(text: str) -> str:
    from datetime import date  # noqa: PLC0415 - loaded on first use

    try:
        return date.fromisoformat(text).isoformat()
    except ValueError:
        raise argparse.ArgumentTypeError("give a day as 2026-09-01") from None


def _method(text: str) -> str:
    from dermreport.plots.series import DRAWN  # noqa: PLC0415 - loaded on first use

    if text not in DRAWN:
        raise argparse.ArgumentTypeError(f"no method with a total: name one of {', '.join(DRAWN)}")
    return text


def _picture(text: str) -> tuple[str, str]:
    key, found, name = text.partition("=")
    if not (key and found and name):
        raise argparse.ArgumentTypeError("give a picture as KEY=FILE")
    return key, name


def _port(text: str) -> int:
    if not (text.isdecimal() and int(text) <= _LAST_PORT):
        raise argparse.ArgumentTypeError(f"a port is a number from 0 to {_LAST_PORT}")
    return int(text)


def _count(text: str) -> int:
    if not (text.isdecimal() and int(text)):
        raise argparse.ArgumentTypeError("give a whole number from 1")
    return int(text)


def _file(text: str) -> str:
    if not text:
        raise argparse.ArgumentTypeError("name a file")
    return text


def _read(name: str, text: bytes) -> _Input:
    try:
        value = read_json(text)
        if isinstance(value, dict) and "lesions" in value:
            return _Input(name, Visit.model_validate(value).examinations)
        return _Input(name, (Examination.model_validate(value),))
    except EntryError as error:
        return _Input(name, (), error.issues)


def _inputs(options: argparse.Namespace) -> Iterator[_Input]:
    """Yield every entry; a file of lines is read line by line and never held whole."""
    names = options.files or ["-"]
    for name in _progress(names):
        lines = options.lines or name.endswith(".ndjson")
        with _opened(name) as stream:
            shown = "standard input" if name == "-" else name
            if lines:
                every = _lines(stream)
                alone = len(names) == 1 and name != "-"
                for number, line in enumerate(_progress(every) if alone else every, start=1):
                    if line.strip():
                        yield _read(f"{shown}:{number}", line)
            else:
                yield _read(shown, stream.read(MAX_ENTRY + 1))


def _lines(stream: IO[bytes]) -> Iterator[bytes]:
    """Yield the lines of a stream; of one that is longer than an entry may be as much as it takes to refuse it."""
    for line in iter(lambda: stream.readline(MAX_ENTRY + 1), b""):
        yield line
        rest = line
        while len(rest) > MAX_ENTRY and not rest.endswith(b"\n"):
            rest = stream.readline(MAX_ENTRY + 1)


@contextmanager
def _opened(name: str) -> Iterator[IO[bytes]]:
    if name == "-":
        yield sys.stdin.buffer
    else:
        with Path(name).open("rb") as stream:
            yield stream


def _progress(items: Iterable[Any]) -> Iterable[Any]:
    """Show a progress bar over many items, on a terminal only."""
    many = not isinstance(items, list) or len(items) > 1
    if not (many and sys.stderr.isatty()):
        return items
    from tqdm import tqdm  # noqa: PLC0415 - loaded on first use

    return tqdm(items, unit=" entries", file=sys.stderr)


def _reviews(entry: _Input, settings: dermreport.Settings) -> list[Review]:
    from dermreport.reviews import review  # noqa: PLC0415 - loaded on first use

    return [review(examination, settings) for examination in entry.examinations]


def _unreadable(entry: _Input) -> None:
    for issue in entry.issues:
        print(f"{entry.name}: {issue}", file=sys.stderr)


def _settings(options: argparse.Namespace) -> dermreport.Settings:
    """Return the settings that the call says: the pathway, and plugins, which are loaded by their names.

    Raises:
        PathwayError: The file of the pathway doesn't fit.
        SettingsError: There is no such plugin, or it has no such pathway.
        MissingExtraError: pluggy isn't installed.
        OSError: There is no such file.
    """
    plugins = dermreport.load_plugins(*options.plugin) if options.plugin else dermreport.Plugins()
    for issue in plugins.issues:
        print(f"dermreport {options.command}: {issue}", file=sys.stderr)
    named = getattr(options, "pathway", None)
    if not named:
        return dermreport.Settings(plugins=plugins)
    if named.partition("/")[0] in plugins.names and not Path(named).exists():
        return dermreport.Settings(plugins=plugins, pathway=plugins.pathway(named))
    return dermreport.Settings(plugins=plugins, pathway=_pathway_named(named))


def _pathway_named(name: str) -> dermreport.Pathway:
    """Return a pathway that comes with the library, or the one in a file.

    Raises:
        PathwayError: The file doesn't fit.
        OSError: There is no such file.
    """
    from dermreport.pathways.reading import SHIPPED  # noqa: PLC0415 - loaded on first use

    if name in SHIPPED:
        return dermreport.shipped_pathway(name)
    return dermreport.pathway_from_toml(Path(name).read_bytes())


def _pathway(options: argparse.Namespace) -> int:
    from dermreport.pathways.reading import SHIPPED  # noqa: PLC0415 - loaded on first use

    name = options.pathway
    if name in SHIPPED:
        print(dermreport.shipped_pathway_text(name), end="")
        return DONE
    pathway = _pathway_named(name)
    print(f"{name}: {pathway.id}: {pathway.name}, valid from {pathway.valid_from}")
    for step in pathway.steps:
        urgency = f" ({step.urgency.display})" if step.urgency is not None else ""
        print(f"  {pathway.id}/{step.id}{urgency}: {step.title}")
    return DONE


def _check(options: argparse.Namespace) -> int:
    code, settings = DONE, _settings(options)
    for entry in _inputs(options):
        if entry.issues:
            code = NOT_DONE
            if options.format == "json":
                print(write_json(dermreport.to_outcome(entry.issues)))
            else:
                _unreadable(entry)
            continue
        for review in _reviews(entry, settings):
            code = max(code, ERROR_STANDS if review.has_errors else DONE)
            if options.format == "json":
                print(write_json(dermreport.to_fhir(review).outcome()))
            else:
                print(_checked(entry.name, review))
    return code


def _checked(name: str, review: Review) -> str:
    from dermreport.wording.pathways import pathway_sentence  # noqa: PLC0415 - loaded on first use

    lines = [f"{name}: {_label(review)}"]
    lines += [f"  {issue}" for issue in review.issues] or ["  no issue"]
    given = [item for item in review.completeness if item.state == "given"]
    missing = [item for item in review.completeness if item.state == "missing"]
    asked = f"{len(given)} of the {len(given) + len(missing)} items that apply are given"
    lines.append(f"  published report standard, ten items: {asked}")
    lines += [f"    {item.number}: {item.message}" for item in missing]
    lines.append(f"  {pathway_sentence(review.expected)}")
    return "\n".join(lines)


def _label(review: Review) -> str:
    """Return what tells this lesion from others without a patient's data: its site and side, and where it stands."""
    lesion = review.examination.lesion
    site = getattr(lesion.site, "display", None) if lesion is not None else None
    side = lesion.side if lesion is not None else None
    where = ", ".join(str(part) for part in (site, side) if part) or "site not recorded"
    return f"{where} ({review.examination.status.display}, revision {review.examination.revision})"


def _score(options: argparse.Namespace) -> int:
    code, settings = DONE, _settings(options)
    for entry in _inputs(options):
        if entry.issues:
            code = NOT_DONE
            _unreadable(entry)
            continue
        for review in _reviews(entry, settings):
            code = max(code, ERROR_STANDS if review.has_errors else DONE)
            if options.format == "json":
                print(write_json(_scores_as_data(entry.name, review)))
            else:
                from dermreport.wording.scores import scores_as_text  # noqa: PLC0415 - loaded on first use

                print(f"{entry.name}: {_label(review)}\n{scores_as_text(review)}")
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
    return {
        "method": code,
        "version": result.method.version,
        "verdict": result.verdict,
        "low": result.low,
        "high": result.high,
        "possible": result.possible,
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
        "clues": [
            {
                "method": result.method.code,
                "version": result.method.version,
                "met": result.met,
                "open": result.open,
                "reasons": result.reasons,
                "cautions": result.cautions,
                "ends": [] if result.path is None else [end.says for end in result.path.ends],
                "source": result.method.basis.text,
            }
            for result in review.clues.values()
        ],
    }


def _series(options: argparse.Namespace) -> int:
    from dermreport.wording.series import series_as_data, series_as_text  # noqa: PLC0415 - loaded on first use

    code, reviews = DONE, []
    for entry in _inputs(options):
        if entry.issues:
            code = NOT_DONE
            _unreadable(entry)
            continue
        reviews += _reviews(entry, dermreport.Settings())
    try:
        made = dermreport.series(reviews, as_of=options.as_of)
    except SeriesError as error:
        for issue in error.issues:
            print(f"dermreport series: {issue}", file=sys.stderr)
        return NOT_DONE
    print(write_json(series_as_data(made)) if options.format == "json" else series_as_text(made))
    if options.plot is not None:
        drawn = dermreport.series_plot(made, **({"method": options.method} if options.method is not None else {}))
        Path(options.plot).write_text(drawn, encoding="utf-8", newline="\n")
    errors = any(issue.severity is Severity.ERROR for issue in made.issues)
    standing = errors or any(review.has_errors for review in made.reviews)
    return max(code, ERROR_STANDS if standing else DONE)


def _report(options: argparse.Namespace) -> int:
    outputs = [(release, form) for release in options.release for form in options.format]
    output = None if options.output in (None, "-") else Path(options.output)
    folder = output is not None and (len(outputs) > 1 or len(options.files) > 1 or output.is_dir())
    if output is None and len(outputs) > 1:
        print("dermreport report: several releases or formats need -o FOLDER", file=sys.stderr)
        return WRONG_CALL
    settings = replace(_settings(options), snomed=not options.without_snomed)
    code = DONE
    if folder and output is not None:
        output.mkdir(parents=True, exist_ok=True)
    single = None if folder or output is None else output.open("w", encoding="utf-8", newline="\n")
    names = _Names()
    try:
        for entry in _inputs(options):
            if entry.issues:
                code = NOT_DONE
                _unreadable(entry)
                continue
            reviews = _reviews(entry, settings)
            if any(review.has_errors for review in reviews):
                code = max(code, ERROR_STANDS)
                print(f"{entry.name}: an error stands, the report is preliminary: see check", file=sys.stderr)
            for release, form in outputs:
                try:
                    bundle = dermreport.to_fhir(reviews, release=release).bundle(options.bundle)
                except BuildError as error:
                    print(f"{entry.name}: {error}", file=sys.stderr)
                    code = NOT_DONE
                    continue
                text = bundle.to_xml() if form == "xml" else bundle.to_json()
                if folder and output is not None:
                    path = output / names.of(_stem(entry.name), f"{release.lower()}.{options.bundle}.{form}")
                    path.write_text(text + "\n", encoding="utf-8", newline="\n")
                    print(path)
                else:
                    print(text, file=single or sys.stdout)
    finally:
        if single is not None:
            single.close()
    return code


def _letter(options: argparse.Namespace) -> int:
    output = None if options.output in (None, "-") else Path(options.output)
    if output is None and options.format == "pdf":
        print("dermreport letter: a PDF needs -o FILE", file=sys.stderr)
        return WRONG_CALL
    lines = options.lines or any(name.endswith(".ndjson") for name in options.files)
    folder = output if output is not None and (lines or len(options.files) > 1 or output.is_dir()) else None
    if output is None and (lines or len(options.files) > 1):
        print("dermreport letter: several letters need -o FOLDER", file=sys.stderr)
        return WRONG_CALL
    try:
        letters = _letter_settings(options)
        settings = _settings(options)
        pictures, unread = _pictures(options.picture)
        code = NOT_DONE if unread else DONE
        names = _Names()
        if folder is not None:
            folder.mkdir(parents=True, exist_ok=True)
        for entry in _inputs(options):
            if entry.issues:
                code = NOT_DONE
                _unreadable(entry)
                continue
            made = dermreport.letter(
                _reviews(entry, settings),
                kind=options.kind,
                format=options.format,
                settings=letters,
                pictures=pictures,
            )
            suffix = f"{options.kind}{Path(made.name).suffix}"
            path = folder / names.of(_stem(entry.name), suffix) if folder is not None else output
            code = max(code, _written(entry, made, path, said=folder is not None))
    except SettingsError as error:
        print(f"dermreport letter: {error}", file=sys.stderr)
        return WRONG_CALL
    except MissingExtraError as error:
        print(f"dermreport letter: {error}", file=sys.stderr)
        return NOT_DONE
    return code


def _letter_settings(options: argparse.Namespace) -> dermreport.LetterSettings:
    """Return the settings of the file, changed by what the call says.

    Raises:
        SettingsError: The file doesn't fit.
        OSError: There is no such file.
    """
    text = Path(options.settings).read_bytes() if options.settings else b""
    settings = dermreport.letter_settings_from_toml(text)
    if options.complete:
        settings = replace(settings, detail=dermreport.LetterDetail.COMPLETE)
    return replace(settings, language=options.language) if options.language else settings


def _pictures(given: Sequence[tuple[str, str]]) -> tuple[dict[str, bytes], bool]:
    """Return the pictures that can be read, and whether one can't: a letter is written all the same."""
    found: dict[str, bytes] = {}
    unread = False
    for key, name in given:
        try:
            found[key] = Path(name).read_bytes()
        except OSError as error:
            print(f"dermreport letter: {error.strerror}: {error.filename}", file=sys.stderr)
            unread = True
    return found, unread


class _Names:
    """Names of files in one folder: two entries of one name give two files."""

    def __init__(self) -> None:
        self._given: set[str] = set()

    def of(self, stem: str, suffix: str) -> str:
        """Return a name that none had before."""
        name, number = f"{stem}.{suffix}", 1
        while name in self._given:
            number += 1
            name = f"{stem}-{number}.{suffix}"
        self._given.add(name)
        return name


def _written(entry: _Input, made: dermreport.LetterFile, path: Path | None, *, said: bool) -> int:
    """Write one letter where it was asked for, and say what it lacks."""
    for issue in made.issues:
        print(f"{entry.name}: {issue}", file=sys.stderr)
    if path is None:
        _Utf8().write(made.text)
    else:
        path.write_bytes(made.content)
        if said:
            print(path)
    return ERROR_STANDS if any(issue.severity is Severity.ERROR for issue in made.issues) else DONE


def _view(options: argparse.Namespace) -> int:
    code = DONE
    for name in _progress(options.files or ["-"]):
        shown = "standard input" if name == "-" else name
        try:
            with _opened(name) as stream:
                found = dermreport.view_from_dicom(stream, key=options.key or _key(name))
        except MissingExtraError as error:
            print(f"dermreport view: {error}", file=sys.stderr)
            return NOT_DONE
        except EntryError:
            print("dermreport view: a key has 1 to 64 letters, digits, dots, hyphens or underscores", file=sys.stderr)
            return WRONG_CALL
        for issue in found.issues:
            print(f"{shown}: {issue}", file=sys.stderr)
        if found.view is None:
            code = NOT_DONE
            continue
        code = max(code, ERROR_STANDS if any(issue.severity is Severity.ERROR for issue in found.issues) else DONE)
        print(write_json(found.entry))
    return code


def _key(name: str) -> str:
    """Return a key made of a file's name."""
    return re.sub(r"[^A-Za-z0-9]+", "-", Path(name).stem)[:_LONGEST_KEY].strip("-") or "view"


def _stem(name: str) -> str:
    file, _, line = name.partition(".ndjson:")
    stem = Path(file).name.removesuffix(".json").replace(" ", "-")
    return f"{stem}-{line}" if line else stem


def _table(options: argparse.Namespace) -> int:
    from dermreport.doors.table.tables import asked_columns, table  # noqa: PLC0415 - loaded on first use
    from dermreport.doors.table.words import columns_as_text  # noqa: PLC0415 - loaded on first use

    if options.columns:
        print(columns_as_text(table((), options.kind).columns, asked_columns(options.kind)))
        return DONE
    output = None if options.output in (None, "-") else Path(options.output)
    if output is None and options.format == "parquet":
        print("dermreport table: Parquet needs -o FILE", file=sys.stderr)
        return WRONG_CALL
    codes = {DONE}
    try:
        made = table(_reviewed(options, codes), options.kind, also=options.also)
    except ValueError as error:
        print(f"dermreport table: {error}", file=sys.stderr)
        return WRONG_CALL
    if options.format == "parquet" and output is not None:
        try:
            made.write_parquet(output)
        except dermreport.MissingExtraError as error:
            print(f"dermreport table: {error}", file=sys.stderr)
            return NOT_DONE
    elif output is not None:
        with output.open("w", encoding="utf-8", newline="") as file:
            made.write_csv(file)
    else:
        made.write_csv(_Utf8())
    return max(codes)


class _Utf8:
    """Standard output for CSV: UTF-8 and the line ends as they are written, whatever the terminal's settings are."""

    def write(self, text: str) -> int:
        """Write a text."""
        sys.stdout.flush()
        return sys.stdout.buffer.write(text.encode())


def _reviewed(options: argparse.Namespace, codes: set[int]) -> Iterator[Review]:
    """Yield the reviews of every entry, one by one; what can't be read or has an error is told, its code noted."""
    settings = dermreport.Settings()
    for entry in _inputs(options):
        if entry.issues:
            codes.add(NOT_DONE)
            _unreadable(entry)
        for review in _reviews(entry, settings):
            if review.has_errors:
                codes.add(ERROR_STANDS)
                print(f"{entry.name}: an error stands: see check", file=sys.stderr)
            yield review


def _terms(options: argparse.Namespace) -> int:
    from dermreport.vocabulary.tables import tables  # noqa: PLC0415 - loaded on first use
    from dermreport.wording.terms import rows, rows_as_text  # noqa: PLC0415 - loaded on first use

    found = tables()
    if options.list is None:
        width = max(len(name) for name in found)
        for name, table in found.items():
            print(f"{name:{width}}  {len(table):>4}  {(table.__doc__ or '').splitlines()[0]}")
        return DONE
    if options.list not in found:
        print(f"dermreport terms: no list {options.list!r}; `dermreport terms` shows them", file=sys.stderr)
        return WRONG_CALL
    chosen = rows(found[options.list], options.words, options.language)
    if options.format == "json":
        print(write_json(chosen))
    else:
        print(rows_as_text(chosen))
    return DONE


def _schema(options: argparse.Namespace) -> int:
    model = Visit if options.what == "visit" else Examination
    print(write_json(dermreport.json_schema(model)))
    return DONE


def _pack(options: argparse.Namespace) -> int:
    from dermreport.profiles.package import package, package_file  # noqa: PLC0415 - loaded on first use

    folder = Path(options.output)
    folder.mkdir(parents=True, exist_ok=True)
    for name in options.release:
        release = dermreport.Release(name)
        path = folder / package_file(release)
        path.write_bytes(package(release))
        print(path)
    return DONE


def _serve(options: argparse.Namespace) -> int:
    import logging  # noqa: PLC0415 - loaded on first use
    import signal  # noqa: PLC0415 - loaded on first use
    from ipaddress import ip_address  # noqa: PLC0415 - loaded on first use

    from dermreport.http.door import http_app, listening, serve  # noqa: PLC0415 - loaded on first use
    from dermreport.http.logs import log, log_to_standard_error  # noqa: PLC0415 - loaded on first use

    limits = dermreport.HttpLimits(**({"workers": options.workers} if options.workers is not None else {}))
    letters = Path(options.letter_settings).read_bytes() if options.letter_settings else b""
    try:
        app = http_app(
            settings=_settings(options),
            letter_settings=dermreport.letter_settings_from_toml(letters),
            limits=limits,
        )
        socket = listening(options.host, options.port)
    except SettingsError as error:
        print(f"dermreport serve: {error}", file=sys.stderr)
        return WRONG_CALL
    except MissingExtraError as error:
        print(f"dermreport serve: {error}", file=sys.stderr)
        return NOT_DONE
    log_to_standard_error()
    for one in (signal.SIGINT, signal.SIGTERM):
        # The server stops by them first, and then hands them on.
        signal.signal(one, lambda *_: sys.exit(DONE))
    address, port = socket.getsockname()[:2]
    log(logging.INFO, "listening", host=address, port=port)
    if not ip_address(address).is_loopback:
        log(logging.WARNING, "open", says="Nobody is authenticated here: let a gateway alone reach this address.")
    serve(app, socket, limits)
    return DONE


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command.

    Args:
        arguments: Without the program's name; those of the process by default.

    Returns:
        The exit code: see the module.
    """
    options = _parser().parse_args(arguments)
    try:
        code: int = options.run(options)
    except BrokenPipeError:
        # Whoever reads the output has enough.
        sys.stderr.close()
        return DONE
    except PathwayError as error:
        for issue in error.issues:
            print(f"{options.pathway}: {issue}", file=sys.stderr)
        return NOT_DONE
    except SettingsError as error:
        print(f"dermreport {options.command}: {error}", file=sys.stderr)
        return WRONG_CALL
    except MissingExtraError as error:
        print(f"dermreport {options.command}: {error}", file=sys.stderr)
        return NOT_DONE
    except OSError as error:
        where = f": {error.filename}" if error.filename is not None else ""
        print(f"dermreport {options.command}: {error.strerror}{where}", file=sys.stderr)
        return NOT_DONE
    return code


if __name__ == "__main__":
    sys.exit(main())
