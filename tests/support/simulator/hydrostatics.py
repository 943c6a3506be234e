"""Hydrostatics of a mesh, and of its waterplane, in the form of the record's tables."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from .clipping import Cut, Plane, cut_below
from .mesh import Mesh


def km_t_m(cut: Cut) -> float:
    """Height of the transverse metacentre of an upright ship: z_B + I_T/V, I_T of the projected waterplane [m]."""
    return float(cut.centroid_m[2] + cut.second_moments_m4[1, 1] / cut.volume_m3)


def km_l_m(cut: Cut) -> float:
    return float(cut.centroid_m[2] + cut.second_moments_m4[0, 0] / cut.volume_m3)


def plane_of(length_bp_m: float, draught_m: float, trim_m: float = 0.0, heel_deg: float = 0.0) -> Plane:
    """The plane of a mid-length moulded draught, a trim by the stern and a heel to starboard."""
    return Plane(draught_m + trim_m / 2, -trim_m / length_bp_m, float(np.tan(np.radians(heel_deg))))


def table_rows(
    mesh: Mesh, length_bp_m: float, draughts_m: Sequence[float], trims_m: Sequence[float]
) -> list[dict[str, float]]:
    """A hydrostatic table over a full grid of draughts and trims."""
    return [_row(mesh, length_bp_m, float(draught), float(trim)) for draught in draughts_m for trim in trims_m]


def _row(mesh: Mesh, length_bp_m: float, draught_m: float, trim_m: float) -> dict[str, float]:
    cut = cut_below(mesh, plane_of(length_bp_m, draught_m, trim_m))
    return {
        "draught_m": draught_m,
        "trim_m": trim_m,
        "volume_m3": cut.volume_m3,
        "lcb_m": float(cut.centroid_m[0]),
        "vcb_m": float(cut.centroid_m[2]),
        "km_t_m": km_t_m(cut),
        "lcf_m": float(cut.lid_centroid_m[0]),
        "km_l_m": km_l_m(cut),
    }
