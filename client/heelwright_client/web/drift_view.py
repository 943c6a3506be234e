"""What the pages show of one vessel's drift: her life line, plots, verdicts and rows."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from heelwright_client.drift_drawing import drift_picture
from heelwright_client.drift_points import COVERAGE
from heelwright_client.drift_words import (
    ACTION_WORDS,
    BASIS_WORDS,
    Finding,
    deciding,
    deed,
    due_words,
    findings,
    growth_words,
    is_urgent,
    limit_words,
    moved,
    quantity_words,
    reason,
    why_not_judged,
)
from heelwright_client.web.drawings.inline import Figure, inline_at_both
from heelwright_client.web.drawings.interval import goes_beyond, interval_bar
from heelwright_client.web.drawings.life_line import Moment, life_line
from heelwright_client.web.hull_view import in_force
from heelwright_client.web.wording import Say
from heelwright_client.words import chance, day

_ORDER = ("re-incline", "survey", "amend", "adopt", "record", "none")
_REACH = (1.5, 4.0)

Item = Mapping[str, Any]


def drift_view(
    vessel: Item,
    drift: Item | None,
    lightships: Sequence[Item],
    alterations: Sequence[Item],
    today: str,
    say: Say,
) -> dict[str, Any]:
    """Prepare everything the page says about a drift.

    Parameters
    ----------
    vessel : Mapping
        Her particulars.
    drift : Mapping or None
        Her drift, None where it cannot be told.
    lightships, alterations : sequence of Mapping
        Her history.
    today : str
        ISO date.
    say : Say
        The visitor's words.

    Returns
    -------
    dict
        By the names that the template uses.
    """
    moments = _moments(vessel, drift, lightships, alterations)
    line = inline_at_both(lambda width: life_line(moments, today, vessel["name"], width), "life") if moments else None
    if not drift:
        return {"drift": None, "life": line}
    action = action_of(drift)
    finding = deciding(drift, action)
    title = f"Lightship drift of the {vessel['name']}"
    return {
        "drift": drift,
        "life": line,
        "action": action,
        "deed": deed(vessel["name"], action, drift),
        "reason": reason(finding, say.system) if finding else "",
        "waiting": [] if finding else why_not_judged(drift),
        "urgent": is_urgent(action),
        "due_words": due_words(drift.get("next_due")),
        "verdicts": _verdicts(findings(drift), say),
        "evidence": [_evidence(item, say) for item in [*drift["earlier"], *drift["items"]]],
        "history": _history(drift, title, say, in_force(alterations)) if drift["items"] else None,
        "growth": growth_words(drift.get("growth"), say.system),
        "not_assessed": _not_assessed(drift),
    }


def _history(drift: Item, title: str, say: Say, altered: Sequence[Item]) -> Figure:
    return inline_at_both(lambda width: drift_picture(drift, title, say.system, width, altered), "history")


def action_of(drift: Item) -> str:
    """Choose the gravest open action of a drift.

    Parameters
    ----------
    drift : Mapping
        As the service gives it.

    Returns
    -------
    str
        The service's word for it.
    """
    actions: list[str] = [item["action"] for item in drift["items"]] + [drift["logged"]["action"]]
    return min(actions, key=lambda action: _ORDER.index(action) if action in _ORDER else 0)


def _not_assessed(drift: Item) -> list[str]:
    """What could not be compared, each said once."""
    parts = [*drift["items"], drift["logged"]]
    return list(dict.fromkeys(str(text) for part in parts for text in part["not_assessed"]))


def _moments(vessel: Item, drift: Item | None, lightships: Sequence[Item], altered: Sequence[Item]) -> list[Moment]:
    laid = vessel.get("keel_laid")
    moments = [Moment(laid, "keel laid", "square", note="Square: keel laid.")] if laid else []
    words = {"inclining-test": "inclined", "lightweight-survey": "surveyed"}
    moments += [
        Moment(
            each["date"],
            words.get(each["basis"], BASIS_WORDS.get(each["basis"], "")),
            "circle",
            note="Circles: lightships.",
        )
        for each in lightships
        if not each.get("superseded_by")
    ]
    moments += [Moment(each["date"], each["kind"], "cross", note="Crosses: alterations.") for each in in_force(altered)]
    due = (drift or {}).get("next_due")
    if due:
        word = "test due" if due["due"] == "inclining-test" else "survey due"
        overdue = bool(due["overdue"])
        note = "Filled triangle: overdue." if overdue else "Triangle: what is due."
        moments.append(Moment(due["date"], word, "triangle", overdue, note))
    return moments


def _verdicts(found: Sequence[Finding], say: Say) -> list[dict[str, Any]]:
    reach = max((abs(each.share) + each.half_share for each in found), default=0.0)
    scale = (0.0, min(max(1.05 * reach, _REACH[0]), _REACH[1]))
    return [_verdict(each, scale, say) for each in found]


def _verdict(found: Finding, scale: tuple[float, float], say: Say) -> dict[str, Any]:
    verdict = found.verdict
    change, likely = moved(verdict, say.system), f"{chance(verdict['probability_exceeded'])} chance"
    return {
        "quantity": quantity_words(verdict),
        "measured": verdict["measured"],
        "failed": verdict["regulatory"] == "fail" and not verdict.get("advisory"),
        "advised": verdict["regulatory"] == "fail" and bool(verdict.get("advisory")),
        "open": verdict["regulatory"] == "fail" or verdict["measured"] != "within",
        "moved": change,
        "half": say.value(found.half, "mass" if verdict["quantity"].endswith("_t") else "length", found.half),
        "limit": limit_words(verdict, say.system),
        "limit_text": verdict["limit_text"],
        "chance": likely,
        "bar": interval_bar(
            scale, abs(found.share), found.ends, [1.0], words=f"{change}; {likely}", alarming=found.past
        ),
        "beyond": goes_beyond(scale, found.ends),
        "evidence": found.evidence,
        "consequence": ACTION_WORDS.get(verdict["consequence"], verdict["consequence"]),
        "text": verdict["text"],
        "source": verdict["source"],
        "rule": verdict["rule"],
        "confidence": verdict["confidence_text"],
        "remark": " ".join([*_against(verdict), verdict.get("remark") or ""]).strip(),
    }


def _against(verdict: Item) -> list[str]:
    """What the change is measured from, where it is not the vessel's own test."""
    name = str(verdict.get("compared_with") or "")
    return [] if not name or name.startswith("inclining test") else [f"Compared with the {name}."]


