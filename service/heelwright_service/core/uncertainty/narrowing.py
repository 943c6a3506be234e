"""What would narrow the interval of VCG: the same contributions with one kind of input known better."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from heelwright_service.core.uncertainty.inputs import Component
from heelwright_service.core.uncertainty.propagation import QUANTITIES, Linear

Array = NDArray[np.float64]

WORTH_SAYING = 0.05
"""A lever is worth a sentence when halving its uncertainty narrows the interval by this share (office default)."""

MOST_SENTENCES = 3

_DEEDS = {
    "draughts": "reading the draughts twice as well (from a boat, with a tube)",
    "freeboards": "taking the freeboards twice as well",
    "density": "knowing the density of the water twice as well",
    "hull": "a hull model twice as good",
    "weights": "weighing the inclining weights on a scale twice as good",
    "shift distances": "measuring the shifts twice as well",
    "instrument lengths": "measuring the instruments' lengths twice as well",
    "readings": "half the scatter of the readings",
    "hog": "a straighter ship (early morning, tanks emptied evenly)",
}


def narrowed_half_width(parts: list[Component], found: Linear, quantity: str, kind: str, factor: float) -> float:
    """Half-width of an interval with one kind of input known better.

    Parameters
    ----------
    parts : list of Component
        The independent errors.
    found : Linear
        Their contributions.
    quantity : str
        One of `QUANTITIES`.
    kind : str
        The kind of input that changes.
    factor : float
        New over old standard uncertainty of that kind.

    Returns
    -------
    float
        Half-width of the 95 % interval, in the quantity's unit; the coverage factor is kept.
    """
    column = QUANTITIES.index(quantity)
    scale = np.array([factor if part.kind == kind else 1.0 for part in parts])
    standard = float(np.sqrt(np.sum((found.contributions[:, column] * scale) ** 2)))
    whole = float(found.standard[column])
    return float(found.half_width()[column]) * (standard / whole if whole > 0.0 else 1.0)


def narrowing_sentences(parts: list[Component], found: Linear) -> list[str]:
    """Say what would narrow the interval of VCG, or of the mass where no VCG was measured.

    Parameters
    ----------
    parts : list of Component
        The independent errors.
    found : Linear
        Their contributions.

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
    kinds = sorted({part.kind for part in parts})
    halved = {kind: narrowed_half_width(parts, found, quantity, kind, 0.5) for kind in kinds}
    ranked = sorted(halved.items(), key=lambda pair: pair[1])
    return [
        _sentence(kind, quantity, half, narrower)
        for kind, narrower in ranked[:MOST_SENTENCES]
        if narrower < (1.0 - WORTH_SAYING) * half
    ]


def _sentence(kind: str, quantity: str, half: float, narrower: float) -> str:
    deed = _DEEDS.get(kind, f"knowing {kind} twice as well")
    name, unit, scale = ("VCG", "mm", 1000.0) if quantity == "vcg_m" else ("lightship mass", "t", 1.0)
    digits = 0 if half * scale >= 10.0 else 1
    return (
        f"{deed[0].upper()}{deed[1:]} would narrow the interval of the {name} from ±{half * scale:.{digits}f} {unit} "
        f"to ±{narrower * scale:.{digits}f} {unit}."
    )
