"""What the tests of the API share: the simplest hull, and a vessel that has been entered."""

from __future__ import annotations

from typing import Any

import pytest

from tests.support.app import Api

CONTOUR = [[0, 0], [6, 0], [6, 5]]


@pytest.fixture
def box() -> dict[str, Any]:
    """A box hull 50 m long, 12 m broad and 5 m deep."""
    return {"stations": [{"x_m": 0, "contour_m": CONTOUR}, {"x_m": 50, "contour_m": CONTOUR}]}


@pytest.fixture
def vessel(api: Api) -> str:
    """The path of a vessel that has been entered."""
    facts = {"name": "Alder", "kind": "passenger", "fleet": "North", "length_bp_m": 50.0, "length_m": 52.0}
    return f"/vessels/{api.post('/vessels', facts).get_json()['id']}"
