"""The small-angle chain written again, independently, with a general library of uncertain numbers.

The box has draughts, list and trim in closed form: ends give trim and the line between them, the mean of the midship
marks departs from it by the hog, and a parabola takes two thirds of the hog off the mean draught.
"""

from __future__ import annotations

from dataclasses import replace

import pytest
from heelwright_service.core.reduction import reduce_record, work_out
from heelwright_service.core.uncertainty.assess import prepare_run
from heelwright_service.core.uncertainty.propagation import QUANTITIES, linear
from uncertainties import ufloat

from .box import BREADTH_M, DENSITY, DRAUGHT_M, KG_M, LENGTH_M, MIDDLE_M, PENDULUM_M, SIDES, WEIGHT_T, box_record

STATED = {
    "draught_m": 0.006,
    "density_t_per_m3": 0.0004,
    "reading_m": 0.0011,
    "pendulum_length_m": 0.003,
    "weight_mass_relative": 0.002,
    "weight_position_m": 0.008,
    "item_mass_relative": 0.07,
    "item_position_m": 0.25,
    "hull_volume_relative": 0.0015,
    "km_m": 0.004,
    "unlisted_mass_t": 0.4,
    "unlisted_moment_t_m": 3.0,
}


def by_hand(record):
    """Displacement, GM, KG, lightship mass and VCG as uncertain numbers."""
    marks = {one.mark: ufloat(DRAUGHT_M, STATED["draught_m"]) for one in record.draughts}

    def mean(place):
        return (marks[f"{place} port"] + marks[f"{place} starboard"]) / 2

    chord = (mean("aft") + mean("forward")) / 2
    hog = chord - mean("midship")
    draught = chord - hog * 2 / 3
    volume = LENGTH_M * BREADTH_M * draught
    displacement = (
        ufloat(DENSITY, STATED["density_t_per_m3"]) * volume * (1 + ufloat(0, STATED["hull_volume_relative"]))
    )
    km = draught / 2 + BREADTH_M**2 / (12 * draught) + ufloat(0, STATED["km_m"])

    scale = 1 + ufloat(0, STATED["weight_mass_relative"])
    masses = {one.id: one.mass_t * scale for one in record.inclining_weights}
    spots = {}
    for state in record.states:
        for name, (_, y, _) in state.positions.items():
            spots.setdefault((name, y), ufloat(y, STATED["weight_position_m"]))
    totals = [sum(masses[n] * spots[n, p[1]] for n, p in state.positions.items()) for state in record.states]
    moments = [total - totals[0] for total in totals]
    length = ufloat(PENDULUM_M, STATED["pendulum_length_m"])
    tangents = [ufloat(one.value_mm / 1000, STATED["reading_m"]) / length for one in record.readings]
    middle = sum(moments) / len(moments)
    slope = sum((m - middle) * t for m, t in zip(moments, tangents, strict=True)) / sum(
        (m - middle) ** 2 for m in moments
    )
    gm = 1 / (slope * displacement)
    kg = km - gm

    heights = {name: ufloat(KG_M, STATED["weight_position_m"]) for name in SIDES}
    [item] = record.items
    mass = item.mass_t * (1 + ufloat(0, STATED["item_mass_relative"]))
    light = displacement - sum(masses.values()) - mass
    moment = displacement * kg - sum(masses[name] * heights[name] for name in SIDES)
    moment -= mass * ufloat(item.z_m, STATED["item_position_m"])
    vcg = moment / light + ufloat(0, STATED["unlisted_moment_t_m"]) / light
    return {
        "displacement_t": displacement,
        "gm_fluid_m": gm,
        "kg_m": kg,
        "mass_t": light + ufloat(0, STATED["unlisted_mass_t"]),
        "vcg_m": vcg,
    }


def test_the_chain_propagates_as_a_general_library_does():
    """On exact hydrostatics; the stand-in for the hull, which a reduction uses, costs a few millionths."""
    record = box_record(**STATED)
    assert record.states[0].positions["A"][0] == MIDDLE_M
    assert record.inclining_weights[0].mass_t == WEIGHT_T
    reduced = work_out(record, "small-angle")
    run, _ = prepare_run(reduced.test, reduced.outcome, reduced.source, reduced.best, None)
    exact = linear(replace(run, source=reduced.source))
    result = reduce_record(record, "small-angle", "linear")
    assert result.uncertainty is not None
    for name, expected in by_hand(record).items():
        found = result.uncertainty.quantities[name]
        assert found.value == pytest.approx(expected.nominal_value, rel=1e-9), name
        assert exact.standard[QUANTITIES.index(name)] == pytest.approx(expected.std_dev, rel=1e-6), name
        assert found.standard == pytest.approx(expected.std_dev, rel=1e-5), name
