"""Reservations and signatures: what whoever was there does not vouch for, and who has initialled data and list."""

from __future__ import annotations

import uuid

from flask import Blueprint, render_template

from heelwright_client.web import access, preferences
from heelwright_client.web.entering import now
from heelwright_client.web.entry import Entry
from heelwright_client.web.entry_forms import ENTRIES
from heelwright_client.web.entry_table import entry_table
from heelwright_client.web.stored_test import StoredTest
from heelwright_client.web.wording import Say

blueprint = Blueprint("reservations", __name__, url_prefix="/tests/<test_id>")

_PATHS = ("reservations", "signatures")


@blueprint.get("/reservations")
def show(test_id: str) -> str:
    """Show the reservations and the signatures, with a form for one of each."""
    test = StoredTest(access.client(), test_id)
    say, system = Say(preferences.system()), preferences.system()
    signed = {each["what"] for each in test.standing("signatures")}
    return render_template(
        "reservations.html",
        test=test,
        entered={path: entry_table(test.standing(path), ENTRIES[path].fields(test), say) for path in _PATHS},
        forms={path: Entry(ENTRIES[path].fields(test), system).marked(path) for path in _PATHS},
        signed=signed,
        at=now(),
        key=str(uuid.uuid4()),
    )
