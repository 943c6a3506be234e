"""Slips of rolling, weighing and swinging, each by a hand calculation: what is named, refused or rightly left alone."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from heelwright_service.core.errors import CoreError
from heelwright_service.core.other_ways import air_inclining, in_air, roll_period, weighing
from heelwright_service.core.record import IncliningWeight, Instrument, Reading, State
from scipy.optimize import brentq

Array = np.ndarray


# --- roll period: a pendulum of its own kind, I·φ″ = −Δ·g·GM·φ, so T = 2π·k/√(g·GM)


def test_gm_of_a_period_has_the_gyradius_of_its_coefficient() -> None:
    """With T in seconds f = 2π·k/(B·√g): f = 0.85 is a gyradius, added mass included, of 0.424·B."""
    breadth, gm, k = 5.0, 0.9, 0.85 * math.sqrt(9.80665) / (2.0 * math.pi) * 5.0
    period = 2.0 * math.pi * k / math.sqrt(9.80665 * gm)
    assert k / breadth == pytest.approx(0.424, abs=5e-4)
    found = roll_period.gm_from_roll_period(breadth, [12 * period], [12])
    assert found.gm_m == pytest.approx(gm, rel=1e-9)
    assert len(found.cautions) == 1


def test_half_oscillations_counted_whole_are_named_for_the_unsafe_side() -> None:
    """Counting every swing doubles the number, halves T and makes GM four times as large: 2.89 m of 0.7225 m."""
    found = roll_period.gm_from_roll_period(4.0, [40.0], [20])
    assert found.gm_m == pytest.approx(4.0 * 0.7225)
    assert any("more than half the breadth" in caution for caution in found.cautions)


def test_a_coefficient_of_another_equation_is_named() -> None:
    """T = 2·C·B/√GM has C = 0.373 to about 0.4 (2008 IS Code part A, 2.3): as f it would give a quarter of GM."""
    found = roll_period.gm_from_roll_period(4.0, [40.0], [10], 0.4)
    assert any("T = 2·C·B/√GM" in caution for caution in found.cautions)


def test_runs_that_disagree_by_a_miscount_are_named() -> None:
    found = roll_period.gm_from_roll_period(4.0, [40.0, 40.0], [10, 8])
    assert any("4.00 to 5.00 s" in caution for caution in found.cautions)


# --- load cells: forces and moments of a rigid body

LEVEL = [weighing.LoadCell(2.0, -1.0, 3.0), weighing.LoadCell(2.0, 1.0, 3.0), weighing.LoadCell(8.0, 0.0, 4.0)]


def cautions(cells: list[weighing.LoadCell], tares: list[weighing.Tare] | None = None) -> list[str]:
    return weighing.weighing_cautions(cells, weighing.weigh(cells, tares or []))


def test_a_plain_weighing_says_no_more_than_that_she_lies_level() -> None:
    assert len(cautions(LEVEL)) == 1


@pytest.mark.parametrize("trim_deg", [1.0, -2.0])
def test_a_tilt_shifts_the_weighed_centre_by_the_height_times_its_tangent(trim_deg: float) -> None:
    """Hooks 2.4 m above G, 6 m apart along her; trimmed, their loads balance about the plumb line through G."""
    mass, g, hooks, above = 10.0, 4.4, (2.0, 8.0), 2.4
    angle = math.radians(trim_deg)
    arms = [(x - g) * math.cos(angle) - above * math.sin(angle) for x in hooks]
    fore = mass * -arms[0] / (arms[1] - arms[0])
    found = weighing.weigh([weighing.LoadCell(2.0, 0.0, mass - fore), weighing.LoadCell(8.0, 0.0, fore)])
    assert found.lcg_m - g == pytest.approx(above * math.tan(angle), abs=1e-9)


@pytest.mark.parametrize(
    ("cells", "tares", "words"),
    [
        ([*LEVEL[:2], replace(LEVEL[2], load_t=4000.0)], [], "read in tonnes and that each"),
        ([*LEVEL[:2], replace(LEVEL[2], load_t=0.0)], [], "read in tonnes and that each"),
        ([replace(cell, load_t=1000.0 * cell.load_t) for cell in LEVEL], [], "not kg"),
        (LEVEL, [weighing.Tare(1.0, 50.0, 0.0)], "LCG lies outside"),
        (LEVEL, [weighing.Tare(1.0, 5.0, 12.0)], "TCG lies outside"),
        ([replace(cell, y_m=0.0) for cell in LEVEL], [], "on one line"),
    ],
)
def test_loads_and_places_that_no_standing_craft_gives_are_named(
    cells: list[weighing.LoadCell], tares: list[weighing.Tare], words: str
) -> None:
    assert any(words in caution for caution in cautions(cells, tares))


# --- a swing in air

HOOKS = air_inclining.Hooks(2.0, 5.0, 8.0, 5.6, 5.0)


def swung(
    mass_t: float = 10.05,
    pivot_z_m: float | None = 4.0,
    hooks: air_inclining.Hooks | None = None,
    deflection_mm: float = 8.0,
) -> air_inclining.AirInclining:
    """50 kg of 10.05 t moved by 1 m either way at 2.7 m, read on a pendulum of 2 m."""
    places = (1.0, 2.0, 1.0, 0.0, 1.0)
    request = air_inclining.AirIncliningRequest(
        mass_t,
        [IncliningWeight("A", 0.05)],
        [State(i, {"A": (4.0, y, 2.7)}) for i, y in enumerate(places)],
        [Instrument("P", "pendulum", 2.0)],
        [Reading(i, "P", value_mm=deflection_mm * (y - 1.0)) for i, y in enumerate(places)],
        pivot_z_m=pivot_z_m,
        hooks=hooks,
    )
    return air_inclining.reduce_air_inclining(request)


def shown_tangent(slope: float, trim_rad: float, below_m: float, shift_m: float) -> float:
    """What a pendulum in the craft shows, by the torque of gravity about a line through both hooks, in her own axes."""
    axis = np.array([math.cos(math.atan(slope)), 0.0, math.sin(math.atan(slope))])
    at_rest = np.array([-math.sin(trim_rad), 0.0, -math.cos(trim_rad)])
    centre = np.array([0.0, shift_m, -below_m])

    def gravity(angle: float) -> Array:
        c, s = math.cos(angle), math.sin(angle)
        return at_rest * c - np.cross(axis, at_rest) * s + axis * float(axis @ at_rest) * (1.0 - c)

    def torque(angle: float) -> float:
        return float(axis @ np.cross(centre, gravity(angle)))

    down = gravity(brentq(torque, -0.5, 0.5, xtol=1e-14))
    return float(down[1] / -down[2])


@pytest.mark.parametrize("slope", [0.0, 0.1, 0.3])
def test_unequal_hooks_do_not_matter_while_she_hangs_level(slope: float) -> None:
    """The line's slope lengthens the turn and shortens what a pendulum across shows of it, by the same cosine."""
    assert 0.005 / shown_tangent(slope, 0.0, 2.75, 0.005) == pytest.approx(2.75, rel=1e-5)


