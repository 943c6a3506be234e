"""Hull forms as people give them: what is refused, and what coarse, fine and uneven stations are worth."""

import doctest
from types import ModuleType

import numpy as np
import pytest
from heelwright_service.core import hull as hull_module
from heelwright_service.core import lofting
from heelwright_service.core.documents import from_document
from heelwright_service.core.errors import CoreError
from heelwright_service.core.hull import Hull
from heelwright_service.core.hydrostatics import Hydrostatics, hydrostatics
from heelwright_service.core.planes import Planes
from heelwright_service.core.record import HullDocument, Station

from tests.support.hulls import box_contour
from tests.support.simulator import FAMILIES, hull_of

LENGTH = 30.0
BOX = box_contour(8.0, 5.0)


@pytest.mark.parametrize("module", [hull_module, lofting])
def test_examples_in_the_documentation_run(module: ModuleType) -> None:
    assert doctest.testmod(module).failed == 0


def refusal(*stations: Station) -> CoreError:
    with pytest.raises(CoreError) as caught:
        Hull.from_document(HullDocument(stations), LENGTH)
    return caught.value


def test_a_contour_that_ends_on_the_centreline_without_starting_there_is_not_closed() -> None:
    found = refusal(Station(0.0, BOX), Station(12.5, [(1.0, 0.0), (4.0, 3.0), (0.0, 5.0)]), Station(30.0, BOX))
    assert found.code == "contour-open"
    assert "x = 12.5 m" in found.message
    assert found.pointer == "/vessel/hull/stations/1/contour_m"


@pytest.mark.parametrize(
    ("contour", "between"),
    [
        ([(0.0, 0.0), (4.0, 3.0), (4.0, 0.0), (2.0, 5.0)], "points 0 and 3"),
        ([(0.0, 0.0), (4.0, 0.0), (4.0, 4.0), (2.0, 0.0), (1.0, -2.0), (0.5, 4.0)], "points 0 and 5"),
    ],
)
def test_a_contour_that_folds_over_itself_is_refused_with_its_station(
    contour: list[tuple[float, float]], between: str
) -> None:
    found = refusal(Station(0.0, BOX), Station(7.25, contour), Station(30.0, BOX))
    assert found.code == "contour-folded"
    assert "x = 7.25 m" in found.message
    assert between in found.message
    assert found.pointer == "/vessel/hull/stations/1/contour_m"


def test_a_contour_that_passes_through_itself_at_a_point_of_its_own_is_refused() -> None:
    """Its fourth point lies exactly on the bottom, from above to below: no two edges cross between their ends."""
    contour = [(0.0, 0.0), (4.0, 0.0), (4.0, 4.0), (3.0, 0.0), (2.0, -1.0), (-0.0, -1.0)]
    assert refusal(Station(0.0, BOX), Station(30.0, contour)).code == "contour-folded"


def test_a_port_contour_that_folds_is_refused_on_its_own_side() -> None:
    port = [(0.0, 0.0), (-4.0, 3.0), (-4.0, 0.0), (-2.0, 5.0)]
    found = refusal(Station(0.0, BOX), Station(30.0, BOX, port))
    assert found.code == "contour-folded"
    assert found.pointer == "/vessel/hull/stations/1/port_contour_m"


def test_points_that_coincide_but_for_rounding_are_no_fold() -> None:
    """Corners given three times with the noise of a conversion between units in the last digits."""
    rng = np.random.default_rng(4)
    corners = np.repeat([(0.0, 0.0), (4.0, 0.0), (4.5, 2.5), (4.0, 5.0), (2.0, 5.0)], 3, axis=0)
    for _ in range(200):
        noisy = corners * (1.0 + rng.uniform(-4e-16, 4e-16, corners.shape)) + rng.uniform(0.0, 4e-16, corners.shape)
        noisy[0, 0] = 0.0
        Hull.from_document(HullDocument([Station(0.0, noisy.tolist()), Station(30.0, noisy.tolist())]), LENGTH)


def test_a_skeg_without_thickness_touches_itself_and_is_allowed() -> None:
    contour = [(0.0, 1.0), (2.0, 1.0), (2.0, 0.0), (2.0, 1.0), (4.0, 1.0), (4.0, 5.0)]
    made = Hull.from_document(HullDocument([Station(0.0, contour), Station(30.0, contour)]), LENGTH)
    assert hydrostatics(made, Planes.of(LENGTH, 3.0)).volume_m3[0] == pytest.approx(8.0 * 2.0 * LENGTH)


def test_stations_out_of_order_are_refused_with_the_one_that_comes_too_late() -> None:
    found = refusal(Station(0.0, BOX), Station(20.0, BOX), Station(10.0, BOX), Station(30.0, BOX))
    assert found.code == "station-order"
    assert found.message.startswith("Station 2 at x = 10 m")
    assert found.pointer == "/vessel/hull/stations/2/x_m"


