"""What each departure would make of a test's record, had it happened unnoticed: the workings behind the kinds."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from heelwright_service.core.input_errors import Errors, no_errors
from heelwright_service.core.liquids import I_T_ROW, VOLUME_ROW, SoundedTank
from heelwright_service.core.prepared_test import Carried, PreparedTest
from heelwright_service.core.readings import MILLIMETRES
from heelwright_service.core.reduction import Reduced
from heelwright_service.core.uncertainty.deviation import Deviation
from heelwright_service.core.water import air_from_vacuum_t_per_m3, vacuum_from_air_t_per_m3

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Departed:
    """The test as it would be recorded with the departure in it: the record and the errors of its inputs."""

    test: PreparedTest
    errors: Errors


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


def mass_overlooked(reduced: Reduced, deviation: Deviation) -> Departed:
    """A mass that is aboard, not of the lightship and not listed stays in the computed lightship."""
    there = deviation.free_surface_moment_t_m or 0.0
    return _with_mass(reduced, _given(deviation.mass_t), _place(deviation), -there)


def missing_forgotten(reduced: Reduced, deviation: Deviation) -> Departed:
    """A mass that is still to come aboard and was not listed is missing from the computed lightship."""
    return _with_mass(reduced, -_given(deviation.mass_t), _place(deviation), 0.0)


def weight_mass(reduced: Reduced, deviation: Deviation) -> Departed:
    """The certificates of the weights are off the truth by a relative size."""
    result = _zero_errors(reduced.test)
    assert reduced.test.movements is not None  # noqa: S101 - `departed` has asked
    for i, name in enumerate(reduced.test.movements.weight_ids):
        if deviation.weight in (None, name):
            result.errors.weight_mass_relative[:, i] = 1.0 / (1.0 + _given(deviation.relative)) - 1.0
    return result


def shift_distance(reduced: Reduced, deviation: Deviation) -> Departed:
    """The shifts of the weights are noted longer than they were, half of it at either end."""
    result = _zero_errors(reduced.test)
    movements = reduced.test.movements
    assert movements is not None  # noqa: S101 - `departed` has asked
    for s, weight in enumerate(movements.spot_weight):
        if deviation.weight in (None, movements.weight_ids[weight]):
            own = movements.spot_m[movements.spot_weight == weight, 1]
            outward = np.sign(movements.spot_m[s, 1] - own.mean())
            result.errors.spot_m[:, s, 1] = 0.5 * outward * _given(deviation.size_m)
    return result


def instrument_length(reduced: Reduced, deviation: Deviation) -> Departed:
    """The lengths of instruments are noted longer than they are."""
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


def deflection_short(reduced: Reduced, deviation: Deviation) -> Departed:
    """Deflections are read short to either side."""
    result = _zero_errors(reduced.test)
    tangents = reduced.test.tangents
    assert tangents is not None  # noqa: S101 - an inclining test has readings
    heel = _heel_of_readings(reduced)
    side = np.where(np.abs(heel) > 0.02 * np.abs(heel).max(), np.sign(heel), 0.0)
    lengths = tangents.lengths_m[tangents.instrument_index]
    amount = np.where(np.isnan(lengths), 0.0, _given(deviation.size_mm) / MILLIMETRES / lengths)
    result.errors.reading[:] = np.where(_chosen_readings(reduced, deviation), -side * amount, 0.0)
    return result


def heel_held(reduced: Reduced, deviation: Deviation) -> Departed:
    """A share of every heel is held back."""
    result = _zero_errors(reduced.test)
    held = -_given(deviation.share) * _heel_of_readings(reduced)
    result.errors.reading[:] = np.where(_chosen_readings(reduced, deviation), held, 0.0)
    return result


def draught(reduced: Reduced, deviation: Deviation) -> Departed:
    """Draughts are read deeper than they are."""
    result = _zero_errors(reduced.test)
    for j, name in enumerate(reduced.test.points.names):
        if deviation.mark in (None, name):
            result.errors.height_m[:, j] = _given(deviation.size_m)
    return result


def density(reduced: Reduced, deviation: Deviation) -> Departed:
    """The water is of another density than was measured."""
    return _with_true_density(reduced, _given(deviation.density_t_per_m3))


def density_basis(reduced: Reduced, deviation: Deviation) -> Departed:
    """A density in air was taken for one in vacuum, or the reverse, as the record has it the other way."""
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


def free_surface(reduced: Reduced, deviation: Deviation) -> Departed:
    """Free surface is deducted that is not there, or not deducted where it is."""
    further = reduced.test.further_free_surface_t_m + _given(deviation.free_surface_moment_t_m)
    return _zero_errors(replace(reduced.test, further_free_surface_t_m=further))


def _named_tank(reduced: Reduced, deviation: Deviation) -> tuple[int, SoundedTank]:
    return next((j, t) for j, t in enumerate(reduced.test.tanks) if t.tank.name == deviation.tank)


def _top_of(tank: SoundedTank) -> tuple[float, float, float]:
    last = tank.tank.table[-1]
    return last.x_m, last.y_m, tank.tank.pipe.zero_z_m + last.sounding_m


def tank_pressed(reduced: Reduced, deviation: Deviation) -> Departed:
    """A tank taken as slack was pressed full: its rest is overlooked and a free surface deducted in vain."""
    j, tank = _named_tank(reduced, deviation)
    contents = reduced.outcome.contents[0, j]
    density = tank.sounding.density_t_per_m3
    overlooked = density * (tank.tank.capacity_m3 - float(contents[VOLUME_ROW]))
    return _with_mass(reduced, overlooked, _top_of(tank), density * float(contents[I_T_ROW]))


def pressed_with_air(reduced: Reduced, deviation: Deviation) -> Departed:
    """A tank taken as pressed has air in it: too much is deducted and its free surface is not."""
    _, tank = _named_tank(reduced, deviation)
    density = tank.sounding.density_t_per_m3
    surface = deviation.free_surface_moment_t_m
    if surface is None:
        surface = density * max(row.i_t_m4 for row in tank.tank.table)
    return _with_mass(reduced, -density * _given(deviation.volume_m3), _top_of(tank), -surface)


def sounding(reduced: Reduced, deviation: Deviation) -> Departed:
    """A tank is sounded deeper than it is."""
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


def people_walk(reduced: Reduced, deviation: Deviation) -> Departed:
    """People walk across with the weights, as far as the moments go."""
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


def out_of_place(reduced: Reduced, deviation: Deviation) -> Departed:
    """A mass stands off its reading position in some states."""
    return _in_states(reduced, deviation, _given(deviation.mass_t) * _given(deviation.distance_m))


def heeling_moment(reduced: Reduced, deviation: Deviation) -> Departed:
    """A heeling moment acts in some states."""
    return _in_states(reduced, deviation, _given(deviation.moment_t_m))
