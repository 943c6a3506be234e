"""Weight-plan requests that hypothesis makes up, with and without a hull to float on, sensible and not."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from heelwright_service.core.documents import from_document
from heelwright_service.core.errors import CoreError
from heelwright_service.core.hull import Hull
from heelwright_service.core.hydrostatics import hydrostatics
from heelwright_service.core.planes import Planes
from heelwright_service.core.record import HullDocument
from hypothesis import strategies as st

from tests.support.random_records import hulls, number

Document = dict[str, Any]
Draw = Callable[[st.SearchStrategy[Any]], Any]

INSTRUMENTS = [
    {"id": "P1", "kind": "pendulum", "length_m": 4.0},
    {"id": "P2", "kind": "pendulum", "length_m": 2.5, "resolution_mm": 1.0},
    {"id": "U", "kind": "u-tube", "length_m": 6.0},
    {"id": "I", "kind": "inclinometer", "resolution_deg": 0.01},
]


@st.composite
def plan_requests(draw: Draw) -> Document:
    """A ship, places on her deck, weights at hand, instruments, and now and then a crane, a hull or nonsense."""
    length, breadth, depth = draw(number(8.0, 200.0)), draw(number(3.0, 40.0)), draw(number(1.5, 20.0))
    draught = draw(number(0.2, 0.8)) * depth
    displacement = 1.025 * length * breadth * draught * draw(number(0.2, 1.0))
    vessel = None
    if draw(st.integers(0, 1)):
        vessel = {"length_bp_m": length, "hull": draw(hulls((length, breadth, depth)))}
        displacement = _afloat_t(vessel, draught) or displacement
    gm = draw(number(0.05, 4.0))
    need = displacement * gm * 0.044 / breadth
    enough = 2 if draw(st.integers(0, 4)) else 1
    request: Document = {
        "displacement_t": displacement,
        "gm_m": gm,
        "breadth_m": breadth,
        "depth_m": depth,
        "draught_m": draught if draw(st.integers(0, 19)) else depth * 1.2,
        "positions": [_position(draw, length, breadth, depth, need) for _ in range(draw(st.integers(1, 2)))],
        "weights_count": draw(st.sampled_from([4, 4, 4, [4, 6], 6, 2])),
        "shift_step_m": draw(st.sampled_from([0.25, 0.5, 1.0])),
        "instruments": draw(
            st.lists(st.sampled_from(INSTRUMENTS), min_size=enough, max_size=2, unique_by=lambda i: i["id"])
        ),
    }
    if draw(st.booleans()):
        request["weight_step_t"] = max(0.001, need * draw(number(0.1, 0.5)))
    else:
        request["stock"] = [_unit(draw, need) for _ in range(draw(st.integers(1, 2)))]
    if vessel is not None:
        request["vessel"] = vessel
    return request | _extras(draw, breadth, need)


def _afloat_t(vessel: Document, draught_m: float) -> float | None:
    """What the hull displaces at the draught, where it is a hull at all."""
    try:
        hull = Hull.from_document(from_document(HullDocument, vessel["hull"]), vessel["length_bp_m"])
    except CoreError:
        return None
    volume = float(hydrostatics(hull, Planes.of(vessel["length_bp_m"], draught_m)).volume_m3[0])
    return 1.025 * volume if volume > 0.0 else None


def _position(draw: Draw, length: float, breadth: float, depth: float, need: float) -> Document:
    reach = draw(number(0.05, 0.55)) * breadth
    place = {
        "x_m": draw(number(0.2, 0.8)) * length,
        "y_port_m": -reach,
        "y_starboard_m": reach * draw(number(0.6, 1.0)),
        "z_m": depth * draw(number(0.8, 1.3)),
    }
    if not draw(st.integers(0, 2)):
        place["max_mass_t"] = need * draw(number(0.5, 20.0))
    if not draw(st.integers(0, 3)):
        place["units_per_side"] = draw(st.integers(1, 6))
    if not draw(st.integers(0, 3)):
        place["deck_load_t_per_m2"] = max(1e-6, need * draw(number(0.1, 5.0)))
    return place


def _unit(draw: Draw, need: float) -> Document:
    unit = {"mass_t": max(1e-6, need * draw(number(0.2, 4.0))), "count": draw(st.sampled_from([4, 4, 6, 8, 1]))}
    return unit | ({"footprint_m2": draw(number(0.1, 4.0))} if draw(st.booleans()) else {})


def _extras(draw: Draw, breadth: float, need: float) -> Document:
    extras: Document = {}
    if not draw(st.integers(0, 3)):
        bands = [[1.0, 4.0], [1.0, 4.0], [2.0, 2.1], [0.1, 0.5], [3.0, 2.0], [0.0, 9.0]]
        extras["heel_band_deg"] = draw(st.sampled_from(bands))
    if not draw(st.integers(0, 3)):
        extras["initial_heel_deg"] = draw(number(-5.0, 5.0))
    if not draw(st.integers(0, 3)):
        extras["gm_uncertainty_m"] = draw(number(0.0, 1.0))
    if not draw(st.integers(0, 3)):
        extras["band_applies_to"] = "every"
    if not draw(st.integers(0, 3)):
        radius = draw(number(0.2, 2.0)) * breadth
        extras["crane"] = {
            "x_m": draw(number(0.0, 50.0)),
            "y_m": draw(number(-1.0, 1.0)) * breadth,
            "radius_max_m": radius,
            "curve": [[0.5, need * 20.0], [radius, max(1e-6, need * draw(number(0.1, 10.0)))]],
            "onboard": draw(st.booleans()),
            "minutes_per_lift": 6.0,
        }
    if not draw(st.integers(0, 3)):
        extras["target_gm_uncertainty_m"] = draw(number(0.001, 0.1))
    return extras
