"""`heelwright plan` against the real application."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest
from heelwright_client.client import Client
from heelwright_client.demo.documents import WEIGHT_PLAN, carried

from tests.client.conftest import Shell

OPTIONS = (
    "--displacement-t", "1480", "--gm-m", "1.05", "--breadth-m", "11.05", "--depth-m", "7.52", "--draught-m", "3.11",
    "--position", "30.6:-4:4:8.02", "--position", "34.9:-4:4:8.02",
    "--weight-step-t", "0.25", "--weights-count", "4",
    "--instrument", "P1:pendulum:4.5:1", "--instrument", "P2:pendulum:4.0:1",
)  # fmt: skip


@pytest.fixture
def request_file(tmp_path: Path) -> str:
    path = tmp_path / "request.json"
    path.write_text(json.dumps(carried(WEIGHT_PLAN)))
    return str(path)


def test_a_plan_is_read_in_words(shell: Shell, request_file: str) -> None:
    status, out, err = shell("plan", request_file)
    assert status == 0, err
    assert re.match(r"Plan: \d weights, [\d.]+ t in all; \d+ lifts, about \d+ minutes\n", out)
    assert re.search(r"Heel \d\.\d° at most \(between \d\.\d° and \d\.\d°\)", out)
    assert re.search(r"\d\.\d° to port ", out)
    assert re.search(r"t·m to starboard", out)
    assert "none: first reading" in out
    assert re.search(r"^Checks: .*pass", out, re.MULTILINE)


def test_every_lift_of_the_table_is_one_weight_across_the_deck(shell: Shell, request_file: str) -> None:
    answer = shell.json("plan", request_file)
    _, out, _ = shell("plan", request_file)
    for state in answer["states"][1:]:
        side = "to starboard" if state["lift"]["to"][1] > state["lift"]["from"][1] else "to port"
        assert f"{state['lift']['weight']} {side}" in out


def test_machines_get_the_services_answer(shell: Shell, heelwright: Client, request_file: str) -> None:
    assert shell.json("plan", request_file) == heelwright.weight_plans.compute(carried(WEIGHT_PLAN))


def test_options_make_the_request_without_a_file(shell: Shell, heelwright: Client) -> None:
    request = {
        "displacement_t": 1480.0, "gm_m": 1.05, "breadth_m": 11.05, "depth_m": 7.52, "draught_m": 3.11,
        "positions": [{"x_m": x, "y_port_m": -4.0, "y_starboard_m": 4.0, "z_m": 8.02} for x in (30.6, 34.9)],
        "weight_step_t": 0.25, "weights_count": 4,
        "instruments": [
            {"id": name, "kind": "pendulum", "length_m": length, "resolution_mm": 1.0}
            for name, length in (("P1", 4.5), ("P2", 4.0))
        ],
    }  # fmt: skip
    assert shell.json("plan", *OPTIONS) == heelwright.weight_plans.compute(request)


def test_an_option_stands_in_place_of_the_files_field(shell: Shell, request_file: str) -> None:
    tenderer = shell.json("plan", request_file, "--gm-m", "0.5", "--gm-uncertainty-m", "0.07")
    assert tenderer["total_mass_t"] < shell.json("plan", request_file)["total_mass_t"]


def test_long_tons_and_feet_are_taken_when_they_are_written_out(shell: Shell) -> None:
    in_us = [
        "1456.62566 LT" if text == "1480" else "36 ft 3 in" if text == "11.05" else text
        for text in OPTIONS
    ]  # fmt: skip
    us, si = shell.json("plan", *in_us), shell.json("plan", *OPTIONS)
    assert us["total_mass_t"] == si["total_mass_t"]


def test_when_no_plan_keeps_all_limits_the_nearest_one_is_shown_with_what_binds_it(
    shell: Shell, tmp_path: Path
) -> None:
    path = tmp_path / "request.json"
    path.write_text(json.dumps(carried(WEIGHT_PLAN) | {"stock": [{"mass_t": 0.2, "count": 4}]}))
    status, out, err = shell("plan", str(path))
    assert status == 1, err
    assert out.startswith("No plan keeps all limits")
    assert "Binding: " in out


def test_a_request_without_its_facts_is_a_mistake_in_usage(shell: Shell) -> None:
    status, _, err = shell("plan", "--gm-m", "1")
    assert status == 2
    assert "--displacement-t" in err
    assert "--position" in err


@pytest.mark.parametrize("position", ["1:2:3", "1:-4:4:8:1:2:3:4", "1:-4:four:8", "1:-4:4:8 t"])
def test_a_position_that_cannot_be_read_is_a_mistake_in_usage(shell: Shell, position: str) -> None:
    assert shell("plan", *OPTIONS, "--position", position)[0] == 2


def test_a_refused_request_names_the_field(shell: Shell, request_file: str) -> None:
    status, _, err = shell("plan", request_file, "--breadth-m", "-1")
    assert status == 1
    assert "/breadth_m" in err


def test_an_impossible_request_shows_what_binds_and_the_plan_after_the_nearest_change(
    shell: Shell, request_file: str
) -> None:
    status, out, _ = shell("plan", request_file, "--gm-m", "-1")
    assert status == 1
    assert "Binding: stability: GM lies between" in out
    assert "Nearest change: the ship made stiffer before the test" in out
    assert "With it: 4 weights" in out
    assert "shown is the plan after the nearest change" in out


def test_where_no_change_helps_no_weights_are_shown_but_what_has_to_be_known_first(
    shell: Shell, request_file: str
) -> None:
    awash = json.loads(Path(request_file).read_text())["draught_m"] + 0.001
    status, out, err = shell(
        "plan", request_file, "--gm-m", "0.08", "--gm-uncertainty-m", "0.27", "--depth-m", f"{awash}"
    )
    assert status == 1, err
    assert out.startswith("No plan: none keeps the limits, and there is no nearest one to show")
    assert "Binding: stability: GM lies between" in out
    assert "first make sure that GM is 0.20 m or more" in " ".join(out.split())
    assert "stands first at" not in out
    assert "Checks:" not in out
    assert "flag Administration" in out
