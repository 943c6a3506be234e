"""A whole test leaves one installation as a file, and comes out of others, on the other database, as it went in."""

from __future__ import annotations

import copy
import json
from collections.abc import Iterator
from contextlib import ExitStack
from pathlib import Path
from typing import Any

import pytest
from heelwright_client.client import Client
from heelwright_client.errors import RefusedError
from heelwright_service.store.canonical import canonical_json, sha256_of

from tests.support.app import engine_of, make_app, migrated_sqlite, new_token, served
from tests.support.box_test import Bench, bench
from tests.support.postgres import Cluster

pytestmark = pytest.mark.postgres
WALKED = {"kind": "people-walk", "text": "two men walked", "mass_t": 0.16, "distance_m": 4.0}
DRUMS = {"description": "Paint drums", "kind": "surplus", "mass_t": 0.2, "x_m": 40.0, "y_m": 0.5, "z_m": 5.6,
         "item_class": "paint", "survey": "advisory"}  # fmt: skip
BOUNDARY = {"item_class": "paint", "counts": "load", "decided_by": "Owner", "decided_on": "2020-01-01"}


@pytest.fixture(scope="module")
def sent(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Bench, dict[str, Any]]]:
    """A test that was carried through to its approval, with everything that a test can have, and its file."""
    with bench(tmp_path_factory.mktemp("first") / "here") as made:
        for name, step in made.everything().items():
            if name == "advisory survey":
                made.crew.first.tests.enter(made.test_id, "items", DRUMS)
                made.crew.planner.tests.decide_boundary(made.vessel_id, BOUNDARY)
            if name == "survey":
                [row] = made.crew.first.tests.entries(made.test_id, "items")
                made.crew.first.tests.tick(made.test_id, row["entry_id"], 0.18)
            if name == "signatures":
                depart_and_correct(made)
            step()
        yield made, made.crew.planner.tests.file(made.test_id)


def depart_and_correct(made: Bench) -> None:
    """A departure that is accepted, a reservation, a corrected reading, a waiver, a certificate that came late."""
    first, planner, t = made.crew.first.tests, made.crew.planner.tests, made.test_id
    walked = first.enter(t, "deviations", WALKED)
    planner.decide(t, walked["entry_id"], {"decision": "accept", "name": "R. Osei", "witness": "L. Brandt"})
    first.enter(t, "reservations", {"topic": "night", "applies": False})
    last = list(first.entries(t, "readings"))[-1]
    facts = {name: last[name] for name in ("state", "instrument", "value_mm")}
    first.enter(t, "readings", {**facts, "corrects": last["entry_id"], "reason": "misheard"})
    planner.enter(t, "waivers", {"point": "model-acceptance", "name": "K. Lund", "reason": "sheet follows"})
    first.enter(t, "certificates", {"kind": "scale-certificate", "name": "S-4", "valid_until": "2024-12-31"})


def in_another(stack: ExitStack, url: str) -> Client:
    """A served installation on a database, with a planner's client."""
    app = make_app(url)
    stack.callback(engine_of(app).dispose)
    address = stack.enter_context(served(app))
    return Client(address, new_token(app, "planner", name="T. Novak"))


def imported(client: Client, file: dict[str, Any]) -> str:
    """Enter a file in a fresh installation and return the test's id there."""
    facts = {"name": "Cedar", "kind": "cargo", "length_bp_m": 50.0, "length_m": 50.0, "breadth_m": 12.0, "depth_m": 5.0}
    vessel = client.vessels.create(facts).document["id"]
    source = {"origin": "entered-record", "record_source": "file of the first office"}
    opened = client.tests.open(vessel, "inclining-test", **source).document["id"]
    client.tests.put_record(opened, file)
    return str(opened)


def without_custody(file: dict[str, Any]) -> bytes:
    """The bytes of a file but for who has had it."""
    return canonical_json({**file, "campaign": {**file["campaign"], "custody": []}})


def test_the_file_carries_everything_of_the_test(sent: tuple[Bench, dict[str, Any]]) -> None:
    made, file = sent
    campaign = file["campaign"]
    assert file["vessel"]["hull"]["stations"]
    assert campaign["test"]["stage"] == "approved"
    assert campaign["plan"]["moves"]["weights"]
    assert campaign["tank_plan"]["tanks"][0]["tank"] == "Void"
    assert {item["state"] for item in campaign["preparations"]} == {"done"}
    assert [row["item_class"] for row in campaign["boundary_register"]] == ["paint"]
    assert campaign["result"]["record_sha256"] == sha256_of({k: v for k, v in file.items() if k != "campaign"})
    kinds = [each["kind"] for each in campaign["entries"]]
    assert {"stage", "closing", "person", "weight", "item", "deviation", "decision", "reservation", "signature",
            "waiver", "certificate", "review-answer", "approval"} <= set(kinds)  # fmt: skip
    moves = [(e["document"]["from"], e["document"]["to"]) for e in campaign["entries"] if e["kind"] == "stage"]
    assert moves[0] == ("planned", "procedure-issued")
    assert all(each["recorded_by"] and each["recorded_at"] for each in campaign["entries"])
    assert [each["reason"] for each in campaign["entries"] if each["corrects"]] == ["misheard"]
    assert "token" not in json.dumps(campaign)
    assert made.stage == "approved"


