"""Vessels and alterations on the command line, against the real application."""

from __future__ import annotations

import json
from pathlib import Path

from heelwright_client.demo.forms import Form, hull

from tests.client.conftest import Shell


def add(shell: Shell, name: str = "Tarnfield", *options: str) -> str:
    return str(shell.json("vessels", "add", name, "--kind", "cargo", "--length-bp-m", "80", *options)["id"])


def test_without_vessels_the_next_step_is_told(shell: Shell) -> None:
    status, out, _ = shell("vessels", "list")
    assert (status, "heelwright vessels add" in out) == (0, True)


def test_a_vessel_that_was_added_is_listed_and_shown(shell: Shell) -> None:
    identity = add(shell, "Tarnfield", "--imo-number", "0100006", "--fleet", "north")
    _, listed, _ = shell("vessels", "list")
    assert all(text in listed for text in ("Tarnfield", "0100006", "north", "80.00 m", identity))
    for name in ("tarnfield", "0100006", "IMO 0100006", identity):
        status, shown, _ = shell("vessels", "show", name)
        assert status == 0
        assert "Tarnfield (cargo)" in shown
        assert "No lightships yet." in shown


def test_a_list_can_be_of_one_fleet(shell: Shell) -> None:
    add(shell, "Tarnfield", "--fleet", "north")
    add(shell, "Oxwater", "--fleet", "south")
    names = [vessel["name"] for vessel in shell.json("vessels", "list", "--fleet", "south")["items"]]
    assert names == ["Oxwater"]


def test_a_wrong_check_digit_is_refused_with_its_field(shell: Shell) -> None:
    status, out, err = shell("vessels", "add", "Tarnfield", "--imo-number", "0100007")
    assert (status, out) == (1, "")
    assert "/imo_number" in err


def test_for_machines_a_refusal_is_the_problem_document(shell: Shell) -> None:
    status, out, err = shell("--json", "vessels", "add", "Tarnfield", "--imo-number", "0100007")
    assert (status, out) == (1, "")
    problem = json.loads(err)
    assert problem["status"] == 422
    assert problem["errors"][0]["pointer"] == "/imo_number"


def test_a_length_may_be_given_in_feet_when_the_unit_is_written(shell: Shell) -> None:
    add(shell, "Tarnfield", "--breadth-m", "50 ft")
    [vessel] = shell.json("vessels", "list")["items"]
    assert vessel["breadth_m"] == 15.24


def test_a_length_in_an_unknown_unit_is_a_mistake_in_usage(shell: Shell) -> None:
    status, _, err = shell("vessels", "add", "Tarnfield", "--breadth-m", "50 fathoms")
    assert status == 2
    assert "fathoms" in err


def test_a_name_that_two_vessels_bear_is_not_guessed(shell: Shell) -> None:
    first, second = add(shell), add(shell)
    status, _, err = shell("vessels", "show", "Tarnfield")
    assert status == 1
    assert first in err
    assert second in err
    assert shell("vessels", "show", first)[0] == 0


def test_a_vessel_that_is_not_there_is_refused_with_the_next_step(shell: Shell) -> None:
    status, _, err = shell("vessels", "show", "Nobody")
    assert status == 1
    assert "heelwright vessels list" in err


def test_a_hull_is_stored_and_stored_again(shell: Shell, tmp_path: Path) -> None:
    add(shell)
    file = tmp_path / "hull.json"
    for breadth in (14.0, 14.2):
        file.write_text(json.dumps(hull(Form(80.0, breadth, 7.0))))
        status, out, err = shell("vessels", "put", "Tarnfield", "hull", str(file))
        assert status == 0, err
    assert "Stored a new version of the hull of the Tarnfield." in out


def test_a_sister_is_named_by_her_leads_name(shell: Shell) -> None:
    lead = add(shell, "Tarnfield")
    add(shell, "Tarnholm", "--sister-of", "Tarnfield")
    found = {vessel["name"]: vessel["sister_of"] for vessel in shell.json("vessels", "list")["items"]}
    assert found["Tarnholm"] == lead


def log(shell: Shell, *options: str) -> tuple[int, str, str]:
    where = ["--x-m", "12", "--y-m", "-1.5", "--z-m", "6"]
    return shell("alterations", "add", "Tarnfield", "--date", "2024-05-01", "--mass-t", "2.5", *where, *options)


def test_an_alteration_is_logged_and_listed_in_words(shell: Shell) -> None:
    add(shell)
    assert log(shell, "--kind", "added", "--description", "deck crane")[0] == 0
    _, out, _ = shell("alterations", "list", "Tarnfield")
    row = next(line for line in out.splitlines() if "deck crane" in line)
    assert all(text in row for text in ("added", "2.50 t", "12.000 m fwd of AP", "1.500 m P", "6.000 m above base"))
    assert "-" not in row.replace("2024-05-01", "")


def test_a_relocation_shows_both_places(shell: Shell) -> None:
    add(shell)
    assert log(shell, "--kind", "relocated", "--to-x-m", "70", "--to-y-m", "0", "--to-z-m", "5")[0] == 0
    _, out, _ = shell("alterations", "list", "Tarnfield")
    assert "70.000 m fwd of AP" in out


def test_a_relocation_without_a_place_to_go_is_refused(shell: Shell) -> None:
    add(shell)
    status, _, err = log(shell, "--kind", "relocated")
    assert status == 1
    assert "/to_x_m" in err


def test_without_a_log_that_is_said(shell: Shell) -> None:
    add(shell)
    assert "No alterations" in shell("alterations", "list", "Tarnfield")[1]
