"""Which draught or freeboard to read again: the one without which the others agree best, or those sharing the blame."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from heelwright_service.core.checks.inputs import CheckInput
from heelwright_service.core.errors import CoreError
from heelwright_service.core.waterline import WaterPoints, waterline_fit
from heelwright_service.core.words import hog_words, listed

Array = NDArray[np.float64]

ALIKE_SHARE = 0.1
"""Readings whose absence mends the misfit alike within this share cannot be told apart (office default)."""


@dataclass(frozen=True)
class _Without:
    """One reading left out: the misfit of the others in standard deviations squared, and their hog [m]."""

    index: int
    misfit: float
    hog_m: float | None


def read_again(given: CheckInput) -> str:
    """Name what to read again.

    Parameters
    ----------
    given : CheckInput
        The reduction; a reading of its waterline is off.

    Returns
    -------
    str
        A sentence with one reading, or with those that cannot be told apart and the hog that each would leave; the
        smallest hog first, as the likelier.
    """
    points, standard = given.test.points, given.height_standards_m
    whole = _misfit(given, points, standard)[0]
    tried = [each for i in range(len(points.names)) if (each := _without(given, points, standard, i)) is not None]
    if not tried:
        return ""
    least = min(each.misfit for each in tried)
    alike = [each for each in tried if each.misfit - least <= ALIKE_SHARE * max(whole - least, 0.0)]
    if len(alike) == 1:
        return f" Read {points.names[alike[0].index]} again."
    alike.sort(key=lambda each: abs(each.hog_m or 0.0))
    told = [
        points.names[each.index] + ("" if each.hog_m is None else f" ({hog_words(each.hog_m, 1)} without it)")
        for each in alike
    ]
    return f" Read {listed(told)} again: by these readings the error may be in any of them."


def _without(given: CheckInput, points: WaterPoints, standard: Array, i: int) -> _Without | None:
    kept = np.arange(len(points.names)) != i
    part = WaterPoints(
        [name for name, keep in zip(points.names, kept, strict=True) if keep],
        [pointer for pointer, keep in zip(points.pointers, kept, strict=True) if keep],
        points.x_m[kept],
        points.y_m[kept],
        points.z_m[kept],
        points.is_freeboard[kept],
    )
    try:
        misfit, hog = _misfit(given, part, standard[kept])
    except CoreError:
        return None
    return _Without(i, misfit, hog)


def _misfit(given: CheckInput, points: WaterPoints, standard: Array) -> tuple[float, float | None]:
    fit = waterline_fit(points, standard, given.length_m)
    heights = points.z_m[None]
    scale = np.where(standard > 0.0, standard, np.min(standard[standard > 0.0], initial=1.0))
    misfit = float(np.sum((fit.residuals_m(heights)[0] / scale) ** 2))
    return misfit, float(fit.planes(heights).hog_m[0]) if fit.determined[3] else None
