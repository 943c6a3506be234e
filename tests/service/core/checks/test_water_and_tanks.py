"""Density of the water and condition of the tanks."""

from __future__ import annotations

from typing import Any

import pytest
from heelwright_service.core.checks.pairs import are_pair, base_and_side, contents_kind, units
from heelwright_service.core.record import SoundingPipe, Tank

from .records import LENGTH_M, Document, box_tank, changed, check, clean, judged, statuses, survey


def with_samples(*densities: float, depth_m: float | None = 2.0, basis: str = "vacuum") -> Document:
    samples: list[dict[str, Any]] = [{"density_t_per_m3": density} for density in densities]
    if depth_m is not None:
        samples = [{**sample, "depth_m": depth_m} for sample in samples]
    return changed(clean(), "water", to={"samples": samples, "density_basis": basis})


def sounded(index: int, **values: object) -> Document:
    """The record with one of its soundings changed."""
    record = clean()
    record["soundings"][index].update(values)
    return record


def slack_pair(port_m: float, starboard_m: float) -> Document:
    record = sounded(1, state="slack", sounding_m=port_m)
    record["soundings"][2].update(state="slack", sounding_m=starboard_m)
    return record


def tank(
    name: str, y_m: float = 0.0, x_m: float = 10.0, capacity_m3: float = 20.0, contents: str | None = None
) -> Tank:
    return Tank(name, capacity_m3, SoundingPipe(x_m, y_m, 0.0), [], contents)


def test_one_sample_is_too_few_for_a_large_ship() -> None:
    found = check(with_samples(1.025), "R-10")
    assert (found.status, found.value, found.limit) == ("warn", 1, 3)


def test_samples_from_the_surface_are_doubted_towards_the_unsafe_side() -> None:
    found = check(with_samples(1.025, 1.025, 1.025, depth_m=0.4), "R-09")
    assert (found.status, found.side) == ("warn", "unsafe")


def test_samples_without_depth_are_not_assessed() -> None:
    assert check(with_samples(1.025, 1.025, 1.025, depth_m=None), "R-09").status == "not-assessed"


def test_one_sample_without_depth_among_others_is_counted() -> None:
    record = with_samples(1.025, 1.025, 1.025)
    del record["water"]["samples"][1]["depth_m"]
    assert "1 sample without a depth" in check(record, "R-09").text


def test_a_reading_beyond_the_hydrometer_asks_for_another() -> None:
    found = check(with_samples(0.9985, 0.9985, 0.9985), "R-12")
    assert found.status == "warn"
    assert "A second instrument was needed" in found.text


@pytest.mark.parametrize(("density", "again"), [(1.031, False), (1.034, True), (0.997, False), (0.994, True)])
def test_unusual_densities_warn_and_unheard_ones_are_measured_again(density: float, again: bool) -> None:
    found = check(with_samples(density, density, density), "R-17")
    assert found.status == "warn"
    assert ("Measure it again" in found.text) is again


def test_layers_show_as_a_spread() -> None:
    assert check(with_samples(1.020, 1.025, 1.025), "R-17-spread").status == "warn"
    assert check(with_samples(1.0235, 1.025, 1.025), "R-17-spread").status == "pass"


def test_a_mix_up_of_the_glass_is_priced_in_tonnes() -> None:
    # Δ·(1 − ρ_app/ρ) with ρ_app = (ρ − 0.0012)/(1 − 0.0012/8) (OIML D 28): 2500 t · 0.00102 = 2.55 t
    told = [c for c in judged(clean()).cautions if "in vacuum" in c]
    assert len(told) == 1
    assert told[0].startswith("Unsafe side: ")
    assert "2.55" in told[0]
    in_air = [c for c in judged(with_samples(1.025, 1.025, 1.025, basis="air")).cautions if "read in air" in c]
    assert len(in_air) == 1
    assert not in_air[0].startswith("Unsafe")


def test_two_slack_units_of_one_liquid_fail_and_a_pair_is_one_unit() -> None:
    pair = slack_pair(0.5, 0.6)
    assert check(pair, "K-02").status == "pass"
    pair["soundings"][3].update(state="slack", sounding_m=0.6)
    found = check(pair, "K-02")
    assert (found.status, found.value, found.limit) == ("fail", 2, 1)
    assert "wb" in found.text


