"""A description for every field of the interface: its own, the glossary's, or that of its name, and its unit."""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path
from typing import Any

from marshmallow import fields

from heelwright_service.core.quantities import GLOSSARY, unit_of

_WORDS = Path(__file__).with_name("field_words.json")


def describe(field: fields.Field[Any]) -> str | None:
    """Return what a field means.

    Parameters
    ----------
    field : marshmallow field
        Bound to its schema.

    Returns
    -------
    str or None
        The schema's own words, else the glossary's, else those of the name in ``field_words.json``; with the unit that
        the name ends in, where the words do not have one. None for a name that nobody has described.
    """
    name = field.data_key or field.name or ""
    text = field.metadata.get("description") or _of_glossary(name) or _words().get(name)
    if text is None:
        return None
    unit = unit_of(name)
    return f"{text} [{unit}]" if unit and "[" not in text else str(text)


def _of_glossary(name: str) -> str | None:
    entry = GLOSSARY.get(name)
    if entry is None:
        return None
    sentence = entry.sentence[:1].lower() + entry.sentence[1:].rstrip(".")
    return f"{sentence}; positive {entry.sign}" if entry.sign else sentence


@cache
def _words() -> dict[str, str]:
    found: dict[str, str] = json.loads(_WORDS.read_text(encoding="utf-8"))
    return found
