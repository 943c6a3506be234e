"""Weight plans: the ship, the places on deck, the weights, the crane and the instruments."""

from __future__ import annotations

from typing import Any

from marshmallow import ValidationError, fields

from heelwright_service.api import quantities as q
from heelwright_service.api.fields import Checked, Choice, Count, Flag, Input, Numbers, Text
from heelwright_service.api.schemas.base import Strict
from heelwright_service.api.schemas.hull import some
from heelwright_service.api.schemas.record import RecordVesselBody

Many = fields.List[Any]


class WeightsCount(Checked[Any]):
    """How many weights: 4 or 6, or a list of the numbers to choose from."""

    def _read(self, value: Input) -> Input:
        one = Count(2, 6)
        if not isinstance(value, list):
            return one.deserialize(value)
        if not 1 <= len(value) <= 3:
            raise ValidationError("must be a number, or a list of one to three numbers")
        return [one.deserialize(item) for item in value]


class DeckPositionBody(Strict):
    """A line across the deck on which weights may stand to port and to starboard."""

    x_m = q.x_m(required=True)
    y_port_m = q.y_m("outermost place of a weight's centre to port, negative [m]", required=True)
    y_starboard_m = q.y_m("outermost place of a weight's centre to starboard, positive [m]", required=True)
    z_m = q.z_m("height of the weights' centre above the baseline [m]", required=True)
    units_per_side = Count(0, 1000, allow_none=True)
    max_mass_t = q.mass_t("most mass on one side at once [t]", allow_none=True)
    deck_load_t_per_m2 = q.deck_load_t_per_m2("allowed load of the deck [t/m²]", allow_none=True)


class StockBody(Strict):
    """A kind of weight that is at hand."""

    id = Text(100, allow_none=True)
    mass_t = q.mass_t(required=True)
    count = Count(0, 1000, required=True)
    footprint_m2 = q.area_m2("area it stands on [m²]", allow_none=True)
    height_m = q.length_m("height [m]", allow_none=True)


class PlanInstrumentBody(Strict):
    """An instrument, its length and the finest step it can be read to."""

    id = Text(100, required=True)
    kind = Choice("pendulum", "u-tube", "inclinometer", required=True)
    length_m = q.length_m("pivot to batten, or spacing of the legs [m]", allow_none=True)
    resolution_mm = q.resolution("finest step of a reading [mm]", 100, allow_none=True)
    resolution_deg = q.resolution("finest step of a reading [°]", 5, allow_none=True)


class CraneBody(Strict):
    """The crane that moves the weights."""

    x_m = q.x_m(required=True)
    y_m = q.y_m(required=True)
    radius_max_m = q.length_m("largest outreach [m]", required=True)
    curve = Numbers(2, 2, 1000, 100_000, required=True, metadata={"description": "[radius_m, swl_t] by rising radius"})
    onboard = Flag(required=True)
    minutes_per_lift = q.minutes("time of one lift [min]", required=True)


class PlanBody(Strict):
    """What is asked of the planner; displacement and GM are of the ship without the inclining weights."""

    displacement_t = q.mass_t("displacement without the inclining weights [t]", required=True)
    gm_m = q.signed_gm_m("metacentric height with free surfaces, without the inclining weights [m]", required=True)
    gm_uncertainty_m = q.expanded_uncertainty_m("expanded (95 %) uncertainty of gm_m; 15 % of it when left out [m]")
    heel_band_deg = Numbers(0, 2, 2, 45.0, metadata={"description": "least and largest heel wanted [°]"})
    band_applies_to = Choice("maximum", "every")
    initial_heel_deg = q.angle_deg("heel without the weights, to starboard positive [°]")
    breadth_m = q.length_m("moulded breadth [m]", required=True)
    depth_m = q.length_m("moulded depth to the deck edge [m]", required=True)
    draught_m = q.draught_m("draught without the weights [m]", above=True, required=True)
    positions: Many = fields.List(fields.Nested(DeckPositionBody), required=True, validate=some(1, 100))
    stock: Many = fields.List(fields.Nested(StockBody), validate=some(0, 100))
    weight_step_t = q.weight_step_t("equal weights are a multiple of this [t]", allow_none=True)
    shift_step_m = q.shift_step_m("shifts are multiples of this [m]")
    weights_count = WeightsCount(required=True)
    instruments: Many = fields.List(fields.Nested(PlanInstrumentBody), required=True, validate=some(1, 20))
    crane = fields.Nested(CraneBody, allow_none=True)
    vessel = fields.Nested(RecordVesselBody, allow_none=True)
    rule_set = Text(100, allow_none=True)
    target_gm_uncertainty_m = q.expanded_uncertainty_m("largest expanded (95 %) uncertainty of GM wanted [m]")
