"""What others rely on, as text: ``python tests/surface_output.py`` writes ``surface.txt``, and a test compares.

Each line is one promise, so that what went and what came is a comparison of two sets of lines, and says by itself which
version has to rise and how far. ``python tests/surface_output.py --since FILE`` compares with the surface of an earlier
release and ends with 1 where a version hasn't risen enough.
"""

from __future__ import annotations

import argparse
import ast
import dataclasses
import hashlib
import inspect
import re
import sys
import typing
from collections.abc import Iterable, Iterator, Mapping
from enum import Enum, IntEnum
from functools import cached_property
from pathlib import Path
from typing import Any, NamedTuple

from pydantic import BaseModel

import dermreport
from dermreport import cli, plugins
from dermreport.examination.reader import write_json
from dermreport.examination.schema import json_schema
from dermreport.fhir.releases import Release
from dermreport.profiles.artefacts import artefacts, file_name, file_text
from dermreport.publication import PROFILES_VERSION, VOCABULARY_VERSION
from dermreport.vocabulary.tables import tables
from dermreport.vocabulary.term import Term

FILE = Path(__file__).parent / "surface.txt"

#: What hosts make themselves: their parameters are public. Of every other class only what can be read is.
MADE = frozenset(
    (
        "DicomLimits",
        "ExtraCoding",
        "IdentifierSystems",
        "LetterSettings",
        "Limits",
        "Party",
        "Reviewed",
        "Routing",
        "Settings",
    )
)
#: Behind these walls nothing is public but what has a name in ``dermreport``: hand it over, don't look in.
WALLS = (
    "dermreport.examination.",  # the JSON Schema says what is in an entry
    "dermreport.expressions.",
    "dermreport.fhir.foreign",
    "dermreport.languages.language.Catalogue",
    "dermreport.pathway.",
    "dermreport.plugin.Plugin",  # what was loaded: a host hands it over
    *(
        f"dermreport.scores.method.{insides}"
        for insides in ("Counted", "Criterion", "PartRange", "Step", "Validity", "Variant")
    ),
    "dermreport.sources.Source",
    "dermreport.vocabulary.",  # codes have lines of their own
)


class Part(IntEnum):
    """Which part of a version has to rise."""

    NONE = 0
    PATCH = 1
    MINOR = 2
    MAJOR = 3


class Area(NamedTuple):
    """What has a version of its own: the name in front of its lines, and what its version is called."""

    prefix: str
    version: str


AREAS = (
    Area("python ", "library"),
    Area("command ", "library"),
    Area("schema ", "schema"),
    Area("code ", "vocabulary"),
    Area("artefact ", "profiles"),
)


# -- Python ------------------------------------------------------------------------------------------------------------


def _public() -> dict[str, Any]:
    return {name: inspect.unwrap(getattr(dermreport, name)) for name in dermreport.__all__ if name != "__version__"}


def _for_plugins() -> dict[str, Any]:
    """Return what plugins are written with, and hosts have no name for."""
    hosts = _public()
    return {f"plugins.{name}": getattr(plugins, name) for name in plugins.__all__ if name not in hosts}


def _for_type_checkers(module: str) -> dict[str, Any]:
    """Return the names that a module has for type checkers only."""
    names: dict[str, Any] = dict(vars(sys.modules[module]))
    tree = ast.parse(Path(str(sys.modules[module].__file__)).read_text(encoding="utf-8"))
    for node in tree.body:
        if isinstance(node, ast.If) and ast.unparse(node.test) == "TYPE_CHECKING":
            exec(compile(ast.Module(node.body, []), module, "exec"), names)  # noqa: S102 - our own imports
    return names


#: Hooks that pydantic calls, not a host.
_OF_PYDANTIC = frozenset(("model_config", "model_post_init"))


def _members(owner: type) -> Iterator[tuple[str, Any]]:
    """Yield what classes of ours define in public, each name once."""
    seen = set()
    for kind in owner.__mro__:
        if kind.__module__.startswith("dermreport"):
            for name, member in vars(kind).items():
                if not name.startswith("_") and name not in seen | _OF_PYDANTIC:
                    seen.add(name)
                    yield name, member


def _function(member: object) -> Any:
    """Return the function behind a member, or None."""
    if isinstance(member, property):
        return member.fget
    if isinstance(member, cached_property):
        return member.func
    if isinstance(member, classmethod | staticmethod):
        return member.__func__
    return member if inspect.isfunction(member) else None


