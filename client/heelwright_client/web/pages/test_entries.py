"""Entering anything in a test, correcting it by a further entry, and taking it back with a reason."""

from __future__ import annotations

import uuid
from typing import Any

from flask import Blueprint, abort, flash, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from heelwright_client.errors import ConflictError, InvalidRequestError
from heelwright_client.web import access, preferences
from heelwright_client.web.entering import Part, enter, now
from heelwright_client.web.entry import Entry
from heelwright_client.web.entry_forms import ENTRIES, EntryKind, deed_of
from heelwright_client.web.entry_table import entry_table
from heelwright_client.web.fields import Field, Spec
from heelwright_client.web.stored_test import StoredTest
from heelwright_client.web.wording import Say

blueprint = Blueprint("test_entries", __name__, url_prefix="/tests/<test_id>")
blueprint.add_app_template_global(deed_of, "deed_of")

Answer = str | Response | tuple[str, int] | tuple[dict[str, Any], int]
_REASON = Field("reason", "What was wrong with the entry", required=True)


@blueprint.get("/set-aside")
def set_aside(test_id: str) -> str:
    """Show what was entered on a day that was broken off."""
    test, say = StoredTest(access.client(), test_id), Say(preferences.system())
    found = {kind: entry_table(test.set_aside(kind.path), kind.fields(test), say) for kind in ENTRIES.values()}
    return render_template(
        "set_aside.html", test=test, found={kind: rows for kind, rows in found.items() if rows["rows"]}
    )


@blueprint.get("/enter/<path>")
def ask(test_id: str, path: str) -> Answer:
    """Ask for an entry."""
    test, kind = _found(test_id, path)
    return entry_page(test, kind, Entry(kind.fields(test), preferences.system()))


@blueprint.post("/enter/<path>")
def add(test_id: str, path: str) -> Answer:
    """Enter it."""
    test, kind = _found(test_id, path)
    entry = Entry.of_form(kind.fields(test), request.form, preferences.system())
    body = entry.document() | _at(kind)
    if not entry.wrong and not enter(test, [Part(path, body)], entry, key_of_form()).refused:
        return taken(test, f"Entered: {kind.words}.")
    return refused(entry) if wants_json() else (entry_page(test, kind, entry), 422)


@blueprint.get("/enter/<path>/<entry_id>")
def ask_again(test_id: str, path: str, entry_id: str) -> Answer:
    """Show an entry, to correct it or to take it back."""
    test, kind = _found(test_id, path)
    old = test.entry(path, entry_id)
    entry = Entry.of_document(_corrected(kind, test), {**old, "reason": None}, preferences.system())
    return entry_page(test, kind, entry, old)


@blueprint.post("/enter/<path>/<entry_id>")
def correct(test_id: str, path: str, entry_id: str) -> Answer:
    """Enter the correction; the old entry stays."""
    test, kind = _found(test_id, path)
    entry = Entry.of_form(_corrected(kind, test), request.form, preferences.system())
    body = entry.document() | _at(kind) | {"corrects": entry_id}
    if not entry.wrong and not enter(test, [Part(path, body)], entry, key_of_form()).refused:
        return taken(test, f"Corrected: {kind.words}.")
    return entry_page(test, kind, entry, test.entry(path, entry_id)), 422


@blueprint.post("/enter/<path>/<entry_id>/withdrawal")
def withdraw(test_id: str, path: str, entry_id: str) -> Answer:
    """Take an entry back, with the reason."""
    test, kind = _found(test_id, path)
    reason = request.form.get("reason", "").strip()
    try:
        test.add(f"{path}/{entry_id}/withdrawal", {"reason": reason}, key_of_form())
    except (InvalidRequestError, ConflictError) as error:
        entry = Entry.of_document(_corrected(kind, test), test.entry(path, entry_id), preferences.system())
        entry.take(error)
        return entry_page(test, kind, entry, test.entry(path, entry_id)), 422
    return taken(test, f"Taken back: {kind.words}.")


def entry_page(test: StoredTest, kind: EntryKind, entry: Entry, old: dict[str, Any] | None = None) -> str:
    """Render the page of one entry.

    Parameters
    ----------
    test : StoredTest
        The test.
    kind : EntryKind
        What is entered.
    entry : Entry
        The form.
    old : dict or None
        The entry to correct.

    Returns
    -------
    str
        HTML.
    """
    page = "test_entry.html"
    return render_template(
        page,
        test=test,
        kind=kind,
        deed=deed_of(test, kind.path, old is not None),
        entry=entry,
        old=old,
        at=now() if kind.path == "signatures" else "",
        key=str(uuid.uuid4()),
        back=_back(test),
    )


def taken(test: StoredTest, told: str) -> Answer:
    """Answer a form that was entered: to a script by JSON, else by going back to the page.

    Parameters
    ----------
    test : StoredTest
        The test.
    told : str
        What happened, in a sentence.

    Returns
    -------
    Response
        A redirect, or JSON.
    """
    if wants_json():
        return {"told": told}, 201
    flash(told)
    return redirect(_back(test))


def refused(entry: Entry) -> tuple[dict[str, Any], int]:
    """Answer a script whose form was refused.

    Parameters
    ----------
    entry : Entry
        With its errors.

    Returns
    -------
    (dict, int)
        Every message with the name of its field.
    """
    errors = [{"field": name, "message": f"{label}: {message}"} for name, label, message in entry.summary()]
    return {"errors": errors + [{"field": "", "message": message} for message in entry.other]}, 422


def wants_json() -> bool:
    """Tell whether a script asked, which keeps the form until it has been taken."""
    return request.accept_mimetypes.best == "application/json"


def key_of_form() -> str:
    """Return the name of this one sending of a form; a new one where the form has none."""
    return request.form.get("key", "") or str(uuid.uuid4())


def _found(test_id: str, path: str) -> tuple[StoredTest, EntryKind]:
    if path not in ENTRIES:
        abort(404)
    return StoredTest(access.client(), test_id), ENTRIES[path]


def _corrected(kind: EntryKind, test: StoredTest) -> Spec:
    return (*kind.fields(test), _REASON)


def _at(kind: EntryKind) -> dict[str, str]:
    """The time that the visitor's device gave, for what has a time."""
    given = request.form.get("at", "").strip()
    return {"at": given} if kind.timed and given else {}


def _back(test: StoredTest) -> str:
    wanted = request.values.get("next", "")
    return access.inner_address(wanted) if wanted else url_for("tests.show", test_id=test.id)
