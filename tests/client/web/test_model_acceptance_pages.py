"""A vessel's model is compared with what is approved on a page, and accepted by a named checker."""

from __future__ import annotations

import pytest
from heelwright_client.demo.documents import TEST_DAY, carried
from heelwright_client.units import US

from tests.client.web.conftest import Stage
from tests.client.web.test_every_page import LARGEST_BYTES, check
from tests.client.web.test_registers import refused_fields, value_of

LENGTH_M, BREADTH_M = 50.0, 12.0
BOX = {"stations": [{"x_m": x, "contour_m": [[0, 0], [6, 0], [6, 5]]} for x in (0.0, LENGTH_M)]}
MARKS = {"marks": [{"name": "aft", "x_m": 1.0, "y_m": 0.0, "zero_z_m": -0.01}]}


def approved(draught_m: float, trim_m: float) -> dict[str, float]:
    """A floating box in closed form: Δ = ρ·L·B·T, LCB and KM_T with the trim's share of the immersed wedge."""
    slope = trim_m / LENGTH_M
    vcb = draught_m / 2 + 0.5 * LENGTH_M**2 / (12.0 * draught_m) * slope**2
    return {
        "draught_m": draught_m,
        "trim_m": trim_m,
        "displacement_t": 1.025 * LENGTH_M * BREADTH_M * draught_m,
        "lcb_m": LENGTH_M / 2 - LENGTH_M**2 / (12.0 * draught_m) * slope,
        "km_t_m": vcb + BREADTH_M**2 / (12.0 * draught_m),
    }


def form() -> dict[str, str]:
    """The sheet as a checker types it."""
    sent = {
        "checker": "R. Hale", "date": "2031-02-01", "approved_hydrostatics.document": "drawing 101 rev. B",
        "approved_hydrostatics.density_t_per_m3": "1.025", "approved_hydrostatics.draughts_from": "moulded-baseline",
        "mark_plan.document": "drawing 103", "marks.0.name": "aft", "marks.0.x_m": "1.0", "marks.0.zero_z_m": "-0.01",
        "spaces.0.name": "tunnel", "spaces.0.in_model": "no", "spaces.0.in_approved": "no",
    }  # fmt: skip
    rows = [approved(draught, trim) for draught in (1.5, 2.0, 2.5) for trim in (0.0, 0.4)]
    for number, row in enumerate(rows):
        sent |= {f"hydrostatics.{number}.{name}": f"{value:.6f}" for name, value in row.items()}
    return sent


@pytest.fixture
def box(empty: Stage) -> tuple[Stage, str]:
    """A vessel whose hydrostatics have a closed form, and the path of her sheets."""
    made = empty.client.vessels.create({"name": "Box", "kind": "cargo", "length_bp_m": LENGTH_M}).document["id"]
    empty.client.vessels.put_part(made, "hull", BOX)
    empty.client.vessels.put_part(made, "marks", MARKS)
    return empty, f"/vessels/{made}/model-acceptance"


def test_a_model_that_was_never_compared_says_why_it_should_be(box: tuple[Stage, str]):
    stage, path = box
    page = stage.visitor("reader").get(path)
    check(page, path)
    assert "never compared" in page.text
    asked = stage.visitor("planner").get(f"{path}/new")
    check(asked, "new sheet")
    assert value_of(asked, "marks.0.name") == "aft"
    assert value_of(asked, "marks.0.zero_z_m") is None  # typed from the document, not copied from the model


def test_a_model_that_agrees_is_accepted_by_the_named_checker(box: tuple[Stage, str]):
    stage, path = box
    visitor = stage.visitor("planner")
    stored = visitor.post(f"{path}/new", form(), from_page="/")
    assert stored.status == 302, stored.text
    page = visitor.get(stored.location)
    check(page, stored.location)
    assert "Accepted by R. Hale on 2031-02-01: 21 comparisons." in page.text
    assert "pass" in page.html
    row = page.row_with("draught 2 m, trim 0 m by the stern: displacement")
    assert "1 230.0 t" in row
    overview = visitor.get(path)
    check(overview, path)
    assert "as it stands now" in overview.text
    visitor.cookie("heelwright_units", "us")
    check(visitor.get(stored.location), stored.location)


def test_a_difference_beyond_its_limit_needs_a_reason_and_the_sheet_is_kept_all_the_same(box: tuple[Stage, str]):
    stage, path = box
    visitor = stage.visitor("planner")
    sent = form()
    sent["hydrostatics.0.km_t_m"] = f"{approved(1.5, 0.0)['km_t_m'] + 0.05:.4f}"
    page = visitor.post(f"{path}/new", sent, from_page="/")
    assert page.status == 200
    check(page, "not accepted")
    assert "Kept, and not accepted" in page.text
    assert "−0.050 m" in page.row_with("KM transverse")
    subject = value_of(page, "reasons.0.subject")
    assert subject == "draught 1.5 m, trim 0 m by the stern"
    assert value_of(page, "hydrostatics.0.km_t_m") == sent["hydrostatics.0.km_t_m"]
    reason = {"reasons.0.subject": subject, "reasons.0.reason": "misprint in the approved table"}
    stored = visitor.post(f"{path}/new", sent | reason, from_page="/")
    assert stored.status == 302, stored.text
    accepted = visitor.get(stored.location)
    check(accepted, stored.location)
    assert "beyond, with a reason" in accepted.text
    assert "misprint in the approved table" in accepted.text
    overview = visitor.get(path)
    assert overview.text.count("R. Hale") == 3  # the sentence that counts, and both sheets


