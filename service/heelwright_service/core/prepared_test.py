"""A test record made ready for computation: everything looked up, checked and laid out as arrays, once.

Whatever varies between draws of the uncertain inputs is not here but in `Errors`; the chain of the computation takes
both and is the same for the nominal result, its sensitivities and its simulation.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from heelwright_service.core.ballast import Ballast, read_ballast
from heelwright_service.core.errors import CoreError
from heelwright_service.core.liquids import SoundedTank, sounded_tanks
from heelwright_service.core.planes import Planes
from heelwright_service.core.readings import ReadTangents, read_tangents
from heelwright_service.core.record import IncliningWeight, State, TestRecord
from heelwright_service.core.standard_uncertainties import (
    StandardUncertainties,
    heights_standard_m,
    standard_uncertainties,
)
from heelwright_service.core.water import summarise_water
from heelwright_service.core.waterline import WaterlineFit, WaterPoints, water_points, waterline_fit

Array = NDArray[np.float64]

LEAST_DISTINCT_MOMENTS = 3
SAME_MOMENT_SHARE = 1e-6
SURVEY_WEIGHTS = "inclining weights"
"""The group of weights that stood aboard during a survey and never moved."""

SMALLEST_MOVE_M = 1e-4
"""All weights together must move at least so far for a moment: less is rounding, not a test."""


@dataclass(frozen=True)
class Carried:
    """Masses that the lightship reduction deducts or adds, with the sign of their deduction.

    Parameters
    ----------
    names, groups : list of str
        What each row is, and its heading in the lightship table.
    sign : ndarray
        −1 for what is aboard and not lightship, +1 for what is lightship and not aboard, 0 for a move, shape (i,).
    mass_t : ndarray
        Masses [t], shape (i,).
    at_m : ndarray
        Places [m], shape (i, 3).
    move_m : ndarray
        How far a misplaced item has to be moved home [m], shape (i, 3).
    """

    names: list[str]
    groups: list[str]
    sign: Array
    mass_t: Array
    at_m: Array
    move_m: Array


@dataclass(frozen=True)
class Movements:
    """The inclining weights and their places through the states.

    Parameters
    ----------
    weight_ids : list of str
        Ids in the order of the record.
    masses_t : ndarray
        Certified masses [t], shape (w,).
    numbers : list of int
        State numbers in rising order, k of them.
    spot_weight : ndarray of int
        Weight that stands on each distinct spot, shape (s,).
    spot_m : ndarray
        Coordinates of the spots [m], shape (s, 3).
    occupied : ndarray
        1 where a spot is occupied in a state, shape (s, k).
    water_t_m : ndarray
        Moments of water moved between tanks, at its level places and from the initial state [t·m], shape (3, k).
    """

    weight_ids: list[str]
    masses_t: Array
    numbers: list[int]
    spot_weight: NDArray[np.intp]
    spot_m: Array
    occupied: Array
    water_t_m: Array

    def moments_t_m(self, masses_t: Array, spot_error_m: Array | float, axis: int) -> Array:
        """Moments of the weights and of water moved in every state, as changes from the initial one.

        Parameters
        ----------
        masses_t : ndarray
            True masses [t], shape (p, w).
        spot_error_m : ndarray or float
            What the true coordinates of the spots exceed the stated ones by [m], shape (p, s).
        axis : int
            0, 1 or 2 for moments of x, y or z.

        Returns
        -------
        ndarray
            Moments [t·m], shape (p, k); the first column is zero.
        """
        each = masses_t[:, self.spot_weight] * (self.spot_m[:, axis] + spot_error_m)
        total = each @ self.occupied
        return np.asarray(total - total[:, :1] + self.water_t_m[axis])

    @property
    def initial_spots(self) -> NDArray[np.intp]:
        """Spot of each weight in the initial state, shape (w,)."""
        standing = np.flatnonzero(self.occupied[:, 0] > 0)
        return standing[np.argsort(self.spot_weight[standing])]

    def initial_places_m(self) -> Array:
        """Coordinates of the weights in the initial state [m], shape (w, 3)."""
        return np.asarray(self.spot_m[self.initial_spots])


@dataclass(frozen=True)
class PreparedTest:
    """Everything of a record that does not change between draws.

    `heights_standard_m` are standard uncertainties of the points of the water surface, shape (m,). `movements` and
    `tangents` are None for a lightweight survey. `further_free_surface_t_m` is free-surface moment that is deducted
    beside that of the sounded tanks [t·m].
    """

    record: TestRecord
    standard: StandardUncertainties
    heights_standard_m: Array
    points: WaterPoints
    fit: WaterlineFit
    density_t_per_m3: float
    tanks: list[SoundedTank]
    carried: Carried
    movements: Movements | None
    tangents: ReadTangents | None
    fits_list_from_readings: bool
    ballast: Ballast | None = None
    further_free_surface_t_m: float = 0.0

    @property
    def moved_water_surface_t_m(self) -> float:
        """Free-surface moment of tanks whose water serves as weight, which is no correction but a shift [t·m]."""
        return 0.0 if self.ballast is None else self.ballast.initial_surface_t_m


def prepare_test(record: TestRecord) -> PreparedTest:
    """Check a record and lay it out for the computation.

    Parameters
    ----------
    record : TestRecord
        The record, its shape already checked.

    Returns
    -------
    PreparedTest
        The record made ready.

    Raises
    ------
    CoreError
        Naming the field whenever the record does not make sense.
    """
    standard = standard_uncertainties(record)
    points = water_points(record.vessel.marks, record.draughts, record.freeboards)
    heights = heights_standard_m(record.draughts, record.freeboards, standard, record.vessel.marks)
    fit = waterline_fit(points, heights, record.vessel.length_bp_m)
    planes = fit.planes(points.z_m[None])
    tanks = sounded_tanks(record.vessel.tanks, record.soundings)
    movements = tangents = ballast = None
    placed: State | None = None
    if not _inclines(record):
        placed = _survey_state(record)
    else:
        movements = read_movements(record)
        tangents = read_tangents(record.instruments, record.readings, movements.numbers)
        if record.ballast_moves:
            heels = _heels_as_read(tangents, len(movements.numbers), planes, fit.determined[2])
            ballast = read_ballast(record.ballast_moves, tanks, movements.numbers, planes, heels, standard.sounding_m)
            movements = replace(movements, water_t_m=ballast.moments_t_m())
        _refuse_too_few_moments(movements, tangents)
    upright = tangents is not None and not tangents.from_zero_mark.all()
    draught_m = float(planes.draught_mid_m[0])
    return PreparedTest(
        record,
        standard,
        heights,
        points,
        fit,
        summarise_water(record.water, draught_m if draught_m > 0.0 else None).density_t_per_m3,
        tanks,
        _carried(record, placed),
        movements,
        tangents,
        upright or not fit.determined[2],
        ballast,
    )


def _inclines(record: TestRecord) -> bool:
    """Whether the record is of an inclining; one state alone, never read, only says where a survey's weights stand."""
    return bool(record.readings or record.ballast_moves or len(record.states) > 1)


