"""Liquids aboard: what a sounding means in a tilted tank, which density it has, how it moves with the heel."""

import doctest
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from heelwright_service.core import liquids, tank_layers
from heelwright_service.core.errors import CoreError
from heelwright_service.core.hull import Hull
from heelwright_service.core.liquids import density_in_tank_t_per_m3, shift_moments, sounded_tanks
from heelwright_service.core.planes import Planes
from heelwright_service.core.record import HullDocument, Sounding, SoundingPipe, Station, Tank, TankRow
from heelwright_service.core.tank_shapes import shape_moments, shape_volume_m3

from tests.support.simulator import Options, simulate
from tests.support.simulator.liquids import level_of_volume

LENGTH = 50.0
LONG, WIDE, HIGH = 8.0, 5.0, 2.0
X, Y, LOW = 20.0, 3.5, 0.6
AREA = LONG * WIDE


def test_examples_in_the_documentation_run() -> None:
    assert doctest.testmod(liquids).failed == 0
    assert doctest.testmod(tank_layers).failed == 0


def box_shape(y_m: float = Y) -> HullDocument:
    ring = [(y_m - WIDE / 2, LOW), (y_m + WIDE / 2, LOW), (y_m + WIDE / 2, LOW + HIGH), (y_m - WIDE / 2, LOW + HIGH)]
    return HullDocument([Station(X - LONG / 2, ring), Station(X + LONG / 2, ring)])


def box_tank(pipe: tuple[float, float] = (X, Y), shape: bool = False, zero_m: float = LOW) -> Tank:
    rows = [
        TankRow(LOW - zero_m + s, AREA * s, X, Y, LOW + s / 2, LONG * WIDE**3 / 12, LONG**3 * WIDE / 12)
        for s in np.linspace(0.0, HIGH, 9).tolist()
    ]
    return Tank("WB 1", AREA * HIGH, SoundingPipe(*pipe, zero_m), rows, geometry=box_shape() if shape else None)


def contents(tank: Tank, sounding: Sounding, planes: Planes) -> list[float]:
    found = sounded_tanks([tank], [sounding])[0].contents(np.zeros(len(planes)), planes)
    return [float(value) for value in found[0]]


def slack(sounding_m: float, **more: Any) -> Sounding:
    return Sounding("WB 1", "slack", 1.025, sounding_m, **more)


def planes(slope_x: float = 0.0, slope_y: float = 0.0) -> Planes:
    return Planes(np.array([3.0]), np.array([slope_x]), np.array([slope_y]), np.zeros(1), LENGTH)


@pytest.mark.parametrize(("slope_x", "slope_y"), [(0.0, 0.0), (0.01, 0.0), (0.0, -0.02), (-0.008, 0.015)])
def test_a_pipe_off_the_middle_is_read_with_trim_and_list(slope_x: float, slope_y: float) -> None:
    """The surface is parallel to the sea and passes through the level at the tank's middle (a box: exactly)."""
    pipe = (X - 3.6, Y + 2.1)
    shown = 0.9 + slope_x * (pipe[0] - X) + slope_y * (pipe[1] - Y)
    found = contents(box_tank(pipe), slack(shown), planes(slope_x, slope_y))
    assert found[0] == pytest.approx(AREA * 0.9, rel=1e-12)
    assert found[1:4] == pytest.approx([X, Y, LOW + 0.45])


WEDGE_M3 = 0.5 * 0.024 * 2.4 * WIDE
"""Aft trim of 0.01 and 20 mm at 0.4 m from the end: 24 mm at the end, run out after 2.4 m."""


def test_a_puddle_at_the_low_end_is_the_wedge_that_the_shape_holds() -> None:
    """The table alone sees a level below the bottom and no liquid at all."""
    pipe, trimmed = (X - 3.6, Y), planes(slope_x=-0.01)
    assert contents(box_tank(pipe, shape=True), slack(0.02), trimmed)[0] == pytest.approx(WEDGE_M3, rel=1e-6)
    assert contents(box_tank(pipe), slack(0.02), trimmed)[0] == 0.0


