"""On a hull form a far place may balance the trim: none is left out unsaid, shown by trying all choices of places."""

from __future__ import annotations

import itertools
import random
from typing import Any

import pytest
from heelwright_service.core.documents import from_document
from heelwright_service.core.planning import PlanRequest, plan_weights, searching
from heelwright_service.core.planning.limits import Limits
from heelwright_service.core.planning.modelling import model_of, ship_of
from heelwright_service.core.planning.precision import SlopeUncertainty
from heelwright_service.core.planning.solving import best_choice

from tests.service.core.planning.test_impossible_requests import BOX
from tests.service.core.planning.test_weight_plans import request

WIDE_AFT = {"x_m": 2.0, "y_port_m": -6.5, "y_starboard_m": 6.5, "z_m": 8.6, "units_per_side": 2}
READ = [{"id": "P1", "kind": "pendulum", "length_m": 6.0}, {"id": "I1", "kind": "inclinometer"}]


def narrow(x_m: float) -> dict[str, Any]:
    return {"x_m": x_m, "y_port_m": -3.5, "y_starboard_m": 3.5, "z_m": 8.6, "units_per_side": 1}


def asked(positions: list[dict[str, Any]], **other: Any) -> PlanRequest:
    """A box of 2 500 t at GM 4 m: heavy weights, so that her limit of trim, 1 % of 38.7 m, bites."""
    changed = {"gm_m": 4.0, "vessel": BOX, "instruments": READ, "heel_band_deg": [2.2, 3.2], "positions": positions}
    return from_document(PlanRequest, request(**(changed | other)))


def lightest_t(positions: list[dict[str, Any]], **other: Any) -> float | None:
    """Mass of the lightest plan that the search finds [t]."""
    wanted = asked(positions, **other)
    ship = ship_of(wanted, model_of(wanted), SlopeUncertainty.of(wanted))
    found = best_choice(wanted, ship, Limits.of(wanted))
    return None if found is None else round(found.mass_t, 6)


def lightest_of_four_t(positions: list[dict[str, Any]], **other: Any) -> float | None:
    """The same over all choices of four places: four weights take no more, and of four none is ever left out."""
    masses = [lightest_t(list(four), **other) for four in itertools.combinations(positions, 4)]
    return min((mass for mass in masses if mass is not None), default=None)


def test_a_far_place_that_balances_a_wide_one_is_found() -> None:
    """Two weights at the wide place trim her by 2·22·17.35 = 763 t·m of some 690; far forward ones take it back."""
    places = [WIDE_AFT, *(narrow(x) for x in (15.0, 16.5, 18.0, 19.5, 20.5)), narrow(36.0), narrow(37.0)]
    stock = [{"mass_t": 22.0, "count": 4}]
    plan = plan_weights(asked(places, stock=stock))
    assert plan.feasible
    assert next(check.status for check in plan.checks if check.id == "P-19") == "pass"
    assert {weight.position for weight in plan.weights} & {7, 8}
    assert lightest_t(places[:6], stock=stock) is None


def compare(seed: int) -> None:
    draw = random.Random(seed)
    places = [WIDE_AFT | {"x_m": draw.choice([2.0, 36.0])}, *(narrow(draw.uniform(3.0, 37.0)) for _ in range(6))]
    stock = [{"mass_t": round(draw.uniform(18.0, 28.0), 1), "count": 4} for _ in range(2)]
    assert lightest_t(places, stock=stock) == lightest_of_four_t(places, stock=stock)


@pytest.mark.parametrize("seed", [5, 21])
def test_the_plan_is_the_lightest_over_all_choices_of_places(seed: int) -> None:
    """With the four places alike that are nearest to the centre of flotation there is no plan, or a heavier one."""
    compare(seed)


@pytest.mark.heavy
@pytest.mark.parametrize("seed", range(24))
def test_the_plan_is_the_lightest_over_all_choices_of_places_of_many_ships(seed: int) -> None:
    compare(seed)


def test_where_all_places_are_too_many_those_left_out_are_told(monkeypatch: pytest.MonkeyPatch) -> None:
    places = [WIDE_AFT, *(narrow(8.0 + 2.0 * n) for n in range(12))]
    stock = [{"mass_t": 22.0, "count": 4}]
    whole = plan_weights(asked(places, stock=stock))
    monkeypatch.setattr(searching, "WHOLE_WORK", 1)
    part = plan_weights(asked(places, stock=stock))
    told = [text for text in part.cautions if "nearest to the centre of flotation were searched" in text]
    assert len(told) == 1
    assert not any("nearest to the centre of flotation were searched" in text for text in whole.cautions)
    assert len(whole.checks) == len(part.checks)
    assert [each.status for each in part.checks if each.id == "capacity"] == ["pass"]
