"""Acceptance sheets: a vessel's model against her approved hydrostatics, capacity plan, marks and spaces."""

from __future__ import annotations

from typing import Any

from marshmallow import fields

from heelwright_service.api import quantities as q
from heelwright_service.api.fields import Choice, DayText, Flag, Text
from heelwright_service.api.schemas.answers import answer_schema
from heelwright_service.api.schemas.base import Strict
from heelwright_service.api.schemas.hull import some
from heelwright_service.api.schemas.record import RecordVesselBody
from heelwright_service.core.model_acceptance import AcceptanceSheet

Many = fields.List[Any]


class ApprovedRowBody(Strict):
    """A line of the approved hydrostatics."""

    draught_m = q.draught_m("at mid-length, from the datum of the document [m]", required=True)
    trim_m = q.trim_m("trim by the stern [m]")
    displacement_t = q.mass_t("displacement at the document's density [t]", required=True)
    lcb_m = q.x_m("centre of buoyancy forward of the aft perpendicular [m]", required=True)
    km_t_m = q.height_m("transverse metacentre above the moulded baseline [m]", required=True)


class ApprovedHydrostaticsBody(Strict):
    """The approved hydrostatics: document, water, and what draughts are counted from."""

    document = Text(500, required=True)
    density_t_per_m3 = q.water_density(required=True)
    draughts_from = Choice("moulded-baseline", "underside-of-keel", required=True)
    keel_thickness_m = q.share("of the keel, where draughts count from under it [m]", 0.0, 1.0, allow_none=True)
    rows: Many = fields.List(fields.Nested(ApprovedRowBody), required=True, validate=some(1, 1000))


class CapacityRowBody(Strict):
    """A tank as the capacity plan has it."""

    tank = Text(200, required=True)
    volume_m3 = q.volume_m3("full volume [m³]", above=True, required=True)
    x_m = q.x_m(required=True)
    y_m = q.y_m(required=True)
    z_m = q.z_m(required=True)


class CapacityPlanBody(Strict):
    """The capacity plan."""

    document = Text(500, required=True)
    rows: Many = fields.List(fields.Nested(CapacityRowBody), required=True, validate=some(0, 2000))


class ApprovedMarkBody(Strict):
    """A draught mark as its document has it."""

    name = Text(100, required=True)
    x_m = q.x_m(required=True)
    zero_z_m = q.z_m("height of the scale's zero above the moulded baseline [m]", required=True)


class MarkPlanBody(Strict):
    """The document of the draught marks."""

    document = Text(500, required=True)
    rows: Many = fields.List(fields.Nested(ApprovedMarkBody), required=True, validate=some(0, 1000))


class SpaceBody(Strict):
    """A space that may count as buoyant, and where it does."""

    name = Text(200, required=True)
    in_model = Flag(required=True)
    in_approved = Flag(required=True)


class StatedLimitsBody(Strict):
    """Largest differences allowed, in place of the defaults."""

    displacement_relative = q.share("of the displacement", 0.0, 0.2, allow_none=True)
    km_t_m = q.share("of KM [m]", 0.0, 5.0, allow_none=True)
    lcb_share_of_length = q.share("of LCB, as a share of the length", 0.0, 0.2, allow_none=True)
    tank_volume_relative = q.share("of a tank's volume", 0.0, 0.5, allow_none=True)
    tank_centre_m = q.share("of a tank's centre [m]", 0.0, 50.0, allow_none=True)
    mark_zero_m = q.share("of a mark's zero [m]", 0.0, 5.0, allow_none=True)
    mark_place_m = q.share("of a mark's place [m]", 0.0, 50.0, allow_none=True)


class ReasonBody(Strict):
    """Why a difference beyond its limit is accepted all the same."""

    subject = Text(500, required=True)
    reason = Text(2000, required=True)


class StoredAcceptanceBody(Strict):
    """What a stored vessel's model is compared with, and who compared."""

    checker = Text(200, required=True)
    date = DayText(required=True)
    approved_hydrostatics = fields.Nested(ApprovedHydrostaticsBody, required=True)
    capacity_plan = fields.Nested(CapacityPlanBody, allow_none=True)
    mark_plan = fields.Nested(MarkPlanBody, allow_none=True)
    spaces: Many = fields.List(fields.Nested(SpaceBody), validate=some(0, 1000))
    limits = fields.Nested(StatedLimitsBody)
    reasons: Many = fields.List(fields.Nested(ReasonBody), validate=some(0, 1000))


class AcceptanceBody(StoredAcceptanceBody):
    """A model that comes with the request, and what it is compared with."""

    vessel = fields.Nested(RecordVesselBody, required=True)
    version = Text(200, allow_none=True)


AcceptanceAnswer = answer_schema(AcceptanceSheet, "AcceptanceAnswer")


class StoredAcceptanceAnswer(AcceptanceAnswer):  # type: ignore[misc, valid-type]  # made from the dataclass
    """An acceptance sheet as stored: the newest of a model's version counts."""

    id = fields.String(required=True)
    vessel_id = fields.String(required=True)
    of_current_model = fields.Boolean(required=True)
    recorded_at = fields.AwareDateTime(required=True)
    recorded_by = fields.String(required=True)
    supersedes = fields.String(required=True, allow_none=True)
