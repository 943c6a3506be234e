"""Water moved between tanks as inclining weight: its mass balance, its moments, and its true place at every heel.

2008 IS Code part B, annex 1, 2.1.1 and 2.3.4, and 8.3.4: such water gets no free-surface correction; the tanks are
sounded before and after each move, and their transverse and vertical centres are taken at each heel.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from heelwright_service.core.errors import CoreError
from heelwright_service.core.liquids import I_L_ROW, I_T_ROW, VOLUME_ROW, X_ROW, SoundedTank
from heelwright_service.core.planes import Planes
from heelwright_service.core.record import BallastMove
from heelwright_service.core.tank_shapes import shape_moments

Array = NDArray[np.float64]

BALANCE_SHARE = 0.02
"""Out of one tank and into the other may differ by this share of what moved (office default)."""

BALANCE_COVERAGE = 2.0
"""Or by so many standard uncertainties of the soundings, where that is more (office default)."""

SAME_DENSITY_T_PER_M3 = 0.001
"""Tanks whose densities differ by more do not hold the same water (office default)."""

APPROVAL = (
    "water was moved between tanks as inclining weight: that is for tests where solid weights are impracticable, by a "
    "procedure that the authority approved for this test (2008 IS Code part B, annex 1, 2.3.4), with lines full, "
    "blanks in the manifolds and the tanks sounded before and after every move."
)


@dataclass(frozen=True)
class Balance:
    """What one move took from a tank and brought into the other [m³], and how far the two may be apart.

    `giver` and `taker` are places among the tanks that took part.
    """

    state: int
    giver: int
    taker: int
    left_m3: float
    arrived_m3: float
    allowed_m3: float

    @property
    def moved_m3(self) -> float:
        """The mean of the two [m³]."""
        return 0.5 * (self.left_m3 + self.arrived_m3)


@dataclass(frozen=True)
class Ballast:
    """The tanks that water was moved between, state by state.

    Parameters
    ----------
    tanks : list of SoundedTank
        The tanks that took part, b of them.
    places : list of int
        Their places among the record's sounded tanks.
    levels : ndarray
        Volume [m³], level centre x, y, z [m], i_T and i_L [m⁴] of each tank in each state, shape (b, k, 6).
    slope_x : float
        Trim of the initial state as the rise of the water surface forward.
    moved_standard_relative : float
        Largest relative standard uncertainty of a moved volume from its soundings.
    balances : list of Balance
        Of each move in the order of the states.
    """

    tanks: list[SoundedTank]
    places: list[int]
    levels: Array
    slope_x: float
    moved_standard_relative: float
    balances: list[Balance]

    @property
    def densities_t_per_m3(self) -> Array:
        """Densities of the tanks' water [t/m³], shape (b,)."""
        return np.array([tank.sounding.density_t_per_m3 for tank in self.tanks])

    @property
    def initial_surface_t_m(self) -> float:
        """Free-surface moment of these tanks in the initial state [t·m]."""
        return float(self.densities_t_per_m3 @ self.levels[:, 0, I_T_ROW])

    def moments_t_m(self) -> Array:
        """Moments of the water at its level, upright places, as changes from the initial state.

        Returns
        -------
        ndarray
            About x, y and z [t·m], shape (3, k).
        """
        mass = self.densities_t_per_m3[:, None] * self.levels[..., VOLUME_ROW]
        total = np.einsum("bk,bkc->ck", mass, self.levels[..., X_ROW : X_ROW + 3])
        return np.asarray(total - total[:, :1])

    def shifts_t_m(self, tangents: Array) -> tuple[Array, Array]:
        """Moments by which the water moves from its level, upright place in each state.

        Parameters
        ----------
        tangents : ndarray
            Tangents of the heel in each state, shape (p, k).

        Returns
        -------
        tuple of ndarray
            Transverse and vertical moments [t·m], each of shape (p, k): ρ·i_T·tan φ and half of it times tan φ, with
            what the tank's shape adds where it is given.
        """
        across, upward = np.zeros(tangents.shape), np.zeros(tangents.shape)
        for j, density in enumerate(self.densities_t_per_m3):
            i_t, i_l = self.levels[j, :, I_T_ROW], self.levels[j, :, I_L_ROW]
            added = self._by_shape(j, tangents.mean(axis=0))
            across += density * (i_t * tangents + added[0])
            upward += density * (0.5 * (i_t * tangents**2 + i_l * self.slope_x**2) + added[1])
        return across, upward

    def _by_shape(self, j: int, tangents: Array) -> Array:
        """What the true shape adds to the wall-sided shift at the mean tangents [m⁴], shape (2, k)."""
        shape, added = self.tanks[j].shape, np.zeros((2, len(tangents)))
        if shape is None:
            return added
        for k, tangent in enumerate(tangents):
            volume, _, _, _, i_t, i_l = self.levels[j, k]
            if i_t > 0.0:
                level = shape_moments(shape, volume, 0.0, np.zeros(1))[0]
                moved = shape_moments(shape, volume, self.slope_x, np.array([tangent]))[0] - level
                added[:, k] = moved[1] - i_t * tangent, moved[2] - 0.5 * (i_t * tangent**2 + i_l * self.slope_x**2)
        return added


