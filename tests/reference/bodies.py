"""Bodies with exact hydrostatics, a published hull series, and inclining tests simulated on exact sections."""

from __future__ import annotations

from typing import Any

import numpy as np
from heelwright_service.core.arms import HullSource
from heelwright_service.core.chain import evaluate
from heelwright_service.core.equilibrium import float_at_heel
from heelwright_service.core.formulas import form
from heelwright_service.core.hull import Hull
from heelwright_service.core.hydrostatics import VOLUME, VOLUME_Y, VOLUME_Z, hydrostatics
from heelwright_service.core.input_errors import no_errors
from heelwright_service.core.planes import Planes
from heelwright_service.core.prepared_test import prepare_test
from heelwright_service.core.record import HullDocument, Station
from numpy.typing import NDArray
from scipy.interpolate import PchipInterpolator
from scipy.optimize import minimize_scalar

from tests.reference.records import inclining_record
from tests.support import hulls
from tests.support.closed_forms import ellipse_crossings

Found = dict[str, Any]
Array = NDArray[np.float64]

POINTS_AN_ARC = 40
CORNERS = 32


def _kn(y_b: float, z_b: float, heel_deg: float) -> float:
    heel = np.radians(heel_deg)
    return float(y_b * np.cos(heel) + z_b * np.sin(heel))


def _box(g: Found) -> Hull:
    return hulls.prism(hulls.box_contour(g["breadth_m"], g["depth_m"]), g["length_m"])


def box_heeled_and_trimmed(g: Found) -> Found:
    hull, length = _box(g), g["length_m"]
    trim_by_stern = -length * float(np.tan(np.radians(g["trim_angle_deg_bow_down"])))
    start = Planes.of(length, 4.0, trim_m=trim_by_stern, heel_deg=g["heel_deg_stbd_down"])
    planes = hulls.plane_at_volume(hull, g["volume_m3"], start)
    found = hydrostatics(hull, planes)
    return {
        "x_B_m": float(found.lcb_m[0]) - 0.5 * length,
        "y_B_m": float(found.tcb_m[0]),
        "z_B_m": float(found.vcb_m[0]),
        "draught_at_origin_m": float(planes.draught_mid_m[0]),
    }


def wedge_heeled(g: Found) -> Found:
    draught, heel = g["upright_draught_m"], g["heel_deg_stbd_down"]
    hull = hulls.prism(hulls.wedge_contour(g["half_angle_deg"], 3.0 * draught), g["length_m"])
    upright = hydrostatics(hull, Planes.of(g["length_m"], draught))
    planes, found = hulls.heeled_at_volume(hull, float(upright.volume_m3[0]), heel, draught)
    return {
        "volume_m3": upright.volume_m3[0],
        "y_B_m": found.tcb_m[0],
        "z_B_m": found.vcb_m[0],
        "depth_of_apex_below_waterline_m": planes.draught_mid_m[0] * np.cos(np.radians(heel)),
        "KN_m": _kn(found.tcb_m[0], found.vcb_m[0], heel),
        "KM_upright_m": upright.km_t_m[0],
    }


def ellipse_heeled(g: Found) -> Found:
    a, b, draught = g["semi_breadth_m"], g["semi_depth_m"], g["upright_draught_m"]
    heel, length = g["heel_deg_stbd_down"], g["length_m"]
    breaks = [*ellipse_crossings(a, b, draught, heel), *ellipse_crossings(a, b, draught, 0.0)]

    def measure(points: int) -> Array:
        hull = hulls.prism(hulls.ellipse_contour(a, b, points, breaks), length)
        upright = hydrostatics(hull, Planes.of(length, draught))
        _, found = hulls.heeled_at_volume(hull, float(upright.volume_m3[0]), heel, draught)
        return np.concatenate(
            [
                upright.volume_m3,
                0.5 * upright.waterplane_area_m2 / length,
                upright.vcb_m,
                upright.i_t_m4 / upright.volume_m3,
                upright.km_t_m,
                found.tcb_m,
                found.vcb_m,
            ]
        )

    volume, half_breadth, kb, bm, km, y_b, z_b = hulls.extrapolated(measure, POINTS_AN_ARC)
    return {
        "volume_m3": volume,
        "waterline_half_breadth_m": half_breadth,
        "KB_upright_m": kb,
        "BM_T_upright_m": bm,
        "KM_upright_m": km,
        "y_B_m": y_b,
        "z_B_m": z_b,
        "KN_m": _kn(y_b, z_b, heel),
    }


