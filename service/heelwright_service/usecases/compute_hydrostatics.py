"""Compute hydrostatics at given planes, of a hull form or from a hydrostatic table."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from heelwright_service.core.documents import from_document
from heelwright_service.core.errors import CoreError
from heelwright_service.core.formulas.trim import tonnes_per_cm
from heelwright_service.core.hull import Hull
from heelwright_service.core.hydrostatic_table import HydrostaticTable
from heelwright_service.core.hydrostatics import Hydrostatics, hydrostatics
from heelwright_service.core.planes import Planes
from heelwright_service.core.record import HullDocument, TableDocument
from heelwright_service.usecases.computing import Turns

_TABLE_WARNING = "From a hydrostatic table: what the table does not tell is left out."


@dataclass(frozen=True)
class _Request:
    length_bp_m: float
    planes: list[Mapping[str, Any]]
    density_t_per_m3: float
    hull: HullDocument | None = None
    hydrostatic_table: TableDocument | None = None


def compute_hydrostatics(turns: Turns, request: Mapping[str, Any]) -> dict[str, Any]:
    """Compute volume, centre of buoyancy, waterplane and metacentres at each plane.

    Parameters
    ----------
    turns : Turns
        The queue of computations.
    request : Mapping
        ``length_bp_m``, ``hull`` or ``hydrostatic_table``, ``planes``, ``density_t_per_m3``, of checked shape.

    Returns
    -------
    dict
        ``items``, one a plane.

    Raises
    ------
    CoreError
        When the form is unsound, or a plane lies outside the table or leaves no waterplane.
    """
    asked = from_document(_Request, request)
    with turns.turn():
        items = _of_hull(asked, asked.hull) if asked.hull is not None else _of_table(asked)
    return {"items": items}


def _planes(asked: _Request, chosen: list[Mapping[str, Any]]) -> Planes:
    columns = ([plane.get(name, 0.0) for plane in chosen] for name in ("draught_m", "trim_m", "heel_deg", "hog_m"))
    return Planes.of(asked.length_bp_m, *columns)


def _of_hull(asked: _Request, document: HullDocument) -> list[dict[str, Any]]:
    hull = Hull.from_document(document, asked.length_bp_m, "/hull")
    found = hydrostatics(hull, _planes(asked, asked.planes))
    return [_hull_item(asked, found, place) for place in range(len(asked.planes))]


def _hull_item(asked: _Request, found: Hydrostatics, place: int) -> dict[str, Any]:
    names = ("volume_m3", "lcb_m", "tcb_m", "vcb_m", "waterplane_area_m2", "lcf_m", "i_t_m4", "i_l_m4")
    item = {name: float(getattr(found, name)[place]) for name in (*names, "km_t_m", "km_l_m")}
    if not item["waterplane_area_m2"] > 0.0 or not all(map(math.isfinite, item.values())):
        raise CoreError(
            "no-waterplane",
            f"A draught of {asked.planes[place]['draught_m']:g} m leaves no waterplane: the hull is out of the water "
            "or wholly under it; give a draught between its keel and its deck edge.",
            f"/planes/{place}/draught_m",
        )
    density, under = asked.density_t_per_m3, bool(found.deck_edge_immersed[place])
    return item | {
        "displacement_t": density * item["volume_m3"],
        "tpc_t_per_cm": tonnes_per_cm(item["waterplane_area_m2"], density),
        "mtc_t_m_per_cm": _mtc(asked, item["i_l_m4"]),
        "warnings": ["The deck edge is under water: the hull is closed by a flat deck there."] if under else [],
    }


def _of_table(asked: _Request) -> list[dict[str, Any]]:
    table = HydrostaticTable(asked.hydrostatic_table or TableDocument([]), asked.length_bp_m, "/hydrostatic_table")
    return [_table_item(asked, table, place) for place in range(len(asked.planes))]


def _table_item(asked: _Request, table: HydrostaticTable, place: int) -> dict[str, Any]:
    plane = asked.planes[place]
    if plane.get("heel_deg", 0.0) != 0.0:
        raise CoreError(
            "table-has-no-heel",
            "A hydrostatic table holds for the upright ship; leave the heel out, or give the hull form.",
            f"/planes/{place}/heel_deg",
        )
    try:
        found = table.at(_planes(asked, [plane]))
    except CoreError as error:
        field = {"draught-outside-table": "draught_m", "trim-outside-table": "trim_m"}.get(error.code)
        raise CoreError(error.code, error.message, f"/planes/{place}/{field}" if field else error.pointer) from error
    volume, vcb = float(found.volume_m3[0]), float(found.vcb_m[0])
    km_t, km_l, lcf = float(found.km_t_m[0]), _known(float(found.km_l_m[0])), _known(float(found.lcf_m[0]))
    i_l = None if km_l is None else (km_l - vcb) * volume
    return {
        "volume_m3": volume,
        "displacement_t": asked.density_t_per_m3 * volume,
        "lcb_m": float(found.lcb_m[0]),
        "tcb_m": None,
        "vcb_m": vcb,
        "waterplane_area_m2": None,
        "lcf_m": lcf,
        "i_t_m4": (km_t - vcb) * volume,
        "i_l_m4": i_l,
        "km_t_m": km_t,
        "km_l_m": km_l,
        "tpc_t_per_cm": None,
        "mtc_t_m_per_cm": None if i_l is None else _mtc(asked, i_l),
        "warnings": [_TABLE_WARNING],
    }


def _mtc(asked: _Request, i_l_m4: float) -> float:
    """Moment to change trim by one centimetre, with BM_L in place of GM_L as tables commonly have it: ρ·I_L/(100·L)."""
    return asked.density_t_per_m3 * i_l_m4 / (100.0 * asked.length_bp_m)


def _known(value: float) -> float | None:
    return value if math.isfinite(value) else None
