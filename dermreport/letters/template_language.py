"""What a host's template can say: a small part of jinja2, checked before it meets a letter.

A template has values of the letter, ``if`` and ``for``. Nothing in it assigns, calls, imports or counts, so nothing can
grow or hang: loops run over parts of the letter, and their turns and what they write are bounded. Names are checked by
the fields of the view, so a wrong one is found where no letter has been written yet.
"""

from __future__ import annotations

from dataclasses import dataclass, fields, is_dataclass
from functools import lru_cache
from typing import TYPE_CHECKING, Any, Final, get_args, get_origin, get_type_hints

from dermreport.extras import loaded
from dermreport.issues import SettingsError
from dermreport.letters.blocks import Entered
from dermreport.letters.characters import balanced, printable
from dermreport.letters.views import LetterView, Shown, Words

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator, Mapping

    from jinja2 import Template, nodes
    from jinja2.sandbox import ImmutableSandboxedEnvironment

#: Filters that a template may use: none makes more of what it gets, and none trusts it.
_FILTERS: Final = frozenset({"capitalize", "first", "join", "last", "length", "lower", "string", "trim", "upper"})
#: What a loop says of itself.
_LOOP: Final = ("first", "index", "last", "length")
_LONGEST: Final = 200_000
_DEEPEST: Final = 8
_MOST_TURNS: Final = 100_000
#: Around what was entered, in lines of text; no text of a letter can hold them (see ``printable``).
ENTERED_BEGIN, ENTERED_END = "\ufdd0", "\ufdd1"


class _Loop:
    """What a loop says of itself, as a kind of value."""


class _Choices:
    """Fixed values in brackets, as a kind of value."""


@dataclass(frozen=True, slots=True)
class Language:
    """One kind of template.

    Attributes:
        html: Whether it is HTML, in which values are escaped; else lines of text.
        names: What it can say, by name.
    """

    html: bool
    names: tuple[tuple[str, type], ...]


#: Lines of text before or after the letter.
LINES: Final = Language(html=False, names=(("letter", LetterView),))
#: A whole page: the letter, its parts as the standard page shows them, and the standard style sheet.
PAGE: Final = Language(html=True, names=(("letter", LetterView), ("body", Shown), ("style", Shown), ("policy", str)))


class TooMuchError(Exception):
    """A template turns or writes more than it may; the text holds nothing of a letter."""


class _Turns:
    """Counts the turns of all loops of one template together."""

    def __init__(self) -> None:
        self._left = _MOST_TURNS

    def of(self, values: Iterable[object]) -> Iterator[object]:
        for value in values:
            self._left -= 1
            if self._left < 0:
                raise TooMuchError
            yield value


def sandbox(**more: Any) -> ImmutableSandboxedEnvironment:  # noqa: ANN401 - jinja2's own arguments
    """Return an environment of jinja2 that reads a template as every page and line of a letter is read.

    Args:
        more: What else the environment is told, as ``autoescape``.

    Raises:
        MissingExtraError: jinja2 isn't installed.
    """
    made: ImmutableSandboxedEnvironment = loaded("jinja2.sandbox").ImmutableSandboxedEnvironment(
        undefined=loaded("jinja2").StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
        **more,
    )
    return made


def written(name: str, source: str, language: Language, values: Mapping[str, object], longest: int) -> str | None:
    """Return what a template makes of a letter, ``None`` where it can't be made or is too long.

    Args:
        name: What the host calls it, for errors.
        source: The template.
        language: What it can say.
        values: The letter's values.
        longest: Characters that it writes at most.

    Raises:
        SettingsError: It isn't a template that can be taken.
        MissingExtraError: jinja2 isn't installed.
    """
    template = checked(name, source, language)
    pieces: list[str] = []
    left = longest
    try:
        for piece in template.generate(values, turns_=_Turns()):
            pieces.append(piece)
            left -= len(piece)
            if left < 0:
                return None
    except Exception:  # noqa: BLE001 - whatever it is, it may hold what was entered: nothing of it goes on
        return None
    return "".join(pieces)