def _survey_state(record: TestRecord) -> State | None:
    """The state that places the weights standing aboard during a survey, None where there are no weights."""
    if not record.states and not record.inclining_weights:
        return None
    if not record.states:
        raise CoreError(
            "weights-without-places",
            f"Inclining weights aboard, and so to be deducted: {len(record.inclining_weights)}, but no state says "
            "where they stand. For a lightweight survey give one state with their places and no readings, or list them "
            "as surplus items with their places; for an inclining test give its states and readings.",
            "/inclining_weights",
        )
    read_movements(record)
    return record.states[0]


def moved_water_t_m(record: TestRecord) -> dict[int, float]:
    """Transverse moment of water that serves as weight in every state read so far, its own shift by heel included.

    Parameters
    ----------
    record : TestRecord
        With ballast moves, draughts or freeboards, soundings and readings; states not read yet do not count.

    Returns
    -------
    dict of int to float
        Moment from the initial state by number of the state [t·m].

    Raises
    ------
    CoreError
        As `prepare_test`, for what of the record is used.
    """
    read = {reading.state for reading in record.readings if reading.withdrawn_reason is None}
    numbers = sorted(state.number for state in record.states if state.number in read)
    moves = [move for move in record.ballast_moves if move.state in numbers]
    if not moves:
        return {}
    standard = standard_uncertainties(record)
    points = water_points(record.vessel.marks, record.draughts, record.freeboards)
    heights = heights_standard_m(record.draughts, record.freeboards, standard, record.vessel.marks)
    fit = waterline_fit(points, heights, record.vessel.length_bp_m)
    planes = fit.planes(points.z_m[None])
    tangents = read_tangents(record.instruments, record.readings, numbers)
    heels = _heels_as_read(tangents, len(numbers), planes, fit.determined[2])
    tanks = sounded_tanks(record.vessel.tanks, record.soundings)
    ballast = read_ballast(moves, tanks, numbers, planes, heels, standard.sounding_m)
    shift = ballast.shifts_t_m(heels[None])[0][0]
    total = ballast.moments_t_m()[1] + shift - shift[0]
    return dict(zip(numbers, total.tolist(), strict=True))


