"""Choosing the model of the ship for a request, and putting the ship together for the search."""

from __future__ import annotations

import math
from dataclasses import replace

from heelwright_service.core.errors import CoreError
from heelwright_service.core.hull import Hull
from heelwright_service.core.hydrostatic_table import HydrostaticTable
from heelwright_service.core.planes import Planes
from heelwright_service.core.planning.bounds import Ship
from heelwright_service.core.planning.deck import LARGEST_TOTAL_RELATIVE
from heelwright_service.core.planning.heel_model import HeelModel, WallSided
from heelwright_service.core.planning.hull_heel import HullHeel
from heelwright_service.core.planning.precision import UncertaintyModel
from heelwright_service.core.planning.request import PlanRequest
from heelwright_service.core.planning.table_heel import TableHeel


def model_of(request: PlanRequest) -> HeelModel:
    """Take the best model that a request allows: the hull form, else the table, else vertical sides.

    Parameters
    ----------
    request : PlanRequest
        A checked request.

    Returns
    -------
    HeelModel
        The model.

    Raises
    ------
    CoreError
        When hull or table contradict displacement and draught, or GM is more than their KM.
    """
    vessel = request.vessel
    if vessel is not None and vessel.hull is not None:
        return _hull_model(request, Hull.from_document(vessel.hull, vessel.length_bp_m))
    if vessel is not None and vessel.hydrostatic_table is not None:
        table = HydrostaticTable(vessel.hydrostatic_table, vessel.length_bp_m)
        model = TableHeel.of(table, request.displacement_t, request.draught_m)
        km = float(table.at(Planes.of(table.length_bp_m, model.draught_m)).km_t_m[0])
        _refuse_gm_beyond(request, km, "table")
        return model
    return WallSided.prism(request.displacement_t, request.draught_m)


def _hull_model(request: PlanRequest, hull: Hull) -> HullHeel:
    x = [position.x_m for position in request.positions]
    model = HullHeel.of(hull, request.displacement_t, request.draught_m, (min(x), max(x)), _largest_mass_t(request))
    low, high = model.places_x_m
    model = replace(model, places_x_m=(min(low, model.centre_x_m), max(high, model.centre_x_m)))
    _refuse_gm_beyond(request, model.km_m, "hull")
    return model


def _refuse_gm_beyond(request: PlanRequest, km_m: float, form: str) -> None:
    if request.gm_range_m[1] >= km_m:
        raise CoreError(
            "gm-exceeds-km",
            f"GM of up to {request.gm_range_m[1]:.3f} m is more than the {form}'s KM of {km_m:.3f} m, so the "
            f"centre of gravity would lie below the keel; check gm_m and the {form}.",
            "/gm_m",
        )


def _largest_mass_t(request: PlanRequest) -> float:
    most = LARGEST_TOTAL_RELATIVE * request.displacement_t
    if not request.stock:
        return most
    units = sorted((unit.mass_t for unit in request.stock for _ in range(min(unit.count, 6))), reverse=True)
    return min(most, sum(units[: max(request.counts)]))


def ship_of(request: PlanRequest, model: HeelModel, precision: UncertaintyModel) -> Ship:
    """The ship of a request as the search sees her.

    Parameters
    ----------
    request : PlanRequest
        The request.
    model : HeelModel
        Moment against heel.
    precision : UncertaintyModel
        Expected uncertainty.

    Returns
    -------
    Ship
        The ship.
    """
    low, high = request.gm_range_m
    tangent = math.tan(math.radians(request.initial_heel_deg))
    excess = float(model.excess_t_m(tangent))
    soft, stiff = (request.displacement_t * gm for gm in (low, high))
    half_breadth, freeboard = 0.5 * request.breadth_m, request.depth_m - request.draught_m
    if isinstance(model, HullHeel):
        half_breadth, freeboard = model.deck_edge_m
    return Ship(
        request.displacement_t,
        soft,
        request.displacement_t * request.gm_m,
        stiff,
        (soft * tangent + excess, stiff * tangent + excess),
        half_breadth,
        freeboard,
        model,
        precision,
    )
