"""Naming the vessels that tests and actions belong to."""

from __future__ import annotations

from typing import Any

from heelwright_client.client import Client
from heelwright_client.http import Document


def with_names(client: Client, items: list[Document]) -> list[dict[str, Any]]:
    """Add the vessel's name to things that belong to vessels.

    Parameters
    ----------
    client : Client
        Speaks with the visitor's token.
    items : list of dict
        Each with ``vessel_id``.

    Returns
    -------
    list of dict
        Each with ``vessel``; every vessel is asked for once.
    """
    names = {each: client.vessels.get(each).document["name"] for each in {item["vessel_id"] for item in items}}
    return [{**item, "vessel": names[item["vessel_id"]]} for item in items]
