"""Reduce a record: the lightship by both methods, with its uncertainty, checks and what-if."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from flask import Blueprint, render_template, request

from heelwright_client.demo.documents import TEST_DAY, carried
from heelwright_client.errors import EntryError, FieldProblem, InvalidRequestError
from heelwright_client.web import access, preferences
from heelwright_client.web.entry import Entry
from heelwright_client.web.packing import packed, read_record, unpacked
from heelwright_client.web.pages.what_if import WHAT_IF, changed, entry_for
from heelwright_client.web.result_view import result_view
from heelwright_client.web.uploads import sent_text, shown_again
from heelwright_client.web.wording import Say

blueprint = Blueprint("result", __name__)

Page = str | tuple[str, int]


@blueprint.get("/result")
def show() -> Page:
    """Ask for a record, or reduce the example."""
    if request.args.get("example"):
        record = carried(TEST_DAY)
        return _reduced(record, record, {}, entry_for(record, preferences.system()))
    return _ask("", [])


@blueprint.post("/result")
def reduce() -> Page:
    """Reduce a record that was uploaded or pasted, or the one that the page carried with changed uncertainties."""
    if "record" in request.form:
        return _what_if()
    text = sent_text()
    try:
        record = read_record(text)
    except EntryError as error:
        return _ask(text, [("", str(error), "")]), 422
    return _reduced(record, record, {}, entry_for(record, preferences.system()), text)


def _what_if() -> Page:
    try:
        record = unpacked(request.form["record"])
    except EntryError as error:
        return _ask("", [("", str(error), "")]), 422
    entry = Entry.of_form(WHAT_IF, request.form, preferences.system())
    if entry.wrong:
        return render_template("result_refused.html", entry=entry, spec=WHAT_IF, carried=request.form["record"]), 422
    return _reduced(record, *changed(record, entry), entry)


def _reduced(
    record: dict[str, Any], fresh: dict[str, Any], choices: dict[str, Any], entry: Entry, text: str = ""
) -> Page:
    """Reduce `fresh`, and carry `record` on."""
    try:
        result = access.client().reductions.compute(fresh, **choices)
    except InvalidRequestError as error:
        problems = [(p.pointer, p.message, found_at(record, p)) for p in error.errors] or [("", str(error), "")]
        return _ask(text, problems), 422
    view = result_view(result, fresh, Say(preferences.system()))
    return render_template("result.html", record=record, carried=packed(record), entry=entry, spec=WHAT_IF, **view)


def _ask(text: str, problems: list[tuple[str, str, str]]) -> str:
    shown = shown_again(text)
    return render_template("result_ask.html", text=shown, too_long=text != shown, problems=problems)


def found_at(record: Mapping[str, Any], problem: FieldProblem) -> str:
    """Show what stands in a record where the service found fault.

    Parameters
    ----------
    record : Mapping
        The record.
    problem : FieldProblem
        With a JSON Pointer (RFC 6901).

    Returns
    -------
    str
        The value where it is a plain one, else nothing.
    """
    found: Any = record
    for part in problem.pointer.split("/")[1:]:
        key = part.replace("~1", "/").replace("~0", "~")
        if isinstance(found, Mapping):
            found = found.get(key)
        elif isinstance(found, list) and key.isdecimal() and int(key) < len(found):
            found = found[int(key)]
        else:
            return ""
    return str(found)[:80] if isinstance(found, str | int | float) else ""
