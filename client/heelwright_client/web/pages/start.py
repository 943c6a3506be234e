"""The first run: load the demonstration fleet, through the API like everything else."""

from __future__ import annotations

from flask import Blueprint, flash, redirect, render_template, url_for
from werkzeug.wrappers import Response

from heelwright_client.demo.seed import seed
from heelwright_client.demo.ships import FLEET, SHIPS
from heelwright_client.web import access

blueprint = Blueprint("start", __name__)


@blueprint.get("/start")
def show() -> str:
    """Say what the demonstration fleet is."""
    return render_template("start.html", fleet=FLEET, count=len(SHIPS))


@blueprint.post("/start")
def load() -> Response:
    """Store the demonstration fleet; what is there already is left as it is."""
    told: list[str] = []
    seed(access.client(), told.append)
    flash(f"{len(told)} invented ships are stored in the {FLEET}.")
    return redirect(url_for("fleet.show"))
