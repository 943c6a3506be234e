"""A test of a very large ship: 144 tanks, 300 preparations, many items alike; every page stays small and quick."""

from __future__ import annotations

import time
from collections.abc import Iterator

import pytest
from heelwright_client.demo.documents import TEST_DAY, carried

from tests.client.web.conftest import OpenAt, Stage, staged
from tests.client.web.story import Campaign, plan_of
from tests.client.web.test_every_page import LONGEST_S, addresses, check, own_time
from tests.client.web.test_stored_tests import PAGES, at, form_of
from tests.support.app import engine_of, migrated_sqlite

TANKS = 144


@pytest.fixture(scope="module")
def large(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Stage, str]]:
    """A ship with very many tanks, and her id."""
    stage = staged(migrated_sqlite(tmp_path_factory.mktemp("large")))
    record = carried(TEST_DAY)
    vessel = record["vessel"]
    facts = {name: vessel[name] for name in ("length_bp_m", "breadth_m", "depth_m")}
    stored = stage.client.vessels.create({"name": "Broad Meridian", "kind": "cargo", **facts}).document["id"]
    many = [vessel["tanks"][0] | {"name": f"Water ballast side tank {number} starboard"} for number in range(TANKS)]
    for part, content in (("hull", vessel["hull"]), ("marks", {"marks": vessel["marks"]}), ("tanks", {"tanks": many})):
        stage.client.vessels.put_part(stored, part, content)  # type: ignore[arg-type]
    yield stage, stored
    engine_of(stage.api).dispose()


def opened(large: tuple[Stage, str]) -> tuple[Stage, Campaign]:
    """A test of her with its plan."""
    stage, vessel = large
    test = stage.client.tests.open(vessel, "inclining-test").document["id"]
    campaign = Campaign(stage.client, vessel, test, carried(TEST_DAY), stage.client)
    campaign.put("plan", plan_of(campaign.record, "2031-05-14"))
    return stage, campaign


def preparing(open_at: OpenAt) -> tuple[Stage, Campaign]:
    """A test of a ship with 144 compartments, at the stage in which she prepares."""
    stage, campaign = open_at("preparing")
    stored = stage.client.tests.tank_plan(campaign.test_id)
    voids = [{"tank": f"Void space {number} starboard", "state": "empty", "space": "void"} for number in range(TANKS)]
    tanks = [*stored.document["tanks"], *voids][:TANKS]
    campaign.put("tank-plan", {"tanks": tanks}, stored.etag)
    return stage, campaign


def test_a_tank_plan_of_144_tanks_is_stored_page_by_page(large: tuple[Stage, str]):
    stage, campaign = opened(large)
    visitor = stage.visitor("planner")
    pages = -(-TANKS // 40)
    for number in range(1, pages + 1):
        path = at(campaign, f"/tank-plan?tanks={number}")
        page = visitor.get(path)
        check(page, path)
        form = form_of(page, "") | {
            "tanks.0.state": "pressed", "tanks.0.evidence": "vent-overflow", "tanks.0.density_t_per_m3": "1.025"
        }  # fmt: skip
        done = visitor.post(path, form, from_page="/")
        assert done.status == 302, done.text[:400]
    tanks = stage.client.tests.tank_plan(campaign.test_id).document["tanks"]
    assert [each["tank"].split()[-2] for each in tanks] == [str(number) for number in range(TANKS)]
    assert [number for number, each in enumerate(tanks) if each["state"] == "pressed"] == [0, 40, 80, 120]


def test_an_error_in_a_later_page_of_a_tank_plan_stands_beside_its_field(large: tuple[Stage, str]):
    stage, campaign = opened(large)
    visitor, path = stage.visitor("planner"), at(campaign, "/tank-plan?tanks=2")
    form = form_of(visitor.get(path), "") | {"tanks.3.state": "slack", "tanks.3.fill_percent": "140"}
    page = visitor.post(path, form, from_page="/")
    assert page.status == 422
    check(page, path)
    field = next(each for each in page.all("input") if each.get("name") == "tanks.3.fill_percent")
    assert field.get("aria-invalid") == "true"
    assert field.get("value") == "140"
    campaign.put("tank-plan", {"tanks": [{"tank": "FP", "state": "empty"}]})
    late = visitor.post(path, form | {"tanks.3.state": "empty", "tanks.3.fill_percent": ""}, from_page="/")
    assert late.status == 409


def test_soundings_of_144_tanks_come_up_as_they_are_entered(open_at: OpenAt):
    stage, campaign = preparing(open_at)
    visitor, path = stage.visitor("recorder"), at(campaign, "/day/before")
    page = visitor.get(path)
    check(page, path)
    assert f"The first 40 of {TANKS} to come" in page.text
    form = form_of(page, "/before/soundings")
    form |= {f"soundings.{row}.evidence": "seen" for row in range(30, 40)}
    form |= {f"soundings.{row}.density_t_per_m3": "1.0" for row in range(30, 40)}
    done = visitor.post(at(campaign, "/day/before/soundings"), form, from_page="/")
    assert done.status == 302, done.text[:400]
    page = visitor.get(path)
    check(page, path)
    assert f"The first 40 of {TANKS - 10} to come" in page.text


def test_every_page_of_a_very_large_test_is_small_and_quick(open_at: OpenAt):
    stage, campaign = preparing(open_at)
    assert len(stage.client.tests.preparations(campaign.test_id)["items"]) >= 300
    for number in range(70):
        campaign.add("items", {
            "description": f"pallet {number} of stores in the hold, lashed", "kind": "surplus", "mass_t": 0.5,
            "x_m": 30.0, "y_m": -1.0, "z_m": 4.0, "found_by": "weighed", "space": "hold 2",
        })  # fmt: skip
    visitor = stage.visitor()
    check(visitor.get(at(campaign, "/survey/?page=2")), "the second page of items")
    sizes = {}
    for page in PAGES:
        found = visitor.get(at(campaign, page))
        assert found.status == 200, (page, found.text[:300])
        check(found, page)
        sizes[page] = (found.size_without_plots(), min(own_time(stage, visitor, at(campaign, page)) for _ in range(2)))
    assert all(seconds < LONGEST_S for _, seconds in sizes.values()), sizes


def test_every_page_of_the_invented_fleet_is_answered_quickly_with_the_service_in_it(fleet: Stage):
    visitor = fleet.visitor()
    computed = ("/plan?example=1", "/result?example=1")
    slow = {}
    for path in addresses(fleet):
        visitor.get(path)
        best = min(whole_time(visitor, path) for _ in range(3))
        if best > LONGEST_S and path not in computed:
            slow[path] = round(best, 3)
    assert slow == {}


def whole_time(visitor: object, path: str) -> float:
    """Seconds that a page takes with the service's part, in one process."""
    began = time.perf_counter()
    visitor.client.get(path)  # type: ignore[attr-defined]
    return time.perf_counter() - began
