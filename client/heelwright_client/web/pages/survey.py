"""Survey day: what is surplus, missing or misplaced, against its limits."""

from __future__ import annotations

import uuid

from flask import Blueprint, flash, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from heelwright_client.http import Document
from heelwright_client.web import access, preferences
from heelwright_client.web.entering import Part, enter
from heelwright_client.web.entry import Entry
from heelwright_client.web.entry_forms import item_fields
from heelwright_client.web.entry_table import entry_table
from heelwright_client.web.fields import Field
from heelwright_client.web.one_form import CLOSING, refused_page, take
from heelwright_client.web.pages.test_entries import key_of_form
from heelwright_client.web.paging import page_number
from heelwright_client.web.plan_view import judged
from heelwright_client.web.stored_test import StoredTest
from heelwright_client.web.wording import Say

blueprint = Blueprint("survey", __name__, url_prefix="/tests/<test_id>/survey")

Answer = str | Response | tuple[str, int]
_ON_A_PAGE = 60
_COLUMNS = ("description", "kind", "mass_t", "x_m", "y_m", "z_m", "found_by", "space")


@blueprint.get("/")
def show(test_id: str) -> str:
    """Show the survey."""
    return _page(StoredTest(access.client(), test_id))


def _page(test: StoredTest, carrying: Entry | None = None) -> str:
    say = Say(preferences.system())
    items = test.standing("items")
    fields = [field for field in item_fields(test) if field.name in _COLUMNS]
    advisory = [item for item in items if item.get("survey") == "advisory"]
    waiting = _waiting(items)
    summed = test.part("survey")
    boundary = summed["boundary"] if summed else []
    page, listed = page_number("page"), [item for item in items if item not in advisory]
    return render_template(
        "survey.html",
        test=test,
        entry=Entry(item_fields(test), preferences.system()),
        found=entry_table(listed[(page - 1) * _ON_A_PAGE : page * _ON_A_PAGE], fields, say),
        page=page,
        pages=max(1, -(-len(listed) // _ON_A_PAGE)),
        count=len(listed),
        advisory=list(zip(waiting, _masses(waiting), strict=True)),
        carrying=carrying or Entry(_masses(waiting), preferences.system()).marked("carried"),
        chosen=request.form.getlist("item"),
        closed={each["what"]: each for each in test.standing("closings")},
        sum=summed,
        key=str(uuid.uuid4()),
        more_boundary=max(0, len(boundary) - _ON_A_PAGE),
        **judged([*(summed["checks"] if summed else []), *boundary[:_ON_A_PAGE]]),
    )


@blueprint.post("/ticks")
def tick(test_id: str) -> Answer:
    """Carry rows of the advisory survey over: what is still there is ticked, with its mass where that has changed."""
    test, chosen = StoredTest(access.client(), test_id), request.form.getlist("item")
    masses = _masses(_waiting(test.standing("items")))
    entry = Entry.of_form(masses, request.form, preferences.system()).marked("carried")
    given = entry.document()
    parts = [Part(f"items/{each}/tick", given.get(each, {}), each) for each in chosen]
    if entry.wrong or enter(test, parts, entry, key_of_form()).refused:
        return _page(StoredTest(access.client(), test_id), entry), 422
    flash(f"{len(chosen)} carried over.")
    return redirect(url_for("survey.show", test_id=test_id))


def _waiting(items: list[Document]) -> list[Document]:
    """Rows of the advisory survey that nobody has carried over yet."""
    carried = {item.get("carried_from") for item in items}
    advisory = [item for item in items if item.get("survey") == "advisory"]
    return [item for item in advisory if item["entry_id"] not in carried][:_ON_A_PAGE]


def _masses(waiting: list[Document]) -> tuple[Field, ...]:
    return tuple(
        Field(f"{each['entry_id']}.mass_t", f"{each['description']}: mass now, if it has changed", "quantity", "mass")
        for each in waiting
    )


@blueprint.post("/closing")
def close(test_id: str) -> Answer:
    """Close the advisory survey, the survey or the test day, by name."""
    test = StoredTest(access.client(), test_id)
    what, back = request.form.get("what", ""), access.inner_address(request.form.get("next"))
    entry = take(test, "closings", CLOSING, {"what": what})
    if entry.wrong:
        return refused_page(test, f"Close the {what.replace('-', ' ')}", entry, {"what": what}, back)
    flash(f"Closed by {entry.values['name']}.")
    return redirect(back)
