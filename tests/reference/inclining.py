"""Published inclining, list and free surface cases, each computed by public functions of the service's core."""

from __future__ import annotations

from typing import Any

import numpy as np
from heelwright_service.core.formulas import form, free_surface, inclining, masses
from heelwright_service.core.linefit import common_slope, lines_by_group

from tests.reference.units import FOOT_M, FOOT_TON_T_M, LONG_TON_T

Found = dict[str, Any]


def _tangent(heel_deg: float) -> float:
    return float(np.tan(np.radians(heel_deg)))


def inc_01(g: Found) -> Found:
    readings = np.array(g["pendulum_reading_mm_stbd_positive"]) / 1000.0
    moved = np.array(g["weights_moved_state_t"]) * g["shift_distance_m"]
    step = g["weight_each_shift_t"] * g["shift_distance_m"]
    changes = np.abs(np.diff(readings))[np.abs(np.diff(moved)) == step]
    length, mass = g["pendulum_length_m"], g["displacement_t"]
    fit = common_slope(moved, readings / length, np.zeros(len(moved)))
    return {
        "GM_m": inclining.gm_from_shift_m(step, float(changes.mean()) / length, mass),
        "GM_by_regression_of_readings_on_state_m": inclining.gm_from_slope_m(fit.slope, mass),
    }


def inc_imperial(g: Found) -> Found:
    mass = g["displacement_tons"] * LONG_TON_T
    weight, distance = g["weight_tons"] * LONG_TON_T, g["shift_distance_ft"] * FOOT_M
    return {
        "GG1_ft": inclining.shift_of_centre_m(weight, distance, mass) / FOOT_M,
        "GM_ft": inclining.gm_from_shift_m(weight * distance, _tangent(g["heel_deg"]), mass) / FOOT_M,
    }


def inc_07(g: Found) -> Found:
    heel = float(np.degrees(np.arctan(g["deflection_mm"] / 1000.0 / g["pendulum_length_m"])))
    moment = inclining.moment_for_heel_t_m(heel, g["KM_m"] - g["KG_m"], g["displacement_t"])
    return {"shift_distance_m": moment / g["weight_t"]}