@lru_cache(maxsize=64)
def checked(name: str, source: str, language: Language) -> Template:
    """Return a template that was found to say only what it can.

    Args:
        name: What the host calls it, for errors.
        source: The template.
        language: What it can say.

    Raises:
        SettingsError: It isn't one; the text names the line and what to do, and quotes nothing.
        MissingExtraError: jinja2 isn't installed.
    """
    where = f"letter settings: {name}"
    if len(source) > _LONGEST:
        raise SettingsError(f"{where}: a template has {_LONGEST} characters at most")
    jinja2 = loaded("jinja2")
    environment = sandbox(autoescape=language.html, finalize=None if language.html else _set_apart)
    environment.globals.clear()
    environment.filters = {one: environment.filters[one] for one in _FILTERS} | {"turns_": _turns()}
    made: Template | None = None
    line = 1
    try:
        tree = environment.parse(printable(source))
        _Check(where).all(tree, dict(language.names))
        _count_turns(tree)
        made = jinja2.Template.from_code(environment, environment.compile(tree), {})
    except SettingsError:
        raise
    except jinja2.TemplateSyntaxError as error:
        line = error.lineno
    except Exception:  # noqa: BLE001, S110 - too deep for whoever reads it, which shows in several ways
        pass
    if made is None:
        raise SettingsError(
            f"{where}, line {line}: this can't be read as a template: each value is written {{{{ so }}}}, each "
            "condition and loop has its end, and nothing stands too deep in one another"
        )
    return made


def _turns() -> Callable[..., Iterator[object]]:
    """Return the filter that counts a loop's turns."""

    def counted(context: Any, values: Iterable[object]) -> Iterator[object]:  # noqa: ANN401 - jinja2's own
        turns: _Turns = context["turns_"]
        return turns.of(values)

    from jinja2 import pass_context  # noqa: PLC0415 - loaded on first use, and found there before

    return pass_context(counted)


def _count_turns(tree: nodes.Template) -> None:
    from jinja2 import nodes  # noqa: PLC0415 - loaded on first use, and found there before

    for loop in list(tree.find_all(nodes.For)):
        loop.iter = nodes.Filter(loop.iter, "turns_", [], [], None, None, lineno=loop.lineno)


def _set_apart(value: object) -> str:
    """Return a value as text of one line, what was entered in marks; what a filter made may have been entered."""
    pieces = value.line if isinstance(value, Words) else (Entered(value),) if isinstance(value, str) else (str(value),)
    return "".join(
        f"{ENTERED_BEGIN}{_one_line(piece)}{ENTERED_END}" if isinstance(piece, Entered) else _one_line(piece)
        for piece in pieces
    )


def _one_line(text: str) -> str:
    return balanced(" ".join(printable(text).split("\n")))


