"""An inclining in air as it is recorded: weights, states, instruments and readings, as of a test afloat."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from ..errors import CoreError
from ..prepared_test import Movements, read_movements
from ..readings import read_tangents
from ..record import IncliningWeight, Instrument, Reading, State, TestRecord, Vessel, Water
from .in_air import Attached, HeightInAir, Swing, SwingUncertainty, pivot_height_m, vcg_in_air

LABEL = "inclined in air: the height of the centre from a pivot, with no water, metacentre or hydrostatics in it"
"""Stands beside every result of this module."""

SAME_HEIGHT_M = 1e-6

LEAST_BELOW_PIVOT_M = 0.05
"""A craft hung closer below her pivot than this is likelier a slip of a unit (office default)."""

LEAST_COST_M = 0.001
"""What a degree of trim has to cost to be told (office default)."""


@dataclass(frozen=True)
class Hooks:
    """The two hooks that a craft hangs in, in her own axes, and where her centre lies between them."""

    aft_x_m: float
    aft_z_m: float
    fwd_x_m: float
    fwd_z_m: float
    lcg_m: float


@dataclass(frozen=True)
class AirIncliningRequest:
    """A craft hung from a pivot, or in two hooks, and inclined by weights moved across her."""

    swinging_mass_t: float
    inclining_weights: Sequence[IncliningWeight]
    states: Sequence[State]
    instruments: Sequence[Instrument]
    readings: Sequence[Reading]
    pivot_z_m: float | None = None
    hooks: Hooks | None = None
    attached: Sequence[Attached] = ()
    uncertainty: SwingUncertainty = field(default_factory=SwingUncertainty)


@dataclass(frozen=True)
class AirInclining:
    """Height of the craft's centre with its standard uncertainty; `label` is to be shown wherever the number is."""

    vcg_m: float
    standard_uncertainty_m: float
    swinging_vcg_m: float
    below_pivot_m: float
    pivot_z_m: float
    label: str
    cautions: list[str]


def reduce_air_inclining(request: AirIncliningRequest) -> AirInclining:
    """Find the height of a hung craft's centre from recorded states and readings.

    Parameters
    ----------
    request : AirIncliningRequest
        The swinging mass with everything that hangs on the pivot, the pivot's height or the hooks, the weights, their
        places in every state, and the readings. The weights swing too and are taken off at the height they keep.

    Returns
    -------
    AirInclining
        VCG of the craft above her baseline [m].

    Raises
    ------
    CoreError
        ``pivot-ambiguous`` unless exactly one of pivot and hooks is given, ``weight-height`` where a weight changes
        height, and those of the states, the readings and `vcg_in_air`.

    Examples
    --------
    >>> weights, at = [IncliningWeight("A", 0.05)], [1.0, 2.0, 0.0, 1.0]
    >>> states = [State(i, {"A": (4.0, y, 1.5)}) for i, y in enumerate(at)]
    >>> deflection = [0.0, 8.0, -8.0, 0.0]
    >>> readings = [Reading(i, "P", value_mm=value) for i, value in enumerate(deflection)]
    >>> asked = AirIncliningRequest(10.05, weights, states, [Instrument("P", "pendulum", 2.0)], readings, pivot_z_m=3.0)
    >>> round(reduce_air_inclining(asked).vcg_m, 3)
    1.758
    """
    pivot = _pivot_m(request)
    record = TestRecord(Vessel(1.0), Water([]), inclining_weights=request.inclining_weights, states=request.states)
    movements = read_movements(record)
    _refuse_changed_height(movements)
    read = read_tangents(request.instruments, request.readings, movements.numbers)
    moments = movements.moments_t_m(movements.masses_t[None], 0.0, axis=1)[0]
    places = movements.initial_places_m()
    weights = [Attached(weight.mass_t, float(places[i, 2])) for i, weight in enumerate(request.inclining_weights)]
    swing = Swing(
        request.swinging_mass_t,
        pivot,
        moments[read.state_index].tolist(),
        read.tangents.tolist(),
        read.instrument_index.tolist(),
    )
    try:
        found: HeightInAir = vcg_in_air(swing, [*request.attached, *weights], request.uncertainty)
    except CoreError as error:
        known = error.pointer in ("/swinging_mass_t", "/attached")
        raise CoreError(error.code, error.message, error.pointer if known else "/readings") from None
    return AirInclining(
        found.vcg_m,
        found.standard_uncertainty_m,
        found.swinging_vcg_m,
        found.below_pivot_m,
        pivot,
        LABEL,
        _cautions(request, found),
    )


def _cautions(request: AirIncliningRequest, found: HeightInAir) -> list[str]:
    """What the swing takes for granted, and heights that hardly any craft has."""
    cautions = ["The pivot is taken as frictionless and the sling as unstretched; swing freely and read at rest."]
    if request.hooks is not None and abs(cost := _trim_cost_m(request.hooks, found.below_pivot_m)) >= LEAST_COST_M:
        cautions.append(
            "Her hooks are at unequal heights, so she is taken to hang level fore and aft: each degree by which she "
            f"hangs trimmed changes the height of the whole by {1000.0 * abs(cost):.0f} mm."
        )
    if found.below_pivot_m < LEAST_BELOW_PIVOT_M:
        cautions.append(
            f"The whole hangs only {1000.0 * found.below_pivot_m:.0f} mm below the pivot by these readings: check that "
            "the swinging mass and the weights are in tonnes, and the unit of the readings."
        )
    if found.vcg_m < 0.0:
        cautions.append(
            f"Unsafe side: the centre comes out {-found.vcg_m:.3f} m below the baseline. Check that the pivot and the "
            "weights are counted from the baseline, and that the swinging mass counts all that hangs on the pivot."
        )
    return cautions


def _trim_cost_m(hooks: Hooks, below_pivot_m: float) -> float:
    """Change of height for a degree of trim.

    Gravity in the craft's axes is (−sin α, 0, −cos α) when she hangs trimmed by α, and turns about the line through the
    hooks, of slope s: a pendulum then shows the shift over the height times 1 − s·tan α (derived here).
    """
    slope = (hooks.fwd_z_m - hooks.aft_z_m) / (hooks.fwd_x_m - hooks.aft_x_m)
    return below_pivot_m * slope * math.tan(math.radians(1.0))


def _pivot_m(request: AirIncliningRequest) -> float:
    if (request.pivot_z_m is None) == (request.hooks is None):
        raise CoreError("pivot-ambiguous", "Give either pivot_z_m or the two hooks the craft hangs in.", "/pivot_z_m")
    if request.pivot_z_m is not None:
        return request.pivot_z_m
    assert request.hooks is not None  # noqa: S101 - one of them is given
    hooks = request.hooks
    try:
        return pivot_height_m(hooks.aft_x_m, hooks.aft_z_m, hooks.fwd_x_m, hooks.fwd_z_m, hooks.lcg_m)
    except CoreError as error:
        raise error.under("/hooks") from None


def _refuse_changed_height(movements: Movements) -> None:
    for weight, name in enumerate(movements.weight_ids):
        heights = movements.spot_m[movements.spot_weight == weight, 2]
        if float(np.ptp(heights)) > SAME_HEIGHT_M:
            raise CoreError(
                "weight-height",
                f"Weight '{name}' stands at {heights.min():.3f} to {heights.max():.3f} m; in air it is moved across at "
                "one height.",
                "/states",
            )
