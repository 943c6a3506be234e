"""Fleet and vessel: sentences, drawings with their tables, words for signs, forms that keep what was typed."""

from __future__ import annotations

import json

import pytest

from tests.client.web.conftest import Stage


def test_the_fleet_is_sentences_the_worst_first_with_the_evidence_beside_them(fleet: Stage):
    page = fleet.visitor().get("/")
    sentences = page.rows[1:]
    assert sentences[0].startswith("Incline the Larkhollow again: over 99 % chance that her mass has passed the limit")
    assert "Inclining test was due by 26 May 2009." in sentences[0]
    assert "17.1 t heavier" in sentences[0]
    assert "France, arrêté of 23 November 1987" in sentences[0]
    order = [item["vessel"]["name"] for item in fleet.client.fleet.drift()]
    assert [next(name for name in order if name in sentence) for sentence in sentences[: len(order)]] == order


def test_a_vessel_without_a_baseline_is_listed_last_and_says_what_is_missing(fleet: Stage):
    fleet.client.vessels.create({"name": "Unweighed"})
    page = fleet.visitor().get("/")
    row = page.row_with("Unweighed")
    assert "Complete the history of the Unweighed" in row
    assert "not judged" in row


def test_units_are_a_persons_own_choice_and_stay_with_her(fleet: Stage):
    visitor = fleet.visitor()
    page = visitor.post("/preferences", {"units": "us", "next": "/"}, from_page="/")
    assert page.location == "/"
    cookie = page.headers["Set-Cookie"]
    assert "HttpOnly" in cookie
    assert "17 LT heavier" in visitor.get("/").text or "16.8 LT heavier" in visitor.get("/").text
    assert " t heavier" not in visitor.get("/").text


def test_a_ground_that_is_not_known_is_not_kept(fleet: Stage):
    visitor = fleet.visitor()
    visitor.post("/preferences", {"ground": "purple", "units": "cubits"}, from_page="/")
    assert visitor.get("/").all("html")[0].get("data-ground") == "auto"


def test_the_vessel_page_tells_her_history_in_words(fleet: Stage):
    page = fleet.visitor().get(f"/vessels/{fleet.vessel('Larkhollow')}")
    for words in (
        "9.0 t heavier", "17.1 t heavier", "0.310 m aft", "not measured", "inside the ship, so weight is plausible",
        "Each year 0.86 t heavier", "net drum moved aft", "fails the rule", "2 % of lightship mass",
    ):  # fmt: skip
        assert words in page.text, words
    drawings = [
        svg.find("{http://www.w3.org/2000/svg}title") for svg in page.tree.iter("{http://www.w3.org/2000/svg}svg")
    ]
    titles = {title.text for title in drawings if title is not None}
    assert titles == {
        "Life line of the Larkhollow", "Profile of the Larkhollow", "Body plan of the Larkhollow",
        "Lightship drift of the Larkhollow",
    }  # fmt: skip


def test_an_implied_centre_outside_the_ship_is_an_error_before_it_is_weight(empty: Stage):
    # 1200 t at 6.00 m to 1230 t at 6.50 m: (1230·6.5 − 1200·6.0)/30 = 26.5 m above base, above any deck.
    facts = {
        "name": "Tall Tale", "kind": "cargo", "length_m": 70.0, "length_bp_m": 70.0, "depth_m": 7.0, "top_z_m": 20.0
    }  # fmt: skip
    vessel = empty.client.vessels.create(facts).document["id"]
    common = {"basis": "inclining-test", "lcg_m": 33.0, "tcg_m": 0.0}
    empty.client.lightships.add(
        vessel, {**common, "date": "2010-01-01", "mass_t": 1200, "vcg_m": 6.0, "approved": True}
    )
    empty.client.lightships.add(vessel, {**common, "date": "2020-01-01", "mass_t": 1230, "vcg_m": 6.5})
    page = empty.visitor().get(f"/vessels/{vessel}")
    row = next(row for row in page.all("tr") if "26.5" in "".join(row.itertext()))
    assert any("act-now" in cell.get("class", "") for cell in row)
    assert page.faults() == []


def test_a_vessel_entered_by_form_is_stored_in_si(empty: Stage):
    visitor = empty.visitor()
    visitor.cookie("heelwright_units", "us-decimal")
    form = {"units": "us-decimal", "name": "Slate Heron", "kind": "towing", "length_bp_m": "100", "breadth_m": "9.5 m"}
    page = visitor.post("/vessels/new", form, from_page="/vessels/new")
    assert page.status == 302
    stored = empty.client.vessels.find("Slate Heron")
    assert stored["length_bp_m"] == pytest.approx(30.48)
    assert stored["breadth_m"] == 9.5
    assert "Slate Heron was stored" in visitor.get(page.location).text


def test_a_refused_field_keeps_the_entry_and_has_its_error_beside_it(empty: Stage):
    visitor = empty.visitor()
    form = {"units": "si", "name": "Slate Heron", "kind": "towing", "imo_number": "1234568", "breadth_m": "nine"}
    page = visitor.post("/vessels/new", form, from_page="/vessels/new")
    assert page.status == 422
    fields = {field.get("name"): field for field in page.all("input")}
    assert fields["breadth_m"].get("value") == "nine"
    assert fields["breadth_m"].get("aria-invalid") == "true"
    assert fields["name"].get("value") == "Slate Heron"
    page = visitor.post("/vessels/new", {**form, "breadth_m": "9.5"}, from_page="/vessels/new")
    number = {field.get("name"): field for field in page.all("input")}["imo_number"]
    assert page.status == 422
    assert number.get("value") == "1234568"
    assert number.get("aria-describedby", "").startswith("f-imo_number-error")
    assert page.faults() == []
    assert list(empty.client.vessels) == []


