"""Tests: those under way, opening one, where one stands on its line and what is missing for the next mark."""

from __future__ import annotations

from typing import Any

from flask import Blueprint, flash, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from heelwright_client.client import Client
from heelwright_client.errors import ConflictError, InvalidRequestError
from heelwright_client.test_words import KIND_WORDS
from heelwright_client.web import access, preferences
from heelwright_client.web.entry import Entry
from heelwright_client.web.entry_forms import ENTRIES
from heelwright_client.web.entry_table import entry_table
from heelwright_client.web.fields import Field, Spec
from heelwright_client.web.pages.actions import open_actions
from heelwright_client.web.stage_line import jobs_of, stage_line
from heelwright_client.web.stored_test import StoredTest
from heelwright_client.web.vessel_names import with_names
from heelwright_client.web.wording import Say
from heelwright_client.words import day

blueprint = Blueprint("tests", __name__, url_prefix="/tests")

Answer = str | Response | tuple[str, int]
_ON_A_PAGE = 50
_OVER = ("approved", "abandoned", "superseded")
_OPENED: Spec = (
    Field("kind", "Kind", "choice", options=list(KIND_WORDS.items())),
    Field("title", "Title", hint="If she has several tests, a word that tells them apart."),
)


@blueprint.get("/")
def overview() -> str:
    """List the tests, those under way first."""
    client = access.client()
    page = client.page("tests", limit=_ON_A_PAGE, cursor=request.args.get("from") or None)
    items = with_names(client, page.items)
    under_way = [item for item in items if item["stage"] not in _OVER]
    over = [item for item in items if item["stage"] in _OVER]
    return render_template("tests.html", under_way=under_way, over=over, next_page=page.next_cursor)


def tests_under_way(client: Client) -> list[dict[str, Any]]:
    """List the newest tests that are neither approved nor given up, with the names of their vessels.

    Parameters
    ----------
    client : Client
        Speaks with the visitor's token.

    Returns
    -------
    list of dict
        Of the first page.
    """
    found = client.page("tests", limit=_ON_A_PAGE).items
    return with_names(client, [item for item in found if item["stage"] not in _OVER])


@blueprint.get("/new")
def new() -> Answer:
    """Ask what to open."""
    vessel = access.client().vessels.get(request.args.get("vessel", "")).document
    return render_template("test_new.html", vessel=vessel, entry=Entry(_opened(vessel["id"]), preferences.system()))


@blueprint.post("/new")
def create() -> Answer:
    """Open a test."""
    client = access.client()
    vessel = client.vessels.get(request.form.get("vessel", "")).document
    entry = Entry.of_form(_opened(vessel["id"]), request.form, preferences.system())
    if not entry.wrong:
        try:
            opened = client.tests.open(vessel["id"], **entry.document()).document
            return redirect(url_for("tests.show", test_id=opened["id"]))
        except (InvalidRequestError, ConflictError) as error:
            entry.take(error)
    return render_template("test_new.html", vessel=vessel, entry=entry), 422


@blueprint.get("/<test_id>")
def show(test_id: str) -> str:
    """Show where a test stands."""
    return _page(StoredTest(access.client(), test_id), [])


@blueprint.post("/<test_id>/stage")
def move(test_id: str) -> Answer:
    """Move a test to another stage, on the version that the visitor saw."""
    test = StoredTest(access.client(), test_id)
    body: dict[str, Any] = {"stage": request.form.get("stage", "")}
    reason = request.form.get("reason", "").strip()
    if reason:
        body["reason"] = reason
    try:
        test.put("stage", body, request.form.get("etag", ""))
    except (InvalidRequestError, ConflictError) as error:
        return _page(test, error.lines(), body), 422
    flash("The test was moved to its next stage.")
    return redirect(url_for("tests.show", test_id=test_id))


def _opened(vessel_id: str) -> Spec:
    """What opening a test asks; where one is approved, which of them it mends."""
    approved = list(access.client().tests.of(vessel_id, "approved"))[-_ON_A_PAGE:]
    if not approved:
        return _OPENED
    names = [f"{each['title'] or KIND_WORDS[each['kind']]}, {day(each['created_at'])}" for each in approved]
    named = [(each["id"], name) for each, name in zip(approved, names, strict=True)]
    options = [("", "no test: it is a further one"), *reversed(named)]
    hint = "An approved test is frozen: a mistake found later is put right by a test that takes its place."
    return (*_OPENED, Field("supersedes", "Takes the place of", "choice", options=options, hint=hint))


def _certificates(test: StoredTest) -> dict[str, Any]:
    kind = ENTRIES["certificates"]
    standing = test.standing(kind.path) if test.document["origin"] != "entered-record" else []
    return entry_table(standing, kind.fields(test), Say(preferences.system()))


def _page(test: StoredTest, problems: list[str], wanted: dict[str, Any] | None = None) -> str:
    document = test.document
    ahead = [stage for stage in document["next_stages"] if stage["stage"] not in ("abandoned", "postponed", *_OVER[:1])]
    aside = [stage for stage in document["next_stages"] if stage["stage"] in ("abandoned", "postponed")]
    return render_template(
        "test.html",
        test=test,
        line=stage_line(document),
        jobs=jobs_of(document),
        calendar=(test.part("calendar") or {}).get("items") or [],
        windows=(test.part("calendar") or {}).get("windows") or [],
        ahead=ahead,
        approval=next((stage for stage in document["next_stages"] if stage["stage"] == "approved"), None),
        aside=aside,
        certificates=_certificates(test),
        problems=problems,
        wanted=wanted or {},
        actions=open_actions(access.client(), document["vessel_id"]),
    )
