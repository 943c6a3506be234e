"""Stores the invented fleet through the API; what is there already is left as it is."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from heelwright_client.client import Client
from heelwright_client.demo import forms
from heelwright_client.demo.documents import TEST_DAY, carried
from heelwright_client.demo.histories import alterations, lightships
from heelwright_client.demo.ships import FLEET, SHIPS, TEST_SHIP, Ship
from heelwright_client.errors import NotFoundError
from heelwright_client.vessels import Part


def seed(client: Client, tell: Callable[[str], None]) -> None:
    """Store every ship of the fleet with her hull, marks, tanks and history.

    Parameters
    ----------
    client : Client
        With an approver's token, since inclining tests are stored as approved.
    tell : callable
        Takes one line of progress.
    """
    known = {str(vessel["name"]): str(vessel["id"]) for vessel in client.vessels}
    for number, ship in enumerate(SHIPS, start=1):
        if ship.name in known:
            tell(f"  {number:2} of {len(SHIPS)}  {ship.name}: there already")
        else:
            tell(f"  {number:2} of {len(SHIPS)}  {ship.name}, {ship.kind}")
            known[ship.name] = _enter(client, ship, known)
        describe(client, known[ship.name], ship)
        _remember(client, known[ship.name], ship)


def _enter(client: Client, ship: Ship, known: dict[str, str]) -> str:
    facts: dict[str, Any] = {
        "name": ship.name,
        "kind": ship.kind,
        "fleet": FLEET,
        "length_bp_m": ship.form.length_m,
        "length_m": ship.form.length_m,
        "breadth_m": ship.form.breadth_m,
        "depth_m": ship.form.depth_m,
        "keel_laid": ship.keel_laid,
    }
    if ship.imo_number:
        facts["imo_number"] = ship.imo_number
    if ship.sister_of:
        facts["sister_of"] = known[ship.sister_of]
    return str(client.vessels.create(facts).document["id"])


def parts(ship: Ship) -> dict[Part, dict[str, Any]]:
    """Describe a ship: from the carried record where she has one, else from her form.

    Parameters
    ----------
    ship : Ship
        The ship.

    Returns
    -------
    dict
        Hull, marks and tanks.
    """
    if ship is TEST_SHIP:
        vessel = carried(TEST_DAY)["vessel"]
        return {"hull": vessel["hull"], "marks": {"marks": vessel["marks"]}, "tanks": {"tanks": vessel["tanks"]}}
    return {"hull": forms.hull(ship.form), "marks": forms.marks(ship.form), "tanks": forms.tanks(ship.form)}


def describe(client: Client, vessel_id: str, ship: Ship) -> None:
    """Store hull, marks and tanks of a ship where they are not there.

    Parameters
    ----------
    client : Client
        With a planner's token.
    vessel_id : str
        The vessel.
    ship : Ship
        The ship.
    """
    for part, content in parts(ship).items():
        try:
            client.vessels.part(vessel_id, part)
        except NotFoundError:
            client.vessels.put_part(vessel_id, part, content)


def _remember(client: Client, vessel_id: str, ship: Ship) -> None:
    if next(client.lightships.of(vessel_id), None) is not None:
        return
    entries = [
        *({"vessel_id": vessel_id, "lightship": lightship} for lightship in lightships(ship)),
        *({"vessel_id": vessel_id, "alteration": alteration} for alteration in alterations(ship)),
    ]
    client.history.add(entries)
