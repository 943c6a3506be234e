"""Hydrostatics at given planes."""

from __future__ import annotations

from typing import Any

from marshmallow import fields, validates_schema

from heelwright_service.api import quantities as q
from heelwright_service.api.fields import Option
from heelwright_service.api.schemas.base import Strict, refuse
from heelwright_service.api.schemas.hull import HullBody, TableBody, refuse_no_form, some

MOST_PLANES = 4000
"""Of one request: about ten seconds of one processor for a hull of usual fineness (measured)."""


class PlaneBody(Strict):
    """A water surface: moulded draught at mid-length on the centreline before hog, trim by the stern, heel, hog."""

    draught_m = q.draught_m("moulded, at mid-length between perpendiculars on the centreline [m]", required=True)
    trim_m = q.trim_m("trim by the stern [m]")
    heel_deg = q.angle_deg("heel to starboard [°]", 80.0)
    hog_m = q.trim_m("hog amidships, sag negative [m]")


class HydrostaticsBody(Strict):
    """A hull form or a hydrostatic table, and the planes to compute it at."""

    length_bp_m = q.length_m("length between perpendiculars [m]", required=True)
    hull = fields.Nested(HullBody, allow_none=True)
    hydrostatic_table = fields.Nested(TableBody, allow_none=True)
    planes: fields.List[Any] = fields.List(fields.Nested(PlaneBody), required=True, validate=some(1, MOST_PLANES))
    density_t_per_m3 = q.water_density(required=True)

    @validates_schema
    def _one_form(self, data: dict[str, Any], **rest: Option) -> None:
        refuse_no_form(data)
        both = data.get("hull") is not None and data.get("hydrostatic_table") is not None
        refuse(both, "hydrostatic_table", "give a hull or a hydrostatic_table, not both")
