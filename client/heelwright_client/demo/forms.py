"""Hull forms, marks and tanks from simple formulas; good enough to compute with, nobody's ship."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

_STATIONS, _POINTS = 21, 13


@dataclass(frozen=True)
class Form:
    """Dimensions [m] and fullness of a hull.

    Parameters
    ----------
    length_m, breadth_m, depth_m : float
        Between perpendiculars, moulded.
    transom : float
        Breadth at the aft end as a part of the full breadth.
    shoulder : float
        Where the fore body begins to taper, as a part of the length.
    bilge : float
        Height of the bilge as a part of the depth: small is boxy, large is deep-veed.
    demihulls : bool
        Two hulls beside the centreline in place of one.
    """

    length_m: float
    breadth_m: float
    depth_m: float
    transom: float = 0.7
    shoulder: float = 0.6
    bilge: float = 0.35
    demihulls: bool = False


def hull(form: Form) -> dict[str, Any]:
    """Shape a hull form.

    Parameters
    ----------
    form : Form
        Its dimensions.

    Returns
    -------
    dict
        The hull as the service takes it: stations from aft to forward.
    """
    places = [index / (_STATIONS - 1) for index in range(_STATIONS)]
    return {"stations": [_station(form, place) for place in places]}


def _station(form: Form, place: float) -> dict[str, Any]:
    shares = [(index / (_POINTS - 1)) ** 1.6 for index in range(_POINTS)]
    if form.demihulls:
        half = 0.13 * form.breadth_m * _plan(form, place)
        middle = 0.36 * form.breadth_m
        outer = [_point(middle + half * _section(form, s), s * form.depth_m) for s in shares]
        inner = [_point(middle - half * _section(form, s), s * form.depth_m) for s in reversed(shares[1:])]
        return {"x_m": round(place * form.length_m, 4), "contour_m": outer + inner}
    half = form.breadth_m / 2.0 * _plan(form, place)
    contour = [_point(half * _section(form, s), s * form.depth_m) for s in shares]
    return {"x_m": round(place * form.length_m, 4), "contour_m": contour}


def _plan(form: Form, place: float) -> float:
    """Breadth along the length as a part of the full breadth; a narrow stem is left at the fore end."""
    if place < 0.3:
        return form.transom + (1.0 - form.transom) * (1.0 - (1.0 - place / 0.3) ** 2)
    if place > form.shoulder:
        return max(0.02, 1.0 - math.pow((place - form.shoulder) / (1.0 - form.shoulder), 2.2))
    return 1.0


def _section(form: Form, share: float) -> float:
    """Half-breadth at a part of the depth as a part of the greatest: a superellipse up to the bilge, upright above."""
    down = 1.0 - min(share / form.bilge, 1.0)
    return math.pow(1.0 - math.pow(down, 2.4), 1.0 / 2.4)


def _point(y: float, z: float) -> list[float]:
    return [round(y, 4), round(z, 4)]


def marks(form: Form) -> dict[str, Any]:
    """Place six draught marks, their zeros on the baseline.

    Parameters
    ----------
    form : Form
        The hull.

    Returns
    -------
    dict
        The marks as the service takes them.
    """
    places = (("aft", 0.04), ("midship", 0.5), ("forward", 0.94))
    return {
        "marks": [
            {
                "name": f"{name} {side}",
                "x_m": round(place * form.length_m, 3),
                "y_m": round(sign * form.breadth_m / 2.0 * _plan(form, place), 3),
                "zero_z_m": 0.0,
            }
            for name, place in places
            for side, sign in (("port", -1.0), ("starboard", 1.0))
        ]
    }


def tanks(form: Form) -> dict[str, Any]:
    """Build two pairs of box tanks: fuel oil amidships, fresh water aft.

    Parameters
    ----------
    form : Form
        The hull.

    Returns
    -------
    dict
        The tanks as the service takes them.
    """
    pairs = (("fuel oil", "fuel oil", 0.45), ("fresh water", "fresh water", 0.25))
    across = 0.36 * form.breadth_m if form.demihulls else 0.2 * form.breadth_m
    return {
        "tanks": [
            _box_tank(form, f"{name} {side}", contents, place, sign * across)
            for name, contents, place in pairs
            for side, sign in (("port", -1.0), ("starboard", 1.0))
        ]
    }


def _box_tank(form: Form, name: str, contents: str, place: float, y_m: float) -> dict[str, Any]:
    length, height, floor = 0.08 * form.length_m, 0.25 * form.depth_m, 0.1 * form.depth_m
    width = (0.1 if form.demihulls else 0.25) * form.breadth_m
    x_m = place * form.length_m
    rows = [
        {
            "sounding_m": round(share * height, 4),
            "volume_m3": round(length * width * share * height, 4),
            "x_m": round(x_m, 3),
            "y_m": round(y_m, 3),
            "z_m": round(floor + share * height / 2.0, 4),
            "i_t_m4": round(length * width**3 / 12.0, 4),
            "i_l_m4": round(width * length**3 / 12.0, 4),
        }
        for share in (0.0, 0.25, 0.5, 0.75, 1.0)
    ]
    return {
        "name": name,
        "contents": contents,
        "capacity_m3": rows[-1]["volume_m3"],
        "pipe": {"x_m": round(x_m - 0.4 * length, 3), "y_m": round(y_m, 3), "zero_z_m": round(floor, 4)},
        "table": rows,
    }
