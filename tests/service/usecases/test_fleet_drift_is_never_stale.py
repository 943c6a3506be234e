"""Whatever happens to a fleet, each caller is answered as if nothing had been kept; by each of two processes."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import pytest
from flask import Flask
from heelwright_service.store.archive import load_archive, write_archive
from heelwright_service.store.base import Base
from heelwright_service.usecases.fleet_rankings import Rankings
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from tests.support.app import Api, engine_of, make_app, migrated_sqlite, new_token
from tests.support.postgres import Cluster

KINDS, FLEETS, RULES, LENGTHS_M = ("cargo", "passenger", None), ("North", "South", None), ("solas-2020", None), (52, 90)
MASSES_T = (1201.0, 1216.0, 1236.0, 1290.0)
DAYS = ("2026-02-27", "2026-02-28", "2026-03-01", "2029-03-01", "2031-03-02")
QUESTIONS = ("", "fleet=North", "rule_set=solas-2020", "as_of=2021-01-01", "limit=2")
REASON = {"reason": "misread"}
TESTED = {"date": "2016-03-01", "basis": "inclining-test", "lcg_m": 24.0, "vcg_m": 6.0, "approved": True}
SURVEYED = {"date": "2021-03-01", "basis": "lightweight-survey", "lcg_m": 24.1, "approved": False}
FITTED = {"date": "2018-05-17", "kind": "added", "x_m": 20, "y_m": 0, "z_m": 6}


class World:
    """Two processes on one database, and callers who see all vessels, those of a fleet, or a single one."""

    def __init__(self, url: str, folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
        self.archive, self.day = folder / "fleet.zip", DAYS[0]
        for place in ("api.routes.drift", "usecases.follow_fleet"):
            monkeypatch.setattr(f"heelwright_service.{place}.today", lambda: self.day)
        self.workers = [make_app(url), make_app(url)]
        self.fresh = make_app(url)
        self.api = Api(self.workers[0].test_client(), new_token(self.workers[0]))
        self.vessels = [self._enter(f"Vessel {number}", FLEETS[number % 2]) for number in range(3)]
        for vessel in self.vessels[:2]:
            self.post(vessel, "lightships", TESTED | {"mass_t": 1200.0})
        scopes: tuple[dict[str, Any], ...] = (
            {},
            {"fleet": "North"},
            {"fleet": "South"},
            {"vessel_ids": [self.vessels[2]]},
        )
        self.tokens = [new_token(self.workers[0], "reader", **scope) for scope in scopes]
        self.back_up(0, 0)

    def close(self) -> None:
        """Let go of the database."""
        for app in (*self.workers, self.fresh):
            engine_of(app).dispose()

    def post(self, vessel: str, what: str, facts: dict[str, Any]) -> int:
        """Store something of a vessel; what is refused changes nothing."""
        return self.api.post(f"/vessels/{vessel}/{what}", facts).status_code

    def one(self, which: int) -> str:
        """One of the vessels that were ever entered."""
        return self.vessels[which % len(self.vessels)]

    def _enter(self, name: str, fleet: str | None, **facts: Any) -> str:
        facts = {"name": name, "kind": "passenger", "length_m": 52.0, "length_bp_m": 50.0, "fleet": fleet} | facts
        return str(self.api.post("/vessels", facts).get_json()["id"])

    def enter(self, which: int, how: int) -> None:
        """Another vessel, a sister of one that is there."""
        sister = {"sister_of": self.one(which)} if self._is_there(self.one(which)) else {}
        self.vessels.append(self._enter(f"Vessel {len(self.vessels)}", FLEETS[how % 3], **sister))

    def _is_there(self, vessel: str) -> bool:
        return self.api.get(f"/vessels/{vessel}").status_code == 200

    def remove(self, which: int, how: int) -> None:
        """A vessel goes, where nothing is recorded of her."""
        self.api.delete(f"/vessels/{self.one(which)}", If_Match="*")

    def change(self, which: int, how: int) -> None:
        """Her particulars, rules, fleet or lead ship are others."""
        changes = (
            {"kind": KINDS[how % 3]},
            {"length_m": LENGTHS_M[how % 2]},
            {"fleet": FLEETS[how % 3]},
            {"rule_set": RULES[how % 2]},
            {"sister_of": self.one(how)},
            {"sister_of": None},
            {"name": f"Renamed {how}"},
        )
        self.api.patch(f"/vessels/{self.one(which)}", changes[how % len(changes)], If_Match="*")

    def test_approved(self, which: int, how: int) -> None:
        """An inclining test of hers is approved, in place of the one that stands."""
        self._lightship(which, how, TESTED)

    def survey(self, which: int, how: int) -> None:
        """A lightweight survey of hers is recorded, in place of the one that stands."""
        self._lightship(which, how, SURVEYED)

    def _lightship(self, which: int, how: int, facts: dict[str, Any]) -> None:
        standing = [
            row["id"]
            for row in self._rows(which, "lightships")
            if row["superseded_by"] is None and row["basis"] == facts["basis"]
        ]
        named = {"supersedes": standing[0], **REASON} if standing else {}
        self.post(self.one(which), "lightships", facts | named | {"mass_t": MASSES_T[how % len(MASSES_T)]})

    def _rows(self, which: int, what: str) -> list[dict[str, Any]]:
        found: list[dict[str, Any]] = self.api.get(f"/vessels/{self.one(which)}/{what}").get_json().get("items", [])
        return found

    def alter(self, which: int, how: int) -> None:
        """Something was fitted, or what was said of it is corrected or withdrawn."""
        facts = FITTED | {"mass_t": 10.0 * (1 + how % 4)}
        standing = [row["id"] for row in self._rows(which, "alterations") if row["corrected_by"] is None]
        if how % 3 and standing:
            facts |= {"corrects": standing[0], "withdrawn": how % 3 == 1, **REASON}
        self.post(self.one(which), "alterations", facts)

    def roll_back(self, which: int, how: int) -> None:
        """A whole history is refused for its last entry, while another process is asked."""
        entries = [{"vessel_id": self.one(which), "alteration": FITTED | {"mass_t": 300.0}}]
        body = {"entries": [*entries, {"vessel_id": "0" * 32, "alteration": FITTED | {"mass_t": 1.0}}]}
        assert self.api.post("/history", body).status_code == 404

    def pass_days(self, which: int, how: int) -> None:
        """It is another day."""
        self.day = DAYS[how % len(DAYS)]

    def back_up(self, which: int, how: int) -> None:
        """The database is written to a file."""
        self.kept = list(self.vessels)
        write_archive(engine_of(self.api.client.application), self.archive)

    def restore(self, which: int, how: int) -> None:
        """The database is as it was when it was last written to a file; the processes go on."""
        engine = engine_of(self.api.client.application)
        with engine.begin() as connection:
            for table in reversed(Base.metadata.sorted_tables):
                connection.execute(table.delete())
        load_archive(engine, self.archive)
        self.vessels = list(self.kept)

    def check(self) -> None:
        """Each process answers each caller as one that has kept nothing."""
        asked = [(self.tokens[0], question) for question in QUESTIONS] + [(token, "") for token in self.tokens[1:]]
        for token, question in asked:
            self._empty(self.fresh)
            expected = self.answer(self.fresh, token, question)
            for worker in self.workers:
                assert self.answer(worker, token, question) == expected, question

    @staticmethod
    def answer(app: Flask, token: str, question: str) -> dict[str, Any]:
        """What a caller is told of the fleet, page after page."""
        api, items, cursor = Api(app.test_client(), token), [], ""
        while cursor is not None:
            page = api.get(f"/fleet/drift?{question}{cursor}")
            assert page.status_code == 200, page.get_data()
            items += page.get_json()["items"]
            cursor = page.get_json()["next_cursor"] and f"&cursor={page.get_json()['next_cursor']}"
        return {"items": items}

    @staticmethod
    def _empty(app: Flask) -> None:
        app.extensions["heelwright"] = dataclasses.replace(app.extensions["heelwright"], rankings=Rankings())


DEEDS: Sequence[Callable[[World, int, int], None]] = (
    World.enter,
    World.remove,
    World.change,
    World.change,
    World.test_approved,
    World.survey,
    World.alter,
    World.roll_back,
    World.pass_days,
    World.back_up,
    World.restore,
)
numbers = st.integers(0, 20)
# A shorter history that fails is seldom worth the minutes of looking for it: each step asks three processes.
lived = settings(deadline=None, phases=(Phase.explicit, Phase.generate), suppress_health_check=[HealthCheck.too_slow])
histories = st.lists(st.tuples(st.sampled_from(DEEDS), numbers, numbers), min_size=4, max_size=8)


@contextmanager
def world(url: str, folder: Path) -> Iterator[World]:
    with pytest.MonkeyPatch.context() as monkeypatch:
        made = World(url, folder, monkeypatch)
        yield made
        made.close()


def lived_through(made: World, history: Sequence[tuple[Callable[[World, int, int], None], int, int]]) -> None:
    made.check()
    for deed, which, how in history:
        deed(made, which, how)
        made.check()


@settings(lived, max_examples=8)
@given(history=histories)
def test_what_is_kept_is_what_would_be_worked_out(history: list[Any]) -> None:
    with TemporaryDirectory() as folder, world(migrated_sqlite(Path(folder)), Path(folder)) as made:
        lived_through(made, history)


@pytest.mark.postgres
@settings(lived, max_examples=2)
@given(history=histories)
def test_what_is_kept_is_what_would_be_worked_out_on_a_database_server(
    postgres_cluster: Cluster, history: list[Any]
) -> None:
    with TemporaryDirectory() as folder, world(postgres_cluster.migrated(), Path(folder)) as made:
        lived_through(made, history)


def test_a_restored_fleet_is_ordered_by_what_happened_after(tmp_path: Path) -> None:
    """As many changes, of another vessel: counting them does not tell the two fleets apart."""
    with world(migrated_sqlite(tmp_path), tmp_path) as made:
        for vessel, mass in zip(made.vessels, (1290.0, 1201.0), strict=False):
            made.post(vessel, "lightships", SURVEYED | {"mass_t": mass})
        made.back_up(0, 0)
        made.api.patch(f"/vessels/{made.vessels[1]}", {"kind": "cargo"}, If_Match="*")
        made.check()
        made.restore(0, 0)
        made.api.patch(f"/vessels/{made.vessels[0]}", {"kind": None}, If_Match="*")
        made.check()
