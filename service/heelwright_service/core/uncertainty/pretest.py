"""The uncertainty to expect from a planned test: the measurement model run on readings made up beforehand."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from heelwright_service.core.equilibrium import float_free
from heelwright_service.core.errors import CoreError
from heelwright_service.core.hull import Hull
from heelwright_service.core.hydrostatics import hydrostatics
from heelwright_service.core.planes import Planes
from heelwright_service.core.readings import MILLIMETRES
from heelwright_service.core.record import (
    DraughtReading,
    HullDocument,
    IncliningWeight,
    Instrument,
    Mark,
    Position,
    Reading,
    State,
    StatedUncertainties,
    Station,
    TestRecord,
    Vessel,
    Water,
    WaterSample,
)
from heelwright_service.core.reduction import work_out
from heelwright_service.core.uncertainty.assess import prepare_run
from heelwright_service.core.uncertainty.propagation import QUANTITIES, Run, linear

SEA_WATER_T_PER_M3 = 1.025

LEAST_PLACES = 2
"""Where the vessel has marks at fewer places along her length, six are taken to be read."""


@dataclass(frozen=True)
class PlannedTest:
    """A planned test as the measurement model needs it.

    Parameters
    ----------
    displacement_t, gm_m : float
        Of the ship without the weights, free surface included in GM [t], [m].
    draught_m, breadth_m, depth_m : float
        Moulded [m].
    weights : mapping of str to float
        Masses [t] by id.
    states : sequence of mapping
        Places [m] of every weight in each state, the initial one first.
    instruments : sequence of Instrument
        The instruments.
    vessel : Vessel, optional
        With the hull form; without it a box of the same displacement, breadth and draught stands in.
    density_t_per_m3 : float
        Of the water expected [t/m³].
    uncertainties : StatedUncertainties
        Standard uncertainties that stand in place of the defaults.
    initial_heel_deg : float
        Heel of the ship without the weights, to starboard positive [deg].
    """

    displacement_t: float
    gm_m: float
    draught_m: float
    breadth_m: float
    depth_m: float
    weights: Mapping[str, float]
    states: Sequence[Mapping[str, Position]]
    instruments: Sequence[Instrument]
    vessel: Vessel | None = None
    density_t_per_m3: float = SEA_WATER_T_PER_M3
    uncertainties: StatedUncertainties = field(default_factory=StatedUncertainties)
    initial_heel_deg: float = 0.0


@dataclass(frozen=True)
class Expectation:
    """Expanded (95 %) uncertainties to expect [m], and each input's share of the variance of KG."""

    gm_m: float
    kg_m: float
    shares: dict[str, float]


def expected_uncertainty(planned: PlannedTest) -> Expectation:
    """Run the measurement model on a planned test.

    Parameters
    ----------
    planned : PlannedTest
        The plan.

    Returns
    -------
    Expectation
        Expanded uncertainties of GM and KG as inclined.

    Raises
    ------
    CoreError
        When the planned condition does not float on the hull.

    Notes
    -----
    The readings are those of true equilibrium, without error, so their scatter is taken as stated, not as found.
    """
    return expectation_of(planned_run(planned))


def planned_run(planned: PlannedTest) -> Run:
    """Set up the measurement model of a planned test.

    Parameters
    ----------
    planned : PlannedTest
        The plan.

    Returns
    -------
    Run
        The chain with its components, the readings with their stated uncertainty.

    Raises
    ------
    CoreError
        When the planned condition does not float on the hull.
    """
    reduced = work_out(planned_record(planned))
    run, _ = prepare_run(reduced.test, reduced.outcome, reduced.source, reduced.best, None, planned=True)
    return run


def expectation_of(run: Run) -> Expectation:
    """Propagate a planned test's run.

    Parameters
    ----------
    run : Run
        As `planned_run` gives it.

    Returns
    -------
    Expectation
        Expanded uncertainties of GM and KG as inclined.
    """
    found = linear(run)
    half = found.half_width()
    gm, kg = QUANTITIES.index("gm_fluid_m"), QUANTITIES.index("kg_m")
    total = float(found.standard[kg] ** 2) or 1.0
    shares: dict[str, float] = {}
    for part, contribution in zip(run.parts, found.contributions[:, kg], strict=True):
        shares[part.kind] = shares.get(part.kind, 0.0) + float(contribution) ** 2 / total
    return Expectation(float(half[gm]), float(half[kg]), shares)