@pytest.mark.parametrize("apart_m", [1e-243, 1e-9, 0.9e-6])
def test_stations_that_nearly_coincide_are_neither_a_step_nor_a_stretch_and_refused(apart_m: float) -> None:
    found = refusal(Station(0.0, BOX), Station(apart_m, BOX), Station(30.0, BOX))
    assert (found.code, found.pointer) == ("station-order", "/vessel/hull/stations/1/x_m")
    assert "the same x for a step" in found.message


def test_stations_a_tenth_of_a_millimetre_apart_are_a_stretch_of_a_small_model() -> None:
    close = [Station(x, BOX) for x in (0.0, 1e-4, 30.0)]
    made = Hull.from_document(HullDocument(close), LENGTH)
    even = Hull.from_document(HullDocument([close[0], close[2]]), LENGTH)
    planes = Planes.of(LENGTH, 3.0)
    assert hydrostatics(made, planes).volume_m3[0] == pytest.approx(hydrostatics(even, planes).volume_m3[0], rel=1e-12)


def test_a_position_given_three_times_is_refused() -> None:
    found = refusal(*(Station(x, BOX) for x in (0.0, 10.0, 10.0, 10.0, 30.0)))
    assert found.code == "station-order"
    assert "x = 10 m" in found.message


@pytest.mark.parametrize("stations", [[], [Station(0.0, BOX)]])
def test_one_station_is_no_hull(stations: list[Station]) -> None:
    assert refusal(*stations).code == "hull-empty"


def test_a_contour_from_deck_to_keel_is_refused_and_not_turned() -> None:
    found = refusal(Station(0.0, BOX), Station(30.0, [(0.0, 5.0), (4.0, 5.0), (4.0, 0.0)]))
    assert found.code == "contour-folded"
    assert "keel first" in found.message


def test_a_contour_across_the_centreline_is_refused() -> None:
    found = refusal(Station(0.0, BOX), Station(30.0, [(0.0, 0.0), (-1.0, 1.0), (4.0, 5.0)]))
    assert found.code == "contour-crosses-centreline"


def test_one_stretch_closes_all_its_contours_alike() -> None:
    demihull = [(1.0, 0.0), (3.0, 0.0), (3.0, 5.0), (1.0, 5.0)]
    assert refusal(Station(0.0, BOX), Station(30.0, demihull)).code == "contour-mixed"


def test_twin_skegs_may_stand_behind_a_single_hull() -> None:
    """Two boxes of 2 m for the aft 10 m, one of 8 m for the rest: the volumes add up."""
    skeg = [(1.0, 0.0), (3.0, 0.0), (3.0, 5.0), (1.0, 5.0)]
    stations = [Station(0.0, skeg), Station(10.0, skeg), Station(10.0, BOX), Station(30.0, BOX)]
    found = hydrostatics(Hull.from_document(HullDocument(stations), LENGTH), Planes.of(LENGTH, 2.0))
    assert found.volume_m3[0] == pytest.approx(2 * 2.0 * 2.0 * 10.0 + 8.0 * 2.0 * 20.0)


def test_a_trimaran_is_one_contour_through_its_tunnels() -> None:
    """Centre hull 4 m wide and 3 m deep, outriggers 1 m wide from 1 m up, 8 m out, under a wet deck at 4 m."""
    contour = [(0.0, 0.0), (2.0, 0.0), (2.0, 4.0), (7.5, 4.0), (7.5, 1.0), (8.5, 1.0), (8.5, 5.0)]
    made = Hull.from_document(HullDocument([Station(0.0, contour), Station(LENGTH, contour)]), LENGTH)
    found = hydrostatics(made, Planes.of(LENGTH, 3.0))
    assert found.volume_m3[0] == pytest.approx(LENGTH * (4.0 * 3.0 + 2 * 1.0 * 2.0))
    assert found.i_t_m4[0] == pytest.approx(LENGTH * (4.0**3 / 12 + 2 * (1.0 / 12 + 8.0**2)))


def test_a_deck_edge_under_water_is_closed_by_its_deck() -> None:
    """A box heeled by 30° at 4.2 m amidships: the wet part of its section is a pentagon (derived here)."""
    breadth, depth, draught, tangent = 8.0, 5.0, 4.2, np.tan(np.radians(30.0))
    made = Hull.from_document(HullDocument([Station(0.0, BOX), Station(LENGTH, BOX)]), LENGTH)
    found = hydrostatics(made, Planes.of(LENGTH, draught, heel_deg=30.0))
    over = (depth - draught) / tangent
    dry_base = 4.0 + over
    dry_low, dry_high = 0.0, depth - (draught - 4.0 * tangent)
    dry = 0.5 * (dry_high + dry_low) * dry_base
    assert found.volume_m3[0] == pytest.approx(LENGTH * (breadth * depth - dry), rel=1e-12)
    assert found.deck_edge_immersed[0]


