"""Result: both methods, checks failed first, a ledger that adds up, what-if; a refused record named field by field."""

from __future__ import annotations

import copy
import json
from typing import Any

import pytest
from heelwright_client.demo.documents import TEST_DAY, carried
from heelwright_client.errors import EntryError
from heelwright_client.units import SI
from heelwright_client.web.ledger import add_up
from heelwright_client.web.packing import packed, unpacked
from heelwright_client.web.pages.what_if import changed, entry_for
from heelwright_client.web.plan_view import counts
from heelwright_client.web.wording import Say

from tests.client.web.conftest import Stage
from tests.client.web.visitor import Page, Visitor


def reduced(visitor: Visitor, record: dict[str, Any]) -> Page:
    """The result page of a pasted record."""
    page = visitor.post("/result", {"text": json.dumps(record)}, from_page="/result")
    assert page.status == 200, page.text[:500]
    assert page.faults() == []
    return page


def carried_record(page: Page) -> str:
    """The packed record that a result page carries."""
    return next(str(field.get("value")) for field in page.all("input") if field.get("name") == "record")


def test_a_pasted_record_gives_the_lightship_by_both_methods(empty: Stage):
    record = carried(TEST_DAY)
    page = reduced(empty.visitor(), record)
    result = empty.client.reductions.compute(record)
    say = Say(SI)
    for values in result["lightship_by_method"].values():
        assert say.mass(values["mass_t"]).replace("\u202f", " ") in page.text
        assert say.height(values["vcg_m"]) in page.text
    assert "The two methods differ by" in page.text
    assert "of the 95 % uncertainty of KG" in page.text
    assert str(result["provenance"]["record_sha256"]) in page.text
    for caution in result["cautions"]:
        assert " ".join(caution.split()) in page.text


def test_no_check_is_left_out_and_the_failed_come_first(empty: Stage):
    record = carried(TEST_DAY)
    record["readings"][3]["value_mm"] += 60.0  # a reading that no ship can have given
    record["items"].append(  # far more surplus than any rule allows
        {"description": "Coal", "kind": "surplus", "mass_t": 200.0, "x_m": 30.0, "y_m": 0.0, "z_m": 4.0}
    )
    result = empty.client.reductions.compute(record)
    assert any(check["status"] == "fail" for check in result["checks"])
    page = reduced(empty.visitor(), record)
    assert f"Checks: {counts(result['checks'])}" in page.text
    places = [page.text.find(f"[{check['id']}]") for check in result["checks"]]
    assert min(places) >= 0
    rows = [row for row in page.all("tr") if any("status" in (e.get("class") or "") for e in row.iter())]
    words = [next(e.get("class") for e in row.iter() if "status" in (e.get("class") or "")) for row in rows]
    order = [str(word).split()[-1] for word in words]
    assert order == sorted(order, key=["fail", "warn", "not-assessed", "pass"].index)


def test_the_ledger_adds_up_to_the_services_lightship(empty: Stage):
    result = empty.client.reductions.compute(carried(TEST_DAY))
    found = add_up(result["lightship_table"], result["lightship"])
    assert found.agrees
    assert found.mass_t == pytest.approx(result["lightship"]["mass_t"])
    assert found.centre_m["vcg_m"] == pytest.approx(result["lightship"]["vcg_m"])


def test_a_ledger_that_does_not_add_up_is_not_hidden(empty: Stage):
    result = copy.deepcopy(empty.client.reductions.compute(carried(TEST_DAY)))
    result["lightship_table"][0]["mass_t"] += 1.0
    assert not add_up(result["lightship_table"], result["lightship"]).agrees


def test_what_if_widens_the_interval_and_leaves_the_record_alone(empty: Stage):
    visitor = empty.visitor()
    page = reduced(visitor, carried(TEST_DAY))
    form = {"record": carried_record(page), "units": "si", "uncertainties.draught_m": "0.05", "uncertainty": "linear"}
    wide = visitor.post("/result", form, from_page="/result")
    assert wide.status == 200
    record = carried(TEST_DAY) | {"uncertainties": {"draught_m": 0.05}}
    half = empty.client.reductions.compute(record)["uncertainty"]["quantities"]["mass_t"]  # type: ignore[index]
    assert Say(SI).ends(half, "mass").replace("\u202f", " ") in wide.text
    assert unpacked(carried_record(wide)) == carried(TEST_DAY)


