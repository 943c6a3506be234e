"""A sweep over every route: sign-in, role, scope; valid and small pages, whatever is stored."""

from __future__ import annotations

import re
import time
from collections.abc import Iterator

import pytest
from flask import Flask

from tests.client.web.conftest import Stage, staged
from tests.client.web.visitor import Page, Visitor
from tests.support.app import engine_of, migrated_sqlite

OPEN = {"static", "sign_in.show", "sign_in.enter", "sign_in.welcome", "sign_in.alive", "preferences.choose"}
ABOUT = ("test", "action", "sheet", "lightship", "alteration")
FINE = {200, 404, 409, 422}
LARGEST_BYTES = 150_000
LONGEST_S = 0.2


def routes(web: Flask, method: str, *, of: str = "fleet") -> list[str]:
    """Every address of a method that needs a token, with its arguments left open: of the fleet or of one thing."""
    found = []
    for rule in web.url_map.iter_rules():
        about = next((name for name in ABOUT if f"{name}_id" in rule.arguments), "fleet")
        if rule.endpoint in OPEN or method not in (rule.methods or ()) or about != of:
            continue
        found.append(re.sub(r"<(?:[^:>]*:)?([a-z_]+)>", r"{\1}", str(rule)))
    return sorted(found)


def addresses(stage: Stage, name: str = "Merrowdale") -> list[str]:
    """Every page that can be read, of one vessel, and some with a question."""
    vessel = stage.vessel(name)
    asked = [
        "/plan?example=1",
        f"/plan?vessel={vessel}",
        "/result?example=1",
        "/?find=quill",
        f"/tests/new?vessel={vessel}",
    ]
    return [*(path.format(vessel_id=vessel) for path in routes(stage.web, "GET")), *asked]


def check(page: Page, path: str) -> None:
    """What must hold on every page."""
    assert page.faults() == [], path
    assert page.size_without_plots() < LARGEST_BYTES, (path, page.size_without_plots())
    policy = page.headers["Content-Security-Policy"]
    assert "unsafe" not in policy
    assert "default-src 'none'" in policy
    assert page.headers["Cache-Control"] == "private, no-store"


def test_every_route_but_the_open_ones_asks_to_sign_in(fleet: Stage):
    visitor = Visitor(fleet.web)
    fleet.web.config["WTF_CSRF_ENABLED"] = False  # so that nothing but the missing token can stop a form
    for method in ("GET", "POST"):
        for path in [path for of in ("fleet", *ABOUT) for path in routes(fleet.web, method, of=of)]:
            answer = visitor.client.open(re.sub(r"{[a-z_]+}", "1", path), method=method)
            assert answer.status_code == 302, (method, path)
            assert answer.location.startswith("/sign-in"), (method, path)


def test_every_page_is_valid_and_small_on_the_invented_fleet(fleet: Stage):
    visitor = fleet.visitor()
    for path in addresses(fleet):
        page = visitor.get(path)
        assert page.status in FINE, (path, page.status)
        check(page, path)


@pytest.mark.parametrize("units", ["si", "us", "us-decimal"])
def test_pages_with_a_plot_and_a_form_are_valid_in_all_units(fleet: Stage, units: str):
    visitor = fleet.visitor()
    visitor.cookie("heelwright_units", units)
    for path in ("/", f"/vessels/{fleet.vessel('Larkhollow')}", "/plan?example=1", "/result?example=1"):
        check(visitor.get(path), path)


def test_every_page_is_rendered_in_less_than_a_fifth_of_a_second(fleet: Stage):
    visitor = fleet.visitor()
    for path in addresses(fleet):
        visitor.get(path)
        best = min(own_time(fleet, visitor, path) for _ in range(3))
        assert best < LONGEST_S, (path, best)


def own_time(stage: Stage, visitor: Visitor, path: str) -> float:
    """Seconds that a page takes without the service's part."""
    before, began = stage.transport.spent_s, time.perf_counter()
    visitor.client.get(path)
    return time.perf_counter() - began - (stage.transport.spent_s - before)


def test_every_page_says_what_to_do_when_nothing_is_stored(empty: Stage):
    visitor = empty.visitor()
    page = visitor.get("/")
    check(page, "/")
    assert "No vessels yet" in page.text
    targets = {link.get("href") for link in page.all("a")}
    assert {"/vessels/new", "/start", "/plan", "/result"} <= targets


def test_a_vessel_of_whom_nothing_but_the_name_is_known_leads_on(empty: Stage):
    vessel = empty.client.vessels.create({"name": "Nameless Barge"}).document
    page = empty.visitor().get(f"/vessels/{vessel['id']}")
    check(page, "vessel")
    for words in ("Her drift cannot be told yet", "Only her name is known", "No hull form", "No tanks", "None logged"):
        assert words in page.text


def test_a_reader_can_read_every_page_and_change_nothing(fleet: Stage):
    visitor = fleet.visitor("reader")
    for path in addresses(fleet):
        assert visitor.get(path).status in FINE, path
    vessel = fleet.vessel("Merrowdale")
    before = fleet.client.vessels.get(vessel).document
    for path, form in forms(vessel).items():
        if path == "/start":
            continue  # every ship of the demonstration is there already, so it stores nothing
        page = visitor.post(path, form, from_page="/")
        assert page.status == 403, (path, page.status, page.text)
        assert "This token may not do that" in page.text
        check(page, path)
    assert fleet.client.vessels.get(vessel).document == before


def test_a_reader_cannot_load_the_demonstration_fleet(empty: Stage):
    page = empty.visitor("reader").post("/start", from_page="/start")
    assert page.status == 403
    assert list(empty.client.vessels) == []


