"""The same test told otherwise: mirrored, from another origin, at another scale; results must follow."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

Document = dict[str, Any]
Rule = Callable[[str, Any], Any]

ACROSS = {"y_m", "to_y_m", "tcg_m", "value_mm", "value_deg"}
ALONG = {"x_m", "to_x_m", "lcg_m"}
UPWARD = {"z_m", "to_z_m", "zero_z_m", "point_z_m", "vcg_m"}


def mirrored(record: Document) -> Document:
    """Port for starboard, hull, weights and readings alike."""

    def rule(key: str, value: Any) -> Any:
        if key in ACROSS:
            return -value
        if key == "samples_deg":
            return [-sample for sample in value]
        if key in ("contour_m", "port_contour_m"):
            return [[-y, z] for y, z in value]
        return [value[0], -value[1], value[2]] if key == "[x, y, z]" else value

    changed = _changed(record, rule)
    for station in changed["vessel"].get("hull", {}).get("stations", []):
        port = station.pop("port_contour_m", None)
        if port is None:
            station["contour_m"] = [[-y, z] for y, z in station["contour_m"]]
        else:
            station["contour_m"], station["port_contour_m"] = port, station["contour_m"]
    return changed


def moved(record: Document, forward_m: float, upward_m: float) -> Document:
    """Every place counted from an origin further aft and further down."""

    def rule(key: str, value: Any) -> Any:
        if key in ALONG:
            return value + forward_m
        if key in UPWARD:
            return value + upward_m
        if key in ("contour_m", "port_contour_m"):
            return [[y, z + upward_m] for y, z in value]
        return [value[0] + forward_m, value[1], value[2] + upward_m] if key == "[x, y, z]" else value

    return _changed(record, rule)


def scaled(record: Document, ratio: float) -> Document:
    """The ship as large again by a ratio in every length, in the same water."""
    power = {"m": 1, "mm": 1, "t": 3, "m3": 3, "m4": 4}

    def rule(key: str, value: Any) -> Any:
        if key in ("contour_m", "port_contour_m"):
            return [[y * ratio, z * ratio] for y, z in value]
        if key == "[x, y, z]":
            return [part * ratio for part in value]
        unit = key.rsplit("_", 1)[-1]
        if unit in power and isinstance(value, float | int) and not key.endswith("_per_m3"):
            return value * ratio ** power[unit]
        return value

    return _changed(record, rule)


def _changed(value: Any, rule: Rule, key: str = "") -> Any:
    if key in ("contour_m", "port_contour_m", "samples_deg"):
        return rule(key, value)
    if isinstance(value, dict):
        inner = "[x, y, z]" if key == "positions" else None
        return {name: _changed(item, rule, inner or name) for name, item in value.items() if item is not None}
    if isinstance(value, list) and key != "[x, y, z]":
        return [_changed(item, rule) for item in value]
    return rule(key, value)
