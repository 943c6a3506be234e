"""Hydrostatics of bodies whose volumes and waterplanes have closed forms, and how fast the integration closes in."""

import numpy as np
import pytest
from heelwright_service.core.hull import Hull
from heelwright_service.core.hydrostatics import hydrostatics
from heelwright_service.core.planes import Planes
from heelwright_service.core.record import HullDocument, Station

LENGTH = 100.0


def prism(contour, length=LENGTH):
    return Hull.from_document(HullDocument([Station(0.0, contour), Station(length, contour)]), length)


def ellipse(semi_breadth, semi_depth, points):
    angle = np.linspace(-np.pi / 2, np.pi / 2, points)
    # points on a slightly larger ellipse, so that the polygon has the ellipse's own area
    step = angle[1] - angle[0]
    swell = np.sqrt(step / np.sin(step))
    return [
        (max(0.0, float(swell * semi_breadth * np.cos(a))), float(semi_depth + swell * semi_depth * np.sin(a)))
        for a in angle
    ]


def wigley(stations, levels=401, draught=6.0, breadth=10.0):
    z = np.linspace(0.0, 1.5 * draught, levels)
    vertical = np.where(z < draught, 1.0 - ((draught - z) / draught) ** 2, 1.0)
    along = np.linspace(0.0, LENGTH, stations)
    half = 0.5 * breadth * (1.0 - (2.0 * along / LENGTH - 1.0) ** 2)
    return HullDocument(
        [Station(float(x), np.column_stack([y * vertical, z]).tolist()) for x, y in zip(along, half, strict=True)]
    )


def wall_sided(half_breadth, stations):
    """A hull of vertical sides over a flat bottom, 8 m deep."""
    places = np.linspace(0.0, LENGTH, stations)
    contours = [[(0.0, 0.0), (float(y), 0.0), (float(y), 8.0)] for y in half_breadth(places)]
    document = HullDocument([Station(float(x), contour) for x, contour in zip(places, contours, strict=True)])
    return hydrostatics(Hull.from_document(document, LENGTH), Planes.of(LENGTH, 4.0))


def test_a_heeled_and_trimmed_box_has_the_centre_of_the_closed_form():
    """x_B, y_B, z_B of a box at constant volume: second moments over volume times the slopes (derived here)."""
    box = prism([(0.0, 0.0), (10.0, 0.0), (10.0, 12.0)])
    heel, trim = np.tan(np.radians(5.0)), np.tan(np.radians(1.0))
    planes = Planes(np.array([5.0 - trim * 50.0]), np.array([trim]), np.array([heel]), np.zeros(1), LENGTH)
    found = hydrostatics(box, planes)
    assert found.volume_m3[0] == pytest.approx(10_000.0, rel=1e-12)
    assert found.tcb_m[0] == pytest.approx(20.0**2 / 60.0 * heel, rel=1e-11)
    assert found.lcb_m[0] - 50.0 == pytest.approx(100.0**2 / 60.0 * trim, rel=1e-11)
    expected = 2.5 + 0.5 * (20.0**2 / 60.0 * heel**2 + 100.0**2 / 60.0 * trim**2)
    assert found.vcb_m[0] == pytest.approx(expected, rel=1e-11)


def test_a_wedge_has_a_third_of_its_draught_above_the_centre_of_buoyancy():
    wedge = prism([(0.0, 0.0), (6.0, 10.0)])
    found = hydrostatics(wedge, Planes.of(LENGTH, 5.0))
    assert found.volume_m3[0] == pytest.approx(0.5 * 6.0 * 5.0 * LENGTH, rel=1e-12)
    assert found.vcb_m[0] == pytest.approx(10.0 / 3.0, rel=1e-12)
    assert found.i_t_m4[0] == pytest.approx(LENGTH * 6.0**3 / 12.0, rel=1e-12)


def test_a_floating_cylinder_keeps_its_metacentre_at_its_axis_at_any_draught_and_heel():
    cylinder = prism(ellipse(6.0, 6.0, 4001))
    planes = Planes.of(LENGTH, np.array([2.0, 4.0, 7.0]), heel_deg=np.array([0.0, 6.0, 10.0]))
    found = hydrostatics(cylinder, planes)
    # the circle's centre stands at z = 6, seen from the chord at any heel
    arm = found.tcb_m + planes.slope_y * found.vcb_m
    assert arm == pytest.approx(6.0 * planes.slope_y, abs=2e-6)
    assert found.km_t_m[0] == pytest.approx(6.0, rel=1e-6)


