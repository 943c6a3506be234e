"""Measurement error, drawn from the standard uncertainties that the record then states.

How each source is drawn: a draught, a reading and a sounding each have an error of their own; a pendulum's length has
one error for all its readings; all inclining weights share one relative error (one scale) unless `weights_share_scale`
is off; a weight's position has one error for each spot, kept when the weight returns to it; every item and person has
its own; each tank's table has one relative error; the density has one error common to all samples (one hydrometer)
unless `density_common` is off, when each sample has its own; the hull's volume has one relative error, stated in the
record as a shell allowance that the true hull does not have. Empty and pressed tanks are seen for what they are.
"""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import Any

import numpy as np

Document = dict[str, Any]


@dataclass(frozen=True)
class Noise:
    """Standard uncertainties by the record's names; a source with 0 is silent."""

    draught_m: float = 0.0
    density_t_per_m3: float = 0.0
    reading_m: float = 0.0
    reading_deg: float = 0.0
    pendulum_length_m: float = 0.0
    weight_mass_relative: float = 0.0
    weight_position_m: float = 0.0
    sounding_m: float = 0.0
    tank_volume_relative: float = 0.0
    item_mass_relative: float = 0.0
    item_position_m: float = 0.0
    hull_volume_relative: float = 0.0
    weights_share_scale: bool = True
    density_common: bool = True

    @classmethod
    def usual(cls) -> Noise:
        """A careful test on a quiet day (common practice, from memory)."""
        return cls(
            draught_m=0.008,
            density_t_per_m3=0.0004,
            reading_m=0.0012,
            reading_deg=0.005,
            pendulum_length_m=0.002,
            weight_mass_relative=0.002,
            weight_position_m=0.01,
            sounding_m=0.004,
            tank_volume_relative=0.005,
            item_mass_relative=0.05,
            item_position_m=0.1,
            hull_volume_relative=0.001,
        )

    def uncertainties(self) -> dict[str, float]:
        """The record's block of standard uncertainties; what is not simulated here is 0."""
        sources = {field.name: getattr(self, field.name) for field in fields(self) if field.type == "float"}
        silent = ("freeboard_m", "km_m", "sounding_datum_m", "unlisted_mass_t", "unlisted_moment_t_m")
        return {**sources, **dict.fromkeys(silent, 0.0)}


def noisy_record(record: Document, noise: Noise, rng: np.random.Generator) -> Document:
    """A copy of a record with errors drawn on it; parts without error are shared with the original."""
    return {
        **record,
        "vessel": _vessel(record["vessel"], noise, rng),
        "water": {"samples": _samples(record["water"]["samples"], noise, rng)},
        "draughts": [_shifted(row, "reading_m", noise.draught_m, rng) for row in record["draughts"]],
        "soundings": [_sounding(row, noise, rng) for row in record["soundings"]],
        "items": [_item(row, noise, rng) for row in record["items"]],
        "persons": [_item(row, noise, rng) for row in record["persons"]],
        "inclining_weights": _weights(record["inclining_weights"], noise, rng),
        "states": _states(record["states"], noise, rng),
        "instruments": [_instrument(row, noise, rng) for row in record["instruments"]],
        "readings": [_reading(row, noise, rng) for row in record["readings"]],
        "uncertainties": noise.uncertainties(),
    }


def _shifted(row: Document, key: str, sigma: float, rng: np.random.Generator) -> Document:
    return {**row, key: row[key] + sigma * float(rng.standard_normal())}


def _scaled(row: Document, key: str, sigma: float, rng: np.random.Generator) -> Document:
    return {**row, key: row[key] * (1.0 + sigma * float(rng.standard_normal()))}


def _vessel(vessel: Document, noise: Noise, rng: np.random.Generator) -> Document:
    tanks = [_tank(tank, noise.tank_volume_relative * float(rng.standard_normal())) for tank in vessel["tanks"]]
    error = noise.hull_volume_relative * float(rng.standard_normal())
    hull = {**vessel["hull"], "shell_allowance_relative": error} if noise.hull_volume_relative else vessel["hull"]
    return {**vessel, "hull": hull, "tanks": tanks}


def _tank(tank: Document, error: float) -> Document:
    if error == 0.0:
        return tank
    rows = [{**row, "volume_m3": row["volume_m3"] * (1.0 + error)} for row in tank["table"]]
    return {**tank, "capacity_m3": tank["capacity_m3"] * (1.0 + error), "table": rows}


def _samples(samples: list[Document], noise: Noise, rng: np.random.Generator) -> list[Document]:
    errors = noise.density_t_per_m3 * rng.standard_normal(len(samples))
    if noise.density_common:
        errors = np.full(len(samples), errors[0])
    return [
        {**sample, "density_t_per_m3": sample["density_t_per_m3"] + float(error)}
        for sample, error in zip(samples, errors, strict=True)
    ]


def _sounding(row: Document, noise: Noise, rng: np.random.Generator) -> Document:
    shifted = _shifted(row, "sounding_m", noise.sounding_m, rng)
    return shifted if row["state"] == "slack" else row


def _item(row: Document, noise: Noise, rng: np.random.Generator) -> Document:
    moved = _scaled(row, "mass_t", noise.item_mass_relative, rng)
    for key in ("x_m", "y_m", "z_m", "to_x_m", "to_y_m", "to_z_m"):
        if key in row:
            moved = _shifted(moved, key, noise.item_position_m, rng)
    return moved


def _weights(weights: list[Document], noise: Noise, rng: np.random.Generator) -> list[Document]:
    errors = noise.weight_mass_relative * rng.standard_normal(len(weights))
    if noise.weights_share_scale:
        errors = np.full(len(weights), errors[0])
    return [
        {**weight, "mass_t": weight["mass_t"] * (1.0 + float(error))}
        for weight, error in zip(weights, errors, strict=True)
    ]


def _states(states: list[Document], noise: Noise, rng: np.random.Generator) -> list[Document]:
    spots: dict[tuple[str, tuple[float, ...]], list[float]] = {}
    moved = []
    for state in states:
        positions = {}
        for name, place in state["positions"].items():
            key = (name, tuple(place))
            if key not in spots:
                errors = noise.weight_position_m * rng.standard_normal(3)
                spots[key] = [value + float(error) for value, error in zip(place, errors, strict=True)]
            positions[name] = spots[key]
        moved.append({**state, "positions": positions})
    return moved


def _instrument(row: Document, noise: Noise, rng: np.random.Generator) -> Document:
    return _shifted(row, "length_m", noise.pendulum_length_m, rng) if row["kind"] == "pendulum" else row


def _reading(row: Document, noise: Noise, rng: np.random.Generator) -> Document:
    if "value_deg" in row:
        return _shifted(row, "value_deg", noise.reading_deg, rng)
    return _shifted(row, "value_mm", 1000.0 * noise.reading_m, rng)
