"""What is to be done after failed or doubtful results: the list, and closing one with its evidence."""

from __future__ import annotations

from typing import Any

from flask import Blueprint, flash, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from heelwright_client.client import Client
from heelwright_client.errors import ConflictError, InvalidRequestError
from heelwright_client.web import access, preferences
from heelwright_client.web.entry import Entry
from heelwright_client.web.fields import Field, Spec
from heelwright_client.web.vessel_names import with_names

blueprint = Blueprint("actions", __name__, url_prefix="/actions")

Answer = str | Response | tuple[str, int]
_ON_A_PAGE = 50
CLOSING: Spec = (
    Field("evidence", "What shows that it is done", required=True, hint="Report, letter or result, with its date."),
)


@blueprint.get("/")
def overview() -> str:
    """List the open actions, or all, of every vessel or of one."""
    client = access.client()
    vessel_id, everything = request.args.get("vessel") or None, request.args.get("all") == "yes"
    page = client.page(
        "actions",
        limit=_ON_A_PAGE,
        cursor=request.args.get("from") or None,
        vessel_id=vessel_id,
        open=None if everything else "true",
    )
    return render_template(
        "actions.html",
        actions=with_names(client, page.items),
        next_page=page.next_cursor,
        vessel=client.vessels.get(vessel_id).document if vessel_id else None,
        everything=everything,
    )


@blueprint.get("/<action_id>")
def show(action_id: str) -> str:
    """Show an action and ask for the evidence that closes it."""
    return _page(action_id, Entry(CLOSING, preferences.system()))


@blueprint.post("/<action_id>")
def close(action_id: str) -> Answer:
    """Close it with its evidence."""
    entry = Entry.of_form(CLOSING, request.form, preferences.system())
    if not entry.wrong:
        try:
            access.client().tests.close_action(action_id, entry.values["evidence"])
            flash("The action is closed.")
            return redirect(url_for("actions.show", action_id=action_id))
        except (InvalidRequestError, ConflictError) as error:
            entry.take(error)
    return _page(action_id, entry), 422


def open_actions(client: Client, vessel_id: str | None = None, most: int = 10) -> list[dict[str, Any]]:
    """List the first open actions with the names of their vessels.

    Parameters
    ----------
    client : Client
        Speaks with the visitor's token.
    vessel_id : str or None
        Only of this vessel.
    most : int
        How many at most.

    Returns
    -------
    list of dict
        In the service's order.
    """
    return with_names(client, client.page("actions", limit=most, vessel_id=vessel_id, open="true").items)


def _page(action_id: str, entry: Entry) -> str:
    client = access.client()
    action = client.tests.action(action_id)
    return render_template("action.html", action=with_names(client, [action])[0], entry=entry)
