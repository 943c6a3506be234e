"""What was entered, in a line for people: words for names and signs, a unit behind every number."""

from __future__ import annotations

from collections.abc import Mapping

from heelwright_client.cli.spoken import spoken, spoken_time
from heelwright_client.units import System
from heelwright_client.words import MINUS, height, offset, quantity, station

_PLACES = {"x_m": station, "y_m": offset, "z_m": height}
_UNITS = (
    ("_t_per_m3", " t/m³"),
    ("_m_per_s", " m/s"),
    ("_per_cent", " %"),
    ("_percent", " %"),
    ("_t_m", " t·m"),
    ("_minutes", " minutes"),
    ("_deg_c", " °C"),
    ("_m3", " m³"),
    ("_deg", "°"),
    ("_mm", " mm"),
    ("_kg", " kg"),
)


def entry_words(facts: Mapping[str, object], system: System) -> str:
    """Write the facts of one entry.

    Parameters
    ----------
    facts : Mapping
        Values by name, in the unit at the end of each; None is left out.
    system : System
        Display units.

    Returns
    -------
    str
        Parts with commas between them.

    Examples
    --------
    >>> from heelwright_client.units import SI
    >>> entry_words({"mass_t": 4.62, "y_m": -2.15, "lines_slack": True}, SI)
    'mass 4.620 t, 2.150 m P, lines slack yes'
    """
    return ", ".join(_part(name, value, system) for name, value in facts.items() if value is not None)


def _part(name: str, value: object, system: System) -> str:
    if isinstance(value, bool):
        return f"{_label(name)} {'yes' if value else 'no'}"
    if isinstance(value, int | float):
        return _measured(name, value, system)
    if name.endswith("_at"):
        return f"{_label(name)} {spoken_time(str(value))}"
    return f"{_label(name)} {spoken(str(value)) if _is_name(str(value)) else value}"


def _measured(name: str, value: float, system: System) -> str:
    place = _PLACES.get(name.removeprefix("to_"))
    if place is not None:
        return f"{'to ' if name.startswith('to_') else ''}{place(value, system)}"
    for ending, unit in _UNITS:
        if name.endswith(ending):
            return f"{_label(name.removesuffix(ending))} {_plain(value)}{unit}"
    if name.endswith("_m"):
        return f"{_label(name.removesuffix('_m'))} {quantity(value, 'length', system=system)}"
    if name.endswith("_t"):
        return f"{_label(name.removesuffix('_t'))} {quantity(value, 'mass', system=system)}"
    return f"{_label(name)} {_plain(value)}"


def _plain(value: float) -> str:
    return f"{value:.10g}".replace("-", MINUS)


def _label(name: str) -> str:
    return name.replace("_", " ")


def _is_name(value: str) -> bool:
    """Whether a text is a name that programs use: small letters and hyphens alone."""
    return "-" in value and value.replace("-", "").isalpha() and value.islower()
