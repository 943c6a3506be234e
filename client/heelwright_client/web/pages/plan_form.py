"""What the planning form asks, and how its entries become a weight-plan request."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from heelwright_client.units import System
from heelwright_client.web.entry import Entry
from heelwright_client.web.fields import Field, Rows, Spec

_COUNTS = (("4 6", "4 or 6, whichever is better"), ("4", "4"), ("6", "6"), ("2 4 6", "2, 4 or 6"), ("2", "2"))
_INSTRUMENTS = (("pendulum", "pendulum"), ("u-tube", "U-tube"), ("inclinometer", "inclinometer"))
_BAND = (("maximum", "the largest heel of each side"), ("every", "every state away from upright"))

SHIP: Spec = (
    Field("displacement_t", "Displacement", "quantity", "mass", required=True, hint="Without the inclining weights."),
    Field("gm_m", "GM, free surfaces included", "quantity", "length", required=True, hint="Without the weights."),
    Field("gm_uncertainty_m", "Uncertainty of GM (95 %)", "quantity", "length", hint="15 % of GM where left out."),
    Field("breadth_m", "Moulded breadth", "quantity", "length", required=True),
    Field("depth_m", "Moulded depth", "quantity", "length", required=True),
    Field("draught_m", "Draught", "quantity", "length", required=True, hint="Without the weights."),
    Field("initial_heel_deg", "List before the test", "side", "angle", hint="P or S behind it; upright if left out."),
)
WISHES: Spec = (
    Field("heel_band_deg.0", "Least heel wanted", "number", unit="°", hint="2° where left out."),
    Field("heel_band_deg.1", "Largest heel wanted", "number", unit="°", hint="3° where left out."),
    Field("band_applies_to", "The band is for", "choice", options=_BAND),
    Field("target_gm_uncertainty_m", "Uncertainty of GM wanted (95 %)", "quantity", "length"),
    Field("weights_count", "Number of weights", "choice", options=_COUNTS),
    Field("shift_step_m", "Shifts are multiples of", "quantity", "length", hint="0.1 m where left out."),
    Field("weight_step_t", "Or equal weights in steps of", "quantity", "mass", hint="In place of a stock."),
    Field("rule_set", "Rule set", hint="The general one where left out."),
)
POSITIONS = Rows(
    "positions",
    "Places on deck",
    (
        Field("x_m", "Forward of AP", "quantity", "length"),
        Field("y_port_m", "Out to port", "quantity", "length"),
        Field("y_starboard_m", "Out to starboard", "quantity", "length"),
        Field("z_m", "Centre of weight above base", "quantity", "length"),
        Field("units_per_side", "Weights a side", "count"),
        Field("max_mass_t", "Most a side", "quantity", "mass"),
        Field("deck_load_t_per_m2", "Deck load", "number", unit="t/m²"),
    ),
    "Lines across the deck on which weights may stand. Distances from the centreline are written without a sign.",
)
STOCK = Rows(
    "stock",
    "Weights at hand",
    (
        Field("id", "Name"),
        Field("mass_t", "Mass of one", "quantity", "mass"),
        Field("count", "How many", "count"),
        Field("footprint_m2", "Footprint", "quantity", "area"),
        Field("height_m", "Height", "quantity", "length"),
    ),
)
INSTRUMENTS = Rows(
    "instruments",
    "Instruments",
    (
        Field("id", "Name"),
        Field("kind", "Kind", "choice", options=_INSTRUMENTS),
        Field("length_m", "Length or leg spacing", "quantity", "length"),
        Field("resolution_mm", "Read to", "number", unit="mm"),
        Field("resolution_deg", "Inclinometer: read to", "number", unit="°"),
    ),
)
CRANE: Spec = (
    Field("crane.x_m", "Pivot, forward of AP", "quantity", "length"),
    Field("crane.y_m", "Pivot, off the centreline", "side", "length", hint="P or S behind it; 0 on it."),
    Field("crane.radius_max_m", "Largest outreach", "quantity", "length"),
    Field("crane.minutes_per_lift", "Time of one lift", "number", unit="min"),
    Field("crane.onboard", "It belongs to the ship", "flag", hint="Then it is stowed for every reading."),
)
CURVE = Rows(
    "crane_curve",
    "Load curve of the crane",
    (Field("radius_m", "Radius", "quantity", "length"), Field("swl_t", "Safe working load", "quantity", "mass")),
    "By rising radius; it is not extended beyond its ends.",
)
PLAN: Spec = (*SHIP, *WISHES, POSITIONS, STOCK, INSTRUMENTS, *CRANE, CURVE)


def request_of(entry: Entry) -> dict[str, Any]:
    """Turn the entries into a weight-plan request.

    Parameters
    ----------
    entry : Entry
        Of `PLAN`.

    Returns
    -------
    dict
        As the service takes it; distances to port have become negative.
    """
    asked = entry.document()
    asked["weights_count"] = [int(count) for count in str(asked.get("weights_count", "4 6")).split()]
    for position in asked.get("positions", ()):
        if "y_port_m" in position:
            position["y_port_m"] = -position["y_port_m"]
    curve = [[point.get("radius_m"), point.get("swl_t")] for point in asked.pop("crane_curve", ())]
    crane = asked.get("crane") or {}
    if crane or curve:
        asked["crane"] = {"onboard": False, **crane, "curve": curve}
    return asked


def entry_of(asked: Mapping[str, Any], system: System) -> Entry:
    """Fill the form with a weight-plan request.

    Parameters
    ----------
    asked : Mapping
        A request, or a part of one.
    system : System
        The visitor's units.

    Returns
    -------
    Entry
        Of `PLAN`.
    """
    shown = dict(asked)
    counts = asked.get("weights_count")
    if counts:
        given = [counts] if isinstance(counts, int) else counts
        shown["weights_count"] = " ".join(str(count) for count in given)
    shown["positions"] = [
        {**position, "y_port_m": abs(position["y_port_m"])} for position in asked.get("positions", ())
    ]
    curve = (asked.get("crane") or {}).get("curve") or ()
    shown["crane_curve"] = [{"radius_m": radius, "swl_t": load} for radius, load in curve]
    return Entry.of_document(PLAN, shown, system)
