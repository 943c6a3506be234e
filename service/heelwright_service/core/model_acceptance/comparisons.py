"""The comparisons of an acceptance sheet, one generator a subject."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from heelwright_service.core.errors import CoreError
from heelwright_service.core.hull import Hull
from heelwright_service.core.hydrostatic_table import HydrostaticTable
from heelwright_service.core.hydrostatics import VOLUME, VOLUME_X, VOLUME_Y, VOLUME_Z, hull_moments, hydrostatics
from heelwright_service.core.model_acceptance.request import (
    AcceptanceRequest,
    ApprovedHydrostatics,
    ApprovedMark,
    CapacityRow,
    Limit,
)
from heelwright_service.core.planes import Planes
from heelwright_service.core.record import Mark, Tank, Vessel

Array = NDArray[np.float64]

TABLE_END_SHARE = 0.05
"""A table may end so far below the capacity, as where it stops under the crown (office default)."""


@dataclass(frozen=True)
class Difference:
    """One comparison: what the model has, what is approved, how far apart, how far they may be."""

    subject: str
    quantity: str
    model: float | None
    approved: float | None
    difference: float | None
    limit: float | None
    unit: str
    within: bool
    source: str
    reason: str | None = None


def comparisons(request: AcceptanceRequest, limits: dict[str, Limit]) -> list[Difference]:
    """Compare hydrostatics, tanks, marks and spaces.

    Parameters
    ----------
    request : AcceptanceRequest
        The model and the approved documents.
    limits : dict of str to Limit
        Limits in force, by the names of `LIMITS`.

    Returns
    -------
    list of Difference
        Every comparison, within its limit or not.

    Raises
    ------
    CoreError
        ``keel-thickness``, ``hull-or-table-missing``, ``approved-twice``, and those of the hull, the table and the
        tanks' shapes.
    """
    return [*_hydrostatics(request, limits), *_tanks(request, limits), *_marks(request, limits), *_spaces(request)]


def _compared(
    subject: str, quantity: str, model: float, approved: float, scale: float, limit: Limit, unit: str
) -> Difference:
    difference = (model - approved) / scale
    if not np.isfinite(difference):
        raise CoreError(
            "approved-figure",
            f"The approved {quantity} of {subject} is {approved:g}, with which nothing can be compared; check it.",
            "/capacity_plan/rows" if subject.startswith("tank") else "/approved_hydrostatics/rows",
        )
    within = abs(difference) <= limit.value * (1.0 + 1e-9)
    return Difference(subject, quantity, model, approved, difference, limit.value, unit, within, limit.source)


def _absent(subject: str, quantity: str, where: str) -> Difference:
    return Difference(subject, quantity, None, None, None, None, "", False, f"only in {where}")


def _hydrostatics(request: AcceptanceRequest, limits: dict[str, Limit]) -> Iterator[Difference]:
    approved = request.approved_hydrostatics
    length = request.vessel.length_bp_m
    draughts = np.array([row.draught_m for row in approved.rows]) - _keel_m(approved)
    planes = Planes.of(length, draughts, [row.trim_m for row in approved.rows])
    volume, lcb, km_t = _model_at(request.vessel, planes)
    for i, row in enumerate(approved.rows):
        subject = f"draught {row.draught_m:g} m, trim {row.trim_m:g} m by the stern"
        mass = float(volume[i] * approved.density_t_per_m3)
        relative, along = limits["displacement_relative"], limits["lcb_share_of_length"]
        yield _compared(subject, "displacement_t", mass, row.displacement_t, row.displacement_t, relative, "relative")
        yield _compared(subject, "km_t_m", float(km_t[i]), row.km_t_m, 1.0, limits["km_t_m"], "m")
        yield _compared(subject, "lcb_m", float(lcb[i]), row.lcb_m, length, along, "share of length")


def _keel_m(approved: ApprovedHydrostatics) -> float:
    from_keel = approved.draughts_from == "underside-of-keel"
    if from_keel != (approved.keel_thickness_m is not None):
        raise CoreError(
            "keel-thickness",
            "Approved draughts from the underside of the keel need keel_thickness_m; those from the moulded baseline "
            "have none.",
            "/approved_hydrostatics/keel_thickness_m",
        )
    return approved.keel_thickness_m or 0.0


def _model_at(vessel: Vessel, planes: Planes) -> tuple[Array, Array, Array]:
    """Volume, LCB and KM_T of the model, upright."""
    if vessel.hull is not None:
        found = hydrostatics(Hull.from_document(vessel.hull, vessel.length_bp_m), planes)
        return found.volume_m3, found.lcb_m, found.km_t_m
    if vessel.hydrostatic_table is None:
        message = "The vessel has neither a hull form nor a hydrostatic table to compare."
        raise CoreError("hull-or-table-missing", message, "/vessel")
    table = HydrostaticTable(vessel.hydrostatic_table, vessel.length_bp_m).at(planes)
    return table.volume_m3, table.lcb_m, table.km_t_m


def _tanks(request: AcceptanceRequest, limits: dict[str, Limit]) -> Iterator[Difference]:
    if request.capacity_plan is None:
        return
    _refuse_twice([row.tank for row in request.capacity_plan.rows], "/capacity_plan/rows", "tank")
    planned = {row.tank: row for row in request.capacity_plan.rows}
    modelled = {tank.name: tank for tank in request.vessel.tanks}
    for i, tank in enumerate(request.vessel.tanks):
        row = planned.get(tank.name)
        if row is None:
            yield _absent(f"tank {tank.name}", "volume_m3", "the model")
            continue
        yield from _one_tank(f"tank {tank.name}, table", _table_full(tank, row), row, limits)
        shape = _shape_full(tank, i)
        if shape is not None:
            yield from _one_tank(f"tank {tank.name}, shape", shape, row, limits)
    yield from (_absent(f"tank {name}", "volume_m3", "the capacity plan") for name in planned if name not in modelled)


def _one_tank(
    subject: str, full: tuple[float, float, float, float], row: CapacityRow, limits: dict[str, Limit]
) -> Iterator[Difference]:
    volume, *centre = full
    relative, place = limits["tank_volume_relative"], limits["tank_centre_m"]
    yield _compared(subject, "volume_m3", volume, row.volume_m3, row.volume_m3, relative, "relative")
    for name, found, approved in zip(("x_m", "y_m", "z_m"), centre, (row.x_m, row.y_m, row.z_m), strict=True):
        yield _compared(subject, name, found, approved, 1.0, place, "m")


def _table_full(tank: Tank, row: CapacityRow) -> tuple[float, float, float, float]:
    """A pressed tank counts its capacity and a slack one its table: the volume of the two that is further off."""
    last = tank.table[-1]
    full = tank.capacity_m3
    if abs(last.volume_m3 - full) > TABLE_END_SHARE * full:
        full = max(full, last.volume_m3, key=lambda volume: abs(volume - row.volume_m3))
    return full, last.x_m, last.y_m, last.z_m


def _shape_full(tank: Tank, index: int) -> tuple[float, float, float, float] | None:
    if tank.geometry is None:
        return None
    pointer = f"/vessel/tanks/{index}/geometry"
    shape = Hull.of_tank(tank.geometry, pointer)
    moments = hull_moments(shape, Planes.of(shape.length_bp_m, shape.depth_limits_m[1]))[0]
    if not moments[VOLUME] > 0.0:
        raise CoreError("tank-shape-empty", f"The shape of tank '{tank.name}' encloses no volume.", pointer)
    x, y, z = (float(moments[row] / moments[VOLUME]) for row in (VOLUME_X, VOLUME_Y, VOLUME_Z))
    return float(moments[VOLUME]), x, y, z


def _refuse_twice(names: list[str], pointer: str, field: str) -> None:
    for i, name in enumerate(names):
        if name in names[:i]:
            raise CoreError(
                "approved-twice",
                f"'{name}' stands twice in the approved document as given, so which figures count is not known; give "
                "it once, or each part under its own name.",
                f"{pointer}/{i}/{field}",
            )


def _marks(request: AcceptanceRequest, limits: dict[str, Limit]) -> Iterator[Difference]:
    if request.mark_plan is None:
        return
    _refuse_twice([row.name for row in request.mark_plan.rows], "/mark_plan/rows", "name")
    planned = {row.name: row for row in request.mark_plan.rows}
    for mark in request.vessel.marks:
        row = planned.pop(mark.name, None)
        if row is None:
            yield _absent(f"mark {mark.name}", "zero_z_m", "the model")
        else:
            yield from _one_mark(mark, row, limits)
    yield from (_absent(f"mark {name}", "zero_z_m", "the document of the marks") for name in planned)


def _one_mark(mark: Mark, row: ApprovedMark, limits: dict[str, Limit]) -> Iterator[Difference]:
    subject = f"mark {mark.name}"
    yield _compared(subject, "zero_z_m", mark.zero_z_m, row.zero_z_m, 1.0, limits["mark_zero_m"], "m")
    yield _compared(subject, "x_m", mark.x_m, row.x_m, 1.0, limits["mark_place_m"], "m")


def _spaces(request: AcceptanceRequest) -> Iterator[Difference]:
    for space in request.spaces:
        model, approved = float(space.in_model), float(space.in_approved)
        source = "common practice: both count the same spaces as buoyant"
        same = space.in_model == space.in_approved
        yield Difference(
            f"space {space.name}", "counts as buoyant", model, approved, model - approved, 0.0, "", same, source
        )
