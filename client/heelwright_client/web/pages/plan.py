"""Plan a test: the weights, where they stand and how they move, to be shared by its address and printed."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from flask import Blueprint, render_template, request, url_for

from heelwright_client.demo.documents import WEIGHT_PLAN, carried
from heelwright_client.errors import InvalidRequestError, NotFoundError
from heelwright_client.http import Document
from heelwright_client.web import access, preferences
from heelwright_client.web.entry import Entry
from heelwright_client.web.fields import Field, singles
from heelwright_client.web.packing import packed
from heelwright_client.web.pages.plan_form import (
    CRANE,
    CURVE,
    INSTRUMENTS,
    PLAN,
    POSITIONS,
    SHIP,
    STOCK,
    WISHES,
    entry_of,
    request_of,
)
from heelwright_client.web.plan_view import plan_view
from heelwright_client.web.wording import Say

blueprint = Blueprint("plan", __name__)

_RECORD_FIELDS = ("name", "kind", "length_bp_m", "length_m", "breadth_m", "depth_m")


@blueprint.get("/plan")
def show() -> str | tuple[str, int]:
    """Show the form, and the plan once it is filled in; the whole question stands in the address."""
    vessel = _vessel(request.args.get("vessel", ""))
    if "units" not in request.args:
        return _page(_first_entry(vessel), vessel, {})
    entry = Entry.of_form(PLAN, request.args, preferences.system())
    found: dict[str, Any] = {}
    if not entry.wrong:
        asked = request_of(entry) | _described(vessel)
        try:
            plan = access.client().weight_plans.compute(asked)
            found = plan_view(plan, asked, Say(preferences.system())) if plan["weights"] else {"plan": plan}
            found["for_test"] = request.args.get("test", "")
            found["carried"] = packed(_moves(plan, asked)) if found["for_test"] else ""
        except InvalidRequestError as error:
            entry.take(error)
    page = _page(entry, vessel, found)
    return (page, 422) if entry.wrong else page


def _moves(plan: Mapping[str, Any], asked: Mapping[str, Any]) -> dict[str, Any]:
    """What the plan of a test takes from a weight plan."""
    weights = [{name: weight[name] for name in ("id", "mass_t", "shift_distance_m")} for weight in plan["weights"]]
    names = ("number", "positions", "moment_t_m", "deflection_mm")
    states = [{name: state[name] for name in names} for state in plan["states"]]
    instruments = [
        {name: each[name] for name in ("id", "kind", "length_m") if name in each} for each in asked["instruments"]
    ]
    moves = {"weights": weights, "states": states, "max_heel_deg": plan["max_heel_deg"]}
    return {"moves": moves, "instruments": instruments}


def _first_entry(vessel: Document | None) -> Entry:
    """What the form starts with: the example, a vessel's dimensions, or nothing."""
    if request.args.get("example"):
        return entry_of(carried(WEIGHT_PLAN), preferences.system())
    known = {name: vessel[name] for name in ("breadth_m", "depth_m") if vessel and vessel.get(name)}
    return entry_of(known, preferences.system())


def _page(entry: Entry, vessel: Document | None, found: dict[str, Any]) -> str:
    return render_template(
        "plan.html",
        entry=entry,
        vessel=vessel,
        ship=SHIP,
        wishes=WISHES,
        tables=(POSITIONS, STOCK, INSTRUMENTS),
        crane=CRANE,
        curve=CURVE,
        given=[(field.label, _as_given(entry, field)) for field in singles(PLAN) if entry.text(field.name)],
        address=url_for("plan.show", _external=True) + "?" + request.query_string.decode("ascii", "replace"),
        **found,
    )


def _as_given(entry: Entry, field: Field) -> str:
    """What was typed or chosen, with its unit, for paper."""
    text, unit = entry.text(field.name), field.shown_unit(entry.system)
    if unit:
        return text + ("" if unit == "°" else " ") + unit
    return dict(field.options).get(text, text)


def _vessel(vessel_id: str) -> Document | None:
    return access.client().vessels.get(vessel_id).document if vessel_id else None


def _described(vessel: Document | None) -> dict[str, Any]:
    """The vessel as a record has it, with her hull, so that heels are those of true equilibrium."""
    if not vessel or not vessel.get("length_bp_m"):
        return {}
    try:
        hull = access.client().vessels.part(vessel["id"], "hull").document
    except NotFoundError:
        return {}
    known = {name: vessel[name] for name in _RECORD_FIELDS if vessel.get(name) is not None}
    return {"vessel": known | {"hull": hull}}