def test_contents_tell_the_kind_before_the_name_does() -> None:
    record = slack_pair(0.5, 0.6)
    record["soundings"][3].update(state="slack", sounding_m=0.6)
    record["vessel"]["tanks"][3]["contents"] = "fuel"
    assert check(record, "K-02").status == "pass"


@pytest.mark.parametrize(("sounding_m", "status"), [(0.3, "warn"), (0.4, "pass"), (1.6, "pass"), (1.7, "warn")])
def test_a_deep_tank_is_slack_between_20_and_80_percent(sounding_m: float, status: str) -> None:
    assert check(sounded(0, sounding_m=sounding_m), "K-03").status == status


@pytest.mark.parametrize(("sounding_m", "status"), [(0.45, "warn"), (0.6, "pass"), (0.75, "warn")])
def test_a_double_bottom_tank_is_slack_between_40_and_60_percent(sounding_m: float, status: str) -> None:
    # told by its crown at 1.2 m, below a quarter of the depth of 8 m
    assert check(sounded(1, state="slack", sounding_m=sounding_m), "K-04").status == status


def test_equal_levels_in_a_pair_warn_of_an_open_connection() -> None:
    assert check(slack_pair(0.60, 0.605), "K-07").status == "warn"
    assert check(slack_pair(0.60, 0.65), "K-07").status == "pass"


def test_levels_are_compared_against_the_sea_and_not_the_ship() -> None:
    # listed 0.3° to starboard, an open connection shows 6 m·tan 0.3° = 31 mm more to starboard
    record = slack_pair(0.600, 0.600 + 6.0 * 0.005236)
    for board in record["freeboards"]:
        board["reading_m"] -= 0.005236 * board["y_m"]
    assert check(record, "K-07").status == "warn"


@pytest.mark.parametrize(("sounding_m", "status"), [(1.94, "pass"), (1.96, "fail"), (1.99, "fail")])
def test_a_slack_tank_from_98_percent_is_neither_full_nor_slack(sounding_m: float, status: str) -> None:
    assert check(sounded(0, sounding_m=sounding_m), "K-08").status == status


def test_a_pressed_tank_sounded_short_fails_and_so_does_an_empty_one_with_liquid() -> None:
    pressed = check(sounded(3, sounding_m=1.15), "K-08-pressed")
    assert (pressed.status, pressed.side) == ("fail", "safe")
    assert pressed.value == pytest.approx(50.0)
    empty = check(sounded(1, sounding_m=0.05), "K-01-empty")
    assert (empty.status, empty.side) == ("fail", "unsafe")
    assert empty.value == pytest.approx(50.0)


def test_soundings_within_their_uncertainty_do_not_contradict() -> None:
    found = statuses(sounded(3, sounding_m=1.195))
    assert found["K-08-pressed"] == "pass"


def test_assumed_states_are_never_accepted() -> None:
    found = check(sounded(2, evidence="assumed"), "K-10")
    assert (found.status, found.value) == ("warn", 1)
    assert "WB 2S" in found.text
    assert check(sounded(2, evidence=None), "K-10").status == "not-assessed"


def test_a_tank_nobody_mentions_is_named_towards_the_unsafe_side() -> None:
    record = changed(clean(), "soundings", to=clean()["soundings"][:-1])
    found = check(record, "RP-03")
    assert (found.status, found.side) == ("fail", "unsafe")
    assert "WB 3S" in found.text
    assert any(c.startswith("Unsafe side: no condition is stated for WB 3S") for c in judged(record).cautions)


def test_slack_fuel_draws_a_caution_about_cold() -> None:
    record = clean()
    record["vessel"]["tanks"][0]["contents"] = "heavy fuel"
    assert any("Cold viscous liquid" in c for c in judged(record).cautions)
    assert not any("Cold viscous liquid" in c for c in judged(clean()).cautions)


def test_a_surface_that_meets_the_bottom_pockets_towards_the_unsafe_side() -> None:
    # 6 m broad at 1.736°: the surface rises 91 mm at the side, more than 60 mm of liquid
    found = check(sounded(0, sounding_m=0.06), "K-05")
    assert (found.status, found.side) == ("warn", "unsafe")
    assert "falls" in found.text


def test_pocketing_by_the_shape_agrees_with_pocketing_by_the_table() -> None:
    shaped = sounded(0, sounding_m=0.06)
    contour = [[0.0, 0.5], [3.0, 0.5], [3.0, 2.5]]
    shaped["vessel"]["tanks"][0]["geometry"] = {"stations": [{"x_m": x, "contour_m": contour} for x in (15.0, 25.0)]}
    by_shape, by_table = check(shaped, "K-05"), check(sounded(0, sounding_m=0.06), "K-05")
    assert by_shape.status == by_table.status == "warn"
    assert by_shape.side == by_table.side == "unsafe"
    assert "by its shape" in by_shape.text


