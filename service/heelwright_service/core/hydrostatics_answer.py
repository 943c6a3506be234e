"""Hydrostatics on request: planes stated as draught, trim, heel and hog, answered from a hull form or a table."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from heelwright_service.core.arms import refuse_no_waterplane
from heelwright_service.core.errors import CoreError
from heelwright_service.core.hull import Hull
from heelwright_service.core.hydrostatic_table import HydrostaticTable
from heelwright_service.core.hydrostatics import hydrostatics
from heelwright_service.core.lightship_table import known
from heelwright_service.core.planes import Planes
from heelwright_service.core.record import HullDocument, TableDocument

Array = NDArray[np.float64]

CENTIMETRES = 100.0

MOST_PLANE_POINTS = 3e8
"""Planes times points of all sections in one request: about ten seconds of one processor (measured)."""


@dataclass(frozen=True)
class PlaneRequest:
    """A water surface: moulded draught at mid-length on the centreline before hog, trim by the stern, heel, hog."""

    draught_m: float
    trim_m: float = 0.0
    heel_deg: float = 0.0
    hog_m: float = 0.0


@dataclass(frozen=True)
class HydrostaticsRequest:
    """A hull form or a table, the water's density and the surfaces asked for."""

    length_bp_m: float
    planes: Sequence[PlaneRequest]
    density_t_per_m3: float
    hull: HullDocument | None = None
    hydrostatic_table: TableDocument | None = None


@dataclass(frozen=True)
class HydrostaticsItem:
    """The answer for one surface; what a table does not hold is None.

    The waterplane is projected on the ship's x-y plane, second moments about axes through its centroid; `km_t_m` is
    z_B + (1 + tan²φ)·I_T/V, the slope of the righting curve, at no heel KM.
    """

    volume_m3: float
    displacement_t: float
    lcb_m: float
    tcb_m: float | None
    vcb_m: float
    waterplane_area_m2: float | None
    lcf_m: float | None
    i_t_m4: float | None
    i_l_m4: float | None
    km_t_m: float
    km_l_m: float | None
    tpc_t_per_cm: float | None
    mtc_t_m_per_cm: float | None
    warnings: list[str]


@dataclass(frozen=True)
class HydrostaticsAnswer:
    """One item for each surface, in the order asked."""

    items: list[HydrostaticsItem]


def answer_hydrostatics(request: HydrostaticsRequest) -> HydrostaticsAnswer:
    """Compute the hydrostatics asked for.

    Parameters
    ----------
    request : HydrostaticsRequest
        Hull form or table, density [t/m³] and surfaces.

    Returns
    -------
    HydrostaticsAnswer
        One item a surface; a deck edge under water is computed and warned of.

    Raises
    ------
    CoreError
        ``hull-or-table``, ``too-many-planes``, ``no-waterplane``, ``table-heel`` or an error of the hull or table,
        naming the field.

    Notes
    -----
    TPC = ρ·A/100 and MTC = ρ·I_L/(100·L_BP), the usual definitions (common practice).

    Examples
    --------
    >>> from heelwright_service.core.record import Station
    >>> box = [(0.0, 0.0), (6.0, 0.0), (6.0, 5.0)]
    >>> hull = HullDocument([Station(0.0, box), Station(50.0, box)])
    >>> item = answer_hydrostatics(HydrostaticsRequest(50.0, [PlaneRequest(2.0)], 1.025, hull)).items[0]
    >>> round(item.displacement_t, 6), round(item.tpc_t_per_cm, 6)
    (1230.0, 6.15)
    """
    if (request.hull is None) == (request.hydrostatic_table is None):
        raise CoreError("hull-or-table", "Give either hull or hydrostatic_table, and only one of them.", "/hull")
    if request.hull is not None:
        hull = Hull.from_document(request.hull, request.length_bp_m, "/hull")
        _refuse_too_much(hull, len(request.planes))
        return HydrostaticsAnswer([_from_hull(hull, plane, request, i) for i, plane in enumerate(request.planes)])
    assert request.hydrostatic_table is not None  # noqa: S101 - one of them is given
    table = HydrostaticTable(request.hydrostatic_table, request.length_bp_m, "/hydrostatic_table")
    return HydrostaticsAnswer([_from_table(table, plane, request, i) for i, plane in enumerate(request.planes)])


