"""Slips of tables, places and lists that leave every fit as good as before."""

from __future__ import annotations

from collections.abc import Callable
from copy import deepcopy
from typing import Any

import pytest
from heelwright_service.core.checks.judgement import judge
from heelwright_service.core.results import Check

from tests.support.simulator import FAMILIES, Options, simulate

from .records import SIMULATED_NAMES, Document, given_of, simulated

Row = dict[str, float]

VESSEL = simulate("round_bilge", 105, options=Options(weights=4, refine=2)).record
NEW = ("tank-table", "named-places", "weights-in-ship", "RR-13")


def record() -> Document:
    return deepcopy(VESSEL)


def found(changed: Document, rule_id: str) -> Check:
    return next(each for each in judge(given_of(changed)).checks if each.id == rule_id)


def with_rows(change: Callable[[Row, Document], None]) -> Document:
    """The record with every row of every tank's table changed."""
    changed = record()
    for tank in changed["vessel"]["tanks"]:
        for row in tank["table"]:
            change(row, tank)
    return changed


def exchanged(row: Row, _: Document) -> None:
    row["i_t_m4"], row["i_l_m4"] = row["i_l_m4"], row["i_t_m4"]


def about_the_centreline(row: Row, tank: Document) -> None:
    area = tank["table"][-1]["volume_m3"] / (tank["table"][-1]["sounding_m"] - tank["table"][0]["sounding_m"])
    row["i_t_m4"] += area * row["y_m"] ** 2


def tenfold(row: Row, _: Document) -> None:
    row["i_t_m4"] *= 10.0


def nothing(row: Row, _: Document) -> None:
    row["i_t_m4"] = 0.0


def above_the_tank(row: Row, tank: Document) -> None:
    row["z_m"] -= tank["pipe"]["zero_z_m"]


def of_the_surface(row: Row, tank: Document) -> None:
    row["z_m"] = row["sounding_m"] + tank["pipe"]["zero_z_m"]


def from_amidships(row: Row, _: Document) -> None:
    row["x_m"] -= VESSEL["vessel"]["length_bp_m"] / 2


def in_tonnes(row: Row, _: Document) -> None:
    row["volume_m3"] *= 0.85


@pytest.mark.parametrize(
    ("slip", "rule_id", "side"),
    [
        (exchanged, "tank-table-breadth", "unsafe"),
        (about_the_centreline, "tank-table-breadth", "unsafe"),
        (tenfold, "tank-table-surface", "unsafe"),
        (nothing, "tank-table-surface", "safe"),
        (above_the_tank, "tank-table-height", "safe"),
        (of_the_surface, "tank-table-height", "unsafe"),
        (from_amidships, "tank-table-pipe", None),
        (in_tonnes, "tank-table-capacity", None),
    ],
)
def test_a_table_that_contradicts_itself_is_named(
    slip: Callable[[Row, Document], None], rule_id: str, side: str | None
) -> None:
    """The free surfaces moved VCG of this ship by 35 to 49 mm with every other check passed."""
    assert found(record(), rule_id).status == "pass"
    check = found(with_rows(slip), rule_id)
    assert (check.status, check.side) == ("warn", side)


def test_a_pressed_tank_is_held_to_its_capacity_and_height() -> None:
    changed = with_rows(of_the_surface)
    for sounding in changed["soundings"]:
        sounding["state"] = "pressed"
        del sounding["sounding_m"]
    assert found(changed, "tank-table-height").status == "warn"
    changed["vessel"]["tanks"][0]["capacity_m3"] *= 1.2
    assert found(changed, "tank-table-capacity").status == "warn"
    assert found(changed, "tank-table-surface").status == "not-assessed"


def test_a_tank_across_the_ship_may_be_as_broad_as_she_is_and_no_broader() -> None:
    changed = record()
    changed["vessel"]["tanks"], changed["soundings"] = changed["vessel"]["tanks"][:1], changed["soundings"][:1]
    tank, breadth = changed["vessel"]["tanks"][0], changed["vessel"]["breadth_m"]
    tank["name"] = changed["soundings"][0]["tank"] = "Centre"
    for row in tank["table"]:
        row["y_m"] = 0.0
        area = tank["capacity_m3"] / tank["table"][-1]["sounding_m"]
        row["i_t_m4"] = area * breadth**2 / 12.0
    assert found(changed, "tank-table-breadth").status == "pass"
    for row in tank["table"]:
        row["i_t_m4"] *= 4.0
    assert found(changed, "tank-table-breadth").status == "warn"


