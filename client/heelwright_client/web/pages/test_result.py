"""Result, review and approval of a stored test."""

from __future__ import annotations

import uuid
from typing import Any

from flask import Blueprint, flash, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from heelwright_client.errors import ConflictError, InvalidRequestError
from heelwright_client.web import access, preferences
from heelwright_client.web.entry import Entry
from heelwright_client.web.fields import Field, Spec
from heelwright_client.web.pages.test_entries import key_of_form
from heelwright_client.web.plan_view import by_gravity, judged
from heelwright_client.web.result_view import result_view
from heelwright_client.web.stored_test import StoredTest
from heelwright_client.web.wording import Say

blueprint = Blueprint("test_result", __name__, url_prefix="/tests/<test_id>")

Answer = str | Response | tuple[str, int]
APPROVAL: Spec = (
    Field("name", "Approved by", required=True, hint="Somebody who recorded nothing in this test."),
    Field("authority", "Of"),
    Field("statement", "Statement"),
)


@blueprint.get("/result")
def show(test_id: str) -> str:
    """Show the newest result, or what is missing for one."""
    test = StoredTest(access.client(), test_id)
    stored = test.part("result")
    if stored is None:
        return render_template("test_no_result.html", test=test, key=str(uuid.uuid4()))
    record = test.part("record") or {"vessel": {}}
    view = result_view(stored["result"], record, Say(preferences.system()))
    put_back = (test.part("put-back") or {}).get("items") or []
    interim = test.standing("interim-requests")
    return render_template(
        "test_result.html",
        test=test,
        stored=stored,
        record=record,
        put_back=put_back,
        interim=interim[-1] if interim else None,
        key=str(uuid.uuid4()),
        **view,
    )


@blueprint.post("/result")
def reduce(test_id: str) -> Response:
    """Ask for a new result."""
    test = StoredTest(access.client(), test_id)
    try:
        test.reduce()
        flash("The test was reduced; the result is preliminary until it is approved.")
    except (InvalidRequestError, ConflictError) as error:
        flash(f"It was not reduced. {' '.join(error.lines())}")
    return redirect(url_for("test_result.show", test_id=test_id))


@blueprint.post("/interim")
def ask_interim(test_id: str) -> Response:
    """Put together the request for an interim operating condition."""
    test = StoredTest(access.client(), test_id)
    limits = [line.strip() for line in request.form.get("limits", "").splitlines() if line.strip()]
    body: dict[str, Any] = {"limits": limits}
    days = request.form.get("expiry_days", "").strip()
    if days.isdecimal():
        body["expiry_days"] = int(days)
    try:
        test.add("interim-requests", body, key_of_form())
        flash("The request is put together; it is no approval.")
    except (InvalidRequestError, ConflictError) as error:
        flash(f"No request was made. {' '.join(error.lines())}")
    return redirect(url_for("test_result.show", test_id=test_id) + "#interim")


@blueprint.get("/review")
def review(test_id: str) -> str:
    """Show the findings of the review, the answers, and the approval."""
    return _review(StoredTest(access.client(), test_id), Entry(APPROVAL, preferences.system()))


@blueprint.post("/review/answers")
def answer(test_id: str) -> Response:
    """Answer a finding, by name."""
    test = StoredTest(access.client(), test_id)
    body = {name: request.form.get(name, "").strip() for name in ("finding", "text", "by")}
    try:
        test.add("review/answers", body, key_of_form())
        flash(f"{body['finding']} is answered.")
    except (InvalidRequestError, ConflictError) as error:
        flash(f"The answer was not taken. {' '.join(error.lines())}")
    return redirect(url_for("test_result.review", test_id=test_id))


@blueprint.post("/approval")
def approve(test_id: str) -> Answer:
    """Approve the test on the version that the visitor saw."""
    test = StoredTest(access.client(), test_id)
    entry = Entry.of_form(APPROVAL, request.form, preferences.system())
    if not entry.wrong:
        try:
            test.put("approval", entry.document(), request.form.get("etag", ""))
            flash("The test is approved; its lightship is in her history.")
            return redirect(url_for("vessel.show", vessel_id=test.document["vessel_id"]))
        except (InvalidRequestError, ConflictError) as error:
            entry.take(error)
    return _review(test, entry), 422


def _review(test: StoredTest, entry: Entry) -> str:
    found = test.part("review")
    findings = by_gravity(found["findings"]) if found else []
    open_ones = set(found["open"]) if found else set()
    return render_template(
        "test_review.html",
        test=test,
        entry=entry,
        found=found,
        to_answer=[each for each in findings if each["id"] in open_ones],
        answers={each["finding"]: each for each in (found["answers"] if found else ())},
        approval=test.part("approval"),
        key=str(uuid.uuid4()),
        **judged([each for each in findings if each["id"] not in open_ones]),
    )
