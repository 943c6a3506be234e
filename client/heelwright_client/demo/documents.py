"""The documents that the package carries: a weight-plan request and a simulated test day of one invented ship."""

from __future__ import annotations

import json
from importlib.resources import files
from typing import Any

TEST_DAY = "merrowdale-test-day.json"
WEIGHT_PLAN = "merrowdale-weight-plan.json"


def carried(name: str) -> dict[str, Any]:
    """Read a carried document.

    Parameters
    ----------
    name : str
        `TEST_DAY` or `WEIGHT_PLAN`.

    Returns
    -------
    dict
        The document.
    """
    document: dict[str, Any] = json.loads((files(__package__) / name).read_text(encoding="utf-8"))
    return document
