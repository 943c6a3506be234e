"""Every listed mass of a record with its list and place, and the search for entries that stand twice."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

from heelwright_service.core.record import TestRecord

Place = tuple[float, float, float]

SAME_MASS_SHARE = 1e-6
SAME_SUM_SHARE = 1e-3
"""An item so close to the mass of all weights, or of all persons, may be a second entry of them (office default)."""


@dataclass(frozen=True)
class Listed:
    """One mass of one list at one place; a misplaced item and a weight that moves have several."""

    name: str
    source: str
    mass_t: float
    place_m: Place
    first: bool = True


def listed_masses(record: TestRecord) -> list[Listed]:
    """Gather items, persons and inclining weights with every place they have.

    Parameters
    ----------
    record : TestRecord
        The record.

    Returns
    -------
    list of Listed
        One for each place; `first` marks where the mass is in the initial state.
    """
    found: list[Listed] = []
    for item in record.items:
        found.append(Listed(item.description, item.kind, item.mass_t, (item.x_m, item.y_m, item.z_m)))
        if item.to_x_m is not None and item.to_y_m is not None and item.to_z_m is not None:
            home = (item.to_x_m, item.to_y_m, item.to_z_m)
            found.append(Listed(f"{item.description} (at home)", item.kind, item.mass_t, home, first=False))
    for i, person in enumerate(record.persons):
        place = (person.x_m, person.y_m, person.z_m)
        found.append(Listed(person.name or f"person {i + 1}", "person", person.mass_t, place))
    return found + _weights(record)


def _weights(record: TestRecord) -> list[Listed]:
    masses = {weight.id: weight.mass_t for weight in record.inclining_weights}
    seen: set[tuple[str, Place]] = set()
    found = []
    for i, state in enumerate(sorted(record.states, key=lambda each: each.number)):
        for name, (x, y, z) in state.positions.items():
            place = (float(x), float(y), float(z))
            if (name, place) not in seen and name in masses:
                seen.add((name, place))
                found.append(Listed(f"weight {name}", "inclining weight", masses[name], place, first=i == 0))
    return found


def twice(masses: Sequence[Listed], record: TestRecord, same_place_m: float) -> list[str]:
    """Find entries that may stand for one and the same mass.

    Parameters
    ----------
    masses : sequence of Listed
        As `listed_masses` gives them.
    record : TestRecord
        The record, for the names of its tanks and weights.
    same_place_m : float
        Places closer than this in every direction are the same [m].

    Returns
    -------
    list of str
        What is suspected, in words: one mass at one place in two entries, one name in two lists, a tank or a
        weight among the items, an item as heavy as all weights or all persons.
    """
    found = []
    for one, other in combinations([mass for mass in masses if mass.first], 2):
        same_place = _stand_together(one, other, same_place_m)
        same_mass = abs(one.mass_t - other.mass_t) <= SAME_MASS_SHARE * max(one.mass_t, other.mass_t)
        weights = one.source == other.source == "inclining weight"
        if same_place and same_mass and not weights and _may_be_one(one, other):
            found.append(f"'{one.name}' ({one.source}) and '{other.name}' ({other.source}), of one mass at one place")
        elif _key(one.name) == _key(other.name) and one.source != other.source:
            found.append(f"'{one.name}' ({one.source}) and '{other.name}' ({other.source}), of one name")
    return found + _named_elsewhere(record) + _sums(record)


def _stand_together(one: Listed, other: Listed, same_place_m: float) -> bool:
    """Whether two entries stand at one place; an item may name any side of the deck for a weight that moves across."""
    across = ("inclining weight" in (one.source, other.source)) and one.source != other.source
    axes = (0, 2) if across else (0, 1, 2)
    return all(abs(one.place_m[i] - other.place_m[i]) <= same_place_m for i in axes)


def _sums(record: TestRecord) -> list[str]:
    """Surplus items as heavy as all inclining weights, or all persons, together."""
    groups = {
        "all inclining weights": [weight.mass_t for weight in record.inclining_weights],
        "all persons": [person.mass_t for person in record.persons],
    }
    return [
        f"'{item.description}' (surplus) and {what}, of one mass"
        for item in record.items
        for what, masses in groups.items()
        if item.kind == "surplus" and len(masses) > 1 and _about(item.mass_t, sum(masses))
    ]


def _about(mass_t: float, total_t: float) -> bool:
    return abs(mass_t - total_t) <= SAME_SUM_SHARE * total_t


def _may_be_one(one: Listed, other: Listed) -> bool:
    """People of one weight may well stand together under their own names."""
    persons = one.source == other.source == "person"
    return not persons or _key(one.name) == _key(other.name)


def _named_elsewhere(record: TestRecord) -> list[str]:
    """Items that carry the name of a tank that was sounded and holds liquid, or of an inclining weight."""
    wet = {sounding.tank for sounding in record.soundings if sounding.state != "empty"}
    weights = [weight.id for weight in record.inclining_weights]
    found = []
    for item in record.items:
        text = _key(item.description)
        found += [f"'{item.description}' ({item.kind}) and the tank '{name}'" for name in wet if _holds(text, name)]
        found += [
            f"'{item.description}' ({item.kind}) and the inclining weight '{name}'"
            for name in weights
            if text in (_key(name), f"weight {_key(name)}", f"inclining weight {_key(name)}")
        ]
    return found


def _holds(text: str, name: str) -> bool:
    return re.search(rf"(?<!\w){re.escape(_key(name))}(?!\w)", text) is not None


def _key(name: str) -> str:
    return " ".join(name.lower().split())
