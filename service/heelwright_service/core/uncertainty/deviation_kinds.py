"""The departures that people meet on the day, each told as what it would make of this ship's record.

A deviation of a given size is turned into the departed test: what the record would say had the departure happened on
this ship unnoticed. The price of leaving it is the result of the departed test less the result as it stands.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, fields, replace

import numpy as np
from numpy.typing import NDArray

from heelwright_service.core.errors import CoreError
from heelwright_service.core.input_errors import Errors, no_errors
from heelwright_service.core.liquids import I_T_ROW, VOLUME_ROW, SoundedTank
from heelwright_service.core.prepared_test import Carried, PreparedTest
from heelwright_service.core.readings import MILLIMETRES
from heelwright_service.core.reduction import Reduced
from heelwright_service.core.water import air_from_vacuum_t_per_m3, vacuum_from_air_t_per_m3

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Deviation:
    """One departure from the procedure with its size; which sizes a kind needs is in `KINDS`.

    Parameters
    ----------
    kind : str
        A key of `KINDS`.
    mass_t : float, optional
        Mass overlooked, forgotten, moving or out of place [t].
    x_m, y_m, z_m : float, optional
        Its place [m].
    free_surface_moment_t_m : float, optional
        Free-surface moment deducted less that which is there [t·m]; for a tank with air, that which is there.
    relative : float, optional
        True mass of the weights over the certified one, less one.
    size_m : float, optional
        Recorded less true length, draught (read too deep is positive), distance or sounding [m].
    size_mm : float, optional
        By how much the deflection was read short, to either side [mm].
    share : float, optional
        Share of the heel that is held back, between 0 and 1.
    distance_m : float, optional
        How far people walk with the weights, or a mass stands out of place to starboard [m].
    moment_t_m : float, optional
        Heeling moment to starboard in the named states [t·m].
    density_t_per_m3 : float, optional
        True density of the water [t/m³].
    volume_m3 : float, optional
        Air in a tank that was taken as pressed [m³].
    instrument, mark, tank, weight : str, optional
        The one meant; all alike when absent.
    states : sequence of int, optional
        Numbers of the states meant.
    side : {"port", "starboard"}, optional
        Heel to this side only.
    """

    kind: str
    mass_t: float | None = None
    x_m: float | None = None
    y_m: float | None = None
    z_m: float | None = None
    free_surface_moment_t_m: float | None = None
    relative: float | None = None
    size_m: float | None = None
    size_mm: float | None = None
    share: float | None = None
    distance_m: float | None = None
    moment_t_m: float | None = None
    density_t_per_m3: float | None = None
    volume_m3: float | None = None
    instrument: str | None = None
    mark: str | None = None
    tank: str | None = None
    weight: str | None = None
    states: Sequence[int] | None = None
    side: str | None = None


@dataclass(frozen=True)
class Departed:
    """The test as it would be recorded with the departure in it: the record and the errors of its inputs."""

    test: PreparedTest
    errors: Errors


@dataclass(frozen=True)
class Kind:
    """A kind of departure: what it is, sizes it needs, if it needs an inclining test, working, and what it may have."""

    text: str
    needs: tuple[str, ...]
    inclining: bool
    apply: Callable[[Reduced, Deviation], Departed]
    may: tuple[str, ...] = ()


def departed(reduced: Reduced, deviation: Deviation, pointer: str) -> Departed:
    """Put a departure into a test.

    Parameters
    ----------
    reduced : Reduced
        The test as it stands, worked out.
    deviation : Deviation
        The departure with its size.
    pointer : str
        JSON Pointer of the deviation in the request.

    Returns
    -------
    Departed
        The test with the departure in it.

    Raises
    ------
    CoreError
        ``deviation-unknown``, ``deviation-size-missing``, ``deviation-size-foreign``, ``deviation-not-here`` or
        ``deviation-names-nothing``.
    """
    kind = KINDS.get(deviation.kind)
    if kind is None:
        raise CoreError(
            "deviation-unknown",
            f"'{deviation.kind}' is no kind of deviation; known are {', '.join(sorted(KINDS))}.",
            f"{pointer}/kind",
        )
    absent = next((name for name in kind.needs if getattr(deviation, name) is None), None)
    if absent is not None:
        raise CoreError(
            "deviation-size-missing",
            f"A deviation of kind '{deviation.kind}' ({kind.text}) needs {absent}.",
            f"{pointer}/{absent}",
        )
    given = [each.name for each in fields(deviation)[1:] if getattr(deviation, each.name) not in (None, ())]
    foreign = next((name for name in given if name not in (*kind.needs, *kind.may)), None)
    if foreign is not None:
        known = ", ".join((*kind.needs, *kind.may)) or "no size"
        message = f"A deviation of kind '{deviation.kind}' ({kind.text}) has no {foreign}; it has {known}."
        raise CoreError("deviation-size-foreign", message, f"{pointer}/{foreign}")
    if kind.inclining and reduced.test.movements is None:
        raise CoreError(
            "deviation-not-here",
            f"'{deviation.kind}' concerns the inclining, but the record is a lightweight survey.",
            f"{pointer}/kind",
        )
    _refuse_unnamed(reduced.test, deviation, pointer)
    return kind.apply(reduced, deviation)


def _refuse_unnamed(test: PreparedTest, deviation: Deviation, pointer: str) -> None:
    record = test.record
    known: dict[str, list[str]] = {
        "instrument": [instrument.id for instrument in record.instruments],
        "mark": list(test.points.names),
        "tank": [tank.tank.name for tank in test.tanks],
        "weight": [weight.id for weight in record.inclining_weights],
    }
    for name, allowed in known.items():
        given = getattr(deviation, name)
        if given is not None and given not in allowed:
            raise CoreError(
                "deviation-names-nothing",
                f"The deviation names {name} '{given}', but the record has {', '.join(allowed) or 'none'}.",
                f"{pointer}/{name}",
            )
    numbers = [] if test.movements is None else test.movements.numbers
    stray = next((number for number in deviation.states or () if number not in numbers), None)
    if stray is not None:
        raise CoreError(
            "deviation-names-nothing",
            f"The deviation names state {stray}, but the record has {', '.join(map(str, numbers))}.",
            f"{pointer}/states",
        )


def _given(value: float | None) -> float:
    assert value is not None  # noqa: S101 - `departed` has asked for it
    return value


def _zero_errors(test: PreparedTest) -> Departed:
    return Departed(test, no_errors(test))


def _with_mass(reduced: Reduced, mass_t: float, at_m: tuple[float, float, float], free_surface_t_m: float) -> Departed:
    """Leave a mass in the computed lightship that does not belong there, negative for one that does."""
    old = reduced.test.carried
    carried = Carried(
        [*old.names, "deviation"],
        [*old.groups, "deviation"],
        np.append(old.sign, 1.0),
        np.append(old.mass_t, mass_t),
        np.vstack([old.at_m, [at_m]]),
        np.vstack([old.move_m, np.zeros((1, 3))]),
    )
    further = reduced.test.further_free_surface_t_m + free_surface_t_m
    return _zero_errors(replace(reduced.test, carried=carried, further_free_surface_t_m=further))


def _place(deviation: Deviation) -> tuple[float, float, float]:
    return _given(deviation.x_m), _given(deviation.y_m), _given(deviation.z_m)


def _mass_overlooked(reduced: Reduced, deviation: Deviation) -> Departed:
    there = deviation.free_surface_moment_t_m or 0.0
    return _with_mass(reduced, _given(deviation.mass_t), _place(deviation), -there)


def _missing_forgotten(reduced: Reduced, deviation: Deviation) -> Departed:
    return _with_mass(reduced, -_given(deviation.mass_t), _place(deviation), 0.0)


def _weight_mass(reduced: Reduced, deviation: Deviation) -> Departed:
    result = _zero_errors(reduced.test)
    assert reduced.test.movements is not None  # noqa: S101 - `departed` has asked
    for i, name in enumerate(reduced.test.movements.weight_ids):
        if deviation.weight in (None, name):
            result.errors.weight_mass_relative[:, i] = 1.0 / (1.0 + _given(deviation.relative)) - 1.0
    return result


def _shift_distance(reduced: Reduced, deviation: Deviation) -> Departed:
    result = _zero_errors(reduced.test)
    movements = reduced.test.movements
    assert movements is not None  # noqa: S101 - `departed` has asked
    for s, weight in enumerate(movements.spot_weight):
        if deviation.weight in (None, movements.weight_ids[weight]):
            own = movements.spot_m[movements.spot_weight == weight, 1]
            outward = np.sign(movements.spot_m[s, 1] - own.mean())
            result.errors.spot_m[:, s, 1] = 0.5 * outward * _given(deviation.size_m)
    return result


def _instrument_length(reduced: Reduced, deviation: Deviation) -> Departed:
    result = _zero_errors(reduced.test)
    for i, instrument in enumerate(reduced.test.record.instruments):
        if deviation.instrument in (None, instrument.id) and instrument.length_m is not None:
            result.errors.length_m[:, i] = _given(deviation.size_m)
    return result


def _heel_of_readings(reduced: Reduced) -> Array:
    """Tangents by which each reading's state heels from the initial one, as the line tells them, shape (r,)."""
    small = reduced.outcome.small_angle
    assert small is not None  # noqa: S101 - an inclining test has one
    return np.asarray(small.slope[0] * small.effective_t_m[0])


