"""One state of the test: where the weights stand, and one field an instrument."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from heelwright_client.units import System
from heelwright_client.web.entering import Part
from heelwright_client.web.entry import Entry
from heelwright_client.web.fields import Field, Rows, Spec
from heelwright_client.web.stored_test import StoredTest
from heelwright_client.web.wording import Say

_READINGS = Rows(
    "readings",
    "Readings",
    (
        Field("instrument", "Instrument"),
        Field("value", "Reading", "number"),
        Field("repeat", "Repeat", "count"),
        Field("remarks", "Remarks"),
    ),
    blank=0,
)
_PLACES = Rows(
    "places",
    "Where the weights stand",
    (
        Field("weight", "Weight"),
        Field("x_m", "Forward of AP", "quantity", "length"),
        Field("y_m", "Off the centreline", "side", "length"),
        Field("z_m", "Centre above base", "quantity", "length"),
    ),
    blank=0,
)
STATE: Spec = (
    Field("lines_slack", "Every line was seen slack", "flag"),
    Field("in_place", "Everything that can move stands at its reading position", "flag"),
    _PLACES,
    _READINGS,
)


@dataclass(frozen=True)
class DayState:
    """One state as the page shows it.

    Parameters
    ----------
    number : int
        Its number.
    words : str
        The lift that leads to it, in words.
    entered : bool
        Whether the places of the weights are entered.
    read : tuple of str
        Instruments that have been read in it.
    entry : Entry
        Its form.
    """

    number: int
    words: str
    entered: bool
    read: tuple[str, ...]
    entry: Entry
    readings: list[dict[str, Any]]


def day_states(test: StoredTest, system: System) -> list[DayState]:
    """Lay out all states, planned and entered.

    Parameters
    ----------
    test : StoredTest
        The test.
    system : System
        The visitor's units.

    Returns
    -------
    list of DayState
        By number; a state that was entered stands as it was entered.
    """
    planned = {int(each["number"]): each for each in (test.plan.get("moves") or {}).get("states", ())}
    entered = {int(each["number"]): each for each in test.standing("states")}
    states = {**planned, **entered}
    say = Say(system)
    made: list[DayState] = []
    before: Mapping[str, Any] | None = None
    for number in sorted(states):
        readings = [each for each in test.standing("readings") if each["state"] == number]
        entry = _entry(test, states[number], readings, system)
        words = lift_words(before, states[number], say)
        read = tuple(dict.fromkeys(str(each["instrument"]) for each in readings))
        made.append(DayState(number, words, number in entered, read, entry, readings))
        before = states[number]
    return made


def lift_words(before: Mapping[str, Any] | None, state: Mapping[str, Any], say: Say) -> str:
    """Say which weights have moved since the state before.

    Parameters
    ----------
    before, state : Mapping
        Two states; None before the first.
    say : Say
        The visitor's words.

    Returns
    -------
    str
        Such as ``move A to starboard, to 4.00 m S``.
    """
    if before is None:
        return "no move: first reading"
    told = []
    for name, place in state["positions"].items():
        old = before["positions"].get(name)
        if old is None or list(old) == list(place):
            continue
        side = "to starboard" if place[1] > old[1] else "to port" if place[1] < old[1] else "along the deck"
        told.append(f"{name} {side}, to {say.offset(place[1], decimals=2)}")
    return f"move {' and '.join(told)}" if told else "no move: read again"


def next_state(states: Sequence[DayState], instruments: Sequence[str]) -> int | None:
    """Choose the state to work on.

    Parameters
    ----------
    states : sequence of DayState
        All of them.
    instruments : sequence of str
        The instruments that are read.

    Returns
    -------
    int or None
        The first that is not read at all instruments; None when all are.
    """
    return next((state.number for state in states if not set(instruments) <= set(state.read)), None)


def state_parts(number: int, entered: bool, entry: Entry, kinds: Mapping[str, str]) -> list[Part]:
    """Turn the form of a state into its entries.

    Parameters
    ----------
    number : int
        The state.
    entered : bool
        Whether its places are entered already.
    entry : Entry
        As filled in.
    kinds : Mapping
        Kind of instrument by its name.

    Returns
    -------
    list of Part
        The state where it is not entered yet, then its readings.
    """
    given = entry.document()
    parts = [] if entered else [Part("states", _places(number, given), "places")]
    for place, row in enumerate(given.get("readings", ())):
        if row.get("value") is None:
            continue
        name = "value_deg" if kinds.get(row["instrument"]) == "inclinometer" else "value_mm"
        body = {"state": number, "instrument": row["instrument"], name: row["value"]}
        body |= {key: row[key] for key in ("repeat", "remarks") if row.get(key) is not None}
        parts.append(Part("readings", body, f"readings.{place}", {name: "value"}))
    return parts


def _places(number: int, given: Mapping[str, Any]) -> dict[str, Any]:
    positions = {row["weight"]: [row["x_m"], row["y_m"], row["z_m"]] for row in given.get("places", ())}
    state: dict[str, Any] = {"number": number, "positions": positions, "lines_slack": bool(given.get("lines_slack"))}
    if given.get("in_place"):
        state["reading_positions_confirmed"] = ["all"]
    return state


def _entry(test: StoredTest, state: Mapping[str, Any], readings: Sequence[Mapping[str, Any]], system: System) -> Entry:
    times = {name: sum(each["instrument"] == name for each in readings) for name in instrument_kinds(test)}
    document = {
        "lines_slack": state.get("lines_slack"),
        "places": [
            {"weight": name, "x_m": place[0], "y_m": place[1], "z_m": place[2]}
            for name, place in state["positions"].items()
        ],
        "readings": [{"instrument": name, "repeat": count or None} for name, count in times.items()],
    }
    return Entry.of_document(STATE, document, system)


def instrument_kinds(test: StoredTest) -> dict[str, str]:
    """Return the kind of every instrument, as entered or else as planned.

    Parameters
    ----------
    test : StoredTest
        The test.

    Returns
    -------
    dict of str to str
        By name.
    """
    source = test.standing("instruments") or test.plan.get("instruments") or []
    return {str(each["id"]): str(each["kind"]) for each in source}