def read_ballast(
    moves: Sequence[BallastMove],
    tanks: Sequence[SoundedTank],
    numbers: Sequence[int],
    planes: Planes,
    tangents: Array,
    sounding_standard_m: float,
) -> Ballast:
    """Follow the water from tank to tank and check that none was lost.

    Parameters
    ----------
    moves : sequence of BallastMove
        The moves, each with the state that it led to.
    tanks : sequence of SoundedTank
        The sounded tanks of the initial state; both tanks of every move are among them.
    numbers : sequence of int
        Numbers of the states in rising order, k of them.
    planes : Planes
        The initial water surface, shape (1,).
    tangents : ndarray
        Tangents of the heel in each state as read, by which soundings off the middle are corrected, shape (k,).
    sounding_standard_m : float
        Standard uncertainty of a sounding [m].

    Returns
    -------
    Ballast
        Volumes, level centres and surfaces by state. What moved is the mean of what left and what arrived.

    Raises
    ------
    CoreError
        ``ballast-state``, ``ballast-tank``, ``ballast-twice``, ``ballast-density``, ``ballast-balance``,
        ``ballast-continuity`` or ``ballast-volume``, naming the move.
    """
    order = {number: k for k, number in enumerate(numbers)}
    by_name = {tank.tank.name: j for j, tank in enumerate(tanks)}
    _refuse_unknown(moves, order, by_name)
    places = sorted({by_name[name] for move in moves for name in (move.from_tank, move.to_tank)})
    taking_part = [tanks[j] for j in places]
    volumes = np.zeros((len(places), len(numbers)))
    for b, tank in enumerate(taking_part):
        volumes[b] = tank.contents(np.zeros(1), planes)[0, VOLUME_ROW]
    slope_x, largest, balances = float(planes.slope_x[0]), 0.0, []
    for i, move in sorted(enumerate(moves), key=lambda pair: order[pair[1].state]):
        k = order[move.state]
        giver, taker = (places.index(by_name[name]) for name in (move.from_tank, move.to_tank))
        left, arrived, allowed, doubt = _moved_m3(
            move, i, taking_part[giver], taking_part[taker], volumes[[giver, taker], k], slope_x,
            (float(tangents[k - 1]), float(tangents[k])), sounding_standard_m,
        )  # fmt: skip
        balances.append(Balance(move.state, giver, taker, left, arrived, allowed))
        volumes[giver, k:] -= balances[-1].moved_m3
        volumes[taker, k:] += balances[-1].moved_m3
        largest = max(largest, doubt / balances[-1].moved_m3)
    levels = np.stack([_levels(tank, volumes[b]) for b, tank in enumerate(taking_part)])
    return Ballast(taking_part, places, levels, slope_x, largest, balances)


def check_ballast_move(move: BallastMove, tanks: Sequence[SoundedTank], numbers: Sequence[int]) -> None:
    """Refuse a move that cannot be, before the heel at its soundings is known.

    Parameters
    ----------
    move : BallastMove
        The move.
    tanks : sequence of SoundedTank
        The sounded tanks of the initial state.
    numbers : sequence of int
        Numbers of the states in rising order.

    Raises
    ------
    CoreError
        ``ballast-state``, ``ballast-tank``, ``ballast-twice``, ``ballast-density``, ``sounding-outside-table`` or
        ``ballast-balance``; the pointer is that of the first move of a record.

    Notes
    -----
    Whether the balance of both tanks holds is told by `read_ballast`, when every state's heel has been read.
    """
    by_name = {tank.tank.name: j for j, tank in enumerate(tanks)}
    _refuse_unknown([move], {number: k for k, number in enumerate(numbers)}, by_name)
    giver, taker = (tanks[by_name[name]] for name in (move.from_tank, move.to_tank))
    pointer = "/ballast_moves/0"
    _refuse_two_waters(giver, taker, pointer)
    for tank, names in ((giver, ("from_before_m", "from_after_m")), (taker, ("to_before_m", "to_after_m"))):
        for name in names:
            tank.volume_at_m3(getattr(move, name), 0.0, 0.0, f"{pointer}/{name}")
    if move.from_after_m >= move.from_before_m and move.to_after_m <= move.to_before_m:
        raise CoreError(
            "ballast-balance",
            f"The sounding of '{move.from_tank}', which the water is said to leave, does not fall, and that of "
            f"'{move.to_tank}' does not rise, so nothing moved the way it is said; check the tanks' names.",
            f"{pointer}/from_tank",
        )