def _evidence(item: Item, say: Say) -> dict[str, Any]:
    names = ("mass_t", "lcg_m", "tcg_m", "vcg_m")
    return {
        "date": day(item["date"]),
        "basis": BASIS_WORDS.get(item["basis"], item["basis"]),
        "deltas": [_delta(name, item["delta"].get(name), say) for name in names],
        "remark": _implied_words(item, say),
        "alarming": item["error_likelier_than_weight"],
        "action": ACTION_WORDS.get(item["action"], item["action"]),
    }


def _implied_words(item: Item, say: Say) -> str:
    """The service's words; in other units the place from its numbers, and what it judges of it."""
    remark, centre = str(item["implied_centre_remark"]), item.get("implied_centre_m")
    if not centre or say.system.name == "si":
        return remark
    y, z = (centre[axis]["value"] if centre.get(axis) else None for axis in "yz")
    known = [say.station(centre["x"]["value"], decimals=1)]
    known += [] if y is None else [say.offset(y, decimals=1)]
    known.append("height unknown" if z is None else say.height(z))
    place = ", ".join(known)
    if item["error_likelier_than_weight"]:
        return f"{place} (in metres: {remark})"
    return f"{place}: {remark.rpartition(': ')[2]}"


def _delta(name: str, delta: Item | None, say: Say) -> str:
    return "not measured" if delta is None else say.change(name, delta["value"], COVERAGE * (delta["standard"] or 0.0))
