"""Plan weights: the whole question stands in the address; signs are words; what binds and what was refused is said."""

from __future__ import annotations

from urllib.parse import urlencode

import pytest
from heelwright_client.demo.documents import WEIGHT_PLAN, carried
from heelwright_client.units import SI, US_DECIMAL
from heelwright_client.web.pages.plan_form import entry_of, request_of
from heelwright_client.web.wording import Say

from tests.client.web.conftest import Stage
from tests.client.web.visitor import Page, words


def asked(stage: Stage, system: str = "si", **changed: str) -> Page:
    """The page that answers the example, some of its entries changed."""
    chosen = SI if system == "si" else US_DECIMAL
    form = entry_of(carried(WEIGHT_PLAN), chosen).texts | {"units": system, "weights_count": "4 6"} | changed
    page = stage.visitor("reader").get(f"/plan?{urlencode(form)}")
    assert page.faults() == []
    return page


def test_the_form_makes_the_request_that_filled_it():
    request = carried(WEIGHT_PLAN)
    request["crane"] = {"x_m": 30.0, "y_m": -2.0, "radius_max_m": 16.0, "curve": [[6.0, 12.0], [16.0, 5.0]],
                        "onboard": True, "minutes_per_lift": 8.0}  # fmt: skip
    entry = entry_of(request | {"weights_count": [4, 6]}, SI)
    assert request_of(entry) == request | {"weights_count": [4, 6]}


def test_the_page_shows_every_state_with_its_heel_in_words(empty: Stage):
    page = asked(empty)
    plan = empty.client.weight_plans.compute({**carried(WEIGHT_PLAN), "weights_count": [4, 6]})
    say = Say(SI)
    for state in plan["states"][1:]:
        row = page.row_with(f"{state['number']} {state['lift']['weight']}")
        assert say.heel(state["heel_deg"]["expected"]) in row
    for check in plan["checks"]:
        assert f"[{check['id']}]" in page.text
    for caution in plan["cautions"]:
        assert " ".join(caution.split()) in page.text
    assert "−" not in page.row_with("to port")


def test_the_same_question_in_feet_and_long_tons_gives_the_same_plan(empty: Stage):
    metric, customary = asked(empty), asked(empty, "us-decimal")
    leads = [next(p for p in page.all("p") if p.get("class") == "lead") for page in (metric, customary)]
    assert words(leads[0]) == words(leads[1])


def test_an_infeasible_question_says_what_binds_and_what_would_mend_it(empty: Stage):
    page = asked(empty, gm_m="1.4")
    plan = empty.client.weight_plans.compute({**carried(WEIGHT_PLAN), "gm_m": 1.4, "weights_count": [4, 6]})
    assert plan["feasible"] is False
    assert "No plan keeps all limits" in page.text
    assert str(plan["binding_constraint"]) in page.text
    assert "It is not to be used as it is." in page.text


def test_a_question_that_no_change_helps_says_what_has_to_be_known_first_and_shows_no_weights(empty: Stage):
    awash = {"gm_m": "0.08", "gm_uncertainty_m": "0.27", "depth_m": str(carried(WEIGHT_PLAN)["draught_m"] + 0.001)}
    page = asked(empty, **awash)
    assert page.status == 200
    assert "No plan can be made" in page.text
    assert "stability: GM lies between" in page.text
    assert "first make sure that GM is 0.20 m or more at the lower end of its range" in page.text
    assert "States of the test" not in page.text
    assert "flag Administration" in page.text


@pytest.mark.parametrize(
    ("name", "text", "told"),
    [
        ("gm_m", "", "This is needed."),
        ("gm_m", "1,05", "comma"),
        ("draught_m", "9", "deck"),
        ("initial_heel_deg", "1.2", "does not say which side"),
        ("positions.1.y_port_m", "0", "y_port_m"),
        ("instruments.0.length_m", "", "length"),
    ],
)
def test_a_refused_entry_is_told_beside_its_field_and_kept(empty: Stage, name: str, text: str, told: str):
    page = asked(empty, **{name: text})
    assert page.status == 422
    field = next(each for each in page.all("input") if each.get("name") == name)
    assert field.get("value", "") == text
    assert field.get("aria-invalid") == "true"
    assert told in page.text
    assert next(each for each in page.all("input") if each.get("name") == "displacement_t").get("value") == "1480"


def test_a_stored_hull_gives_the_heels_of_true_equilibrium(fleet: Stage):
    vessel = fleet.vessel("Merrowdale")
    form = entry_of(carried(WEIGHT_PLAN), SI).texts | {"units": "si", "weights_count": "4", "vessel": vessel}
    page = fleet.visitor().get(f"/plan?{urlencode(form)}")
    assert page.status == 200, page.text[:400]
    assert "No hull form or hydrostatic table is given" not in page.text
    assert "Plan weights: Merrowdale" in page.text


def test_a_vessels_dimensions_are_filled_in_and_nothing_else_is_guessed(fleet: Stage):
    page = fleet.visitor().get(f"/plan?vessel={fleet.vessel('Quillmoor')}")
    values = {each.get("name"): each.get("value", "") for each in page.all("input")}
    assert (values["breadth_m"], values["depth_m"]) == ("15.6", "8.4")
    assert values["displacement_t"] == values["gm_m"] == ""
