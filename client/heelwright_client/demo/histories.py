"""Lightships and alterations of the invented fleet as the service takes them."""

from __future__ import annotations

from typing import Any

from heelwright_client.demo.ships import Alteration, Ship, Survey

ACCEPTED_PERCENT = 2.0
"""Up to this growth an invented survey's report was accepted (SOLAS 1974 II-1/5.5); beyond it an inclining is open."""


def lightships(ship: Ship) -> list[dict[str, Any]]:
    """List the lightships of a ship, the approved inclining test first.

    Parameters
    ----------
    ship : Ship
        The ship.

    Returns
    -------
    list of dict
        By date. A lightweight survey gives no VCG: it is left out, not zero.
    """
    inclined = {
        "date": ship.inclined,
        "basis": "inclining-test",
        "mass_t": ship.mass_t,
        "lcg_m": ship.lcg_m,
        "tcg_m": 0.0,
        "vcg_m": ship.vcg_m,
        "approved": True,
    }
    return [inclined, *(_surveyed(ship, survey) for survey in ship.surveys)]


def _surveyed(ship: Ship, survey: Survey) -> dict[str, Any]:
    return {
        "date": survey.date,
        "basis": "lightweight-survey",
        "mass_t": round(ship.mass_t * (1.0 + survey.growth_percent / 100.0), 1),
        "lcg_m": round(ship.lcg_m + survey.lcg_shift_m, 3),
        "approved": survey.growth_percent <= ACCEPTED_PERCENT,
    }


def alterations(ship: Ship) -> list[dict[str, Any]]:
    """List the logged alterations of a ship.

    Parameters
    ----------
    ship : Ship
        The ship.

    Returns
    -------
    list of dict
        By date.
    """
    return [_altered(alteration) for alteration in ship.alterations]


def _altered(alteration: Alteration) -> dict[str, Any]:
    x, y, z = alteration.at_m
    document: dict[str, Any] = {
        "date": alteration.date,
        "kind": alteration.kind,
        "mass_t": alteration.mass_t,
        "x_m": x,
        "y_m": y,
        "z_m": z,
        "description": alteration.description,
    }
    if alteration.to_m:
        document |= dict(zip(("to_x_m", "to_y_m", "to_z_m"), alteration.to_m, strict=True))
    return document