def planned_record(planned: PlannedTest) -> TestRecord:
    """Make up the record that a planned test would give without any error.

    Parameters
    ----------
    planned : PlannedTest
        The plan.

    Returns
    -------
    TestRecord
        Draughts at six marks and the readings of true equilibrium; the weights are aboard, no tanks, no items.

    Raises
    ------
    CoreError
        When the planned condition does not float on the hull.
    """
    vessel = planned.vessel if planned.vessel is not None and planned.vessel.hull is not None else _box(planned)
    assert vessel.hull is not None  # noqa: S101 - given or made
    hull = Hull.from_document(vessel.hull, vessel.length_bp_m)
    marks = list(vessel.marks)
    if len({mark.x_m for mark in marks}) < LEAST_PLACES:
        marks = _six_marks(vessel.length_bp_m, planned.breadth_m)
    vessel = replace(vessel, marks=marks, tanks=(), name=vessel.name or "planned")
    planes = _floated(hull, planned)
    draughts = [
        DraughtReading(mark.name, float(planes.height_m(np.array(mark.x_m), mark.y_m)[0]) - mark.zero_z_m)
        for mark in marks
    ]
    return TestRecord(
        vessel,
        Water([WaterSample(planned.density_t_per_m3)]),
        draughts=draughts,
        inclining_weights=[IncliningWeight(name, mass) for name, mass in planned.weights.items()],
        states=[State(k, dict(places)) for k, places in enumerate(planned.states)],
        instruments=list(planned.instruments),
        readings=_readings(planned, planes),
        uncertainties=planned.uncertainties,
    )


def _floated(hull: Hull, planned: PlannedTest) -> Planes:
    """Planes of all states at free equilibrium, with the weights aboard."""
    at = Planes.of(hull.length_bp_m, planned.draught_m)
    found = hydrostatics(hull, at)
    kg = float(found.km_t_m[0]) - planned.gm_m
    x_g = float(found.lcb_m[0])
    if not np.isfinite(kg):
        raise CoreError(
            "no-waterplane", f"The hull has no waterplane at a draught of {planned.draught_m:g} m.", "/draught_m"
        )
    across = planned.gm_m * float(np.tan(np.radians(planned.initial_heel_deg)))
    ship = planned.displacement_t * np.array([x_g, across, kg])
    moments = [
        ship + sum((mass * np.array(places[name]) for name, mass in planned.weights.items()), np.zeros(3))
        for places in planned.states
    ]
    mass = planned.displacement_t + sum(planned.weights.values())
    centres = np.array(moments) / mass
    return float_free(hull, mass, centres[:, 0], centres[:, 1], centres[:, 2], planned.density_t_per_m3)


def _readings(planned: PlannedTest, planes: Planes) -> list[Reading]:
    readings = []
    for k, slope in enumerate(planes.slope_y):
        for instrument in planned.instruments:
            if instrument.length_m is None:
                readings.append(Reading(k, instrument.id, value_deg=float(np.degrees(np.arctan(slope)))))
            else:
                readings.append(Reading(k, instrument.id, value_mm=float(slope) * instrument.length_m * MILLIMETRES))
    return readings


def _box(planned: PlannedTest) -> Vessel:
    """A box of the planned displacement, breadth and draught."""
    half = 0.5 * planned.breadth_m
    length = planned.displacement_t / (planned.density_t_per_m3 * planned.breadth_m * planned.draught_m)
    contour = [(0.0, 0.0), (half, 0.0), (half, planned.depth_m)]
    return Vessel(length, hull=HullDocument([Station(0.0, contour), Station(length, contour)]), depth_m=planned.depth_m)


def _six_marks(length_bp_m: float, breadth_m: float) -> list[Mark]:
    return [
        Mark(f"{place} {side}", share * length_bp_m, sign * 0.45 * breadth_m, 0.0)
        for place, share in (("aft", 0.02), ("midship", 0.5), ("forward", 0.98))
        for side, sign in (("port", -1.0), ("starboard", 1.0))
    ]
