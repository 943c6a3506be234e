"""Lightships and alterations: as recorded with a vessel, and as given with a drift request."""

from __future__ import annotations

from typing import Any

from marshmallow import Schema, fields, validates_schema

from heelwright_service.api import quantities as q
from heelwright_service.api.fields import Choice, Day, DayText, Flag, Identifier, Option, Text
from heelwright_service.api.schemas.base import Strict, refuse
from heelwright_service.store.tables.history import ALTERATION_KINDS, BASES

_PLACES = ("to_x_m", "to_y_m", "to_z_m")


class LightshipUncertainties(Strict):
    """Standard uncertainties of a lightship; defaults by basis stand in for what is left out."""

    mass_t = q.standard_uncertainty("t", 100_000, allow_none=True)
    lcg_m = q.standard_uncertainty("m", 100, allow_none=True)
    tcg_m = q.standard_uncertainty("m", 100, allow_none=True)
    vcg_m = q.standard_uncertainty("m", 100, allow_none=True)


class AlterationUncertainties(Strict):
    """Standard uncertainties of an alteration: of its mass, and of each coordinate of its centre."""

    mass_t = q.standard_uncertainty("t", 100_000, allow_none=True)
    position_m = q.standard_uncertainty("m", 100, allow_none=True)


class LightshipFacts(Strict):
    """What is known of a lightship; a lightweight survey gives no VCG."""

    basis = Choice(*BASES, required=True)
    mass_t = q.mass_t("lightship mass [t]", required=True)
    lcg_m = q.x_m("longitudinal centre of gravity, forward of the aft perpendicular [m]", required=True)
    tcg_m = q.y_m("transverse centre of gravity, to starboard positive [m]", allow_none=True)
    vcg_m = q.z_m("vertical centre of gravity, above the moulded baseline [m]", allow_none=True)
    approved = Flag(
        metadata={
            "description": "whether the stability information may rest on it: a test that is approved, a survey whose "
            "report is accepted; drift is measured from the last approved test, due dates count from what is approved"
        }
    )
    uncertainties = fields.Nested(LightshipUncertainties, allow_none=True)


class LightshipBody(LightshipFacts):
    """A lightship to record."""

    date = Day(required=True)
    supersedes = Identifier(allow_none=True, metadata={"description": "id of the lightship that this one corrects"})
    reason = Text(2000, allow_none=True, metadata={"description": "why it supersedes the other; required with it"})

    @validates_schema
    def _reasoned(self, data: dict[str, Any], **rest: Option) -> None:
        without = data.get("supersedes") is not None and data.get("reason") is None
        refuse(without, "reason", "is required with supersedes: say what was wrong")


class DriftLightshipBody(LightshipFacts):
    """A lightship of a drift request."""

    date = DayText(required=True)
    id = Text(100, allow_none=True, metadata={"description": "a name by which another may supersede it"})
    supersedes = Text(200, allow_none=True, metadata={"description": "id, pointer or date of the one it replaces"})


class AlterationFacts(Strict):
    """A mass added, removed or relocated; a relocation needs the place it went to."""

    kind = Choice(*ALTERATION_KINDS, required=True)
    mass_t = q.mass_t("mass, always positive: the kind says which way it counts [t]", required=True)
    x_m = q.x_m(required=True)
    y_m = q.y_m(required=True)
    z_m = q.z_m(required=True)
    to_x_m = q.x_m("where a relocated mass went [m]", allow_none=True)
    to_y_m = q.y_m("where a relocated mass went [m]", allow_none=True)
    to_z_m = q.z_m("where a relocated mass went [m]", allow_none=True)
    description = Text(2000, allow_none=True)
    uncertainties = fields.Nested(AlterationUncertainties, allow_none=True)

    @validates_schema
    def _relocated_somewhere(self, data: dict[str, Any], **rest: Option) -> None:
        for name in _PLACES:
            given, moved = data.get(name) is not None, data["kind"] == "relocated"
            refuse(moved and not given, name, "is required of a relocated mass")
            refuse(given and not moved, name, f"belongs to a relocated mass; this one is {data['kind']}")


class AlterationBody(AlterationFacts):
    """An alteration to record, or the correction of one."""

    date = Day(required=True)
    corrects = Identifier(allow_none=True, metadata={"description": "id of the entry that this one replaces"})
    withdrawn = Flag(metadata={"description": "with corrects: the entry should not have been made; it counts no more"})
    reason = Text(2000, allow_none=True, metadata={"description": "what was wrong; required with corrects"})

    @validates_schema
    def _reasoned(self, data: dict[str, Any], **rest: Option) -> None:
        corrects = data.get("corrects") is not None
        refuse(corrects and data.get("reason") is None, "reason", "is required with corrects: say what was wrong")
        refuse(bool(data.get("withdrawn")) and not corrects, "withdrawn", "needs corrects: name the entry to withdraw")


class DriftAlterationBody(AlterationFacts):
    """An alteration of a drift request."""

    date = DayText(required=True)


class LightshipAnswer(Schema):
    """A lightship as recorded, and what supersedes it."""

    id = fields.String(required=True)
    vessel_id = fields.String(required=True)
    date = fields.Date(required=True)
    basis = fields.String(required=True)
    mass_t = fields.Float(required=True)
    lcg_m = fields.Float(required=True)
    tcg_m = fields.Float(required=True, allow_none=True)
    vcg_m = fields.Float(required=True, allow_none=True)
    approved = fields.Boolean(required=True)
    uncertainties = fields.Dict(required=True, allow_none=True)
    supersedes = fields.String(required=True, allow_none=True)
    reason = fields.String(required=True, allow_none=True)
    recorded_at = fields.AwareDateTime(required=True)
    recorded_by = fields.String(required=True)
    superseded_by = fields.String(required=True, allow_none=True)


class AlterationAnswer(Schema):
    """An alteration as recorded, and what corrects it."""

    id = fields.String(required=True)
    vessel_id = fields.String(required=True)
    date = fields.Date(required=True)
    kind = fields.String(required=True)
    mass_t = fields.Float(required=True)
    x_m = fields.Float(required=True)
    y_m = fields.Float(required=True)
    z_m = fields.Float(required=True)
    to_x_m = fields.Float(required=True, allow_none=True)
    to_y_m = fields.Float(required=True, allow_none=True)
    to_z_m = fields.Float(required=True, allow_none=True)
    description = fields.String(required=True, allow_none=True)
    uncertainties = fields.Dict(required=True, allow_none=True)
    corrects = fields.String(required=True, allow_none=True)
    withdrawn = fields.Boolean(required=True)
    reason = fields.String(required=True, allow_none=True)
    recorded_at = fields.AwareDateTime(required=True)
    recorded_by = fields.String(required=True)
    corrected_by = fields.String(required=True, allow_none=True)
