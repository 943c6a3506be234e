"""Small forms that stand on larger pages: refused ones come back on a page of their own, with all that was typed."""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from typing import Any

from flask import render_template, request

from heelwright_client.errors import RefusedError
from heelwright_client.web import preferences
from heelwright_client.web.entering import Part, enter
from heelwright_client.web.entry import Entry
from heelwright_client.web.fields import Field, Spec
from heelwright_client.web.stored_test import StoredTest

_NAME = Field("name", "Name", required=True)
WAIVER: Spec = (_NAME, Field("reason", "Reason", required=True))
DECISION: Spec = (_NAME, Field("witness", "Witness"), Field("remarks", "Remarks"))
CLOSING: Spec = (_NAME,)
ANSWER: Spec = (Field("text", "Answer", required=True), Field("by", "By", required=True))
MARK: Spec = (Field("done_by", "Your name"), Field("remarks", "Remarks"))


def take(test: StoredTest, path: str, spec: Spec, fixed: Mapping[str, Any]) -> Entry:
    """Enter what a small form says, once.

    Parameters
    ----------
    test : StoredTest
        The test.
    path : str
        Where it goes, such as ``waivers``.
    spec : sequence of Field
        What the form asks.
    fixed : Mapping
        What the page has decided: which point, which finding.

    Returns
    -------
    Entry
        With the refusals beside its fields; none where it was taken.
    """
    entry = Entry.of_form(spec, request.form, preferences.system())
    if not entry.wrong:
        enter(test, [Part(path, {**fixed, **entry.document()})], entry, request.form.get("key") or str(uuid.uuid4()))
    return entry


def refused_act(error: RefusedError) -> Entry:
    """Keep what the service refused of an act that has nothing to type, for its place on the page.

    Parameters
    ----------
    error : RefusedError
        The refusal.

    Returns
    -------
    Entry
        Without fields; its messages name what they are about, such as a tank of the plan.
    """
    entry = Entry((), preferences.system())
    entry.take(error)
    return entry


def refused_page(test: StoredTest, title: str, entry: Entry, fixed: Mapping[str, Any], back: str) -> tuple[str, int]:
    """Show a small form again.

    Parameters
    ----------
    test : StoredTest
        The test.
    title : str
        What the form is for.
    entry : Entry
        As refused.
    fixed : Mapping
        Fields that the visitor does not type; a list stands for several of one name.
    back : str
        The page that it stood on.

    Returns
    -------
    (str, int)
        HTML and status; the form is sent to the same address again.
    """
    hidden = [
        (name, value)
        for name, given in {**fixed, "key": request.form.get("key", ""), "next": back}.items()
        for value in (given if isinstance(given, list) else [given])
    ]
    page = render_template("one_form.html", test=test, title=title, entry=entry, hidden=hidden, back=back)
    return page, 422