def _fields(owner: type) -> dict[str, str]:
    """Return the public fields of a class of ours with their types."""
    if dataclasses.is_dataclass(owner):
        return {one.name: _type(one.type) for one in dataclasses.fields(owner) if not one.name.startswith("_")}
    if issubclass(owner, BaseModel):
        return {}
    return {name: _type(kind) for name, kind in owner.__annotations__.items() if not name.startswith("_")}


def _type(annotation: object) -> str:
    """Return a type as it stands in the source; each Python writes it alike."""
    annotation = getattr(annotation, "__forward_arg__", annotation)
    text = annotation if isinstance(annotation, str) else inspect.formatannotation(annotation)
    return re.sub(r"\b(?:[a-z_][\w]*\.)+(?=[A-Z])", "", text)


def _reached(owner: type) -> Iterator[type]:
    """Yield our classes that the public members of a class name."""
    functions = [_function(member) for _, member in _members(owner)]
    typed = [one for one in functions if one is not None] + ([owner] if _fields(owner) else [])
    for one in typed:
        names = _for_type_checkers(one.__module__)
        hints = typing.get_type_hints(one, names, names)
        if one is owner:
            hints = {name: hint for name, hint in hints.items() if name in _fields(owner)}
        yield from (found for hint in hints.values() for found in _ours(hint))


def _ours(hint: Any) -> Iterator[type]:
    if isinstance(hint, type) and hint.__module__.startswith("dermreport"):
        yield hint
    for inner in typing.get_args(hint):
        yield from _ours(inner)


def _results() -> dict[str, type]:
    """Return the classes without a public name whose objects the public ones hand over, by their names."""
    public = [*_public().values(), *_for_plugins().values()]
    found: dict[str, type] = {}
    waiting = [one for one in public if isinstance(one, type) and not issubclass(one, Enum | BaseException)]
    for function in (one for one in public if inspect.isfunction(one)):
        names = _for_type_checkers(function.__module__)
        waiting += [one for hint in typing.get_type_hints(function, names, names).values() for one in _ours(hint)]
    seen = set()
    while waiting:
        owner = waiting.pop()
        name = f"{owner.__module__}.{owner.__qualname__}"
        named = owner in public
        if owner in seen or (not named and name.startswith(WALLS)):
            continue
        seen.add(owner)
        if not named:
            found[owner.__qualname__] = owner
        if not issubclass(owner, Enum | BaseModel) and owner is not dermreport.Pathway:
            waiting += _reached(owner)
    return found


def _parameters(where: str, function: Any, *, bound: bool) -> Iterator[str]:
    parameters = list(inspect.signature(function).parameters.values())[1 if bound else 0 :]
    for position, one in enumerate(parameters, start=1):
        place = "by name" if one.kind is one.KEYWORD_ONLY else f"{position}"
        star = {one.VAR_POSITIONAL: "*", one.VAR_KEYWORD: "**"}.get(one.kind, "")
        optional = one.default is not one.empty or star
        default = f" = {_value(one.default)}" if one.default is not one.empty else ""
        need = "" if optional else ", required"
        kind = "" if one.annotation is one.empty else f": {_type(one.annotation)}"
        yield f"python {where}({place}: {star}{one.name}{kind}{default}{need})"


def _made_of(name: str, owner: Any) -> Iterator[str]:
    """Yield what a host gives when it makes one, each by name; it can be read by the same name."""
    for one in (one for one in dataclasses.fields(owner) if one.init):
        given = one.default if one.default_factory is dataclasses.MISSING else one.default_factory()
        rest = ", required" if given is dataclasses.MISSING else f" = {_value(given)}"
        yield f"python {name}(by name: {one.name}: {_type(one.type)}{rest})"


def _value(value: object) -> str:
    """Return a default as text; what is made by the library is named by its class."""
    if isinstance(value, type):
        return value.__name__
    if isinstance(value, Mapping):
        return repr(dict(value))
    if isinstance(value, Enum) or value is None or isinstance(value, str | int | float | tuple | frozenset):
        plain = value.value if isinstance(value, Enum) else value
        return repr(tuple(sorted(plain))) if isinstance(plain, frozenset) else repr(plain)
    return type(value).__name__


