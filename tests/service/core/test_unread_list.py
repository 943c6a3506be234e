"""Draughts on one side cannot tell the list: instruments that know the upright ship do, and else it is a doubt."""

from __future__ import annotations

import math

import pytest

from .own_box import DISPLACEMENT_T, VCG_M, Document, box_record, reduced

LIST_DEG = 1.48


def port_only(list_deg: float, zero: str) -> Document:
    record = box_record(list_deg)
    record["draughts"] = [one for one in record["draughts"] if one["mark"].endswith("P")]
    record["instruments"] = [one | {"zero": zero} for one in record["instruments"]]
    return record


@pytest.mark.parametrize("list_deg", [LIST_DEG, -LIST_DEG])
def test_port_marks_with_instruments_that_know_the_upright_ship_give_her_displacement(list_deg: float) -> None:
    found = reduced(port_only(list_deg, "upright"))
    both = reduced(box_record(list_deg))
    assert found.as_inclined.displacement_t == pytest.approx(DISPLACEMENT_T, rel=1e-6)
    assert found.as_inclined.waterline.heel_deg == pytest.approx(list_deg, abs=1e-4)
    assert found.lightship.vcg_m == pytest.approx(VCG_M, abs=1e-4)
    assert found.lightship.tcg_m == pytest.approx(both.lightship.tcg_m, abs=1e-4)


@pytest.mark.parametrize("method", ["linear", "monte-carlo"])
def test_the_doubt_of_that_list_reaches_the_displacement(method: str) -> None:
    def standard(record: Document) -> float:
        doubts = reduced(record, method, 4000 if method == "monte-carlo" else None).uncertainty
        assert doubts is not None
        found = doubts.quantities["displacement_t"]
        assert found is not None
        return found.standard

    told, untold = standard(port_only(0.0, "upright")), standard(port_only(0.0, "arbitrary"))
    area, arm = 50.0 * 12.0, 6.0
    by_list = 1.025 * area * arm * math.tan(math.radians(0.5)) / math.sqrt(3.0)
    assert untold == pytest.approx(math.hypot(by_list, told), rel=0.05)


def test_marks_on_one_side_say_what_a_degree_of_list_does_to_the_displacement() -> None:
    found = next(check for check in reduced(port_only(0.0, "arbitrary")).checks if check.id == "R-01")
    by_degree = 1.025 * 600.0 * 6.0 * math.tan(math.radians(1.0))
    assert f"{by_degree:.1f} t"[:4] in found.text
    assert "for each degree of list" in found.text
    assert "for each degree of list" not in next(c for c in reduced(box_record()).checks if c.id == "R-01").text


def test_an_unknown_list_is_a_caution_with_the_doubt_that_stands_for_it() -> None:
    told = [text for text in reduced(port_only(0.0, "arbitrary")).cautions if "nothing tells the list" in text]
    assert len(told) == 1
    assert "0.5°" in told[0]
    assert not [text for text in reduced(port_only(0.0, "upright")).cautions if "nothing tells the list" in text]
