"""What the profile of a vessel shows: her lightship, logged alterations and the implied centre of the change."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any

from heelwright_client.drift_points import COVERAGE
from heelwright_client.web.drawings.body_plan import body_plan
from heelwright_client.web.drawings.inline import Figure, inline_at_both
from heelwright_client.web.drawings.marks import Mark
from heelwright_client.web.drawings.profile import profile
from heelwright_client.web.wording import Say

_SHAPES = {
    "added": ("plus", "Plus: logged addition."),
    "removed": ("cross", "Cross: logged removal."),
    "relocated": ("square", "Square: logged relocation."),
}
_NUMBERS = "Numbers: as in the table of alterations."
_MOST_MARKS = 40


def hull_drawings(
    vessel: Mapping[str, Any],
    hull: Mapping[str, Any],
    drift: Mapping[str, Any] | None,
    alterations: Sequence[Mapping[str, Any]],
    say: Say,
) -> dict[str, Figure]:
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
    say : Say
        The visitor's words and units.

    Returns
    -------
    dict
        ``body`` and ``profile``.
    """
    stations = hull["stations"]
    ends = [station["x_m"] for station in stations]
    length = vessel.get("length_bp_m") or max(ends) - min(0.0, *ends)
    marks = [*_baseline(drift), *_implied(drift), *_added(alterations), *_logged(alterations)]
    name = vessel["name"]
    return {
        "body": inline_at_both(lambda width: body_plan(stations, length, name, say, width), "body"),
        "profile": inline_at_both(lambda width: profile(stations, length, name, say, marks, width), "profile"),
    }


def _baseline(drift: Mapping[str, Any] | None) -> list[Mark]:
    if not drift:
        return []
    found = drift["baseline"]
    name = "Circle G" if found["vcg_m"] is not None else "G"
    note = f"{name}: centre of gravity of the approved lightship."
    return [Mark("G", found["lcg_m"], found["vcg_m"], "circle", words="lightship", notes=(note,))]


def _logged(alterations: Sequence[Mapping[str, Any]]) -> list[Mark]:
    standing = in_force(alterations)
    return [_weight(each, number, len(standing)) for number, each in enumerate(standing[:_MOST_MARKS], start=1)]


def _weight(each: Mapping[str, Any], number: int, count: int) -> Mark:
    shape, note = _SHAPES.get(each["kind"], _SHAPES["added"])
    numbers = _NUMBERS if count <= _MOST_MARKS else f"{_NUMBERS} The first {_MOST_MARKS} of {count} are drawn."
    to = (each["to_x_m"], each["to_z_m"]) if each.get("to_x_m") is not None else None
    return Mark(str(number), each["x_m"], each["z_m"], shape, to=to, notes=(note, numbers))


def _added(alterations: Sequence[Mapping[str, Any]]) -> list[Mark]:
    """The centre of what was added, where that is more than one weight; sum(m x) / sum(m), as of any masses."""
    added = [each for each in in_force(alterations) if each["kind"] == "added"]
    mass = math.fsum(each["mass_t"] for each in added)
    if len(added) < 2 or not mass:
        return []
    x, z = (math.fsum(each["mass_t"] * each[axis] for each in added) / mass for axis in ("x_m", "z_m"))
    note = "Triangle A: common centre of the logged additions."
    return [Mark("A", x, z, "triangle", words="additions", notes=(note,))]


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
    """The centre of the weight by which the latest measured lightship differs."""
    items = [item for item in (drift or {}).get("items", ()) if item.get("implied_centre_m")]
    if not items:
        return []
    item = max(items, key=lambda each: str(each["date"]))
    centre = item["implied_centre_m"]
    height, doubtful = centre.get("z"), bool(item["error_likelier_than_weight"])
    gained = item["delta"]["mass_t"]["value"] > 0
    change = "growth" if gained else "loss"
    note = f"{'Diamond C' if height else 'C'}: where the weight {'gained' if gained else 'lost'} would have to be."
    if doubtful:
        note += " An error of the survey or the test is likelier than such a weight."
    return [
        Mark(
            "C",
            centre["x"]["value"],
            height["value"] if height else None,
            "diamond",
            COVERAGE * centre["x"]["standard"],
            COVERAGE * height["standard"] if height else 0.0,
            doubtful,
            words="look for an error" if doubtful else f"implied {change}",
            notes=(note,),
        )
    ]
