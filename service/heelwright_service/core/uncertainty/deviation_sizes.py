"""How large a departure can be on this ship: what is beyond that is a slip of the pen, and is refused by name."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from heelwright_service.core.errors import CoreError
from heelwright_service.core.reduction import Reduced
from heelwright_service.core.uncertainty.deviation import Deviation

LIGHTEST_WATER_T_PER_M3, DENSEST_WATER_T_PER_M3 = 0.95, 1.10


@dataclass(frozen=True)
class Bound:
    """The greatest size of one field, in the unit that the field's name ends in, and what sets it."""

    field: str
    most: float
    what: str


def refuse_impossible_size(reduced: Reduced, deviation: Deviation, pointer: str) -> None:
    """Refuse a departure that this ship cannot have.

    Parameters
    ----------
    reduced : Reduced
        The test as it stands, worked out.
    deviation : Deviation
        The departure with its sizes.
    pointer : str
        JSON Pointer of the deviation in the request.

    Raises
    ------
    CoreError
        ``deviation-size-impossible`` naming the field, what was found and the limit.
    """
    for bound in _bounds(reduced, deviation):
        found = getattr(deviation, bound.field)
        if found is not None and abs(found) > bound.most:
            raise CoreError(
                "deviation-size-impossible",
                f"{bound.field} is {found:g}, but on this ship it is {bound.most:.4g} at most: {bound.what}. Check the "
                "figure and its unit.",
                f"{pointer}/{bound.field}",
            )
    true = deviation.density_t_per_m3
    if true is not None and not LIGHTEST_WATER_T_PER_M3 <= true <= DENSEST_WATER_T_PER_M3:
        raise CoreError(
            "deviation-size-impossible",
            f"density_t_per_m3 is {true:g}, but water that ships float in has {LIGHTEST_WATER_T_PER_M3:g} to "
            f"{DENSEST_WATER_T_PER_M3:g} t/m³.",
            f"{pointer}/density_t_per_m3",
        )


def _bounds(reduced: Reduced, deviation: Deviation) -> list[Bound]:
    afloat_t = float(reduced.outcome.displacement_t[0])
    bounds = [Bound("mass_t", afloat_t, f"the ship displaces {afloat_t:.5g} t")]
    beam = reduced.test.record.vessel.breadth_m
    if beam is not None:
        bounds.append(Bound("distance_m", beam, "her breadth"))
    size = _size_bound(reduced, deviation)
    tank = next((each.tank for each in reduced.test.tanks if each.tank.name == deviation.tank), None)
    if tank is not None:
        bounds.append(Bound("volume_m3", tank.capacity_m3, f"the capacity of {tank.name}"))
    return bounds if size is None else [*bounds, size]


def _size_bound(reduced: Reduced, deviation: Deviation) -> Bound | None:
    """The bound of ``size_m``, which means another thing in each kind."""
    test = reduced.test
    if deviation.kind == "draught-reading":
        planes = reduced.outcome.planes
        ends = (planes.t0_m[0], planes.t0_m[0] + planes.slope_x[0] * planes.length_bp_m)
        return Bound("size_m", float(np.abs(ends).max()), "the deeper of her draughts")
    if deviation.kind == "sounding":
        tank = next(each.tank for each in test.tanks if each.tank.name == deviation.tank)
        levels = [row.sounding_m for row in tank.table]
        return Bound("size_m", max(levels) - min(levels), f"the whole sounding table of {tank.name}")
    if deviation.kind == "instrument-length":
        meant = [each for each in test.record.instruments if deviation.instrument in (None, each.id)]
        lengths = [each.length_m for each in meant if each.length_m is not None]
        return Bound("size_m", min(lengths), "the instrument itself") if lengths else None
    if deviation.kind == "shift-distance" and test.movements is not None:
        return Bound("size_m", float(np.ptp(test.movements.spot_m[:, 1])), "the widest shift of the weights")
    return None