def test_particulars_that_are_emptied_become_unknown(fleet: Stage):
    vessel = fleet.vessel("Sandhopper")
    visitor = fleet.visitor()
    page = visitor.get(f"/vessels/{vessel}/change")
    form = {f.get("name"): f.get("value", "") for f in page.all("input") if f.get("name") != "csrf_token"}
    form["kind"] = "inland"
    form["depth_m"] = ""
    assert visitor.post(f"/vessels/{vessel}/change", form, from_page="/").status == 302
    changed = fleet.client.vessels.get(vessel).document
    assert changed["depth_m"] is None
    assert changed["breadth_m"] == 11.0


def test_an_alteration_is_logged_with_its_side_in_letters(fleet: Stage):
    vessel = fleet.vessel("Pendrosk Lass")
    form = {
        "units": "si", "date": "2024-02-03", "kind": "relocated", "description": "anchor winch", "mass_t": "350 kg",
        "x_m": "20.1", "y_m": "1.2 P", "z_m": "5.5", "to_x_m": "19", "to_y_m": "0.8 S", "to_z_m": "5.4",
    }  # fmt: skip
    visitor = fleet.visitor("recorder")
    assert visitor.post(f"/vessels/{vessel}/alterations/new", form, from_page="/").status == 302
    logged = list(fleet.client.alterations.of(vessel))[-1]
    assert logged["mass_t"] == pytest.approx(0.35)
    assert (logged["y_m"], logged["to_y_m"]) == (-1.2, 0.8)
    assert "1.200 m P" in visitor.get(f"/vessels/{vessel}").text


def test_an_alteration_without_a_side_is_not_guessed(fleet: Stage):
    vessel = fleet.vessel("Pendrosk Lass")
    form = {"date": "2024-02-03", "kind": "added", "mass_t": "1", "x_m": "20.1", "y_m": "1.2", "z_m": "5.5"}
    page = fleet.visitor().post(f"/vessels/{vessel}/alterations/new", form, from_page="/")
    assert page.status == 422
    assert "does not say which side" in page.text


def test_a_lightship_without_vcg_stays_without_vcg(fleet: Stage):
    vessel = fleet.vessel("Bryndle Hand")
    form = {"date": "2025-02-03", "basis": "lightweight-survey", "mass_t": "60", "lcg_m": "7.95", "vcg_m": ""}
    assert fleet.visitor().post(f"/vessels/{vessel}/lightships/new", form, from_page="/").status == 302
    stored = [each for each in fleet.client.lightships.of(vessel) if each["date"] == "2025-02-03"]
    assert stored[0]["vcg_m"] is None
    assert stored[0]["approved"] is False


def test_a_second_lightship_of_one_day_and_basis_is_a_conflict_told_on_the_form(fleet: Stage):
    vessel = fleet.vessel("Bryndle Hand")
    form = {"date": "2024-01-16", "basis": "lightweight-survey", "mass_t": "60", "lcg_m": "7.95"}
    page = fleet.visitor().post(f"/vessels/{vessel}/lightships/new", form, from_page="/")
    assert page.status == 422
    assert "supersedes" in page.text


def test_a_document_of_a_vessel_is_stored_as_a_new_version(fleet: Stage):
    vessel = fleet.vessel("Bryndle Hand")
    marks = {"marks": [{"name": "midship", "x_m": 8.0, "y_m": 3.1, "zero_z_m": 0.0}]}
    visitor = fleet.visitor()
    form = {"part": "marks", "text": json.dumps(marks)}
    assert visitor.post(f"/vessels/{vessel}/parts", form, from_page="/").status == 302
    assert fleet.client.vessels.part(vessel, "marks").document == marks


@pytest.mark.parametrize(
    ("text", "words"),
    [("{", "not JSON"), ("[" * 100_000, "not JSON"), ('{"marks": [{"name": "a"}]}', "/marks/0/x_m")],
)
def test_a_document_that_cannot_be_taken_is_kept_and_its_faults_are_named(fleet: Stage, text: str, words: str):
    vessel = fleet.vessel("Bryndle Hand")
    page = fleet.visitor().post(f"/vessels/{vessel}/parts", {"part": "marks", "text": text}, from_page="/")
    assert page.status == 422
    assert words in page.text
    assert page.faults() == []


def test_the_demonstration_fleet_is_loaded_once(empty: Stage):
    visitor = empty.visitor()
    for _ in range(2):
        page = visitor.post("/start", from_page="/start")
        assert page.location == "/"
    assert len(list(empty.client.vessels)) == 10
    assert "Incline the" in visitor.get("/").text


def test_what_is_said_of_a_vessel_in_the_fleet_goes_with_her_test_under_way(fleet: Stage):
    fleet.client.connection.create("/v1/tests", {"vessel_id": fleet.vessel("Merrowdale"), "kind": "inclining-test"})
    rows = [row for row in fleet.visitor().get("/").all("th") if row.get("scope") == "row"]
    told = next(text for text in (" ".join("".join(row.itertext()).split()) for row in rows) if "Merrowdale" in text)
    assert told.endswith("Inclining test: being planned.")
