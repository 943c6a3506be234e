"""What is entered on the invented test day, from the record that the package carries."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from heelwright_client.client import Client


def board(client: Client, test_id: str, record: Mapping[str, Any]) -> None:
    """Enter everything that comes before the first state.

    Parameters
    ----------
    client : Client
        Of whoever records.
    test_id : str
        The test.
    record : Mapping
        The record that it is taken from.
    """
    enter = client.tests.enter
    for item in record["items"]:
        enter(test_id, "items", {**item, "found_by": "weighed"})
    for person in record["persons"]:
        enter(test_id, "persons", person)
    for weight in record["inclining_weights"]:
        enter(test_id, "weights", {**weight, "certificate": f"W-{weight['id']}"})
    for instrument in record["instruments"]:
        enter(test_id, "instruments", {**instrument, "certificate": f"I-{instrument['id']}"})
    for sample in record["water"]["samples"]:
        enter(test_id, "water", {**sample, "density_basis": record["water"].get("density_basis", "vacuum")})
    for draught in record["draughts"]:
        enter(test_id, "draughts", {**draught, "occasion": "before"})
    _sound(client, test_id, record)
    enter(test_id, "weather", {"wind_m_per_s": 2.0, "wave_m": 0.02})


def _sound(client: Client, test_id: str, record: Mapping[str, Any]) -> None:
    sounded = {each["tank"] for each in record["soundings"]}
    for sounding in record["soundings"]:
        client.tests.enter(test_id, "soundings", {**sounding, "evidence": "sounded", "occasion": "before"})
    seen = {"state": "empty", "density_t_per_m3": 1.0, "evidence": "seen", "occasion": "before"}
    for tank in record["vessel"]["tanks"]:
        if tank["name"] not in sounded:
            client.tests.enter(test_id, "soundings", {"tank": tank["name"], **seen})


def read_states(client: Client, test_id: str, record: Mapping[str, Any], count: int) -> None:
    """Take the readings of the first states.

    Parameters
    ----------
    client : Client
        Of whoever records.
    test_id : str
        The test.
    record : Mapping
        The record that they are taken from.
    count : int
        How many states.
    """
    for state in record["states"][:count]:
        client.tests.enter(test_id, "states", {**state, "lines_slack": True})
        for reading in record["readings"]:
            if reading["state"] == state["number"]:
                client.tests.enter(test_id, "readings", reading)