def forms(vessel_id: str) -> dict[str, dict[str, str]]:
    """A good form for every act that stores something."""
    return {
        "/start": {},
        "/vessels/new": {"name": "Another"},
        f"/vessels/{vessel_id}/change": {"name": "Renamed", "etag": '"1"'},
        f"/vessels/{vessel_id}/lightships/new": {
            "date": "2030-01-01", "basis": "estimate", "mass_t": "1400", "lcg_m": "35"
        },
        f"/vessels/{vessel_id}/alterations/new": {
            "date": "2030-01-01", "kind": "added", "mass_t": "1", "x_m": "1", "y_m": "0", "z_m": "1"
        },
        f"/vessels/{vessel_id}/boundary": {
            "item_class": "spare parts", "counts": "lightship", "decided_by": "T. Rein", "decided_on": "2030-01-01"
        },
        f"/vessels/{vessel_id}/model-acceptance/new": {
            "checker": "R. Hale", "date": "2030-01-01", "approved_hydrostatics.document": "drawing 101",
            "approved_hydrostatics.density_t_per_m3": "1.025",
            "approved_hydrostatics.draughts_from": "moulded-baseline",
            "hydrostatics.0.draught_m": "3", "hydrostatics.0.displacement_t": "1400", "hydrostatics.0.lcb_m": "36",
            "hydrostatics.0.km_t_m": "5.2",
        },
        f"/vessels/{vessel_id}/record": {"kind": "inclining-test", "record_source": "a report", "text": "{}"},
        f"/vessels/{vessel_id}/parts": {"part": "marks", "text": '{"marks": []}'},
        "/tests/new": {"vessel": vessel_id, "kind": "inclining-test"},
    }  # fmt: skip


def test_every_form_that_stores_is_in_the_sweep(fleet: Stage):
    swept = {path.replace("id-of-her", "{vessel_id}") for path in forms("id-of-her")}
    harmless = {"/sign-out", "/result"}  # forget the token; compute and store nothing
    assert set(routes(fleet.web, "POST")) - harmless == swept


def test_a_token_of_one_vessel_sees_no_other(fleet: Stage):
    own, other = fleet.vessel("Larkhollow"), fleet.vessel("Merrowdale")
    visitor = fleet.visitor("approver", vessel_ids=[own])
    home = visitor.get("/")
    assert "Larkhollow" in home.text
    assert "Merrowdale" not in home.html
    assert other not in home.html
    assert visitor.get(f"/vessels/{own}").status == 200
    assert "Merrowdale" not in visitor.get("/?find=merrow").html.replace("merrow", "")
    for path in routes(fleet.web, "GET"):
        if "{vessel_id}" in path:
            page = visitor.get(path.format(vessel_id=other))
            assert page.status == 404, path
            assert "Merrowdale" not in page.html
    for path, form in forms(other).items():
        if other in path:
            assert visitor.post(path, form, from_page="/").status == 404, path


def test_a_sister_that_the_token_may_not_see_is_not_named(fleet: Stage):
    visitor = fleet.visitor("reader", vessel_ids=[fleet.vessel("Quillmoor")])
    page = visitor.get(f"/vessels/{fleet.vessel('Quillmoor')}")
    assert page.status == 200
    assert "Quillhaven" not in page.html


@pytest.fixture(scope="module")
def thousand(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Stage]:
    """A thousand vessels with hostile names, each with an approved lightship."""
    folder = tmp_path_factory.mktemp("thousand")
    stage = staged(migrated_sqlite(folder))
    entries = []
    for number in range(1000):
        name = f'<b>Ship</b> & "{number}" {"long name " * 12}'
        facts = {"name": name, "kind": "cargo", "length_m": 80.0, "length_bp_m": 80.0}
        vessel = stage.client.vessels.create(facts).document
        lightship = {
            "date": "2015-06-01", "basis": "inclining-test", "approved": True,
            "mass_t": 1500.0 + number, "lcg_m": 36.0, "tcg_m": 0.0, "vcg_m": 6.0,
        }  # fmt: skip
        survey = {"date": "2024-06-01", "basis": "lightweight-survey", "mass_t": 1530.0 + number, "lcg_m": 36.1}
        entries += [{"vessel_id": vessel["id"], "lightship": each} for each in (lightship, survey)]
    stage.client.history.add(entries)
    yield stage
    engine_of(stage.api).dispose()


def test_a_thousand_vessels_come_page_by_page_and_every_page_is_small(thousand: Stage):
    visitor = thousand.visitor()
    page = visitor.get("/")
    check(page, "/")
    assert "<b>Ship</b>" not in page.html
    following = next(link.get("href") for link in page.all("a") if "Next" in "".join(link.itertext()))
    second = visitor.get(str(following))
    check(second, str(following))
    assert second.text != page.text


def test_a_search_among_a_thousand_vessels_shows_the_first_and_the_count(thousand: Stage):
    page = thousand.visitor().get("/?find=ship")
    check(page, "/?find=ship")
    assert "1 000 vessels found" in page.text


def test_a_vessel_with_very_much_history_stays_a_small_page(fleet: Stage):
    vessel = fleet.vessel("Merrowdale")
    entries = [
        {
            "vessel_id": vessel,
            "alteration": {
                "date": f"20{16 + number % 10}-0{1 + number % 9}-11", "kind": "added", "mass_t": 0.25,
                "x_m": 30.0, "y_m": 0.0, "z_m": 5.0, "description": f"item {number}, <script>alert(1)</script>",
            },
        }
        for number in range(400)
    ]  # fmt: skip
    fleet.client.history.add(entries)
    page = fleet.visitor().get(f"/vessels/{vessel}")
    check(page, "vessel")
    assert "<script>alert" not in page.html