LIMITS = {11: 3e-3, 41: 3e-4, 201: 5e-5}


def test_few_stations_stand_for_the_smooth_hull_and_many_for_itself() -> None:
    """Against 401 stations of the same shapes, between light and deep draught, trimmed and listed."""
    worst = dict.fromkeys(LIMITS, 0.0)
    for family in sorted(FAMILIES):
        for stations, (volume, bm) in _differences(family).items():
            print(f"{family} by {stations} stations: volume {volume:.1e}, BM {bm:.1e}")
            assert max(volume, bm) < LIMITS[stations]
            worst[stations] = max(worst[stations], volume, bm)
    assert worst[201] < 0.1 * worst[11]


def _differences(family: str) -> dict[int, tuple[float, float]]:
    shape = hull_of(family, np.random.default_rng(2))
    length, draught = shape.length_bp_m, shape.draught_m * np.array([0.85, 1.0, 1.15])
    planes = Planes.of(length, draught, np.array([-0.005, 0.0, 0.005]) * length, [-4.0, 0.0, 2.0])

    def found(count: int) -> Hydrostatics:
        document = from_document(HullDocument, shape.document(count, 1))
        return hydrostatics(Hull.from_document(document, length), planes)

    true = found(401)
    bm = true.km_t_m - true.vcb_m
    differences = {}
    for stations in LIMITS:
        given = found(stations)
        volume = np.abs(given.volume_m3 / true.volume_m3 - 1.0).max()
        differences[stations] = float(volume), float(np.abs((given.km_t_m - given.vcb_m) / bm - 1.0).max())
    return differences


def chined(stations: int, counts: list[tuple[int, int]]) -> Hull:
    """A hull of straight bottom and side with a rising chine, each line divided as the counts say in turn."""
    made = []
    for i, x in enumerate(np.linspace(0.0, LENGTH, stations)):
        share = x / LENGTH
        width = 1.0 - max(0.0, (share - 0.4) / 0.6) ** 2.2
        keel = 3.2 * max(0.0, share - 0.5) ** 2
        corners = [(0.0, keel), (3.2 * width, keel + 0.9 + 0.8 * share**2), (4.0 * width**0.8, 3.5)]
        made.append(Station(float(x), _divided(corners, counts[i % len(counts)])))
    return Hull.from_document(HullDocument(made), LENGTH)


def _divided(corners: list[tuple[float, float]], counts: tuple[int, int]) -> list[tuple[float, float]]:
    keel, chine, deck = (np.array(corner) for corner in corners)
    bottom = keel + np.linspace(0.0, 1.0, counts[0])[:, None] * (chine - keel)
    side = chine + np.linspace(0.0, 1.0, counts[1])[1:, None] * (deck - chine)
    return [(float(y), float(z)) for y, z in np.concatenate([bottom, side])]


@pytest.mark.parametrize("counts", [[(2, 2), (3, 2)], [(2, 2), (9, 14), (5, 9)], [(4, 4), (4, 4), (5, 3)]])
@pytest.mark.parametrize(("stations", "limit"), [(11, 3e-4), (41, 3e-5)])
def test_a_chine_is_kept_where_stations_have_unequal_numbers_of_points(
    counts: list[tuple[int, int]], stations: int, limit: float
) -> None:
    planes = Planes.of(LENGTH, np.array([1.2, 1.6, 2.0]), [0.2, -0.3, 0.0], [0.0, 4.0, 8.0])
    true = hydrostatics(chined(401, [(2, 2)]), planes)
    given = hydrostatics(chined(stations, counts), planes)
    assert given.volume_m3 == pytest.approx(true.volume_m3, rel=limit)
    assert given.i_t_m4 == pytest.approx(true.i_t_m4, rel=limit)


def rounded(stations: int, counts: list[int]) -> Hydrostatics:
    """A hull without any corner, its contours of `counts` points in turn."""
    made = []
    for i, x in enumerate(np.linspace(0.0, LENGTH, stations)):
        angle = np.linspace(0.0, 0.5 * np.pi, counts[i % len(counts)])
        half = 4.0 * (1.0 - abs(2.0 * x / LENGTH - 1.0) ** 2.4)
        points = np.column_stack([half * np.sin(angle), 5.0 - 5.0 * np.cos(angle)])
        made.append(Station(float(x), [(float(y), float(z)) for y, z in points]))
    planes = Planes.of(LENGTH, np.array([2.0, 3.0]), [0.3, -0.3])
    return hydrostatics(Hull.from_document(HullDocument(made), LENGTH), planes)