def _heels_as_read(tangents: ReadTangents, states: int, planes: Planes, knows_list: bool) -> Array:
    """Tangent of the heel in each state from the initial list and the readings' change, shape (k,)."""
    upright = ~tangents.from_zero_mark[tangents.instrument_index] & (tangents.state_index == 0)
    read = float(tangents.tangents[upright].mean()) if upright.any() else 0.0
    initial = float(planes.slope_y[0]) if knows_list else read
    change = tangents.change_by_state(states, initial)
    if not np.isfinite(change).all():
        raise CoreError(
            "ballast-heel-unknown",
            "Where water is moved, every state's heel must be known for the soundings: some instrument has to be read "
            "in the initial state and in every other.",
            "/readings",
        )
    return np.asarray(initial + change)


def read_movements(record: TestRecord) -> Movements:
    """Follow the inclining weights of a record through its states.

    Parameters
    ----------
    record : TestRecord
        With weights and states.

    Returns
    -------
    Movements
        Masses, spots and which spot is occupied in which state; water moved between tanks is not among them yet.

    Raises
    ------
    CoreError
        ``weight-named-twice``, ``weights-missing``, ``states-missing``, ``state-numbered-twice`` or
        ``weight-placing``.
    """
    ids = _weight_ids(record.inclining_weights, bool(record.ballast_moves))
    states = _ordered_states(record.states)
    spots: dict[tuple[str, tuple[float, float, float]], int] = {}
    occupied_by: list[list[int]] = []
    for state in states:
        places = _places(state, ids, record.states.index(state))
        occupied_by.append([spots.setdefault((weight, place), len(spots)) for weight, place in places.items()])
    occupied = np.zeros((len(spots), len(states)))
    for k, standing in enumerate(occupied_by):
        occupied[standing, k] = 1.0
    return Movements(
        ids,
        np.array([weight.mass_t for weight in record.inclining_weights]),
        [state.number for state in states],
        np.array([ids.index(weight) for weight, _ in spots], dtype=np.intp),
        np.array([place for _, place in spots], dtype=float).reshape(-1, 3),
        occupied,
        np.zeros((3, len(states))),
    )


def _weight_ids(weights: Sequence[IncliningWeight], water_serves: bool) -> list[str]:
    ids: list[str] = []
    for i, weight in enumerate(weights):
        if weight.id in ids:
            raise CoreError(
                "weight-named-twice",
                f"Inclining weight '{weight.id}' is listed twice; every weight has its own id.",
                f"/inclining_weights/{i}/id",
            )
        ids.append(weight.id)
    if not ids and not water_serves:
        raise CoreError(
            "weights-missing", "States or readings are given but no inclining weights.", "/inclining_weights"
        )
    return ids


def _ordered_states(states: Sequence[State]) -> list[State]:
    if not states:
        raise CoreError(
            "states-missing", "Readings are given but no states; give the states of the weights.", "/states"
        )
    for i, state in enumerate(states):
        if any(state.number == earlier.number for earlier in states[:i]):
            raise CoreError("state-numbered-twice", f"State {state.number} is given twice.", f"/states/{i}/number")
    return sorted(states, key=lambda state: state.number)


