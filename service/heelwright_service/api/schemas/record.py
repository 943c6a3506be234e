"""The test record: vessel, test day and doubts in one self-contained document."""

from __future__ import annotations

from typing import Any

from marshmallow import fields, validates_schema

from heelwright_service.api import quantities as q
from heelwright_service.api.fields import (
    Choice,
    Count,
    DayText,
    Flag,
    MomentText,
    Numbers,
    Option,
    Positions,
    QueryCount,
    Text,
)
from heelwright_service.api.schemas.base import Strict, between, refuse, refuse_repeats
from heelwright_service.api.schemas.hull import HullBody, MarkBody, TableBody, TankBody, refuse_no_form, some

Many = fields.List[Any]


class ApprovedLightshipBody(Strict):
    """The lightship that the vessel's stability information rests on today."""

    mass_t = q.mass_t(required=True)
    lcg_m = q.x_m(required=True)
    tcg_m = q.y_m()
    vcg_m = q.z_m(required=True)
    date = DayText(allow_none=True)


class ModelAcceptanceBody(Strict):
    """Who accepted this model of the vessel, when, and which version of it."""

    checker = Text(200, required=True)
    date = DayText(required=True)
    version = Text(200, required=True)


class RecordVesselBody(Strict):
    """The vessel as a test needs her; a hull form or a hydrostatic table is required."""

    name = Text(200, allow_none=True)
    kind = Text(100, allow_none=True)
    length_bp_m = q.length_m("length between perpendiculars [m]", required=True)
    length_m = q.length_m("length by the rules that apply to her [m]", allow_none=True)
    breadth_m = q.length_m("moulded breadth [m]", allow_none=True)
    depth_m = q.length_m("moulded depth [m]", allow_none=True)
    hull = fields.Nested(HullBody, allow_none=True)
    hydrostatic_table = fields.Nested(TableBody, allow_none=True)
    marks: Many = fields.List(fields.Nested(MarkBody), validate=some(0, 1000))
    tanks: Many = fields.List(fields.Nested(TankBody), validate=some(0, 2000))
    approved_lightship = fields.Nested(ApprovedLightshipBody, allow_none=True)
    model_acceptance = fields.Nested(ModelAcceptanceBody, allow_none=True)

    @validates_schema
    def _has_form(self, data: dict[str, Any], **rest: Option) -> None:
        refuse_no_form(data)
        refuse_repeats(data.get("marks", []), "marks", "name")
        refuse_repeats(data.get("tanks", []), "tanks", "name")


class TestFactsBody(Strict):
    """Where, when and by which rules the test was made."""

    date = DayText(allow_none=True)
    location = Text(500, allow_none=True)
    weather = Text(2000, allow_none=True)
    rule_set = Text(100, allow_none=True)


class GlassBody(Strict):
    """A hydrometer as its glass is stamped: what it shows, and at which temperature its scale is true."""

    kind = Choice("relative-density", "apparent-density", "density", required=True)
    calibrated_at_c = q.temperature_c("temperature at which the scale is true [°C]")
    reference_water_c = q.temperature_c("of the pure water that a relative density refers to [°C]", allow_none=True)
    glass_expansion_per_c = q.share("cubic expansion of the glass [1/°C]", 0.0, 1e-3)


class WaterSampleBody(Strict):
    """One reading of the density of the water alongside; with its glass described, the reading on that glass."""

    density_t_per_m3 = q.water_density(required=True)
    depth_m = q.draught_m("depth below the surface [m]", allow_none=True)
    temperature_c = q.temperature_c("temperature of the water [°C]", allow_none=True)
    place = Text(200, allow_none=True)
    glass = fields.Nested(GlassBody, allow_none=True)


class ProbeSampleBody(Strict):
    """Salinity and temperature of the water alongside by a probe."""

    practical_salinity = q.share("practical salinity (PSS-78)", 0.0, 50.0, required=True)
    temperature_c = q.temperature_c("temperature of the water [°C]", required=True)
    depth_m = q.draught_m("depth below the surface [m]", allow_none=True)
    place = Text(200, allow_none=True)


class WaterBody(Strict):
    """The samples, and whether the glass shows density in vacuum or in air."""

    density_basis = Choice("vacuum", "air")
    samples: Many = fields.List(fields.Nested(WaterSampleBody), required=True, validate=some(0, 1000))
    probe_samples: Many = fields.List(fields.Nested(ProbeSampleBody), validate=some(0, 1000))

    @validates_schema
    def _sampled_somehow(self, data: dict[str, Any], **rest: Option) -> None:
        neither = not data["samples"] and not data.get("probe_samples")
        refuse(neither, "samples", "must have 1 to 1000 entries unless probe_samples are given")


CONDITIONS = ("tube", "boat", "quay", "waves", "hard-to-read")