def inc_09(g: Found) -> Found:
    moment, tangent = np.array(g["moment_ft_tons"]), np.array(g["tan_heel"])
    one, own = np.zeros(len(moment)), np.tile([0, 1, 2], len(moment) // 3)
    pooled = common_slope(moment, tangent, one)
    return {
        "slope_moment_per_tan_through_origin_ft_tons": common_slope(tangent, moment, one, [0]).slope,
        "slope_moment_on_tan_with_intercept_ft_tons": common_slope(tangent, moment, one).slope,
        "inverse_slope_tan_on_moment_with_intercept_ft_tons": 1.0 / pooled.slope,
        "residual_sd_tan": pooled.residual_standard_deviation,
        "se_slope_tan_per_ft_ton": pooled.slope_standard_error,
        "rel_se_slope": pooled.slope_standard_error / pooled.slope,
        "per_pendulum_inverse_slope_ft_tons": [
            1.0 / line.slope for line in lines_by_group(moment, tangent, own).values()
        ],
        "common_slope_intercept_per_pendulum_ft_tons": 1.0 / common_slope(moment, tangent, own).slope,
    }


def inc_11(g: Found) -> Found:
    moment = g["weight_kg"] / 1000.0 * g["shift_distance_m"]
    return {"heel_deg": inclining.heel_from_moment_deg(moment, g["GM_m"], g["displacement_kg"] / 1000.0)}


def inc_13(g: Found) -> Found:
    per_tonne = inclining.moment_for_heel_t_m(g["heel_deg"], g["GM_m"], 1.0)
    return {
        "displacement_t": g["weight_t"] * g["shift_distance_m"] / per_tonne,
        "pendulum_length_m": inclining.pendulum_length_m(g["deflection_m"], g["heel_deg"]),
    }


def inc_15(g: Found) -> Found:
    heel = float(np.degrees(np.arctan(g["deflection_m"] / g["pendulum_length_m"])))
    per_tonne = inclining.moment_for_heel_t_m(heel, g["GM_m"], 1.0)
    return {"displacement_t": g["weight_t"] * g["shift_distance_m"] / per_tonne}


def inc_17(g: Found) -> Found:
    moment = g["weight_t"] * g["shift_distance_m"]
    heel = inclining.heel_from_moment_deg(moment, g["KM_m"] - g["KG_m"], g["displacement_t"])
    return {"deflection_cm": 100.0 * inclining.pendulum_deflection_m(g["pendulum_length_m"], heel)}


def inc_19(g: Found) -> Found:
    mass, gear = g["displacement_LT"] * LONG_TON_T, g["inclining_gear_LT"] * LONG_TON_T
    slope = 1.0 / (g["slope_ft_LT_per_unit_tan"] * FOOT_TON_T_M)
    gm = inclining.gm_from_slope_m(slope, mass)
    kg = g["KMT_ft"] * FOOT_M - gm
    _, without = masses.combined_centre([mass, -gear], [kg, g["inclining_gear_KG_ft"] * FOOT_M])
    return {"GM_ft": gm / FOOT_M, "KG_inclined_ft": kg / FOOT_M, "KG_without_gear_ft": without / FOOT_M}


def inc_21(g: Found) -> Found:
    moment = g["weight_Mg"] * g["shift_distance_m"]
    tangent = g["deflection_mm"] / 1000.0 / g["pendulum_length_m"]
    return {"GM_mm": 1000.0 * inclining.gm_from_shift_m(moment, tangent, g["displacement_Mg"])}


def inc_23(g: Found) -> Found:
    gm = inclining.gm_from_shift_m(
        g["weight_kN"] * g["shift_distance_m"], _tangent(g["heel_deg"]), g["displacement_kN"]
    )
    rectangle = free_surface.rectangle_second_moment_m4(g["length_m"], g["breadth_m"])
    volume = g["displacement_kN"] / g["water_weight_density_kN_m3"]
    bm = form.metacentric_radius_m(g["waterplane_inertia_fraction_of_rectangle"] * rectangle, volume)
    m_above = bm - g["B_below_waterline_m"]
    return {"GM_m": gm, "BM_m": bm, "M_above_waterline_m": m_above, "G_below_waterline_m": gm - m_above}


def lst_01(g: Found) -> Found:
    moment = g["weight_tons"] * LONG_TON_T * g["shift_distance_ft"] * FOOT_M
    gm, mass = (g["KM_ft"] - g["KG_ft"]) * FOOT_M, g["displacement_tons"] * LONG_TON_T
    return {"heel_deg": inclining.heel_from_moment_deg(moment, gm, mass)}


def lst_03(g: Found) -> Found:
    total, centre = masses.combined_centre(g["shifts_t"], g["shift_m_stbd_positive"])
    moment = total * centre
    return {
        "listing_moment_t_m": moment,
        "heel_deg": inclining.heel_from_moment_deg(moment, g["GM_m"], g["displacement_t"]),
    }


def lst_05(g: Found) -> Found:
    moment = inclining.moment_for_heel_t_m(g["list_required_deg"], g["KM_m"] - g["KG_m"], g["displacement_t"])
    return {"shift_distance_m": moment / g["weight_t"]}


def lst_07(g: Found) -> Found:
    moment, bm = g["weight_t"] * g["shift_distance_m"], g["KM_m"] - g["KB_m"]
    return {"heel_deg": inclining.heel_wall_sided_deg(moment, g["KM_m"] - g["KG_m"], bm, g["displacement_t"])}


def lst_09(g: Found) -> Found:
    every = [g["displacement_t"], *g["items_t"]]
    mass, kg = masses.combined_centre(every, [g["KG_m"], *g["item_KG_m"]])
    _, across = masses.combined_centre(every, [0.0, *g["item_offset_m_stbd_positive"]])
    gm = g["KM_m"] - kg
    return {
        "KG_final_m": kg,
        "GM_final_m": gm,
        "final_moment_t_m_stbd": across * mass,
        "GG1_m": across,
        "heel_deg": inclining.heel_from_moment_deg(across * mass, gm, mass),
    }


def lst_11(g: Found) -> Found:
    heights = [z * FOOT_M for z in g["item_KG_ft"]]
    return {"KG_ft": masses.combined_centre([m * LONG_TON_T for m in g["items_tons"]], heights)[1] / FOOT_M}


def lst_13(g: Found) -> Found:
    return {"GM_ft": g["KM_ft"] - lst_11(g)["KG_ft"]}


def lst_15(g: Found) -> Found:
    mass, kg = masses.combined_centre([g["displacement_t"], *g["loaded_t"]], [g["KG_m"], *g["loaded_KG_m"]])
    return {"deck_cargo_t": masses.mass_for_gm_t(mass, kg, g["KM_m"], g["deck_cargo_KG_m"], g["GM_required_m"])}


def fse_01(g: Found) -> Found:
    moment, mass = g["weight_t"] * g["shift_distance_m"], g["displacement_t"]
    surface = free_surface.rectangle_second_moment_m4(g["tank_length_m"], g["tank_breadth_m"])
    loss = free_surface.free_surface_correction_m(
        [free_surface.free_surface_moment_t_m(g["tank_density_t_m3"], surface)], mass
    )
    gm = g["KM_m"] - g["KG_m"]
    return {
        "heel_no_fs_deg": inclining.heel_from_moment_deg(moment, gm, mass),
        "free_surface_loss_m": loss,
        "heel_with_fs_deg": inclining.heel_from_moment_deg(moment, gm - loss, mass),
    }


def fse_03(g: Found) -> Found:
    corrections = []
    for tank in g["cases"]:
        second = tank.get("i_m4")
        if second is None:
            second = free_surface.rectangle_second_moment_m4(tank["tank_length_m"], tank["tank_breadth_m"])
        moment = free_surface.free_surface_moment_t_m(tank["density"], second)
        corrections.append(free_surface.free_surface_correction_m([moment], tank["displacement_t"]))
    return {"FSC_m": corrections}


CASES = {
    "INC-01": inc_01,
    "INC-03": inc_imperial,
    "INC-05": inc_imperial,
    "INC-07": inc_07,
    "INC-09": inc_09,
    "INC-11": inc_11,
    "INC-13": inc_13,
    "INC-15": inc_15,
    "INC-17": inc_17,
    "INC-19": inc_19,
    "INC-21": inc_21,
    "INC-23": inc_23,
    "LST-01": lst_01,
    "LST-03": lst_03,
    "LST-05": lst_05,
    "LST-07": lst_07,
    "LST-09": lst_09,
    "LST-11": lst_11,
    "LST-13": lst_13,
    "LST-15": lst_15,
    "FSE-01": fse_01,
    "FSE-03": fse_03,
}