def _places(state: State, ids: list[str], index: int) -> dict[str, tuple[float, float, float]]:
    unknown = [name for name in state.positions if name not in ids]
    absent = [name for name in ids if name not in state.positions]
    if unknown or absent:
        what = f"names unknown weight '{unknown[0]}'" if unknown else f"does not place weight '{absent[0]}'"
        raise CoreError(
            "weight-placing",
            f"State {state.number} {what}; every state places every weight of {', '.join(ids)}.",
            f"/states/{index}/positions",
        )
    return {name: (float(p[0]), float(p[1]), float(p[2])) for name, p in state.positions.items()}


def _refuse_too_few_moments(movements: Movements, tangents: ReadTangents) -> None:
    zero = np.zeros((1, len(movements.spot_m)))
    moments = movements.moments_t_m(movements.masses_t[None], zero, axis=1)[0]
    scale = float(np.abs(moments).max())
    if scale <= SMALLEST_MOVE_M * float(movements.masses_t.sum()):
        raise CoreError(
            "weights-never-move",
            "No inclining weight moves across the ship in any state, so nothing heels her; give the places of the "
            "weights in each state.",
            "/states",
        )
    read = moments[np.unique(tangents.state_index)]
    distinct = len(np.unique(np.round(read / scale / SAME_MOMENT_SHARE) * SAME_MOMENT_SHARE))
    if distinct < LEAST_DISTINCT_MOMENTS:
        raise CoreError(
            "moments-too-few",
            f"Distinct inclining moments read: {distinct}; a slope with its scatter needs at least "
            f"{LEAST_DISTINCT_MOMENTS}, and the standard test has weights moved to both sides.",
            "/readings",
        )


def _carried(record: TestRecord, placed: State | None = None) -> Carried:
    """The masses listed, with the weights of a survey where its one state places them."""
    names, groups, sign, mass, at, move = [], [], [], [], [], []
    for weight in record.inclining_weights if placed is not None else ():
        assert placed is not None  # noqa: S101 - without a state none are taken
        names.append(f"Inclining weight {weight.id}")
        groups.append(SURVEY_WEIGHTS)
        sign.append(-1.0)
        mass.append(weight.mass_t)
        at.append(placed.positions[weight.id])
        move.append((0.0, 0.0, 0.0))
    for i, person in enumerate(record.persons):
        names.append(person.name or f"Person {i + 1}")
        groups.append("persons")
        sign.append(-1.0)
        mass.append(person.mass_t)
        at.append((person.x_m, person.y_m, person.z_m))
        move.append((0.0, 0.0, 0.0))
    for i, item in enumerate(record.items):
        names.append(item.description)
        groups.append(item.kind)
        sign.append({"surplus": -1.0, "missing": 1.0, "misplaced": 0.0}[item.kind])
        mass.append(item.mass_t)
        at.append((item.x_m, item.y_m, item.z_m))
        move.append(_way_home(record, i))
    places = np.array(at, dtype=float).reshape(-1, 3)
    return Carried(names, groups, np.array(sign), np.array(mass), places, np.array(move, dtype=float).reshape(-1, 3))


def _way_home(record: TestRecord, i: int) -> tuple[float, float, float]:
    item = record.items[i]
    home = (item.to_x_m, item.to_y_m, item.to_z_m)
    if item.kind != "misplaced":
        given = next(
            (name for name, v in zip(("to_x_m", "to_y_m", "to_z_m"), home, strict=True) if v is not None), None
        )
        if given:
            raise CoreError(
                "item-place",
                f"'{item.description}' is {item.kind} but has {given}; only a misplaced item belongs elsewhere.",
                f"/items/{i}/{given}",
            )
        return (0.0, 0.0, 0.0)
    if item.to_x_m is None or item.to_y_m is None or item.to_z_m is None:
        absent = ("to_x_m", "to_y_m", "to_z_m")[home.index(None)]
        raise CoreError(
            "item-place",
            f"'{item.description}' is misplaced but has no {absent}; say where it belongs.",
            f"/items/{i}/{absent}",
        )
    return (item.to_x_m - item.x_m, item.to_y_m - item.y_m, item.to_z_m - item.z_m)
