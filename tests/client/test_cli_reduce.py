"""`heelwright reduce` against the real application."""

from __future__ import annotations

import json
import re
import xml.etree.ElementTree as ElementTree
from pathlib import Path
from typing import Any

import pytest
from heelwright_client.client import Client
from heelwright_client.demo.documents import TEST_DAY, carried

from tests.client.conftest import Shell

TRUTH = json.loads(Path(__file__).with_name("merrowdale-truth.json").read_text())


@pytest.fixture
def record() -> dict[str, Any]:
    return carried(TEST_DAY)


def written(record: dict[str, Any], folder: Path) -> str:
    path = folder / "record.json"
    path.write_text(json.dumps(record))
    return str(path)


def test_the_carried_test_day_holds_the_truth_that_it_was_simulated_from(
    shell: Shell, record: dict[str, Any], tmp_path: Path
) -> None:
    answer = shell.json("reduce", written(record, tmp_path))
    found = answer["uncertainty"]["quantities"]
    for name, value in TRUTH["lightship"].items():
        assert found[name]["low_95"] <= value <= found[name]["high_95"], name
    assert found["gm_fluid_m"]["low_95"] <= TRUTH["gm_fluid_m"] <= found["gm_fluid_m"]["high_95"]


def test_people_read_words_for_signs_digits_by_uncertainty_and_the_checks(
    shell: Shell, record: dict[str, Any], tmp_path: Path
) -> None:
    status, out, err = shell("reduce", written(record, tmp_path))
    assert status == 0, err
    assert re.search(r"^Lightship of the Merrowdale \(method: heeled-equilibrium\)$", out, re.MULTILINE)
    assert re.search(r"VCG +4\.3\d\d\d m above base +4\.3\d\d\d m to 4\.3\d\d\d m", out)
    assert re.search(r"TCG +0\.0\d+ m S ", out)
    assert "m by the stern" in out
    assert re.search(r"Checks: .*pass", out)
    assert "residuals, " in out
    assert "Unsafe side" in out


def test_us_units_are_shown_and_machines_get_si_all_the_same(
    shell: Shell, record: dict[str, Any], tmp_path: Path
) -> None:
    path = written(record, tmp_path)
    _, out, _ = shell("--units", "us", "reduce", path)
    assert re.search(r"mass +1\u202f44\d(\.\d)? LT", out)
    assert re.search(r"draught aft, mid, fwd +\d+ ft \d+", out)
    plain, us = (shell.json(*units, "reduce", path, "--uncertainty", "none") for units in ((), ("--units", "us")))
    assert plain["lightship"] == us["lightship"]


def test_machines_get_the_services_answer_undecorated(
    shell: Shell, heelwright: Client, record: dict[str, Any], tmp_path: Path
) -> None:
    answer = shell.json("reduce", written(record, tmp_path), "--method", "small-angle", "--uncertainty", "none")
    direct = heelwright.reductions.compute(record, method="small-angle", uncertainty="none")
    for part in ("lightship", "as_inclined", "small_angle", "checks", "cautions"):
        assert answer[part] == direct[part]


def test_a_monte_carlo_with_a_seed_is_repeatable(shell: Shell, record: dict[str, Any], tmp_path: Path) -> None:
    arguments = ("reduce", written(record, tmp_path), "--uncertainty", "monte-carlo", "--draws", "200", "--seed", "7")
    first, second = shell.json(*arguments), shell.json(*arguments)
    assert first["uncertainty"] == second["uncertainty"]
    assert first["uncertainty"]["draws"] == 200


def test_a_failed_check_is_first_in_the_table_and_in_the_exit_status(
    shell: Shell, record: dict[str, Any], tmp_path: Path
) -> None:
    record["states"] = [state for state in record["states"] if state["number"] < 4]  # weights to starboard only
    record["readings"] = [reading for reading in record["readings"] if reading["state"] < 4]
    status, out, _ = shell("reduce", written(record, tmp_path))
    assert status == 1
    table = out[out.index("Checks: ") :].splitlines()
    assert re.match(r"Checks: \d+ fail", table[0])
    assert table[2].strip().startswith("fail")


def test_every_check_is_shown_in_full_when_asked_for(shell: Shell, record: dict[str, Any], tmp_path: Path) -> None:
    path = written(record, tmp_path)
    quick = ("reduce", path, "--uncertainty", "none")
    checks = shell.json(*quick)["checks"]
    short, full = shell(*quick)[1], shell(*quick, "--all-checks")[1]
    assert all(f"[{check['id']}]" in full.replace("\n", "") for check in checks)
    assert all(check["id"] in short.replace("\n    ", " ") for check in checks)


def test_without_readings_there_is_no_vcg_rather_than_a_zero(
    shell: Shell, record: dict[str, Any], tmp_path: Path
) -> None:
    survey = {key: value for key, value in record.items() if key not in ("readings", "instruments")}
    survey["states"] = record["states"][:1]
    _, out, err = shell("reduce", written(survey, tmp_path))
    assert re.search(r"VCG +not known", out), out + err
    assert "lightweight survey" in out
    assert "Moment line" not in out


def test_the_moment_line_is_drawn(shell: Shell, record: dict[str, Any], tmp_path: Path) -> None:
    picture = tmp_path / "line.svg"
    assert shell("reduce", written(record, tmp_path), "--uncertainty", "none", "--plot", str(picture))[0] == 0
    root = ElementTree.fromstring(picture.read_text())
    assert root.tag.endswith("svg")
    words = "".join(root.itertext())
    assert all(text in words for text in ("Merrowdale", "P1", "P2", "I3", "to port", "to starboard", "10 times"))


def test_a_name_with_markup_in_it_stays_a_name(shell: Shell, record: dict[str, Any], tmp_path: Path) -> None:
    record["vessel"]["name"] = "<script>[/red]&"
    picture = tmp_path / "line.svg"
    status, out, _ = shell("reduce", written(record, tmp_path), "--uncertainty", "none", "--plot", str(picture))
    assert status == 0
    assert "<script>[/red]&" in out
    assert "<script>" not in picture.read_text()
    ElementTree.fromstring(picture.read_text())


def test_a_refused_record_names_the_field(shell: Shell, record: dict[str, Any], tmp_path: Path) -> None:
    record["draughts"][0]["reading_m"] = "3.32"
    status, out, err = shell("reduce", written(record, tmp_path))
    assert (status, out) == (1, "")
    assert "/draughts/0/reading_m" in err


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("", "is not JSON"),
        ("[]", "one JSON object"),
        ('{"a": 1, "a": 2}', "'a' stands twice"),
        ('{"a": NaN}', "NaN is not a number"),
        ('{"a": 1e999}', "1e999 is not a number"),
        ("[" * 100_000, "nested too deeply"),
    ],
)
def test_a_file_that_is_no_record_is_refused_before_it_is_sent(
    shell: Shell, tmp_path: Path, text: str, told: str
) -> None:
    path = tmp_path / "record.json"
    path.write_text(text)
    status, _, err = shell("reduce", str(path))
    assert status == 1
    assert told in err
    assert "record.json" in err


def test_a_file_that_is_not_there_is_told(shell: Shell) -> None:
    status, _, err = shell("reduce", "absent.json")
    assert status == 1
    assert "absent.json: cannot be read" in err
