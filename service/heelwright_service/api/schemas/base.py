"""What all schemas share: unknown fields are refused, and lists are wrapped with their cursor."""

from __future__ import annotations

import difflib
from collections.abc import Mapping
from functools import cache
from typing import Any

from marshmallow import RAISE, Schema, ValidationError, fields
from marshmallow.validate import Range

from heelwright_service.api.fields import REQUIRED_AND_NULL, QueryCount, Text


def between(low: int, high: int) -> Range:
    """Return a check that a whole number of a query lies within a range."""
    return Range(low, high, error=f"must be from {low} to {high}, found {{input}}")


class Strict(Schema):
    """A schema that refuses fields it does not know, and says which known one was likely meant."""

    error_messages = {"type": "must be an object"}  # noqa: RUF012 (read once by the base class)

    class Meta:
        """Refuse unknown fields."""

        unknown = RAISE

    def on_bind_field(self, field_name: str, field_obj: fields.Field[Any]) -> None:
        """Give lists and objects the sentences that other fields have."""
        field_obj.error_messages.update(REQUIRED_AND_NULL)
        if isinstance(field_obj, fields.List):
            field_obj.error_messages["invalid"] = "must be a list"
            self.on_bind_field(field_name, field_obj.inner)

    def handle_error(self, error: ValidationError, data: Any, *, many: bool, **rest: Any) -> None:  # noqa: ANN401
        """Name the known field that an unknown one resembles."""
        if isinstance(error.messages, dict):
            self._suggest(error.messages)

    def _suggest(self, messages: dict[Any, Any]) -> None:
        for name, found in messages.items():
            if found != [self.error_messages["unknown"]]:
                continue
            near = difflib.get_close_matches(str(name), self.load_fields, n=1)
            known = f"known are {', '.join(self.load_fields)}" if self.load_fields else "none is known"
            hint = f"; did you mean {near[0]}?" if near else f"; {known}"
            messages[name] = [f"is not a field here{hint}"]


class PageQuery(Strict):
    """Which page of a list."""

    limit = QueryCount(load_default=100, validate=between(1, 1000), metadata={"description": "most items on the page"})
    cursor = Text(500, load_default=None, metadata={"description": "next_cursor of the page before"})


@cache
def page_of(item: type[Schema]) -> Schema:
    """Return the schema of a page of items.

    Parameters
    ----------
    item : type of Schema
        The schema of one item.

    Returns
    -------
    Schema
        With ``items`` and ``next_cursor``.
    """
    name = f"{item.__name__}Page"
    parts: Mapping[str, fields.Field[Any]] = {
        "items": fields.List(fields.Nested(item), required=True),
        "next_cursor": fields.String(required=True, allow_none=True),
    }
    schema: type[Schema] = type(name, (Schema,), {"__doc__": "One page of a list.", **parts})
    return schema()


def refuse(condition: bool, field: str, message: str) -> None:
    """Raise a validation error at a field when a condition holds."""
    if condition:
        raise ValidationError({field: [message]})


def refuse_repeats(items: list[dict[str, Any]], field: str, name: str) -> None:
    """Raise a validation error at each entry of a list whose name stands before it."""
    seen: set[Any] = set()
    faults: dict[int, dict[str, list[str]]] = {}
    for place, item in enumerate(items):
        if item[name] in seen:
            faults[place] = {name: [f"{item[name]!r} stands here for the second time; names must differ"]}
        seen.add(item[name])
    if faults:
        raise ValidationError({field: faults})
