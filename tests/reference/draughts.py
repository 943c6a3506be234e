"""Published integration, trim and draught cases, each computed by public functions of the service's core."""

from __future__ import annotations

from typing import Any

import numpy as np
from heelwright_service.core.formulas import draughts, form, free_surface, integration, masses, trim
from heelwright_service.core.hull import Hull
from heelwright_service.core.hydrostatics import hydrostatics
from heelwright_service.core.planes import Planes
from heelwright_service.core.record import HullDocument, Station

from tests.reference.units import FOOT_M, FOOT_TON_T_M, INCH_M, LONG_TON_T
from tests.support.hulls import box_contour

Found = dict[str, Any]

ANY_LENGTH_M = 100.0
"""Where the centre of flotation is amidships the length drops out of the end draughts."""


def _stations(values: list[float], interval: float) -> np.ndarray[Any, np.dtype[np.float64]]:
    return np.arange(len(values)) * interval


def fse_05(g: Found) -> Found:
    x = _stations(g["widths_from_bulkhead_m"], g["interval_m"])
    surface = free_surface.surface_beside_bulkhead(x, g["widths_from_bulkhead_m"])
    return {
        "area_m2": surface.area_m2,
        "centroid_from_bulkhead_m": surface.centroid_from_bulkhead_m,
        "I_bulkhead_m4": surface.i_bulkhead_m4,
        "I_centroid_m4": surface.i_centroid_m4,
    }


def hyd_01(g: Found) -> Found:
    x = _stations(g["half_ordinates_m"], g["interval_m"])
    area = integration.waterplane_properties(x, g["half_ordinates_m"]).area_m2
    return {"waterplane_area_m2": area, "TPC_t": trim.tonnes_per_cm(area, 100.0 / g["TPC_divisor"])}


def hyd_03(g: Found) -> Found:
    x = np.array(g["stations"]) * g["interval_m"]
    integral, centroid = integration.integral_and_centroid(x, g["half_ordinates_from_aft_m"])
    forward = centroid - 0.5 * g["length_m"]
    sum_of_areas = 3.0 * integral / g["interval_m"]
    return {
        "sum_area_functions": sum_of_areas,
        "sum_moment_functions": sum_of_areas * forward / g["interval_m"],
        "LCF_from_midships_m_fwd_positive": forward,
    }


def hyd_05(g: Found) -> Found:
    x = _stations(g["half_ordinates_m"], g["interval_m"])
    return {"I_centreline_m4": integration.waterplane_properties(x, g["half_ordinates_m"]).i_x_m4}


def hyd_07(g: Found) -> Found:
    x = _stations(g["section_areas_from_aft_m2"], g["interval_m"])
    volume, lcb = integration.integral_and_centroid(x, g["section_areas_from_aft_m2"])
    return {
        "displacement_t": g["density_t_m3"] * volume,
        "LCB_from_midships_m_fwd_positive": lcb - 0.5 * g["length_m"],
    }


def hyd_09(g: Found) -> Found:
    x = _stations(g["breadths_m"], g["interval_m"])
    area = integration.waterplane_properties(x, 0.5 * np.array(g["breadths_m"])).area_m2
    return {"sum_of_products": 3.0 * area / g["interval_m"], "waterplane_area_m2": area}


def hyd_11(g: Found) -> Found:
    volume, kb = integration.integral_and_centroid(g["draughts_m"], g["waterplane_areas_m2"])
    mass, area = g["density_t_m3"] * volume, g["waterplane_areas_m2"][-1]
    allowance = draughts.sinkage_between_waters_m(mass, area, g["density_t_m3"], 1.0)
    return {
        "KB_m": kb,
        "volume_m3": volume,
        "displacement_t": mass,
        "TPC_t": trim.tonnes_per_cm(area, g["density_t_m3"]),
        "FWA_cm": 100.0 * allowance,
    }


def hyd_13(g: Found) -> Found:
    x = _stations(g["half_ordinates_m"], g["interval_m"])
    second = integration.waterplane_properties(x, g["half_ordinates_m"]).i_x_m4
    bm = form.metacentric_radius_m(second, g["displacement_t"] / g["density_t_m3"])
    return {"I_T_m4": second, "BM_m": bm, "GM_m": bm - g["BG_m"]}