def _refuse_too_much(hull: Hull, planes: int) -> None:
    """Bound the time that one request takes, by the points of the sections that every plane cuts."""
    points = sum(side.gauss[2].y_m.size for side in hull.sides)
    most = int(MOST_PLANE_POINTS / points)
    if planes > most:
        raise CoreError(
            "too-many-planes",
            f"{planes} planes were asked of a hull that is cut at {points} points for each; at most {most} can be "
            "computed of this hull at once: ask in several requests, or give fewer stations and contour points.",
            "/planes",
        )


def _from_hull(hull: Hull, asked: PlaneRequest, request: HydrostaticsRequest, index: int) -> HydrostaticsItem:
    planes = Planes.of(request.length_bp_m, asked.draught_m, asked.trim_m, asked.heel_deg, asked.hog_m)
    found = hydrostatics(hull, planes)
    refuse_no_waterplane(found, planes, f"/planes/{index}/draught_m")
    area, i_l = float(found.waterplane_area_m2[0]), float(found.i_l_m4[0])
    density = request.density_t_per_m3
    warnings = []
    if found.deck_edge_immersed[0]:
        warnings.append(
            "A deck edge is under water: the hull is closed by its deck there, and stability falls quickly from here."
        )
    return HydrostaticsItem(
        float(found.volume_m3[0]),
        density * float(found.volume_m3[0]),
        float(found.lcb_m[0]),
        float(found.tcb_m[0]),
        float(found.vcb_m[0]),
        area,
        float(found.lcf_m[0]),
        float(found.i_t_m4[0]),
        i_l,
        float(found.km_t_m[0]),
        float(found.km_l_m[0]),
        density * area / CENTIMETRES,
        density * i_l / (CENTIMETRES * request.length_bp_m),
        warnings,
    )


def _from_table(
    table: HydrostaticTable, asked: PlaneRequest, request: HydrostaticsRequest, index: int
) -> HydrostaticsItem:
    if asked.heel_deg != 0.0:
        raise CoreError(
            "table-heel",
            f"A hydrostatic table holds upright values; a heel of {asked.heel_deg:g}° needs the hull form.",
            f"/planes/{index}/heel_deg",
        )
    planes = Planes.of(request.length_bp_m, asked.draught_m, asked.trim_m, 0.0, asked.hog_m)
    try:
        found = table.at(planes)
    except CoreError as error:
        where = f"/planes/{index}/{'trim_m' if error.code.startswith('trim') else 'draught_m'}"
        raise CoreError(error.code, error.message, where) from error
    volume, vcb = float(found.volume_m3[0]), float(found.vcb_m[0])
    km_l = known(float(found.km_l_m[0]))
    i_l = None if km_l is None else (km_l - vcb) * volume
    density = request.density_t_per_m3
    return HydrostaticsItem(
        volume,
        density * volume,
        float(found.lcb_m[0]),
        0.0,
        vcb,
        None,
        known(float(found.lcf_m[0])),
        (float(found.km_t_m[0]) - vcb) * volume,
        i_l,
        float(found.km_t_m[0]),
        km_l,
        None,
        None if i_l is None else density * i_l / (CENTIMETRES * request.length_bp_m),
        _table_warnings(table, asked),
    )


def _table_warnings(table: HydrostaticTable, asked: PlaneRequest) -> list[str]:
    warnings = []
    if not table.has_trim_axis and asked.trim_m != float(table.trims_m[0]):
        warnings.append(
            "The table has no trim axis: volume is taken at the draught at the centre of flotation where the table "
            "gives it, which holds for small trims only."
        )
    if table.lacks_trim_shift and asked.trim_m != float(table.trims_m[0]):
        warnings.append(
            "The table gives neither trims nor KM_L: the shift of LCB by trim is estimated from the waterplane's area."
        )
    if asked.hog_m != 0.0:
        warnings.append(
            "A table knows no hog: the mean draught was changed by three quarters of it, right to a twelfth of it."
        )
    return warnings
