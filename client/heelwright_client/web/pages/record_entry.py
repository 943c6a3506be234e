"""Finished tests: entering one whole as a record, putting its record right, and taking any test out as a file."""

from __future__ import annotations

import json
import re
import uuid
from typing import Any

from flask import Blueprint, flash, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from heelwright_client.errors import ConflictError, EntryError, InvalidRequestError, NotFoundError
from heelwright_client.test_words import KIND_WORDS
from heelwright_client.web import access, preferences
from heelwright_client.web.entry import Entry
from heelwright_client.web.fields import Field, Spec
from heelwright_client.web.packing import read_record
from heelwright_client.web.stored_test import StoredTest
from heelwright_client.web.uploads import sent_text, shown_again

blueprint = Blueprint("record_entry", __name__)

Answer = str | Response | tuple[str, int]
Problem = tuple[str, str]
FINISHED: Spec = (
    Field("kind", "Kind", "choice", required=True, options=(("", "choose"), *KIND_WORDS.items())),
    Field("record_source", "Where it comes from", required=True, hint="Which report, paper or file, with its date."),
    Field("title", "Title", hint="If she has several tests, a word that tells them apart."),
)


@blueprint.get("/vessels/<vessel_id>/record")
def ask(vessel_id: str) -> str:
    """Ask for a finished test of a vessel."""
    return _form(vessel_id, Entry(FINISHED, preferences.system()), "", [])


@blueprint.post("/vessels/<vessel_id>/record")
def enter(vessel_id: str) -> Answer:
    """Open a test for the record and store it there; a record that is refused is mended on the test's own page."""
    entry, text = Entry.of_form(FINISHED, request.form, preferences.system()), sent_text()
    record, problems = _read(text)
    if record is None or entry.wrong:
        return _form(vessel_id, entry, text, problems), 422
    try:
        test_id = _opened(vessel_id, entry)
    except (InvalidRequestError, ConflictError) as error:
        entry.take(error)
        return _form(vessel_id, entry, text, problems), 422
    return _stored(StoredTest(access.client(), test_id), record, text, None)


@blueprint.get("/tests/<test_id>/record")
def show(test_id: str) -> str:
    """Ask for the record of a test that was opened for one, or for a better version of it."""
    return _mend(StoredTest(access.client(), test_id), "", [])


@blueprint.post("/tests/<test_id>/record")
def replace(test_id: str) -> Answer:
    """Store the record, on the version that the visitor saw."""
    test, text = StoredTest(access.client(), test_id), sent_text()
    record, problems = _read(text)
    if record is None:
        return _mend(test, text, problems), 422
    return _stored(test, record, text, request.form.get("etag") or None)


@blueprint.get("/tests/<test_id>/test.json")
def export(test_id: str) -> Response:
    """Give the whole test as one file, from its plan to its approval; it is taken wherever a record is taken."""
    return _file(test_id, access.client().tests.file(test_id), "test")


@blueprint.get("/tests/<test_id>/record.json")
def export_record(test_id: str) -> Response:
    """Give the record alone: what a reduction is made of."""
    return _file(test_id, access.client().tests.record(test_id).document, "record")


def _file(test_id: str, document: dict[str, Any], ending: str) -> Response:
    test = StoredTest(access.client(), test_id)
    answer = Response(json.dumps(document, indent=1, ensure_ascii=False) + "\n", content_type="application/json")
    name = re.sub(r"[^a-z0-9]+", "-", f"{test.vessel['name']} {document.get('test', {}).get('date', '')}".lower())
    answer.headers["Content-Disposition"] = f'attachment; filename="{name.strip("-")[:80]}.{ending}.json"'
    return answer


def _read(text: str) -> tuple[dict[str, Any] | None, list[Problem]]:
    try:
        return read_record(text), []
    except EntryError as error:
        return None, [("", str(error))]


def _opened(vessel_id: str, entry: Entry) -> str:
    """Open the test; the same form sent again opens nothing again."""
    facts = {"origin": "entered-record", **entry.document()}
    key = request.form.get("key") or None
    opened = access.client().tests.open(vessel_id, idempotency_key=key, **facts)
    return str(opened.document["id"])


def _stored(test: StoredTest, record: dict[str, Any], text: str, etag: str | None) -> Answer:
    try:
        access.client().tests.put_record(test.id, record, etag=etag)
    except (InvalidRequestError, ConflictError) as error:
        problems = [(each.pointer, each.message) for each in error.errors] or [("", str(error))]
        return _mend(test, text, problems), 422
    flash("The record is stored as it came. Reduce it next, and say what the review asks.")
    return redirect(url_for("tests.show", test_id=test.id))


def _form(vessel_id: str, entry: Entry, text: str, problems: list[Problem]) -> str:
    vessel = access.client().vessels.get(vessel_id).document
    key = request.form.get("key") or str(uuid.uuid4())
    return render_template("record_new.html", vessel=vessel, entry=entry, key=key, **_shown(text, problems))


def _mend(test: StoredTest, text: str, problems: list[Problem]) -> str:
    try:
        stored = access.client().tests.record(test.id)
        etag = stored.etag if test.document["origin"] == "entered-record" else None
    except (NotFoundError, InvalidRequestError):
        etag = None
    return render_template("record.html", test=test, etag=etag, **_shown(text, problems))


def _shown(text: str, problems: list[Problem]) -> dict[str, Any]:
    shown = shown_again(text)
    return {"text": shown, "too_long": text != shown, "problems": problems}
