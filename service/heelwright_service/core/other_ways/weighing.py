"""A small craft weighed on load cells: mass and the horizontal place of its centre, the cradle taken off."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from ..errors import CoreError

LEAST_MASS_T = 1e-6
"""A gram: less than that is nothing."""

MOST_MASS_T = 1000.0
"""Nothing heavier is weighed on load cells as a small craft; kilograms are likelier (office default)."""

TOUCHING_M = 1e-6
"""A centre as far as this from the line of its outermost cells lies on it: it is rounding."""

LEAST_SHARE_OF_LARGEST = 0.01
"""A cell that carries less of what the largest carries is misread or in another unit (office default)."""


@dataclass(frozen=True)
class LoadCell:
    """One load cell: where it takes the load, what it reads, and the standard uncertainty of that reading."""

    x_m: float
    y_m: float
    load_t: float
    standard_uncertainty_t: float = 0.0


@dataclass(frozen=True)
class Tare:
    """What hangs on the cells besides the craft: cradle, slings, beam, people, with standard uncertainties."""

    mass_t: float
    x_m: float
    y_m: float
    mass_standard_uncertainty_t: float = 0.0
    position_standard_uncertainty_m: float = 0.0


@dataclass(frozen=True)
class WeighedCraft:
    """Mass and horizontal centre of a craft with standard uncertainties; a weighing gives no height."""

    mass_t: float
    lcg_m: float
    tcg_m: float
    mass_standard_uncertainty_t: float
    lcg_standard_uncertainty_m: float
    tcg_standard_uncertainty_m: float


def weigh(
    cells: Sequence[LoadCell],
    tares: Sequence[Tare] = (),
    position_standard_uncertainty_m: float = 0.005,
    calibration_relative: float = 0.0004,
) -> WeighedCraft:
    """Reduce load cell readings to mass, LCG and TCG.

    Parameters
    ----------
    cells : sequence of LoadCell
        Cells under or above the craft, which lies level and upright.
    tares : sequence of Tare
        What is to be taken off.
    position_standard_uncertainty_m : float
        Of each cell's place along each axis, independent from cell to cell [m].
    calibration_relative : float
        Relative standard uncertainty of the calibration that all cells share [-].

    Returns
    -------
    WeighedCraft
        Mass [t], centre [m], standard uncertainties.

    Raises
    ------
    CoreError
        ``too-few-cells`` for none, ``nothing-left`` when the tare is as heavy as the load, ``load-negative``.

    Notes
    -----
    `W = ΣF − Σm`, `x_G = (ΣF·x − Σm·x_t)/W` (theorem of moments), linear propagation (JCGM 100:2008, 5.1.2). The shared
    calibration scales all readings together, so it moves the centre only through the tare. Default 0.04 % is the
    repeatability that practice reports for slings with cells. A tilt θ shifts the centre by its height times tan θ.

    Examples
    --------
    >>> craft = weigh([LoadCell(2.0, 0.0, 6.0), LoadCell(8.0, 0.0, 4.0)], [Tare(1.0, 5.0, 0.0)])
    >>> craft.mass_t, round(craft.lcg_m, 4)
    (9.0, 4.3333)
    """
    _refuse_unusable(cells)
    gross = math.fsum(c.load_t for c in cells)
    mass = gross - math.fsum(t.mass_t for t in tares)
    if not mass > LEAST_MASS_T:
        raise CoreError("nothing-left", f"The cells carry {gross} t and the tare is {gross - mass} t.", "/tares")
    lcg, u_lcg = _centre(
        mass,
        [(c.load_t, c.x_m, c.standard_uncertainty_t, position_standard_uncertainty_m) for c in cells],
        [(t.mass_t, t.x_m, t.mass_standard_uncertainty_t, t.position_standard_uncertainty_m) for t in tares],
        calibration_relative,
    )
    tcg, u_tcg = _centre(
        mass,
        [(c.load_t, c.y_m, c.standard_uncertainty_t, position_standard_uncertainty_m) for c in cells],
        [(t.mass_t, t.y_m, t.mass_standard_uncertainty_t, t.position_standard_uncertainty_m) for t in tares],
        calibration_relative,
    )
    parts = [c.standard_uncertainty_t for c in cells] + [t.mass_standard_uncertainty_t for t in tares]
    return WeighedCraft(mass, lcg, tcg, math.hypot(calibration_relative * gross, *parts), u_lcg, u_tcg)


def weighing_cautions(cells: Sequence[LoadCell], craft: WeighedCraft) -> list[str]:
    """Say what the loads and places of a weighing make doubtful.

    Parameters
    ----------
    cells : sequence of LoadCell
        The cells as read.
    craft : WeighedCraft
        What `weigh` found by them.

    Returns
    -------
    list of str
        Sentences on the tilt, loads of unlike size, a mass beyond small craft, a centre outside its supports, and
        cells on one line.

    Notes
    -----
    Weighed tilted by θ in supports a height h above or below her centre, a craft shows the centre `h·tan θ` off along
    her own axes (derived here).

    Examples
    --------
    >>> cells = [LoadCell(2.0, -1.0, 6.0), LoadCell(2.0, 1.0, 6.0), LoadCell(8.0, 0.0, 4000.0)]
    >>> len(weighing_cautions(cells, weigh(cells)))
    3
    """
    found = ["The craft is taken to lie level and upright: a tilt shifts the centre by its height times the tangent."]
    largest, smallest = max(c.load_t for c in cells), min(c.load_t for c in cells)
    if smallest < LEAST_SHARE_OF_LARGEST * largest:
        found.append(
            f"One cell reads {smallest:g} t and another {largest:g} t: check that all are read in tonnes and that each "
            "carries load."
        )
    if craft.mass_t > MOST_MASS_T:
        found.append(f"{craft.mass_t:.0f} t is beyond small craft: check that the cells are read in tonnes, not kg.")
    for name, centre, places in (
        ("LCG", craft.lcg_m, [c.x_m for c in cells]),
        ("TCG", craft.tcg_m, [c.y_m for c in cells]),
    ):
        if not min(places) - TOUCHING_M <= centre <= max(places) + TOUCHING_M:
            found.append(
                f"The {name} lies outside the cells: a craft that stood on them would have tipped. Check the tare's "
                "mass and place."
            )
    if _on_one_line(cells):
        found.append(
            "All cells stand on one line, so across it the centre is not measured but taken on the line: true only of "
            "a craft that hangs freely, and as upright as she was seen to hang."
        )
    return found


def _on_one_line(cells: Sequence[LoadCell]) -> bool:
    first = cells[0]
    far = max(cells, key=lambda c: math.hypot(c.x_m - first.x_m, c.y_m - first.y_m))
    dx, dy = far.x_m - first.x_m, far.y_m - first.y_m
    span = math.hypot(dx, dy)
    return all(abs(dx * (c.y_m - first.y_m) - dy * (c.x_m - first.x_m)) <= 1e-6 * span for c in cells)


def _centre(
    mass: float,
    loads: Sequence[tuple[float, float, float, float]],
    tares: Sequence[tuple[float, float, float, float]],
    calibration: float,
) -> tuple[float, float]:
    """Coordinate of the centre and its uncertainty; each row is mass, coordinate and their uncertainties."""
    gross_moment = math.fsum(m * x for m, x, _, _ in loads)
    gross = math.fsum(m for m, _, _, _ in loads)
    centre = (gross_moment - math.fsum(m * x for m, x, _, _ in tares)) / mass
    parts = [(x - centre) * u for _, x, u, _ in (*loads, *tares)]
    parts += [m * u for m, _, _, u in (*loads, *tares)]
    parts.append((gross_moment - gross * centre) * calibration)
    return centre, math.hypot(*parts) / mass


def _refuse_unusable(cells: Sequence[LoadCell]) -> None:
    if not cells:
        raise CoreError("too-few-cells", "At least one load cell is needed.", "/cells")
    for i, cell in enumerate(cells):
        if cell.load_t < 0.0:
            raise CoreError(
                "load-negative",
                f"Load cell {i} reads {cell.load_t} t; a cell that lifts is misread.",
                f"/cells/{i}/load_t",
            )
