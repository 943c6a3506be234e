"""The doubts of whole reductions: how they answer to better and worse inputs, and what is said of them."""

from __future__ import annotations

import json
import re
import time
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from heelwright_service.core.documents import from_document
from heelwright_service.core.errors import CoreError
from heelwright_service.core.fit_results import pooled_line
from heelwright_service.core.record import (
    ApprovedLightship,
    Sounding,
    SoundingPipe,
    StatedUncertainties,
    TableDocument,
    TableRow,
    Tank,
    TankRow,
    TestRecord,
)
from heelwright_service.core.reduction import reduce_record, work_out
from heelwright_service.core.standard_uncertainties import DEFAULTS, heights_standard_m, standard_uncertainties
from heelwright_service.core.uncertainty.assess import Wanted, assess, prepare_run
from heelwright_service.core.uncertainty.propagation import QUANTITIES, simulate

from .box import DRAUGHT_M, LENGTH_M, box_record, misread, without_doubt

SIMULATED = Path(__file__).parents[3] / "reference" / "simulated"

INPUTS = (
    "draught_m", "density_t_per_m3", "reading_m", "pendulum_length_m", "weight_mass_relative", "weight_position_m",
    "item_mass_relative", "item_position_m", "hull_volume_relative", "km_m", "unlisted_mass_t", "unlisted_moment_t_m",
)  # fmt: skip


def doubts(record, method=None, evaluation="linear", draws=None):
    found = reduce_record(record, method, evaluation, draws).uncertainty
    assert found is not None
    return found


def half_width(found, quantity="vcg_m"):
    return (found.quantities[quantity].high_95 - found.quantities[quantity].low_95) / 2.0


def stated(record, **standard):
    return replace(record, uncertainties=replace(record.uncertainties, **standard))


@pytest.mark.parametrize("name", INPUTS)
def test_an_input_known_better_narrows_what_it_enters_and_widens_nothing(name):
    size = DEFAULTS[name].value or 1.0
    worse = doubts(box_record(**{name: size}))
    better = doubts(box_record(**{name: size / 3.0}))
    changes = [half_width(worse, q) - half_width(better, q) for q in QUANTITIES]
    assert max(changes) > 0.0
    assert min(changes) > -1e-9


@pytest.mark.parametrize("method", ["small-angle", "heeled-equilibrium"])
def test_doubling_every_uncertainty_doubles_every_interval(method):
    single = {name: DEFAULTS[name].value or 1.0 for name in INPUTS}
    once = doubts(box_record(**single), method)
    twice = doubts(box_record(**{name: 2.0 * value for name, value in single.items()}), method)
    for quantity in QUANTITIES:
        assert half_width(twice, quantity) == pytest.approx(2.0 * half_width(once, quantity), rel=1e-4), quantity


@pytest.mark.parametrize("name", ["ship-21", "chine-22"])
def test_a_budget_adds_to_one_with_the_largest_share_first(name):
    record = from_document(TestRecord, json.loads((SIMULATED / f"{name}.record.json").read_text()))
    for quantity, found in doubts(stated(record, item_mass_relative=0.1, tank_volume_relative=0.01)).quantities.items():
        shares = [share.share for share in found.budget]
        assert sum(shares) == pytest.approx(1.0, abs=1e-12), quantity
        assert shares == sorted(shares, reverse=True)
        assert sum(s.standard**2 for s in found.budget) == pytest.approx(found.standard**2, rel=1e-9)


def test_a_budget_names_every_tank_item_and_person_by_itself():
    record = from_document(TestRecord, json.loads((SIMULATED / "box-14.record.json").read_text()))
    inputs = {share.input for share in doubts(record).quantities["vcg_m"].budget}
    for tank in record.soundings:
        assert (f"tank {tank.tank}" in inputs) == (tank.state != "empty")
    for item in record.items:
        assert f"{item.kind}: {item.description}" in inputs


def test_without_any_uncertainty_the_interval_is_a_point_and_the_budget_empty():
    found = doubts(box_record(**without_doubt()))
    for quantity in found.quantities.values():
        assert quantity.low_95 == quantity.value == quantity.high_95
        assert quantity.budget == []
    assert found.sentences == []


def test_the_scatter_of_the_readings_enters_as_the_standard_error_of_the_slope():
    """With nothing else in doubt u(GM)/GM is the slope's standard error over the slope (JCGM 100:2008, annex H.3)."""
    moves = ("", "A", "", "B", "", "A", "", "B", "", "A", "", "B", "")
    record = misread(box_record(moves, 2, **without_doubt(reading_m=0.02)), 0.001, 4)
    found = doubts(record, "small-angle")
    reduced = work_out(record, "small-angle")
    line = pooled_line(reduced.test, reduced.outcome.small_angle)
    gm = found.quantities["gm_fluid_m"]
    assert gm.standard / gm.value == pytest.approx(line.slope_standard_error / line.slope, rel=1e-5)
    assert gm.degrees_of_freedom == pytest.approx(line.degrees_of_freedom, rel=1e-6)
    assert f"{line.degrees_of_freedom} degrees of freedom" in found.reading_scatter


