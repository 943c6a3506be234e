"""Whether each field of a weight-plan request makes sense: by itself, and with those beside it."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Sequence

from heelwright_service.core.errors import CoreError
from heelwright_service.core.planning.request import Crane, DeckPosition, PlanInstrument, PlanRequest
from heelwright_service.core.record import Vessel

LARGEST_INITIAL_HEEL_DEG = 45.0
"""More is no list but a slip of the unit or of the pen."""

COUNTS = (2, 4, 6)


def check_request(request: PlanRequest) -> None:
    """Refuse a request that makes no sense.

    Parameters
    ----------
    request : PlanRequest
        The request.

    Raises
    ------
    CoreError
        Naming the field, what was found and what is allowed.
    """
    _finite(request, "")
    for name in ("displacement_t", "breadth_m", "depth_m", "draught_m", "shift_step_m"):
        _positive(getattr(request, name), f"/{name}")
    _check_ship(request)
    _check_weights(request)
    for i, position in enumerate(request.positions):
        _check_position(position, f"/positions/{i}")
        _check_aboard(request, position, f"/positions/{i}")
    if not request.positions:
        raise CoreError("no-positions", "No place for the weights is given; give at least one position.", "/positions")
    _check_instruments(request.instruments)
    if request.crane is not None:
        _check_crane(request.crane)


def _check_ship(request: PlanRequest) -> None:
    if request.draught_m >= request.depth_m:
        raise CoreError(
            "draught-above-deck",
            f"The draught of {request.draught_m:g} m is not below the deck edge at {request.depth_m:g} m; check both.",
            "/draught_m",
        )
    if request.gm_expanded_m < 0.0:
        raise CoreError("negative", "gm_uncertainty_m must not be negative.", "/gm_uncertainty_m")
    low, high = request.heel_band_deg
    if not 0.0 < low < high < 45.0:
        raise CoreError(
            "heel-band", f"The band from {low:g}° to {high:g}° must rise and lie between 0° and 45°.", "/heel_band_deg"
        )
    if abs(request.initial_heel_deg) > LARGEST_INITIAL_HEEL_DEG:
        raise CoreError(
            "initial-heel",
            f"A list of {abs(request.initial_heel_deg):g}° is more than {LARGEST_INITIAL_HEEL_DEG:g}°; check the unit.",
            "/initial_heel_deg",
        )
    if request.target_gm_uncertainty_m is not None:
        _positive(request.target_gm_uncertainty_m, "/target_gm_uncertainty_m")


def _check_weights(request: PlanRequest) -> None:
    if not request.counts or any(count not in COUNTS for count in request.counts):
        raise CoreError(
            "weights-count", f"weights_count must be 4 or 6, or a list of 2, 4, 6; found {request.weights_count}.",
            "/weights_count",
        )  # fmt: skip
    if bool(request.stock) == (request.weight_step_t is not None):
        raise CoreError("weights-source", "Give either stock or weight_step_t, one of the two.", "/stock")
    if request.weight_step_t is not None:
        _positive(request.weight_step_t, "/weight_step_t")
    for i, unit in enumerate(request.stock):
        _positive(unit.mass_t, f"/stock/{i}/mass_t")
        if unit.count < 0:
            raise CoreError("negative", f"count must not be negative, found {unit.count}.", f"/stock/{i}/count")
        for name in ("footprint_m2", "height_m"):
            _positive_or_none(getattr(unit, name), f"/stock/{i}/{name}")
    _refuse_twice([unit.id for unit in request.stock if unit.id is not None], "/stock")


def _check_position(position: DeckPosition, pointer: str) -> None:
    if position.y_port_m >= 0.0:
        raise CoreError(
            "position-side",
            f"y_port_m is to port and so negative; found {position.y_port_m:g} m.",
            f"{pointer}/y_port_m",
        )
    if position.y_starboard_m <= 0.0:
        raise CoreError(
            "position-side",
            f"y_starboard_m is to starboard and so positive; found {position.y_starboard_m:g} m.",
            f"{pointer}/y_starboard_m",
        )
    if position.units_per_side is not None and position.units_per_side < 0:
        raise CoreError("negative", "units_per_side must not be negative.", f"{pointer}/units_per_side")
    for name in ("max_mass_t", "deck_load_t_per_m2"):
        _positive_or_none(getattr(position, name), f"{pointer}/{name}")


def _check_aboard(request: PlanRequest, position: DeckPosition, pointer: str) -> None:
    """Refuse a place so far from the ship that a unit or a sign must be wrong; places just outside get a caution."""
    for name in ("y_port_m", "y_starboard_m"):
        y = getattr(position, name)
        if abs(y) > request.breadth_m:
            raise CoreError(
                "position-off-ship",
                f"{name} of {y:g} m is more than the whole breadth of {request.breadth_m:g} m from the centreline; "
                "check its unit and breadth_m.",
                f"{pointer}/{name}",
            )
    length = None if request.vessel is None else request.vessel.length_bp_m
    if length is not None and not -0.5 * length <= position.x_m <= 1.5 * length:
        raise CoreError(
            "position-off-ship",
            f"x_m of {position.x_m:g} m is more than half her length off the ends of a ship of {length:g} m; x is "
            "measured forward of the aft perpendicular.",
            f"{pointer}/x_m",
        )


def _check_instruments(instruments: Sequence[PlanInstrument]) -> None:
    if not instruments:
        raise CoreError(
            "no-instruments",
            "Give the instruments that the heel is read with, two pendulums at the least.",
            "/instruments",
        )
    _refuse_twice([instrument.id for instrument in instruments], "/instruments")
    for i, instrument in enumerate(instruments):
        pointer = f"/instruments/{i}"
        if instrument.kind == "inclinometer":
            if instrument.length_m is not None:
                text = "An inclinometer has no length; leave it out."
                raise CoreError("length-not-meant", text, f"{pointer}/length_m")
        elif instrument.length_m is None:
            text = f"Give the length_m of the {instrument.kind} '{instrument.id}'."
            raise CoreError("length-missing", text, f"{pointer}/length_m")
        for name in ("length_m", "resolution_mm", "resolution_deg"):
            _positive_or_none(getattr(instrument, name), f"{pointer}/{name}")


def _check_crane(crane: Crane) -> None:
    _positive(crane.radius_max_m, "/crane/radius_max_m")
    if crane.minutes_per_lift < 0.0:
        raise CoreError("negative", "minutes_per_lift must not be negative.", "/crane/minutes_per_lift")
    if len(crane.curve) < 2:
        raise CoreError(
            "crane-curve",
            "The load curve needs at least two points [radius_m, swl_t]: it is not extended beyond them.",
            "/crane/curve",
        )
    for i, (radius, load) in enumerate(crane.curve):
        if radius < 0.0 or load < 0.0 or (i and radius <= crane.curve[i - 1][0]):
            raise CoreError(
                "crane-curve", "Radii must rise and loads must not be negative.", f"/crane/curve/{i}"
            )  # fmt: skip


def _refuse_twice(ids: list[str], pointer: str) -> None:
    for i, each in enumerate(ids):
        if each in ids[:i]:
            raise CoreError("id-twice", f"The id '{each}' is given twice; ids must differ.", f"{pointer}/{i}/id")


def _positive(value: float, pointer: str) -> None:
    if not value > 0.0:
        raise CoreError("not-positive", f"{pointer.rsplit('/', 1)[-1]} must be more than 0, found {value:g}.", pointer)


def _positive_or_none(value: float | None, pointer: str) -> None:
    if value is not None:
        _positive(value, pointer)


def _finite(value: object, pointer: str) -> None:
    """Refuse a number that is not finite, wherever it stands outside the vessel (checked by its own parts)."""
    if isinstance(value, float) and not math.isfinite(value):
        raise CoreError("not-finite", f"A finite number is needed, found {value}.", pointer)
    if isinstance(value, list | tuple):
        for i, item in enumerate(value):
            _finite(item, f"{pointer}/{i}")
    elif dataclasses.is_dataclass(value) and not isinstance(value, Vessel):
        for each in dataclasses.fields(value):
            _finite(getattr(value, each.name), f"{pointer}/{each.name}")
