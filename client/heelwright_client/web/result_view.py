"""What the pages show of a test result."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from heelwright_client.drift_points import COVERAGE
from heelwright_client.moment_drawing import moment_picture
from heelwright_client.moment_points import moment_lines
from heelwright_client.units import Dimension
from heelwright_client.web.drawings.budget import share_bar
from heelwright_client.web.drawings.inline import Figure, inline_at_both
from heelwright_client.web.drawings.interval import interval_bar
from heelwright_client.web.ledger import add_up
from heelwright_client.web.plan_view import judged
from heelwright_client.web.wording import Say

_LARGEST_SHARES = 8
_LEAST_SHARE = 0.0005
_BUDGETS = (("vcg_m", "VCG"), ("mass_t", "mass"), ("lcg_m", "LCG"), ("tcg_m", "TCG"), ("gm_fluid_m", "GM"))
Item = Mapping[str, Any]


def result_view(result: Item, record: Item, say: Say) -> dict[str, Any]:
    """Prepare everything the page says about a result.

    Parameters
    ----------
    result : Mapping
        The service's answer.
    record : Mapping
        The record that was reduced.
    say : Say
        The visitor's words.

    Returns
    -------
    dict
        By the names that the template uses.
    """
    return {
        "result": result,
        **judged(result["checks"]),
        "lightship": _lightship(result, say),
        "methods": _methods(result, say),
        "instruments": _instruments(result, say),
        "moment": moment_line(record, say),
        "points": _points(result),
        "budgets": _budgets(result, say),
        "sum": add_up(result["lightship_table"], result["lightship"]),
        "half": {name: half_of(result, name) for name in ("displacement_t", "gm_fluid_m", "kg_m")},
    }


def half_of(result: Item, name: str) -> float | None:
    """Return half the width of the 95 % interval of a quantity.

    Parameters
    ----------
    result : Mapping
        A test result.
    name : str
        Such as ``vcg_m``.

    Returns
    -------
    float or None
        None where no uncertainty was computed.
    """
    found = _quantities(result).get(name)
    return None if found is None else (found["high_95"] - found["low_95"]) / 2.0


def moment_line(record: Item, say: Say) -> Figure | None:
    """Draw the moment line of a record.

    Parameters
    ----------
    record : Mapping
        A test record.
    say : Say
        The visitor's words.

    Returns
    -------
    Figure or None
        None for a lightweight survey.
    """
    lines = moment_lines(record)
    if not lines:
        return None
    name = (record.get("vessel") or {}).get("name")
    title = f"Moment line of the {name}" if name else "Moment line"
    return inline_at_both(lambda width: moment_picture(lines, title, say.system, width), "moment")


def _quantities(result: Item) -> Item:
    found: Item = (result.get("uncertainty") or {}).get("quantities") or {}
    return found


def _lightship(result: Item, say: Say) -> list[tuple[str, str, str]]:
    """Name, value to the digits that are known, and the 95 % interval."""
    ship = result["lightship"]
    writers = (("mass", "mass_t", say.mass), ("LCG", "lcg_m", say.station), ("TCG", "tcg_m", say.offset))
    rows = [(name, key, write(ship[key], half_of(result, key)) if ship[key] is not None else "not measured")
            for name, key, write in writers]  # fmt: skip
    vcg = ship["vcg_m"]
    rows.append(("VCG", "vcg_m", say.height(vcg, half_of(result, "vcg_m")) if vcg is not None else "not measured"))
    return [(name, text, _ends(result, key, say) if ship[key] is not None else "") for name, key, text in rows]


def _ends(result: Item, name: str, say: Say) -> str:
    found = _quantities(result).get(name)
    if found and name == "tcg_m":
        half = half_of(result, name)
        return f"{say.offset(found['low_95'], half)} to {say.offset(found['high_95'], half)}"
    dimension: Dimension = "mass" if name.endswith("_t") else "length"
    return say.ends(found, dimension) if found else "no interval was computed"


def _methods(result: Item, say: Say) -> dict[str, Any]:
    """Both methods side by side, and their difference against the uncertainty in one sentence."""
    found = result["lightship_by_method"]
    rows = [{"method": name.replace("-", " "), **values} for name, values in found.items()]
    kgs = [part["kg_m"] for part in (result.get("small_angle"), result.get("heeled_equilibrium")) if part]
    if len(kgs) < 2:
        return {"rows": rows, "sentence": ""}
    apart, half = abs(kgs[1] - kgs[0]), half_of(result, "kg_m")
    sentence = f"The two methods differ by {say.length(apart, decimals=4)} of KG"
    if half:
        sentence += f", {100 * apart / half:.0f} % of the 95 % uncertainty of KG (±{say.length(half, half)})"
    return {"rows": rows, "sentence": f"{sentence}."}


def _instruments(result: Item, say: Say) -> list[dict[str, Any]]:
    small, heeled = result.get("small_angle"), result.get("heeled_equilibrium")
    if not small:
        return []
    half = half_of(result, "gm_fluid_m") or 0.0
    found = [(i["id"], i["gm_fluid_m"], COVERAGE * (i["standard_error_m"] or 0.0)) for i in small["instruments"]]
    found.append(("all, small angle", small["gm_fluid_m"], half))
    if heeled:
        found.append(("all, heeled equilibrium", heeled["gm_fluid_m"], half))
    low = min(value - wide for _, value, wide in found)
    high = max(value + wide for _, value, wide in found)
    room = 0.08 * (high - low) or 0.01
    scale = (low - room, high + room)
    return [
        {
            "name": name,
            "value": say.length(value, wide or None),
            "half": say.length(wide, wide) if wide else "",
            "bar": interval_bar(scale, value, (value - wide, value + wide), words=f"{name}: {say.length(value, wide)}"),
        }
        for name, value, wide in found
    ]


def _points(result: Item) -> list[Item]:
    part = result.get("heeled_equilibrium") or result.get("small_angle")
    found: list[Item] = part["fit"]["points"] if part else []
    return found


def _budgets(result: Item, say: Say) -> list[dict[str, Any]]:
    found = []
    for name, words in _BUDGETS:
        quantity = _quantities(result).get(name)
        if quantity and quantity["budget"]:
            found.append({"name": words, "half": _half_words(quantity, name, say), "rows": _shares(quantity)})
    return found


def _half_words(quantity: Item, name: str, say: Say) -> str:
    half = (quantity["high_95"] - quantity["low_95"]) / 2.0
    return say.value(half, "mass" if name.endswith("_t") else "length", half)


def _shares(quantity: Item) -> list[dict[str, Any]]:
    shares = [share for share in quantity["budget"] if share["share"] >= _LEAST_SHARE]
    rows = [{"input": share["input"], "share": share["share"]} for share in shares[:_LARGEST_SHARES]]
    rest = 1.0 - sum(row["share"] for row in rows)
    if rest >= _LEAST_SHARE:
        rows.append({"input": "all others", "share": rest})
    return [{**row, "bar": share_bar(row["share"]), "percent": f"{100 * row['share']:.1f} %"} for row in rows]