def test_an_air_pocket_at_the_high_end_is_the_wedge_that_the_shape_lacks() -> None:
    pipe, trimmed = (X + 3.6, Y), planes(slope_x=-0.01)
    ullage = Sounding("WB 1", "slack", 1.025, ullage_m=0.02)
    held = AREA * HIGH - WEDGE_M3
    assert contents(box_tank(pipe, shape=True), ullage, trimmed)[0] == pytest.approx(held, rel=1e-6)


def test_a_shape_changes_nothing_while_the_surface_meets_neither_end() -> None:
    pipe, tilted = (X - 3.6, Y + 2.1), planes(-0.008, 0.015)
    plain, shaped = (contents(box_tank(pipe, shape=with_shape), slack(0.9), tilted) for with_shape in (False, True))
    assert shaped == pytest.approx(plain, rel=1e-9)


def test_the_zero_of_the_pipe_may_stand_above_the_bottom() -> None:
    found = contents(box_tank(zero_m=LOW + 0.05), slack(0.85), planes())
    assert found[0] == pytest.approx(AREA * 0.9)


def test_an_ullage_counts_down_from_the_end_of_the_table() -> None:
    sounding = Sounding("WB 1", "slack", 1.025, ullage_m=1.1)
    assert contents(box_tank(), sounding, planes())[0] == pytest.approx(AREA * 0.9)


def test_empty_pressed_and_slack_are_told_apart_whatever_the_table_says_of_a_surface() -> None:
    empty = contents(box_tank(), Sounding("WB 1", "empty", 1.025), planes())
    pressed = contents(box_tank(), Sounding("WB 1", "pressed", 1.025, HIGH), planes())
    assert empty[0] == 0.0
    assert pressed[0] == AREA * HIGH
    assert empty[4:] == pressed[4:] == [0.0, 0.0]
    assert contents(box_tank(), slack(0.9), planes())[4] == pytest.approx(LONG * WIDE**3 / 12)


@pytest.mark.parametrize("tangent", [0.02, -0.04])
def test_vertical_sides_shift_alike_by_table_and_by_shape(tangent: float) -> None:
    """M_y = ρ·i_T·tan φ and M_z = half of it times tan φ: exact for a box whose surface meets neither end."""
    expected = 1.025 * LONG * WIDE**3 / 12 * np.array([tangent, 0.5 * tangent**2])
    for shaped in (False, True):
        tanks = sounded_tanks([box_tank(shape=shaped)], [slack(0.9)])
        inside = tanks[0].contents(np.zeros(1), planes())[:, None]
        across, upward = shift_moments(tanks, inside, planes(), np.array([[tangent]]))
        assert [across[0, 0], upward[0, 0]] == pytest.approx(expected.tolist(), rel=1e-9)


def test_a_surface_that_meets_the_bottom_shifts_as_a_wedge() -> None:
    """20 mm in the box at 2°: a triangle of area 0.02·5 m² under the slope, its corner at the low side."""
    tangent = float(np.tan(np.radians(2.0)))
    shape = Hull.of_tank(box_shape(), "")
    volume = AREA * 0.02
    base = np.sqrt(2.0 * 0.02 * WIDE / tangent)
    found = shape_moments(shape, volume, 0.0, np.array([tangent]))[0]
    assert base < WIDE
    assert found[1] / volume == pytest.approx(Y + WIDE / 2 - base / 3.0, rel=1e-9)
    assert found[2] / volume == pytest.approx(LOW + base * tangent / 3.0, rel=1e-9)


@pytest.mark.parametrize("family", ["box_barge", "round_bilge", "catamaran"])
def test_tanks_off_the_centreline_hold_and_shift_what_the_simulator_says(family: str) -> None:
    """A tank's contour off the centreline closes on itself at its own y, port or starboard, and is not mirrored.

    A tank of more than two stations is smooth through them here and ruled between them in the simulator.
    """
    test = simulate(family, 141, options=Options(refine=1, coarse=4, tank_geometry=True))
    shapes = {tank["name"]: tank["geometry"]["stations"] for tank in test.record["vessel"]["tanks"]}
    tangents = np.array([-0.05, 0.0, 0.03])
    for liquid in test.day.ship.liquids:
        stations = [Station(s["x_m"], [tuple(p) for p in s["contour_m"]]) for s in shapes[liquid.tank.name]]
        shape = Hull.of_tank(HullDocument(stations), "")
        mesh, volume = liquid.tank.shape, 0.37 * liquid.tank.shape.volume_m3
        ruled = len(stations) == 2
        assert shape_volume_m3(shape) == pytest.approx(mesh.volume_m3, rel=1e-6 if ruled else 4e-3)
        expected = [level_of_volume(mesh, volume, 0.004, float(t))[1].moments_m4 for t in tangents]
        found = shape_moments(shape, volume, 0.004, tangents)
        assert found / volume == pytest.approx(np.array(expected) / volume, abs=1e-5 if ruled else 5e-3)


