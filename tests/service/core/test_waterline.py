"""The water surface from draughts and freeboards: places, weights, hog, and what three places cannot tell."""

from dataclasses import replace

import numpy as np
import pytest
from heelwright_service.core.errors import CoreError
from heelwright_service.core.hull import Hull
from heelwright_service.core.hydrostatics import hydrostatics
from heelwright_service.core.planes import Planes
from heelwright_service.core.record import (
    DraughtReading,
    FreeboardReading,
    Mark,
    StatedUncertainties,
    TestRecord,
    Vessel,
    Water,
    WaterSample,
)
from heelwright_service.core.reduction import work_out
from heelwright_service.core.standard_uncertainties import heights_standard_m, standard_uncertainties
from heelwright_service.core.waterline import WaterlineFit, WaterPoints, water_points, waterline_fit
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.support.hulls import box_contour, prism_document

LENGTH, BREADTH, DEPTH = 60.0, 12.0, 6.0
TRUE = Planes.of(LENGTH, 2.5, 0.4, 0.5, 0.03)


def marks_at(*shares: float, zero_m: float = 0.0) -> list[Mark]:
    """A mark on either side at each share of the length, nearer to the centreline towards the ends."""
    return [
        Mark(f"{share} {name}", share * LENGTH, side * (2.0 + 8.0 * share * (1.0 - share)), zero_m)
        for share in shares
        for name, side in (("port", -1.0), ("starboard", 1.0))
    ]


def read(marks: list[Mark], planes: Planes = TRUE) -> list[DraughtReading]:
    return [DraughtReading(m.name, float(planes.height_m(m.x_m, m.y_m)[0]) - m.zero_z_m) for m in marks]


def freeboards_at(*shares: float, planes: Planes = TRUE) -> list[FreeboardReading]:
    places = [(share * LENGTH, side * BREADTH / 2) for share in shares for side in (-1.0, 1.0)]
    return [FreeboardReading(x, y, DEPTH, DEPTH - float(planes.height_m(x, y)[0])) for x, y in places]


def fitted(points: WaterPoints, standard_m: float | list[float] = 0.005) -> tuple[WaterlineFit, Planes]:
    fit = waterline_fit(points, np.broadcast_to(standard_m, len(points.z_m)).astype(float), LENGTH)
    return fit, fit.planes(points.z_m[None])


def assert_true(found: Planes) -> None:
    assert found.draught_mid_m[0] == pytest.approx(2.5, abs=1e-9)
    assert found.trim_m[0] == pytest.approx(0.4, abs=1e-9)
    assert found.heel_deg[0] == pytest.approx(0.5, abs=1e-9)
    assert found.hog_m[0] == pytest.approx(0.03, abs=1e-9)


def test_marks_off_the_perpendiculars_and_the_centreline_are_carried_to_them() -> None:
    marks = marks_at(0.04, 0.47, 0.93)
    assert_true(fitted(water_points(marks, read(marks), []))[1])


@pytest.mark.parametrize("shares", [(0.1, 0.3, 0.5, 0.7, 0.9), (0.05, 0.2, 0.4, 0.5, 0.65, 0.8, 0.95)])
def test_five_freeboards_a_side_or_more_show_draught_trim_list_and_hog(shares: tuple[float, ...]) -> None:
    fit, found = fitted(water_points([], [], freeboards_at(*shares)))
    assert_true(found)
    assert fit.degrees_of_freedom == 2 * len(shares) - 4


def test_scales_counted_from_under_the_keel_have_their_zero_below_the_baseline() -> None:
    keel_m = 0.018
    marks = marks_at(0.04, 0.5, 0.95, zero_m=-keel_m)
    readings = read(marks)
    assert readings[0].reading_m == pytest.approx(float(TRUE.height_m(marks[0].x_m, marks[0].y_m)[0]) + keel_m)
    assert_true(fitted(water_points(marks, readings, []))[1])


