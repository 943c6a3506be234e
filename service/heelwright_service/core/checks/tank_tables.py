"""Checks of slips in the tables of the tanks that hold liquid: heights, free surfaces, capacity, the pipe's place."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from heelwright_service.core.checks.inputs import CheckInput
from heelwright_service.core.checks.pairs import units
from heelwright_service.core.checks.verdicts import Side, at_least, at_most, judged, unassessed
from heelwright_service.core.liquids import SoundedTank
from heelwright_service.core.record import TankRow
from heelwright_service.core.results import Check
from heelwright_service.core.words import MILLIMETRES, figure, number

PERCENT = 100.0
LEAST_ROWS = 5
"""Rows from which a table tells the surface's area and the height of its centre well enough."""


@dataclass(frozen=True)
class _Surface:
    """A tank's free surface by its table: area, distance of its centre from the centreline, second moments."""

    tank: SoundedTank
    area_m2: float
    centre_y_m: float
    i_t_m4: float
    i_l_m4: float

    @property
    def over_rectangle(self) -> float:
        return 144.0 * self.i_t_m4 * self.i_l_m4 / self.area_m2**4

    @property
    def gyration_m(self) -> float:
        return math.sqrt(max(self.i_t_m4, 0.0) / self.area_m2)


def checks(given: CheckInput) -> list[Check]:
    """Judge the tables of the tanks.

    Parameters
    ----------
    given : CheckInput
        The reduction.

    Returns
    -------
    list of Check
        ``tank-table-height``, ``-surface``, ``-breadth``, ``-capacity`` and ``-pipe``.

    Notes
    -----
    Height: with the surface at h the moment of volume grows by `d(V·z) = h·dV`, so soundings and volumes tell z.
    Surface: a rectangle has `i_T·i_L = A⁴/144`, and no plane figure has less than a circle, `A⁴/(16·π²)`; about another
    axis than its own centre, or with a slip of the unit, it has far more or less. Breadth: a surface has a radius of
    gyration `√(i_T/A)` of at most `√((B/2)² − y²)` about its centre (Bhatia and Davis, American Mathematical Monthly
    107, 2000), and one that ends at the centreline, as of a tank with a twin, of y/√3 as a rectangle and y/√2 as a
    triangle that tapers outboard.
    """
    wet = [tank for tank in given.test.tanks if tank.sounding.state != "empty"]
    surfaces = [s for tank in wet if tank.sounding.state == "slack" and (s := _surface(tank)) is not None]
    return [
        _height(given, wet),
        _shape(given, [each for each in surfaces if each.i_l_m4 > 0.0]),
        _breadth(given, surfaces),
        _capacity(given, wet),
        _pipe(given, wet),
    ]


def _used_row(tank: SoundedTank) -> int:
    """The row that is nearest to the level."""
    return int(np.argmin([abs(row.sounding_m - tank.level_m) for row in tank.tank.table]))


def _surface(tank: SoundedTank) -> _Surface | None:
    """The surface at the row in use; None where the shape tells it or the table is too short."""
    rows = tank.tank.table
    if tank.shape is not None or len(rows) < LEAST_ROWS:
        return None
    k = min(max(_used_row(tank), 1), len(rows) - 2)
    below, above = rows[k - 1], rows[k + 1]
    volume = above.volume_m3 - below.volume_m3
    if volume <= 0.0:
        return None
    centre = (above.volume_m3 * above.y_m - below.volume_m3 * below.y_m) / volume
    area = volume / (above.sounding_m - below.sounding_m)
    return _Surface(tank, area, centre, rows[k].i_t_m4, rows[k].i_l_m4)


def _height(given: CheckInput, wet: list[SoundedTank]) -> Check:
    rule = given.rule("tank-table")
    found = []
    for tank in wet:
        rows = tank.tank.table
        k = len(rows) - 1 if tank.sounding.state == "pressed" else max(_used_row(tank), 1)
        if len(rows) < LEAST_ROWS or rows[k].volume_m3 <= 0.0:
            continue
        depth = rows[-1].sounding_m - rows[0].sounding_m
        limit = max(rule["least_height_m"], rule["height_share_of_depth"] * depth)
        found.append((rows[k].z_m - _height_by_soundings_m(tank, k), limit, tank.tank.name))
    if not found:
        return unassessed(rule, f"No tank with liquid has a table of {LEAST_ROWS} rows.", aspect="-height")
    above, limit, name = max(found, key=lambda each: abs(each[0]) / each[1])
    value, limit = abs(above) * MILLIMETRES, limit * MILLIMETRES
    kept = at_most(value, limit)
    side: Side = "unsafe" if above > 0.0 else "safe"
    text = (
        f"The table of {name} puts the centre of its liquid {number(value, 0, limit)} mm "
        f"{'above' if above >= 0.0 else 'below'} where its volumes, soundings and the pipe's zero put it; "
        f"{number(limit, 0)} mm is allowed."
        + ("" if kept else " Heights are above the moulded baseline, of the centre and not of the surface: check them.")
    )
    return judged(rule, kept, text, value, limit, side, aspect="-height")


def _height_by_soundings_m(tank: SoundedTank, k: int) -> float:
    rows, zero = tank.tank.table, tank.tank.pipe.zero_z_m
    moment = rows[0].volume_m3 * rows[0].z_m
    for below, above in pairwise(rows[: k + 1]):
        moment += (above.volume_m3 - below.volume_m3) * (zero + 0.5 * (below.sounding_m + above.sounding_m))
    return moment / rows[k].volume_m3


