"""What the profile of a vessel shows: her lightship, logged alterations and the implied centre of the growth."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any

from heelwright_client.drift_points import COVERAGE
from heelwright_client.web.drawings.hull import Mark, body_plan, profile
from heelwright_client.web.drawings.inline import inline_at_both

_SHAPES = {"added": "plus", "removed": "cross", "relocated": "square"}
_MOST_MARKS = 40


def hull_drawings(
    vessel: Mapping[str, Any],
    hull: Mapping[str, Any],
    drift: Mapping[str, Any] | None,
    alterations: Sequence[Mapping[str, Any]],
) -> dict[str, Any]:
    """Draw a vessel's body plan and profile.

    Parameters
    ----------
    vessel : Mapping
        Her particulars.
    hull : Mapping
        Her stations.
    drift : Mapping or None
        Where the baseline and the implied centre come from.
    alterations : sequence of Mapping
        Logged weights, those in force.

    Returns
    -------
    dict
        ``body``, ``profile`` and ``keys``: what each letter and number in the profile stands for.
    """
    stations = hull["stations"]
    ends = [station["x_m"] for station in stations]
    length = vessel.get("length_bp_m") or max(ends) - min(0.0, *ends)
    marks = [*_baseline(drift), *_logged(alterations), *_added(alterations), *_implied(drift)]
    name = vessel["name"]
    return {
        "body": inline_at_both(lambda width: body_plan(stations, length, name, width), "body"),
        "profile": inline_at_both(lambda width: profile(stations, length, name, marks, width), "profile"),
        "implied": any(mark.key == "C" for mark in marks),
        "stations": len(stations),
    }


def _baseline(drift: Mapping[str, Any] | None) -> list[Mark]:
    if not drift:
        return []
    found = drift["baseline"]
    return [Mark("G", found["lcg_m"], found["vcg_m"], "circle", words="lightship")]


def _logged(alterations: Sequence[Mapping[str, Any]]) -> list[Mark]:
    return [
        Mark(
            str(number),
            each["x_m"],
            each["z_m"],
            _SHAPES.get(each["kind"], "plus"),
            to=(each["to_x_m"], each["to_z_m"]) if each.get("to_x_m") is not None else None,
        )
        for number, each in enumerate(in_force(alterations)[:_MOST_MARKS], start=1)
    ]


def _added(alterations: Sequence[Mapping[str, Any]]) -> list[Mark]:
    """The centre of what was added, where that is more than one weight; sum(m x) / sum(m), as of any masses."""
    added = [each for each in in_force(alterations) if each["kind"] == "added"]
    mass = math.fsum(each["mass_t"] for each in added)
    if len(added) < 2 or not mass:
        return []
    x, z = (math.fsum(each["mass_t"] * each[axis] for each in added) / mass for axis in ("x_m", "z_m"))
    return [Mark("A", x, z, "triangle", words="centre of additions")]


def in_force(alterations: Sequence[Mapping[str, Any]]) -> list[Mapping[str, Any]]:
    """Return the alterations that count: neither corrected nor withdrawn.

    Parameters
    ----------
    alterations : sequence of Mapping
        As the service gives them.

    Returns
    -------
    list of Mapping
        In their order.
    """
    return [each for each in alterations if not each.get("corrected_by") and not each.get("withdrawn")]


def _implied(drift: Mapping[str, Any] | None) -> list[Mark]:
    """The centre of the growth shown by the latest measured lightship."""
    items = [item for item in (drift or {}).get("items", ()) if item.get("implied_centre_m")]
    if not items:
        return []
    item = max(items, key=lambda each: str(each["date"]))
    centre = item["implied_centre_m"]
    height = centre.get("z")
    return [
        Mark(
            "C",
            centre["x"]["value"],
            height["value"] if height else None,
            "diamond",
            COVERAGE * centre["x"]["standard"],
            COVERAGE * height["standard"] if height else 0.0,
            bool(item["error_likelier_than_weight"]),
            words="implied growth",
        )
    ]
