"""Tanks and preparations: the ship's page, where she answers tank by tank and works her list."""

from __future__ import annotations

import uuid
from typing import Any

from flask import Blueprint, flash, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from heelwright_client.errors import ConflictError, InvalidRequestError, NotFoundError
from heelwright_client.test_words import STATE_WORDS
from heelwright_client.web import access, preferences
from heelwright_client.web.entering import Part, enter, now
from heelwright_client.web.entry import Entry
from heelwright_client.web.fields import Field, Rows, Spec
from heelwright_client.web.one_form import MARK, refused_act, refused_page
from heelwright_client.web.pages.test_entries import key_of_form
from heelwright_client.web.paging import page_number
from heelwright_client.web.plan_view import judged
from heelwright_client.web.stored_test import StoredTest
from heelwright_client.web.viewer import current

blueprint = Blueprint("ship", __name__, url_prefix="/tests/<test_id>/ship")

Answer = str | Response | tuple[str, int]
_ITEMS_ON_A_PAGE = 60
_TANKS_ON_A_PAGE = 40
_BY = Field("by", "Answered by", required=True, hint="Name and rank.")
_ANSWERS = Rows(
    "answers",
    "Her answer, tank by tank",
    (
        Field("tank", "Tank"),
        Field("answer", "Answer", "choice",
              options=(("", "as it stands"), ("agreed", "agreed"), ("cannot", "cannot"))),
        Field("reason", "Why not"),
        Field("offered_state", "Offered instead", "choice", options=(("", "nothing"), *STATE_WORDS.items())),
        Field("offered_sounding_m", "Sounding", "quantity", "length"),
        Field("offered_density_t_per_m3", "Density", "number", unit="t/m³"),
    ),
    blank=0,
)  # fmt: skip
ANSWERS: Spec = (_BY, _ANSWERS)
OWN_ITEM: Spec = (
    Field("what", "What is to be done", required=True),
    Field("why", "Why", required=True),
    Field("verify", "How it is verified", required=True),
    Field("who", "Who does it", required=True),
    Field("due", "By", "date"),
)


@blueprint.get("/")
def show(test_id: str) -> str:
    """Show the ship's page."""
    return _page(StoredTest(access.client(), test_id))


@blueprint.post("/answers")
def answer(test_id: str) -> Answer:
    """Take her answers; rows without one are left as they are."""
    test = StoredTest(access.client(), test_id)
    entry = Entry.of_form(ANSWERS, request.form, preferences.system())
    given = entry.document()
    parts = [
        Part("tank-plan/answers", {**row, "by": given.get("by", ""), "on": now()[:10]}, f"answers.{place}")
        for place, row in enumerate(given.get("answers", ()))
        if row.get("answer")
    ]
    if not entry.wrong and not parts:
        entry.refuse("answers", "Choose an answer for at least one tank.")
    if not entry.wrong and not enter(test, parts, entry, key_of_form()).refused:
        flash(f"{len(parts)} answered.")
        return redirect(url_for("ship.show", test_id=test_id))
    return _page(test, entry), 422


@blueprint.post("/marks")
def mark(test_id: str) -> Answer:
    """Tick the chosen items of the work list, or set one to another state."""
    test = StoredTest(access.client(), test_id)
    state, keys = request.form.get("state", "done"), request.form.getlist("item")
    back = url_for("ship.show", test_id=test_id, page=request.form.get("page")) + "#list"
    if not keys:
        flash("No item was chosen.")
        return redirect(back)
    entry = Entry.of_form(MARK, request.form, preferences.system())
    parts = [Part("preparations/marks", {"key": key, "state": state, **entry.document()}) for key in keys]
    if enter(test, parts, entry, key_of_form()).refused:
        return refused_page(test, f"Set items to {state}", entry, {"item": keys, "state": state}, back)
    flash(f"{len(keys)} set to {state}.")
    return redirect(back)


@blueprint.post("/items")
def add_item(test_id: str) -> Answer:
    """Add an item of one's own to the work list."""
    test = StoredTest(access.client(), test_id)
    entry = Entry.of_form(OWN_ITEM, request.form, preferences.system())
    parts = [Part("preparations/items", entry.document())]
    if not entry.wrong and not enter(test, parts, entry, key_of_form()).refused:
        flash("The item was added.")
        return redirect(url_for("ship.show", test_id=test_id) + "#list")
    return _page(test, own=entry), 422


@blueprint.post("/list")
def generate(test_id: str) -> Answer:
    """Make the work list, or bring it into step with the plans; ticks stay."""
    test = StoredTest(access.client(), test_id)
    try:
        test.add("preparations", {}, str(uuid.uuid4()))
        flash("The work list is in step with the plans.")
    except (InvalidRequestError, ConflictError) as error:
        return _page(test, listing=refused_act(error)), 422
    return redirect(url_for("ship.show", test_id=test_id) + "#list")


@blueprint.post("/replan")
def replan(test_id: str) -> Answer:
    """Take the ship's offers into the tank plan."""
    test = StoredTest(access.client(), test_id)
    try:
        test.add("tank-plan/replan", {}, str(uuid.uuid4()))
        flash("Her offers are in the tank plan.")
    except (InvalidRequestError, ConflictError, NotFoundError) as error:
        return _page(test, offers=refused_act(error)), 422
    return redirect(url_for("ship.show", test_id=test_id))


def _page(
    test: StoredTest,
    answers: Entry | None = None,
    own: Entry | None = None,
    listing: Entry | None = None,
    offers: Entry | None = None,
) -> str:
    system = preferences.system()
    plan = test.part("tank-plan")
    standing = test.part("tank-plan/standing")
    planned = (plan or {}).get("tanks", [])
    tanks = planned[(page_number("tanks") - 1) * _TANKS_ON_A_PAGE :][:_TANKS_ON_A_PAGE]
    rows = [{"tank": tank["tank"]} for tank in tanks]
    entry = answers or Entry.of_document(ANSWERS, {"by": current().signature, "answers": rows}, system)
    work = test.part("preparations")
    chosen = _chosen((work or {}).get("items", []))
    return render_template(
        "ship.html",
        test=test,
        plan={tank["tank"]: tank for tank in tanks},
        tank_page=page_number("tanks"),
        tank_pages=max(1, -(-len(planned) // _TANKS_ON_A_PAGE)),
        standing=standing,
        answers={each["tank"]: each for each in (standing or {}).get("answers", ())},
        entry=entry,
        by=_BY,
        table=_ANSWERS,
        own=(own or Entry(OWN_ITEM, system)).marked("own"),
        listing=listing,
        offers=offers,
        work=work,
        key=str(uuid.uuid4()),
        **chosen,
        **judged(standing["checks"] if standing else []),
    )


def _chosen(items: list[dict[str, Any]]) -> dict[str, Any]:
    """One page of the work list: open ones first, by their dates, of one person where asked."""
    who = request.args.get("who", "")
    everybody = sorted({str(item["who"]) for item in items})
    wanted = [item for item in items if not who or item["who"] == who]
    ordered = sorted(wanted, key=lambda item: (item["state"] != "open", item["obsolete"], item["due"] or "9999"))
    page = page_number("page")
    first = (page - 1) * _ITEMS_ON_A_PAGE
    return {
        "items": ordered[first : first + _ITEMS_ON_A_PAGE],
        "count": len(ordered),
        "open_count": sum(item["state"] == "open" for item in ordered),
        "page": page,
        "pages": max(1, -(-len(ordered) // _ITEMS_ON_A_PAGE)),
        "who": who,
        "everybody": everybody,
    }
