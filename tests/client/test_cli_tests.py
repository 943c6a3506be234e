"""`heelwright tests`: every step of a test from the command line, against the real application."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import pytest
from heelwright_client import cli
from heelwright_client.stability_tests import StabilityTests
from heelwright_client.wsgi_transport import WsgiTransport

from tests.client.conftest import Shell, application_of
from tests.support.app import new_token
from tests.support.campaign import (
    DAY,
    client_of,
    enter_vessel,
    permit,
    plan_document,
    simulated,
    soundings,
    tank_plan_document,
)


@pytest.fixture
def record() -> dict[str, Any]:
    return simulated()


@pytest.fixture
def vessel(transport: WsgiTransport, record: dict[str, Any]) -> str:
    return enter_vessel(client_of(application_of(transport), "admin", "Fleet office"), record)


@pytest.fixture
def test_id(shell: Shell, vessel: str) -> str:
    opened = shell.json("tests", "open", "Ebb Tern", "--kind", "inclining-test", "--title", "Five-year inclining")
    return str(opened["id"])


def written(folder: Path, name: str, document: object) -> str:
    path = folder / name
    path.write_text(json.dumps(document))
    return str(path)


def test_a_test_is_planned_answered_and_prepared_from_the_shell(
    shell: Shell, test_id: str, record: dict[str, Any], tmp_path: Path
) -> None:
    status, out, _ = shell("tests", "show", test_id)
    assert status == 0
    assert "to procedure-issued is missing" in out
    assert shell("tests", "plan", test_id, written(tmp_path, "plan.json", plan_document(record)))[0] == 0
    out = shell("tests", "plan", test_id)[1]
    for told in (DAY, "North basin", "R. Osei", "W-1 to W-4", "STOP", " m P", "trunk 0", "Muster"):
        assert told in out
    status, out, _ = shell("tests", "tanks", test_id, written(tmp_path, "tanks.json", tank_plan_document(record)))
    assert status == 0
    status, out, _ = shell("tests", "calendar", test_id)
    assert status == 1  # the invented date lies in the past, so its tasks are overdue
    assert "2024-05-08" in out
    assert shell("tests", "prepare", test_id, "--generate")[0] == 1
    told = shell(
        "tests", "answer", test_id, "FO 1P", "cannot", "--by", "Chief engineer", "--on", "2024-05-01",
        "--reason", "pump ashore", "--offered-state", "slack", "--offered-sounding-m", "0.6",
        "--offered-density-t-per-m3", "0.86",
    )  # fmt: skip
    assert "free-surface moment" in told[1]
    assert shell("tests", "replan", test_id)[0] == 0
    assert "tank/FO 1P/slack" in shell("tests", "prepare", test_id)[1]
    assert shell("tests", "tick", test_id, "bilges", "--remarks", "dry")[0] == 0
    status, out, _ = shell("tests", "procedure", test_id)
    assert status == 0, out
    assert "STOP" in out
    assert shell("tests", "move", test_id, "procedure-issued")[0] == 0
    assert "procedure-issued" in shell("tests", "list", "Ebb Tern")[1]
    status, _, err = shell("tests", "move", test_id, "survey-day")
    assert status == 1
    assert "preparing" in err


def test_the_ship_is_asked_whether_one_can_start(
    shell: Shell, test_id: str, record: dict[str, Any], tmp_path: Path
) -> None:
    shell("tests", "plan", test_id, written(tmp_path, "plan.json", plan_document(record)))
    shell("tests", "tanks", test_id, written(tmp_path, "tanks.json", tank_plan_document(record)))
    shell("tests", "prepare", test_id, "--generate")
    for stage in ("procedure-issued", "preparing"):
        assert shell("tests", "move", test_id, stage)[0] == 0
    found = {"items": soundings(record)}
    assert "Entered 7" in shell("tests", "enter", test_id, "soundings", written(tmp_path, "s.json", found))[1]
    status, out, _ = shell("tests", "readiness", test_id)
    assert status == 1
    assert "gas-free/WB 3P" in out
    assert "Cannot be waived" in out
    shell("tests", "enter", test_id, "permits", written(tmp_path, "p.json", permit()))
    assert "gas-free" not in shell("tests", "readiness", test_id)[1]
    item = {"description": "Paint drums", "kind": "surplus", "mass_t": 1.2, "x_m": 55.0, "y_m": 0.4, "z_m": 6.4}
    status, out, _ = shell("tests", "enter", test_id, "items", written(tmp_path, "i.json", item))
    assert "too light than too heavy" in out
    status, out, _ = shell("tests", "survey", test_id)
    assert status == 0
    assert "If the heaviest are landed" in out
    [entry] = shell.json("tests", "entries", test_id, "items")["items"]
    assert shell("tests", "withdraw", test_id, "items", entry["entry_id"], "--reason", "landed")[0] == 0
    assert "landed" in shell("tests", "entries", test_id, "items")[1]
    assert shell("tests", "running", test_id)[0] == 0


def test_an_old_record_goes_in_is_reduced_reviewed_approved_and_comes_out_the_same(
    shell: Shell, transport: WsgiTransport, vessel: str, record: dict[str, Any], tmp_path: Path
) -> None:
    old = {**record, "test": {"date": "2021-06-01"}}
    source = written(tmp_path, "old.json", old)
    entered = shell.json("tests", "import", "Ebb Tern", source, "--source", "paper of 2021")
    test_id = str(entered["id"])
    status, out, _ = shell("tests", "reduce", test_id)
    assert "neither reviewed nor approved" in out
    assert "Lightship of" in out
    for stage in ("preliminary-result", "under-review"):
        assert shell("tests", "move", test_id, stage)[0] == 0
    status, out, _ = shell("tests", "review", test_id)
    assert status == 1
    assert "Open: RR-" in out
    assert shell.json("tests", "result", test_id)["matches_record"] is True
    for finding in open_findings(shell, test_id):
        assert shell("tests", "settle", test_id, finding, "not in the paper", "--by", "K. Lund")[0] == 0
    assert shell("tests", "review", test_id)[0] == 0
    page = shell("tests", "interim", test_id, "--limit", "No deck cargo.", "--days", "30")[1]
    assert "no approval" in page
    assert shell("tests", "put-back", test_id)[0] == 0
    status, _, err = shell("tests", "approve", test_id, "--name", "The same person")
    assert status == 1
    assert "second person" in err
    other = Shell(transport, new_token(application_of(transport), "approver", name="P. Renard"), shell.capsys)
    status, out, err = other("tests", "approve", test_id, "--name", "P. Renard")
    assert (status, "Approved by P. Renard" in out) == (0, True), err
    target = tmp_path / "out.json"
    assert shell("tests", "export", test_id, "-o", str(target))[0] == 0
    whole = json.loads(target.read_text())
    assert whole.pop("campaign")["test"]["record_source"] == "paper of 2021"
    assert whole == old
    assert shell("tests", "export", test_id, "--record-only", "-o", str(target))[0] == 0
    assert json.loads(target.read_text()) == old


def test_every_call_on_tests_has_its_command() -> None:
    """Reading the client's methods and the commands' text: none may be left to Python alone."""
    folder = Path(cli.__file__).parent
    text = "".join(path.read_text() for path in folder.glob("tests_*.py"))
    methods = {name for name in dir(StabilityTests) if not name.startswith("_")}
    others = {"part", "store", "add"} | {"action", "entry"}  # by path; one row of a list that a command shows whole
    called = set(re.findall(r"(?:tests|calls)\.(\w+)\(", text))
    assert methods - called - others == set()


def test_a_row_of_the_advisory_survey_is_confirmed_on_the_survey_day(
    shell: Shell, test_id: str, record: dict[str, Any], tmp_path: Path
) -> None:
    shell("tests", "plan", test_id, written(tmp_path, "plan.json", plan_document(record)))
    shell("tests", "tanks", test_id, written(tmp_path, "tanks.json", tank_plan_document(record)))
    shell("tests", "prepare", test_id, "--generate")
    what = ("--what", "Pump the bilges", "--why", "free water", "--verify", "seen dry", "--who", "chief engineer")
    assert "own/" in shell("tests", "add-item", test_id, *what)[1]
    for stage in ("procedure-issued", "preparing", "advisory-survey"):
        assert shell("tests", "move", test_id, stage)[0] == 0
    assert "hull 1" in shell("tests", "pin", test_id)[1]
    item = {"description": "Paint drums", "kind": "surplus", "mass_t": 1.2, "x_m": 55.0, "y_m": 0.4, "z_m": 6.4}
    facts = written(tmp_path, "i.json", {**item, "survey": "advisory"})
    [entry] = shell.json("tests", "enter", test_id, "items", facts)["items"]
    close = written(tmp_path, "c.json", {"what": "advisory-survey", "name": "K. Lund"})
    shell("tests", "enter", test_id, "closings", close)
    shell("tests", "move", test_id, "survey-day")
    status, out, _ = shell("tests", "confirm", test_id, entry["entry_id"], "--mass-t", "900 kg")
    assert (status, "0.900 t" in out) == (0, True)


def test_actions_and_the_boundary_are_told(shell: Shell, vessel: str) -> None:
    assert shell("tests", "actions", "Ebb Tern")[:2] == (0, "Nothing is open.\n")
    shell("tests", "boundary", "Ebb Tern", "--class", "nets", "--counts", "load", "--by", "Owner", "--on", "2020-01-01")
    assert "nets" in shell("tests", "boundary", "Ebb Tern")[1]


def open_findings(shell: Shell, test_id: str) -> list[str]:
    _, out, _ = shell("--json", "tests", "review", test_id)
    found: list[str] = json.loads(out)["open"]
    return found


def test_moved_water_is_entered_in_one_line_and_a_correction_needs_its_reason(shell: Shell, test_id: str) -> None:
    moved = ("--state", "1", "--from", "WB P", "1.0", "80 cm", "--to", "WB S", "1.0", "1.2")
    status, _, err = shell("tests", "ballast-move", test_id, *moved)
    assert status == 1  # the service's answer: this test has no states yet
    assert "planned" in err
    status, _, err = shell("tests", "ballast-move", test_id, *moved, "--corrects", "0123456789abcdef")
    assert status == 2
    assert "--reason" in err
    assert shell("tests", "entries", test_id, "ballast-moves")[0] == 0
