"""`heelwright drift` against the real application, seeded with the invented fleet."""

from __future__ import annotations

import json
import re
import xml.etree.ElementTree as ElementTree
from pathlib import Path

import pytest
from heelwright_client.client import Client
from heelwright_client.demo.seed import seed
from heelwright_client.demo.ships import SHIPS

from tests.client.conftest import Shell


@pytest.fixture
def fleet(heelwright: Client) -> Client:
    seed(heelwright, lambda line: None)
    return heelwright


def test_seeding_again_changes_nothing(fleet: Client) -> None:
    def everything() -> list[object]:
        return [
            list(source.of(str(v["id"]))) for v in fleet.vessels for source in (fleet.lightships, fleet.alterations)
        ]

    before = everything()
    seed(fleet, lambda line: None)
    assert everything() == before
    assert len(list(fleet.vessels)) == len(SHIPS)


def test_a_ship_beyond_her_limit_is_told_in_words_with_her_chance(fleet: Client, shell: Shell) -> None:
    status, out, _ = shell("drift", "Larkhollow")
    assert status == 1
    assert "Lightship drift of the Larkhollow" in out
    assert re.search(r"mass: fail, exceeded +17\.1 t heavier +6\.96 t +over 99 % chance", out)
    assert "┃" in out
    assert "Each year 0.86 t heavier" in out


def test_a_ship_within_her_limits_is_no_failure(fleet: Client, shell: Shell) -> None:
    status, out, _ = shell("drift", "Sandhopper")
    assert status == 0
    assert "fail" not in out.partition("Cautions")[0]


def test_a_survey_gives_no_vcg_rather_than_no_change(fleet: Client, shell: Shell) -> None:
    _, out, _ = shell("drift", "Sandhopper")
    row = next(line for line in out.splitlines() if "2015-03-23" in line)
    assert "not known" in row


def test_the_fleet_is_in_the_services_order_and_names_what_to_do(fleet: Client, shell: Shell) -> None:
    status, out, _ = shell("drift", "--fleet")
    assert status == 1
    names = [str(item["vessel"]["name"]) for item in fleet.fleet.drift()]
    at = [out.index(name) for name in names]
    assert at == sorted(at)
    assert f"Incline the {names[0]} again: " in out.partition(names[1])[0]


def test_a_vessel_without_a_baseline_says_what_is_missing(fleet: Client, shell: Shell) -> None:
    fleet.vessels.create({"name": "Oxwater", "kind": "cargo", "length_m": 50.0})
    _, out, _ = shell("drift", "--fleet")
    told = " ".join(out[out.index("Oxwater") :].split())
    assert told.startswith("Oxwater: There is no approved inclining test")


def test_a_fleet_is_drawn_and_handed_to_machines_with_a_vessel_that_cannot_be_told(
    fleet: Client, shell: Shell, tmp_path: Path
) -> None:
    fleet.vessels.create({"name": "Oxwater", "kind": "cargo", "length_m": 50.0})
    assert "Oxwater" in shell("drift", "--fleet", "--plot", str(tmp_path / "fleet.svg"))[1]
    _, out, _ = shell("--json", "drift", "--fleet")
    assert json.loads(out)["items"][-1]["drift"] is None


def test_a_baseline_with_nothing_after_it_says_so(fleet: Client, shell: Shell) -> None:
    new = fleet.vessels.create({"name": "Oxwater", "kind": "cargo", "length_m": 50.0}).document["id"]
    tested = {"date": "2024-05-01", "basis": "inclining-test", "mass_t": 900.0, "lcg_m": 22.0, "vcg_m": 4.0}
    fleet.lightships.add(new, {**tested, "approved": True})
    status, out, _ = shell("drift", "Oxwater")
    assert status == 0
    assert "nothing newer than the baseline of 1 May 2024" in " ".join(out.split())


