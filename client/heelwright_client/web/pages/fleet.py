"""The fleet: what needs attention, worst first, in sentences with the evidence beside them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from flask import Blueprint, render_template, request

from heelwright_client.drift_words import deciding, deed, due_words, is_urgent, moved, reason, why_not_judged_in_a_row
from heelwright_client.web import access, preferences
from heelwright_client.web.drawings.interval import goes_beyond, interval_bar
from heelwright_client.web.pages.actions import open_actions
from heelwright_client.web.pages.tests import tests_under_way
from heelwright_client.web.wording import Say, for_people
from heelwright_client.words import chance

blueprint = Blueprint("fleet", __name__)

_VESSELS_ON_A_PAGE = 40
_LEAST_REACH, _LONGEST_REACH = 1.5, 4.0


@blueprint.get("/")
def show() -> str:
    """Show the fleet, or the vessels that a search found."""
    wanted = request.args.get("find", "").strip()
    if wanted:
        return _found(wanted)
    client = access.client()
    page = client.page(
        "fleet/drift",
        limit=_VESSELS_ON_A_PAGE,
        cursor=request.args.get("from") or None,
        fleet=request.args.get("fleet") or None,
    )
    say = Say(preferences.system())
    scale = _scale(page.items)
    rows = [_row(item, say, scale) for item in page.items]
    first = not request.args.get("from")
    under_way = tests_under_way(client) if first else []
    return render_template(
        "fleet.html",
        rows=rows,
        due=_due(rows),
        next_page=page.next_cursor,
        first=first,
        under_way=under_way,
        actions=open_actions(client) if first else [],
    )


def _found(wanted: str) -> str:
    client = access.client()
    vessels = [v for v in client.vessels if _matches(v, wanted)]
    return render_template("fleet_found.html", vessels=vessels[:_VESSELS_ON_A_PAGE], count=len(vessels), wanted=wanted)


def _matches(vessel: Mapping[str, Any], wanted: str) -> bool:
    texts = (vessel["name"], vessel.get("imo_number"), vessel.get("fleet"))
    return any(wanted.casefold() in str(text).casefold() for text in texts if text)


def _row(item: Mapping[str, Any], say: Say, scale: tuple[float, float]) -> dict[str, Any]:
    vessel, drift, action = item["vessel"], item.get("drift"), item.get("action")
    row: dict[str, Any] = {"vessel": vessel, "action": action, "deed": deed(vessel["name"], action, drift)}
    if not drift:
        detail = (item.get("problem") or {}).get("detail") or "nothing is known of her lightship"
        return row | {"reason": detail[:1] + for_people(detail)[1:].rstrip("."), "urgent": False}
    due = drift.get("next_due")
    row |= {"due": due, "due_words": due_words(due), "urgent": is_urgent(action)}
    finding = deciding(drift, action)
    if finding is None:
        return row | {"reason": why_not_judged_in_a_row(drift)}
    verdict = finding.verdict
    change = moved(verdict, say.system)
    told = f"{change}: {chance(verdict['probability_exceeded'])} chance of being past the limit"
    bar = interval_bar(scale, abs(finding.share), finding.ends, [1.0], words=told, alarming=finding.past)
    return row | {
        "reason": reason(finding, say.system),
        "bar": bar,
        "beyond": goes_beyond(scale, finding.ends),
        "moved": change,
        "evidence": finding.evidence,
        "verdict": verdict,
    }


def _scale(items: Sequence[Mapping[str, Any]]) -> tuple[float, float]:
    """One scale for the whole page; a vessel far past her limit is drawn at its end."""
    found = [deciding(item["drift"], item["action"]) for item in items if item.get("drift")]
    reach = max((abs(each.share) + each.half_share for each in found if each), default=0.0)
    return 0.0, min(max(1.05 * reach, _LEAST_REACH), _LONGEST_REACH)


def _due(rows: Sequence[Mapping[str, Any]]) -> list[Mapping[str, Any]]:
    return sorted((row for row in rows if row.get("due")), key=lambda row: str(row["due"]["date"]))
