"""What the pages show of a weight plan."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from heelwright_client.web.drawings.deck import DeckShip, deck_plan
from heelwright_client.web.drawings.inline import inline_at_both
from heelwright_client.web.drawings.trade_off import Choice, trade_off
from heelwright_client.web.wording import STATUS_WORDS, Say

_GRAVITY = list(STATUS_WORDS)
Item = Mapping[str, Any]


def plan_view(plan: Item, asked: Item, say: Say) -> dict[str, Any]:
    """Prepare everything the page says about a plan.

    Parameters
    ----------
    plan : Mapping
        The service's answer.
    asked : Mapping
        The request.
    say : Say
        The visitor's words.

    Returns
    -------
    dict
        By the names that the template uses.
    """
    ship = DeckShip(
        asked["breadth_m"], deck_edge(asked.get("vessel")), asked.get("positions") or (), asked.get("crane")
    )
    return {
        "plan": plan,
        **judged(plan["checks"]),
        "states": _states(plan["states"], say),
        "instruments": _instruments(plan["states"]),
        "deck": inline_at_both(lambda width: deck_plan(plan, ship, say, width), "deck"),
        "trade": _trade(plan, say),
        "weights": [{**weight, "stands": _stands(weight, plan, say)} for weight in plan["weights"]],
    }


def by_gravity(checks: Sequence[Item]) -> list[Item]:
    """Order checks: failed first, of equal ones the unsafe side first.

    Parameters
    ----------
    checks : sequence of Mapping
        Of a plan or a result.

    Returns
    -------
    list of Mapping
        All of them.
    """
    return sorted(checks, key=lambda check: (_GRAVITY.index(check["status"]), check.get("side") != "unsafe"))


def judged(checks: Sequence[Item]) -> dict[str, Any]:
    """Part checks into those to look at and those that passed, and count them.

    Parameters
    ----------
    checks : sequence of Mapping
        Of a plan, a result or a review.

    Returns
    -------
    dict
        ``checks``, ``passed`` and ``counts``.
    """
    ordered = by_gravity(checks)
    return {
        "checks": [check for check in ordered if check["status"] != "pass"],
        "passed": [check for check in ordered if check["status"] == "pass"],
        "counts": counts(ordered),
    }


def counts(checks: Sequence[Item]) -> str:
    """Count checks by their verdict.

    Parameters
    ----------
    checks : sequence of Mapping
        Of a plan or a result.

    Returns
    -------
    str
        Such as ``1 fail, 12 pass``.
    """
    found = {word: sum(check["status"] == status for check in checks) for status, word in STATUS_WORDS.items()}
    return ", ".join(f"{count} {word}" for word, count in found.items() if count) or "none"


def deck_edge(vessel: Item | None) -> list[tuple[float, float]]:
    """Read the deck's edge from a vessel's stations.

    Parameters
    ----------
    vessel : Mapping or None
        As in a record.

    Returns
    -------
    list of (float, float)
        x and half breadth of the last point of every contour [m]; empty without a hull.
    """
    stations = ((vessel or {}).get("hull") or {}).get("stations") or ()
    return [(station["x_m"], max(y for y, _ in station["contour_m"])) for station in stations]


def _states(states: Sequence[Item], say: Say) -> list[dict[str, Any]]:
    return [_state(state, say) for state in states]


def _state(state: Item, say: Say) -> dict[str, Any]:
    heel = state["heel_deg"]
    lift = state["lift"]
    return {
        "number": state["number"],
        "lift": f"{lift['weight']} {'to starboard' if lift['to'][1] > lift['from'][1] else 'to port'}" if lift else "",
        "to": _place(lift["to"], say) if lift else "",
        "moment": say.athwart(state["moment_t_m"], "moment"),
        "expected": say.heel(heel["expected"]),
        "between": _between(heel, say),
        "deflections": state["deflection_mm"],
    }


def _between(heel: Item, say: Say) -> str:
    """Both ends, with the side said once where it is the same."""
    low, high = say.heel(heel["low"]), say.heel(heel["high"])
    if low == high:
        return low
    side = low.partition(" ")[2]
    return f"{low.partition(' ')[0]} and {high}" if side and high.endswith(side) else f"{low} and {high}"


def _place(place: Sequence[float], say: Say) -> str:
    return f"{say.bare(place[0], 'length')}; {say.offset(place[1], decimals=2)}"


def _instruments(states: Sequence[Item]) -> list[str]:
    return list(dict.fromkeys(name for state in states for name in state["deflection_mm"]))


def _stands(weight: Item, plan: Item, say: Say) -> str:
    place = plan["states"][0]["positions"].get(weight["id"]) if plan["states"] else None
    if place is None:
        return ""
    across, height = say.offset(place[1], decimals=2), say.value(place[2], "length", decimals=2)
    return f"{say.station(place[0], decimals=2)}, {across}, centre {height} above base"


def _trade(plan: Item, say: Say) -> dict[str, Any] | None:
    """This plan and its alternatives, by mass."""
    own = {
        "text": "this plan",
        "weights_count": len(plan["weights"]),
        "total_mass_t": plan["total_mass_t"],
        "lifts": plan["lifts"],
        "max_heel_deg": plan["max_heel_deg"]["expected"],
        "expected_uncertainty": plan["search_uncertainty"],
        "chosen": True,
    }
    rows = sorted([own, *plan["alternatives"]], key=lambda row: float(row["total_mass_t"]))
    if len(rows) < 2:
        return None
    mass, length = say.system.unit("mass"), say.system.unit("length")
    choices = [
        Choice(
            row["total_mass_t"] / mass.to_si,
            row["expected_uncertainty"]["gm_m"] / length.to_si,
            bool(row.get("chosen")),
        )
        for row in rows
    ]
    figure = inline_at_both(lambda width: trade_off(choices, mass.symbol, length.symbol, width), "trade")
    return {"rows": rows, "figure": figure}
