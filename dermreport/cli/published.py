"""What is the same for every entry: ``terms``, ``schema``, ``pathway``, ``profiles``."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

import dermreport
from dermreport.cli.arguments import Commands, Once, releases
from dermreport.cli.codes import DONE, ERROR_STANDS, WRONG_CALL
from dermreport.cli.hosts import add_plugins, asked_plugins, pathway_named
from dermreport.examination.model import Examination, Visit
from dermreport.examination.reader import write_json
from dermreport.languages.language import LANGUAGES, SOURCE


def add_terms(commands: Commands) -> None:
    """Add the command."""
    terms = commands.add_parser("terms", help="look the vocabulary up")
    terms.add_argument("list", nargs="?", help="a list, as structure; without it the lists are shown")
    terms.add_argument("words", nargs="*", help="show rows whose code, names or definition have all these words")
    terms.add_argument("--format", choices=("text", "json"), default="text")
    terms.add_argument("--language", choices=LANGUAGES, default=SOURCE, help="the language of the names")
    add_plugins(terms, "show the rows of a plugin that is installed too, in the list of its name")
    terms.set_defaults(run=_terms)


def add_schema(commands: Commands) -> None:
    """Add the command."""
    schema = commands.add_parser("schema", help="print the JSON Schema of an entry")
    schema.add_argument("what", nargs="?", choices=("examination", "visit"), default="examination")
    schema.set_defaults(run=_schema)


def add_pathway(commands: Commands) -> None:
    """Add the command."""
    pathway = commands.add_parser("pathway", help="print a pathway's file, to copy and change, or check one")
    pathway.add_argument("pathway", nargs="?", default="neutral", metavar="NAME|FILE", help="default: neutral")
    add_plugins(pathway, "look at one of a plugin that is installed, named as PLUGIN/PATHWAY")
    pathway.set_defaults(run=_pathway)


def add_profiles(commands: Commands) -> None:
    """Add the command."""
    published = commands.add_parser("profiles", help="terminology, profiles and form, for whoever receives reports")
    actions = published.add_subparsers(dest="action", required=True, metavar="ACTION")
    pack = actions.add_parser("pack", help="write a FHIR package for each release, which a server installs")
    pack.add_argument(
        "--release",
        type=releases,
        action=Once,
        default=["R4", "R4B", "R5"],
        metavar="R4[,R4B,R5]",
        help="default: all",
    )
    pack.add_argument("-o", "--output", metavar="FOLDER", default=".", help="default: the present folder")
    pack.set_defaults(run=_pack)


def _terms(options: argparse.Namespace) -> int:
    from dermreport.vocabulary.tables import tables  # noqa: PLC0415 - loaded on first use
    from dermreport.wording.terms import plugin_rows, rows, rows_as_text  # noqa: PLC0415 - loaded on first use

    found = tables()
    plugins = asked_plugins(options)
    done = ERROR_STANDS if plugins.refused else DONE
    of_plugins = {
        one.about.name if one.about.name not in found else f"{one.about.name}/rows": one for one in plugins.loaded
    }
    if options.list is None:
        width = max(len(name) for name in (*found, *of_plugins))
        lines = [(name, len(table), (table.__doc__ or "").splitlines()[0]) for name, table in found.items()]
        lines += [(name, len(one.rows), f"{one.about.title}, a plugin.") for name, one in of_plugins.items()]
        for name, count, what in lines:
            print(f"{name:{width}}  {count:>4}  {what}")
        return done
    if options.list in of_plugins:
        chosen = plugin_rows(of_plugins[options.list], options.words)
    elif options.list in found:
        chosen = rows(found[options.list], options.words, options.language)
    else:
        print(f"dermreport terms: no list {options.list!r}; `dermreport terms` shows them", file=sys.stderr)
        return WRONG_CALL
    if options.format == "json":
        print(write_json(chosen))
    else:
        print(rows_as_text(chosen))
    return done


def _schema(options: argparse.Namespace) -> int:
    model = Visit if options.what == "visit" else Examination
    print(write_json(dermreport.json_schema(model)))
    return DONE


def _pathway(options: argparse.Namespace) -> int:
    from dermreport.pathways.reading import SHIPPED  # noqa: PLC0415 - loaded on first use

    name = options.pathway
    if name in SHIPPED:
        print(dermreport.shipped_pathway_text(name), end="")
        return DONE
    plugins = asked_plugins(options)
    pathway = pathway_named(name, plugins)
    print(f"{name}: {pathway.id}: {pathway.name}, valid from {pathway.valid_from}")
    for step in pathway.steps:
        urgency = f" ({step.urgency.display})" if step.urgency is not None else ""
        print(f"  {pathway.id}/{step.id}{urgency}: {step.title}")
    return ERROR_STANDS if plugins.refused else DONE


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
