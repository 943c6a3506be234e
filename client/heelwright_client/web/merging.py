"""Putting what a form asked into a larger document, and leaving alone what it did not ask."""

from __future__ import annotations

import copy
from collections.abc import Mapping
from typing import Any

from heelwright_client.web.entry import Entry
from heelwright_client.web.fields import singles, tables


def merged(old: Mapping[str, Any], entry: Entry) -> dict[str, Any]:
    """Put a form into a document.

    Parameters
    ----------
    old : Mapping
        The document as stored.
    entry : Entry
        The form; what was left empty is taken out.

    Returns
    -------
    dict
        The new document.

    Examples
    --------
    >>> from heelwright_client.units import SI
    >>> from heelwright_client.web.fields import Field
    >>> form = Entry.of_form([Field("place.name", "Place")], {"place.name": "quay"}, SI)
    >>> merged({"order": "test-first"}, form)
    {'order': 'test-first', 'place': {'name': 'quay'}}
    """
    made = copy.deepcopy(dict(old))
    for field in singles(entry.spec):
        _set(made, field.name.split("."), entry.values.get(field.name))
    rows = entry.document()
    for table in tables(entry.spec):
        _set(made, [table.name], rows.get(table.name) or None)
    return {name: value for name, value in made.items() if value != {}}


def _set(into: dict[str, Any], parts: list[str], value: Any) -> None:  # noqa: ANN401 (any part of a document)
    for part in parts[:-1]:
        held = into.get(part)
        if not isinstance(held, dict):
            if value is None:
                return
            held = into[part] = {}
        into = held
    if value is None:
        into.pop(parts[-1], None)
    else:
        into[parts[-1]] = value
