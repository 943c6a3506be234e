"""Entering a vessel, her particulars, lightships, alterations and documents."""

from __future__ import annotations

import json
from typing import Literal, cast

from flask import Blueprint, flash, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from heelwright_client.errors import ConflictError, InvalidRequestError, NotFoundError
from heelwright_client.http import Document
from heelwright_client.vessels import Part
from heelwright_client.web import access, preferences
from heelwright_client.web.entry import Entry
from heelwright_client.web.fields import Spec
from heelwright_client.web.pages.vessel_forms import ALTERATION, LIGHTSHIP, VESSEL
from heelwright_client.web.uploads import sent_text, shown_again

blueprint = Blueprint("vessel_entry", __name__, url_prefix="/vessels")

Page = str | Response | tuple[str, int]
PARTS: dict[str, str] = {
    "hull": "Hull: stations with their contours",
    "hydrostatic-table": "Hydrostatic table",
    "marks": "Draught marks",
    "tanks": "Tanks with sounding tables",
}


@blueprint.get("/new")
def new() -> Page:
    """Ask for a new vessel."""
    return _form(Entry(VESSEL, preferences.system()), "Enter a vessel", None)


@blueprint.post("/new")
def create() -> Page:
    """Store a new vessel."""
    entry = Entry.of_form(VESSEL, request.form, preferences.system())
    if not entry.wrong:
        try:
            stored = access.client().vessels.create(entry.document()).document
            flash(f"The {stored['name']} was stored.")
            return redirect(url_for("vessel.show", vessel_id=stored["id"]))
        except (InvalidRequestError, ConflictError) as error:
            entry.take(error)
    return _form(entry, "Enter a vessel", None), 422


@blueprint.get("/<vessel_id>/change")
def change(vessel_id: str) -> Page:
    """Ask for changed particulars."""
    stored = access.client().vessels.get(vessel_id)
    entry = Entry.of_document(VESSEL, stored.document, preferences.system())
    return _form(entry, "Change particulars", stored.document, stored.etag or "")


@blueprint.post("/<vessel_id>/change")
def amend(vessel_id: str) -> Page:
    """Store changed particulars; a field left empty becomes unknown."""
    client = access.client()
    entry = Entry.of_form(VESSEL, request.form, preferences.system())
    vessel = client.vessels.get(vessel_id).document
    if not entry.wrong:
        changes = {field.name: entry.values.get(field.name) for field in entry.fields()}
        try:
            client.vessels.amend(vessel_id, changes, etag=request.form.get("etag", ""))
            flash("The particulars were stored.")
            return redirect(url_for("vessel.show", vessel_id=vessel_id))
        except (InvalidRequestError, ConflictError) as error:
            entry.take(error)
    return _form(entry, "Change particulars", vessel, request.form.get("etag", "")), 422


@blueprint.get("/<vessel_id>/lightships/new")
def lightship(vessel_id: str) -> Page:
    """Ask for a lightship."""
    vessel = access.client().vessels.get(vessel_id).document
    return _form(Entry(LIGHTSHIP, preferences.system()), "Enter a lightship", vessel)


@blueprint.post("/<vessel_id>/lightships/new")
def add_lightship(vessel_id: str) -> Page:
    """Store a lightship."""
    return _append(vessel_id, "lightships", LIGHTSHIP, "Enter a lightship", "The lightship was stored.")


@blueprint.get("/<vessel_id>/alterations/new")
def alteration(vessel_id: str) -> Page:
    """Ask for an alteration."""
    vessel = access.client().vessels.get(vessel_id).document
    return _form(Entry(ALTERATION, preferences.system()), "Log an alteration", vessel)


@blueprint.post("/<vessel_id>/alterations/new")
def add_alteration(vessel_id: str) -> Page:
    """Store an alteration."""
    return _append(vessel_id, "alterations", ALTERATION, "Log an alteration", "The alteration was logged.")


@blueprint.get("/<vessel_id>/parts")
def parts(vessel_id: str) -> Page:
    """Ask for a document that describes her."""
    vessel = access.client().vessels.get(vessel_id).document
    return _parts_page(vessel, "hull", "", [])


@blueprint.post("/<vessel_id>/parts")
def put_part(vessel_id: str) -> Page:
    """Store a new version of a document that describes her."""
    client = access.client()
    vessel = client.vessels.get(vessel_id).document
    chosen = request.form.get("part", "")
    text = sent_text()
    if chosen not in PARTS:
        return _parts_page(vessel, "hull", text, ["Choose what the document describes."]), 422
    try:
        content = json.loads(text)
        client.vessels.put_part(vessel_id, cast(Part, chosen), content, etag=_version(vessel_id, cast(Part, chosen)))
    except (ValueError, RecursionError) as error:
        return _parts_page(vessel, chosen, text, [f"This is not JSON: {error}."]), 422
    except InvalidRequestError as error:
        return _parts_page(vessel, chosen, text, error.lines()), 422
    flash(f"A new version was stored: {PARTS[chosen].partition(':')[0].lower()}.")
    return redirect(url_for("vessel.show", vessel_id=vessel_id))


def _append(vessel_id: str, what: Literal["lightships", "alterations"], spec: Spec, title: str, told: str) -> Page:
    client = access.client()
    vessel = client.vessels.get(vessel_id).document
    entry = Entry.of_form(spec, request.form, preferences.system())
    if not entry.wrong:
        try:
            getattr(client, what).add(vessel_id, entry.document())
            flash(told)
            return redirect(url_for("vessel.show", vessel_id=vessel_id))
        except (InvalidRequestError, ConflictError) as error:
            entry.take(error)
    return _form(entry, title, vessel), 422


def _form(entry: Entry, title: str, vessel: Document | None, etag: str = "") -> str:
    deed = "record" if entry.spec is ALTERATION else "plan"
    return render_template("vessel_form.html", entry=entry, title=title, vessel=vessel, etag=etag, deed=deed)


def _parts_page(vessel: Document, chosen: str, text: str, problems: list[str]) -> str:
    shown = shown_again(text)
    return render_template(
        "vessel_parts.html",
        vessel=vessel,
        parts=PARTS,
        chosen=chosen,
        text=shown,
        too_long=text != shown,
        problems=problems[:20],
    )


def _version(vessel_id: str, part: Part) -> str | None:
    try:
        return access.client().vessels.part(vessel_id, part).etag
    except NotFoundError:
        return None