def test_the_ellipse_of_the_published_closed_form_is_met_to_a_millionth():
    """Area of a circular segment scaled to the ellipse (any handbook of mathematics)."""
    a, b, draught = 10.0, 5.0, 4.0
    found = hydrostatics(prism(ellipse(a, b, 6001)), Planes.of(LENGTH, draught))
    half_angle = np.arccos((b - draught) / b)
    area = a * b * (half_angle - np.sin(half_angle) * np.cos(half_angle))
    half_breadth = a * np.sin(half_angle)
    assert found.volume_m3[0] == pytest.approx(LENGTH * area, rel=1e-6)
    assert found.i_t_m4[0] == pytest.approx(LENGTH * (2 * half_breadth) ** 3 / 12.0, rel=2e-6)


def test_a_cone_on_its_axis_has_a_third_of_its_base_times_height():
    """A cone lying along x, apex forward, floating with its axis in the waterline: half its volume is immersed."""
    radius, stations = 5.0, 41
    angle = np.linspace(-np.pi / 2, np.pi / 2, 2001)
    step = angle[1] - angle[0]
    swell = np.sqrt(step / np.sin(step))
    document = HullDocument(
        [
            Station(
                float(x),
                [(max(0.0, float(r * swell * np.cos(t))), float(radius + r * swell * np.sin(t))) for t in angle],
            )
            for x, r in ((x, radius * (1 - x / LENGTH)) for x in np.linspace(0.0, LENGTH, stations))
        ]
    )
    found = hydrostatics(Hull.from_document(document, LENGTH), Planes.of(LENGTH, radius))
    assert found.volume_m3[0] == pytest.approx(0.5 * np.pi * radius**2 * LENGTH / 3.0, rel=1e-6)
    assert found.lcb_m[0] == pytest.approx(LENGTH / 4.0, rel=1e-6)


def test_the_parabolic_hull_of_mathematics_is_met_even_by_five_stations():
    """Wigley's hull: V = 4/9·L·B·T, waterplane 2/3·L·B, I_T = 4/105·L·B³ (integrals of its equation)."""
    draught, breadth = 6.0, 10.0
    for stations in (5, 11, 121):
        found = hydrostatics(Hull.from_document(wigley(stations, 4001), LENGTH), Planes.of(LENGTH, draught))
        assert found.volume_m3[0] == pytest.approx(4.0 / 9.0 * LENGTH * breadth * draught, rel=1e-6)
        assert found.waterplane_area_m2[0] == pytest.approx(2.0 / 3.0 * LENGTH * breadth, rel=1e-6)
        assert found.i_t_m4[0] == pytest.approx(4.0 / 105.0 * LENGTH * breadth**3, rel=1e-6)


def test_a_smooth_hull_closes_in_with_the_fourth_power_of_the_station_spacing():
    """Vertical sides, so the volume is the draught times the integral of the breadth, here 3/π·L of B/2·cos."""

    def cosine(x):
        return 5.0 * np.cos(np.pi * (x - 0.5 * LENGTH) / (3.0 * LENGTH))

    exact = 2.0 * 4.0 * 5.0 * 2.0 * (3.0 * LENGTH / np.pi) * np.sin(np.pi / 6.0)
    errors = [abs(wall_sided(cosine, stations).volume_m3[0] - exact) for stations in (5, 9, 17, 33)]
    assert errors == sorted(errors, reverse=True)
    order = np.log2(errors[0] / errors[-1]) / 3.0
    assert order > 4.0, f"errors {errors}, order of convergence {order:.2f}"
    assert errors[-1] / exact < 1e-8


def test_a_waterline_that_comes_to_points_with_cusps_is_met_too():
    found = wall_sided(lambda x: 5.0 * np.sin(np.pi * x / LENGTH) ** 2, 41)
    assert found.waterplane_area_m2[0] == pytest.approx(5.0 * LENGTH, rel=1e-5)


def test_a_raked_barge_that_leaves_the_water_between_stations_is_exact():
    """The bottom rises by straight line over the forward half: the waterline ends where it meets the surface."""
    half, depth, length = 5.0, 6.0, 60.0

    def section(bottom):
        return [(0.0, bottom), (half, bottom), (half, depth)]

    document = HullDocument(
        [
            Station(0.0, section(0.0)),
            Station(30.0, section(0.0)),
            Station(30.0, section(0.0)),
            Station(60.0, section(4.5)),
        ]
    )
    hull = Hull.from_document(document, length)
    for draught in (0.7, 2.0, 3.3):
        found = hydrostatics(hull, Planes.of(length, draught))
        end = 30.0 + 30.0 * draught / 4.5
        volume = 2 * half * draught * (30.0 + 0.5 * (end - 30.0))
        assert found.volume_m3[0] == pytest.approx(volume, rel=1e-9)
        assert found.waterplane_area_m2[0] == pytest.approx(2 * half * end, rel=1e-8)
        assert found.i_l_m4[0] == pytest.approx(2 * half * end**3 / 12.0, rel=1e-7)


