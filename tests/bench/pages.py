"""A picture of every page of the front end on the invented fleet, to be looked at.

Run from the top of the checkout: ``python -m tests.bench.pages OUT`` writes every page at 360 and 1440 px, light and
dark, and some as printed; ``--only result`` takes only the pages whose names hold a word. It also says which pages are
wider than the screen.
"""

from __future__ import annotations

import argparse
import datetime
import tempfile
from collections.abc import Iterator
from contextlib import ExitStack
from pathlib import Path

from heelwright_client.client import Client
from heelwright_client.demo.seed import seed
from heelwright_client.demo.stored_tests import seed_tests
from playwright.sync_api import Browser, Page, sync_playwright

from tests.client.web.conftest import make_web
from tests.client.web.visitor import TimedTransport
from tests.support.app import make_app, migrated_sqlite, new_token, served
from tests.support.browser import CHROMIUM, OPTIONS

WIDTHS, GROUNDS = (360, 1440), ("light", "dark")
ANSWERED = "plan-answered"
"""Pictures taken once the form has been sent."""

PRINTED = ("result", "plan-answered", "vessel-merrowdale", "ship")
OF_THE_FLEET = {
    "fleet": "/", "found": "/?find=quill", "tests": "/tests/", "start": "/start", "actions": "/actions/",
    "plan": "/plan?example=1", ANSWERED: "/plan?example=1", "plan-asked": "/plan",
    "result": "/result?example=1", "result-asked": "/result", "vessel-new": "/vessels/new",
    "not-found": "/vessels/nothing",
}  # fmt: skip
OF_A_TEST = {
    "": "", "plan": "/plan", "tanks": "/tank-plan", "ship": "/ship/", "survey": "/survey/", "before": "/day/before",
    "day": "/day/", "state": "/day/?state=4", "deviations": "/day/deviations", "record": "/record",
    "result": "/result", "review": "/review", "reservations": "/reservations", "back": "/put-back",
    "interim": "/interim", "items": "/enter/items",
}  # fmt: skip
PARTS = (
    "change", "parts", "alterations/new", "lightships/new", "boundary", "model-acceptance", "model-acceptance/new",
    "record",
)  # fmt: skip
TESTS = {
    "Quillmoor": ("", "plan", "tanks", "ship"),
    "Feshwick Provider": ("", "ship"),
    "Merrowvale": ("", "survey", "before", "day", "deviations", "items", "result"),
    "Tolvane Pull": ("", "survey"),
    "Merrowdale": ("", "result", "review", "record", "reservations", "interim"),
    "Merrowmere": ("", "result", "review", "back"),
}


def addresses(client: Client) -> dict[str, str]:
    """Every page to be seen, by the name of its picture."""
    ids = {str(vessel["name"]): str(vessel["id"]) for vessel in client.vessels}
    found = {**OF_THE_FLEET, "test-new": f"/tests/new?vessel={ids['Merrowdale']}"}
    for name in ("Merrowdale", "Larkhollow", "Quillmoor", "Wexbarrow Wing"):
        found[f"vessel-{name.lower().replace(' ', '-')}"] = f"/vessels/{ids[name]}"
    for part in PARTS:
        found[f"vessel-part-{part.replace('/', '-')}"] = f"/vessels/{ids['Merrowdale']}/{part}"
    for name, pages in TESTS.items():
        test = next(client.tests.of(ids[name]))["id"]
        for page in pages:
            found[f"test-{name.lower().replace(' ', '-')}-{page or 'line'}"] = f"/tests/{test}{OF_A_TEST[page]}"
    return found


def take(page: Page, out: Path, name: str, address: str, width: int, ground: str) -> None:
    """Take one picture, and say what sticks out of the screen."""
    answer = page.goto(address)
    if name.endswith(ANSWERED):
        with page.expect_navigation() as came:
            page.get_by_role("button", name="Plan the weights").click()
        answer = came.value
    wide = page.evaluate("document.documentElement.scrollWidth")
    if answer is None or answer.status not in (200, 404) or wide > width:
        print(f"{name} at {width} px {ground}: status {answer and answer.status}, {wide} px wide", flush=True)
    page.screenshot(path=out / f"{name}-{width}-{ground}.png", full_page=True)


def browsers_pages(browser: Browser, address: str, token: str) -> Iterator[tuple[Page, int, str]]:
    """A signed-in page at each width on each ground."""
    for width in WIDTHS:
        for ground in GROUNDS:
            context = browser.new_context(viewport={"width": width, "height": 800}, color_scheme=ground)  # type: ignore[arg-type]
            page = context.new_page()
            page.goto(f"{address}/sign-in")
            page.get_by_label("Token").fill(token)
            with page.expect_navigation():
                page.get_by_role("button", name="Use the token").click()
            yield page, width, ground
            context.close()


def main() -> None:
    """Seed, serve, look at every page."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").partition("\n")[0])
    parser.add_argument("out", type=Path)
    parser.add_argument("--only", default="", help="pages whose name holds this")
    options = parser.parse_args()
    options.out.mkdir(parents=True, exist_ok=True)
    with ExitStack() as stack:
        folder = Path(stack.enter_context(tempfile.TemporaryDirectory()))
        api = make_app(migrated_sqlite(folder))
        token, transport = new_token(api), TimedTransport(api)
        client = Client("http://service.test", token, transport=transport)

        def as_person(name: str, role: str) -> Client:
            return Client("http://service.test", new_token(api, role, name=name), transport=transport)

        seed(client, lambda line: None)
        seed_tests(client, as_person, datetime.datetime.now(datetime.UTC).date(), lambda line: None)
        address = stack.enter_context(served(make_web(transport)))
        player = stack.enter_context(sync_playwright())
        browser = player.chromium.launch(executable_path=str(CHROMIUM), args=list(OPTIONS))
        wanted = {name: path for name, path in addresses(client).items() if options.only in name}
        for page, width, ground in browsers_pages(browser, address, token):
            for name, path in wanted.items():
                take(page, options.out, name, address + path, width, ground)
                if width == max(WIDTHS) and ground == "light" and name.endswith(PRINTED):
                    page.pdf(path=options.out / f"{name}-print.pdf", format="A4")
        browser.close()


if __name__ == "__main__":
    main()