def test_what_was_not_compared_is_named_and_nothing_is_accepted_by_omission(box: tuple[Stage, str]):
    stage, path = box
    sent = {name: text for name, text in form().items() if not name.startswith(("marks", "mark_plan", "spaces"))}
    page = stage.visitor("planner").post(f"{path}/new", sent, from_page="/")
    assert page.status == 200
    assert "marks are not compared" in page.text
    assert "which spaces count as buoyant" in page.text


def test_errors_of_a_sheet_stand_beside_their_fields_and_the_figures_are_kept(box: tuple[Stage, str]):
    stage, path = box
    visitor = stage.visitor("planner")
    for wrong, field in (
        ({"hydrostatics.2.km_t_m": "six"}, "hydrostatics.2.km_t_m"),
        ({"hydrostatics.2.displacement_t": "-4"}, "hydrostatics.2.displacement_t"),
        ({"approved_hydrostatics.draughts_from": "underside-of-keel"}, "approved_hydrostatics.keel_thickness_m"),
        ({"checker": ""}, "checker"),
        ({"mark_plan.document": ""}, "mark_plan.document"),
        ({"spaces.0.in_model": ""}, "spaces.0.in_model"),
        ({"marks.0.zero_z_m": ""}, "marks.0.zero_z_m"),
        ({"marks.1.name": "mid", "marks.2.name": "fore", "marks.2.x_m": "3"}, "marks.2.zero_z_m"),
    ):  # fmt: skip
        page = visitor.post(f"{path}/new", form() | wrong, from_page="/")
        assert page.status == 422, wrong
        check(page, str(wrong))
        assert field in refused_fields(page), (wrong, page.text[:400])
        assert value_of(page, "hydrostatics.5.draught_m") == "2.500000"
    assert list(stage.client.model_acceptances.of(path.split("/")[2])) == []


def test_a_named_document_without_figures_is_refused(box: tuple[Stage, str]):
    stage, path = box
    page = stage.visitor("planner").post(f"{path}/new", form() | {"capacity_plan.document": "CP-1"}, from_page="/")
    assert page.status == 422
    check(page, "document alone")
    assert "type its figures" in page.text


def test_a_changed_hull_takes_the_acceptance_away(box: tuple[Stage, str]):
    stage, path = box
    visitor = stage.visitor("planner")
    sheet = visitor.post(f"{path}/new", form(), from_page="/").location
    vessel = path.split("/")[2]
    longer = {"stations": [{"x_m": x, "contour_m": [[0, 0], [5.9, 0], [5.9, 5]]} for x in (0.0, LENGTH_M)]}
    stage.client.vessels.put_part(vessel, "hull", longer, etag=stage.client.vessels.part(vessel, "hull").etag)
    assert "have changed since" in visitor.get(path).text
    assert "older version of the model" in visitor.get(sheet).text


def test_a_reader_reads_sheets_and_stores_none_and_others_see_nothing(box: tuple[Stage, str]):
    stage, path = box
    sheet = stage.visitor("planner").post(f"{path}/new", form(), from_page="/").location
    reader = stage.visitor("reader")
    assert reader.get(sheet).status == 200
    assert reader.post(f"{path}/new", form(), from_page="/").status == 403
    other = stage.client.vessels.create({"name": "Other"}).document["id"]
    stranger = stage.visitor("approver", vessel_ids=[other])
    for page in (stranger.get(sheet), stranger.get(path), stranger.get(f"{path}/new")):
        assert page.status == 404
        assert "R. Hale" not in page.html
    moved = sheet.replace(path.split("/")[2], other)
    assert stranger.get(moved).status == 404  # her sheet is not read through another vessel's address


def test_a_sheet_of_a_vessel_with_144_tanks_stays_a_small_page(box: tuple[Stage, str]):
    stage, path = box
    vessel = path.split("/")[2]
    one = carried(TEST_DAY)["vessel"]["tanks"][0]
    tanks = [one | {"name": f"Ballast wing tank {number} starboard"} for number in range(144)]
    stage.client.vessels.put_part(vessel, "tanks", {"tanks": tanks})
    visitor = stage.visitor("planner")
    asked = visitor.get(f"{path}/new")
    check(asked, "new sheet of 144 tanks")
    sent = form() | {"capacity_plan.document": "CP-1"}
    for number, tank in enumerate(tanks):
        sent |= {f"capacity.{number}.tank": str(tank["name"]), f"capacity.{number}.volume_m3": "1"}
        sent |= {f"capacity.{number}.x_m": "20.2", f"capacity.{number}.y_m": "0", f"capacity.{number}.z_m": "1.0"}
    page = visitor.post(f"{path}/new", sent, from_page="/")
    assert page.status == 200, page.text[:500]
    assert page.faults() == []
    assert "The first 25 of" in page.text
    assert page.size_without_plots() < LARGEST_BYTES, page.size_without_plots()
    (sheet,) = stage.client.model_acceptances.of(vessel)
    for number in (1, 2, 5):
        check(visitor.get(f"{path}/{sheet['id']}?page={number}"), "sheet")


def test_figures_typed_in_feet_and_long_tons_are_compared_in_metres_and_tonnes(box: tuple[Stage, str]):
    stage, path = box
    visitor = stage.visitor("planner")
    foot, ton = US.unit("length").to_si, US.unit("mass").to_si
    sent = form() | {"units": "us"}
    for name, text in form().items():
        if name.endswith("_m"):
            sent[name] = f"{float(text) / foot:.8f}"
        if name.endswith("displacement_t"):
            sent[name] = f"{float(text) / ton:.8f}"
    assert visitor.post(f"{path}/new", sent, from_page="/").status == 302