def test_a_short_table_is_not_judged_by_its_surface() -> None:
    changed = record()
    for tank in changed["vessel"]["tanks"]:
        tank["table"] = [tank["table"][0], tank["table"][-1]]
    for rule_id in ("tank-table-surface", "tank-table-breadth", "tank-table-height"):
        assert found(changed, rule_id).status == "not-assessed"


def test_marks_of_the_ends_exchanged_contradict_their_names() -> None:
    """LCG went 0.57 m wrong with every check passed."""
    changed = record()
    aft, forward = (
        [mark for mark in changed["vessel"]["marks"] if mark["name"].startswith(word)] for word in ("aft", "forward")
    )
    for one, other in zip(aft, forward, strict=True):
        one["x_m"], other["x_m"] = other["x_m"], one["x_m"]
    check = found(changed, "named-places")
    assert (check.status, check.value) == ("warn", 4)
    assert "'aft port'" in check.text


def test_a_port_tank_with_its_centre_to_starboard_contradicts_its_name() -> None:
    def reversed_side(row: Row, _: Document) -> None:
        row["y_m"] = -row["y_m"]

    assert found(record(), "named-places").status == "pass"
    assert found(with_rows(reversed_side), "named-places").value == 4


@pytest.mark.parametrize(("axis", "by"), [(2, "depth_m"), (0, "length_bp_m")])
def test_weights_measured_from_deck_or_amidships_stand_in_the_wrong_place(axis: int, by: str) -> None:
    """Heights from the deck moved VCG by 152 mm."""
    changed = record()
    for state in changed["states"]:
        for place in state["positions"].values():
            place[axis] -= changed["vessel"][by] * (1.0 if axis == 2 else 0.5)
    check = found(changed, "weights-in-ship")
    assert check.status == "warn"
    assert "A" in check.text


def surplus(mass_t: float, place: list[float], description: str) -> dict[str, Any]:
    x, y, z = place
    return {"description": description, "kind": "surplus", "mass_t": mass_t, "x_m": x, "y_m": y, "z_m": z}


def test_weights_entered_again_as_items_are_suspected_wherever_they_stand_across() -> None:
    """Taken off twice they put VCG 81 mm low."""
    changed = record()
    for weight in changed["inclining_weights"]:
        x, _, z = changed["states"][0]["positions"][weight["id"]]
        changed["items"].append(surplus(weight["mass_t"], [x, 0.0, z], f"Concrete block {weight['id']}"))
    assert found(changed, "RR-13").value == 4


@pytest.mark.parametrize("what", ["inclining_weights", "persons"])
def test_one_item_as_heavy_as_all_weights_or_all_persons_is_suspected(what: str) -> None:
    changed = record()
    total = sum(each["mass_t"] for each in changed[what])
    changed["items"].append(surplus(total, [50.0, 0.0, 11.0], "Things of the test"))
    check = found(changed, "RR-13")
    assert check.value == 1
    assert f"all {'persons' if what == 'persons' else 'inclining weights'}" in check.text


def by_freeboards(changed: Document) -> Document:
    plane_m, vessel = 4.0, changed["vessel"]
    changed.pop("draughts")
    changed["freeboards"] = [
        {
            "x_m": share * vessel["length_bp_m"],
            "y_m": side * vessel["breadth_m"] / 2,
            "point_z_m": vessel["depth_m"],
            "reading_m": vessel["depth_m"] - plane_m,
        }
        for share in (0.06, 0.3, 0.5, 0.7, 0.93)
        for side in (-1.0, 1.0)
    ]
    return changed


def test_freeboards_that_nothing_confirms_are_told_with_their_price() -> None:
    told = [c for c in judge(given_of(by_freeboards(record()))).cautions if "freeboards alone" in c]
    assert len(told) == 1
    assert told[0].startswith("Unsafe side")
    confirmed = by_freeboards(record())
    confirmed["vessel"]["approved_lightship"] = {"mass_t": 3800.0, "lcg_m": 49.0, "vcg_m": 5.4}
    for sure in (record(), confirmed):
        assert not any("freeboards alone" in c for c in judge(given_of(sure)).cautions)


@pytest.mark.parametrize("family", sorted(FAMILIES))
def test_a_good_test_keeps_all_of_them(family: str) -> None:
    good = simulate(family, 303, options=Options(refine=1, stations=41)).record
    assert not [c.id for c in judge(given_of(good)).checks if c.id.startswith(NEW) and c.status in ("warn", "fail")]


@pytest.mark.parametrize("name", SIMULATED_NAMES)
def test_a_reference_test_keeps_all_of_them(name: str) -> None:
    assert not [
        c.id for c in judge(given_of(simulated(name))).checks if c.id.startswith(NEW) and c.status in ("warn", "fail")
    ]
