"""The answers of computations as schemas, made from the dataclasses themselves so that neither can drift."""

from __future__ import annotations

import dataclasses
import types
from collections.abc import Mapping, Sequence
from functools import cache
from typing import Any, Literal, Union, get_args, get_origin, get_type_hints

from marshmallow import Schema, fields
from marshmallow.validate import OneOf

AnyField = fields.Field[Any]

_PLAIN: Mapping[object, type[AnyField]] = {
    float: fields.Float,
    int: fields.Integer,
    str: fields.String,
    bool: fields.Boolean,
}


def answer_schema(kind: type, name: str | None = None) -> type[Schema]:
    """Return the schema that documents a dataclass as an answer.

    Parameters
    ----------
    kind : type
        A dataclass; nested ones, lists and dictionaries are followed by their type hints.
    name : str or None
        The schema's name in the document; the dataclass's by default.

    Returns
    -------
    type of Schema
        With every field required, and null where the hint allows None.
    """
    return _made(kind, name or f"{kind.__name__}Answer")


@cache
def _made(kind: type, name: str) -> type[Schema]:
    hints = get_type_hints(kind)
    parts: dict[str, Any] = {
        field.name.rstrip("_"): _field(hints[field.name], required=True) for field in dataclasses.fields(kind)
    }
    summary = (kind.__doc__ or "").strip().split("\n")[0]
    return type(name, (Schema,), {"__doc__": summary, **parts})


def _field(hint: Any, **options: Any) -> AnyField:  # noqa: ANN401 (hints are anything, options those of fields)
    if get_origin(hint) in (Union, types.UnionType):
        inner = [part for part in get_args(hint) if part is not type(None)]
        return _field(inner[0], **{**options, "allow_none": True}) if len(inner) == 1 else fields.Raw(**options)
    if hint in _PLAIN:
        return _PLAIN[hint](**options)
    if dataclasses.is_dataclass(hint) and isinstance(hint, type):
        return fields.Nested(answer_schema(hint), **options)
    return _container(hint, options)


def _container(hint: Any, options: dict[str, Any]) -> AnyField:  # noqa: ANN401 (hints are anything)
    origin, inner = get_origin(hint), get_args(hint)
    if origin is Literal:
        return fields.String(validate=OneOf(inner), **options)
    if origin in (list, Sequence):
        return fields.List(_field(inner[0]), **options)
    if origin is tuple:
        return fields.List(_field(inner[0]), **options)
    if origin in (dict, Mapping):
        return fields.Dict(keys=fields.String(), values=_field(inner[1]), **options)
    return fields.Raw(**options)