def hyd_15(g: Found) -> Found:
    """Only the sums are printed: three half ordinates are made that have them."""
    x = np.array([-1.0, 0.0, 1.0]) * g["interval_m"]
    ends = 0.5 * g["sum_of_second_moment_functions"]
    across = (g["sum_of_cubed_functions"] / 6.0) ** (1.0 / 3.0)
    return {
        "I_L_midships_m4": integration.waterplane_properties(x, [ends, 0.0, ends]).i_y_at_origin_m4,
        "I_T_m4": integration.waterplane_properties(x, [across] * 3).i_x_m4,
    }


def _imperial(g: Found, loads: list[float], levers_fwd_ft: list[float]) -> tuple[Found, float]:
    before = draughts.EndDraughts(g["draught_aft_in"] * INCH_M, g["draught_fwd_in"] * INCH_M)
    middle = 0.5 * ANY_LENGTH_M
    after = trim.draughts_after_loading(
        before,
        [m * LONG_TON_T for m in loads],
        [middle + lever * FOOT_M for lever in levers_fwd_ft],
        g["TPI_tons"] * LONG_TON_T / (100.0 * INCH_M),
        g["ITM_ft_tons"] * FOOT_TON_T_M / (100.0 * INCH_M),
        middle,
        ANY_LENGTH_M,
    )
    found = {"draught_fwd_in": after.draught_fwd_m / INCH_M, "draught_aft_in": after.draught_aft_m / INCH_M}
    return found, (after.trim_m - before.trim_m) / INCH_M


def trm_01(g: Found) -> Found:
    return _imperial(g, [g["weight_tons"]], [-g["distance_aft_of_LCF_ft"]])[0]


def trm_03(g: Found) -> Found:
    found, change = _imperial(g, [-m for m in g["discharged_tons"]], g["lever_ft_fwd_positive"])
    before = 0.5 * (g["draught_fwd_in"] + g["draught_aft_in"])
    after = 0.5 * (found["draught_fwd_in"] + found["draught_aft_in"])
    return {**found, "mean_rise_in": before - after, "trim_change_in": change}


def trm_05(g: Found) -> Found:
    """Printed: 2500 = (102000 − 45·x) − (37800 + 50·x); the other holds leave 25 800 t·m by the stern."""
    others = (102_000.0 - g["hold4_lever_m"] * g["cargo_t"]) - 37_800.0
    wanted = g["MCT1cm_t_m"] * g["trim_change_required_cm_by_head"] - others
    first, fourth = masses.split_between_two_t(g["cargo_t"], wanted, -g["hold1_lever_m"], g["hold4_lever_m"])
    return {"discharge_hold1_t": first, "discharge_hold4_t": fourth}


def trm_07(g: Found) -> Found:
    length = g["length_m"]
    mct = trim.moment_to_change_trim_t_m_per_cm(g["displacement_t"], g["GML_m"], length)
    lcf, tank = (0.5 * length - g[name] for name in ("LCF_aft_of_midships_m", "tank_aft_of_midships_m"))
    wanted = g["required_draught_aft_m"] - g["draught_aft_m"]
    ballast = trim.mass_to_change_draught_t(wanted, 0.0, tank, g["TPC_t"], mct, lcf, length)
    before = draughts.EndDraughts(g["draught_aft_m"], g["draught_fwd_m"])
    after = trim.draughts_after_loading(before, [ballast], [tank], g["TPC_t"], mct, lcf, length)
    return {"MCT1cm_t_m": mct, "ballast_t": ballast, "draught_fwd_final_m": after.draught_fwd_m}


def trm_09(g: Found) -> Found:
    aft_x, fwd_x = g["aft_mark_fwd_of_AP_m"], g["LBP_m"] - g["fwd_mark_aft_of_FP_m"]
    ends = draughts.draughts_at_perpendiculars(
        g["draught_aft_mark_m"], aft_x, g["draught_fwd_mark_m"], fwd_x, g["LBP_m"]
    )
    return {
        "length_between_marks_m": fwd_x - aft_x,
        "fwd_correction_m": ends.draught_fwd_m - g["draught_fwd_mark_m"],
        "draught_FP_m": ends.draught_fwd_m,
        "draught_AP_m": ends.draught_aft_m,
    }


