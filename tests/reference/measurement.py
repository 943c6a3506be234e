"""Published cases of uncertainty, water density and fuel density."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
from heelwright_service.core import fuel, sea_water
from heelwright_service.core.arms import HullSource
from heelwright_service.core.chain import evaluate
from heelwright_service.core.hull import Hull
from heelwright_service.core.input_errors import Errors, no_errors
from heelwright_service.core.linefit import common_slope
from heelwright_service.core.prepared_test import PreparedTest, prepare_test
from heelwright_service.core.record import Sounding, SoundingPipe, Tank, TankRow
from numpy.typing import NDArray
from scipy import special
from scipy.stats import qmc

from tests.reference.records import inclining_record
from tests.support import hulls

Found = dict[str, Any]
Array = NDArray[np.float64]

LOG2_DRAWS = 11
"""Quasi-random draws: 2048 of them know the spread of a nearly linear model better than 10⁵ random ones."""


def straight_line(g: Found) -> Found:
    x = np.array(g["x"]) - g["x0"]
    fit = common_slope(x, g["y"], np.zeros(len(x)))
    u_intercept, u_slope = np.sqrt(np.diag(fit.covariance))
    at = np.array([1.0, g["predict_at"] - g["x0"]])
    return {
        "intercept": fit.intercepts[0],
        "u_intercept": u_intercept,
        "slope": fit.slope,
        "u_slope": u_slope,
        "correlation": fit.covariance[0, 1] / (u_intercept * u_slope),
        "residual_sd": fit.residual_standard_deviation,
        "prediction": at @ [fit.intercepts[0], fit.slope],
        "u_prediction": np.sqrt(at @ fit.covariance @ at),
    }


def _barge(g: Found) -> tuple[PreparedTest, HullSource]:
    """The barge as a record: the shift to starboard and to port, one pendulum, one slack tank of the stated moment."""
    length, moment = g["length_m"], g["weight_t"] * g["shift_m"]
    tangent = g["deflection_m"] / g["pendulum_length_m"]
    surface = TankRow(1.0, 100.0, 30.0, 0.0, 0.5, g["free_surface_moment_t_m"], 0.0)
    tank = Tank(
        "slack", 200.0, SoundingPipe(30.0, 0.0, 0.0), [replace(surface, sounding_m=0.0, volume_m3=0.0), surface]
    )
    record = inclining_record(
        hulls.prism_document(hulls.box_contour(g["breadth_m"], 6.0), length),
        length,
        g["density_t_m3"] * length * g["breadth_m"] * g["draught_m"],
        g["density_t_m3"],
        [0.0, moment, -moment],
        [0.0, tangent, -tangent],
        g["pendulum_length_m"],
        [tank],
        [Sounding("slack", "slack", 1.0, sounding_m=0.5)],
    )
    test = prepare_test(record)
    assert record.vessel.hull is not None
    return test, HullSource(Hull.from_document(record.vessel.hull, length), 4.2)


def _kg(test: PreparedTest, source: HullSource, errors: Errors) -> tuple[Array, Array]:
    outcome = evaluate(test, errors, source, heeled=False)
    assert outcome.small_angle is not None
    return outcome.small_angle.kg_m, outcome.displacement_t


def _with_deviations(g: Found, test: PreparedTest, deviations: Found) -> Errors:
    """Errors of the record's inputs that are the deviations of the model's, shape (p,) each."""
    count = len(next(iter(deviations.values())))
    none = no_errors(test, count)
    assert test.movements is not None
    side = np.sign(test.movements.spot_m[:, 1])
    none.spot_m[..., 1] = deviations["shift distance"][:, None] * side * g["weight_t"] / 10.0
    reading = np.array([0.0, 1.0, -1.0]) / g["pendulum_length_m"]
    return replace(
        none,
        height_m=none.height_m + deviations["draught"][:, None],
        density_t_per_m3=deviations["water density"],
        weight_mass_relative=deviations["weight mass"][:, None] / g["weight_t"],
        length_m=deviations["pendulum length"][:, None],
        reading=deviations["deflection"][:, None] * reading,
        km_m=deviations["hydrostatic KM"],
    )


def barge_budget(g: Found) -> Found:
    test, source = _barge(g)
    names, standards = g["sequence"], g["standard_uncertainties"]

    def kg(deviations: Found) -> Array:
        found, displacement = _kg(test, source, _with_deviations(g, test, deviations))
        return found - deviations["free-surface moment"] / displacement

    steps = np.eye(len(names))
    up, down = (
        kg({name: sign * 0.01 * standards[name] * steps[i] for i, name in enumerate(names)}) for sign in (1.0, -1.0)
    )
    u = np.array([standards[name] for name in names])
    sensitivity = (up - down) / (0.02 * u)
    combined = float(np.sqrt(np.sum((sensitivity * u) ** 2)))
    shares = qmc.Sobol(len(names), rng=2024).random_base2(LOG2_DRAWS)
    drawn = kg({name: standards[name] * special.ndtri(shares[:, i]) for i, name in enumerate(names)})
    nominal = kg({name: np.zeros(1) for name in names})
    return {
        "KG_m": nominal[0],
        "sensitivity": sensitivity,
        "contribution_mm": 1000.0 * sensitivity * u,
        "u_c_KG_mm": 1000.0 * combined,
        "U95_k2_mm": 2000.0 * combined,
        "monte_carlo_sd_mm": 1000.0 * float(np.std(drawn, ddof=1)),
        "monte_carlo_95_interval_m": np.quantile(drawn, [0.025, 0.975]),
    }


def eos80(g: Found) -> Found:
    """The function takes the temperature scale of 1990, the case gives that of 1968."""
    pairs = zip(g["S_pss78"], g["t68_C"], strict=True)
    return {"rho_kg_m3": [1000.0 * sea_water.density_eos80_t_per_m3(s, t / 1.00024) for s, t in pairs]}


def teos10_in_place(g: Found) -> Found:
    salinity = g["SA_g_kg"]
    return {"rho_kg_m3": [1000.0 * sea_water.density_at_absolute_salinity_t_per_m3(salinity, t) for t in g["t90_C"]]}


def teos10_conservative(g: Found) -> Found:
    rows = zip(g["SA_g_kg"], g["CT_C"], g["p_dbar"], strict=True)
    return {"rho_kg_m3": [1000.0 * sea_water.density_at_conservative_temperature_t_per_m3(*row) for row in rows]}


def petroleum(g: Found) -> Found:
    rows = [(d / 1000.0, t) for d, t in zip(g["density15_kg_m3"], g["temperature_C"], strict=True)]
    return {
        "alpha15_per_C": [fuel.thermal_expansion_per_c(d) for d, _ in rows],
        "VCF": [fuel.volume_correction_factor(d, t) for d, t in rows],
        "density_at_T_kg_m3": [1000.0 * fuel.density_at_temperature_t_per_m3(d, t) for d, t in rows],
    }


def api(g: Found) -> Found:
    return {"API": [fuel.api_gravity(value) for value in g["relative_density_60F"]]}


CASES = {
    "UNC-01": straight_line,
    "UNC-03": barge_budget,
    "DEN-01": eos80,
    "DEN-03": teos10_in_place,
    "DEN-05": teos10_conservative,
    "FUE-01": petroleum,
    "FUE-03": api,
}