def test_shell_allowance_and_appendages_add_their_volume_and_moments():
    box = [(0.0, 0.0), (6.0, 0.0), (6.0, 5.0)]
    from heelwright_service.core.record import Appendage

    document = HullDocument([Station(0.0, box), Station(50.0, box)], [Appendage("rudder", 2.0, 0.0, 0.0, 1.0)], 0.005)
    found = hydrostatics(Hull.from_document(document, 50.0), Planes.of(50.0, 2.0))
    assert found.volume_m3[0] == pytest.approx(1200.0 * 1.005 + 2.0)
    assert found.lcb_m[0] == pytest.approx(1206.0 * 25.0 / 1208.0)
    assert found.vcb_m[0] == pytest.approx((1206.0 + 2.0) / 1208.0)


def test_hog_takes_two_thirds_of_itself_off_the_mean_draught_of_a_box():
    """∫b dx/L = 2/3 for a rectangular waterplane (derived here)."""
    box = prism([(0.0, 0.0), (10.0, 0.0), (10.0, 12.0)])
    straight, hogged = (hydrostatics(box, Planes.of(LENGTH, 5.0, hog_m=hog)).volume_m3[0] for hog in (0.0, 0.3))
    assert (straight - hogged) / (20.0 * LENGTH) == pytest.approx(0.2, rel=1e-9)


def test_a_mirrored_hull_has_the_mirrored_centre_of_buoyancy():
    starboard, port = [(0.0, 0.0), (6.0, 1.0), (7.0, 8.0)], [(0.0, 0.0), (-4.0, 0.5), (-5.0, 8.0)]
    mirrored_s, mirrored_p = [(-y, z) for y, z in port], [(-y, z) for y, z in starboard]
    as_given = HullDocument([Station(x, starboard, port) for x in (0.0, 50.0)])
    mirrored = HullDocument([Station(x, mirrored_s, mirrored_p) for x in (0.0, 50.0)])
    a = hydrostatics(Hull.from_document(as_given, 50.0), Planes.of(50.0, 4.0, 0.3, 2.0))
    b = hydrostatics(Hull.from_document(mirrored, 50.0), Planes.of(50.0, 4.0, 0.3, -2.0))
    assert a.tcb_m[0] == pytest.approx(-b.tcb_m[0], rel=1e-12)
    assert a.volume_m3[0] == pytest.approx(b.volume_m3[0], rel=1e-12)
    assert a.i_xy_m4[0] == pytest.approx(-b.i_xy_m4[0], abs=1e-6)


def test_moving_the_origin_along_moves_the_centres_and_nothing_else():
    contour = [(0.0, 0.0), (4.0, 0.5), (6.0, 6.0)]
    small = [(0.0, 0.5), (2.0, 1.0), (3.0, 6.0)]
    here = HullDocument([Station(0.0, small), Station(20.0, contour), Station(40.0, contour), Station(60.0, small)])
    there = HullDocument([Station(s.x_m + 7.0, s.contour_m) for s in here.stations])
    a = hydrostatics(Hull.from_document(here, 60.0), Planes.of(60.0, 3.0))
    b = hydrostatics(Hull.from_document(there, 60.0), Planes.of(60.0, 3.0))
    assert b.lcb_m[0] == pytest.approx(a.lcb_m[0] + 7.0)
    assert b.volume_m3[0] == pytest.approx(a.volume_m3[0], rel=1e-12)
    assert b.i_l_m4[0] == pytest.approx(a.i_l_m4[0], rel=1e-9)


def test_scaling_the_hull_scales_the_volume_with_the_cube():
    contour = [(0.0, 0.0), (4.0, 0.5), (6.0, 6.0)]
    small = [(0.0, 0.5), (2.0, 1.0), (3.0, 6.0)]
    one = HullDocument([Station(0.0, small), Station(30.0, contour), Station(60.0, small)])
    two = HullDocument([Station(2 * s.x_m, [(2 * y, 2 * z) for y, z in s.contour_m]) for s in one.stations])
    a = hydrostatics(Hull.from_document(one, 60.0), Planes.of(60.0, 3.0, 0.4, 3.0))
    b = hydrostatics(Hull.from_document(two, 120.0), Planes.of(120.0, 6.0, 0.8, 3.0))
    assert b.volume_m3[0] == pytest.approx(8.0 * a.volume_m3[0], rel=1e-12)
    assert b.km_t_m[0] == pytest.approx(2.0 * a.km_t_m[0], rel=1e-12)
