"""A slip of a unit or a sign is told as such: no absurd result passes quietly, and the refusal names its cause."""

from __future__ import annotations

import pytest
from heelwright_service.core.documents import from_document
from heelwright_service.core.errors import CoreError
from heelwright_service.core.record import TestRecord
from heelwright_service.core.reduction import reduce_record
from heelwright_service.core.results import Check
from heelwright_service.core.test_result import TestResult

from .records import DRAUGHT_M, Document, changed, clean, hull_table


def reduced(record: Document) -> TestResult:
    return reduce_record(from_document(TestRecord, record), uncertainty="none")


def check(record: Document, name: str) -> Check:
    return next(each for each in reduced(record).checks if each.id == name)


def scaled(factor: float) -> Document:
    record = clean()
    return record | {"readings": [one | {"value_mm": one["value_mm"] * factor} for one in record["readings"]]}


def refusal(record: Document) -> CoreError:
    with pytest.raises(CoreError) as caught:
        reduced(record)
    return caught.value


@pytest.mark.parametrize(
    ("factor", "slip"), [(0.1, "centimetres"), (1 / 25.4, "inches"), (0.01, "pendulum length"), (0.001, "kilograms")]
)
def test_readings_in_the_wrong_unit_put_the_centre_outside_the_ship_and_the_slip_is_among_those_named(
    factor: float, slip: str
) -> None:
    found = check(scaled(factor), "centre-in-ship-height")
    assert found.status == "fail"
    assert slip in found.text
    assert "Next:" in found.text


def test_angles_in_radians_are_named() -> None:
    record = clean()
    record["instruments"] = [{"id": name, "kind": "inclinometer"} for name in ("P1", "P2", "P3")]
    lengths = {"P1": 6.0, "P2": 5.5, "P3": 5.0}
    record["readings"] = [
        {
            "state": r["state"],
            "instrument": r["instrument"],
            "value_deg": r["value_mm"] / 1e3 / lengths[r["instrument"]],
        }
        for r in record["readings"]
    ]
    found = check(record, "centre-in-ship-height")
    assert found.status == "fail"
    assert "radians" in found.text
    assert "inches" not in found.text


def test_a_heel_that_nobody_makes_is_told_as_a_slip_of_a_unit() -> None:
    found = check(scaled(10.0), "W-01")
    assert found.status == "fail"
    assert "another unit" in found.text
    assert "another unit" not in check(scaled(1.0), "W-01").text


def test_a_sound_test_has_its_centres_in_the_ship() -> None:
    names = ("centre-in-ship-height", "centre-in-ship-across", "centre-in-ship-along")
    assert {check(clean(), name).status for name in names} == {"pass"}


@pytest.mark.parametrize(("place", "part"), [({"y_m": 400.0}, "across"), ({"x_m": 1e4}, "along")])
def test_an_item_far_outside_is_told_by_name_and_by_the_centre_that_it_makes(place: Document, part: str) -> None:
    record = clean()
    record["items"][0] |= {"mass_t": 200.0, **place}
    result = reduced(record)
    assert {each.id: each.status for each in result.checks}[f"centre-in-ship-{part}"] == "fail"
    assert any(text.startswith("Outside the ship: Tools in the workshop at x") for text in result.cautions)


def test_an_item_beyond_the_ends_is_told_without_breadth_and_depth() -> None:
    record = changed(clean(), "vessel", "hydrostatic_table", to=hull_table())
    for name in ("hull", "breadth_m", "depth_m"):
        record = changed(record, "vessel", name, to=None)
    assert check(record, "item-places").status == "not-assessed"
    record["items"][0]["x_m"] = 400.0
    assert check(record, "item-places").status == "warn"


def test_readings_that_show_no_heel_are_not_called_heel_to_the_other_side() -> None:
    found = refusal(scaled(0.0))
    assert (found.code, found.pointer) == ("no-heel", "/readings")
    assert "zero" in found.message
    assert refusal(scaled(-1.0)).code == "slope-not-positive"


def test_a_draught_above_all_decks_is_refused_at_its_reading() -> None:
    record = clean()
    record["draughts"] = [{"mark": mark["name"], "reading_m": DRAUGHT_M} for mark in record["vessel"]["marks"]]
    record["draughts"][1]["reading_m"] = 99.0
    found = refusal(record)
    assert (found.code, found.pointer) == ("water-off-hull", "/draughts/1/reading_m")
    assert "aft starboard" in found.message
    record = clean()
    record["freeboards"][3]["reading_m"] = 9.5
    assert refusal(record).pointer == "/freeboards/3/reading_m"


def test_what_leaves_no_lightship_is_named_by_the_heaviest_list() -> None:
    record = clean()
    record["inclining_weights"] = [weight | {"mass_t": 3000.0} for weight in record["inclining_weights"]]
    assert refusal(record).pointer == "/inclining_weights"
