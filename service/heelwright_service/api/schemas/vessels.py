"""Vessels: particulars in and out."""

from __future__ import annotations

from marshmallow import Schema, fields

from heelwright_service.api import quantities as q
from heelwright_service.api.fields import Day, Flag, Identifier, ImoNumber, Quantity, Text
from heelwright_service.api.schemas.base import PageQuery, Strict


def _length(description: str) -> Quantity:
    return q.length_m(f"{description} [m]", allow_none=True)


class VesselBody(Strict):
    """A vessel's particulars; what is left out or null is unknown."""

    name = Text(200, required=True)
    imo_number = ImoNumber(allow_none=True, metadata={"description": "seven digits, the last checking the others"})
    kind = Text(100, allow_none=True, metadata={"description": "the kind that decides which drift limits apply"})
    fleet = Text(200, allow_none=True)
    sister_of = Identifier(
        allow_none=True,
        metadata={
            "description": "id of the lead vessel of her class; drift is measured from that vessel's approved test "
            "while she has none of her own"
        },
    )
    length_bp_m = _length("length between perpendiculars")
    length_m = _length("length by the rules that apply to her")
    breadth_m = _length("moulded breadth")
    depth_m = _length("moulded depth")
    keel_laid = Day(allow_none=True)
    subdivision_length_m = _length("subdivision length Ls")
    top_z_m = q.z_m("highest part that can carry weight, above the moulded baseline [m]", allow_none=True)
    aft_x_m = q.x_m("aft end, forward of the aft perpendicular [m]", allow_none=True)
    forward_x_m = q.x_m("forward end, forward of the aft perpendicular [m]", allow_none=True)
    operating_displacement_t = q.mass_t("operating displacement of an offshore unit [t]", allow_none=True)
    column_stabilized = Flag(allow_none=True)
    rule_set = Text(100, allow_none=True, metadata={"description": "the rule set that judges her"})


class VesselChanges(VesselBody):
    """Some of a vessel's particulars; null makes one unknown, what is left out stays."""

    name = Text(200)


class VesselAnswer(Schema):
    """A vessel as stored."""

    id = fields.String(required=True)
    version = fields.Integer(required=True)
    name = fields.String(required=True)
    imo_number = fields.String(required=True, allow_none=True)
    kind = fields.String(required=True, allow_none=True)
    fleet = fields.String(required=True, allow_none=True)
    sister_of = fields.String(required=True, allow_none=True)
    length_bp_m = fields.Float(required=True, allow_none=True)
    length_m = fields.Float(required=True, allow_none=True)
    breadth_m = fields.Float(required=True, allow_none=True)
    depth_m = fields.Float(required=True, allow_none=True)
    keel_laid = fields.Date(required=True, allow_none=True)
    subdivision_length_m = fields.Float(required=True, allow_none=True)
    top_z_m = fields.Float(required=True, allow_none=True)
    aft_x_m = fields.Float(required=True, allow_none=True)
    forward_x_m = fields.Float(required=True, allow_none=True)
    operating_displacement_t = fields.Float(required=True, allow_none=True)
    column_stabilized = fields.Boolean(required=True, allow_none=True)
    rule_set = fields.String(required=True, allow_none=True)
    created_at = fields.AwareDateTime(required=True)
    updated_at = fields.AwareDateTime(required=True)


class VesselQuery(PageQuery):
    """Which vessels, and which page of them."""

    fleet = Text(200, load_default=None)
    imo_number = ImoNumber(load_default=None)