def test_a_tank_on_the_centreline_is_mirrored_like_a_hull() -> None:
    half = [(0.0, 0.5), (2.0, 0.5), (2.0, 2.5)]
    shape = Hull.of_tank(HullDocument([Station(10.0, half), Station(15.0, half)]), "")
    assert shape_volume_m3(shape) == pytest.approx(4.0 * 2.0 * 5.0)


def test_a_shape_without_volume_is_refused() -> None:
    flat = [(1.0, 0.5), (2.0, 0.5), (3.0, 0.5)]
    tank = replace(box_tank(), geometry=HullDocument([Station(10.0, flat), Station(15.0, flat)]))
    with pytest.raises(CoreError) as caught:
        sounded_tanks([tank], [slack(0.9)])
    assert (caught.value.code, caught.value.pointer) == ("tank-shape-empty", "/vessel/tanks/0/geometry")


def fuel(**more: Any) -> Sounding:
    return Sounding("WB 1", "slack", 0.991, 0.9, **more)


def test_fuel_is_carried_to_the_temperature_of_its_tank() -> None:
    """Fuel of 991.0 kg/m³ at 15 °C has 967.22 kg/m³ at 50 °C by the equation of ASTM D 1250 (1980), table 54B."""
    warm = fuel(liquid="fuel", density_measured_at_c=15.0, temperature_c=50.0)
    assert density_in_tank_t_per_m3(warm) == pytest.approx(0.96722, abs=5e-6)
    found = sounded_tanks([box_tank()], [warm])[0]
    assert found.sounding.density_t_per_m3 == pytest.approx(0.96722, abs=5e-6)


def test_oil_measured_warm_and_lying_as_warm_keeps_its_density() -> None:
    for liquid in ("fuel", "lubricating-oil"):
        same = fuel(liquid=liquid, density_measured_at_c=40.0, temperature_c=40.0)
        assert density_in_tank_t_per_m3(same) == pytest.approx(0.991, abs=1e-9)


def test_water_keeps_its_salinity_on_the_way() -> None:
    sea = Sounding("WB 1", "slack", 1.0250, 0.9, liquid="water", density_measured_at_c=20.0, temperature_c=10.0)
    assert density_in_tank_t_per_m3(sea) == pytest.approx(1.02719, abs=1e-5)


def test_a_stated_density_is_that_in_the_tank() -> None:
    assert density_in_tank_t_per_m3(fuel()) == 0.991
    assert density_in_tank_t_per_m3(Sounding("WB 1", "slack", 1.0, 0.9, liquid="water", temperature_c=8.0)) == 1.0


@pytest.mark.parametrize(
    ("more", "absent"),
    [
        ({"density_measured_at_c": 15.0}, "temperature_c"),
        ({"density_measured_at_c": 15.0, "temperature_c": 40.0}, "liquid"),
        ({"temperature_c": 40.0, "liquid": "fuel"}, "density_measured_at_c"),
    ],
)
def test_half_a_temperature_correction_is_refused(more: dict[str, Any], absent: str) -> None:
    with pytest.raises(CoreError) as caught:
        sounded_tanks([box_tank()], [fuel(**more)])
    assert caught.value.code == "liquid-temperature-incomplete"
    assert caught.value.pointer == f"/soundings/0/{absent}"