def test_trim_while_hanging_in_unequal_hooks_costs_what_the_caution_says() -> None:
    level = swung(pivot_z_m=None, hooks=HOOKS)
    below = level.below_pivot_m
    trimmed = 0.005 / shown_tangent(0.1, math.radians(1.0), below, 0.005)
    cost = f"{1000.0 * abs(trimmed - below):.0f} mm"
    assert cost == "2 mm"
    assert any("level fore and aft" in caution and cost in caution for caution in level.cautions)
    even = replace(HOOKS, fwd_z_m=HOOKS.aft_z_m)
    assert len(swung(pivot_z_m=None, hooks=even).cautions) == 1
    assert 0.005 / shown_tangent(0.0, math.radians(3.0), below, 0.005) == pytest.approx(below, rel=1e-5)


def test_a_plain_swing_gives_the_centre_of_the_hand_calculation_and_one_caution() -> None:
    """tan φ = w·d/(W·h): h = 0.05/(10.05·0.004) = 1.2438 m; less the weight at 2.7 m, (10.05·2.7562 − 0.135)/10."""
    found = swung()
    assert found.below_pivot_m == pytest.approx(0.05 / (10.05 * 0.004), abs=1e-9)
    assert found.vcg_m == pytest.approx((10.05 * (4.0 - 0.05 / (10.05 * 0.004)) - 0.135) / 10.0, abs=1e-9)
    assert len(found.cautions) == 1


def test_a_swinging_mass_in_kilograms_is_named() -> None:
    """It hangs her a thousand times closer below the pivot: 1.2 mm, and her centre 1.2 m too high."""
    found = swung(mass_t=10050.0)
    assert any("in tonnes" in caution for caution in found.cautions)


def test_a_centre_below_the_baseline_is_named_for_the_unsafe_side() -> None:
    found = swung(pivot_z_m=1.0)
    assert found.vcg_m < 0.0
    assert any(caution.startswith("Unsafe side") for caution in found.cautions)


@pytest.mark.parametrize("lcg_m", [1.9, 8.1, 50.0])
def test_a_craft_cannot_hang_in_two_hooks_that_her_centre_is_not_between(lcg_m: float) -> None:
    """The line through the hooks would be carried on beyond them: at x = 50 m its height is 9.8 m, not 5.3."""
    with pytest.raises(CoreError) as caught:
        swung(pivot_z_m=None, hooks=replace(HOOKS, lcg_m=lcg_m))
    assert (caught.value.code, caught.value.pointer) == ("centre-outside-hooks", "/hooks/lcg_m")
    assert in_air.pivot_height_m(8.0, 5.6, 2.0, 5.0, 5.0) == pytest.approx(5.3)
