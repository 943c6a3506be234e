"""The simulator's cut solids against closed forms and against a general-purpose solid modeller."""

import manifold3d  # type: ignore[import-not-found]
import numpy as np
import pytest

from .simulator.clipping import Plane, cut_below, x_squared_below_m5
from .simulator.hydrostatics import km_t_m, plane_of, table_rows
from .simulator.liquids import Tank, level_of_volume, sounding_rows
from .simulator.loading import _curved_tank
from .simulator.mesh import Mesh, box_mesh, hull_mesh, lofted

LENGTH, BREADTH, DEPTH = 40.0, 9.0, 5.0


def _box() -> Mesh:
    contour = [[0.0, 0.0], [BREADTH / 2, 0.0], [BREADTH / 2, DEPTH]]
    return hull_mesh([0.0, 13.0, LENGTH], [contour] * 3)


def test_a_box_and_a_wedge_have_their_exact_volumes_and_centroids() -> None:
    box, wedge = _box(), lofted([0.0, 6.0], [[[0, 0], [3, 0], [0, 2]], [[0, 0], [3, 0], [0, 2]]], closed=True)
    assert box.volume_m3 == pytest.approx(LENGTH * BREADTH * DEPTH, rel=1e-14)
    assert box.centroid_m == pytest.approx([LENGTH / 2, 0.0, DEPTH / 2], abs=1e-13)
    assert wedge.volume_m3 == pytest.approx(18.0, rel=1e-14)
    assert wedge.centroid_m == pytest.approx([3.0, 1.0, 2.0 / 3.0], rel=1e-14)


def test_a_box_under_a_tilted_plane_meets_the_closed_form() -> None:
    """Closed form: integrals of the linear depth d = T + sx·(x − L/2) + sy·y over the rectangle (derived here)."""
    t, sx, sy = 2.1, 0.02, 0.05
    cut = cut_below(_box(), Plane(t - sx * LENGTH / 2, sx, sy))
    area, xx, yy = LENGTH * BREADTH, LENGTH**2 / 12, BREADTH**2 / 12
    volume = area * t
    assert cut.volume_m3 == pytest.approx(volume, rel=1e-13)
    assert cut.centroid_m[0] == pytest.approx(LENGTH / 2 + sx * xx / t, rel=1e-13)
    assert cut.centroid_m[1] == pytest.approx(sy * yy / t, rel=1e-12)
    assert cut.centroid_m[2] == pytest.approx((t**2 + sx**2 * xx + sy**2 * yy) / (2 * t), rel=1e-13)
    assert cut.area_m2 == pytest.approx(area, rel=1e-13)
    assert cut.second_moments_m4 == pytest.approx(np.diag([area * xx, area * yy]), rel=1e-12, abs=1e-9)
    square = area * (t * (xx + LENGTH**2 / 4) + sx * LENGTH * xx)
    assert x_squared_below_m5(_box(), Plane(t - sx * LENGTH / 2, sx, sy)) == pytest.approx(square, rel=1e-12)


@pytest.mark.parametrize(
    ("height", "sx", "sy"), [(0.3, 0.0, 0.0), (0.9, 0.1, -0.3), (1.4, -0.2, 0.5), (0.05, 0.0, 0.2)]
)
def test_the_cut_agrees_with_a_solid_modeller(height: float, sx: float, sy: float) -> None:
    """Reference: the manifold3d library's trim of the same solid by the same plane."""
    shape = _curved_tank(np.array([0.0, 1.0, 0.0]), np.array([4.0, 3.0, 1.5]))
    mesh = manifold3d.Mesh64(shape.vertices_m, shape.triangles.astype(np.uint64))
    normal = np.array([sx, sy, -1.0])
    trimmed = manifold3d.Manifold(mesh).trim_by_plane(normal, -height / float(np.linalg.norm(normal)))
    assert trimmed.volume() > 0.0
    assert cut_below(shape, Plane(height, sx, sy)).volume_m3 == pytest.approx(trimmed.volume(), rel=1e-12)


def test_derivatives_of_volume_and_moments_match_differences() -> None:
    shape = _curved_tank(np.array([0.0, 1.0, 0.0]), np.array([4.0, 3.0, 1.5]))
    plane, step = Plane(0.7, 0.05, -0.1), 1e-5
    exact = np.vstack([cut_below(shape, plane).lid_m4[0], cut_below(shape, plane).moment_derivatives(plane)])
    for column, shift in enumerate(np.eye(3) * step):
        ahead, behind = (cut_below(shape, Plane(*(plane.vector + sign * shift))) for sign in (1.0, -1.0))
        differences = [ahead.volume_m3 - behind.volume_m3, *(ahead.moments_m4 - behind.moments_m4)]
        assert exact[:, column] == pytest.approx(np.array(differences) / (2 * step), rel=1e-7, abs=1e-7)


def test_what_is_above_and_what_is_below_make_up_the_whole() -> None:
    shape = _curved_tank(np.array([0.0, 1.0, 0.0]), np.array([4.0, 3.0, 1.5]))
    turned = Mesh(shape.vertices_m * np.array([1.0, -1.0, -1.0]), shape.triangles)
    below, above = cut_below(shape, Plane(0.8, 0.1, 0.2)), cut_below(turned, Plane(-0.8, -0.1, 0.2))
    assert below.volume_m3 + above.volume_m3 == pytest.approx(shape.volume_m3, rel=1e-13)


def test_a_full_and_a_dry_plane_give_all_and_nothing() -> None:
    assert cut_below(_box(), Plane(DEPTH + 1.0)).volume_m3 == pytest.approx(LENGTH * BREADTH * DEPTH, rel=1e-13)
    assert cut_below(_box(), Plane(-1.0)).volume_m3 == 0.0


def test_metacentric_height_of_a_box_is_half_draught_plus_breadth_squared_over_twelve_draughts() -> None:
    """KM = T/2 + B²/(12·T) for a box (any ship stability textbook, from memory)."""
    for draught in (1.0, 2.5):
        expected = draught / 2 + BREADTH**2 / (12 * draught)
        assert km_t_m(cut_below(_box(), plane_of(LENGTH, draught))) == pytest.approx(expected, rel=1e-13)
        assert table_rows(_box(), LENGTH, [draught], [0.0])[0]["km_t_m"] == pytest.approx(expected, rel=1e-13)


def test_a_level_is_found_even_where_the_surface_meets_top_and_bottom() -> None:
    box = box_mesh([0, 0, 0], [4, 6, 0.5])
    for share in (1e-6, 0.02, 0.5, 0.98, 1.0 - 1e-6):
        plane, cut = level_of_volume(box, share * 12.0, 0.05, -0.3)
        assert cut.volume_m3 == pytest.approx(share * 12.0, rel=1e-9)
        assert (plane.slope_x, plane.slope_y) == (0.05, -0.3)


def test_a_box_tank_has_the_sounding_table_of_a_box() -> None:
    tank = Tank("T", box_mesh([10, 1, 0.5], [14, 4, 2.0]), np.array([11.0, 2.0, 0.5]))
    rows = sounding_rows(tank, 16)
    for row in rows:
        assert row["volume_m3"] == pytest.approx(12.0 * row["sounding_m"], abs=1e-12)
        assert row["z_m"] == pytest.approx(0.5 + row["sounding_m"] / 2, abs=2e-6)
        assert (row["i_t_m4"], row["i_l_m4"]) == pytest.approx((4 * 3**3 / 12, 3 * 4**3 / 12), rel=1e-9)
