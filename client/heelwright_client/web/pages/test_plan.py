"""The plan of a test: what is settled before the procedure is issued, its weights and its tank plan."""

from __future__ import annotations

import uuid

from flask import Blueprint, flash, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from heelwright_client.errors import ConflictError, EntryError, InvalidRequestError
from heelwright_client.web import access, preferences
from heelwright_client.web.entry import Entry
from heelwright_client.web.fields import Spec
from heelwright_client.web.merging import merged
from heelwright_client.web.one_form import WAIVER, refused_page, take
from heelwright_client.web.packing import unpacked
from heelwright_client.web.pages.test_plan_form import GROUPS, PLAN_OF_TEST, TABLES, TANK_PLAN
from heelwright_client.web.paging import page_number
from heelwright_client.web.plan_view import judged
from heelwright_client.web.stored_test import StoredTest
from heelwright_client.web.tank_window import TankWindow, tank_plan_shown, window_of

blueprint = Blueprint("test_plan", __name__, url_prefix="/tests/<test_id>")

Answer = str | Response | tuple[str, int]


@blueprint.get("/plan")
def show(test_id: str) -> str:
    """Show the plan with what reviewers would send it back for."""
    test = StoredTest(access.client(), test_id)
    stored = test.stored_part("plan")
    shown = stored.document if stored else {}
    etag = stored.etag if stored else None
    return _page(test, Entry.of_document(PLAN_OF_TEST, shown, preferences.system()), etag)


@blueprint.post("/plan")
def store(test_id: str) -> Answer:
    """Store a new version of the plan; what the form does not ask stays."""
    test = StoredTest(access.client(), test_id)
    entry = Entry.of_form(PLAN_OF_TEST, request.form, preferences.system())
    if not entry.wrong and _stored(test, entry):
        flash("The plan was stored.")
        return redirect(url_for("test_plan.show", test_id=test_id))
    return _page(test, entry, request.form.get("etag") or None), 422


@blueprint.post("/plan/moves")
def take_moves(test_id: str) -> Answer:
    """Take the weights, states and instruments of a weight plan into the plan."""
    test = StoredTest(access.client(), test_id)
    stored = test.stored_part("plan")
    try:
        brought = unpacked(request.form.get("plan", ""))
    except EntryError:
        brought = {}
    if not {"moves", "instruments"} <= set(brought):
        flash("The weight plan did not arrive whole; plan the weights again.")
        return redirect(url_for("test_plan.show", test_id=test_id))
    plan = dict(stored.document) if stored else {}
    test.put("plan", plan | {name: brought[name] for name in ("moves", "instruments")}, stored.etag if stored else None)
    flash("The weights and their moves are in the plan.")
    return redirect(url_for("test_plan.show", test_id=test_id))


@blueprint.get("/tank-plan")
def tanks(test_id: str) -> str:
    """Show a page of the tank plan; the first one lists the vessel's tanks."""
    test = StoredTest(access.client(), test_id)
    stored = test.stored_part("tank-plan")
    window = window_of(tank_plan_shown(test, stored), page_number("tanks"))
    return _tank_page(test, window, window.entry(preferences.system()), stored.etag if stored else None)


@blueprint.post("/tank-plan")
def store_tanks(test_id: str) -> Answer:
    """Store a new version of the tank plan: the tanks of this page, the others as they were."""
    test = StoredTest(access.client(), test_id)
    plan = tank_plan_shown(test, test.stored_part("tank-plan"))
    window = window_of(plan, page_number("tanks"))
    entry, etag = Entry.of_form(TANK_PLAN, request.form, preferences.system()), request.form.get("etag") or None
    if not entry.wrong:
        try:
            test.put("tank-plan", window.put_into(plan, entry), etag)
            flash("The tank plan was stored.")
            return redirect(url_for("test_plan.tanks", test_id=test_id, tanks=request.args.get("tanks")))
        except (InvalidRequestError, ConflictError) as error:
            window.take(entry, error)
    return _tank_page(test, window, entry, etag), 422


@blueprint.post("/waive")
def waive(test_id: str) -> Answer:
    """Record that somebody takes a point on himself."""
    test = StoredTest(access.client(), test_id)
    point, back = request.form.get("point", ""), access.inner_address(request.form.get("next"))
    entry = take(test, "waivers", WAIVER, {"point": point})
    if entry.wrong:
        return refused_page(test, f"Take {point} on by name", entry, {"point": point}, back)
    flash(f"{entry.values['name']} takes it on: {entry.values['reason']}")
    return redirect(back)


def _stored(test: StoredTest, entry: Entry) -> bool:
    try:
        test.put("plan", merged(test.plan, entry), request.form.get("etag") or None)
    except (InvalidRequestError, ConflictError) as error:
        entry.take(error)
        return False
    return True


def _page(test: StoredTest, entry: Entry, etag: str | None) -> str:
    procedure = test.part("procedure") or {"checks": [], "sections": []}
    moves = test.plan.get("moves") or {}
    return render_template(
        "test_plan.html",
        test=test,
        entry=entry,
        etag=etag,
        groups=GROUPS,
        tables=TABLES,
        moves=moves,
        total_t=sum(weight["mass_t"] for weight in moves.get("weights", ())),
        procedure=procedure,
        key=str(uuid.uuid4()),
        **judged(procedure["checks"]),
    )


def _tank_page(test: StoredTest, window: TankWindow, entry: Entry, etag: str | None) -> str:
    standing = test.part("tank-plan/standing")
    spec: Spec = TANK_PLAN
    return render_template(
        "tank_plan.html",
        test=test,
        entry=entry,
        etag=etag,
        due=spec[0],
        table=window.table,
        window=window,
        standing=standing,
        **judged(standing["checks"] if standing else []),
    )
