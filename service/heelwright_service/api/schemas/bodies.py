"""Request bodies made from the dataclasses they become; a field's name says its unit, and so its physical range."""

from __future__ import annotations

import dataclasses
import types
from collections.abc import Callable, Mapping, Sequence
from functools import cache
from typing import Any, Literal, Union, get_args, get_origin, get_type_hints

from marshmallow import fields
from marshmallow.validate import Length

from heelwright_service.api import quantities as q
from heelwright_service.api.fields import Choice, Count, DayText, Flag, MomentText, Numbers, Positions, Quantity, Text
from heelwright_service.api.schemas.base import Strict
from heelwright_service.core.record import Position

AnyField = fields.Field[Any]
Made = Callable[..., AnyField]

_DAYS = frozenset(
    (
        "date",
        "certified_on",
        "marks_verified_on",
        "dated",
        "last_conversion",
        "accepted_on",
        "calibrated_on",
        "submitted_on",
        "answers_due",
        "from_date",
        "on",
        "decided_on",
        "valid_until",
        "berth_from",
        "berth_until",
        "crane_from",
        "crane_until",
    )
)
_MOMENTS = frozenset(("start_at", "start", "end", "item_list_handed_over_at", "decision_at"))
_LONGEST_TEXT = 2000
_MOST_ROWS = 5000


def _range(low: float, high: float) -> Made:
    return lambda description, **options: Quantity(low, high, metadata={"description": description}, **options)


_BY_NAME: Mapping[str, Made] = {
    "x_m": lambda description, **options: q.x_m(**options),
    "y_m": lambda description, **options: q.y_m(**options),
    "z_m": lambda description, **options: q.z_m(**options),
    "expected_density_t_per_m3": lambda description, **options: q.water_density(description, **options),
    "distance_m": lambda description, **options: q.distance_m(**options),
    "mass_t": q.mass_t,
    "length_m": q.length_m,
    "relative": _range(-0.5, 0.5),
    "share": q.share,
}
_BY_UNIT: tuple[tuple[str, Made], ...] = (
    ("_t_per_m3", q.liquid_density),
    ("_t_per_m2", _range(0, 1000)),
    ("_t_per_day", _range(0, 10_000)),
    ("_m_per_s", _range(0, 100)),
    ("_t_m", _range(-10_000_000, 10_000_000)),
    ("_t", q.mass_or_none_t),
    ("_m3", q.volume_m3),
    ("_mm", q.deflection_mm),
    ("_m", _range(-1000, 1000)),
    ("_deg", q.angle_deg),
    ("_percent", _range(0, 100)),
    ("_kn", _range(0, 50)),
    ("_minutes", q.minutes),
)


@cache
def body_schema(kind: type, name: str | None = None, without: tuple[str, ...] = ()) -> type[Strict]:
    """Return the schema that checks the shape of a request that becomes a dataclass.

    Parameters
    ----------
    kind : type
        A dataclass; nested ones, lists and dictionaries are followed by their type hints.
    name : str or None
        The schema's name in the document; the dataclass's by default.
    without : tuple of str
        Fields that the caller does not give.

    Returns
    -------
    type of Strict
        Fields without a default are required; a field that may be None may be null.
    """
    hints = get_type_hints(kind)
    parts: dict[str, Any] = {}
    for field in dataclasses.fields(kind):
        if field.name in without:
            continue
        needed = field.default is dataclasses.MISSING and field.default_factory is dataclasses.MISSING
        parts[field.name.rstrip("_")] = _field(field.name, hints[field.name], {"required": True} if needed else {})
    summary = (kind.__doc__ or "").strip().split("\n")[0]
    return type(name or f"{kind.__name__}Body", (Strict,), {"__doc__": summary, **parts})


def _field(name: str, hint: Any, options: dict[str, Any]) -> AnyField:  # noqa: ANN401 (hints are anything)
    if get_origin(hint) in (Union, types.UnionType):
        inner = next(part for part in get_args(hint) if part is not type(None))
        return _field(name, inner, {**options, "allow_none": True})
    if dataclasses.is_dataclass(hint) and isinstance(hint, type):
        return fields.Nested(body_schema(hint), **options)
    if get_origin(hint) is Literal:
        return Choice(*get_args(hint), **options)
    if get_origin(hint) in (list, Sequence, dict, Mapping):
        return _many(name, hint, options)
    return _one(name, hint, options)


def _one(name: str, hint: type, options: dict[str, Any]) -> AnyField:
    if hint is bool:
        return Flag(**options)
    if hint is int:
        return Count(0, 100_000, **options)
    if hint is float:
        return _quantity(name, options)
    if name in _DAYS:
        return DayText(**options)
    return MomentText(**options) if name in _MOMENTS else Text(_LONGEST_TEXT, **options)


def _quantity(name: str, options: dict[str, Any]) -> AnyField:
    description = name.replace("_", " ")
    made = _BY_NAME.get(name) or next((made for unit, made in _BY_UNIT if name.endswith(unit)), None)
    if made is None:
        return Quantity(-1e9, 1e9, metadata={"description": description}, **options)
    return made(description, **options)


def _many(name: str, hint: Any, options: dict[str, Any]) -> AnyField:  # noqa: ANN401 (hints are anything)
    inner = get_args(hint)
    if get_origin(hint) in (dict, Mapping):
        if inner[1] == Position:
            return Positions(**options)
        return fields.Dict(keys=Text(200), values=_field(name, inner[1], {}), **options)
    if inner[0] is float:
        return Numbers(0, 0, _MOST_ROWS, **options)
    error = f"must have at most {_MOST_ROWS} entries"
    return fields.List(_field(name, inner[0], {}), validate=Length(0, _MOST_ROWS, error=error), **options)
