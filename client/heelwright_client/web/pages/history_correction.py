"""Correcting a vessel's history: a further entry that names the old one and says what was wrong; nothing is lost."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from flask import Blueprint, flash, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from heelwright_client.client import Client
from heelwright_client.errors import ConflictError, InvalidRequestError
from heelwright_client.http import Document
from heelwright_client.web import access, preferences
from heelwright_client.web.entry import Entry
from heelwright_client.web.fields import Field, Spec
from heelwright_client.web.pages.vessel_forms import ALTERATION, LIGHTSHIP

blueprint = Blueprint("history_correction", __name__, url_prefix="/vessels/<vessel_id>")

Answer = str | Response | tuple[str, int]
_REASON = Field("reason", "What was wrong", required=True)
_WITHDRAWN = Field("withdrawn", "It should not have been entered: it counts no more", "flag")


@dataclass(frozen=True)
class Kind:
    """What is corrected: its form, the field that names the old entry, and how entries are read and added."""

    title: str
    spec: Spec
    names_old_by: str
    deed: str
    calls: Callable[[Client], Any]


_LIGHTSHIP = Kind("Correct a lightship", (*LIGHTSHIP, _REASON), "supersedes", "plan", lambda client: client.lightships)
_ALTERATION = Kind(
    "Correct an alteration",
    (*ALTERATION, _WITHDRAWN, _REASON),
    "corrects",
    "record",
    lambda client: client.alterations,
)


@blueprint.get("/lightships/<lightship_id>/correction")
def lightship(vessel_id: str, lightship_id: str) -> str:
    """Show a lightship as it was entered, to correct it."""
    return _ask(_LIGHTSHIP, vessel_id, lightship_id)


@blueprint.post("/lightships/<lightship_id>/correction")
def correct_lightship(vessel_id: str, lightship_id: str) -> Answer:
    """Store the lightship that takes its place."""
    return _store(_LIGHTSHIP, vessel_id, lightship_id)


@blueprint.get("/alterations/<alteration_id>/correction")
def alteration(vessel_id: str, alteration_id: str) -> str:
    """Show an alteration as it was logged, to correct it or to take it back."""
    return _ask(_ALTERATION, vessel_id, alteration_id)


@blueprint.post("/alterations/<alteration_id>/correction")
def correct_alteration(vessel_id: str, alteration_id: str) -> Answer:
    """Store the entry that takes its place."""
    return _store(_ALTERATION, vessel_id, alteration_id)


def _ask(kind: Kind, vessel_id: str, entry_id: str) -> str:
    old: Document = kind.calls(access.client()).get(vessel_id, entry_id)
    entry = Entry.of_document(kind.spec, {**old, "reason": None, "withdrawn": None}, preferences.system())
    return _page(kind, vessel_id, entry, old)


def _store(kind: Kind, vessel_id: str, entry_id: str) -> Answer:
    calls = kind.calls(access.client())
    entry = Entry.of_form(kind.spec, request.form, preferences.system())
    if not entry.wrong:
        try:
            calls.add(vessel_id, {**entry.document(), kind.names_old_by: entry_id})
            flash("The correction is stored; the old entry stays behind it.")
            return redirect(url_for("vessel.show", vessel_id=vessel_id))
        except (InvalidRequestError, ConflictError) as error:
            entry.take(error)
    return _page(kind, vessel_id, entry, calls.get(vessel_id, entry_id)), 422


def _page(kind: Kind, vessel_id: str, entry: Entry, old: Document) -> str:
    vessel = access.client().vessels.get(vessel_id).document
    return render_template("history_correction.html", vessel=vessel, kind=kind, entry=entry, old=old)
