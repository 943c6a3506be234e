"""The tank plan as data: every tank and void with its planned state, and what the ship answers to it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Literal

Liquid = Literal[
    "reserve-feed-water",
    "fuel-storage",
    "fuel-day",
    "lube-oil",
    "sanitary",
    "potable-water",
    "ballast-water",
    "cargo",
    "other",
    "none",
]
Space = Literal["double-bottom", "deep", "wing", "peak", "day-tank", "void", "chain-locker", "cofferdam", "other"]
TankState = Literal["empty", "pressed", "slack"]
EvidenceKind = Literal["sounded", "seen", "entered", "vent-overflow", "gauge", "assumed"]

LIMITED_LIQUIDS: tuple[Liquid, ...] = (
    "reserve-feed-water",
    "fuel-storage",
    "fuel-day",
    "lube-oil",
    "sanitary",
    "potable-water",
)
"""Kinds of liquid with at most one slack pair or one slack centreline tank each (2008 IS Code annex 1, from memory)."""

LIQUID_WORDS: dict[Liquid, str] = {
    "reserve-feed-water": "reserve feed water",
    "fuel-storage": "fuel in storage",
    "fuel-day": "fuel in day tanks",
    "lube-oil": "lubricating oil",
    "sanitary": "sanitary water",
    "potable-water": "potable water",
    "ballast-water": "ballast water",
    "cargo": "cargo",
    "other": "other liquids",
    "none": "nothing",
}


@dataclass(frozen=True)
class PlannedTank:
    """One tank or void with the state it shall be in.

    Parameters
    ----------
    tank : str
        Name, as among the vessel's tanks; a void without a table may be named too.
    state : {"empty", "pressed", "slack"}
        The planned state.
    space, liquid : str
        What kind of space it is and what it holds.
    sounding_m, fill_percent : float, optional
        Planned level of a slack tank, one of the two: up from the pipe's zero [m], or of the capacity [%].
    density_t_per_m3 : float, optional
        Density of its contents [t/m³]; needed unless it is empty.
    pair_with : str, optional
        The tank opposite.
    viscous, heated : bool
        Whether the liquid flows badly when cold, and whether it will be warm.
    burns : bool
        Whether the ship burns fuel from it before the test.
    evidence : str, optional
        How the state will be shown.
    entry : bool
        Whether somebody has to go in to see it.
    """

    tank: str
    state: TankState
    space: Space = "other"
    liquid: Liquid = "other"
    sounding_m: float | None = None
    fill_percent: float | None = None
    density_t_per_m3: float | None = None
    pair_with: str | None = None
    viscous: bool = False
    heated: bool = False
    burns: bool = False
    evidence: EvidenceKind | None = None
    entry: bool = False


@dataclass(frozen=True)
class System:
    """Something that holds liquid and is no tank of the model: cross-connections, pools, sea chests, circuits."""

    name: str
    kind: Literal["cross-connection", "anti-roll-tank", "pool", "sea-chest", "cooling-circuit", "bilge", "other"]
    planned: str


@dataclass(frozen=True)
class FuelUse:
    """What is burnt between agreement and test: from a date on, so much a day, with what each tank held then [t]."""

    from_date: str
    consumption_t_per_day: float
    aboard_t: Mapping[str, float] = field(default_factory=dict)


@dataclass(frozen=True)
class TankPlan:
    """The tank plan: tanks and voids, other systems, the date by which the ship answers, the fuel it will burn."""

    tanks: Sequence[PlannedTank]
    systems: Sequence[System] = ()
    answers_due: str | None = None
    fuel_use: FuelUse | None = None


@dataclass(frozen=True)
class TankAnswer:
    """The ship's answer for one tank: agreed, or cannot, with the reason and what she can do instead."""

    tank: str
    answer: Literal["agreed", "cannot"]
    by: str
    on: str
    reason: str | None = None
    offered_state: TankState | None = None
    offered_sounding_m: float | None = None
    offered_fill_percent: float | None = None
    offered_density_t_per_m3: float | None = None