def test_a_ship_within_her_limits_is_told_with_evidence_rule_and_the_chance_that_is_left(
    fleet: Client, shell: Shell
) -> None:
    text = " ".join(shell("drift", "--fleet")[1].split())
    assert "Adopt the surveyed mass and centre of the Feshwick Provider" in text
    assert "with a 30 % chance of being past it" in text
    assert "by the lightweight survey of 12 Oct 2022 her mass is 34 t" in text
    assert "D-07), with a 30 %" in text


def test_a_sister_without_a_survey_is_told_to_be_surveyed(fleet: Client, shell: Shell) -> None:
    lead = fleet.vessels.find("Quillhaven")["id"]
    fleet.vessels.create({"name": "Oxwater", "kind": "cargo", "length_m": 98.0, "sister_of": lead})
    text = " ".join(shell("drift", "--fleet")[1].split())
    assert "Survey the Oxwater: a sister that is not inclined is surveyed on completion" in text
    assert "D-01, D-02 need a lightweight survey of hers" in text
    assert "inclining test of the lead ship Quillhaven" in shell("drift", "Oxwater")[1]


def test_what_only_advises_is_past_its_limit_and_said_to_advise(shell: Shell, tmp_path: Path) -> None:
    request = {
        "vessel": {"kind": "cargo", "length_m": 50.0},
        "as_of": "2024-01-01",
        "rule_set": "us-mtn",
        "lightships": [
            {"date": "2010-05-01", "basis": "inclining-test", "mass_t": 4000.0, "lcg_m": 24.0, "vcg_m": 7.0,
             "approved": True},
            {"date": "2020-05-01", "basis": "lightweight-survey", "mass_t": 4500.0, "lcg_m": 24.0},
        ],
    }  # fmt: skip
    path = tmp_path / "request.json"
    path.write_text(json.dumps(request))
    status, out, _ = shell("drift", "--request", str(path))
    assert status == 1
    assert re.search(r"mass: advice, exceeded +500 t heavier", out)


def test_a_date_that_waits_for_an_approval_names_it(fleet: Client, shell: Shell) -> None:
    text = " ".join(shell("drift", "Merrowdale")[1].split())
    assert "Lightweight survey was due by 14 May 2024; by 7 May 2029 once that of 7 May 2024 is approved" in text


def test_an_empty_fleet_tells_the_next_step(shell: Shell) -> None:
    status, out, _ = shell("drift", "--fleet")
    assert status == 0
    assert "heelwright vessels add" in out


def test_the_drift_of_a_vessel_and_of_the_fleet_are_drawn(fleet: Client, shell: Shell, tmp_path: Path) -> None:
    for name, arguments in (("one.svg", ["Merrowdale"]), ("fleet.svg", ["--fleet"])):
        picture = tmp_path / name
        shell("drift", *arguments, "--plot", str(picture))
        root = ElementTree.fromstring(picture.read_text())
        assert "Merrowdale" in "".join(root.itertext())


def test_a_history_that_is_not_stored_is_followed_from_a_file(shell: Shell, tmp_path: Path) -> None:
    request = {
        "vessel": {"kind": "passenger", "length_m": 100.0},
        "as_of": "2024-01-01",
        "lightships": [
            {"date": "2010-05-01", "basis": "inclining-test", "mass_t": 4000.0, "lcg_m": 45.0, "vcg_m": 7.0,
             "approved": True},
            {"date": "2020-05-01", "basis": "lightweight-survey", "mass_t": 4100.0, "lcg_m": 45.1},
        ],
    }  # fmt: skip
    path = tmp_path / "request.json"
    path.write_text(json.dumps(request))
    status, out, _ = shell("drift", "--request", str(path))
    assert status == 1
    assert re.search(r"mass: fail, \w+ +100 t heavier +80\.00 t", out)


@pytest.mark.parametrize("arguments", [[], ["Merrowdale", "--fleet"]])
def test_one_question_at_a_time(shell: Shell, arguments: list[str]) -> None:
    status, _, err = shell("drift", *arguments)
    assert status == 2
    assert "--fleet" in err
