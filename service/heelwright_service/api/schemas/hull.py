"""Hull forms, hydrostatic tables, marks and tanks: as stored with a vessel and as part of a record."""

from __future__ import annotations

from typing import Any

from marshmallow import fields, validates_schema
from marshmallow.validate import Length

from heelwright_service.api import quantities as q
from heelwright_service.api.fields import Choice, DayText, Numbers, Option, Text
from heelwright_service.api.schemas.base import Strict, refuse, refuse_repeats

MOST_STATIONS = 2000
MOST_ROWS = 20_000


def some(least: int, most: int) -> Length:
    """Return a check of how many entries a list has."""
    return Length(least, most, error=f"must have {least} to {most} entries")


class StationBody(Strict):
    """One section: the starboard contour from keel to deck edge; a station given twice is a step along x."""

    x_m = q.x_m(required=True)
    contour_m = Numbers(2, 2, required=True, metadata={"description": "points [y, z], keel to deck edge [m]"})
    port_contour_m = Numbers(2, 2, allow_none=True, metadata={"description": "where port differs, with y ≤ 0 [m]"})


class AppendageBody(Strict):
    """A constant immersed volume outside the stations; negative for a recess."""

    name = Text(200, required=True)
    volume_m3 = q.signed_volume_m3("volume, negative for a recess [m³]", required=True)
    x_m = q.x_m(required=True)
    y_m = q.y_m(required=True)
    z_m = q.z_m(required=True)


class HullBody(Strict):
    """A hull form: stations by rising x."""

    stations: fields.List[Any] = fields.List(fields.Nested(StationBody), required=True, validate=some(2, MOST_STATIONS))
    appendages: fields.List[Any] = fields.List(fields.Nested(AppendageBody), validate=some(0, 1000))
    shell_allowance_relative = q.share("share by which the shell increases the moulded volume", 0.0, 0.1)


class TableRowBody(Strict):
    """One line of a hydrostatic table."""

    draught_m = q.draught_m("moulded draught at mid-length [m]", required=True)
    trim_m = q.trim_m("trim by the stern [m]")
    volume_m3 = q.volume_m3("moulded volume [m³]", required=True)
    lcb_m = q.x_m("centre of buoyancy forward of the aft perpendicular [m]", required=True)
    vcb_m = q.z_m("centre of buoyancy above the baseline [m]", required=True)
    km_t_m = q.height_m("transverse metacentre above the baseline [m]", required=True)
    lcf_m = q.x_m("centre of flotation forward of the aft perpendicular [m]", allow_none=True)
    km_l_m = q.height_m("longitudinal metacentre above the baseline [m]", allow_none=True)


class TableBody(Strict):
    """A hydrostatic table: every draught with every trim."""

    rows: fields.List[Any] = fields.List(fields.Nested(TableRowBody), required=True, validate=some(2, MOST_ROWS))


class MarkBody(Strict):
    """A draught mark and the height of its zero above the moulded baseline, negative below the keel line."""

    name = Text(100, required=True)
    x_m = q.x_m(required=True)
    y_m = q.y_m(required=True)
    zero_z_m = q.z_m("height of the scale's zero above the moulded baseline [m]", required=True)
    verified = Choice("in-dock", "not-verified", allow_none=True)
    verified_on = DayText(allow_none=True)


class MarksBody(Strict):
    """A vessel's draught marks."""

    marks: fields.List[Any] = fields.List(fields.Nested(MarkBody), required=True, validate=some(0, 1000))

    @validates_schema
    def _names_differ(self, data: dict[str, Any], **rest: Option) -> None:
        refuse_repeats(data["marks"], "marks", "name")


class PipeBody(Strict):
    """Where a tank is sounded, and the height of the pipe's zero."""

    x_m = q.x_m(required=True)
    y_m = q.y_m(required=True)
    zero_z_m = q.z_m("height of the sounding's zero above the moulded baseline [m]", required=True)


class TankRowBody(Strict):
    """One line of a tank's sounding table, for an upright level surface."""

    sounding_m = q.draught_m("sounding above the pipe's zero [m]", low=-10.0, required=True)
    volume_m3 = q.volume_m3("contents [m³]", required=True)
    x_m = q.x_m(required=True)
    y_m = q.y_m(required=True)
    z_m = q.z_m(required=True)
    i_t_m4 = q.second_moment_m4("second moment of the surface about its own fore-and-aft axis [m⁴]", required=True)
    i_l_m4 = q.second_moment_m4("second moment of the surface about its own athwartship axis [m⁴]", required=True)


class TankBody(Strict):
    """A tank with its sounding table and, where known, its shape."""

    name = Text(200, required=True)
    contents = Text(200, allow_none=True)
    capacity_m3 = q.volume_m3("volume when pressed full [m³]", above=True, required=True)
    pipe = fields.Nested(PipeBody, required=True)
    table: fields.List[Any] = fields.List(fields.Nested(TankRowBody), required=True, validate=some(1, 5000))
    geometry = fields.Nested(HullBody, allow_none=True)


class TanksBody(Strict):
    """A vessel's tanks."""

    tanks: fields.List[Any] = fields.List(fields.Nested(TankBody), required=True, validate=some(0, 2000))

    @validates_schema
    def _names_differ(self, data: dict[str, Any], **rest: Option) -> None:
        refuse_repeats(data["tanks"], "tanks", "name")


def refuse_no_form(data: dict[str, Any]) -> None:
    """Refuse a vessel or request with neither a hull form nor a hydrostatic table."""
    neither = data.get("hull") is None and data.get("hydrostatic_table") is None
    refuse(neither, "hull", "is required unless a hydrostatic_table is given")