def test_a_rectangular_tank_at_half_height_keeps_its_moment_by_either_way() -> None:
    shaped = clean()
    contour = [[0.0, 0.5], [3.0, 0.5], [3.0, 2.5]]
    shaped["vessel"]["tanks"][0]["geometry"] = {"stations": [{"x_m": x, "contour_m": contour} for x in (15.0, 25.0)]}
    assert check(shaped, "K-05").value == pytest.approx(0.0, abs=0.1)
    assert check(clean(), "K-05").value == pytest.approx(0.0, abs=1e-9)


def test_a_survey_has_no_range_of_heel() -> None:
    assert "K-05" not in statuses(survey())


@pytest.mark.parametrize(
    ("one", "other", "paired"),
    [
        (tank("FO 1P"), tank("FO 1S"), True),
        (tank("FO 1P"), tank("FO 2S"), False),
        (tank("Ballast 3 port"), tank("Ballast 3 starboard"), True),
        (tank("Wing A", -3.0), tank("Wing B", 3.0), True),
        (tank("Wing A", -3.0), tank("Wing B", 3.0, capacity_m3=30.0), False),
        (tank("Stores"), tank("Storep"), False),
    ],
)
def test_pairs_are_told_by_name_or_by_mirrored_pipes(one: Tank, other: Tank, paired: bool) -> None:
    assert are_pair(one, other) is paired
    assert are_pair(other, one) is paired


def test_every_tank_belongs_to_one_unit() -> None:
    tanks = [tank("FO 1P"), tank("FW 1"), tank("FO 1S"), tank("FO 2P")]
    assert [[each.name for each in unit] for unit in units(tanks)] == [["FO 1P", "FO 1S"], ["FW 1"], ["FO 2P"]]


def test_a_name_without_a_side_has_none() -> None:
    assert base_and_side("Fuel day tank") is None
    assert contents_kind(tank("x", contents=" Lube oil ")) == "lube oil"


def test_the_test_tank_holds_what_its_table_says() -> None:
    assert box_tank("t", 0.0, 0.0, 0.0, 2.0, 10.0, 6.0)["capacity_m3"] == 120.0


def test_a_pocket_made_by_the_trim_is_told_where_no_shape_is_given() -> None:
    """20 mm at the pipe amidships of a tank of 10 m: trim of 5 mm a metre uncovers one end."""
    record = clean()
    record["soundings"][0]["sounding_m"] = 0.02
    for board in record["freeboards"]:
        board["reading_m"] += 0.005 * (board["x_m"] - 0.5 * LENGTH_M)
    told = [text for text in judged(record).cautions if "meets the bottom or the crown" in text]
    assert len(told) == 1
    assert "FW 1" in told[0]
    assert not any("meets the bottom or the crown" in text for text in judged(clean()).cautions)


def test_a_salinity_given_in_kg_per_kg_is_doubted_towards_the_unsafe_side() -> None:
    """0.035 for 35 makes sea water fresh: 1.0259 against 0.9991 t/m³ at 15 °C, 2.6 % of the displacement."""

    def told(*salinities: float) -> bool:
        probes = [{"practical_salinity": s, "temperature_c": 15.0, "depth_m": 2.0} for s in salinities]
        record = changed(clean(), "water", to={"samples": [], "probe_samples": probes})
        return any(c.startswith("Unsafe side: a practical salinity of 0.035") for c in judged(record).cautions)

    assert told(0.035, 0.035, 0.036)
    assert not told(35.0, 35.0, 35.0)
    assert not told(0.3, 0.3, 0.3)


def test_a_temperature_that_changes_no_density_is_told() -> None:
    """Fuel of 991 kg/m³ at 15 °C has 960 at 60 °C: a temperature alone carries it nowhere."""

    def told(**values: Any) -> bool:
        record = sounded(1, state="slack", sounding_m=0.8, density_t_per_m3=0.991, **values)
        return any("was not used" in caution for caution in judged(record).cautions)

    assert told(temperature_c=60.0)
    assert not told()
    assert not told(temperature_c=60.0, density_measured_at_c=15.0, liquid="fuel")
