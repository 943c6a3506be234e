"""The forms of a test day: everything of one kind in one table, and one state with all its readings."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from heelwright_client.test_words import EVIDENCE_WORDS
from heelwright_client.units import System
from heelwright_client.web.entering import Part
from heelwright_client.web.entry import Entry
from heelwright_client.web.entry_forms import instrument_fields, marks, sounding_fields, weight_fields
from heelwright_client.web.fields import Field, Rows, Spec
from heelwright_client.web.stored_test import StoredTest

_OCCASIONS = (("before", "before the first move"), ("after", "after the last move"))
OCCASION = Field("occasion", "Read", "choice", options=_OCCASIONS)
_DRAUGHTS = Rows(
    "draughts",
    "Draughts",
    (Field("mark", "Mark"), Field("reading_m", "Reading", "quantity", "length"), Field("conditions", "Conditions")),
    "Leave out what was not read.",
    0,
)
DRAUGHTS: Spec = (OCCASION, _DRAUGHTS)


def _soundings(test: StoredTest) -> Rows:
    known = {field.name: field for field in sounding_fields(test)}
    evidence = Field("evidence", "Shown by", "choice", options=[("", "not yet"), *EVIDENCE_WORDS.items()])
    fields = (Field("tank", "Tank"), known["state"], known["sounding_m"], known["density_t_per_m3"], evidence)
    plain = tuple(Field(f.name, f.label, f.kind, f.dimension, f.unit, options=f.options) for f in fields)
    return Rows("soundings", "Soundings", plain, "A row counts once it says by what it was shown.", 0)


def soundings(test: StoredTest) -> Spec:
    """Return what is asked of all tanks at once.

    Parameters
    ----------
    test : StoredTest
        The test.

    Returns
    -------
    sequence of Field and Rows
        An occasion and one row a tank.
    """
    return (OCCASION, _soundings(test))


_ROWS_AT_ONCE = 40
BATCHES = ("draughts", "soundings", "weights", "instruments")
_COUNTED_BY = {"draughts": "reading_m", "soundings": "evidence", "weights": "mass_t", "instruments": "kind"}


def batch_spec(test: StoredTest, path: str) -> Spec:
    """Return what one of the tables asks.

    Parameters
    ----------
    test : StoredTest
        The test.
    path : str
        One of `BATCHES`.

    Returns
    -------
    sequence of Field and Rows
        The form.
    """
    if path == "draughts":
        return DRAUGHTS
    if path == "soundings":
        return soundings(test)
    fields = weight_fields(test) if path == "weights" else instrument_fields(test)
    plain = tuple(Field(f.name, f.label, f.kind, f.dimension, f.unit, options=f.options) for f in fields)
    return (Rows(path, "Weights" if path == "weights" else "Instruments", plain, blank=1),)


def batch_entry(test: StoredTest, path: str, system: System) -> Entry:
    """Fill one of the tables with what is still to be entered, as planned.

    Parameters
    ----------
    test : StoredTest
        The test.
    path : str
        One of `BATCHES`.
    system : System
        The visitor's units.

    Returns
    -------
    Entry
        The first rows of what is not entered yet; those that follow come up as these are entered.
    """
    return Entry.of_document(batch_spec(test, path), {path: to_come(test, path)[:_ROWS_AT_ONCE]}, system).marked(path)


def batch_parts(path: str, entry: Entry) -> list[Part]:
    """Turn a table into its entries.

    Parameters
    ----------
    path : str
        One of `BATCHES`.
    entry : Entry
        As filled in.

    Returns
    -------
    list of Part
        One for each row that counts.
    """
    given = entry.document()
    common = {"occasion": given["occasion"]} if "occasion" in given else {}
    return [
        Part(path, {**row, **common}, f"{path}.{place}")
        for place, row in enumerate(given.get(path, ()))
        if row.get(_COUNTED_BY[path]) is not None
    ]


def to_come(test: StoredTest, path: str) -> list[dict[str, Any]]:
    """List what is still to be entered, as planned.

    Parameters
    ----------
    test : StoredTest
        The test.
    path : str
        One of `BATCHES`.

    Returns
    -------
    list of dict
        One row for each mark, tank, weight or instrument that is not entered yet.
    """
    done = test.standing(path)
    if path == "draughts":
        before = {each["mark"] for each in done if each.get("occasion", "before") == "before"}
        return [{"mark": mark} for mark in marks(test) if mark not in before]
    if path == "soundings":
        sounded = {each["tank"] for each in done}
        planned = (test.part("tank-plan") or {}).get("tanks", ())
        return [_as_planned(tank) for tank in planned if tank["tank"] not in sounded]
    entered = {each["id"] for each in done}
    source: Sequence[Mapping[str, Any]] = (
        (test.plan.get("moves") or {}).get("weights", ()) if path == "weights" else test.plan.get("instruments", ())
    )
    kept = ("id", "mass_t", "certificate", "certified_on", "kind", "length_m", "place")
    return [{k: each[k] for k in kept if each.get(k) is not None} for each in source if each["id"] not in entered]


def _as_planned(tank: Mapping[str, Any]) -> dict[str, Any]:
    return {name: tank.get(name) for name in ("tank", "state", "density_t_per_m3")}