class DraughtBody(Strict):
    """A draught as read at a named mark; a scale whose zero is under water may show less than nothing."""

    mark = Text(100, required=True)
    reading_m = q.draught_m("reading at the mark [m]", low=-10.0, required=True)
    condition = Choice(*CONDITIONS, allow_none=True, metadata={"description": "how it was read"})
    standard_m = q.standard_uncertainty("m", 1, allow_none=True)


class FreeboardBody(Strict):
    """The height of a known point above the water."""

    x_m = q.x_m(required=True)
    y_m = q.y_m(required=True)
    point_z_m = q.z_m("height of the point above the moulded baseline [m]", required=True)
    reading_m = q.draught_m("height of the point above the water [m]", low=-10.0, required=True)
    condition = Choice(*CONDITIONS, allow_none=True, metadata={"description": "how it was read"})
    standard_m = q.standard_uncertainty("m", 1, allow_none=True)


class SoundingBody(Strict):
    """What was found in a tank; a density is never assumed."""

    tank = Text(200, required=True)
    state = Choice("empty", "pressed", "slack", required=True)
    sounding_m = q.draught_m("liquid above the pipe's zero [m]", low=-10.0, allow_none=True)
    ullage_m = q.draught_m("free height above the liquid [m]", low=-10.0, allow_none=True)
    density_t_per_m3 = q.liquid_density(required=True)
    evidence = Text(500, allow_none=True)
    liquid = Choice("fuel", "lubricating-oil", "water", allow_none=True)
    density_measured_at_c = q.oil_temperature_c("at which the density was measured [°C]", allow_none=True)
    temperature_c = q.oil_temperature_c("of the liquid in the tank [°C]", allow_none=True)


class ItemBody(Strict):
    """Surplus aboard, missing from the lightship, or misplaced (which needs the place it belongs to)."""

    description = Text(2000, required=True)
    kind = Choice("surplus", "missing", "misplaced", required=True)
    mass_t = q.mass_or_none_t("mass, never negative: its kind says which way it counts [t]", required=True)
    x_m = q.x_m(required=True)
    y_m = q.y_m(required=True)
    z_m = q.z_m(required=True)
    to_x_m = q.x_m("where a misplaced item belongs [m]", allow_none=True)
    to_y_m = q.y_m("where a misplaced item belongs [m]", allow_none=True)
    to_z_m = q.z_m("where a misplaced item belongs [m]", allow_none=True)


class PersonBody(Strict):
    """Somebody aboard during the test."""

    name = Text(200, allow_none=True)
    mass_t = q.mass_or_none_t("mass of one or several persons [t]", required=True)
    x_m = q.x_m(required=True)
    y_m = q.y_m(required=True)
    z_m = q.z_m(required=True)


class IncliningWeightBody(Strict):
    """An inclining weight with its certified mass."""

    id = Text(100, required=True)
    mass_t = q.mass_t("certified mass [t]", required=True)


class StateBody(Strict):
    """Where every inclining weight stands; the lowest number is the initial state."""

    number = Count(0, 10_000, required=True)
    positions = Positions(required=True, metadata={"description": "[x, y, z] of every weight by its id [m]"})


class InstrumentBody(Strict):
    """A pendulum (length to the batten), a U-tube (spacing of its legs) or an inclinometer (no length)."""

    id = Text(100, required=True)
    kind = Choice("pendulum", "u-tube", "inclinometer", required=True)
    length_m = q.length_m("pivot to batten, or spacing of the legs [m]", allow_none=True)
    zero = Choice("arbitrary", "upright")


class ReadingBody(Strict):
    """One instrument read in one state, heel to starboard positive."""

    state = Count(0, 10_000, required=True)
    instrument = Text(100, required=True)
    value_mm = q.deflection_mm("along the batten, or rise plus fall [mm]", allow_none=True)
    value_deg = q.angle_deg("angle of an inclinometer [°]", allow_none=True)
    samples_deg = Numbers(
        0, 1, 1_000_000, 45.0, allow_none=True, metadata={"description": "samples of an inclinometer [°]"}
    )
    at = MomentText(allow_none=True)
    repeat = Count(0, 10_000, allow_none=True)
    withdrawn_reason = Text(2000, allow_none=True)

    @validates_schema
    def _one_value(self, data: dict[str, Any], **rest: Option) -> None:
        names = ("value_mm", "value_deg", "samples_deg")
        given = [name for name in names if data.get(name) is not None]
        refuse(len(given) != 1, (given or names)[0], f"give exactly one of {', '.join(names)}")


class BallastMoveBody(Strict):
    """Water moved from one tank to another to reach a state, both sounded before and after at their pipes."""

    state = Count(0, 10_000, required=True)
    from_tank = Text(200, required=True)
    to_tank = Text(200, required=True)
    from_before_m = q.draught_m("sounding of the tank it left, before [m]", low=-10.0, required=True)
    from_after_m = q.draught_m("sounding of the tank it left, after [m]", low=-10.0, required=True)
    to_before_m = q.draught_m("sounding of the tank it came into, before [m]", low=-10.0, required=True)
    to_after_m = q.draught_m("sounding of the tank it came into, after [m]", low=-10.0, required=True)


