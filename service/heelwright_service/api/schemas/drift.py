"""Drift: requests with all data in them, and questions about stored vessels."""

from __future__ import annotations

from typing import Any

from marshmallow import fields

from heelwright_service.api import quantities as q
from heelwright_service.api.fields import DayText, Flag, Text
from heelwright_service.api.schemas.base import PageQuery, Strict
from heelwright_service.api.schemas.history import DriftAlterationBody, DriftLightshipBody, LightshipUncertainties
from heelwright_service.api.schemas.hull import some


class RuleVesselBody(Strict):
    """The facts about a vessel that decide which limits apply to her, and how large they are."""

    kind = Text(100, required=True, metadata={"description": "trade word such as passenger, cargo, fishing, tug"})
    length_m = q.length_m("length by the load line rules [m]", required=True)
    keel_laid = DayText(allow_none=True)
    length_bp_m = q.length_m("length between perpendiculars [m]", allow_none=True)
    subdivision_length_m = q.length_m("subdivision length Ls [m]", allow_none=True)
    breadth_m = q.length_m("moulded breadth [m]", allow_none=True)
    depth_m = q.length_m("moulded depth [m]", allow_none=True)
    top_z_m = q.z_m("highest part that can carry weight, above the baseline [m]", allow_none=True)
    aft_x_m = q.x_m("aft end of the vessel [m]", allow_none=True)
    forward_x_m = q.x_m("forward end of the vessel [m]", allow_none=True)
    operating_displacement_t = q.mass_t("operating displacement of an offshore unit [t]", allow_none=True)
    column_stabilized = Flag(allow_none=True)


class LeadBody(Strict):
    """The approved inclining test of the lead ship, for a sister (same yard, same plans) that has none of her own."""

    name = Text(200, allow_none=True, metadata={"description": "name of the lead ship"})
    date = DayText(required=True, metadata={"description": "date of her inclining test"})
    mass_t = q.mass_t("lightship mass [t]", required=True)
    lcg_m = q.x_m("longitudinal centre of gravity, forward of the aft perpendicular [m]", required=True)
    tcg_m = q.y_m("transverse centre of gravity, to starboard positive [m]", allow_none=True)
    vcg_m = q.z_m("vertical centre of gravity, above the moulded baseline [m]", required=True)
    uncertainties = fields.Nested(LightshipUncertainties, allow_none=True)


class DriftBody(Strict):
    """A vessel, her lightships and the alterations between them; of a sister, the known differences are alterations."""

    vessel = fields.Nested(RuleVesselBody, required=True)
    rule_set = Text(100, allow_none=True)
    as_of = DayText(allow_none=True, metadata={"description": "the day of the question; today when left out"})
    lightships: fields.List[Any] = fields.List(fields.Nested(DriftLightshipBody), required=True, validate=some(0, 5000))
    alterations: fields.List[Any] = fields.List(fields.Nested(DriftAlterationBody), validate=some(0, 20_000))
    lead = fields.Nested(
        LeadBody,
        allow_none=True,
        metadata={
            "description": "counts where the vessel has no approved inclining test and no lightship approved on a "
            "sister's data"
        },
    )


class DriftQuery(Strict):
    """By which rules and as of which day; the vessel's own rule set and today when left out."""

    rule_set = Text(100, load_default=None)
    as_of = DayText(load_default=None)


class FleetDriftQuery(PageQuery):
    """Which fleet, by which rules, as of which day, and which page."""

    fleet = Text(200, load_default=None)
    rule_set = Text(100, load_default=None)
    as_of = DayText(load_default=None)