def _class_lines(name: str, owner: type) -> Iterator[str]:
    if issubclass(owner, Enum):
        yield f"python enum {name}"
        for member in () if issubclass(owner, Term) else owner:
            yield f"python {name}.{member.name} = {member.value!r}"
        return
    if issubclass(owner, BaseException):
        yield f"python exception {name} is {', '.join(base.__name__ for base in owner.__mro__[1:-2])}"
        if "__init__" in vars(owner):
            yield from (f"python {name}.{one}: {_type(kind)}" for one, kind in _attributes(owner))
        return
    yield f"python class {name}"
    fields = _fields(owner)
    if name in MADE or (name.startswith("plugins.") and dataclasses.is_dataclass(owner)):
        yield from _made_of(name, owner)
    else:
        yield from (f"python {name}.{one}: {kind}" for one, kind in fields.items())
    for one, member in _members(owner):
        function = _function(member)
        if function is None or one in fields:
            continue
        returned = _type(inspect.signature(function).return_annotation)
        if isinstance(member, property | cached_property):
            yield f"python {name}.{one}: {returned}"
        else:
            yield f"python {name}.{one}(…) -> {returned}"
            yield from _parameters(f"{name}.{one}", function, bound=not isinstance(member, staticmethod))


def _attributes(owner: type) -> Iterator[tuple[str, Any]]:
    """Yield what an exception keeps: what it is made of."""
    for one in list(inspect.signature(owner.__init__).parameters.values())[1:]:
        several = one.kind is one.VAR_POSITIONAL
        yield one.name, f"tuple[{_type(one.annotation)}, ...]" if several else one.annotation


def python_lines() -> Iterator[str]:
    for name, one in (*_public().items(), *_for_plugins().items()):
        if inspect.isfunction(one):
            yield f"python {name}(…) -> {_type(inspect.signature(one).return_annotation)}"
            yield from _parameters(name, one, bound=False)
        else:
            yield from _class_lines(name, one)
    yield "python __version__"
    for name, owner in sorted(_results().items()):
        yield from _class_lines(name, owner)


# -- command line ------------------------------------------------------------------------------------------------------


def command_lines() -> Iterator[str]:
    yield from _parser_lines("dermreport", cli.parser())
    yield from (f"command exits with {name} = {getattr(cli, name)}" for name in _EXITS)


_EXITS = ("DONE", "ERROR_STANDS", "WRONG_CALL", "NOT_DONE")


def _parser_lines(name: str, parser: argparse.ArgumentParser) -> Iterator[str]:
    yield f"command {name}"
    for action in parser._actions:
        if isinstance(action, argparse._SubParsersAction):
            for sub, parser_of in action.choices.items():
                yield from _parser_lines(f"{name} {sub}", parser_of)
            continue
        written = "/".join(action.option_strings) or action.metavar or action.dest
        count = f" count {action.nargs}" if action.nargs is not None else ""
        shown = action.default not in (None, [], argparse.SUPPRESS)
        default = f" = {action.default!r}" if shown else ""
        asked = action.required if action.option_strings else action.nargs not in ("?", "*")
        need = ", required" if asked else ""
        yield f"command {name}: {written}{count}{default}{need}"
        for choice in action.choices or ():
            yield f"command {name}: {written} takes {choice}"


# -- JSON Schema, vocabulary, profiles ---------------------------------------------------------------------------------


def schema_lines() -> Iterator[str]:
    for model in (dermreport.Examination, dermreport.Visit):
        schema = json_schema(model)
        name = model.__name__
        yield f"schema {name} content {_digest(write_json(_without_words(schema)))}"
        for part, definition in {name: schema, **schema["$defs"]}.items():
            for field in definition.get("properties", ()):
                need = ", required" if field in definition.get("required", ()) else ""
                yield f"schema {name} {part}: {field}{need}"


def _without_words(schema: Any) -> Any:
    """Return a schema without what only people read."""
    if isinstance(schema, dict):
        said = {"description", "title", "$comment"}
        return {
            name: _without_words(value) for name, value in schema.items() if name not in said or isinstance(value, dict)
        }
    return [_without_words(one) for one in schema] if isinstance(schema, list) else schema


def code_lines() -> Iterator[str]:
    for table, rows in tables().items():
        yield from (f"code {table} {row.value}" for row in rows)


def artefact_lines() -> Iterator[str]:
    for release in Release:
        made = artefacts(release)
        yield f"artefact {release.value} content {_digest(''.join(map(file_text, made)))}"
        yield from (f"artefact {release.value} {file_name(one).removesuffix('.json')}" for one in made)


def _digest(text: str) -> str:
    return hashlib.sha256(text.encode()).hexdigest()


def versions() -> dict[str, str]:
    addresses = {json_schema(model)["$id"].rpartition("/")[2] for model in (dermreport.Examination, dermreport.Visit)}
    (schema,) = addresses
    return {
        "library": dermreport.__version__,
        "schema": schema,
        "vocabulary": VOCABULARY_VERSION,
        "profiles": PROFILES_VERSION,
    }


