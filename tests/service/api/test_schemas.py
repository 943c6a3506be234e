"""The schemas of requests know every field that the computation knows, and no other."""

from __future__ import annotations

import dataclasses
import types
from collections.abc import Iterator, Sequence
from typing import Any, Literal, Union, get_args, get_origin, get_type_hints

import pytest
from heelwright_service.api.fields import Choice
from heelwright_service.api.schemas.drift import DriftBody
from heelwright_service.api.schemas.hydrostatics import HydrostaticsBody
from heelwright_service.api.schemas.planning import PlanBody
from heelwright_service.api.schemas.record import RecordBody
from heelwright_service.core.drift import DriftRequest
from heelwright_service.core.hydrostatics_answer import HydrostaticsRequest
from heelwright_service.core.planning import PlanRequest
from heelwright_service.core.record import TestRecord
from marshmallow import Schema, fields


def dataclass_in(hint: Any) -> type | None:
    """The dataclass that a hint is, or holds a list of."""
    if dataclasses.is_dataclass(hint):
        return hint if isinstance(hint, type) else None
    if get_origin(hint) in (Union, types.UnionType, list, Sequence):
        return next((found for inner in get_args(hint) if (found := dataclass_in(inner))), None)
    return None


def schema_in(field: fields.Field[Any]) -> Schema | None:
    """The schema that a field nests, or nests a list of."""
    if isinstance(field, fields.List):
        return schema_in(field.inner)
    return field.schema if isinstance(field, fields.Nested) else None


def literals_in(hint: Any) -> set[str]:
    """The words that a hint allows; none where it allows any."""
    if get_origin(hint) is Literal:
        return set(get_args(hint))
    return {word for inner in get_args(hint) if get_origin(inner) is Literal for word in get_args(inner)}


def differences(kind: type, schema: Schema, at: str = "") -> Iterator[str]:
    """What one knows and the other does not, by pointer."""
    hints = get_type_hints(kind)
    known = {field.name.rstrip("_"): field for field in dataclasses.fields(kind)}
    yield from (f"{at}/{name} is not in the schema" for name in known.keys() - schema.fields.keys())
    yield from (f"{at}/{name} is not in {kind.__name__}" for name in schema.fields.keys() - known.keys())
    for name in known.keys() & schema.fields.keys():
        inner, nested = dataclass_in(hints[known[name].name]), schema_in(schema.fields[name])
        if inner is not None and nested is not None:
            yield from differences(inner, nested, f"{at}/{name}")
        hint = hints[known[name].name]
        if schema.fields[name].allow_none != (type(None) in get_args(hint)):
            yield f"{at}/{name} may be null for one and not for the other"
        words = literals_in(hint)
        if isinstance(schema.fields[name], Choice) and words and set(schema.fields[name].words) != words:
            yield f"{at}/{name} has other words"
        absent_is_allowed = (
            known[name].default is not dataclasses.MISSING or known[name].default_factory is not dataclasses.MISSING
        )
        if schema.fields[name].required == absent_is_allowed:
            yield f"{at}/{name} is required by one and not by the other"


@pytest.mark.parametrize(
    ("kind", "schema"),
    [
        (TestRecord, RecordBody()),
        (PlanRequest, PlanBody()),
        (DriftRequest, DriftBody()),
        (HydrostaticsRequest, HydrostaticsBody()),
    ],
    ids=["record", "weight plan", "drift", "hydrostatics"],
)
def test_the_schema_knows_the_fields_that_the_computation_knows(kind: type, schema: Schema) -> None:
    assert sorted(differences(kind, schema)) == []