def cone_heeled(g: Found) -> Found:
    angle, draught, heel = g["half_angle_deg"], g["upright_draught_m"], g["heel_deg"]

    def measure(corners: int) -> Array:
        planes, upright = hulls.floated_pyramid(angle, 2.0 * draught, corners, draught, 0.0)
        assert abs(float(planes.draught_mid_m[0]) - draught) < 1e-9
        _, found = hulls.floated_pyramid(angle, 2.0 * draught, corners, draught, heel)
        bm = upright.i_t_m4 / upright.volume_m3
        return np.concatenate([upright.volume_m3, upright.vcb_m, bm, upright.km_t_m, found.tcb_m, found.vcb_m])

    volume, kb, bm, km, y_b, z_b = hulls.extrapolated(measure, CORNERS)
    return {
        "volume_m3": volume,
        "KB_upright_m": kb,
        "BM_upright_m": bm,
        "KM_upright_m": km,
        "y_B_m": y_b,
        "z_B_m": z_b,
        "KN_m": _kn(y_b, z_b, heel),
    }


def least_km_of_a_box(g: Found) -> Found:
    hull = hulls.prism(hulls.box_contour(g["breadth_m"], 3.0 * g["breadth_m"]), 50.0)

    def km(draught: float) -> float:
        return float(hydrostatics(hull, Planes.of(50.0, draught)).km_t_m[0])

    least = minimize_scalar(km, bounds=(1.0, 9.0), method="bounded", options={"xatol": 1e-6})
    at = hydrostatics(hull, Planes.of(50.0, g["draught_m"]))
    bm = form.metacentric_radius_m(float(at.i_t_m4[0]), float(at.volume_m3[0]))
    return {"min_KM_m": least.fun, "draught_at_min_KM_m": least.x, "BM_at_3p5_m": bm}


def _levers(hull: Hull, volume: float, draught: float, heels_deg: list[float]) -> tuple[float, Array]:
    """KM upright and N/tan φ at constant volume, free to trim."""
    upright = hydrostatics(hull, Planes.of(hull.length_bp_m, draught))
    count = len(heels_deg)
    start = Planes.of(hull.length_bp_m, np.full(count, draught), heel_deg=np.array(heels_deg))
    along, above = np.full(count, float(upright.lcb_m[0])), np.full(count, float(upright.km_t_m[0]) - 1.0)
    planes, moments = float_at_heel(hull, np.full(count, volume), along, above, start)
    levers = (moments[:, VOLUME_Y] + planes.slope_y * moments[:, VOLUME_Z]) / moments[:, VOLUME]
    return float(upright.km_t_m[0]), levers / planes.slope_y


def _error_of_small_angles(km: float, ratio: Array) -> Found:
    return {"KM_upright_m": km, "N_over_tan_m": ratio, "classical_KG_error_mm": 1000.0 * (km - ratio)}


def section_heeled(g: Found) -> Found:
    length = 50.0
    if "section_polygon_yz_m" in g:
        hull = hulls.prism(hulls.half_of(g["section_polygon_yz_m"]), length)
        volume = g["immersed_area_m2"] * length
        draught = float(hulls.plane_at_volume(hull, volume, Planes.of(length, 3.0)).draught_mid_m[0])
    else:
        draught = g["draught_m"]
        hull = hulls.prism(hulls.box_contour(g["breadth_m"], g["depth_m"]), length)
        volume = g["breadth_m"] * draught * length
    return _error_of_small_angles(*_levers(hull, volume, draught, g["heel_deg"]))


def circle_heeled(g: Found) -> Found:
    a, b, draught, length = g["semi_breadth_m"], g["semi_depth_m"], g["draught_m"], 50.0
    breaks = sorted({angle for heel in (0.0, *g["heel_deg"]) for angle in ellipse_crossings(a, b, draught, heel)})

    def measure(points: int) -> Array:
        hull = hulls.prism(hulls.ellipse_contour(a, b, points, breaks), length)
        volume = float(hydrostatics(hull, Planes.of(length, draught)).volume_m3[0])
        km, ratio = _levers(hull, volume, draught, g["heel_deg"])
        return np.array([km, *ratio])

    km, *ratio = hulls.extrapolated(measure, 6)
    return _error_of_small_angles(km, np.array(ratio))


def inclined_on_an_exact_section(g: Found) -> Found:
    if "semi_breadth_m" not in g:
        kg, tcg, classical, gm, km = _reduced(g, hulls.half_of(g["section_polygon_yz_m"]))
    else:
        a, b = g["semi_breadth_m"], g["semi_depth_m"]
        list_deg = float(np.degrees(np.arctan(g["tan_heel_stbd_down"][0])))
        breaks = [angle for heel in (0.0, list_deg) for angle in ellipse_crossings(a, b, g["draught_m"], heel)]
        kg, tcg, classical, gm, km = hulls.extrapolated(
            lambda points: _reduced(g, hulls.ellipse_contour(a, b, points, breaks)), POINTS_AN_ARC
        )
    return {
        "KG_generalised_m": kg,
        "TCG_generalised_m": tcg,
        "KG_classical_slope_m": classical,
        "GM_classical_m": gm,
        "KM_upright_m": km,
        "classical_error_mm": 1000.0 * (classical - kg),
    }


