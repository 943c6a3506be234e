"""`heelwright price` and `heelwright reduce --what-if` against the real application."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import pytest
from heelwright_client.client import Client
from heelwright_client.demo.documents import TEST_DAY, carried

from tests.client.conftest import Shell

HELD = ("--kind", "heel-held", "--share", "0.03")


@pytest.fixture
def record_file(tmp_path: Path) -> str:
    path = tmp_path / "record.json"
    path.write_text(json.dumps(carried(TEST_DAY)))
    return str(path)


def test_a_price_tag_says_how_much_which_way_and_on_which_side(shell: Shell, record_file: str) -> None:
    status, out, err = shell("price", record_file, *HELD)
    assert status == 0, err
    assert re.search(r"lightship VCG +\d+ mm too low", out)
    assert re.search(r"lightship mass +unchanged", out)
    assert "unsafe side: the ship looks more stable than she is" in out
    assert re.search(r"doubt it adds +[\d.]+ mm standard uncertainty", out)
    assert "person in charge" in out


def test_machines_get_the_price_as_the_service_gave_it(shell: Shell, heelwright: Client, record_file: str) -> None:
    answer = shell.json("price", record_file, *HELD)
    request = {"record": carried(TEST_DAY), "deviations": [{"kind": "heel-held", "share": 0.03}]}
    assert answer == heelwright.deviations.price(request)
    assert answer["items"] == heelwright.reductions.deviations(request)


def test_sizes_take_their_unit_from_the_options_name_or_carry_their_own(shell: Shell, record_file: str) -> None:
    place = ("--x-m", "30", "--y-m", "0", "--z-m", "0.5")
    tonnes = shell.json("price", record_file, "--kind", "liquid-unseen", "--mass-t", "2.032", *place)
    long_tons = shell.json("price", record_file, "--kind", "liquid-unseen", "--mass-t", "2 LT", *place)
    assert tonnes["items"][0]["mass_t"] == pytest.approx(long_tons["items"][0]["mass_t"], rel=1e-3)


def test_states_may_be_named_one_by_one(shell: Shell, record_file: str) -> None:
    one = shell.json("price", record_file, *HELD, "--state", "1")
    two = shell.json("price", record_file, *HELD, "--state", "1", "--state", "2")
    assert abs(two["items"][0]["kg_m"]) > abs(one["items"][0]["kg_m"]) > 0.0


def test_the_kinds_are_listed_with_the_options_that_they_need(shell: Shell) -> None:
    status, out, _ = shell("price", "--list")
    assert status == 0
    assert re.search(r"^heel-held +.* --share ", out, re.MULTILINE)
    assert "--free-surface-moment-t-m" in out
    assert len(shell.json("price", "--list")["items"]) >= 15


def test_a_plan_is_priced_before_the_test(shell: Shell, tmp_path: Path) -> None:
    from tests.service.api.test_weight_plans import REQUEST

    path = tmp_path / "plan.json"
    path.write_text(json.dumps(REQUEST))
    status, out, err = shell("price", "--plan", str(path), *HELD)
    assert status == 0, err
    assert "Priced on the plan" in out


@pytest.mark.parametrize(
    ("arguments", "status", "told"),
    [
        (("price",), 2, "--kind"),
        (("price", "--kind", "heel-held"), 2, "RECORD.json"),
        (("price", "RECORD", "--kind", "luck"), 1, "known are"),
        (("price", "RECORD", "--kind", "heel-held"), 1, "needs share"),
        (("price", "RECORD", "--plan", "x.json", *HELD), 2, "RECORD.json"),
        (("reduce", "RECORD", "--what-if", "draught_m"), 2, "NAME=VALUE"),
        (("reduce", "RECORD", "--what-if", "draught_m=thin"), 2, "thin"),
        (("reduce", "RECORD", "--what-if", "hull_volume_relative=thin"), 2, "not a number"),
        (("reduce", "RECORD", "--what-if", "hearsay_m=0.1"), 1, "hearsay_m"),
    ],
)
def test_what_is_meant_wrongly_is_told(
    shell: Shell, record_file: str, arguments: tuple[str, ...], status: int, told: str
) -> None:
    found, _, err = shell(*(record_file if word == "RECORD" else word for word in arguments))
    assert found == status
    assert told in err


def test_what_if_lays_the_intervals_side_by_side(shell: Shell, record_file: str) -> None:
    status, out, err = shell("reduce", record_file, "--what-if", "draught_m=1 mm", "--what-if", "km_m=0")
    assert status == 0, err
    head = out.index("What if draught_m = 0.001, km_m = 0")
    row = re.search(r"VCG +±[\d.]+ m +±[\d.]+ m +(\d+) %", out[head:])
    assert row
    assert int(row[1]) < 100


def test_machines_get_both_reductions_and_what_was_changed(shell: Shell, record_file: str) -> None:
    answer = shell.json("reduce", record_file, "--what-if", "draught_m=0.001")
    assert answer["changes"] == {"draught_m": 0.001}
    before, after = (
        answer[name]["uncertainty"]["quantities"]["mass_t"]["standard"] for name in ("as_recorded", "what_if")
    )
    assert after < before
    assert answer["as_recorded"]["lightship"]["mass_t"] == pytest.approx(
        answer["what_if"]["lightship"]["mass_t"], rel=1e-9
    )


def test_a_reduction_tells_what_would_narrow_it_and_whether_the_linear_result_is_validated(
    shell: Shell, record_file: str
) -> None:
    _, out, _ = shell("reduce", record_file, "--uncertainty", "monte-carlo", "--draws", "40000")
    assert "What would narrow it" in out
    assert re.search(r"from ±\d+(\.\d)? mm to ±\d+(\.\d)? mm", out)
    assert re.search(r"Monte Carlo of 40\u202f000 draws, seed 1", out)
    assert re.search(r"VCG .* validated", out)


def test_a_plan_tells_what_would_sharpen_its_result(shell: Shell, tmp_path: Path) -> None:
    from tests.service.api.test_weight_plans import REQUEST

    path = tmp_path / "plan.json"
    path.write_text(json.dumps(REQUEST))
    _, out, _ = shell("plan", str(path))
    assert "What would sharpen the result" in out
    assert "The strongest single way" in out


def test_the_client_asks_for_kinds_and_materiality(heelwright: Client) -> Any:
    assert {"kind", "text", "needs", "may", "inclining"} == set(heelwright.deviations.kinds()[0])
    limits = heelwright.deviations.materiality({"target_vcg_uncertainty_m": 0.04, "lightship_mass_t": 1200.0})
    assert limits["item_mass_t"] is None