def test_reading_error_enters_once_as_found_with_many_readings_as_stated_with_few():
    few = misread(box_record(**without_doubt(reading_m=0.001)), 0.02, 4)
    many = misread(box_record(("", "A", "", "B", "") * 3, **without_doubt(reading_m=0.02)), 0.001, 4)
    assert "stated" in doubts(few).reading_scatter
    assert half_width(doubts(few), "gm_fluid_m") == pytest.approx(
        half_width(doubts(box_record(**without_doubt(reading_m=0.001))), "gm_fluid_m"), rel=0.2
    )
    assert "the scatter of the readings" in doubts(many).reading_scatter
    assert half_width(doubts(many)) == pytest.approx(half_width(doubts(stated(many, reading_m=0.5))), rel=1e-9)


def test_instruments_of_unequal_quality_keep_the_ratio_of_their_stated_uncertainty():
    """The scatter found is unbiased over many tests though a pendulum is read five times worse than an inclinometer."""
    moves = ("", "A", "", "B", "") * 2
    exact = box_record(moves, 2, **without_doubt(reading_m=0.001))
    short = [replace(exact.instruments[0], length_m=0.8), exact.instruments[1]]
    sizes = {"P1": 1.0, "P2": 1.0}
    found = []
    for seed in range(60):
        rng = np.random.default_rng(seed)
        readings = [
            replace(
                one,
                value_mm=one.value_mm * (0.2 if one.instrument == "P1" else 1.0)
                + float(sizes[one.instrument] * rng.standard_normal()),
            )
            for one in exact.readings
        ]
        reduced = work_out(replace(exact, instruments=short, readings=readings), "small-angle")
        _, scatter = prepare_run(reduced.test, reduced.outcome, reduced.source, reduced.best, None)
        assert scatter is not None
        found.append([scatter.standard[0] * 0.8, scatter.standard[1] * 4.0])
    mean_square = np.sqrt(np.mean(np.square(found), axis=0))
    assert mean_square == pytest.approx([0.001, 0.001], rel=0.1)


def test_one_hydrometer_one_scale_and_one_hull_are_one_error_each_in_all_that_they_enter():
    """The weights' scale moves GM and not the displacement; the density moves both, in one step."""
    scale = doubts(box_record(**without_doubt(weight_mass_relative=0.01)), "small-angle")
    assert scale.quantities["displacement_t"].standard == 0.0
    assert scale.quantities["gm_fluid_m"].standard == pytest.approx(
        0.01 * scale.quantities["gm_fluid_m"].value, rel=1e-3
    )
    density = doubts(box_record(**without_doubt(density_t_per_m3=0.00105)), "small-angle")
    relative = 0.00105 / 1.025
    assert density.quantities["displacement_t"].standard == pytest.approx(relative * 1260.0, rel=1e-6)
    assert density.quantities["gm_fluid_m"].standard == pytest.approx(
        relative * density.quantities["gm_fluid_m"].value, rel=1e-6
    )


def test_the_draughts_error_partly_cancels_between_km_and_gm():
    """KM falls with the draught and GM too, as 1/T: the two of them are one error (derived here)."""
    standard = 0.006
    quantities = doubts(box_record(**without_doubt(draught_m=standard)), "small-angle").quantities
    found, gm = quantities["kg_m"], quantities["gm_fluid_m"].value
    mean_draught = standard * np.sqrt((1.0 + 16.0 + 1.0) / 36.0 / 2.0)  # (aft + 4 midship + forward)/6, each of a pair
    slope = 0.5 - 12.0 / DRAUGHT_M**2 + gm / DRAUGHT_M
    assert found.standard == pytest.approx(abs(slope) * mean_draught, rel=1e-4)


def tanked(name, level, datum=None, **stated_sizes):
    """The box with two like tanks, one sounded and one measured by its ullage, or both sounded."""
    table = [TankRow(s, 20.0 * s, 25.0, 0.0, 1.0 + s / 2.0, 5.0, 5.0) for s in (0.0, 1.0, 2.0)]
    tanks = [Tank(which, 40.0, SoundingPipe(25.0, 0.0, 1.0), table) for which in ("FW 1", "FW 2")]
    first = Sounding("FW 1", "slack", 1.0, sounding_m=1.0)
    second = Sounding("FW 2", "slack", 1.0, **{name: level})
    record = box_record(**without_doubt(sounding_datum_m=datum, **stated_sizes))
    return replace(record, vessel=replace(record.vessel, tanks=tanks), soundings=[first, second])