def _chosen_readings(reduced: Reduced, deviation: Deviation) -> NDArray[np.bool_]:
    tangents = reduced.test.tangents
    movements = reduced.test.movements
    assert tangents is not None  # noqa: S101 - an inclining test has readings
    assert movements is not None  # noqa: S101 - an inclining test has movements
    instruments = np.array([instrument.id for instrument in reduced.test.record.instruments])
    chosen = np.ones(len(tangents.tangents), bool)
    if deviation.instrument is not None:
        chosen &= instruments[tangents.instrument_index] == deviation.instrument
    if deviation.states is not None:
        chosen &= np.isin(np.array(movements.numbers)[tangents.state_index], list(deviation.states))
    if deviation.side is not None:
        chosen &= (_heel_of_readings(reduced) > 0.0) == (deviation.side == "starboard")
    return chosen


def _deflection_short(reduced: Reduced, deviation: Deviation) -> Departed:
    result = _zero_errors(reduced.test)
    tangents = reduced.test.tangents
    assert tangents is not None  # noqa: S101 - an inclining test has readings
    heel = _heel_of_readings(reduced)
    side = np.where(np.abs(heel) > 0.02 * np.abs(heel).max(), np.sign(heel), 0.0)
    lengths = tangents.lengths_m[tangents.instrument_index]
    amount = np.where(np.isnan(lengths), 0.0, _given(deviation.size_mm) / MILLIMETRES / lengths)
    result.errors.reading[:] = np.where(_chosen_readings(reduced, deviation), -side * amount, 0.0)
    return result


