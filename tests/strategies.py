"""Hypothesis strategies for entries, derived from the model's own field types: a new field is drawn at once.

``examinations()`` draws any valid examination, ``full_examinations()`` one with every field and list filled, and
``usual_examinations()`` one small enough to draw many. Keys come from a small pool, so that findings and images often
name a view that exists and sometimes one that doesn't.
"""

from __future__ import annotations

import re
import uuid
from decimal import Decimal
from functools import cache
from types import NoneType, UnionType
from typing import Annotated, Any, Union, get_args, get_origin

from hypothesis import HealthCheck, Phase, settings
from hypothesis import strategies as st
from pydantic import AfterValidator, WithJsonSchema
from pydantic_core import PydanticCustomError

from dermreport.examination import types as scalars
from dermreport.examination.base import Model
from dermreport.examination.model import Examination
from dermreport.examination.observed import ImageHash
from dermreport.examination.people import Identifier, Reference
from dermreport.vocabulary.hash_algorithms import HashAlgorithm
from dermreport.vocabulary.term import Term

#: For tests that draw whole examinations: few, and a failing one isn't shrunk, which would take minutes.
WHOLE_EXAMINATIONS = settings(
    max_examples=20,
    phases=(Phase.explicit, Phase.reuse, Phase.generate),
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
)

#: Text as people and attackers write it: markup, quotes, other scripts, right to left, tabs and line feeds.
_CHARACTERS = st.one_of(
    st.sampled_from("abcXYZ 0189.,;:-–<>&\"'\\|$/\t\n\r\u00a0\u202e\u2028é漢א🙂"),
    st.characters(codec="utf-8", exclude_categories=("Cs", "Cc", "Cn"), exclude_characters="\ufffe\uffff"),
)
#: A text has at least one character that is seen; what stands around it may be blank.
_WORDS = st.builds(
    "{}{}{}".format, st.text(_CHARACTERS, max_size=5), st.sampled_from("aZ9<&é漢"), st.text(_CHARACTERS, max_size=5)
)
_HOSTILE = st.sampled_from(
    [
        "<script>alert(1)</script>",
        "</div>&nbsp;]]>",
        "a\tb\nc\rd",
        " leading and trailing ",
        "\u202eright to left",
        "x' OR '1'='1|a,b$c\\",
        "{{x}} %s {0}",
    ]
)
TEXTS = st.one_of(_WORDS, _HOSTILE)
KEYS = st.sampled_from(["a", "b", "v-1", "v.2", "K_3"])
_DIGITS = st.integers(0, 10**6)
_DAYS = st.dates().map(str)
_CLOCKS = st.builds(
    lambda time, fraction, offset: f"T{time:%H:%M:%S}{fraction}{offset}",
    st.times(),
    st.sampled_from(["", ".5", ".123000", ".000000001"]),
    st.sampled_from(["Z", "+00:00", "-00:00", "+01:00", "-11:30", "+14:00"]),
)
_INSTANTS = st.builds(str.__add__, _DAYS, _CLOCKS)
_DAY_TIMES = st.one_of(_DAYS, _INSTANTS)
_MONTHS = st.builds("{:04}-{:02}".format, st.integers(1, 9999), st.integers(1, 12))
_PARTIAL_TIMES = st.one_of(st.integers(1, 9999).map("{:04}".format), _MONTHS, _DAY_TIMES)
_URIS = st.builds("{}{}".format, st.sampled_from(["https://host.example/ids/", "urn:x-host:"]), _DIGITS)
_HEX = st.text("0123456789abcdef", min_size=64, max_size=64)
_UUIDS = st.uuids().map(str)

_HOSTS = st.sampled_from(["", "https://host.example/fhir/"])
_BY_PATTERN: dict[str, st.SearchStrategy[str]] = {
    scalars.TEXT_PATTERN: TEXTS,
    scalars.KEY_PATTERN: KEYS,
    scalars.URI_PATTERN: _URIS,
    scalars.ADDRESS_PATTERN: _URIS.filter(lambda one: re.match(scalars.ADDRESS_PATTERN, one) is not None),
    scalars.REFERENCE_PATTERN: st.builds(
        "{}{}/{}".format,
        _HOSTS,
        st.sampled_from(["Patient", "Practitioner", "Encounter", "Organization", "ServiceRequest", "DiagnosticReport"]),
        _DIGITS,
    ),
    scalars.PATIENT_PATTERN: st.builds("{}Patient/{}".format, _HOSTS, _DIGITS),
    scalars.EXAMINER_PATTERN: st.builds(
        "{}{}/{}".format, _HOSTS, st.sampled_from(["Practitioner", "PractitionerRole"]), _DIGITS
    ),
    scalars.TIME_PATTERN: _PARTIAL_TIMES,
    scalars.DAY_TIME_PATTERN: _DAY_TIMES,
    scalars.INSTANT_PATTERN: _INSTANTS,
    scalars.MEDIA_TYPE_PATTERN: st.sampled_from(["image/jpeg", "image/png", "application/dicom"]),
    scalars.OID_PATTERN: _DIGITS.map("1.2.840.99999.{}".format),
}


