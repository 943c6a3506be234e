"""The hull computation against exact bodies of many proportions and heels (closed forms derived for this project)."""

from __future__ import annotations

import numpy as np
import pytest
from heelwright_service.core.hydrostatics import hydrostatics
from heelwright_service.core.planes import Planes

from tests.support import closed_forms, hulls

LENGTH_M = 40.0


def assert_agrees(hull: hulls.Hull, exact: closed_forms.Floated, draught: float, heel: float, within: float) -> None:
    upright = hydrostatics(hull, Planes.of(hull.length_bp_m, draught))
    assert upright.volume_m3[0] == pytest.approx(exact.volume_m3, rel=within)
    assert upright.km_t_m[0] == pytest.approx(exact.km_upright_m, rel=within)
    _, heeled = hulls.heeled_at_volume(hull, exact.volume_m3, heel, draught)
    assert heeled.tcb_m[0] == pytest.approx(exact.y_b_m, rel=within, abs=within)
    assert heeled.vcb_m[0] == pytest.approx(exact.z_b_m, rel=within)


@pytest.mark.parametrize("heel", [-6.0, 0.0, 3.0, 9.0])
@pytest.mark.parametrize(("breadth", "draught"), [(8.0, 1.5), (12.0, 4.0), (5.0, 6.0)])
def test_a_box_floats_as_its_closed_form(breadth: float, draught: float, heel: float) -> None:
    hull = hulls.prism(hulls.box_contour(breadth, 2.0 * draught + 2.0), LENGTH_M)
    assert_agrees(hull, closed_forms.box(LENGTH_M, breadth, draught, heel), draught, heel, 1e-11)


@pytest.mark.parametrize("heel", [-15.0, 2.0, 20.0])
@pytest.mark.parametrize("half_angle", [20.0, 45.0, 60.0])
def test_a_wedge_floats_as_its_closed_form(half_angle: float, heel: float) -> None:
    hull = hulls.prism(hulls.wedge_contour(half_angle, 15.0), LENGTH_M)
    assert_agrees(hull, closed_forms.wedge(LENGTH_M, half_angle, 3.0, heel), 3.0, heel, 1e-11)


@pytest.mark.parametrize("heel", [-10.0, 5.0, 30.0])
@pytest.mark.parametrize(
    ("half_breadth", "half_depth", "draught"), [(6.0, 6.0, 3.0), (9.0, 4.0, 5.0), (3.0, 8.0, 10.0)]
)
def test_an_elliptic_cylinder_floats_as_its_closed_form(
    half_breadth: float, half_depth: float, draught: float, heel: float
) -> None:
    hull = hulls.prism(hulls.ellipse_contour(half_breadth, half_depth, 600), LENGTH_M)
    exact = closed_forms.elliptic_cylinder(LENGTH_M, half_breadth, half_depth, draught, heel)
    assert_agrees(hull, exact, draught, heel, 2e-5)


@pytest.mark.parametrize("heel", [4.0, 12.0])
@pytest.mark.parametrize("half_angle", [25.0, 50.0])
def test_a_cone_floats_as_its_closed_form(half_angle: float, heel: float) -> None:
    exact = closed_forms.cone(half_angle, 5.0, heel)

    def measure(corners: int) -> hulls.Array:
        _, found = hulls.floated_pyramid(half_angle, 10.0, corners, 5.0, heel)
        return np.concatenate([found.volume_m3, found.tcb_m, found.vcb_m])

    found = hulls.extrapolated(measure, 16)
    assert found == pytest.approx([exact.volume_m3, exact.y_b_m, exact.z_b_m], rel=1e-6)


def test_a_circular_cylinder_keeps_its_metacentre_at_the_axis() -> None:
    hull = hulls.prism(hulls.ellipse_contour(5.0, 5.0, 400), LENGTH_M)
    km = hydrostatics(hull, Planes.of(LENGTH_M, np.array([1.0, 3.0, 5.0, 8.0]))).km_t_m
    assert km == pytest.approx(np.full(4, 5.0), rel=1e-4)


def test_a_closed_cylinder_under_water_is_said_to_be_so() -> None:
    hull = hulls.prism(hulls.ellipse_contour(5.0, 5.0, 40), LENGTH_M)
    immersed = hydrostatics(hull, Planes.of(LENGTH_M, np.array([9.9, 10.1]))).deck_edge_immersed
    assert immersed.tolist() == [False, True]
