"""The reduction of a test record: from what was read on board to the lightship, its doubts, checks and cautions."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from heelwright_service.core.arms import HullSource, HydrostaticSource, TableSource
from heelwright_service.core.chain import Outcome, evaluate
from heelwright_service.core.checks import CheckInput, judge
from heelwright_service.core.errors import CoreError
from heelwright_service.core.fit_results import heeled_result, small_angle_result
from heelwright_service.core.hull import Hull
from heelwright_service.core.hydrostatic_table import HydrostaticTable
from heelwright_service.core.input_errors import no_errors
from heelwright_service.core.lightship_table import known, lightship_table
from heelwright_service.core.liquids import VOLUME_ROW
from heelwright_service.core.planes import Planes
from heelwright_service.core.prepared_test import PreparedTest, prepare_test
from heelwright_service.core.record import TestRecord
from heelwright_service.core.slope_evidence import refuse_doubtful_slopes
from heelwright_service.core.small_angle import knows_upright
from heelwright_service.core.test_result import (
    AsInclined,
    LightshipResult,
    TestResult,
    WaterlineResidual,
    WaterlineResult,
)
from heelwright_service.core.uncertainty.assess import Wanted, assess
from heelwright_service.core.waterline import refuse_water_off_hull, waterline_fit

Array = NDArray[np.float64]

METHOD_VERSION = "4"
"""Raised whenever the same record would give another result."""

Method = Literal["small-angle", "heeled-equilibrium", "both"]

ASSUMED_VCG_SHARE_OF_DEPTH = 0.7
"""Where a survey has no approved VCG to lean on: 70 % of the depth (46 CFR 170.200 for tank vessels)."""


@dataclass(frozen=True)
class Reduced:
    """A reduction with its working, for those who go on computing with it.

    Parameters
    ----------
    test : PreparedTest
        The record made ready.
    source : HydrostaticSource
        Exact hydrostatics.
    outcome : Outcome
        The nominal outcome, shape (1,).
    best : str
        The method of the best estimate.
    assumed_kg_m : float or None
        KG assumed for a survey [m].
    hull : Hull or None
        The lofted hull.
    table : HydrostaticTable or None
        The table, where no hull is given.
    """

    test: PreparedTest
    source: HydrostaticSource
    outcome: Outcome
    best: str
    assumed_kg_m: float | None
    hull: Hull | None
    table: HydrostaticTable | None


def reduce_record(
    record: TestRecord,
    method: Method | None = None,
    uncertainty: str = "linear",
    draws: int | None = None,
    seed: int = 1,
) -> TestResult:
    """Reduce a test record to the lightship.

    Parameters
    ----------
    record : TestRecord
        The record; without states and readings it is a lightweight survey, which measures no VCG.
    method : {"small-angle", "heeled-equilibrium", "both"}, optional
        By default both where a hull form is given, else small-angle.
    uncertainty : {"none", "linear", "monte-carlo"}
        How the doubts are evaluated.
    draws : int, optional
        Draws of a simulation; by default as many as stable intervals need.
    seed : int
        Seed of a simulation.

    Returns
    -------
    TestResult
        Results of the methods, lightship, table, uncertainty, checks and cautions.

    Raises
    ------
    CoreError
        Naming the field whenever the record cannot be computed.
    """
    reduced = work_out(record, method)
    test, outcome, best = reduced.test, reduced.outcome, reduced.best
    doubts = assess(test, outcome, reduced.source, best, reduced.assumed_kg_m, Wanted(uncertainty, draws, seed))
    kg = None if doubts is None else doubts.quantities.get("kg_m")
    half_width = None if kg is None else 0.5 * (kg.high_95 - kg.low_95)
    judgement = judge(CheckInput(test, outcome, half_width, reduced.hull, reduced.table))
    small = None if method == "heeled-equilibrium" else small_angle_result(test, outcome)
    by_method = {name: _lightship(outcome, name) for name in outcome.lightship if name == best or small is not None}
    return TestResult(
        as_inclined=_as_inclined(test, outcome, best, reduced.source),
        small_angle=small,
        heeled_equilibrium=heeled_result(test, outcome),
        lightship=_lightship(outcome, best),
        lightship_by_method=by_method,
        lightship_table=lightship_table(test, outcome, best),
        uncertainty=doubts,
        checks=judgement.checks,
        cautions=judgement.cautions,
    )


def work_out(record: TestRecord, method: Method | None = None) -> Reduced:
    """Run the nominal chain of a record and keep its working.

    Parameters
    ----------
    record : TestRecord
        The record.
    method : {"small-angle", "heeled-equilibrium", "both"}, optional
        As in `reduce_record`.

    Returns
    -------
    Reduced
        The working.

    Raises
    ------
    CoreError
        Naming the field whenever the record cannot be computed.
    """
    vessel = record.vessel
    hull = table = None
    if vessel.hull is not None:
        hull = Hull.from_document(vessel.hull, vessel.length_bp_m)
    elif vessel.hydrostatic_table is not None:
        table = HydrostaticTable(vessel.hydrostatic_table, vessel.length_bp_m)
    else:
        raise CoreError(
            "hull-or-table-missing",
            "The vessel has neither a hull form nor a hydrostatic table; one of them is needed.",
            "/vessel",
        )
    if method in ("heeled-equilibrium", "both") and hull is None:
        raise CoreError(
            "method-needs-hull",
            "The heeled-equilibrium method needs the hull form; a hydrostatic table holds upright values only. Give "
            "the hull, or ask for the small-angle method.",
            "/vessel/hydrostatic_table",
        )
    test = prepare_test(record)
    refuse_doubtful_slopes(test)
    if hull is not None:
        return _on_hull(test, hull, method)
    assert table is not None  # noqa: S101 - one of them is given
    return _nominal(test, TableSource(table), None, table, heeled=False)


def _on_hull(test: PreparedTest, hull: Hull, method: Method | None) -> Reduced:
    """Small-angle first: its KG is the height about which the ship trims while she heels."""
    refuse_water_off_hull(test.points, hull.depth_limits_m)
    start = _nominal(test, HullSource(hull, 0.0), hull, None, heeled=False)
    if test.movements is None or method == "small-angle":
        return start
    fitted = start.outcome.small_angle
    centre = 0.0 if fitted is None else float(fitted.kg_m[0] + _free_surface_m(start.outcome))
    return _nominal(test, HullSource(hull, centre), hull, None, heeled=True)


def _nominal(
    test: PreparedTest, source: HydrostaticSource, hull: Hull | None, table: HydrostaticTable | None, heeled: bool
) -> Reduced:
    errors = no_errors(test)
    if test.movements is not None:
        outcome = evaluate(test, errors, source, heeled=heeled)
        _refuse_no_mass(test, outcome)
        best = "heeled-equilibrium" if outcome.heeled is not None else "small-angle"
        return Reduced(test, source, outcome, best, None, hull, table)
    approved = test.record.vessel.approved_lightship
    if approved is None:
        height = _assumed_height_m(test, hull)
        found = _without_tcg(evaluate(test, errors, source, height))
        _refuse_no_mass(test, found)
        return Reduced(test, source, found, "lightweight-survey", height, hull, table)
    first = evaluate(test, errors, source, approved.vcg_m)
    _refuse_no_mass(test, first)
    kg = _kg_as_inclined_m(test, first, approved.vcg_m)
    return Reduced(test, source, evaluate(test, errors, source, kg), "lightweight-survey", kg, hull, table)


def _refuse_no_mass(test: PreparedTest, outcome: Outcome) -> None:
    """More deducted than floats is a slip of a mass or a unit: no lightship can be told from it."""
    mass = min(float(light.mass_t[0]) for light in outcome.lightship.values())
    if mass > 0.0:
        return
    afloat = float(outcome.displacement_t[0])
    deducted = {
        "items": sum(item.mass_t * {"surplus": 1.0, "missing": -1.0}.get(item.kind, 0.0) for item in test.record.items)
        + sum(person.mass_t for person in test.record.persons),
        "inclining_weights": sum(weight.mass_t for weight in test.record.inclining_weights),
        "soundings": sum(
            float(volume) * tank.sounding.density_t_per_m3
            for volume, tank in zip(outcome.contents[0, :, VOLUME_ROW], test.tanks, strict=True)
        ),
    }
    largest = max(deducted, key=lambda name: deducted[name])
    if largest == "items" and not test.record.items:
        largest = "persons"
    raise CoreError(
        "lightship-without-mass",
        f"{afloat - mass:.3f} t are deducted from a ship that displaces {afloat:.3f} t, so no lightship is left; check "
        "the masses and their unit (t), the soundings, and the draughts.",
        f"/{largest}",
    )


def _without_tcg(outcome: Outcome) -> Outcome:
    """Forget a TCG that rests on no GM."""
    unknown = np.full(len(outcome.displacement_t), np.nan)
    light = {name: replace(value, tcg_m=unknown) for name, value in outcome.lightship.items()}
    centres = {name: np.column_stack([c[:, 0], unknown, c[:, 2]]) for name, c in outcome.centre_m.items()}
    return replace(outcome, lightship=light, centre_m=centres)


def _assumed_height_m(test: PreparedTest, hull: Hull | None) -> float:
    depth = test.record.vessel.depth_m
    if depth is None and hull is not None:
        depth = hull.depth_limits_m[1] - hull.depth_limits_m[0]
    return ASSUMED_VCG_SHARE_OF_DEPTH * (depth if depth is not None else 2.0 * float(test.points.z_m.mean()))


def _kg_as_inclined_m(test: PreparedTest, outcome: Outcome, light_vcg_m: float) -> float:
    """Height of the centre of gravity as surveyed if the lightship still has its approved VCG."""
    mass = float(outcome.lightship["lightweight-survey"].mass_t[0])
    moment = mass * light_vcg_m
    for j, tank in enumerate(test.tanks):
        volume, _, _, z = outcome.contents[0, j, :4]
        moment += volume * tank.sounding.density_t_per_m3 * z
    carried = test.carried
    moment -= float(np.sum(carried.sign * carried.mass_t * carried.at_m[:, 2]))
    moment -= float(np.sum(carried.mass_t * carried.move_m[:, 2]))
    return moment / float(outcome.displacement_t[0])


def _free_surface_m(outcome: Outcome) -> float:
    return float(outcome.free_surface_t_m[0] / outcome.displacement_t[0])


def _lightship(outcome: Outcome, method: str) -> LightshipResult:
    light = outcome.lightship[method]
    return LightshipResult(
        float(light.mass_t[0]), float(light.lcg_m[0]), known(light.tcg_m[0]), known(light.vcg_m[0]), method
    )


def _as_inclined(test: PreparedTest, outcome: Outcome, best: str, source: HydrostaticSource) -> AsInclined:
    centre = outcome.centre_m[best][0]
    floating = outcome.floating
    straight = waterline_fit(test.points, test.heights_standard_m, test.record.vessel.length_bp_m, with_hog=False)
    without_hog = straight.planes(test.points.z_m[None], outcome.planes.slope_y)
    displacement = outcome.density_t_per_m3 * source.floating(without_hog).volume_m3
    return AsInclined(
        _waterline(test, outcome.planes),
        float(outcome.density_t_per_m3[0]),
        float(outcome.volume_m3[0]),
        float(outcome.displacement_t[0]),
        float(displacement[0]),
        float(floating.lcb_m[0]),
        float(floating.tcb_m[0]) if test.fit.determined[2] or knows_upright(test) else None,
        float(floating.vcb_m[0]),
        float(floating.km_t_m[0]),
        float(centre[0]),
        known(centre[1]),
        known(centre[2]),
    )


def _waterline(test: PreparedTest, planes: Planes) -> WaterlineResult:
    residuals = test.fit.residuals_m(test.points.z_m[None])[0]
    allowed = test.fit.residual_standard_deviations_m(test.heights_standard_m)
    length = planes.length_bp_m
    t0, slope = float(planes.t0_m[0]), float(planes.slope_x[0])
    rows = [
        WaterlineResidual(
            name,
            float(test.points.x_m[i]),
            float(test.points.y_m[i]),
            float(test.points.z_m[i]),
            float(residuals[i]),
            float(allowed[i]),
        )
        for i, name in enumerate(test.points.names)
    ]
    return WaterlineResult(
        t0,
        t0 + 0.5 * slope * length,
        t0 + slope * length,
        float(planes.trim_m[0]),
        float(planes.heel_deg[0]),
        float(planes.hog_m[0]),
        rows,
    )