def _shape(given: CheckInput, surfaces: list[_Surface]) -> Check:
    rule = given.rule("tank-table")
    low, high = rule["least_over_rectangle"], rule["most_over_rectangle"]
    if not surfaces:
        return unassessed(rule, f"No slack tank without a shape has {LEAST_ROWS} rows and i_L.", aspect="-surface")
    worst = max(surfaces, key=lambda each: max(each.over_rectangle / high, low / max(each.over_rectangle, 1e-12)))
    value = worst.over_rectangle
    limit = high if value > math.sqrt(low * high) else low
    kept = at_least(value, low) and at_most(value, high)
    side: Side = "unsafe" if value > 1.0 else "safe"
    cost = _correction_mm(given, worst)
    text = (
        f"i_T·i_L of {worst.tank.tank.name}'s surface is {number(value, 2, limit)} times that of a rectangle of its "
        f"area; {figure(low)} to {figure(high)} times is usual."
        + (
            ""
            if kept
            else f" Its free surface counts {cost} mm of height. Second moments are in m⁴, about the surface's own "
            "centre, at each level: check them, or give the tank's shape if it is U-shaped or very skew."
        )
    )
    return judged(rule, kept, text, value, limit, side, aspect="-surface")


def _correction_mm(given: CheckInput, surface: _Surface) -> str:
    moment = surface.i_t_m4 * surface.tank.sounding.density_t_per_m3
    return number(moment / given.displacement_t * MILLIMETRES, 1)


def _breadth(given: CheckInput, surfaces: list[_Surface]) -> Check:
    rule = given.rule("tank-table")
    twins = {tank.name for unit in units(given.record.vessel.tanks) if len(unit) == 2 for tank in unit}
    half = None if given.breadth_m is None else 0.5 * given.breadth_m
    limits = [(each, _most_gyration_m(rule["twin_gyration_over_y"], each, twins, half)) for each in surfaces]
    known = [(each, limit) for each, limit in limits if limit is not None and limit > 0.0]
    if not known:
        why = f"No slack tank without a shape has {LEAST_ROWS} rows, and a twin or a ship of known breadth around it."
        return unassessed(rule, why, aspect="-breadth")
    worst, limit = max(known, key=lambda pair: pair[0].gyration_m / pair[1])
    value = worst.gyration_m
    kept = at_most(value, limit)
    text = (
        f"By its i_T the surface of {worst.tank.tank.name} has a radius of gyration of {number(value, 2, limit)} m "
        f"across; with its centre {number(abs(worst.centre_y_m), 2)} m from the centreline {number(limit, 2)} m is the "
        "most."
        + (
            ""
            if kept
            else f" Its free surface counts {_correction_mm(given, worst)} mm of height. Check that i_T is about the "
            "surface's own centre, not the ship's centreline, and not exchanged with i_L."
        )
    )
    return judged(rule, kept, text, value, limit, "unsafe", aspect="-breadth")


def _most_gyration_m(share: float, surface: _Surface, twins: set[str], half_m: float | None) -> float | None:
    y = abs(surface.centre_y_m)
    if surface.tank.tank.name in twins:
        return share * y
    return None if half_m is None else math.sqrt(max(half_m**2 - y**2, 0.0))


def _capacity(given: CheckInput, wet: list[SoundedTank]) -> Check:
    rule = given.rule("tank-table")
    limit = rule["capacity_percent"]
    gaps = {t.tank.name: _share_apart(t.tank.capacity_m3, t.tank.table[-1]) for t in wet}
    if not gaps:
        return unassessed(rule, "No tank holds liquid.", aspect="-capacity")
    name = max(gaps, key=lambda each: gaps[each])
    value = gaps[name] * PERCENT
    kept = at_most(value, limit)
    text = (
        f"The capacity of {name} and the last row of its table are {number(value, 1, limit)} % apart; {figure(limit)} "
        "% is allowed." + ("" if kept else " A pressed tank counts its capacity: check both, and their unit (m³).")
    )
    return judged(rule, kept, text, value, limit, aspect="-capacity")


def _share_apart(capacity_m3: float, last: TankRow) -> float:
    return abs(capacity_m3 - last.volume_m3) / max(capacity_m3, last.volume_m3)


def _pipe(given: CheckInput, wet: list[SoundedTank]) -> Check:
    """A pipe stands in its tank: at most two radii of gyration of the surface from its centre, 1.73 in a rectangle."""
    rule = given.rule("tank-table")
    least = rule["pipe_share_of_length"] * given.length_m
    slack = [tank for tank in wet if tank.sounding.state == "slack"]
    if not slack:
        return unassessed(rule, "No tank is slack.", aspect="-pipe")
    found = []
    for tank in slack:
        row = tank.tank.table[_used_row(tank)]
        allowed = max(least, rule["pipe_gyration"] * _gyration_along_m(tank))
        found.append((abs(row.x_m - tank.tank.pipe.x_m), allowed, tank.tank.name))
    value, limit, name = max(found, key=lambda each: each[0] / each[1])
    kept = at_most(value, limit)
    text = (
        f"The sounding pipe of {name} stands {number(value, 2, limit)} m along the ship from the centre of its liquid; "
        f"{number(limit, 2)} m is allowed."
        + ("" if kept else " Both count forward of the aft perpendicular: the trim corrects the sounding by that way.")
    )
    return judged(rule, kept, text, value, limit, aspect="-pipe")


def _gyration_along_m(tank: SoundedTank) -> float:
    row = tank.tank.table[_used_row(tank)]
    area = tank.surface_m2(row.volume_m3)
    return math.sqrt(max(row.i_l_m4, 0.0) / area) if area > 0.0 else 0.0