# -- comparing ---------------------------------------------------------------------------------------------------------


def lines() -> list[str]:
    """Return the whole surface."""
    told = (f"version {name} {version}" for name, version in versions().items())
    return [*told, *python_lines(), *command_lines(), *schema_lines(), *code_lines(), *artefact_lines()]


class Change(NamedTuple):
    """What became of one area: the lines that went and came, and which part of its version has to rise."""

    version: str
    gone: tuple[str, ...]
    new: tuple[str, ...]
    part: Part


def changes(before: Iterable[str], after: Iterable[str]) -> list[Change]:
    """Return what changed, an entry for each version that has to rise.

    What is gone or changed is major; so is what is new and must be given where the rest was there before. What is new
    is minor. Where only the content of published files differs, it is a patch at least: a person has to look.
    """
    before, after = list(dict.fromkeys(before)), list(dict.fromkeys(after))
    was, now = set(before), set(after)
    found = []
    for version in dict.fromkeys(area.version for area in AREAS):
        prefixes = tuple(area.prefix for area in AREAS if area.version == version)
        gone = tuple(line for line in before if line.startswith(prefixes) and line not in now)
        new = tuple(line for line in after if line.startswith(prefixes) and line not in was)
        if gone or new:
            found.append(Change(version, gone, new, _part(gone, new, was)))
    return found


def _part(gone: Iterable[str], new: Iterable[str], was: set[str]) -> Part:
    owners = {_owner(line) for line in was}
    asked = [line for line in new if line.rstrip(")").endswith(", required") and _owner(line) in owners]
    if asked or any(" content " not in line for line in gone):
        return Part.MAJOR
    return Part.MINOR if any(" content " not in line for line in new) else Part.PATCH


def _owner(line: str) -> str:
    """Return the function, command or part of an entry of which a line says one thing."""
    return re.split(r"[(:]", line)[0]


def part_of(before: str, after: str) -> Part:
    """Return which part of a version rose; while the first number is 0, the next one stands for it (SemVer, 4)."""
    then, now = ([int(number) for number in text.split(".")] for text in (before, after))
    if now <= then:
        return Part.NONE
    place = next(place for place, (one, other) in enumerate(zip(then, now, strict=True)) if one != other)
    return Part(min(3, 3 - place + (then[0] == 0)))


def told(found: Iterable[Change], then: Mapping[str, str]) -> str:
    """Return the changes in words."""
    said = []
    for one in found:
        said.append(f"{one.version} {then[one.version]}: {_WORDS[one.part]}")
        said += [f"  gone: {line}" for line in one.gone] + [f"  new:  {line}" for line in one.new]
    return "\n".join(said)


_WORDS = {
    Part.PATCH: "the content of published files differs: a patch at least; major or minor where its meaning changed",
    Part.MINOR: "something is added: the minor part has to rise (the patch part while the version begins with 0)",
    Part.MAJOR: "something is gone, changed or newly asked for: the major part has to rise (the minor part while the "
    "version begins with 0)",
}


def read(text: str) -> tuple[dict[str, str], list[str]]:
    """Return the versions and the lines of a surface that was written."""
    kept = [line for line in text.splitlines() if line and not line.startswith("#")]
    numbers = dict(line.split()[1:] for line in kept if line.startswith("version "))
    return numbers, kept


def not_risen(found: Iterable[Change], then: Mapping[str, str], now: Mapping[str, str]) -> list[str]:
    """Return which versions haven't risen as far as what changed asks."""
    # A version of one number says only what breaks.
    return [
        f"{one.version} {then[one.version]} → {now[one.version]} is not enough: {_WORDS[one.part]}"
        for one in found
        if one.part > part_of(then[one.version], now[one.version])
        and (one.part is Part.MAJOR or "." in then[one.version])
    ]


HEAD = """\
# What others rely on, one promise a line; DEVELOPERS.md says what follows from a change. Never edited by hand:
# python tests/surface_output.py writes it.
"""


def text() -> str:
    return HEAD + "\n".join(lines()) + "\n"


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--since", type=Path, help="the surface of an earlier release")
    options = parser.parse_args()
    path = options.since or FILE
    if path.exists():
        then, before = read(path.read_text(encoding="utf-8"))
        found = changes(before, lines())
        print(told(found, then) or "nothing changed")
        if options.since:
            missing = not_risen(found, then, versions())
            print("\n".join(missing))
            return 1 if missing else 0
    FILE.write_text(text(), encoding="utf-8", newline="\n")
    return 0


if __name__ == "__main__":
    sys.exit(main())