@given(st.integers(0, 10_000))
@settings(max_examples=20, deadline=None)
def test_the_fit_is_the_weighted_least_squares_of_a_general_library(seed: int) -> None:
    """Against statsmodels' WLS on random places, readings and uncertainties."""
    import statsmodels.api as sm

    rng = np.random.default_rng(seed)
    count = int(rng.integers(8, 14))
    x, y = rng.uniform(0.0, LENGTH, count), rng.uniform(-6.0, 6.0, count)
    points = WaterPoints(
        [str(i) for i in range(count)], ["/draughts/0/reading_m"] * count, x, y, rng.normal(2.5, 0.02, count), x < 0.0
    )
    sizes = rng.uniform(0.003, 0.02, count)
    fit, found = fitted(points, sizes.tolist())
    design = np.column_stack([np.ones(count), x, y, -(1.0 - (2.0 * x / LENGTH - 1.0) ** 2)])
    expected = sm.WLS(points.z_m, design, weights=1.0 / sizes**2).fit()
    params = [found.t0_m[0], found.slope_x[0], found.slope_y[0], found.hog_m[0]]
    assert params == pytest.approx(expected.params.tolist(), abs=1e-9)
    assert fit.residuals_m(points.z_m[None])[0] == pytest.approx(expected.resid, abs=1e-9)
    # of a residual: variance of the reading less that of the fit there
    own = np.sqrt(sizes**2 - np.einsum("ij,jk,ik->i", design, expected.normalized_cov_params, design))
    assert fit.residual_standard_deviations_m(sizes) == pytest.approx(own, abs=1e-9)


def test_a_reading_in_waves_moves_the_surface_less_than_one_in_calm_water() -> None:
    marks = marks_at(0.05, 0.25, 0.5, 0.75, 0.95)
    moved = {}
    for condition in ("tube", "boat", "quay", "waves", "hard-to-read"):
        readings = read(marks)
        readings[2] = replace(readings[2], reading_m=readings[2].reading_m + 0.05, condition=condition)
        standard = standard_uncertainties(TestRecord(Vessel(LENGTH), Water([])))
        sizes = heights_standard_m(readings, [], standard, marks)
        moved[condition] = abs(
            float(fitted(water_points(marks, readings, []), sizes.tolist())[1].draught_mid_m[0]) - 2.5
        )
    assert moved["tube"] > moved["boat"] > moved["quay"] > moved["waves"] == moved["hard-to-read"] > 0.0


def test_a_mark_never_verified_in_dock_counts_for_less() -> None:
    marks = marks_at(0.05, 0.5, 0.95)
    marks[0] = replace(marks[0], verified="not-verified")
    marks[1] = replace(marks[1], verified="in-dock", verified_on="2023-04-11")
    standard = standard_uncertainties(TestRecord(Vessel(LENGTH), Water([])))
    sizes = heights_standard_m(read(marks), [], standard, marks)
    assert sizes.tolist() == [0.01, *[0.005] * 5]


def test_a_mark_cannot_be_unverified_and_have_a_date_of_it() -> None:
    marks = [replace(mark, verified="not-verified", verified_on="2023-04-11") for mark in marks_at(0.1, 0.9)]
    with pytest.raises(CoreError) as caught:
        water_points(marks, read(marks), [])
    assert (caught.value.code, caught.value.pointer) == ("mark-verification", "/vessel/marks/0/verified_on")


def box_record(
    high_m: float = 0.0, shares: tuple[float, ...] = (0.02, 0.5, 0.98), draughts: float = 0.005
) -> TestRecord:
    """A box of 1 000 t a metre and a bit, read at marks of which those amidships are read too high."""
    marks = marks_at(*shares)
    readings = [
        replace(one, reading_m=one.reading_m + (high_m if one.mark.startswith("0.5 ") else 0.0))
        for one in read(marks, Planes.of(LENGTH, 2.5))
    ]
    return TestRecord(
        Vessel(LENGTH, hull=prism_document(box_contour(BREADTH, DEPTH), LENGTH), marks=marks),
        Water([WaterSample(1.025)]),
        draughts=readings,
        uncertainties=StatedUncertainties(draught_m=draughts),
    )


