"""Limits judge the record as read; heels of rounding size and copies with errors in them raise no alarm."""

from __future__ import annotations

import pytest
from heelwright_service.core.documents import from_document
from heelwright_service.core.errors import CoreError
from heelwright_service.core.record import TestRecord
from heelwright_service.core.uncertainty.deviation import Deviation
from heelwright_service.core.uncertainty.deviations import price_deviations

from .own_box import BREADTH_M, DRAUGHT_M, LENGTH_M, Document, box_record, reduced


def on_table(trim_m: float) -> Document:
    record = box_record()
    record["vessel"]["hull"] = None
    record["vessel"]["hydrostatic_table"] = {
        "rows": [
            {
                "draught_m": t,
                "volume_m3": LENGTH_M * BREADTH_M * t,
                "lcb_m": LENGTH_M / 2,
                "vcb_m": t / 2,
                "km_t_m": t / 2 + BREADTH_M**2 / 12 / t,
                "lcf_m": LENGTH_M / 2,
                "km_l_m": t / 2 + LENGTH_M**2 / 12 / t,
            }
            for t in (1.0, 1.5, 2.0, 2.5, 3.0)
        ]
    }
    marks = {mark["name"]: mark["x_m"] for mark in record["vessel"]["marks"]}
    record["draughts"] = [
        {"mark": name, "reading_m": DRAUGHT_M - trim_m / LENGTH_M * (x - LENGTH_M / 2)} for name, x in marks.items()
    ]
    return record


@pytest.mark.parametrize("uncertainty", ["none", "linear", "monte-carlo"])
def test_a_trim_just_within_the_limit_of_a_table_without_trims_has_its_interval(uncertainty: str) -> None:
    found = reduced(on_table(0.499), uncertainty, 2000 if uncertainty == "monte-carlo" else None)
    assert found.as_inclined.waterline.trim_m == pytest.approx(0.499)


def test_a_trim_just_beyond_it_is_refused_whatever_is_asked() -> None:
    with pytest.raises(CoreError) as caught:
        reduced(on_table(0.501))
    assert caught.value.code == "trim-outside-table"


def test_a_draught_misread_by_some_centimetres_has_its_price_there() -> None:
    record = from_document(TestRecord, on_table(0.499))
    price = price_deviations(record, [Deviation("draught-reading", size_m=-0.05, mark="FP")]).items[0]
    assert price.mass_t != 0.0


def test_a_list_of_rounding_size_is_no_heel_at_which_the_metacentre_moved() -> None:
    record = box_record(0.0, ("", "A", "AB"))
    found = next(check for check in reduced(record).checks if check.id == "P-21")
    assert found.value is not None
    assert found.value < 0.3
    assert not found.text.startswith("At 0.00°")
