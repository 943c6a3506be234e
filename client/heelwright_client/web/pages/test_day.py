"""Test day: what is entered before the first move, then one state at a time, and what a departure costs."""

from __future__ import annotations

import uuid
from dataclasses import replace
from functools import partial
from typing import Any

from flask import Blueprint, Response, abort, flash, redirect, render_template, request, url_for
from werkzeug.wrappers import Response as BaseResponse

from heelwright_client.web import access, preferences
from heelwright_client.web.day_forms import BATCHES, batch_entry, batch_parts, batch_spec, to_come
from heelwright_client.web.deviation_forms import DEVIATION_SIZES, DEVIATION_WORDS, deviation_spec
from heelwright_client.web.drawings.inline import inline_at_both
from heelwright_client.web.drawings.running import running_plot
from heelwright_client.web.entering import Part, enter
from heelwright_client.web.entry import Entry
from heelwright_client.web.entry_forms import ENTRIES
from heelwright_client.web.entry_table import entry_table
from heelwright_client.web.one_form import DECISION, refused_page, take
from heelwright_client.web.pages.test_entries import key_of_form, refused, taken, wants_json
from heelwright_client.web.state_forms import STATE, day_states, instrument_kinds, next_state, state_parts
from heelwright_client.web.stored_test import StoredTest
from heelwright_client.web.wording import Say

blueprint = Blueprint("test_day", __name__, url_prefix="/tests/<test_id>/day")

Answer = str | BaseResponse | tuple[str, int] | tuple[dict[str, Any], int]
_SINGLE = ("weather", "water", "probes")
_FOLDED = ("persons", "freeboards", "permits", "ballast-procedure", "ballast-moves")
_LISTED = (*_SINGLE, *BATCHES, *_FOLDED)


@blueprint.get("/before")
def set_up(test_id: str) -> str:
    """Show whether the test can start, and everything that is entered before the first move."""
    return _before(StoredTest(access.client(), test_id), {})


@blueprint.post("/before/<path>")
def enter_table(test_id: str, path: str) -> Answer:
    """Enter one of the tables: draughts, soundings, weights or instruments."""
    if path not in BATCHES:
        abort(404)
    test = StoredTest(access.client(), test_id)
    entry = Entry.of_form(batch_spec(test, path), request.form, preferences.system()).marked(path)
    parts = batch_parts(path, entry)
    at = request.form.get("at", "").strip()
    if at and ENTRIES[path].timed:
        parts = [replace(part, body=part.body | {"at": at}) for part in parts]
    if not entry.wrong and not parts:
        entry.refuse(path, "Nothing was filled in.")
    if not entry.wrong and not enter(test, parts, entry, key_of_form()).refused:
        return taken(test, f"{len(parts)} entered: {path}.")
    return refused(entry) if wants_json() else (_before(test, {path: entry}), 422)


@blueprint.get("/")
def show(test_id: str) -> str:
    """Show the state to work on, with the plot and GM so far."""
    return _day(StoredTest(access.client(), test_id))


@blueprint.post("/states/<int(max=10000):number>")
def enter_state(test_id: str, number: int) -> Answer:
    """Enter a state with its readings; what was entered before a refusal stays and is not entered twice."""
    test = StoredTest(access.client(), test_id)
    entry = Entry.of_form(STATE, request.form, preferences.system())
    entered = any(int(each["number"]) == number for each in test.standing("states"))
    parts = state_parts(number, entered, entry, instrument_kinds(test)) if not entry.wrong else []
    at = request.form.get("at", "").strip()
    timed = [replace(part, body=part.body | {"at": at}) for part in parts] if at else parts
    if not entry.wrong and not any(part.path == "readings" for part in parts):
        entry.refuse("readings", "No reading was typed.")
    if not entry.wrong and not enter(test, timed, entry, key_of_form()).refused:
        return taken(test, f"State {number} was entered.")
    return refused(entry) if wants_json() else (_day(test, number, entry), 422)


@blueprint.get("/deviations")
def deviations(test_id: str) -> str:
    """Show every departure with its price and who has accepted it."""
    test = StoredTest(access.client(), test_id)
    return _deviations(test, Entry(deviation_spec(test), preferences.system()))


