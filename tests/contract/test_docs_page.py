"""/v1/docs in a browser: the page shows every operation, offline, under its own content policy."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from playwright.sync_api import Browser

pytestmark = pytest.mark.browser


def test_the_documentation_shows_every_operation_and_asks_nobody_else(chromium: Browser, live_server: str) -> None:
    page = chromium.new_page()
    asked: list[str] = []
    complaints: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    page.on("console", lambda message: complaints.append(message.text) if message.type == "error" else None)
    page.on("pageerror", lambda error: complaints.append(str(error)))
    document = page.request.get(f"{live_server}/v1/openapi.json").json()
    operations = [
        path[name]["operationId"] for path in document["paths"].values() for name in path if name != "parameters"
    ]
    page.goto(f"{live_server}/v1/docs")
    page.wait_for_selector(".opblock")
    shown: set[str] = set()
    for _ in range(400):  # the viewer keeps in the page only what is in view
        shown.update(page.eval_on_selector_all(".opblock", "found => found.map(each => each.id)"))
        if len(shown) >= len(operations):
            break
        page.evaluate("window.scrollBy(0, window.innerHeight / 2)")
        page.wait_for_timeout(50)
    assert {name for name in operations if not any(block.endswith(f"-{name}") for block in shown)} == set()
    assert [url for url in asked if not url.startswith((live_server, "data:"))] == []
    assert complaints == []
    page.close()