def _reduced(g: Found, contour: hulls.Contour) -> Array:
    """KG and TCG by the heeled method, KG and GM by the small-angle method, KM."""
    length = g["length_m"]
    document = hulls.prism_document(contour, length)
    moments, tangents = g["moment_t_m_stbd_positive"], g["tan_heel_stbd_down"]
    record = inclining_record(document, length, g["displacement_t"], g["density_t_m3"], moments, tangents)
    test = prepare_test(record)
    outcome = evaluate(test, no_errors(test), HullSource(Hull.from_document(document, length), 6.0))
    small, heeled = outcome.small_angle, outcome.heeled
    assert small is not None
    assert heeled is not None
    return np.concatenate([heeled.kg_m, heeled.tcg_m, small.kg_m, small.gm_fluid_m, outcome.floating.km_t_m])


def _series_60(g: Found, length: float, breadth: float, draught: float, rounded: bool) -> Hull:
    levels = np.array(g["waterlines_fraction_of_T"])
    fine = np.unique(np.concatenate([levels, np.linspace(0.0, levels[-1], 61)])) if rounded else levels
    stations = []
    for station, offsets in zip(g["stations_from_AP"], g["half_breadth_over_half_B"], strict=True):
        half = 0.5 * breadth * (PchipInterpolator(levels, offsets)(fine) if rounded else np.array(offsets))
        contour = [(0.0, 0.0), *zip(half.tolist(), (draught * fine).tolist(), strict=True)]
        stations.append(Station(length * station / 10.0, contour))
    return Hull.from_document(HullDocument(stations), length)


def series_60_form(g: Found) -> Found:
    draught = 1.0
    breadth = g["B_over_T"] * draught
    length = g["L_over_B"] * breadth
    hull = _series_60(g, length, breadth, draught, rounded=True)
    found = hydrostatics(hull, Planes.of(length, draught))
    middle = g["stations_from_AP"].index(5)
    half = 0.5 * breadth * np.array(g["half_breadth_over_half_B"][middle])
    levels = draught * np.array(g["waterlines_fraction_of_T"])
    midship = hulls.prism([(0.0, 0.0), *zip(half, levels, strict=True)], length)
    at = hydrostatics(midship, Planes.of(length, draught))
    block = form.block_coefficient(float(found.volume_m3[0]), length, breadth, draught)
    full = form.block_coefficient(float(at.volume_m3[0]), length, breadth, draught)
    return {
        "C_B": block,
        "C_M": full,
        "C_P": block / full,
        "C_WP": found.waterplane_area_m2[0] / (length * breadth),
        "LCB_percent_L_fwd": 100.0 * (found.lcb_m[0] / length - 0.5),
    }


def series_60_heeled(g: Found, shape: Found) -> Found:
    length, breadth, draught = g["L_m"], g["B_m"], g["T_m"]
    hull = _series_60(shape, length, breadth, draught, rounded=True)
    volume = float(hydrostatics(hull, Planes.of(length, draught)).volume_m3[0])
    km, ratio = _levers(hull, volume, draught, g["heel_deg"])
    straight = _series_60(shape, length, breadth, draught, rounded=False)
    half_volume = float(hydrostatics(straight, Planes.of(length, 0.5 * draught)).volume_m3[0])
    half_km, half_ratio = _levers(straight, half_volume, 0.5 * draught, g["heel_deg"])
    return {
        "KM_upright_m": km,
        "classical_KG_error_mm": 1000.0 * (km - ratio),
        "classical_KG_error_half_draught_linear_mm": 1000.0 * (half_km - half_ratio),
    }


CASES = {
    "ANA-02": box_heeled_and_trimmed,
    "ANA-04": box_heeled_and_trimmed,
    "ANA-06": wedge_heeled,
    "ANA-08": ellipse_heeled,
    "ANA-10": ellipse_heeled,
    "ANA-12": cone_heeled,
    "ANA-14": least_km_of_a_box,
    "MTH-01": section_heeled,
    "MTH-03": circle_heeled,
    "MTH-05": section_heeled,
    "MTH-07": section_heeled,
    "MTH-09": section_heeled,
    "MTH-21": inclined_on_an_exact_section,
    "MTH-23": inclined_on_an_exact_section,
    "HUL-01": series_60_form,
}
