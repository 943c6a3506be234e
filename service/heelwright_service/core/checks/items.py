"""Checks of the lists of masses: how much, where, and nothing twice."""

from __future__ import annotations

import math

from heelwright_service.core.checks.aboard import Listed, listed_masses, twice
from heelwright_service.core.checks.inputs import CheckInput
from heelwright_service.core.checks.verdicts import Caution, at_most, judged, unassessed
from heelwright_service.core.results import Check
from heelwright_service.core.words import counted, figure, listed, number, tonnes

PERCENT = 100.0


def checks(given: CheckInput) -> list[Check]:
    """Judge the masses missing, surplus, doubtful in place or listed twice.

    Parameters
    ----------
    given : CheckInput
        The reduction.

    Returns
    -------
    list of Check
        P-07, P-08, ``item-places`` and RR-13.
    """
    return [_missing(given), _surplus(given), _places(given), _duplicates(given)]


def cautions(given: CheckInput) -> list[Caution]:
    """Say which way missing items push the result.

    Parameters
    ----------
    given : CheckInput
        The reduction.

    Returns
    -------
    list of Caution
        One on masses outside the ship, where there are any; one on the list of missing items.
    """
    return [*_outside(given), _missing_high(given)]


def _outside(given: CheckInput) -> list[Caution]:
    outside = [mass for mass in listed_masses(given.record) if _is_outside(given, mass)]
    if not outside:
        return []
    told = listed([f"{m.name} at x {m.place_m[0]:g} m, y {m.place_m[1]:g} m, z {m.place_m[2]:g} m" for m in outside])
    return [Caution(f"outside the ship: {told}. Check axes, sign, unit (m) and decimal point before using the result.")]


def _missing_high(given: CheckInput) -> Caution:
    heights = [item.z_m for item in given.record.items if item.kind == "missing"]
    if not heights:
        return Caution(
            "no missing items are listed. One that is forgotten, above all a high one, makes the lightship look "
            "lighter and its centre of gravity lower than it will be.",
            "unsafe",
        )
    return Caution(
        f"{counted(len(heights), 'missing item')} listed, the highest at {number(max(heights), 2)} m above the "
        "baseline. One that is forgotten, above all a high one, makes the lightship look lighter and its centre "
        "of gravity lower than it will be.",
        "unsafe",
    )


def _share(given: CheckInput, mass_t: float) -> float:
    return mass_t / float(given.lightship.mass_t[0]) * PERCENT


def _small_vessel(given: CheckInput) -> str:
    rule, small = given.rule("P-09"), given.rule("T-06")["below_length_m"]
    return f" {rule.text} ({rule.source})" if given.length_m < small else ""


def _missing(given: CheckInput) -> Check:
    rule = given.rule("P-07")
    mass = sum(item.mass_t for item in given.record.items if item.kind == "missing")
    value, limit = _share(given, mass), rule["maximum_percent"]
    kept = at_most(value, limit)
    text = (
        f"Missing, to be added to get the lightship: {tonnes(mass)}, {number(value, 3, limit)} % of the lightship; "
        f"{figure(limit)} % is allowed." + ("" if kept else _small_vessel(given))
    )
    return judged(rule, kept, text, value, limit)


def _surplus(given: CheckInput) -> Check:
    """Surplus counts persons and inclining weights, and no liquids."""
    rule = given.rule("P-08")
    record = given.record
    parts = {
        "items": sum(item.mass_t for item in record.items if item.kind == "surplus"),
        "persons": sum(person.mass_t for person in record.persons),
        "inclining weights": sum(weight.mass_t for weight in record.inclining_weights),
    }
    value, limit = _share(given, sum(parts.values())), rule["maximum_percent"]
    kept = at_most(value, limit)
    told = ", ".join(f"{name} {tonnes(mass)}" for name, mass in parts.items())
    text = (
        f"Surplus, to be taken off to get the lightship, liquids left out: {tonnes(sum(parts.values()))} ({told}), "
        f"{number(value, 3, limit)} % of the lightship; {figure(limit)} % is "
        "allowed." + ("" if kept else _small_vessel(given))
    )
    return judged(rule, kept, text, value, limit)


def _places(given: CheckInput) -> Check:
    rule = given.rule("item-places")
    masses = listed_masses(given.record)
    if not masses:
        return unassessed(rule, "No items, persons or weights are listed.")
    outside = [mass.name for mass in masses if _is_outside(given, mass)]
    if not outside and (given.depth_m is None or given.breadth_m is None):
        return unassessed(rule, "The vessel's breadth or depth is not given, so not all tells what lies outside her.")
    named = f": {listed(outside)}. Check the axes, the signs and the decimal point" if outside else ""
    text = f"{counted(len(outside), 'mass', 'masses')} of {len(masses)} outside the ship{named}; 0 are allowed."
    return judged(rule, not outside, text, len(outside), 0)


def _is_outside(given: CheckInput, mass: Listed) -> bool:
    rule = given.rule("item-places")
    beyond, depth, breadth = rule["beyond_share"], given.depth_m or math.inf, given.breadth_m or math.inf
    aft, forward = 0.0, given.length_m
    if given.hull is not None:
        aft = min(aft, float(given.hull.deck_edge_m[:, 0].min()))
        forward = max(forward, float(given.hull.deck_edge_m[:, 0].max()))
    x, y, z = mass.place_m
    return not (
        aft - beyond * given.length_m <= x <= forward + beyond * given.length_m
        and abs(y) <= (0.5 + beyond) * breadth
        and -beyond * depth <= z <= rule["maximum_height_over_depth"] * depth
    )


def _duplicates(given: CheckInput) -> Check:
    rule = given.rule("RR-13")
    masses = listed_masses(given.record)
    if not masses:
        return unassessed(rule, "No items, persons or weights are listed.")
    found = twice(masses, given.record, rule["same_place_m"])
    named = f": {listed(found)}" if found else ""
    text = f"{counted(len(found), 'double entry', 'double entries')} suspected{named}; 0 are allowed."
    return judged(rule, not found, text, len(found), 0)