class BallastProcedureBody(Strict):
    """Who approved water as inclining weight for this test, and what was seen to."""

    approved_by = Text(200, required=True, metadata={"description": "the authority that approved it for this test"})
    reference = Text(200, required=True, metadata={"description": "its paper"})
    why_not_solid_weights = Text(2000, required=True, metadata={"description": "why they are impracticable"})
    tanks_free_of_stringers = Flag(allow_none=True, metadata={"description": "nor other members that trap air"})
    density_measured = Flag(allow_none=True, metadata={"description": "of the water in these tanks"})
    lines_full = Flag(allow_none=True, metadata={"description": "lines full before the first move"})
    manifolds_blanked = Flag(allow_none=True, metadata={"description": "blanks in the transverse manifolds"})
    valves_watched = Flag(allow_none=True, metadata={"description": "valves under control all the time"})
    tables_verified = Flag(allow_none=True, metadata={"description": "sounding tables found accurate"})
    flow_meter = Flag(allow_none=True, metadata={"description": "a flow meter checked what moved; it need not"})


class UncertaintiesBody(Strict):
    """Standard uncertainties in place of the defaults."""

    draught_m = q.standard_uncertainty("m", 1, allow_none=True)
    freeboard_m = q.standard_uncertainty("m", 1, allow_none=True)
    density_t_per_m3 = q.standard_uncertainty("t/m³", 0.05, allow_none=True)
    reading_m = q.standard_uncertainty("m", 1, allow_none=True)
    reading_deg = q.standard_uncertainty("°", 5, allow_none=True)
    pendulum_length_m = q.standard_uncertainty("m", 1, allow_none=True)
    weight_mass_relative = q.standard_uncertainty("of the mass", 0.5, allow_none=True)
    weight_position_m = q.standard_uncertainty("m", 5, allow_none=True)
    sounding_m = q.standard_uncertainty("m", 5, allow_none=True)
    tank_volume_relative = q.standard_uncertainty("of the volume", 0.5, allow_none=True)
    item_mass_relative = q.standard_uncertainty("of the mass", 1, allow_none=True)
    item_position_m = q.standard_uncertainty("m", 50, allow_none=True)
    hull_volume_relative = q.standard_uncertainty("of the volume", 0.2, allow_none=True)
    km_m = q.standard_uncertainty("m", 10, allow_none=True)
    sounding_datum_m = q.standard_uncertainty("m", 5, allow_none=True)
    unlisted_mass_t = q.standard_uncertainty("t", 100_000, allow_none=True)
    unlisted_moment_t_m = q.standard_uncertainty("t·m", 1_000_000, allow_none=True)


class RecordBody(Strict):
    """A test record; without states and readings it is a lightweight survey, which gives no VCG."""

    vessel = fields.Nested(RecordVesselBody, required=True)
    test = fields.Nested(TestFactsBody)
    water = fields.Nested(WaterBody, required=True)
    draughts: Many = fields.List(fields.Nested(DraughtBody), validate=some(0, 1000))
    freeboards: Many = fields.List(fields.Nested(FreeboardBody), validate=some(0, 1000))
    soundings: Many = fields.List(fields.Nested(SoundingBody), validate=some(0, 2000))
    items: Many = fields.List(fields.Nested(ItemBody), validate=some(0, 10_000))
    persons: Many = fields.List(fields.Nested(PersonBody), validate=some(0, 10_000))
    inclining_weights: Many = fields.List(fields.Nested(IncliningWeightBody), validate=some(0, 100))
    states: Many = fields.List(fields.Nested(StateBody), validate=some(0, 1000))
    instruments: Many = fields.List(fields.Nested(InstrumentBody), validate=some(0, 100))
    readings: Many = fields.List(fields.Nested(ReadingBody), validate=some(0, 20_000))
    ballast_moves: Many = fields.List(fields.Nested(BallastMoveBody), validate=some(0, 1000))
    ballast_procedure = fields.Nested(BallastProcedureBody, allow_none=True)
    uncertainties = fields.Nested(UncertaintiesBody)

    @validates_schema
    def _floats_somewhere(self, data: dict[str, Any], **rest: Option) -> None:
        neither = not data.get("draughts") and not data.get("freeboards")
        refuse(neither, "draughts", "give draughts or freeboards; one of them is required")


class ReductionQuery(Strict):
    """How to reduce a record; without a method both are used with a hull form, else small-angle."""

    method = Choice("small-angle", "heeled-equilibrium", "both", load_default=None)
    uncertainty = Choice("none", "linear", "monte-carlo", load_default="linear")
    draws = QueryCount(
        load_default=None, validate=between(100, 1_000_000), metadata={"description": "of a Monte Carlo"}
    )
    seed = QueryCount(
        load_default=None, validate=between(0, 2**31 - 1), metadata={"description": "makes a Monte Carlo repeatable"}
    )
