"""The fleet's drifts are kept while nothing that goes into them changes, and never longer."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from flask import Flask
from heelwright_service.store.paging import encode_cursor
from heelwright_service.usecases import follow_fleet
from heelwright_service.usecases.fleet_rankings import Rankings

from tests.support.app import Api, engine_of, make_app, migrated_sqlite, new_token

BASELINE = {
    "date": "2015-06-01", "basis": "inclining-test", "approved": True, "mass_t": 1500.0, "lcg_m": 36.0, "tcg_m": 0.0,
    "vcg_m": 6.0,
}  # fmt: skip
SURVEY = {"date": "2024-06-01", "basis": "lightweight-survey", "mass_t": 1530.0, "lcg_m": 36.1}


@pytest.fixture
def api(tmp_path: Path) -> Iterator[Api]:
    """A caller of a service with three vessels; what is kept is kept in memory, so one database is enough."""
    app: Flask = make_app(migrated_sqlite(tmp_path))
    caller = Api(app.test_client(), new_token(app))
    for name in ("Alder", "Birch", "Cedar"):
        facts = {"name": name, "kind": "cargo", "length_m": 80.0, "length_bp_m": 80.0}
        path = f"/vessels/{caller.post('/vessels', facts).get_json()['id']}"
        assert caller.post(f"{path}/lightships", BASELINE).status_code == 201
        assert caller.post(f"{path}/lightships", SURVEY).status_code == 201
    yield caller
    engine_of(app).dispose()


@pytest.fixture
def worked_out(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """The names of the vessels whose drifts were worked out."""
    names: list[str] = []
    assess = follow_fleet._assess

    def counted(vessel: object, request: object) -> object:
        names.append(vessel.name)  # type: ignore[attr-defined]
        return assess(vessel, request)  # type: ignore[arg-type]

    monkeypatch.setattr(follow_fleet, "_assess", counted)
    return names


def fleet(api: Api) -> dict[str, dict[str, object]]:
    return {item["vessel"]["name"]: item for item in api.get("/fleet/drift").get_json()["items"]}


def test_each_drift_is_worked_out_once_for_order_and_page(api: Api, worked_out: list[str]) -> None:
    first = fleet(api)
    assert sorted(worked_out) == ["Alder", "Birch", "Cedar"]
    assert fleet(api) == first
    assert len(worked_out) == 3


def test_a_change_of_one_vessel_leaves_the_others_drifts_good(api: Api, worked_out: list[str]) -> None:
    before = fleet(api)
    worked_out.clear()
    birch = before["Birch"]["vessel"]["id"]  # type: ignore[index]
    alteration = {"date": "2025-01-01", "kind": "added", "mass_t": 40, "x_m": 20, "y_m": 0, "z_m": 6}
    assert api.post(f"/vessels/{birch}/alterations", alteration).status_code == 201
    after = fleet(api)
    assert worked_out == ["Birch"]
    assert after["Birch"]["drift"]["logged"]["aggregate_t"] == 40  # type: ignore[index]
    assert {name: after[name] for name in ("Alder", "Cedar")} == {name: before[name] for name in ("Alder", "Cedar")}


@pytest.mark.parametrize("change", [{"length_m": 90.0}, {"kind": "passenger"}, {"name": "Beech"}])
def test_a_change_of_particulars_is_seen_at_once(api: Api, worked_out: list[str], change: dict[str, object]) -> None:
    birch = fleet(api)["Birch"]["vessel"]["id"]  # type: ignore[index]
    worked_out.clear()
    assert api.patch(f"/vessels/{birch}", change, If_Match="*").status_code == 200
    fleet(api)
    assert worked_out == [change.get("name", "Birch")]


def test_another_day_and_other_rules_are_other_questions(api: Api, worked_out: list[str]) -> None:
    fleet(api)
    for query in ("as_of=2031-01-01", "rule_set=solas-2020"):
        worked_out.clear()
        assert api.get(f"/fleet/drift?{query}").status_code == 200
        assert len(worked_out) == 3, query


def page_after(api: Api, cursor: str | None, limit: int = 1) -> tuple[list[str], str | None]:
    """The names on a page of the fleet, and the cursor of the next."""
    answer = api.get(f"/fleet/drift?limit={limit}" + (f"&cursor={cursor}" if cursor else "")).get_json()
    return [item["vessel"]["name"] for item in answer["items"]], answer["next_cursor"]


def all_pages(api: Api, cursor: str | None = None) -> list[str]:
    """The names of the fleet, one by one, from a page on."""
    names, cursor = page_after(api, cursor)
    while cursor is not None:
        more, cursor = page_after(api, cursor)
        names += more
    return names


def mixed_fleet(api: Api) -> list[str]:
    """Vessels that stand differently, two of which cannot be told; in their order."""
    for name, mass_t in (("Dogwood", 1800.0), ("Elder", 1545.0), ("Fir", None), ("Gorse", None)):
        facts = {"name": name, "kind": "cargo", "length_m": 80.0, "length_bp_m": 80.0}
        path = f"/vessels/{api.post('/vessels', facts).get_json()['id']}"
        for lightship in () if mass_t is None else (BASELINE, SURVEY | {"mass_t": mass_t}):
            assert api.post(f"{path}/lightships", lightship).status_code == 201
    return page_after(api, None, limit=100)[0]


def test_one_by_one_a_fleet_is_the_same_as_at_once(api: Api) -> None:
    names = mixed_fleet(api)
    assert names[0] == "Dogwood"
    assert names[-2:] == ["Fir", "Gorse"]
    assert all_pages(api) == names


@pytest.mark.parametrize("seen", [2, 3, 6])
def test_a_vessel_that_changes_rank_between_two_pages_moves_no_other(api: Api, seen: int) -> None:
    """The last of the fleet becomes one of the worst, so that all but one stand one place further down."""
    names = mixed_fleet(api)
    first, cursor = page_after(api, None, limit=seen)
    gorse = f"/vessels/{fleet(api)['Gorse']['vessel']['id']}"  # type: ignore[index]
    for lightship in (BASELINE, SURVEY | {"mass_t": 2000.0}):
        assert api.post(f"{gorse}/lightships", lightship).status_code == 201
    assert page_after(api, None, limit=100)[0] == [names[0], "Gorse", *names[1:-1]]
    assert [*first, *all_pages(api, cursor)] == names[:-1]


def test_the_last_vessel_of_a_page_may_be_gone_before_the_next(api: Api) -> None:
    names = mixed_fleet(api)
    first, cursor = page_after(api, None, limit=6)
    assert first[-1] == "Fir"
    assert api.delete(f"/vessels/{fleet(api)['Fir']['vessel']['id']}", If_Match="*").status_code == 204  # type: ignore[index]
    assert page_after(api, cursor) == (names[6:], None)


@pytest.mark.parametrize("values", [[3], [1, "surely", "a"], ["worst", "-0.5", "a"], [1, "-0.5"]])
def test_a_cursor_of_another_list_is_refused(api: Api, values: list[str | int]) -> None:
    refused = api.get(f"/fleet/drift?cursor={encode_cursor(values)}")
    assert (refused.status_code, refused.get_json()["errors"][0]["parameter"]) == (422, "cursor")


def test_the_drift_that_was_not_used_for_longest_is_forgotten() -> None:
    kept, made = Rankings(most_drifts=2), []

    def told(name: str) -> None:
        kept.told(name, {"as_of": "2026-01-01"}, lambda: made.append(name) or follow_fleet.ConflictError("x", name))

    for name in ("a", "b", "a", "c", "a", "b"):
        told(name)
    assert made == ["a", "b", "c", "b"]


def test_what_was_worked_out_for_all_vessels_tells_a_limited_caller_nothing_of_a_lead_ship(api: Api) -> None:
    alder = fleet(api)["Alder"]["vessel"]["id"]  # type: ignore[index]
    facts = {"name": "Dogwood", "kind": "cargo", "length_m": 80.0, "fleet": "North", "sister_of": alder}
    assert api.post("/vessels", facts).status_code == 201
    assert fleet(api)["Dogwood"]["drift"]["lead"]["name"] == "Alder"  # type: ignore[index]
    limited = api.with_token(new_token(api.client.application, "reader", fleet="North"))
    answer = limited.get("/fleet/drift")
    assert [item["vessel"]["name"] for item in answer.get_json()["items"]] == ["Dogwood"]
    assert answer.get_json()["items"][0]["problem"]["code"] == "no-baseline"
    assert "Alder" not in answer.get_data(as_text=True)
    assert fleet(api)["Dogwood"]["drift"]["lead"]["name"] == "Alder"  # type: ignore[index]
