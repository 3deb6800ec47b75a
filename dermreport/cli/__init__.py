"""The command line: check, score, series, report, letter, table, view, terms, schema, pathway, profiles, serve.

Exit codes: 0 done; 1 done, and an error stands in some record or series, not all of a record could be held, or a plugin
that was asked for isn't used or failed; 2 the call is wrong; 3 nothing is held of an entry or a lesion, or something
can't be read, made or written (the others are done all the same), or the entries are no series.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence

import dermreport
from dermreport.cli import check, letter, published, report, score, series, serve, table, view
from dermreport.cli.codes import DONE, ERROR_STANDS, NOT_DONE, WRONG_CALL
from dermreport.issues import MissingExtraError, PathwayError, SettingsError

__all__ = ["DONE", "ERROR_STANDS", "NOT_DONE", "WRONG_CALL", "main"]

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
  1  done, and an error stands in some record or series, not all of a record could be held, or a plugin that was asked
     for isn't used or failed; a report is written all the same
  2  the call is wrong
  3  nothing is held of an entry or a lesion, or a file can't be read, made or written: the others are done; or the
     entries are no series

It supports judgement and never replaces it; a total below a threshold excludes nothing; when in doubt, refer.
Local pathways and licensed practice come first. Not a certified medical device.
"""


#: What adds a command, in the order of help.
_COMMANDS = (
    check.add,
    score.add,
    series.add,
    report.add,
    letter.add,
    table.add,
    view.add,
    published.add_terms,
    published.add_schema,
    published.add_pathway,
    published.add_profiles,
    serve.add,
)


def parser() -> argparse.ArgumentParser:
    """Return what reads a call."""
    made = argparse.ArgumentParser(
        prog="dermreport",
        description="Check and score dermatoscopic skin examinations, and write them as HL7 FHIR resources.",
        epilog=_EPILOG,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    made.add_argument("--version", action="version", version=f"dermreport {dermreport.__version__}")
    commands = made.add_subparsers(dest="command", required=True, metavar="COMMAND")
    for add in _COMMANDS:
        add(commands)
    return made


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command.

    Args:
        arguments: Without the program's name; those of the process by default.

    Returns:
        The exit code: see the module.
    """
    options = parser().parse_args(arguments)
    try:
        code: int = options.run(options)
    except BrokenPipeError:
        # Whoever reads the output has enough.
        sys.stderr.close()
        return DONE
    except SettingsError as error:
        print(f"dermreport {options.command}: {error}", file=sys.stderr)
        return WRONG_CALL
    except MissingExtraError as error:
        print(f"dermreport {options.command}: {error}", file=sys.stderr)
        return NOT_DONE
    except PathwayError as error:
        for issue in error.issues:
            print(f"{options.pathway}: {issue}", file=sys.stderr)
        return NOT_DONE
    except OSError as error:
        where = f": {error.filename}" if error.filename is not None else ""
        print(f"dermreport {options.command}: {error.strerror}{where}", file=sys.stderr)
        return NOT_DONE
    return code
