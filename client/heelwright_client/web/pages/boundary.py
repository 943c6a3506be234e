"""A vessel's boundary register: which classes of things count as lightship and which as load, decided by name."""

from __future__ import annotations

from flask import Blueprint, flash, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from heelwright_client.errors import ConflictError, InvalidRequestError
from heelwright_client.web import access, preferences
from heelwright_client.web.entry import Entry
from heelwright_client.web.fields import Field, Spec

blueprint = Blueprint("boundary", __name__, url_prefix="/vessels/<vessel_id>/boundary")

Answer = str | Response | tuple[str, int]
COUNTS_WORDS = {"lightship": "lightship", "load": "load: aboard and not lightship"}
DECISION: Spec = (
    Field("item_class", "Class of things", required=True, hint="Such as spare parts, lifting gear, crew effects."),
    Field(
        "counts", "Counts as", "choice", required=True, options=(("", "choose"), *COUNTS_WORDS.items())
    ),
    Field("quantity", "How much of it", hint="Such as one set, as listed in the inventory."),
    Field("decided_by", "Decided by", required=True),
    Field("decided_on", "Decided on", "date", required=True),
    Field("reason", "Reason"),
)  # fmt: skip


@blueprint.get("")
def show(vessel_id: str) -> str:
    """Show what is decided, and ask for a further decision."""
    return _page(vessel_id, Entry(DECISION, preferences.system()))


@blueprint.post("")
def decide(vessel_id: str) -> Answer:
    """Record a decision; the older one of the same class stays in the register."""
    entry = Entry.of_form(DECISION, request.form, preferences.system())
    if not entry.wrong:
        try:
            access.client().tests.decide_boundary(vessel_id, entry.document())
            flash("The decision is in the register.")
            return redirect(url_for("boundary.show", vessel_id=vessel_id))
        except (InvalidRequestError, ConflictError) as error:
            entry.take(error)
    return _page(vessel_id, entry), 422


def _page(vessel_id: str, entry: Entry) -> str:
    client = access.client()
    register = client.tests.boundary(vessel_id)
    newest_first = sorted(register["items"], key=lambda each: (each["decided_on"], each["recorded_at"]), reverse=True)
    return render_template(
        "boundary.html",
        vessel=client.vessels.get(vessel_id).document,
        in_force=register["in_force"],
        decisions=newest_first,
        counts_words=COUNTS_WORDS,
        entry=entry,
    )