def test_a_smooth_hull_loses_nothing_by_unequal_numbers_of_points_but_what_its_coarser_contours_lose() -> None:
    true, coarse = rounded(81, [321]), rounded(41, [25])
    mixed = rounded(41, [25, 31, 29, 40])
    polygon_error = np.abs(coarse.volume_m3 / true.volume_m3 - 1.0).max()
    assert np.abs(mixed.volume_m3 / true.volume_m3 - 1.0).max() < 1.1 * polygon_error
    assert np.abs(mixed.km_t_m - true.km_t_m).max() < 1.1 * np.abs(coarse.km_t_m - true.km_t_m).max() + 5e-4


def test_a_chine_that_fades_out_forward_keeps_the_stations_that_have_it() -> None:
    """Chine aft, a smooth curve of other point counts forward; every station is given exactly as drawn."""
    chine = [(0.0, 0.0), (3.0, 0.6), (4.0, 5.0)]
    curve = [(4.0 * float(np.sin(a)), 5.0 - 5.0 * float(np.cos(a))) for a in np.linspace(0.0, 0.5 * np.pi, 17)]
    stations = [Station(x, chine) for x in (0.0, 5.0, 10.0)] + [Station(x, curve) for x in (20.0, 25.0, 30.0)]
    run = lofting.common_points([np.array([*s.contour_m, (0.0, s.contour_m[-1][1])]) for s in stations])
    for given, points in zip(stations, run, strict=True):
        y, z = points[:, 0], points[:, 1]
        area = 0.5 * float(np.sum(y[:-1] * z[1:] - y[1:] * z[:-1]))
        own = np.array([*given.contour_m, (0.0, given.contour_m[-1][1])])
        exact = 0.5 * float(np.sum(own[:-1, 0] * own[1:, 1] - own[1:, 0] * own[:-1, 1]))
        assert area == pytest.approx(exact, rel=2e-4)


def _boxes(*stations: tuple[float, float]) -> HullDocument:
    return HullDocument([Station(x, box_contour(2.0 * half, 5.0)) for x, half in stations])


def test_a_narrow_end_beside_a_wide_body_makes_the_surface_neither_cross_the_centreline_nor_swing_out() -> None:
    """A long interval beside a short one: a spline alone swings 8.8 m across the centreline here."""
    made = Hull.from_document(_boxes((0.0, 0.05), (10.0, 0.05), (11.0, 6.0), (30.0, 6.0), (50.0, 6.0)), 50.0)
    side = made.sides[0]
    middle = 0.5 * (side.piece_low_m + side.piece_high_m)
    y, _ = side.sections_at(np.arange(len(middle)), middle[:, None])
    assert y.min() >= 0.0
    assert y.max() <= 6.0 + 1e-9


def test_a_path_that_touches_the_centreline_does_not_cross_it() -> None:
    widths = (0.0, 0.0, 3.0, 6.0, 6.0)
    contours = [[(0.0, 0.0), (width, 2.0), (6.0, 5.0)] for width in widths]
    made = Hull.from_document(HullDocument([Station(10.0 * i, c) for i, c in enumerate(contours)]), 40.0)
    side = made.sides[0]
    middle = 0.5 * (side.piece_low_m + side.piece_high_m)
    assert side.sections_at(np.arange(len(middle)), middle[:, None])[0].min() >= -1e-12


def test_a_surface_that_passes_through_itself_between_sound_stations_is_refused_with_both() -> None:
    """Points that do not correspond: each contour is simple, halfway between them they cross."""
    full = [(0.0, 0.0), (2.0, 0.2), (4.0, 1.0), (5.0, 3.0), (5.0, 5.0)]
    high = [(0.0, 0.0), (1.0, 3.0), (2.0, 4.0), (3.0, 4.8), (5.0, 5.0)]
    wide = [(0.0, 0.0), (4.9, 0.1), (5.0, 1.0), (5.0, 3.0), (5.0, 5.0)]
    stations = [Station(10.0 * i, c) for i, c in enumerate((full, high, wide, high, full))]
    with pytest.raises(CoreError) as caught:
        Hull.from_document(HullDocument(stations), 40.0)
    assert caught.value.code == "surface-folded"
    assert caught.value.pointer.startswith("/vessel/hull/stations/")
    assert "x = 0 m and x = 10 m" in caught.value.message


@pytest.mark.parametrize("stations", [11, 41, 121])
def test_no_honest_hull_is_refused_for_its_surface(stations: int) -> None:
    """Bulbs, transoms, chines, steps, twin hulls and tumblehome, by few stations and by many."""
    for family in sorted(FAMILIES):
        for seed in (2, 3):
            shape = hull_of(family, np.random.default_rng(seed))
            Hull.from_document(from_document(HullDocument, shape.document(stations, 1)), shape.length_bp_m)
