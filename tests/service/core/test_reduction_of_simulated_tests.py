"""Reductions of simulated tests made elsewhere: a triangulated hull with moving liquids, floated in each state.

Files 11 to 14 carry no measurement noise; 21 and 22 do, with the standard uncertainties that they state.
"""

import json
from dataclasses import replace
from pathlib import Path

import pytest
from heelwright_service.core.documents import from_document, to_document
from heelwright_service.core.errors import CoreError
from heelwright_service.core.record import ApprovedLightship, Item, TestRecord
from heelwright_service.core.reduction import reduce_record

FOLDER = Path(__file__).parents[2] / "reference" / "simulated"
EXACT = ("ship-11", "chine-12", "tumble-13", "box-14")
NOISY = ("ship-21", "chine-22")


def record_and_truth(name):
    record = from_document(TestRecord, json.loads((FOLDER / f"{name}.record.json").read_text()))
    return record, json.loads((FOLDER / f"{name}.truth.json").read_text())


@pytest.mark.parametrize("name", EXACT)
def test_a_test_without_noise_gives_the_true_lightship_by_the_heeled_equilibrium(name):
    record, truth = record_and_truth(name)
    light = reduce_record(record, uncertainty="none").lightship
    assert light.method == "heeled-equilibrium"
    assert light.mass_t == pytest.approx(truth["lightship"]["mass_t"], rel=5e-4)
    assert light.vcg_m == pytest.approx(truth["lightship"]["vcg_m"], abs=0.002)
    assert light.lcg_m == pytest.approx(truth["lightship"]["lcg_m"], abs=0.020)
    assert light.tcg_m == pytest.approx(truth["lightship"]["tcg_m"], abs=0.001)


@pytest.mark.parametrize("name", EXACT)
def test_the_small_angle_method_errs_as_far_as_the_wall_sided_assumption_does(name):
    record, truth = record_and_truth(name)
    small = reduce_record(record, uncertainty="none").small_angle
    assert small is not None
    assert small.gm_fluid_m == pytest.approx(truth["classical_gm_fluid_m"], rel=2e-4)


@pytest.mark.parametrize("name", [*EXACT, *NOISY])
def test_the_stated_intervals_hold_the_truth(name):
    record, truth = record_and_truth(name)
    doubts = reduce_record(record).uncertainty
    assert doubts is not None
    inclined = truth["as_inclined"]
    true = {
        **truth["lightship"],
        "displacement_t": inclined["displacement_t"],
        "gm_fluid_m": inclined["gm_fluid_m"],
        "kg_m": inclined["vcg_as_inclined_m"],
    }
    outside = [q for q, found in doubts.quantities.items() if not found.low_95 <= true[q] <= found.high_95]
    assert outside == []


@pytest.mark.parametrize("name", EXACT)
def test_the_rows_of_the_lightship_table_add_up_to_the_lightship(name):
    record, _ = record_and_truth(name)
    result = reduce_record(record, uncertainty="none")
    *rows, total = result.lightship_table
    assert sum(row.mass_t for row in rows) == pytest.approx(total.mass_t, rel=1e-12)
    assert sum(row.moment_z_t_m for row in rows) == pytest.approx(total.mass_t * total.z_m, rel=1e-12)
    assert sum(row.moment_x_t_m for row in rows) == pytest.approx(total.mass_t * total.x_m, rel=1e-12)


def test_a_result_is_a_document_of_finite_numbers():
    record, _ = record_and_truth("ship-21")
    document = to_document(reduce_record(record))
    json.dumps(document, allow_nan=False)
    assert set(document["uncertainty"]["quantities"]) == {
        "displacement_t", "gm_fluid_m", "kg_m", "mass_t", "lcg_m", "tcg_m", "vcg_m",
    }  # fmt: skip


def test_a_record_without_states_and_readings_is_a_survey_that_knows_no_height():
    record, truth = record_and_truth("ship-11")
    weights = [
        {"description": f"weight {w.id}", "kind": "surplus", "mass_t": w.mass_t}
        | dict(zip(("x_m", "y_m", "z_m"), record.states[0].positions[w.id], strict=True))
        for w in record.inclining_weights
    ]
    items = [*record.items, *(from_document(Item, weight) for weight in weights)]
    survey = replace(record, states=(), readings=(), instruments=(), inclining_weights=(), items=items)
    result = reduce_record(survey)
    assert result.lightship.vcg_m is None
    assert result.lightship.tcg_m is None
    assert result.small_angle is None
    assert result.lightship.mass_t == pytest.approx(truth["lightship"]["mass_t"], rel=5e-4)
    assert result.lightship.lcg_m == pytest.approx(truth["lightship"]["lcg_m"], abs=0.02)
    assert result.uncertainty is not None
    found = result.uncertainty.quantities
    assert set(found) == {"displacement_t", "gm_fluid_m", "kg_m", "mass_t", "lcg_m", "tcg_m", "vcg_m"}
    assert found["gm_fluid_m"] is None
    assert found["kg_m"] is None
    assert found["vcg_m"] is None
    assert found["mass_t"] is not None

    light = truth["lightship"]
    known = ApprovedLightship(light["mass_t"], light["lcg_m"], light["vcg_m"], light["tcg_m"])
    with_gm = reduce_record(replace(survey, vessel=replace(survey.vessel, approved_lightship=known)))
    assert with_gm.lightship.vcg_m is None
    assert with_gm.lightship.tcg_m == pytest.approx(light["tcg_m"], abs=0.001)


def test_deductions_that_leave_nothing_of_the_ship_are_refused():
    record, _ = record_and_truth("box-14")
    heavy = [replace(weight, mass_t=900_000.0) for weight in record.inclining_weights]
    with pytest.raises(CoreError) as refused:
        reduce_record(replace(record, inclining_weights=heavy), uncertainty="none")
    assert refused.value.code == "lightship-without-mass"