def test_what_if_takes_relative_uncertainties_in_per_cent(empty: Stage):
    visitor = empty.visitor()
    form = {"record": packed(carried(TEST_DAY)), "uncertainties.weight_mass_relative": "2", "method": "small-angle"}
    page = visitor.post("/result", form, from_page="/result")
    record = carried(TEST_DAY) | {"uncertainties": {"weight_mass_relative": 0.02}}
    result = empty.client.reductions.compute(record, method="small-angle")
    half = result["uncertainty"]["quantities"]["vcg_m"]  # type: ignore[index]
    assert Say(SI).ends(half, "length") in page.text


def test_a_what_if_that_cannot_be_read_keeps_the_record(empty: Stage):
    visitor = empty.visitor()
    form = {"record": packed(carried(TEST_DAY)), "uncertainties.draught_m": "5 kg"}
    page = visitor.post("/result", form, from_page="/result")
    assert page.status == 422
    assert page.faults() == []
    assert unpacked(carried_record(page)) == carried(TEST_DAY)


def test_uncertainties_that_the_form_does_not_ask_are_kept(empty: Stage):
    record = carried(TEST_DAY) | {"uncertainties": {"draught_m": 0.01, "one_of_tomorrow": 0.5}}
    fresh, choices = changed(record, entry_for(record, SI))
    assert fresh["uncertainties"] == record["uncertainties"]
    assert choices == {"uncertainty": "linear"}


def test_monte_carlo_says_its_draws_and_seed(empty: Stage):
    visitor = empty.visitor()
    form = {"record": packed(carried(TEST_DAY)), "uncertainty": "monte-carlo", "draws": "200", "seed": "7"}
    page = visitor.post("/result", form, from_page="/result")
    assert page.status == 200, page.text[:300]
    assert "200 draws, seed 7" in page.text


def test_a_record_that_is_refused_is_named_field_by_field_with_what_it_has(empty: Stage):
    record = carried(TEST_DAY)
    record["water"]["samples"][0]["density_t_per_m3"] = 1014.2
    record["vessel"]["colour"] = "grey"
    page = empty.visitor().post("/result", {"text": json.dumps(record)}, from_page="/result")
    assert page.status == 422
    assert page.faults() == []
    assert "/water/samples/0/density_t_per_m3" in page.text
    assert "the record has 1014.2" in page.text
    assert "/vessel/colour" in page.text
    assert "1014.2" in "".join(page.all("textarea")[0].itertext())


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "Choose a file or paste"),
        ('{\n  "a": }', "line 2"),
        ("[1]", "starts with a brace"),
        ("[" * 99_999, "nested"),
    ],
)
def test_what_is_no_record_is_refused_with_the_place(empty: Stage, text: str, words: str):
    page = empty.visitor().post("/result", {"text": text}, from_page="/result")
    assert page.status == 422
    assert words in page.text


def test_a_lightweight_survey_says_that_the_vcg_was_not_measured(empty: Stage):
    record = carried(TEST_DAY)
    for name in ("states", "readings", "instruments", "inclining_weights"):
        record.pop(name)
    page = reduced(empty.visitor(), record)
    assert "Lightweight survey: Merrowdale" in page.text
    assert "VCG not measured" in page.text
    assert "Moment line" not in page.text


def test_a_damaged_or_swollen_record_in_a_page_is_not_unpacked():
    for text in ("", "!!!", packed({"a": 1})[:-4], packed({"bomb": "0" * (65 * 1024 * 1024)})):
        with pytest.raises(EntryError):
            unpacked(text)


def test_the_example_is_reduced_by_one_link(empty: Stage):
    page = empty.visitor("reader").get("/result?example=1")
    assert page.status == 200
    assert "Merrowdale" in page.text
