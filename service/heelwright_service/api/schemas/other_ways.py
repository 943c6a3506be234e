"""Other ways to a centre: timed rolling, load cells, a swing in air."""

from __future__ import annotations

from typing import Any

from marshmallow import fields

from heelwright_service.api import quantities as q
from heelwright_service.api.fields import Count
from heelwright_service.api.schemas.answers import answer_schema
from heelwright_service.api.schemas.base import Strict
from heelwright_service.api.schemas.hull import some
from heelwright_service.api.schemas.record import IncliningWeightBody, InstrumentBody, ReadingBody, StateBody
from heelwright_service.core.other_ways.air_inclining import AirInclining
from heelwright_service.core.other_ways.roll_period import RollPeriodCheck
from heelwright_service.usecases.other_ways import Weighed

Many = fields.List[Any]


class RollRunBody(Strict):
    """One timed run of free rolling."""

    duration_s = q.duration_s("duration of the run [s]", required=True)
    oscillations = Count(1, 10_000, required=True, metadata={"description": "full oscillations, to one side and back"})


class RollPeriodBody(Strict):
    """Timed free rolling, as a rough cross-check of GM."""

    breadth_m = q.length_m("breadth at the waterline [m]", required=True)
    runs: Many = fields.List(fields.Nested(RollRunBody), required=True, validate=some(1, 100))
    coefficient = q.share("rolling coefficient of the kind of craft [s/√m]", 0.3, 2.0)
    coefficient_uncertainty_relative = q.share("its relative standard uncertainty", 0.0, 0.5)


class LoadCellBody(Strict):
    """A load cell: where it takes the load, and what it reads."""

    x_m = q.x_m(required=True)
    y_m = q.y_m(required=True)
    load_t = q.mass_or_none_t("reading [t]", required=True)
    standard_uncertainty_t = q.standard_uncertainty("t", 1000)


class TareBody(Strict):
    """What hangs on the cells besides the craft."""

    mass_t = q.mass_or_none_t("mass [t]", required=True)
    x_m = q.x_m(required=True)
    y_m = q.y_m(required=True)
    mass_standard_uncertainty_t = q.standard_uncertainty("t", 1000)
    position_standard_uncertainty_m = q.standard_uncertainty("m", 10)


class WeighingBody(Strict):
    """A small craft on load cells, level and upright; no water comes into it."""

    cells: Many = fields.List(fields.Nested(LoadCellBody), required=True, validate=some(1, 100))
    tares: Many = fields.List(fields.Nested(TareBody), validate=some(0, 1000))
    position_standard_uncertainty_m = q.standard_uncertainty("m", 10)
    calibration_relative = q.standard_uncertainty("of the load, shared by all cells", 0.1)


class HooksBody(Strict):
    """The two hooks that a craft hangs in, in her own axes, and where her centre lies between them."""

    aft_x_m = q.x_m(required=True)
    aft_z_m = q.z_m(required=True)
    fwd_x_m = q.x_m(required=True)
    fwd_z_m = q.z_m(required=True)
    lcg_m = q.x_m(required=True)


class AttachedBody(Strict):
    """What swings with the craft and is not of it, besides the inclining weights."""

    mass_t = q.mass_or_none_t("mass [t]", required=True)
    z_m = q.z_m(required=True)
    mass_standard_uncertainty_t = q.standard_uncertainty("t", 1000)
    height_standard_uncertainty_m = q.standard_uncertainty("m", 10)


class SwingUncertaintyBody(Strict):
    """Standard uncertainties beside the scatter of the readings, in place of the defaults."""

    pivot_m = q.standard_uncertainty("m", 1)
    mass_relative = q.standard_uncertainty("of the swinging mass", 0.1)
    weight_relative = q.standard_uncertainty("of the inclining weights", 0.1)
    instrument_length_relative = q.standard_uncertainty("of the instruments' lengths", 0.1)


class AirIncliningBody(Strict):
    """A small craft hung from a pivot, or in two hooks, and inclined in air; no water comes into it."""

    swinging_mass_t = q.mass_t("everything that hangs on the pivot, weights included [t]", required=True)
    pivot_z_m = q.z_m("height of the pivot above the craft's baseline [m]", allow_none=True)
    hooks = fields.Nested(HooksBody, allow_none=True)
    inclining_weights: Many = fields.List(fields.Nested(IncliningWeightBody), required=True, validate=some(1, 100))
    states: Many = fields.List(fields.Nested(StateBody), required=True, validate=some(1, 1000))
    instruments: Many = fields.List(fields.Nested(InstrumentBody), required=True, validate=some(1, 100))
    readings: Many = fields.List(fields.Nested(ReadingBody), required=True, validate=some(1, 20_000))
    attached: Many = fields.List(fields.Nested(AttachedBody), validate=some(0, 1000))
    uncertainty = fields.Nested(SwingUncertaintyBody)


RollPeriodAnswer = answer_schema(RollPeriodCheck, "RollPeriodAnswer")
WeighedAnswer = answer_schema(Weighed, "WeighedAnswer")
AirIncliningAnswer = answer_schema(AirInclining, "AirIncliningAnswer")