def _heel_held(reduced: Reduced, deviation: Deviation) -> Departed:
    result = _zero_errors(reduced.test)
    held = -_given(deviation.share) * _heel_of_readings(reduced)
    result.errors.reading[:] = np.where(_chosen_readings(reduced, deviation), held, 0.0)
    return result


def _draught(reduced: Reduced, deviation: Deviation) -> Departed:
    result = _zero_errors(reduced.test)
    for j, name in enumerate(reduced.test.points.names):
        if deviation.mark in (None, name):
            result.errors.height_m[:, j] = _given(deviation.size_m)
    return result


def _density(reduced: Reduced, deviation: Deviation) -> Departed:
    return _with_true_density(reduced, _given(deviation.density_t_per_m3))


def _density_basis(reduced: Reduced, deviation: Deviation) -> Departed:
    density = reduced.test.density_t_per_m3
    water = reduced.test.record.water
    glasses = [sample.glass.kind for sample in water.samples if sample.glass is not None]
    in_air = water.density_basis == "air" or "apparent-density" in glasses
    other = air_from_vacuum_t_per_m3(density) if in_air else vacuum_from_air_t_per_m3(density)
    return _with_true_density(reduced, other)


def _with_true_density(reduced: Reduced, true_t_per_m3: float) -> Departed:
    result = _zero_errors(reduced.test)
    recorded = reduced.test.density_t_per_m3
    result.errors.density_t_per_m3[:] = recorded * (recorded / true_t_per_m3 - 1.0)
    return result


def _free_surface(reduced: Reduced, deviation: Deviation) -> Departed:
    further = reduced.test.further_free_surface_t_m + _given(deviation.free_surface_moment_t_m)
    return _zero_errors(replace(reduced.test, further_free_surface_t_m=further))


def _named_tank(reduced: Reduced, deviation: Deviation) -> tuple[int, SoundedTank]:
    return next((j, t) for j, t in enumerate(reduced.test.tanks) if t.tank.name == deviation.tank)


def _top_of(tank: SoundedTank) -> tuple[float, float, float]:
    last = tank.tank.table[-1]
    return last.x_m, last.y_m, tank.tank.pipe.zero_z_m + last.sounding_m


def _tank_pressed(reduced: Reduced, deviation: Deviation) -> Departed:
    j, tank = _named_tank(reduced, deviation)
    contents = reduced.outcome.contents[0, j]
    density = tank.sounding.density_t_per_m3
    overlooked = density * (tank.tank.capacity_m3 - float(contents[VOLUME_ROW]))
    return _with_mass(reduced, overlooked, _top_of(tank), density * float(contents[I_T_ROW]))


def _pressed_with_air(reduced: Reduced, deviation: Deviation) -> Departed:
    _, tank = _named_tank(reduced, deviation)
    density = tank.sounding.density_t_per_m3
    surface = deviation.free_surface_moment_t_m
    if surface is None:
        surface = density * max(row.i_t_m4 for row in tank.tank.table)
    return _with_mass(reduced, -density * _given(deviation.volume_m3), _top_of(tank), -surface)