def _number(schema: dict[str, Any]) -> st.SearchStrategy[Any]:
    if schema["type"] == "integer":
        return st.integers(schema["minimum"], schema["maximum"])
    decimals = st.integers(0, 3).flatmap(
        lambda places: st.decimals(
            min_value=Decimal(schema.get("minimum", 0)), max_value=Decimal(schema["maximum"]), places=places
        )
    )
    lowest = Decimal(schema.get("exclusiveMinimum", -1))
    tiny = st.sampled_from([Decimal("0.00000001"), Decimal("1E-7"), Decimal("0.5000")])
    return st.one_of(decimals.filter(lambda number: number > lowest), tiny)


class _Drawing:
    """How optional fields and lists are drawn."""

    def __init__(self, absent: st.SearchStrategy[bool], lengths: tuple[int, int]) -> None:
        self.absent = absent
        self.shortest, self.longest = lengths

    def of(self, annotation: Any, metadata: tuple[Any, ...] = ()) -> st.SearchStrategy[Any]:
        """Return the strategy for an annotation of the model and what is attached to it."""
        origin = get_origin(annotation)
        if origin is Annotated:
            inner, *attached = get_args(annotation)
            return self.of(inner, (*attached, *metadata))
        if origin in {Union, UnionType}:
            return self._union(get_args(annotation))
        if origin is tuple:
            return self._list(get_args(annotation)[0], metadata)
        for one in metadata:
            if isinstance(one, WithJsonSchema):
                schema = one.json_schema or {}
                return _BY_PATTERN[schema["pattern"]] if schema["type"] == "string" else _number(schema)
        return self._plain(annotation)

    def _plain(self, kind: Any) -> st.SearchStrategy[Any]:
        if kind is bool:
            return st.booleans()
        return st.sampled_from(kind) if issubclass(kind, Term) else self.model(kind)

    def _union(self, choices: tuple[Any, ...]) -> st.SearchStrategy[Any]:
        given = [self.of(choice) for choice in choices if choice is not NoneType]
        # Somebody else's code is the rarer branch, and the last one.
        drawn = given[0] if len(given) == 1 else st.integers(0, 7).flatmap(lambda roll: given[1 if roll == 0 else 0])
        if NoneType not in choices:
            return drawn
        return self.absent.flatmap(lambda absent: st.none() if absent else drawn)

    def _list(self, item: Any, metadata: tuple[Any, ...]) -> st.SearchStrategy[Any]:
        checks = [one.func for one in metadata if isinstance(one, AfterValidator)]

        def unique(items: list[Any]) -> tuple[Any, ...]:
            result = tuple(items)
            for check in checks:
                try:
                    check(result)
                except PydanticCustomError as error:
                    again = set(error.context["positions"])
                    result = tuple(item for position, item in enumerate(result) if position not in again)
            return result

        return st.lists(self.of(item), min_size=self.shortest, max_size=self.longest).map(unique)

    def model(self, model: type[Model], **fixed: Any) -> st.SearchStrategy[Any]:
        """Return the strategy for a part of the model; ``fixed`` fields are taken as given."""
        fields = {
            name: self.of(field.annotation, tuple(field.metadata))
            for name, field in model.model_fields.items()
            if name not in fixed
        }
        fields |= {
            name: value if isinstance(value, st.SearchStrategy) else st.just(value) for name, value in fixed.items()
        }
        return st.fixed_dictionaries(fields).map(_whole).map(lambda values: _made(model, values))


def _whole(values: dict[str, Any]) -> dict[str, Any]:
    return {name: value for name, value in values.items() if value is not None}


def _made(model: type[Model], values: dict[str, Any]) -> Any:
    """Make one part; what its own validator demands of several fields together is arranged here."""
    if model is Identifier and "system" not in values:
        values["value"] = str(_uuid_of(values["value"]))
    if model is Reference and not values:
        values["display"] = "somebody"
    if model is ImageHash:
        text = "".join(character for character in values["value"])
        values["value"] = text[:40] if values["algorithm"] is HashAlgorithm.SHA_1 else text
    return model.model_validate(values)


def _uuid_of(text: str) -> Any:
    return uuid.uuid5(uuid.NAMESPACE_URL, text)


_BY_PATTERN[scalars.HEX_PATTERN] = _HEX


@cache
def _drawing(kind: str) -> _Drawing:
    return {
        "any": _Drawing(st.sampled_from([False, True]), (0, 2)),
        "full": _Drawing(st.just(value=False), (1, 2)),
        "usual": _Drawing(st.sampled_from([False, True, True, True]), (0, 2)),
    }[kind]


def examinations(**fixed: Any) -> st.SearchStrategy[Examination]:
    """Return a strategy for any valid examination; keyword arguments fix fields, by value or by strategy."""
    return _drawing("any").model(Examination, **fixed)


def full_examinations(**fixed: Any) -> st.SearchStrategy[Examination]:
    """Return a strategy for examinations in which every field and every list is filled."""
    return _drawing("full").model(Examination, **fixed)


def usual_examinations(**fixed: Any) -> st.SearchStrategy[Examination]:
    """Return a strategy for sparse examinations: a quarter of the optional fields."""
    return _drawing("usual").model(Examination, **fixed)


def parts(model: type[Model], **fixed: Any) -> st.SearchStrategy[Any]:
    """Return a strategy for a part of the model, as ``parts(Lesion)``."""
    return _drawing("any").model(model, **fixed)
