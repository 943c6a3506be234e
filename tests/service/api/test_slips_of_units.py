"""A refused number is written as people write numbers, with the unit that was likely meant; a query says which."""

from __future__ import annotations

from typing import Any

import pytest

from tests.support.app import Api

from ..core.own_box import Document, box_record


def refusal(api: Api, record: Document, query: str = "") -> Any:
    answer = api.post(f"/reductions{query}", record)
    assert answer.status_code == 422
    return answer.get_json()["errors"][0]


def put(record: Document, pointer: str, value: object) -> Document:
    *path, last = pointer.strip("/").split("/")
    place: Any = record
    for key in path:
        place = place[int(key)] if isinstance(place, list) else place[key]
    place[int(last) if isinstance(place, list) else last] = value
    return record


@pytest.mark.parametrize(
    ("pointer", "value", "hint"),
    [
        ("/water/samples/0/density_t_per_m3", 1025.0, "is that kg/m³? It is asked in t/m³: 1.025"),
        ("/draughts/0/reading_m", 1371.0, "is that mm? It is asked in m: 1.371"),
        ("/states/0/positions/A/2", 7100.0, "found 7100"),
        ("/inclining_weights/0/mass_t", 6_000_000.0, "to 1 000 000, found 6 000 000; is that kg?"),
    ],
)
def test_a_number_in_a_smaller_unit_is_refused_with_that_unit(api: Api, pointer: str, value: float, hint: str) -> None:
    found = refusal(api, put(box_record(), pointer, value))
    assert found["pointer"] == pointer
    assert hint in found["message"]
    assert "e+" not in found["message"]


@pytest.mark.parametrize("query", ["method=foo", "draws=10", "seed=-1", "uncertainty=much"])
def test_a_bad_value_in_a_query_names_its_parameter(api: Api, query: str) -> None:
    found = refusal(api, box_record(), f"?{query}")
    name = query.partition("=")[0]
    assert found["parameter"] == name
    assert found["message"].startswith(f"{name}: ")


def test_a_reversed_instrument_is_refused_with_its_pointer(api: Api) -> None:
    record = box_record()
    for one in record["readings"]:
        one["value_mm"] *= -1.0 if one["instrument"] == "P2" else 1.0
    found = refusal(api, record)
    assert found["pointer"] == "/instruments/1"
    assert "negate its readings or withdraw them with a reason" in found["message"].replace(",", "")