@blueprint.post("/deviations")
def price(test_id: str) -> Answer:
    """Enter a departure; its price comes back with it."""
    test = StoredTest(access.client(), test_id)
    entry = Entry.of_form(deviation_spec(test), request.form, preferences.system())
    body = entry.document()
    if "states" in body:
        body["states"] = [int(part) for part in str(body["states"]).replace(",", " ").split() if part.isdecimal()]
    outcome = enter(test, [Part("deviations", body)], entry, key_of_form()) if not entry.wrong else None
    if outcome is None or outcome.refused:
        return refused(entry) if wants_json() else (_deviations(test, entry), 422)
    found = outcome.stored[0]
    told = found["price"]["sentence"] if found.get("price") else f"Not priced: {found.get('not_priced')}"
    return taken(test, told)


@blueprint.post("/deviations/<entry_id>/decision")
def decide(test_id: str, entry_id: str) -> Answer:
    """Accept a departure at its price, mend it, or postpone for it, by name."""
    test = StoredTest(access.client(), test_id)
    decision, back = request.form.get("decision", ""), url_for("test_day.deviations", test_id=test_id)
    entry = take(test, f"deviations/{entry_id}/decisions", DECISION, {"decision": decision})
    if entry.wrong:
        return refused_page(test, f"Decide on the deviation: {decision}", entry, {"decision": decision}, back)
    flash(f"Decided by {entry.values['name']}: {decision}.")
    return redirect(back)


@blueprint.get("/worker.js")
def worker(test_id: str) -> Response:
    """Serve the script that keeps this test's pages at hand when the network is gone."""
    answer = Response(render_template("day_worker.js"), content_type="text/javascript; charset=utf-8")
    answer.headers["Cache-Control"] = "no-cache"
    return answer


def _before(test: StoredTest, refused_tables: dict[str, Entry]) -> str:
    say, system = Say(preferences.system()), preferences.system()
    entered = {path: entry_table(test.standing(path), ENTRIES[path].fields(test), say) for path in _LISTED}
    return render_template(
        "day_before.html",
        test=test,
        readiness=test.part("readiness"),
        tables={path: refused_tables.get(path) or batch_entry(test, path, system) for path in BATCHES},
        to_come={path: len(to_come(test, path)) for path in BATCHES},
        refused=refused_tables,
        entered=entered,
        single={path: Entry(ENTRIES[path].fields(test), system).marked(path) for path in (*_SINGLE, *_FOLDED)},
        kinds=ENTRIES,
        key=str(uuid.uuid4()),
    )


def _day(test: StoredTest, number: int | None = None, refused_entry: Entry | None = None) -> str:
    states = day_states(test, preferences.system())
    kinds = instrument_kinds(test)
    asked = request.args.get("state", "")
    current = int(asked) if asked.isdecimal() and len(asked) < 6 else next_state(states, list(kinds))
    known = {state.number for state in states}
    current = number if number is not None else current if current in known else None
    found = test.part("running")
    again = [each["state"] for each in found["read_again"]] if found else []
    stiffness = found["moment_per_tangent_t_m"] if found else None
    slope = 1 / stiffness if stiffness else None
    draw = partial(running_plot, found["points"], slope, again, system=preferences.system()) if found else None
    plot = inline_at_both(draw, "running") if draw else None
    moving = ENTRIES["ballast-moves"]
    moved = entry_table(test.standing(moving.path), moving.fields(test), Say(preferences.system()))
    return render_template(
        "day.html",
        test=test,
        states=states,
        next=next((state for state in states if state.number == next_state(states, list(kinds))), None),
        current=current,
        kinds=kinds,
        running=found,
        plot=plot,
        again=again,
        number=number,
        refused_entry=refused_entry,
        spec=STATE,
        moving=moving,
        moving_entry=Entry(moving.fields(test), preferences.system()).marked(moving.path),
        moved=moved,
        key=str(uuid.uuid4()),
    )


def _deviations(test: StoredTest, entry: Entry) -> str:
    found = [test.entry("deviations", each["entry_id"]) | each for each in test.standing("deviations")]
    return render_template(
        "deviations.html",
        test=test,
        entry=entry,
        found=found,
        words=DEVIATION_WORDS,
        sizes=DEVIATION_SIZES,
        key=str(uuid.uuid4()),
    )
