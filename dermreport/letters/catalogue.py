"""The message catalogue of letters: every sentence by its key, in each language, and in a host's own words."""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Mapping
from functools import cache
from importlib.resources import files
from string import Formatter
from types import MappingProxyType

from dermreport.issues import SettingsError
from dermreport.languages.language import LANGUAGES
from dermreport.letters.blocks import Line


class Catalogue:
    """What letters say in one language."""

    __slots__ = ("_texts", "language")

    def __init__(self, language: str, texts: Mapping[str, str]) -> None:
        """Take the texts by their keys."""
        self.language: str = language
        self._texts = texts

    def say(self, key: str, **values: str | Line) -> Line:
        """Return a sentence with its names filled in; entered words in them stay marked as such."""
        said: list[str] = []
        for literal, name in _parsed(self._texts[key]):
            if literal:
                said.append(literal)
            if name:
                value = values[name]
                said.extend((value,) if isinstance(value, str) else value)
        return tuple(said)

    def has(self, key: str) -> bool:
        """Return whether there is a sentence with a key."""
        return key in self._texts

    def text(self, key: str) -> str:
        """Return a sentence without names."""
        return self._texts[key]


@cache
def _parsed(text: str) -> tuple[tuple[str, str], ...]:
    return tuple((literal, name or "") for literal, name, _, _ in Formatter().parse(text))


def names_in(text: str) -> frozenset[str]:
    """Return the names in braces of a text.

    Raises:
        ValueError: A brace is left open.
    """
    return frozenset(name for _, name in _parsed(text) if name)


@cache
def messages(language: str) -> Mapping[str, str]:
    """Return the sentences of a language by their keys, as ``first.step``.

    Raises:
        SettingsError: There is no such language.
    """
    if language not in LANGUAGES:
        raise SettingsError(f"letter settings: language is one of {', '.join(LANGUAGES)}")
    text = files("dermreport.letters").joinpath("messages", f"{language}.toml").read_text(encoding="utf-8")
    # What stands before the groups is the state of a draft.
    groups = {group: keys for group, keys in tomllib.loads(text).items() if isinstance(keys, dict)}
    return MappingProxyType({f"{group}.{key}": said for group, keys in groups.items() for key, said in keys.items()})


def catalogue(language: str, wording: Mapping[str, str]) -> Catalogue:
    """Return the catalogue of a language, some sentences in the host's words.

    Raises:
        SettingsError: There is no such language or key, or a sentence hasn't the names of the one it replaces; the text
            names the keys, never the words.
    """
    own = messages(language)
    wrong = tuple(_wrong(own, wording))
    if wrong:
        raise SettingsError(f"letter settings: wording: {'; '.join(wrong)}")
    return Catalogue(language, {**own, **wording} if wording else own)


def _wrong(own: Mapping[str, str], wording: Mapping[str, str]) -> Iterable[str]:
    for key, said in wording.items():
        if key not in own:
            yield "there is no sentence with one of these keys"
            continue
        wanted = names_in(own[key])
        try:
            fits = isinstance(said, str) and bool(said.strip()) and names_in(said) == wanted
        except ValueError:
            fits = False
        if not fits:
            names = ", ".join(f"{{{name}}}" for name in sorted(wanted)) or "no names"
            yield f"{key} is a text with {names}"