def test_a_density_that_no_fuel_has_is_named_in_the_record() -> None:
    heavy = Sounding("WB 1", "slack", 1.5, 0.9, liquid="fuel", density_measured_at_c=15.0, temperature_c=40.0)
    with pytest.raises(CoreError) as caught:
        sounded_tanks([box_tank()], [heavy])
    assert caught.value.pointer == "/soundings/0/density_t_per_m3"


@pytest.mark.parametrize(
    ("sounding", "code", "pointer"),
    [
        (Sounding("WB 9", "slack", 1.0, 0.9), "tank-unknown", "/soundings/0/tank"),
        (Sounding("WB 1", "slack", 1.0), "sounding-missing", "/soundings/0/sounding_m"),
        (Sounding("WB 1", "slack", 1.0, 0.9, 1.1), "sounding-ambiguous", "/soundings/0/ullage_m"),
        (slack(2.3), "sounding-outside-table", "/soundings/0/sounding_m"),
    ],
)
def test_a_sounding_that_tells_nothing_is_refused(sounding: Sounding, code: str, pointer: str) -> None:
    with pytest.raises(CoreError) as caught:
        sounded_tanks([box_tank()], [sounding])
    assert (caught.value.code, caught.value.pointer) == (code, pointer)


def test_a_tank_is_sounded_once() -> None:
    with pytest.raises(CoreError) as caught:
        sounded_tanks([box_tank()], [slack(0.9), slack(0.8)])
    assert (caught.value.code, caught.value.pointer) == ("tank-sounded-twice", "/soundings/1/tank")


def trough(levels: int, decimals: int = 12) -> Tank:
    """Ten metres of a trough from the centreline to y = z: V = 5·h², its centre at h/3, its surface h wide."""
    rows = [
        TankRow(
            h, 5.0 * h**2, 15.0, round(h / 3.0, decimals), round(2.0 * h / 3.0, decimals), 10.0 * h**3 / 12.0, 833.3
        )
        for h in np.linspace(0.0, 3.0, levels)
    ]
    return Tank("WB 1", 45.0, SoundingPipe(15.0, 0.2, 0.0), rows)


@pytest.mark.parametrize(("levels", "decimals"), [(31, 12), (31, 2), (121, 2)])
@pytest.mark.parametrize("list_deg", [-2.0, 0.5, 2.0])
def test_a_listed_trough_holds_what_a_triangle_tells(levels: int, decimals: int, list_deg: float) -> None:
    """Under z = c + s·y a trough y <= z holds the triangle (0,0), (0,c), (d,d), d = c/(1 − s): V = 5·c²/(1 − s).

    The level is taken at the middle of the surface, h/2 out; at the centre of the water, h/3 out, V was 1.2 % short at
    2° of list. What is left is of second order, s²/4, and the rounding of the table.
    """
    slope, at_side = float(np.tan(np.radians(list_deg))), 2.0
    tank = sounded_tanks([trough(levels, decimals)], [slack(at_side + slope * 0.2)])[0]
    true = 5.0 * at_side**2 / (1.0 - slope)
    assert tank.contents(np.zeros(1), planes(slope_y=slope))[0, 0] == pytest.approx(true, rel=1.5e-3)
    assert tank.volume_at_m3(tank.level_m, 0.0, slope, "") == pytest.approx(true, rel=1.5e-3)


def test_a_slip_in_one_row_does_not_throw_the_surface_out_of_its_tank() -> None:
    good = trough(31)
    rows = [replace(row, y_m=20.0) if i == 20 else row for i, row in enumerate(good.table)]
    tank = sounded_tanks([replace(good, table=rows)], [slack(1.8)])[0]
    middle = tank.middle_m(1.8, 0.0, float(np.tan(np.radians(0.5))))
    assert middle == pytest.approx(1.8, abs=0.02)


def test_soundings_that_nearly_coincide_are_refused_with_the_table_named() -> None:
    tank = box_tank()
    rows = [replace(row, sounding_m=sounding) for row, sounding in zip(tank.table, (0.0, 1e-200), strict=False)]
    with pytest.raises(CoreError) as caught:
        sounded_tanks([replace(tank, table=rows)], [slack(0.0)])
    assert (caught.value.code, caught.value.pointer) == ("tank-table-not-rising", "/vessel/tanks/0/table")