def test_with_three_places_an_error_amidships_passes_for_sag_and_leaves_no_residual() -> None:
    """Both midship marks 50 mm high, the ends at 2 % of the length: 50·(1 − (1/12)/0.48²) = 31.9 mm of mean draught."""
    work = work_out(box_record(0.05))
    expected_m = 0.05 * (1.0 - (1.0 / 12.0) / 0.48**2)
    assert round(expected_m * 1000.0) == 32
    found = work.outcome.displacement_t[0] / (1.025 * LENGTH * BREADTH)
    assert found - 2.5 == pytest.approx(expected_m, abs=1e-9)
    assert work.outcome.planes.hog_m[0] < -0.05
    assert np.abs(work.test.fit.residuals_m(work.test.points.z_m[None])).max() < 1e-12
    assert (work.test.fit.residual_standard_deviations_m(work.test.heights_standard_m) > 0.0).all()


def test_with_five_places_the_same_error_stands_out_and_is_named() -> None:
    work = work_out(box_record(0.05, (0.02, 0.25, 0.5, 0.75, 0.98)))
    points, fit = work.test.points, work.test.fit
    ratio = np.abs(fit.residuals_m(points.z_m[None])[0]) / fit.residual_standard_deviations_m(
        work.test.heights_standard_m
    )
    assert points.names[int(np.argmax(ratio))].startswith("0.5 ")
    assert ratio.max() > 3.0


def test_the_volume_is_that_under_the_actual_waterline_and_not_under_a_mean() -> None:
    """A wedge-shaped hull in plan, trimmed and hogged: the mean of means is only near."""
    stations = [(0.0, 6.0), (30.0, 5.0), (60.0, 1.0)]
    document = prism_document(box_contour(BREADTH, DEPTH), LENGTH)
    document = replace(
        document,
        stations=[
            replace(document.stations[0], x_m=x, contour_m=[(0.0, 0.0), (h, 0.0), (h, 6.0)]) for x, h in stations
        ],
    )
    marks = marks_at(0.0, 0.5, 1.0)
    planes = Planes.of(LENGTH, 2.5, 1.0, 0.0, 0.08)
    record = replace(box_record(), vessel=Vessel(LENGTH, hull=document, marks=marks), draughts=read(marks, planes))
    hull = Hull.from_document(document, LENGTH)
    volume = float(work_out(record).outcome.volume_m3[0])
    assert volume == pytest.approx(float(hydrostatics(hull, planes).volume_m3[0]), rel=1e-9)
    aft, middle, forward = (float(planes.height_m(share * LENGTH, 0.0)[0]) for share in (0.0, 0.5, 1.0))
    mean = Planes.of(LENGTH, (aft + 6.0 * middle + forward) / 8.0)
    assert abs(volume / float(hydrostatics(hull, mean).volume_m3[0]) - 1.0) > 0.02


@pytest.mark.parametrize(
    ("marks", "readings", "code", "pointer"),
    [
        (marks_at(0.1, 0.9), [DraughtReading("funnel", 2.0)], "mark-unknown", "/draughts/0/mark"),
        (marks_at(0.1, 0.9), [DraughtReading("0.1 port", 2.0)] * 2, "mark-read-twice", "/draughts/1/mark"),
        (marks_at(0.1, 0.9), [], "draughts-missing", "/draughts"),
    ],
)
def test_readings_that_place_no_surface_are_refused(
    marks: list[Mark], readings: list[DraughtReading], code: str, pointer: str
) -> None:
    with pytest.raises(CoreError) as caught:
        water_points(marks, readings, [])
    assert (caught.value.code, caught.value.pointer) == (code, pointer)


def test_one_place_along_the_ship_shows_no_trim() -> None:
    marks = marks_at(0.5)
    with pytest.raises(CoreError) as caught:
        fitted(water_points(marks, read(marks), []))
    assert caught.value.code == "draughts-too-few"
