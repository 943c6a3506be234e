"""A visitor of the front end: asks for pages, fills in forms, and reads what came back strictly."""

from __future__ import annotations

import re
import time
from collections import Counter
from collections.abc import Iterator, Mapping
from functools import cached_property
from typing import Any
from xml.etree.ElementTree import Element

import html5lib
import requests
from flask import Flask
from heelwright_client.wsgi_transport import WsgiTransport
from werkzeug.test import TestResponse

HTML = "{http://www.w3.org/1999/xhtml}"
_APART = {f"{HTML}{name}" for name in ("td", "th", "dt", "dd", "li", "p", "h1", "h2", "h3")}
_TOKEN = re.compile(r'name="csrf_token" value="([^"]+)"')


class Page:
    """One answer of the front end, parsed."""

    def __init__(self, response: TestResponse) -> None:
        self.status = response.status_code
        self.headers = response.headers
        self.size = len(response.data)
        self.html = response.get_data(as_text=True)
        self.location = response.headers.get("Location", "")

    @cached_property
    def tree(self) -> Element:
        """The document as a browser builds it; any parse error is a failure."""
        root: Element = html5lib.HTMLParser(strict=True).parse(self.html)
        return root

    def all(self, name: str) -> list[Element]:
        """All elements of a name."""
        return list(self.tree.iter(f"{HTML}{name}"))

    @property
    def text(self) -> str:
        """All words of the main part, with single spaces."""
        main = self.all("main")
        return words(main[0] if main else self.tree)

    def row_with(self, part: str) -> str:
        """The words of the first table row that has some words in it."""
        return next(row for row in self.rows if part in row)

    @property
    def rows(self) -> list[str]:
        """The words of every table row."""
        return [words(row) for row in self.all("tr")]

    def size_without_plots(self) -> int:
        """Bytes without the drawings."""
        return len(re.sub(r"<svg.*?</svg>", "", self.html, flags=re.DOTALL).encode())

    def faults(self) -> list[str]:
        """What is wrong with the page beyond its parsing; an empty list is a good page."""
        ids = [e.get("id") for e in self.tree.iter() if isinstance(e.tag, str) and e.get("id")]
        found = [f"id {name} stands {count} times" for name, count in Counter(ids).items() if count > 1]
        known = set(ids)
        for element in self.tree.iter():
            found += _faults_of(element, known)
        for field in (*self.all("input"), *self.all("select"), *self.all("textarea")):
            if field.get("type") != "hidden" and not self._labelled(field):
                found.append(f"the field {field.get('name')} has no label")
        found += [f"a table without a caption: {''.join(t.itertext())[:40]}" for t in self.all("table")
                  if "entry" not in t.get("class", "") and t.find(f"{HTML}caption") is None]  # fmt: skip
        if len(self.all("h1")) != 1:
            found.append(f"{len(self.all('h1'))} first headings")
        return found

    def _labelled(self, field: Element) -> bool:
        named, inside = self._labels
        return bool(field.get("aria-label")) or field.get("id") in named or id(field) in inside

    @cached_property
    def _labels(self) -> tuple[set[str | None], set[int]]:
        """Ids that a label names, and the elements that stand inside one."""
        labels = self.all("label")
        return {label.get("for") for label in labels} - {None}, {id(e) for label in labels for e in label.iter()}


def words(element: Element) -> str:
    """The words of an element with single spaces, without what only paper shows."""
    return " ".join("".join(_pieces(element)).split())


def _pieces(element: Element) -> Iterator[str]:
    if "on-paper" not in (element.get("class") or "").split():
        yield element.text or ""
        for inner in element:
            yield from _pieces(inner)
    if element.tag in _APART:
        yield " "
    yield element.tail or ""


def _faults_of(element: Element, known: set[str | None]) -> list[str]:
    if not isinstance(element.tag, str):
        return []
    found = []
    name = element.tag.rpartition("}")[2]
    if element.get("style") is not None:
        found.append(f"{name} has a style attribute, which the content policy drops")
    if name == "style" or (name == "script" and element.get("src") is None):
        found.append(f"an inline {name}")
    if any(attribute.startswith("on") for attribute in element.attrib):
        found.append(f"{name} has an inline handler")
    for attribute in ("src", "href", "action", "{http://www.w3.org/1999/xlink}href"):
        if re.match(r"(https?:)?//", element.get(attribute) or ""):
            found.append(f"{name} points to another host: {element.get(attribute)}")
    for attribute in ("for", "aria-describedby", "aria-labelledby"):
        missing = set((element.get(attribute) or "").split()) - known
        if missing:
            found.append(f"{name} names ids that are not there: {missing}")
    if name == "th" and not element.get("scope"):
        found.append("a heading cell without a scope")
    return found


class Visitor:
    """A browser session without scripts."""

    def __init__(self, web: Flask) -> None:
        self.web = web
        self.client = web.test_client()

    def get(self, path: str, **headers: str) -> Page:
        """Ask for a page."""
        return Page(self.client.get(path, headers=headers))

    def post(self, path: str, form: Mapping[str, Any] | None = None, *, from_page: str = "/sign-in") -> Page:
        """Send a form with the token that a page of this session carries."""
        token = _TOKEN.search(self.client.get(from_page).get_data(as_text=True))
        assert token is not None
        return Page(self.client.post(path, data={**(form or {}), "csrf_token": token[1]}))

    def sign_in(self, token: str) -> Visitor:
        """Sign in with a token."""
        page = self.post("/sign-in", {"token": token})
        assert page.status == 302, page.text
        return self

    def cookie(self, name: str, value: str) -> None:
        """Set a cookie."""
        self.client.set_cookie(name, value)


class TimedTransport(WsgiTransport):
    """Counts the time that the service takes, so that the front end's own can be told."""

    spent_s = 0.0

    def send(self, request: requests.PreparedRequest, *rest: Any, **more: Any) -> requests.Response:
        """Answer one request and add up how long it took."""
        began = time.perf_counter()
        try:
            return super().send(request, *rest, **more)
        finally:
            self.spent_s += time.perf_counter() - began


class DeadTransport(WsgiTransport):
    """A service that is down."""

    def __init__(self) -> None:
        super().__init__(lambda environ, start_response: [])

    def send(self, request: requests.PreparedRequest, *rest: Any, **more: Any) -> requests.Response:
        """Refuse the connection."""
        raise requests.ConnectionError("connection refused")