def _sounding(reduced: Reduced, deviation: Deviation) -> Departed:
    result = _zero_errors(reduced.test)
    j, _ = _named_tank(reduced, deviation)
    result.errors.sounding_m[:, j] = _given(deviation.size_m)
    return result


def _state_moments(reduced: Reduced) -> Array:
    movements = reduced.test.movements
    assert movements is not None  # noqa: S101 - an inclining test has movements
    moments = movements.moments_t_m(movements.masses_t[None], 0.0, axis=1)
    return np.asarray(moments[0])


def _heeled_further(reduced: Reduced, moments_t_m: Array) -> Departed:
    """Let unrecorded moments of the states heel the ship: her readings show more than the weights explain."""
    small, tangents = reduced.outcome.small_angle, reduced.test.tangents
    assert small is not None  # noqa: S101 - an inclining test has one
    assert tangents is not None  # noqa: S101 - an inclining test has readings
    result = _zero_errors(reduced.test)
    result.errors.reading[:] = small.slope[0] * (moments_t_m - moments_t_m[0])[tangents.state_index]
    return result


def _people_walk(reduced: Reduced, deviation: Deviation) -> Departed:
    moments = _state_moments(reduced)
    carried = _given(deviation.mass_t) * _given(deviation.distance_m)
    return _heeled_further(reduced, carried * moments / np.abs(moments).max())


def _in_states(reduced: Reduced, deviation: Deviation, moment: float) -> Departed:
    movements = reduced.test.movements
    assert movements is not None  # noqa: S101 - an inclining test has movements
    moments = _state_moments(reduced)
    named = np.isin(movements.numbers, list(deviation.states or ()))
    chosen = moments == moments.max() if deviation.states is None else named
    return _heeled_further(reduced, np.where(chosen, moment, 0.0))


def _out_of_place(reduced: Reduced, deviation: Deviation) -> Departed:
    return _in_states(reduced, deviation, _given(deviation.mass_t) * _given(deviation.distance_m))


def _heeling_moment(reduced: Reduced, deviation: Deviation) -> Departed:
    return _in_states(reduced, deviation, _given(deviation.moment_t_m))


_PLACE = ("mass_t", "x_m", "y_m", "z_m")
_WHICH_READINGS = ("instrument", "states", "side")

KINDS: dict[str, Kind] = {
    "liquid-unseen": Kind(
        "liquid left in a tank or void that was taken as dry",
        _PLACE,
        False,
        _mass_overlooked,
        ("free_surface_moment_t_m",),
    ),
    "surplus-overlooked": Kind(
        "something aboard that is not lightship and was not listed", _PLACE, False, _mass_overlooked
    ),
    "missing-forgotten": Kind("something still to come aboard that was not listed", _PLACE, False, _missing_forgotten),
    "weight-mass": Kind("inclining weights off their certificate", ("relative",), True, _weight_mass, ("weight",)),
    "shift-distance": Kind("a shift of the weights noted too long", ("size_m",), True, _shift_distance, ("weight",)),
    "instrument-length": Kind(
        "an instrument's length noted too long", ("size_m",), True, _instrument_length, ("instrument",)
    ),
    "deflection-short": Kind("deflections read short", ("size_mm",), True, _deflection_short, _WHICH_READINGS),
    "heel-held": Kind(
        "a line, fender or the bottom holds part of the heel", ("share",), True, _heel_held, _WHICH_READINGS
    ),
    "draught-reading": Kind("draughts read too deep", ("size_m",), False, _draught, ("mark",)),
    "water-density": Kind("water of another density than was measured", ("density_t_per_m3",), False, _density),
    "density-basis": Kind("density in air taken for density in vacuum, or the reverse", (), False, _density_basis),
    "free-surface": Kind(
        "free surface deducted that is not there, negative for one not deducted",
        ("free_surface_moment_t_m",),
        True,
        _free_surface,
    ),
    "tank-pressed": Kind("a tank taken as slack that was pressed full", ("tank",), False, _tank_pressed),
    "pressed-tank-air": Kind(
        "air in a tank taken as pressed full",
        ("tank", "volume_m3"),
        False,
        _pressed_with_air,
        ("free_surface_moment_t_m",),
    ),
    "sounding": Kind("a tank sounded too deep", ("tank", "size_m"), False, _sounding),
    "people-walk": Kind("people who walk across with the weights", ("mass_t", "distance_m"), True, _people_walk),
    "mass-out-of-place": Kind(
        "a truck, gang or person off its reading position", ("mass_t", "distance_m"), True, _out_of_place, ("states",)
    ),
    "heeling-moment": Kind(
        "wind or another heeling moment in some states", ("moment_t_m", "states"), True, _heeling_moment
    ),
}
