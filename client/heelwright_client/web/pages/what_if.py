"""The uncertainties that may be changed to see what they do to the interval."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from heelwright_client.units import System
from heelwright_client.web.entry import Entry
from heelwright_client.web.fields import Field, Spec, singles

_METHODS = (("", "as the service chooses"), ("both", "both"), ("small-angle", "small angle"),
            ("heeled-equilibrium", "heeled equilibrium"))  # fmt: skip
_WAYS = (("linear", "linear propagation"), ("monte-carlo", "Monte Carlo"), ("none", "none"))
_RELATIVE = ("weight_mass_relative", "tank_volume_relative", "item_mass_relative", "hull_volume_relative")

WHAT_IF: Spec = (
    Field("uncertainties.draught_m", "Draught", "quantity", "length"),
    Field("uncertainties.freeboard_m", "Freeboard", "quantity", "length"),
    Field("uncertainties.density_t_per_m3", "Density of the water", "number", unit="t/m³"),
    Field("uncertainties.reading_m", "Reading of a batten or tube", "quantity", "length"),
    Field("uncertainties.reading_deg", "Reading of an inclinometer", "number", unit="°"),
    Field("uncertainties.pendulum_length_m", "Length of a pendulum", "quantity", "length"),
    Field("uncertainties.weight_mass_relative", "Mass of an inclining weight", "number", unit="%"),
    Field("uncertainties.weight_position_m", "Place of an inclining weight", "quantity", "length"),
    Field("uncertainties.sounding_m", "Sounding", "quantity", "length"),
    Field("uncertainties.sounding_datum_m", "Datum of all soundings", "quantity", "length"),
    Field("uncertainties.tank_volume_relative", "Volume of a tank", "number", unit="%"),
    Field("uncertainties.item_mass_relative", "Mass of a surveyed item", "number", unit="%"),
    Field("uncertainties.item_position_m", "Place of a surveyed item", "quantity", "length"),
    Field("uncertainties.unlisted_mass_t", "Mass of what is not listed", "quantity", "mass"),
    Field("uncertainties.unlisted_moment_t_m", "Moment of what is not listed", "quantity", "moment"),
    Field("uncertainties.hull_volume_relative", "Volume of the hull form", "number", unit="%"),
    Field("uncertainties.km_m", "KM of a hydrostatic table", "quantity", "length"),
    Field("method", "Method", "choice", options=_METHODS),
    Field("uncertainty", "Uncertainty by", "choice", options=_WAYS),
    Field("draws", "Draws", "count", hint="Monte Carlo only."),
    Field("seed", "Seed", "count", hint="The same seed gives the same answer."),
)


def entry_for(record: Mapping[str, Any], system: System) -> Entry:
    """Fill the form with what a record says.

    Parameters
    ----------
    record : Mapping
        A test record.
    system : System
        The visitor's units.

    Returns
    -------
    Entry
        Of `WHAT_IF`; empty where the record leaves an uncertainty to the defaults.
    """
    stated = dict(record.get("uncertainties") or {})
    for name in _RELATIVE:
        if stated.get(name) is not None:
            stated[name] = 100.0 * stated[name]
    return Entry.of_document(WHAT_IF, {"uncertainties": stated, "uncertainty": "linear"}, system)


def changed(record: Mapping[str, Any], entry: Entry) -> tuple[dict[str, Any], dict[str, Any]]:
    """Put the form's uncertainties in place of the record's.

    Parameters
    ----------
    record : Mapping
        A test record.
    entry : Entry
        Of `WHAT_IF`, without errors.

    Returns
    -------
    (dict, dict)
        The changed record, and the choices of method, uncertainty, draws and seed.
    """
    document = entry.document()
    asked = {field.name.partition(".")[2] for field in singles(WHAT_IF)}
    kept = {name: value for name, value in (record.get("uncertainties") or {}).items() if name not in asked}
    stated = kept | document.pop("uncertainties", {})
    for name in _RELATIVE:
        if name in stated:
            stated[name] = stated[name] / 100.0
    fresh = {name: value for name, value in record.items() if name != "uncertainties"}
    if stated:
        fresh["uncertainties"] = stated
    if document.get("uncertainty") != "monte-carlo":
        document.pop("draws", None)
        document.pop("seed", None)
    return fresh, document
