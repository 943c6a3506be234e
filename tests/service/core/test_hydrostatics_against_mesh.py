"""Volumes, centres and waterplanes against a mesh library (trimesh with manifold3d), which shares nothing with ours."""

import manifold3d
import numpy as np
import pytest
import trimesh
from heelwright_service.core.documents import from_document
from heelwright_service.core.hull import Hull
from heelwright_service.core.hydrostatics import hydrostatics
from heelwright_service.core.planes import Planes
from heelwright_service.core.record import HullDocument

from tests.support.simulator import FAMILIES, hull_of
from tests.support.simulator.mesh import lofted

STATIONS = {"bulbous_bow": 401}
USUAL_STATIONS = 201
"""A bulb's blunt tip is finely given only when several stations stand in its last metre."""

REFINED = 4
"""The mesh is ruled between its stations, so it needs more of them to stand for the smooth hull."""

PLANES = 200
FEWER = 3
"""The library takes about a tenth of a second a plane; `-m heavy` runs all two hundred for each family."""


def solids_of(document):
    """Each side of the hull as a closed solid of ruled triangles, the port side mirrored or from its own contours."""
    x = [station["x_m"] for station in document["stations"]]
    starboard = [station["contour_m"] for station in document["stations"]]
    port = [station.get("port_contour_m") for station in document["stations"]]
    if port[0] is None:
        port = [[[-y, z] for y, z in contour] for contour in starboard]
    return [solid_of(x, contours) for contours in (starboard, port)]


def solid_of(x, contours):
    on_centreline = all(contour[0][0] == 0.0 for contour in contours)
    rings = [[*contour, [0.0, contour[-1][1]]] if on_centreline else contour for contour in contours]
    mesh = lofted(x, rings, closed=True)
    solid = manifold3d.Manifold(manifold3d.Mesh64(mesh.vertices_m, mesh.triangles.astype(np.uint64)))
    assert solid.status() == manifold3d.Error.NoError
    return solid


def below(solid, planes, i):
    """The part of a solid below a water surface, as a mesh with its cut closed."""
    normal = np.array([planes.slope_x[i], planes.slope_y[i], -1.0])
    size = float(np.linalg.norm(normal))
    trimmed = solid.trim_by_plane(normal / size, -planes.t0_m[i] / size).to_mesh64()
    return trimesh.Trimesh(np.asarray(trimmed.vert_properties)[:, :3], np.asarray(trimmed.tri_verts), process=False)


def projected_waterplane(parts, planes, i):
    """Area, centroid and second moments of the cut face, projected on the ship's x-y plane."""
    corners = np.concatenate([part.triangles for part in parts])
    height = corners[..., 2] - planes.t0_m[i] - corners[..., :2] @ np.array([planes.slope_x[i], planes.slope_y[i]])
    lid = corners[(np.abs(height) < 1e-7).all(axis=1)][..., :2]
    edges = lid[:, 1:] - lid[:, :1]
    areas = 0.5 * np.abs(edges[:, 0, 0] * edges[:, 1, 1] - edges[:, 0, 1] * edges[:, 1, 0])
    area = areas.sum()
    middle = lid.mean(axis=1)
    centre = areas @ middle / area
    # ∫x² over a triangle: area/12 · (sum of squares of corners + 9 · square of the mean)
    second = areas @ ((lid**2).sum(axis=1) + 9.0 * middle**2) / 12.0 - area * centre**2
    return area, centre, second


def random_planes(shape, rng, count):
    depth = shape.depth_m
    draught = rng.uniform(0.25, 0.75, count) * depth
    trim = rng.uniform(-0.01, 0.01, count) * shape.length_bp_m
    return Planes.of(shape.length_bp_m, draught, trim, rng.uniform(-10.0, 10.0, count))


def differences(found, i, parts, planes, shape):
    volume = sum(part.volume for part in parts)
    centre = sum(part.volume * part.center_mass for part in parts) / volume
    area, middle, second = projected_waterplane(parts, planes, i)
    size = np.array([shape.length_bp_m, shape.breadth_m, shape.depth_m])
    at = np.array([found.lcb_m[i], found.tcb_m[i], found.vcb_m[i]])
    return [
        abs(found.volume_m3[i] / volume - 1.0),
        np.max(np.abs(at - centre) / size),
        abs(found.waterplane_area_m2[i] / area - 1.0),
        abs(found.lcf_m[i] - middle[0]) / shape.length_bp_m,
        abs(found.i_t_m4[i] / second[1] - 1.0),
        abs(found.i_l_m4[i] / second[0] - 1.0),
    ]


def largest_differences(family, count):
    rng = np.random.default_rng(5)
    shape = hull_of(family, rng)
    stations = STATIONS.get(family, USUAL_STATIONS)
    solids = solids_of(shape.document((stations - 1) * REFINED + 1, 1))
    document = from_document(HullDocument, shape.document(stations, 1))
    planes = random_planes(shape, rng, count)
    found = hydrostatics(Hull.from_document(document, shape.length_bp_m), planes)
    worst = np.zeros(6)
    for i in range(count):
        worst = np.maximum(worst, differences(found, i, [below(solid, planes, i) for solid in solids], planes, shape))
    return worst


def assert_close(family, count):
    worst = largest_differences(family, count)
    names = ("volume", "centre", "waterplane", "LCF", "I_T", "I_L")
    print(family, ", ".join(f"{name} {value:.1e}" for name, value in zip(names, worst, strict=True)))
    assert worst.max() < 1e-4, dict(zip(names, worst, strict=True))


@pytest.mark.parametrize("family", sorted(FAMILIES))
def test_volume_centre_and_projected_waterplane_agree_with_the_mesh_library(family):
    assert_close(family, FEWER)


@pytest.mark.heavy
@pytest.mark.parametrize("family", sorted(FAMILIES))
def test_two_hundred_planes_agree_with_the_mesh_library(family):
    assert_close(family, PLANES)
