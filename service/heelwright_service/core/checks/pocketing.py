"""Whether a slack tank's free surface stays the same over the heels of the test."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from heelwright_service.core.checks.inputs import CheckInput
from heelwright_service.core.checks.tank_levels import slack_tanks
from heelwright_service.core.checks.verdicts import Caution, Side, at_most, judged, unassessed
from heelwright_service.core.liquids import I_L_ROW, I_T_ROW, VOLUME_ROW, SoundedTank
from heelwright_service.core.results import Check
from heelwright_service.core.tank_shapes import shape_moments
from heelwright_service.core.words import figure, listed, number

Array = NDArray[np.float64]

PERCENT = 100.0


def checks(given: CheckInput) -> list[Check]:
    """Judge the change of free-surface moment over the range of heel.

    Parameters
    ----------
    given : CheckInput
        The reduction.

    Returns
    -------
    list of Check
        K-05.

    Notes
    -----
    From the tank's shape where it is given: the liquid's shift over tan φ at the largest heel to either side. Else from
    the table: i_T at the levels that the tilted surface reaches, less what the surface loses where it meets the bottom
    or the crown; the breadth is that of the rectangle with the table's i_T and i_L (derived here).
    """
    rule = given.rule("K-05")
    slack = [tank for tank in slack_tanks(given) if _i_t(given, tank) > 0.0]
    if given.is_survey:
        return []
    if not slack:
        return [unassessed(rule, "No tank has a free surface.")]
    changes = [_change(given, tank) for tank in slack]
    worst = int(np.argmax(np.abs(changes)))
    value, limit = abs(changes[worst]) * PERCENT, rule["maximum_change_percent"]
    side: Side = "unsafe" if changes[worst] < 0.0 else "safe"
    tank = slack[worst]
    moment = _i_t(given, tank) * tank.sounding.density_t_per_m3
    from_what = "its shape" if tank.shape is not None else "its table (give its shape for a better figure)"
    text = (
        f"The free-surface moment of {tank.tank.name} ({number(moment, 2)} t·m) "
        f"{'falls' if changes[worst] < 0.0 else 'rises'} by {number(value, 1, limit)} % at the largest heel, by "
        f"{from_what}; {figure(limit)} % is allowed."
    )
    return [judged(rule, at_most(value, limit), text, value, limit, side)]


def cautions(given: CheckInput) -> list[Caution]:
    """Say of which tanks the table does not tell the volume, because the tilted surface meets the bottom or the crown.

    Parameters
    ----------
    given : CheckInput
        The reduction.

    Returns
    -------
    list of Caution
        None or one.
    """
    planes = given.outcome.planes
    slopes = float(planes.slope_x[0]), float(planes.slope_y[0])
    names = [tank.tank.name for tank in slack_tanks(given) if tank.shape is None and _meets_an_end(tank, slopes)]
    if not names:
        return []
    return [
        Caution(
            f"the surface in {listed(names)}, tilted by trim and list, meets the bottom or the crown: liquid lies in a "
            "pocket that a sounding through the table's level does not measure. Give the tank's shape, trim the ship, "
            "or empty or press the tank."
        )
    ]


def _meets_an_end(tank: SoundedTank, slopes: tuple[float, float]) -> bool:
    rows = tank.tank.table
    level = tank.middle_m(tank.level_m, *slopes)
    at = [
        np.interp(level, [row.sounding_m for row in rows], [getattr(row, name) for row in rows])
        for name in ("i_t_m4", "i_l_m4")
    ]
    reach = 0.5 * (
        abs(slopes[1]) * _equivalent_breadth_m(float(at[0]), float(at[1]))
        + abs(slopes[0]) * _equivalent_breadth_m(float(at[1]), float(at[0]))
    )
    return min(level - rows[0].sounding_m, rows[-1].sounding_m - level) < reach


def _i_t(given: CheckInput, tank: SoundedTank) -> float:
    return float(given.outcome.contents[0, given.test.tanks.index(tank), I_T_ROW])


def _change(given: CheckInput, tank: SoundedTank) -> float:
    """The largest change of the moment to either side, as a signed share of the level one."""
    tangents = np.array([given.state_tangents.min(), given.state_tangents.max()])
    tangents = tangents[np.abs(tangents) > 0.0]
    contents = given.outcome.contents[0, given.test.tanks.index(tank)]
    if tank.shape is not None:
        found = _from_shape(tank, contents, tangents)
    else:
        found = np.array([_from_table(given, tank, contents, abs(float(t))) for t in tangents])
    return float(found[np.argmax(np.abs(found))])


def _from_shape(tank: SoundedTank, contents: Array, tangents: Array) -> Array:
    assert tank.shape is not None  # noqa: S101 - the caller has asked
    slopes = np.concatenate([[0.0], tangents])
    moved = shape_moments(tank.shape, float(contents[VOLUME_ROW]), 0.0, slopes)[:, 1]
    return np.asarray((moved[1:] - moved[0]) / tangents / contents[I_T_ROW] - 1.0)


def _from_table(given: CheckInput, tank: SoundedTank, contents: Array, tangent: float) -> float:
    rows = tank.tank.table
    levels = [row.sounding_m for row in rows]
    planes = given.outcome.planes
    level = tank.middle_m(tank.level_m, float(planes.slope_x[0]), float(planes.slope_y[0]))
    half = 0.5 * _equivalent_breadth_m(float(contents[I_T_ROW]), float(contents[I_L_ROW]))
    reach = half * tangent
    tilted = np.interp([level - reach, level + reach], levels, [row.i_t_m4 for row in rows])
    by_table = float(tilted.mean()) / float(contents[I_T_ROW])
    room = min(level - levels[0], levels[-1] - level)
    wetted = 1.0 if room >= reach or half <= 0.0 else 0.5 * (1.0 + max(room, 0.0) / reach)
    return by_table * wetted**3 - 1.0


def _equivalent_breadth_m(i_t_m4: float, i_l_m4: float) -> float:
    """Breadth b of the rectangle with i_T = l·b³/12 and i_L = l³·b/12: b⁸ = 144·i_T³/i_L."""
    return float((144.0 * i_t_m4**3 / i_l_m4) ** 0.125) if i_l_m4 > 0.0 else 0.0