def _refuse_unknown(moves: Sequence[BallastMove], order: dict[int, int], by_name: dict[str, int]) -> None:
    seen: set[tuple[int, str]] = set()
    for i, move in enumerate(moves):
        pointer = f"/ballast_moves/{i}"
        if order.get(move.state, 0) == 0:
            raise CoreError(
                "ballast-state",
                f"Water is said to be moved for state {move.state}; it is moved to reach one of the states after the "
                f"first: {', '.join(map(str, list(order)[1:])) or 'there are none'}.",
                f"{pointer}/state",
            )
        for name, field in ((move.from_tank, "from_tank"), (move.to_tank, "to_tank")):
            if name not in by_name:
                known = ", ".join(f"'{one}'" for one in by_name) or "none"
                raise CoreError(
                    "ballast-tank",
                    f"Tank '{name}' was not sounded in the initial state; those sounded are {known}.",
                    f"{pointer}/{field}",
                )
            if (move.state, name) in seen:
                raise CoreError(
                    "ballast-twice",
                    f"Tank '{name}' takes part in two moves to state {move.state}; make a state of each move.",
                    f"{pointer}/{field}",
                )
            seen.add((move.state, name))


def _moved_m3(
    move: BallastMove,
    i: int,
    giver: SoundedTank,
    taker: SoundedTank,
    last_m3: Array,
    slope_x: float,
    heels: tuple[float, float],
    sounding_standard_m: float,
) -> tuple[float, float, float, float]:
    """What left, what arrived, what they may differ by and the doubt of their mean [m³]; refused out of balance."""
    pointer = f"/ballast_moves/{i}"
    _refuse_two_waters(giver, taker, pointer)
    before, after = heels
    left = [
        giver.volume_at_m3(move.from_before_m, slope_x, before, f"{pointer}/from_before_m"),
        giver.volume_at_m3(move.from_after_m, slope_x, after, f"{pointer}/from_after_m"),
    ]
    arrived = [
        taker.volume_at_m3(move.to_before_m, slope_x, before, f"{pointer}/to_before_m"),
        taker.volume_at_m3(move.to_after_m, slope_x, after, f"{pointer}/to_after_m"),
    ]
    out, into = left[0] - left[1], arrived[1] - arrived[0]
    areas = [tank.surface_m2(float(v)) for tank, v in ((giver, last_m3[0]), (taker, last_m3[1]))]
    doubt = sounding_standard_m * math.hypot(*areas) * math.sqrt(2.0)
    moved = 0.5 * (out + into)
    allowed = max(BALANCE_SHARE * moved, BALANCE_COVERAGE * doubt)
    _refuse_unbalanced(move, out, into, allowed, pointer)
    for tank, found, last, area in zip((giver, taker), (left[0], arrived[0]), last_m3, areas, strict=True):
        room = max(BALANCE_SHARE * moved, BALANCE_COVERAGE * math.sqrt(2.0) * area * sounding_standard_m)
        if abs(found - last) > room:
            raise CoreError(
                "ballast-continuity",
                f"Tank '{tank.tank.name}' holds {found:.3f} m³ before the move to state {move.state} and {last:.3f} m³ "
                f"after the last one; {room:.3f} m³ apart is allowed. Water went unrecorded.",
                pointer,
            )
    return out, into, allowed, 0.5 * doubt


def _refuse_unbalanced(move: BallastMove, out_m3: float, into_m3: float, allowed_m3: float, pointer: str) -> None:
    if not out_m3 + into_m3 > 0.0:
        raise CoreError(
            "ballast-balance",
            f"From '{move.from_tank}' {out_m3:.3f} m³ left and into '{move.to_tank}' {into_m3:.3f} m³ came, so nothing "
            "moved the way it is said; check the soundings and the tanks' names.",
            pointer,
        )
    apart = abs(out_m3 - into_m3)
    if apart > allowed_m3:
        raise CoreError(
            "ballast-balance",
            f"{out_m3:.3f} m³ left '{move.from_tank}' and {into_m3:.3f} m³ came into '{move.to_tank}': {apart:.3f} m³ "
            f"apart, {allowed_m3:.3f} m³ is allowed. Sound both again; look for water left in the line.",
            pointer,
        )


def _refuse_two_waters(giver: SoundedTank, taker: SoundedTank, pointer: str) -> None:
    one, other = giver.sounding.density_t_per_m3, taker.sounding.density_t_per_m3
    if abs(one - other) > SAME_DENSITY_T_PER_M3:
        raise CoreError(
            "ballast-density",
            f"The water of '{giver.tank.name}' has {one:.4f} t/m³ and that of '{taker.tank.name}' {other:.4f} t/m³; "
            "water moved between them has one density: give the same for both.",
            pointer,
        )


def _levels(tank: SoundedTank, volumes_m3: Array) -> Array:
    """Volume, level centre and surface at each volume, shape (k, 6); none without water or when pressed."""
    low, high = 0.0, tank.tank.capacity_m3
    slack = 1e-6 * high
    if (volumes_m3 < low - slack).any() or (volumes_m3 > high + slack).any():
        raise CoreError(
            "ballast-volume",
            f"Tank '{tank.tank.name}' would hold {volumes_m3.min():.3f} to {volumes_m3.max():.3f} m³ of its "
            f"{high:.3f} m³; check the soundings of its moves.",
            "/ballast_moves",
        )
    return np.stack([tank.at_volume(float(np.clip(volume, low, high))) for volume in volumes_m3])
