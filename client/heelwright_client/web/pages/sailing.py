"""Before the ship sails after a test: what is put back, and the request for an interim operating condition."""

from __future__ import annotations

import uuid

from flask import Blueprint, flash, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from heelwright_client.web import access, preferences
from heelwright_client.web.entering import Part, enter
from heelwright_client.web.entry import Entry
from heelwright_client.web.fields import Field, Spec
from heelwright_client.web.pages.test_entries import key_of_form
from heelwright_client.web.stored_test import StoredTest

blueprint = Blueprint("sailing", __name__, url_prefix="/tests/<test_id>")

Answer = str | Response | tuple[str, int]
INTERIM: Spec = (
    Field("limits", "What the ship will keep to", "lines", required=True, hint="One limit a line."),
    Field("expiry_days", "For how many days", "count", unit="days", hint="60 where it is left empty."),
)


@blueprint.get("/put-back")
def put_back(test_id: str) -> str:
    """List what has to be put back before the ship sails."""
    test = StoredTest(access.client(), test_id)
    items = (test.part("put-back") or {}).get("items") or []
    people = list(dict.fromkeys(str(item["who"]) for item in items))
    sorted_by = {who: [item for item in items if item["who"] == who] for who in people}
    return render_template("put_back.html", test=test, people=sorted_by)


@blueprint.get("/interim")
def interim(test_id: str) -> str:
    """Show the requests for an interim operating condition, the newest first."""
    return _page(StoredTest(access.client(), test_id), Entry(INTERIM, preferences.system()))


@blueprint.post("/interim")
def ask_interim(test_id: str) -> Answer:
    """Put together a request; it is no approval."""
    test = StoredTest(access.client(), test_id)
    entry = Entry.of_form(INTERIM, request.form, preferences.system())
    if not entry.wrong and not enter(test, [Part("interim-requests", entry.document())], entry, key_of_form()).refused:
        flash("The request is put together; it is no approval.")
        return redirect(url_for("sailing.interim", test_id=test_id))
    return _page(test, entry), 422


def _page(test: StoredTest, entry: Entry) -> str:
    requests = test.standing("interim-requests")[::-1]
    reduced = test.part("result") is not None
    key = str(uuid.uuid4())
    return render_template("interim.html", test=test, entry=entry, requests=requests[:20], reduced=reduced, key=key)
