"""Result, review and approval of a stored test."""

from __future__ import annotations

import uuid

from flask import Blueprint, flash, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from heelwright_client.errors import ConflictError, InvalidRequestError
from heelwright_client.web import access, preferences
from heelwright_client.web.entry import Entry
from heelwright_client.web.fields import Field, Spec
from heelwright_client.web.one_form import ANSWER, refused_act, refused_page, take
from heelwright_client.web.plan_view import by_gravity, judged
from heelwright_client.web.result_view import result_view
from heelwright_client.web.stored_test import StoredTest
from heelwright_client.web.viewer import current
from heelwright_client.web.wording import Say
from heelwright_client.words import day

blueprint = Blueprint("test_result", __name__, url_prefix="/tests/<test_id>")

_MOST_LIGHTSHIPS = 50
Answer = str | Response | tuple[str, int]
_APPROVAL: Spec = (
    Field("name", "Approved by", required=True, hint="Somebody who recorded nothing in this test."),
    Field("authority", "Of"),
    Field("statement", "Statement"),
)


@blueprint.get("/result")
def show(test_id: str) -> str:
    """Show the newest result, or what is missing for one."""
    return _result(StoredTest(access.client(), test_id))


def _result(test: StoredTest, refused: Entry | None = None) -> str:
    stored = test.part("result")
    if stored is None:
        return render_template("test_no_result.html", test=test, refused=refused)
    record = test.part("record") or {"vessel": {}}
    view = result_view(stored["result"], record, Say(preferences.system()))
    return render_template("test_result.html", test=test, stored=stored, record=record, refused=refused, **view)


@blueprint.post("/result")
def reduce(test_id: str) -> Answer:
    """Ask for a new result."""
    try:
        access.client().tests.reduce(test_id)
        flash("The test was reduced; the result is preliminary until it is approved.")
    except (InvalidRequestError, ConflictError) as error:
        return _result(StoredTest(access.client(), test_id), refused_act(error)), 422
    return redirect(url_for("test_result.show", test_id=test_id))


@blueprint.get("/review")
def review(test_id: str) -> str:
    """Show the findings of the review, the answers, and the approval."""
    test = StoredTest(access.client(), test_id)
    signed = {"name": current().signature}
    return _review(test, Entry.of_document(_approval(test), signed, preferences.system()))


@blueprint.post("/review/answers")
def answer(test_id: str) -> Answer:
    """Answer a finding, by name."""
    test = StoredTest(access.client(), test_id)
    finding, back = request.form.get("finding", ""), url_for("test_result.review", test_id=test_id)
    entry = take(test, "review/answers", ANSWER, {"finding": finding})
    if entry.wrong:
        return refused_page(test, f"Answer {finding}", entry, {"finding": finding}, back)
    flash(f"{finding} is answered.")
    return redirect(back)


@blueprint.post("/approval")
def approve(test_id: str) -> Answer:
    """Approve the test on the version that the visitor saw."""
    test = StoredTest(access.client(), test_id)
    entry = Entry.of_form(_approval(test), request.form, preferences.system())
    if not entry.wrong:
        try:
            test.put("approval", entry.document(), request.form.get("etag", ""))
            flash("The test is approved; its lightship is in her history.")
            return redirect(url_for("vessel.show", vessel_id=test.document["vessel_id"]))
        except (InvalidRequestError, ConflictError) as error:
            entry.take(error)
    return _review(test, entry), 422


def _approval(test: StoredTest) -> Spec:
    """What an approval asks; where she has lightships found the same way, which of them it replaces."""
    say, found = Say(preferences.system()), access.client().lightships.of(test.document["vessel_id"])
    standing = [each for each in found if each["basis"] == test.document["kind"] and not each["superseded_by"]]
    if not standing:
        return _APPROVAL
    newest = standing[: -_MOST_LIGHTSHIPS - 1 : -1]
    options = [(each["id"], f"{day(each['date'])}, {say.mass(each['mass_t'])}") for each in newest]
    return (
        *_APPROVAL,
        Field(
            "supersedes_lightship",
            "Takes the place of",
            "choice",
            options=[("", "no lightship: it is a further one"), *options],
            hint="Only of the same date: the older one stays in her history, marked as superseded.",
        ),
        Field("reason", "Why the older one is superseded"),
    )


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
