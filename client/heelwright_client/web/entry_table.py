"""Entries as a table: one column a field that any of them fills, in words and the visitor's units."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from heelwright_client.web.fields import Field
from heelwright_client.web.wording import Say

_TO_THE_KILOGRAM = 3


def entry_table(entries: Sequence[Mapping[str, Any]], fields: Sequence[Field], say: Say) -> dict[str, Any]:
    """Lay out entries.

    Parameters
    ----------
    entries : sequence of Mapping
        As the service gives them.
    fields : sequence of Field
        What was asked.
    say : Say
        The visitor's words.

    Returns
    -------
    dict
        ``headings`` and ``rows``; a row has ``id``, ``cells``, ``by`` and ``at``.
    """
    used = [field for field in fields if any(each.get(field.name) not in (None, "") for each in entries)]
    rows = [
        {
            "id": each["entry_id"],
            "cells": [cell(each.get(field.name), field, say) for field in used],
            "by": each["recorded_by"],
            "at": each["recorded_at"],
        }
        for each in entries
    ]
    return {"headings": [field.label for field in used], "rows": rows}


def cell(value: Any, field: Field, say: Say) -> str:  # noqa: ANN401 (any value of an entry)
    """Write one value.

    Parameters
    ----------
    value : float, str, bool or None
        In SI.
    field : Field
        What was asked.
    say : Say
        The visitor's words.

    Returns
    -------
    str
        Empty for None.

    Examples
    --------
    >>> from heelwright_client.units import SI
    >>> cell(-1.2, Field("y_m", "across", "side", "length"), Say(SI))
    '1.200 m P'
    >>> cell(4.274, Field("mass_t", "Certified mass", "quantity", "mass"), Say(SI))
    '4.274 t'
    """
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if field.kind == "choice":
        return dict(field.options).get(str(value), str(value))
    if not isinstance(value, int | float):
        return str(value)
    if field.kind == "side" and field.dimension == "length":
        return say.offset(value)
    if field.dimension == "mass":
        return say.mass(value, decimals=_TO_THE_KILOGRAM)
    if field.dimension:
        return say.value(value, field.dimension)
    return f"{value:g} {field.unit}".strip()
