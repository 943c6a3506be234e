"""The fits of a reduction told reading by reading, for tables and plots."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from heelwright_service.core.chain import Outcome
from heelwright_service.core.linefit import LineFit, common_slope, lines_by_group
from heelwright_service.core.prepared_test import PreparedTest
from heelwright_service.core.readings import MILLIMETRES
from heelwright_service.core.small_angle import SmallAngle, has_zero_mark
from heelwright_service.core.test_result import Fit, FitPoint, HeeledResult, InstrumentResult, SmallAngleResult

Array = NDArray[np.float64]


def pooled_line(test: PreparedTest, small: SmallAngle) -> LineFit:
    """Fit the pooled line of a test: one slope, an intercept for each instrument.

    Parameters
    ----------
    test : PreparedTest
        The record made ready; it has readings.
    small : SmallAngle
        Its small-angle reduction, shape (1,).

    Returns
    -------
    LineFit
        The line on the effective moments.
    """
    assert test.tangents is not None  # noqa: S101 - callers have readings
    return common_slope(small.effective_t_m[0], small.tangents[0], test.tangents.instrument_index, _fixed(test))


def small_angle_result(test: PreparedTest, outcome: Outcome) -> SmallAngleResult | None:
    """Tell the small-angle fit.

    Parameters
    ----------
    test : PreparedTest
        The record made ready.
    outcome : Outcome
        The nominal outcome, shape (1,).

    Returns
    -------
    SmallAngleResult or None
        None for a survey.
    """
    small = outcome.small_angle
    if small is None or test.tangents is None:
        return None
    line = pooled_line(test, small)
    gm = float(small.gm_fluid_m[0])
    correction = float(outcome.free_surface_t_m[0] / outcome.displacement_t[0])
    intercepts = dict(zip(line.groups, line.intercepts, strict=True))
    fitted = line.slope * small.effective_t_m[0] + np.array([intercepts[g] for g in test.tangents.instrument_index])
    fit = Fit(
        _points(test, small.effective_t_m[0], small.tangents[0], fitted, line.studentised_residuals),
        {test.record.instruments[g].id: float(v) for g, v in intercepts.items()},
        line.residual_standard_deviation,
        line.degrees_of_freedom,
        line.slope,
        line.slope_standard_error,
        line.r_squared,
    )
    return SmallAngleResult(
        gm,
        correction,
        gm + correction,
        float(small.kg_m[0]),
        float(small.tcg_m[0]),
        gm * line.slope_standard_error / line.slope,
        _instruments(test, outcome, small),
        fit,
    )


def heeled_result(test: PreparedTest, outcome: Outcome) -> HeeledResult | None:
    """Tell the heeled-equilibrium fit.

    Parameters
    ----------
    test : PreparedTest
        The record made ready.
    outcome : Outcome
        The nominal outcome, shape (1,).

    Returns
    -------
    HeeledResult or None
        None where the method was not run.
    """
    heeled, small = outcome.heeled, outcome.small_angle
    if heeled is None or small is None or test.tangents is None:
        return None
    offsets = small.tangents[0] - heeled.predicted[0] - heeled.residuals[0]
    marks = has_zero_mark(test)
    intercepts = {
        instrument.id: float(offsets[test.tangents.instrument_index == i][0])
        for i, instrument in enumerate(test.record.instruments)
        if (test.tangents.instrument_index == i).any()
    }
    unknowns = int(marks.sum()) + (2 if test.fits_list_from_readings else 1)
    freedom = len(offsets) - unknowns
    spread = float(np.sqrt(np.sum(heeled.residuals[0] ** 2) / freedom)) if freedom > 0 else 0.0
    fit = Fit(
        _points(test, small.moments_t_m[0], small.tangents[0], heeled.predicted[0] + offsets, None),
        intercepts,
        spread,
        freedom,
        state_heels_deg=[float(v) for v in np.degrees(np.arctan(heeled.state_tangents[0]))],
    )
    return HeeledResult(float(heeled.kg_m[0]), float(heeled.tcg_m[0]), float(heeled.gm_fluid_m[0]), fit)


def _fixed(test: PreparedTest) -> list[int]:
    return [int(i) for i in np.flatnonzero(~has_zero_mark(test))]


def _instruments(test: PreparedTest, outcome: Outcome, small: SmallAngle) -> list[InstrumentResult]:
    assert test.tangents is not None  # noqa: S101 - callers have readings
    displacement = float(outcome.displacement_t[0])
    lines = lines_by_group(small.effective_t_m[0], small.tangents[0], test.tangents.instrument_index, _fixed(test))
    results = []
    for i, line in lines.items():
        gm = 1.0 / (line.slope * displacement)
        error = gm * line.slope_standard_error / line.slope if line.degrees_of_freedom > 0 else None
        results.append(InstrumentResult(test.record.instruments[i].id, gm, error))
    return results


def _points(
    test: PreparedTest, moments: Array, tangents: Array, fitted: Array, studentised: Array | None
) -> list[FitPoint]:
    assert test.tangents is not None  # noqa: S101 - callers have readings
    lengths = test.tangents.lengths_m[test.tangents.instrument_index]
    points = []
    for r, source in enumerate(test.tangents.source):
        reading = test.record.readings[source]
        residual = float(tangents[r] - fitted[r])
        points.append(
            FitPoint(
                reading.state,
                reading.instrument,
                float(moments[r]),
                float(tangents[r]),
                float(fitted[r]),
                residual,
                None if np.isnan(lengths[r]) else residual * float(lengths[r]) * MILLIMETRES,
                None if studentised is None else float(studentised[r]),
            )
        )
    return points