class _Check:
    """Reads a template without running it, and knows of each value what it is."""

    def __init__(self, where: str) -> None:
        self._where = where
        from jinja2 import nodes  # noqa: PLC0415 - loaded on first use, and found there before

        self._nodes = nodes

    def all(self, tree: nodes.Template, names: Mapping[str, Any]) -> None:
        """Refuse what a template can't say.

        Raises:
            SettingsError: It says something else.
        """
        self._statements(tree.body, names, 0)

    def _refuse(self, node: nodes.Node, why: str) -> SettingsError:
        lines = (one.lineno for one in (node, *node.find_all(self._nodes.Node)) if one.lineno)
        return SettingsError(f"{self._where}, line {next(lines, 1)}: {why}")

    def _statements(self, statements: Iterable[nodes.Node], names: Mapping[str, Any], depth: int) -> None:
        kinds = self._nodes
        for node in statements:
            if depth > _DEEPEST:
                raise self._refuse(node, f"conditions and loops stand in one another {_DEEPEST} deep at most")
            if isinstance(node, kinds.Output):
                for one in node.nodes:
                    self._shown(one, names)
            elif isinstance(node, kinds.If):
                self._value(node.test, names)
                for branch in (node.body, node.elif_, node.else_):
                    self._statements(branch, names, depth + (branch is not node.elif_))
            elif isinstance(node, kinds.For):
                self._loop(node, names, depth)
            else:
                raise self._refuse(node, "a template has values, if and for, and nothing else")

    def _loop(self, node: nodes.For, names: Mapping[str, Any], depth: int) -> None:
        if node.recursive or not isinstance(node.target, self._nodes.Name):
            raise self._refuse(node, "a loop has one name and isn't recursive")
        if node.target.name in {*names, "loop"}:
            raise self._refuse(node, "a loop's name is taken already: choose another")
        several = self._value(node.iter, names)
        if get_origin(several) is not tuple:
            raise self._refuse(node, "a loop runs over a list of the letter")
        inside = {**names, node.target.name: get_args(several)[0], "loop": _Loop}
        if node.test is not None:
            self._value(node.test, inside)
        self._statements(node.body, inside, depth + 1)
        self._statements(node.else_, names, depth + 1)

    def _shown(self, node: nodes.Expr, names: Mapping[str, Any]) -> None:
        if isinstance(node, self._nodes.TemplateData):
            return
        kind = self._value(node, names)
        if isinstance(node, (self._nodes.And, self._nodes.Or)):
            self._shown(node.left, names)
            self._shown(node.right, names)
        elif get_origin(kind) is tuple or is_dataclass(kind) or kind in {_Loop, _Choices}:
            raise self._refuse(node, "this is no single value: name a part of it, or go through it in a loop")

    def _value(self, node: nodes.Node, names: Mapping[str, Any]) -> Any:  # noqa: ANN401 - a type, or a list of one
        """Return what an expression is: a class, or ``tuple[…]`` of one."""
        kinds = self._nodes
        if isinstance(node, kinds.Name):
            if node.name not in names:
                raise self._refuse(node, f"there is no such name; there is {_listed(names)}")
            return names[node.name]
        if isinstance(node, kinds.Getattr):
            return self._part(node, names)
        if isinstance(node, kinds.Filter):
            return self._filtered(node, names)
        if isinstance(node, (kinds.Const, kinds.Compare, kinds.And, kinds.Or, kinds.Not, kinds.List, kinds.Tuple)):
            for child in node.iter_child_nodes():
                self._value(child.expr if isinstance(child, kinds.Operand) else child, names)
            return _Choices if isinstance(node, (kinds.List, kinds.Tuple)) else str
        if isinstance(node, kinds.CondExpr) and node.expr2 is not None:
            for child in (node.test, node.expr1, node.expr2):
                self._value(child, names)
                if child is not node.test:
                    self._shown(child, names)
            return str
        raise self._refuse(
            node,
            "a value is a part of the letter, a text, a comparison, or a choice with if and else, and is not called",
        )

    def _part(self, node: nodes.Getattr, names: Mapping[str, Any]) -> Any:  # noqa: ANN401 - the same
        owner = self._value(node.node, names)
        parts: dict[str, Any] = dict.fromkeys(_LOOP, int) if owner is _Loop else _parts(owner)
        if node.attr not in parts:
            has = f"it has {_listed(parts)}" if parts else "it has no parts"
            raise self._refuse(node, f"there is no such part here; {has}")
        return parts[node.attr]

    def _filtered(self, node: nodes.Filter, names: Mapping[str, Any]) -> Any:  # noqa: ANN401 - the same
        if node.node is None or node.name not in _FILTERS:
            raise self._refuse(node, f"there is no such filter; there is {_listed(_FILTERS)}")
        given = self._value(node.node, names)
        constant = all(isinstance(one, self._nodes.Const) for one in node.args)
        if node.kwargs or node.dyn_args or node.dyn_kwargs or len(node.args) > (node.name == "join") or not constant:
            raise self._refuse(node, "join takes one fixed text, and the other filters nothing")
        several = get_origin(given) is tuple
        if several is not (node.name in {"first", "join", "last"}) and node.name != "length":
            raise self._refuse(node, "first, last and join take a list, and the other filters a single value")
        if not several and node.name != "length" and is_dataclass(given):
            raise self._refuse(node, "this is no single value: name a part of it")
        if node.name in {"first", "last"}:
            return get_args(given)[0]
        if node.name == "join" and get_args(given)[0] is not Words:
            raise self._refuse(node, "join takes lines: go through other lists in a loop")
        return int if node.name == "length" else str


def _parts(kind: Any) -> dict[str, Any]:  # noqa: ANN401 - the same
    """Return the parts of a view with what each is."""
    if not is_dataclass(kind):
        return {}
    hints = get_type_hints(kind)
    return {one.name: hints[one.name] for one in fields(kind)}


def _listed(names: Iterable[str]) -> str:
    return ", ".join(sorted(names))
