"""What would narrow an interval: the propagation again with one kind of input known better."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from heelwright_service.core.uncertainty.inputs import Component
from heelwright_service.core.uncertainty.propagation import QUANTITIES, Linear, Run, linear

Array = NDArray[np.float64]

WORTH_SAYING = 0.05
"""A lever is worth a sentence when it narrows the interval by this share (office default)."""

MOST_SENTENCES = 3

HALF = 0.5


@dataclass(frozen=True)
class Lever:
    """How a kind of input can be known better: to what standard uncertainty at best, and the words for it.

    `attainable` is an office default in the unit of the components; `factor` and `unit` show it to people.
    """

    deed: str
    attainable: float
    factor: float
    unit: str
    how: str


LEVERS = {
    "draughts": Lever("Reading the draughts", 0.003, 1000.0, "mm", "calm water, a still-water tube at the marks"),
    "freeboards": Lever("Taking the freeboards", 0.003, 1000.0, "mm", "calm water, a tube or a rule on the rail"),
    "density": Lever("Taking the density of the water", 0.0002, 1.0, "t/m³", "a calibrated hydrometer, more samples"),
    "shift distances": Lever("Measuring the shifts", 0.003, 1000.0, "mm", "marks on deck, one tape"),
    "instrument lengths": Lever("Measuring the instruments", 0.001, 1000.0, "mm", "pivot to batten, under load"),
    "weights": Lever("Weighing the inclining weights", 0.001, 100.0, "%", "a verified scale"),
}

_DEEDS = {
    "hull": "A hull model checked against the ship, twice as good,",
    "readings": "Half the scatter of the readings (damped pendulums, longer averages)",
    "hog": "A straighter ship (early morning, tanks emptied evenly)",
    "sounding datum": "Knowing the datum of the soundings twice as well",
    "items not listed": "Listing what makes up half of the items not listed",
    "assumed KG": "A better height of the centre (an inclining test)",
}


def narrowed(run: Run, kind: str, factor: float) -> Linear:
    """Propagate again with one kind of input known better.

    Parameters
    ----------
    run : Run
        The chain with its components.
    kind : str
        The kind of input that changes.
    factor : float
        New over old standard uncertainty of that kind.

    Returns
    -------
    Linear
        The result with it.
    """
    parts = [replace(part, standard=part.standard * factor) if part.kind == kind else part for part in run.parts]
    return linear(replace(run, parts=parts))


def narrowing_sentences(run: Run, found: Linear) -> list[str]:
    """Say what would narrow the interval of VCG, or of the mass where no VCG was measured.

    Parameters
    ----------
    run : Run
        The chain with its components.
    found : Linear
        Its propagation.

    Returns
    -------
    list of str
        At most three sentences, the strongest lever first.
    """
    quantity = "vcg_m" if np.isfinite(found.standard[QUANTITIES.index("vcg_m")]) else "mass_t"
    column = QUANTITIES.index(quantity)
    half = float(found.half_width()[column])
    if not half > 0.0:
        return []
    factors = {kind: _factor(kind, run.parts) for kind in sorted({part.kind for part in run.parts})}
    ranked = sorted(factors, key=lambda kind: _kept(run.parts, found.contributions[:, column], kind, factors[kind]))
    sentences = []
    for kind in ranked[:MOST_SENTENCES]:
        narrower = float(narrowed(run, kind, factors[kind]).half_width()[column])
        if narrower < (1.0 - WORTH_SAYING) * half:
            sentences.append(_sentence(kind, run.parts, quantity, half, narrower))
    return sentences


def _worst(kind: str, parts: list[Component]) -> float:
    return max(part.standard for part in parts if part.kind == kind)


def _factor(kind: str, parts: list[Component]) -> float:
    lever = LEVERS.get(kind)
    return HALF if lever is None else min(1.0, lever.attainable / _worst(kind, parts))


def _kept(parts: list[Component], contributions: Array, kind: str, factor: float) -> float:
    """Variance left when a kind is known better, by scaling its contributions: enough to rank by."""
    scale = np.array([factor if part.kind == kind else 1.0 for part in parts])
    return float(np.sum((contributions * scale) ** 2))


def _sentence(kind: str, parts: list[Component], quantity: str, half: float, narrower: float) -> str:
    lever = LEVERS.get(kind)
    if lever is None:
        deed = _DEEDS.get(kind, f"Knowing {kind} twice as well")
    else:
        new, old = (f"{value * lever.factor:.2g}" for value in (lever.attainable, _worst(kind, parts)))
        deed = f"{lever.deed} to {new} {lever.unit} instead of {old} {lever.unit} ({lever.how})"
    name, unit, scale = ("VCG", "mm", 1000.0) if quantity == "vcg_m" else ("lightship mass", "t", 1.0)
    digits = 0 if half * scale >= 10.0 else 1
    return (
        f"{deed} would narrow the interval of the {name} from ±{half * scale:.{digits}f} {unit} "
        f"to ±{narrower * scale:.{digits}f} {unit}."
    )