def test_the_datum_of_the_tape_is_common_to_all_soundings_and_turns_about_for_an_ullage():
    """20 m² of fresh water by 3 mm is 0.06 t a tank: twice that for two soundings, none for one of each."""
    both = doubts(tanked("sounding_m", 1.0, 0.003)).quantities["mass_t"].standard
    opposed = doubts(tanked("ullage_m", 1.0, 0.003)).quantities["mass_t"].standard
    single = doubts(tanked("sounding_m", 1.0, 0.0, sounding_m=0.003)).quantities["mass_t"].standard
    assert both == pytest.approx(0.12, rel=1e-6)
    assert opposed == pytest.approx(0.0, abs=1e-9)
    assert single == pytest.approx(0.06 * 2.0**0.5, rel=1e-6)


def test_a_stated_sounding_without_a_datum_is_the_whole_error_of_a_sounding():
    assert standard_uncertainties(box_record()).sounding_datum_m == DEFAULTS["sounding_datum_m"].value
    assert standard_uncertainties(box_record(sounding_m=0.004)).sounding_datum_m == 0.0


def test_reading_conditions_and_a_draughts_own_figure_set_its_weight():
    record = box_record(draught_m=0.004)
    draughts = [
        replace(record.draughts[0], condition="waves"),
        replace(record.draughts[1], condition="tube"),
        replace(record.draughts[2], condition="waves", standard_m=0.001),
        *record.draughts[3:],
    ]
    standard = heights_standard_m(draughts, [], standard_uncertainties(record))
    assert standard.tolist() == pytest.approx([0.012, 0.0024, 0.001, 0.004, 0.004, 0.004])
    wider = doubts(replace(record, draughts=[replace(d, condition="quay") for d in record.draughts]))
    assert wider.quantities["displacement_t"].standard > doubts(record).quantities["displacement_t"].standard


def test_what_is_not_listed_stays_in_the_budget():
    found = doubts(box_record(**without_doubt(unlisted_mass_t=0.5, unlisted_moment_t_m=6.0)))
    assert found.quantities["mass_t"].standard == pytest.approx(0.5)
    assert found.quantities["vcg_m"].standard == pytest.approx(6.0 / 1200.0, rel=1e-6)
    assert [share.input for share in found.quantities["vcg_m"].budget] == ["items not listed"]


def survey(approved):
    record = box_record(**without_doubt())
    draughts = [replace(one, reading_m=one.reading_m + 0.1 * ("aft" in one.mark)) for one in record.draughts]
    vessel = replace(record.vessel, approved_lightship=approved)
    return replace(
        record, vessel=vessel, draughts=draughts, states=(), readings=(), instruments=(), inclining_weights=()
    )


@pytest.mark.parametrize(
    ("approved", "standard_m"), [(ApprovedLightship(1200.0, 25.0, 5.0), 0.1), (None, 0.15 * 0.7 * 6.0)]
)
def test_the_height_that_a_survey_borrows_or_assumes_is_doubted_too(approved, standard_m):
    """LCG moves by the trim times the error of the height; 1 is the displacement over the lightship."""
    record = survey(approved)
    trim = 0.1 / LENGTH_M
    found = doubts(record).quantities
    ratio = found["displacement_t"].value / found["mass_t"].value
    assert found["lcg_m"].standard == pytest.approx(trim * standard_m * ratio, rel=0.02)
    assert (found["tcg_m"] is not None) == (approved is not None)
    simulated = doubts(record, evaluation="monte-carlo", draws=10_000).quantities["lcg_m"]
    assert simulated.low_95 < simulated.value < simulated.high_95


def table_record(lowest_m):
    draughts = [lowest_m + 0.05 * i for i in range(12)]
    rows = [
        TableRow(t, 600.0 * t, 25.0, t / 2.0, t / 2.0 + 12.0 / t, lcf_m=25.0, km_l_m=t / 2.0 + LENGTH_M**2 / 12.0 / t)
        for t in draughts
    ]
    record = box_record()
    return replace(record, vessel=replace(record.vessel, hull=None, hydrostatic_table=TableDocument(rows)))


def test_a_table_that_ends_within_the_doubt_of_the_draughts_still_answers_and_says_so():
    whole = doubts(table_record(DRAUGHT_M - 0.3))
    short = doubts(table_record(DRAUGHT_M - 0.004))
    assert not any("table ends" in sentence for sentence in whole.sentences)
    assert any("table ends" in sentence for sentence in short.sentences)
    assert half_width(short) == pytest.approx(half_width(whole), rel=0.01)


