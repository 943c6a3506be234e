"""Other ways to a centre over the API: each answer says what it is."""

from __future__ import annotations

from typing import Any

import pytest

from tests.support.app import Api


def swing(**more: Any) -> dict[str, Any]:
    """Ten tonnes under a pivot at 4 m, 50 kg moved by a metre either way: her centre is at 1.5 m (derived here).

    The whole hangs with its centre 12.5/10.05 m below the pivot where 0.05 t·m tilt it by 0.004.
    """
    places = (1.0, 2.0, 1.0, 0.0, 1.0)
    return {
        "swinging_mass_t": 10.05,
        "pivot_z_m": 4.0,
        "inclining_weights": [{"id": "A", "mass_t": 0.05}],
        "states": [{"number": i, "positions": {"A": [4.0, y, 2.7]}} for i, y in enumerate(places)],
        "instruments": [{"id": "P", "kind": "pendulum", "length_m": 2.0}],
        "readings": [{"state": i, "instrument": "P", "value_mm": 8.0 * (y - 1.0)} for i, y in enumerate(places)],
    } | more


def test_a_roll_period_is_a_rough_cross_check_and_says_so(api: Api) -> None:
    """GM = (f·B/T)², f = 0.85 by default: 4 m breadth and 4 s give 0.7225 m."""
    answer = api.post("/roll-period", {"breadth_m": 4.0, "runs": [{"duration_s": 40.0, "oscillations": 10}]})
    assert answer.status_code == 200
    found = answer.get_json()
    assert found["gm_m"] == pytest.approx(0.7225)
    assert found["label"] == "rough cross-check, cannot show compliance"
    assert found["standard_uncertainty_m"] > 0.1


def test_a_weighing_gives_mass_and_place_and_no_height(api: Api) -> None:
    cells = [{"x_m": 2.0, "y_m": 0.5, "load_t": 6.0}, {"x_m": 8.0, "y_m": -0.5, "load_t": 4.0}]
    answer = api.post("/weighings", {"cells": cells, "tares": [{"mass_t": 1.0, "x_m": 5.0, "y_m": 0.0}]})
    assert answer.status_code == 200
    found = answer.get_json()
    assert found["mass_t"] == 9.0
    assert found["lcg_m"] == pytest.approx((6.0 * 2.0 + 4.0 * 8.0 - 5.0) / 9.0)
    assert found["tcg_m"] == pytest.approx(1.0 / 9.0)
    assert found["vcg_m"] is None
    assert "no height" in found["label"]


def test_a_craft_in_air_is_reduced_from_its_own_record_without_water(api: Api) -> None:
    answer = api.post("/air-inclinings", swing())
    assert answer.status_code == 200
    found = answer.get_json()
    whole = 4.0 - 12.5 / 10.05
    assert found["swinging_vcg_m"] == pytest.approx(whole, abs=1e-9)
    assert found["vcg_m"] == pytest.approx((10.05 * whole - 0.05 * 2.7) / 10.0, abs=1e-9)
    assert "no water" in found["label"]


def test_two_hooks_make_a_pivot(api: Api) -> None:
    hooks = {"aft_x_m": 2.0, "aft_z_m": 3.8, "fwd_x_m": 8.0, "fwd_z_m": 4.4, "lcg_m": 4.0}
    found = api.post("/air-inclinings", swing(pivot_z_m=None, hooks=hooks)).get_json()
    assert found["pivot_z_m"] == pytest.approx(4.0)


def reading(number: int, value_mm: float) -> dict[str, Any]:
    return {"state": number, "instrument": "P", "value_mm": value_mm}


def state(number: int, z_m: float) -> dict[str, Any]:
    return {"number": number, "positions": {"A": [4.0, float(number), z_m]}}


@pytest.mark.parametrize(
    ("path", "body", "code", "pointer"),
    [
        ("/air-inclinings", swing(pivot_z_m=None), "pivot-ambiguous", "/pivot_z_m"),
        ("/air-inclinings", swing(states=[state(i, 2.7 + i) for i in range(5)]), "weight-height", "/states"),
        ("/air-inclinings", swing(swinging_mass_t=0.05), "nothing-left", "/attached"),
        (
            "/air-inclinings",
            swing(readings=[reading(i, -v) for i, v in enumerate((0, 8, 0, -8, 0))]),
            "swing-reversed",
            "/readings",
        ),
        (
            "/air-inclinings",
            swing(readings=[reading(i, 1e-9 * v) for i, v in enumerate((0, 8, 0, -8, 0))]),
            "swing-still",
            "/readings",
        ),
        (
            "/air-inclinings",
            swing(readings=[{"state": 9, "instrument": "P", "value_mm": 1.0}]),
            "state-unknown",
            "/readings/0/state",
        ),
        (
            "/air-inclinings",
            swing(pivot_z_m=None, hooks={"aft_x_m": 2, "aft_z_m": 4, "fwd_x_m": 2, "fwd_z_m": 4, "lcg_m": 4}),
            "zero-divisor",
            "/hooks/fwd_x_m",
        ),
        (
            "/weighings",
            {"cells": [{"x_m": 0, "y_m": 0, "load_t": 1}], "tares": [{"mass_t": 1, "x_m": 0, "y_m": 0}]},
            "nothing-left",
            "/tares",
        ),
    ],
)
def test_what_makes_no_sense_is_refused_at_its_field(
    api: Api, path: str, body: dict[str, Any], code: str, pointer: str
) -> None:
    refused = api.post(path, body)
    assert (refused.status_code, refused.get_json()["code"]) == (422, code)
    assert refused.get_json()["errors"][0]["pointer"] == pointer


@pytest.mark.parametrize(
    ("path", "body", "pointer"),
    [
        ("/roll-period", {"breadth_m": 4.0, "runs": []}, "/runs"),
        ("/roll-period", {"breadth_m": 4.0, "runs": [{"duration_s": 1e-9, "oscillations": 9}]}, "/runs/0/duration_s"),
        ("/roll-period", {"breadth_m": 4.0, "runs": [{"duration_s": 40, "oscillations": 0}]}, "/runs/0/oscillations"),
        ("/weighings", {"cells": [{"x_m": 0, "y_m": 0, "load_t": -1}]}, "/cells/0/load_t"),
        ("/weighings", {"cells": [{"x_m": 0, "y_m": 0, "load_t": 1, "z_m": 2}]}, "/cells/0/z_m"),
        ("/air-inclinings", swing(water={"samples": []}), "/water"),
    ],
)
def test_a_wrong_shape_is_refused(api: Api, path: str, body: dict[str, Any], pointer: str) -> None:
    refused = api.post(path, body)
    assert refused.status_code == 422
    assert pointer in [fault["pointer"] for fault in refused.get_json()["errors"]]
