"""Test records made for published cases: a prism afloat, one weight moved, angles as given."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from heelwright_service.core.hull import Hull
from heelwright_service.core.planes import Planes
from heelwright_service.core.record import (
    DraughtReading,
    HullDocument,
    IncliningWeight,
    Instrument,
    Mark,
    Reading,
    Sounding,
    State,
    Tank,
    TestRecord,
    Vessel,
    Water,
    WaterSample,
)

from tests.support.hulls import plane_at_volume

WEIGHT_T = 10.0


def inclining_record(
    document: HullDocument,
    length_m: float,
    displacement_t: float,
    density_t_per_m3: float,
    moments_t_m: Sequence[float],
    tangents: Sequence[float],
    pendulum_m: float = 1.0,
    tanks: Sequence[Tank] = (),
    soundings: Sequence[Sounding] = (),
) -> TestRecord:
    """A record that floats at the given displacement and the first tangent, without trim, read at six marks."""
    hull = Hull.from_document(document, length_m)
    heel = float(np.degrees(np.arctan(tangents[0])))
    start = Planes.of(length_m, 0.4 * hull.depth_limits_m[1], heel_deg=heel)
    planes = plane_at_volume(hull, displacement_t / density_t_per_m3, start)
    marks = [
        Mark(f"{name}{side}", x, y, 0.0)
        for name, x in (("aft ", 0.0), ("mid ", 0.5 * length_m), ("fwd ", length_m))
        for side, y in (("port", -4.0), ("starboard", 4.0))
    ]
    heights = [float(planes.height_m(np.array([m.x_m]), np.array([m.y_m]))[0, 0]) for m in marks]
    return TestRecord(
        vessel=Vessel(length_bp_m=length_m, hull=document, marks=marks, tanks=tanks),
        water=Water([WaterSample(density_t_per_m3)]),
        draughts=[DraughtReading(m.name, h) for m, h in zip(marks, heights, strict=True)],
        soundings=soundings,
        inclining_weights=[IncliningWeight("A", WEIGHT_T)],
        states=[State(i, {"A": (0.5 * length_m, moment / WEIGHT_T, 8.0)}) for i, moment in enumerate(moments_t_m)],
        instruments=[Instrument("P", "pendulum", pendulum_m)],
        readings=[Reading(i, "P", value_mm=1000.0 * pendulum_m * t) for i, t in enumerate(tangents)],
    )