def test_the_sentence_on_the_draughts_is_what_a_reduction_with_better_draughts_finds():
    record = box_record(draught_m=0.03)
    told = next(text for text in doubts(record).sentences if "draughts" in text)
    assert "3 mm instead of 30 mm" in told
    before, after = (float(number) for number in re.findall(r"±(\d+) mm", told))
    assert before == pytest.approx(1000.0 * half_width(doubts(record)), abs=0.51)
    assert after == pytest.approx(1000.0 * half_width(doubts(stated(record, draught_m=0.003))), abs=0.51)


def test_a_reduction_says_where_each_uncertainty_comes_from():
    inputs = {one.input: one for one in doubts(box_record(draught_m=0.004)).inputs}
    assert set(inputs) == set(StatedUncertainties.__dataclass_fields__)
    assert inputs["draught_m"].source == "stated in the record"
    assert inputs["km_m"].source.startswith("office default")
    assert (inputs["draught_m"].unit, inputs["density_t_per_m3"].unit, inputs["unlisted_moment_t_m"].unit) == (
        "m", "t/m³", "t·m",
    )  # fmt: skip


@pytest.mark.parametrize("name", ["ship-21", "chine-22"])
def test_simulated_noise_leaves_the_truth_inside_the_simulated_intervals(name):
    record = from_document(TestRecord, json.loads((SIMULATED / f"{name}.record.json").read_text()))
    truth = json.loads((SIMULATED / f"{name}.truth.json").read_text())
    inclined = truth["as_inclined"]
    true = {
        **truth["lightship"],
        "displacement_t": inclined["displacement_t"],
        "gm_fluid_m": inclined["gm_fluid_m"],
        "kg_m": inclined["vcg_as_inclined_m"],
    }
    found = doubts(record, evaluation="monte-carlo", draws=40_000)
    for quantity, interval in found.quantities.items():
        assert interval.low_95 <= true[quantity] <= interval.high_95, quantity
        assert interval.linear_validated, quantity
        assert interval.shortest_high_95 - interval.shortest_low_95 <= interval.high_95 - interval.low_95
    assert found.stand_in_error_relative < 1e-5


def test_a_linear_result_far_from_linear_is_not_validated():
    """Readings known to a seventh of their deflection: GM, as one over the slope, is skew."""
    found = doubts(box_record(**without_doubt(reading_m=0.02)), evaluation="monte-carlo", draws=40_000)
    gm = found.quantities["gm_fluid_m"]
    assert gm.linear_validated is False
    assert max(abs(gm.linear_low_95 - gm.low_95), abs(gm.linear_high_95 - gm.high_95)) > gm.validation_tolerance


def test_errors_as_large_as_the_deflection_are_refused_by_the_field_that_states_them():
    with pytest.raises(CoreError) as refused:
        doubts(box_record(**without_doubt(reading_m=0.2)), evaluation="monte-carlo", draws=10_000)
    assert (refused.value.code, refused.value.pointer) == ("doubts-too-large", "/uncertainties")


def test_a_seed_makes_a_simulated_reduction_repeatable():
    record = box_record()
    first, again = (doubts(record, evaluation="monte-carlo", draws=5_000) for _ in range(2))
    assert first == again
    assert (first.draws, first.seed) == (5_000, 1)


def test_a_hundred_thousand_draws_of_a_hull_form_take_about_a_second():
    """0.7 s of one processor where this was written; four are allowed, for slower machines."""
    record = from_document(TestRecord, json.loads((SIMULATED / "ship-21.record.json").read_text()))
    reduced = work_out(record)
    run, _ = prepare_run(reduced.test, reduced.outcome, reduced.source, reduced.best, None)
    start = time.process_time()
    assert simulate(run, 100_000, 1).draws == 100_000
    assert time.process_time() - start < 4.0


def test_no_doubts_are_worked_out_where_none_are_wanted():
    reduced = work_out(box_record())
    assert assess(reduced.test, reduced.outcome, reduced.source, reduced.best, None, Wanted("none")) is None


def test_a_shell_allowance_enlarges_the_ship_and_leaves_gm_and_kg_of_both_methods_together():
    """The allowance scales volume and its moments alike, so the centre of buoyancy moves as without it."""
    record = box_record()
    hull = replace(record.vessel.hull, shell_allowance_relative=0.01)
    thick = reduce_record(replace(record, vessel=replace(record.vessel, hull=hull)), uncertainty="none")
    bare = reduce_record(record, uncertainty="none")
    assert thick.as_inclined.km_t_m == pytest.approx(bare.as_inclined.km_t_m, rel=1e-9)
    assert thick.as_inclined.displacement_t == pytest.approx(1.01 * bare.as_inclined.displacement_t, rel=1e-9)
    gap = thick.heeled_equilibrium.gm_fluid_m - thick.small_angle.gm_fluid_m
    assert gap == pytest.approx(bare.heeled_equilibrium.gm_fluid_m - bare.small_angle.gm_fluid_m, abs=1e-4)
