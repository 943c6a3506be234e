"""Inclining weights that stand aboard during a lightweight survey are deducted where they stand, or refused."""

from __future__ import annotations

import pytest
from heelwright_service.core.errors import CoreError

from .own_box import DISPLACEMENT_T, LIGHT_T, WEIGHT_T, Document, box_record, reduced


def survey(states: int) -> Document:
    record = box_record()
    record["states"] = record["states"][:states]
    return record | {"readings": [], "instruments": []}


def refusal(record: Document) -> CoreError:
    with pytest.raises(CoreError) as caught:
        reduced(record)
    return caught.value


def test_weights_whose_places_nobody_gave_are_refused_with_the_two_ways_to_mend_it() -> None:
    found = refusal(survey(0))
    assert (found.code, found.pointer) == ("weights-without-places", "/inclining_weights")
    assert "one state" in found.message
    assert "surplus items" in found.message


def test_one_state_without_readings_is_a_survey_that_deducts_its_weights_where_they_stand() -> None:
    found = reduced(survey(1), "linear")
    assert found.lightship.method == "lightweight-survey"
    assert found.lightship.mass_t == pytest.approx(LIGHT_T, rel=1e-9)
    assert found.lightship.lcg_m == pytest.approx(25.0, abs=1e-9)
    assert found.lightship.vcg_m is None
    rows = [row for row in found.lightship_table if row.group == "inclining weights"]
    assert [row.mass_t for row in rows] == [-WEIGHT_T] * 4
    assert rows[0].x_m == 20.0


def test_the_same_weights_as_surplus_items_give_the_same_lightship() -> None:
    record = survey(0)
    listed = [
        {"description": name, "kind": "surplus", "mass_t": WEIGHT_T, "x_m": x, "y_m": y, "z_m": z}
        for name, (x, y, z) in box_record()["states"][0]["positions"].items()
    ]
    as_items = reduced(record | {"inclining_weights": [], "states": [], "items": listed}).lightship
    as_weights = reduced(survey(1)).lightship
    assert (as_items.mass_t, as_items.lcg_m) == pytest.approx((as_weights.mass_t, as_weights.lcg_m))


def test_their_masses_are_as_certain_as_certified_weights_are() -> None:
    doubts = reduced(survey(1), "linear").uncertainty
    assert doubts is not None
    found = doubts.quantities["mass_t"]
    assert found is not None
    share = next(row for row in found.budget if row.input == "weights")
    assert share.standard == pytest.approx(0.005 * 4 * WEIGHT_T, rel=1e-6)


def test_weights_too_heavy_for_the_ship_are_named() -> None:
    record = survey(1)
    record["inclining_weights"] = [one | {"mass_t": DISPLACEMENT_T} for one in record["inclining_weights"]]
    assert refusal(record).pointer == "/inclining_weights"


def test_several_states_without_readings_ask_for_the_readings() -> None:
    found = refusal(survey(9))
    assert (found.code, found.pointer) == ("readings-missing", "/readings")
    assert "one state alone" in found.message


def test_readings_without_states_ask_for_the_states() -> None:
    found = refusal(box_record() | {"states": []})
    assert (found.code, found.pointer) == ("states-missing", "/states")


def test_the_one_state_of_a_survey_places_every_weight() -> None:
    record = survey(1)
    record["states"] = [{"number": 0, "positions": {"A": [20.0, -4.5, 7.0]}}]
    assert refusal(record).code == "weight-placing"