def test_it_goes_round_by_the_other_database_and_back_unchanged(
    sent: tuple[Bench, dict[str, Any]], postgres_cluster: Cluster, tmp_path: Path
) -> None:
    _, file = sent
    with ExitStack() as stack:
        second = in_another(stack, postgres_cluster.migrated())
        there = imported(second, file)
        assert canonical_json(second.tests.record(there).document) == canonical_json(file)
        again = second.tests.file(there)
        assert without_custody(again) == without_custody(file)
        [row] = again["campaign"]["custody"]
        assert (row["source"], row["imported_by"], row["sha256"]) == (
            "file of the first office", "T. Novak", sha256_of(file),
        )  # fmt: skip

        third = in_another(stack, migrated_sqlite(tmp_path))
        back = third.tests.file(imported(third, again))
        assert without_custody(back) == without_custody(file)
        assert canonical_json(back["campaign"]["custody"][:1]) == canonical_json([row])
        assert len(back["campaign"]["custody"]) == 2


def test_what_was_signed_and_approved_there_is_a_statement_here(
    sent: tuple[Bench, dict[str, Any]], tmp_path: Path
) -> None:
    _, file = sent
    with ExitStack() as stack:
        other = in_another(stack, migrated_sqlite(tmp_path))
        test_id = imported(other, file)
        test = other.tests.get(test_id).document
        assert (test["stage"], test["date"]) == ("planned", "2024-05-15")
        assert (test["imported"]["stage_there"], test["imported"]["approved_there_by"]) == ("approved", "P. Renard")
        with pytest.raises(RefusedError):
            other.tests.move(test_id, "under-review")
        result = other.tests.reduce(test_id)["result"]
        assert result["provenance"]["record_sha256"] == file["campaign"]["result"]["record_sha256"]
        assert result["lightship"]["mass_t"] == pytest.approx(file["campaign"]["result"]["lightship"]["mass_t"])
        found = {each["id"]: each for each in other.tests.review(test_id)["findings"]}
        assert found["RR-21"]["status"] == "warn"
        assert "By the word of the imported file" in found["RR-21"]["text"]
        assert found["RR-05"]["status"] == "warn"
        assert "R. Osei" in found["RR-05"]["text"]
        assert found["RR-20"]["status"] == "pass"
        with pytest.raises(RefusedError) as error:
            other.tests.approval(test_id)
        assert error.value.status == 404


def test_a_file_is_taken_wherever_a_record_is_taken(sent: tuple[Bench, dict[str, Any]]) -> None:
    made, file = sent
    bare = {name: part for name, part in file.items() if name != "campaign"}
    reduce = made.crew.planner.reductions.compute
    one, other = (reduce(document, uncertainty="none") for document in (file, bare))
    assert one["lightship"] == other["lightship"]
    assert one["provenance"]["record_sha256"] == other["provenance"]["record_sha256"]
    assert made.crew.planner.deviations.price({"record": file, "deviations": [{k: v for k, v in WALKED.items()
                                                                             if k != "text"}]})["items"]  # fmt: skip


@pytest.mark.parametrize(
    ("path", "value", "pointer"),
    [
        (("campaign", "stage"), "approved", "/campaign/stage"),
        (("campaign", "entries", 0, "document"), "x", "/campaign/entries/0/document"),
        (("campaign", "plan", "date"), "soon", "/campaign/plan/date"),
        (("campaign", "test", "kind"), "lightweight-survey", "/campaign/test/kind"),
        (("campaign", "custody"), None, "/campaign/custody"),
        (("campaign", "plan", "rule_set"), "no-such-rules", "/campaign/plan/rule_set"),
        (("campaign", "entries", 0, "document", "x"), 10**400, "/campaign/entries/0/document"),
        (("campaign", "entries", 0, "document", "x"), "\x00", "/campaign/entries/0/document"),
    ],
)
def test_a_file_that_was_tampered_with_is_refused_by_its_field(
    sent: tuple[Bench, dict[str, Any]], tmp_path: Path, path: tuple[Any, ...], value: object, pointer: str
) -> None:
    _, file = sent
    changed = copy.deepcopy(file)
    inner: Any = changed
    for step in path[:-1]:
        inner = inner[step]
    inner[path[-1]] = value
    with ExitStack() as stack:
        other = in_another(stack, migrated_sqlite(tmp_path))
        with pytest.raises(RefusedError) as error:
            imported(other, changed)
        assert error.value.status == 422
        assert any(each.pointer.startswith(pointer) for each in error.value.errors)
