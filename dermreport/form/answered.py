"""What stands in the items of a response: their answers, and which of these contradict themselves."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

from dermreport.examination.kept_in_words import says_another
from dermreport.form.placing import items_of, link_id
from dermreport.vocabulary.term import Term, code_system

if TYPE_CHECKING:
    from collections.abc import Iterable

    from dermreport.form.layout import FormItem

Json = dict[str, Any]

_CALLED_MISSING: Final = "http://hl7.org/fhir/StructureDefinition/data-absent-reason"
#: What is held of somebody else's code.
_OF_A_CODING: Final = ("system", "version", "code", "display")


def items_below(items: Iterable[Any], group: str) -> list[Any]:
    """Return what stands in the groups with this linkId."""
    return [inner for item in items if link_id(item) == group for inner in items_of(item)]


def answers_of(given: Iterable[Json]) -> tuple[list[Any], list[Json]]:
    """Return the answers of items, and the items that stand below them."""
    found: list[Json] = []
    nested: list[Any] = []
    for item in given:
        own = item.get("answer", [])
        own = own if isinstance(own, list) else [own]
        nested += items_of(item)
        for answer in own:
            if not isinstance(answer, dict):
                found.append({"value": answer})
                continue
            nested += items_of(answer)
            if "item" not in answer or any(name != "item" for name in answer):
                found.append({name: value for name, value in answer.items() if name != "item"})
        if not own and _says_why_it_is_empty(item):
            found.append({name: value for name, value in item.items() if name in {"answer", "_answer", "extension"}})
    return found, [one if isinstance(one, dict) else {"item": one} for one in nested]


def _says_why_it_is_empty(item: Json) -> bool:
    """Return whether an item without an answer has something in its place: an extension on it, or why it is missing."""
    return "_answer" in item or ("answer" in item and "extension" in item) or is_called_missing(item)


def is_called_missing(answer: Any) -> bool:  # noqa: ANN401 - any JSON
    """Return whether an answer, or a value in it, is marked as missing."""
    below = [answer]
    while below:
        here = below.pop()
        if isinstance(here, dict):
            if here.get("url") == _CALLED_MISSING:
                return True
            below += [value for name, value in here.items() if name not in {"item", "answer"}]
        elif isinstance(here, list):
            below += here
    return False


def contradicts(item: FormItem, value: Any) -> bool:  # noqa: ANN401 - any JSON
    """Return whether a code of ours stands beside the words of another one."""
    if item.table is None or not isinstance(value, dict) or value.get("system") != code_system(item.table):
        return False
    code = next((one for one in item.table if one.value == value.get("code")), None)
    return code is not None and says_another(code, value.get("display"))


def code_of(table: type[Term], given: Json, *, other: bool) -> Any:  # noqa: ANN401 - any JSON
    """Return a code of ours as its text, and somebody else's as it came."""
    code = given.get("code")
    if given.get("system") == code_system(table) and isinstance(code, str) and (not other or code in set(table)):
        return code
    return {name: given[name] for name in _OF_A_CODING if name in given}