def trm_11(g: Found) -> Found:
    """Any draughts with the trim given: the corrections depend on nothing else."""
    aft_x, span = g["aft_mark_distance_m"], g["length_between_marks_m"]
    fwd_x, length = aft_x + span, aft_x + span + g["fwd_mark_distance_m"]
    aft_reading, fwd_reading = 6.0, 6.0 - g["trim_m"]
    ends = draughts.draughts_at_perpendiculars(aft_reading, aft_x, fwd_reading, fwd_x, length)
    return {
        "aft_correction_m": ends.draught_aft_m - aft_reading,
        "fwd_correction_m": fwd_reading - ends.draught_fwd_m,
    }


def trm_13(g: Found) -> Found:
    tpc = draughts.displacement_in_water_t(g["TPC_sw_t"], 1.025, g["density_t_m3"])
    return {"TPC_t": tpc, "cargo_t": tpc * g["sinkage_cm"]}


def trm_15(g: Found) -> Found:
    x = np.linspace(0.0, g["length_m"], len(g["half_ordinates_m"]))
    area = integration.waterplane_properties(x, g["half_ordinates_m"]).area_m2
    sinkage = draughts.sinkage_between_waters_m(g["displacement_t"], area, g["density_from"], g["density_to"])
    return {"waterplane_area_m2": area, "draught_increase_m": sinkage}


def trm_17(g: Found) -> Found:
    u = np.linspace(-1.0, 1.0, 5)
    planes = {
        "rectangle b=const": np.ones(5),
        "parabola b~1-(2x/L)^2": 1.0 - u**2,
        "rhombus b~1-|2x/L|": 1.0 - np.abs(u),
    }
    # Simpson's rule is exact for cubics, and for the rhombus each half is one; the parabola squared needs fine steps.
    fine = np.linspace(-1.0, 1.0, 401)
    factors = []
    for name in g["waterplanes"]:
        power = name.startswith("parabola")
        factors.append(draughts.hog_factor(fine if power else u, 1.0 - fine**2 if power else planes[name]))
    quarter = draughts.mean_of_means_m(0.0, g["deflection_midships_m"], 0.0) / g["deflection_midships_m"]
    return {"mean_draught_change_over_deflection": factors, "quarter_mean_factor": quarter}


def trm_19(g: Found) -> Found:
    length, mean = g["length_m"], g["draught_midships_m"]
    document = HullDocument(
        [Station(0.0, box_contour(g["breadth_aft_m"], 8.0)), Station(length, box_contour(g["breadth_fwd_m"], 8.0))]
    )
    hull = Hull.from_document(document, length)
    found = hydrostatics(hull, Planes.of(length, mean, trim_m=g["trim_by_stern_m"]))
    area, lcf = float(found.waterplane_area_m2[0]), float(found.lcf_m[0]) - 0.5 * length
    tpc = trim.tonnes_per_cm(area, g["density_t_m3"])
    return {
        "waterplane_area_m2": area,
        "LCF_aft_of_midships_m": -lcf,
        "displacement_t": g["density_t_m3"] * float(found.volume_m3[0]),
        "layer_correction_t": draughts.layer_correction_t(tpc, lcf, g["trim_by_stern_m"], length),
    }


CASES = {
    "FSE-05": fse_05,
    "HYD-01": hyd_01,
    "HYD-03": hyd_03,
    "HYD-05": hyd_05,
    "HYD-07": hyd_07,
    "HYD-09": hyd_09,
    "HYD-11": hyd_11,
    "HYD-13": hyd_13,
    "HYD-15": hyd_15,
    "TRM-01": trm_01,
    "TRM-03": trm_03,
    "TRM-05": trm_05,
    "TRM-07": trm_07,
    "TRM-09": trm_09,
    "TRM-11": trm_11,
    "TRM-13": trm_13,
    "TRM-15": trm_15,
    "TRM-17": trm_17,
    "TRM-19": trm_19,
}
