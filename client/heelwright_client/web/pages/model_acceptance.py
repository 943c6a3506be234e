"""A vessel's model against what is approved of her: the sheets, one in full, and a further comparison by name."""

from __future__ import annotations

import uuid
from typing import Any

from flask import Blueprint, flash, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from heelwright_client.client import Client
from heelwright_client.errors import ConflictError, InvalidRequestError, NotFoundError
from heelwright_client.http import Document
from heelwright_client.vessels import Part
from heelwright_client.web import acceptance_form as asked
from heelwright_client.web import access, preferences
from heelwright_client.web.acceptance_view import open_subjects, sheet_view
from heelwright_client.web.entry import Entry
from heelwright_client.web.paging import page_number
from heelwright_client.web.wording import Say

blueprint = Blueprint("model_acceptance", __name__, url_prefix="/vessels/<vessel_id>/model-acceptance")

Answer = str | Response | tuple[str, int]
_BESIDE_A_FORM = 25


@blueprint.get("")
def overview(vessel_id: str) -> str:
    """List the sheets, the newest first, and say how the model that stands now is held."""
    client = access.client()
    vessel = client.vessels.get(vessel_id).document
    sheets = list(client.model_acceptances.of(vessel_id))[::-1]
    current = next((each for each in sheets if each["of_current_model"]), None)
    return render_template("acceptances.html", vessel=vessel, sheets=sheets[:100], count=len(sheets), current=current)


@blueprint.get("/<sheet_id>")
def show(vessel_id: str, sheet_id: str) -> str:
    """Show a sheet with every comparison."""
    client = access.client()
    sheet = client.model_acceptances.get(vessel_id, sheet_id)
    vessel = client.vessels.get(vessel_id).document
    view = sheet_view(sheet, Say(preferences.system()), page_number("page"))
    return render_template("acceptance.html", vessel=vessel, sheet=sheet, **view)


@blueprint.get("/new")
def ask(vessel_id: str) -> str:
    """Ask for the approved figures."""
    client = access.client()
    tanks, marks = (_part(client, vessel_id, part) for part in ("tanks", "marks"))
    return _form(vessel_id, asked.empty_sheet(tanks, marks, preferences.system()))


@blueprint.post("/new")
def compare(vessel_id: str) -> Answer:
    """Compare, keep the sheet, and ask for reasons where something lies beyond its limit."""
    entry = Entry.of_form(asked.ACCEPTANCE, request.form, preferences.system())
    body = asked.sheet_body(entry)
    if entry.wrong:
        return _form(vessel_id, entry), 422
    try:
        sheet = access.client().model_acceptances.add(vessel_id, body, idempotency_key=request.form.get("key") or None)
    except (InvalidRequestError, ConflictError) as error:
        asked.take_refusal(entry, error)
        return _form(vessel_id, entry), 422
    if not sheet["accepted"]:
        asked.ask_reasons(entry, open_subjects(sheet))
        return _form(vessel_id, entry, sheet)
    flash(sheet["sentence"])
    return redirect(url_for("model_acceptance.show", vessel_id=vessel_id, sheet_id=sheet["id"]))


def _form(vessel_id: str, entry: Entry, sheet: Document | None = None) -> str:
    view = sheet_view(sheet, Say(preferences.system()), 1, _BESIDE_A_FORM) if sheet else {}
    return render_template(
        "acceptance_new.html",
        vessel=access.client().vessels.get(vessel_id).document,
        entry=entry,
        asked=asked,
        sheet=sheet,
        key=str(uuid.uuid4()),
        **view,
    )


def _part(client: Client, vessel_id: str, part: Part) -> list[dict[str, Any]]:
    try:
        found: list[dict[str, Any]] = client.vessels.part(vessel_id, part).document[part]
    except NotFoundError:
        return []
    return found
