"""The main job before a reader's eyes: plan a test, reduce its day to a lightship, see where the fleet stands."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from heelwright_client.cli.drift import fleet_lines
from heelwright_client.cli.output import show, working
from heelwright_client.cli.page import page_width
from heelwright_client.cli.plan import plan_lines
from heelwright_client.cli.reduce import result_lines
from heelwright_client.cli.tables import Line
from heelwright_client.client import Client
from heelwright_client.demo.documents import TEST_DAY, WEIGHT_PLAN, carried
from heelwright_client.demo.ships import TEST_SHIP
from heelwright_client.units import SI


def tell_story(client: Client) -> None:
    """Plan, reduce and follow, printing each result.

    Parameters
    ----------
    client : Client
        Of a seeded service.
    """
    _plan(client)
    _reduce(client)
    _fleet(client)


def _plan(client: Client) -> None:
    last = TEST_SHIP.surveys[-1]
    _head(
        f"1  Plan: the {TEST_SHIP.name} was {last.growth_percent} % heavier at her survey of {last.date} than when she",
        "   was inclined; a passenger ship beyond 2 % is inclined again (SOLAS II-1/5.5). Which weights, where?",
    )
    with working("Planning the weights"):
        answer = client.weight_plans.compute({**carried(WEIGHT_PLAN), "vessel": carried(TEST_DAY)["vessel"]})
    show(plan_lines(answer, SI, page_width()))


def _reduce(client: Client) -> None:
    record = carried(TEST_DAY)
    _head(
        f"2  Reduce: the test day of {record['test']['date']} (simulated, with the errors of real reading)",
        "   becomes a lightship with its 95 % interval; every check is shown.",
    )
    with working("Reducing the record"):
        answer = client.reductions.compute(record)
    show(result_lines(answer, record, SI, page_width()))
    _store(client, record, answer)


def _store(client: Client, record: Mapping[str, Any], answer: Mapping[str, Any]) -> None:
    """Keep the lightship in her history, not yet approved; once."""
    vessel_id = str(client.vessels.find(TEST_SHIP.name)["id"])
    date = record["test"]["date"]
    if any(ship["date"] == date for ship in client.lightships.of(vessel_id)):
        return
    found = (answer.get("uncertainty") or {}).get("quantities") or {}
    names = ("mass_t", "lcg_m", "tcg_m", "vcg_m")
    client.lightships.add(
        vessel_id,
        {
            "date": date,
            "basis": "inclining-test",
            **{name: answer["lightship"][name] for name in names},
            "approved": False,
            "uncertainties": {name: found[name]["standard"] for name in names if found.get(name)},
        },
    )


def _fleet(client: Client) -> None:
    _head("3  Follow: how far has each lightship of the fleet moved from its approved test, the gravest first?")
    with working("Following the fleet"):
        items = list(client.fleet.drift())
    show(fleet_lines(items, SI, page_width()))


def _head(*texts: str) -> None:
    show([Line(""), *(Line(text, "title") for text in texts), Line("")])
