"""The departures that people meet on the day, each told as what it would make of this ship's record.

A deviation of a given size is turned into the departed test: what the record would say had the departure happened on
this ship unnoticed. The price of leaving it is the result of the departed test less the result as it stands.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, fields

from heelwright_service.core.errors import CoreError
from heelwright_service.core.prepared_test import PreparedTest
from heelwright_service.core.reduction import Reduced
from heelwright_service.core.uncertainty import departures
from heelwright_service.core.uncertainty.departures import Departed
from heelwright_service.core.uncertainty.deviation import Deviation
from heelwright_service.core.uncertainty.deviation_sizes import refuse_impossible_size


@dataclass(frozen=True)
class Kind:
    """A kind of departure: what it is, sizes it needs, if it needs an inclining test, working, and what it may have."""

    text: str
    needs: tuple[str, ...]
    inclining: bool
    apply: Callable[[Reduced, Deviation], Departed]
    may: tuple[str, ...] = ()


def departed(reduced: Reduced, deviation: Deviation, pointer: str) -> Departed:
    """Put a departure into a test.

    Parameters
    ----------
    reduced : Reduced
        The test as it stands, worked out.
    deviation : Deviation
        The departure with its size.
    pointer : str
        JSON Pointer of the deviation in the request.

    Returns
    -------
    Departed
        The test with the departure in it.

    Raises
    ------
    CoreError
        ``deviation-unknown``, ``deviation-size-missing``, ``deviation-size-foreign``, ``deviation-not-here``,
        ``deviation-names-nothing`` or ``deviation-size-impossible``.
    """
    kind = KINDS.get(deviation.kind)
    if kind is None:
        raise CoreError(
            "deviation-unknown",
            f"'{deviation.kind}' is no kind of deviation; known are {', '.join(sorted(KINDS))}.",
            f"{pointer}/kind",
        )
    absent = next((name for name in kind.needs if getattr(deviation, name) is None), None)
    if absent is not None:
        raise CoreError(
            "deviation-size-missing",
            f"A deviation of kind '{deviation.kind}' ({kind.text}) needs {absent}.",
            f"{pointer}/{absent}",
        )
    given = [each.name for each in fields(deviation)[1:] if getattr(deviation, each.name) not in (None, ())]
    foreign = next((name for name in given if name not in (*kind.needs, *kind.may)), None)
    if foreign is not None:
        known = ", ".join((*kind.needs, *kind.may)) or "no size"
        message = f"A deviation of kind '{deviation.kind}' ({kind.text}) has no {foreign}; it has {known}."
        raise CoreError("deviation-size-foreign", message, f"{pointer}/{foreign}")
    if kind.inclining and reduced.test.movements is None:
        raise CoreError(
            "deviation-not-here",
            f"'{deviation.kind}' concerns the inclining, but the record is a lightweight survey.",
            f"{pointer}/kind",
        )
    _refuse_unnamed(reduced.test, deviation, pointer)
    refuse_impossible_size(reduced, deviation, pointer)
    return kind.apply(reduced, deviation)


def _refuse_unnamed(test: PreparedTest, deviation: Deviation, pointer: str) -> None:
    record = test.record
    known: dict[str, list[str]] = {
        "instrument": [instrument.id for instrument in record.instruments],
        "mark": list(test.points.names),
        "tank": [tank.tank.name for tank in test.tanks],
        "weight": [weight.id for weight in record.inclining_weights],
    }
    for name, allowed in known.items():
        given = getattr(deviation, name)
        if given is not None and given not in allowed:
            raise CoreError(
                "deviation-names-nothing",
                f"The deviation names {name} '{given}', but the record has {', '.join(allowed) or 'none'}.",
                f"{pointer}/{name}",
            )
    numbers = [] if test.movements is None else test.movements.numbers
    stray = next((number for number in deviation.states or () if number not in numbers), None)
    if stray is not None:
        raise CoreError(
            "deviation-names-nothing",
            f"The deviation names state {stray}, but the record has {', '.join(map(str, numbers))}.",
            f"{pointer}/states",
        )


_PLACE = ("mass_t", "x_m", "y_m", "z_m")
_WHICH_READINGS = ("instrument", "states", "side")

KINDS: dict[str, Kind] = {
    "liquid-unseen": Kind(
        "liquid left in a tank or void that was taken as dry",
        _PLACE,
        False,
        departures.mass_overlooked,
        ("free_surface_moment_t_m",),
    ),
    "surplus-overlooked": Kind(
        "something aboard that is not lightship and was not listed", _PLACE, False, departures.mass_overlooked
    ),
    "missing-forgotten": Kind(
        "something still to come aboard that was not listed", _PLACE, False, departures.missing_forgotten
    ),
    "weight-mass": Kind(
        "inclining weights off their certificate", ("relative",), True, departures.weight_mass, ("weight",)
    ),
    "shift-distance": Kind(
        "a shift of the weights noted too long", ("size_m",), True, departures.shift_distance, ("weight",)
    ),
    "instrument-length": Kind(
        "an instrument's length noted too long", ("size_m",), True, departures.instrument_length, ("instrument",)
    ),
    "deflection-short": Kind(
        "deflections read short", ("size_mm",), True, departures.deflection_short, _WHICH_READINGS
    ),
    "heel-held": Kind(
        "a line, fender or the bottom holds part of the heel", ("share",), True, departures.heel_held, _WHICH_READINGS
    ),
    "draught-reading": Kind("draughts read too deep", ("size_m",), False, departures.draught, ("mark",)),
    "water-density": Kind(
        "water of another density than was measured", ("density_t_per_m3",), False, departures.density
    ),
    "density-basis": Kind(
        "density in air taken for density in vacuum, or the reverse", (), False, departures.density_basis
    ),
    "free-surface": Kind(
        "free surface deducted that is not there, negative for one not deducted",
        ("free_surface_moment_t_m",),
        True,
        departures.free_surface,
    ),
    "tank-pressed": Kind("a tank taken as slack that was pressed full", ("tank",), False, departures.tank_pressed),
    "pressed-tank-air": Kind(
        "air in a tank taken as pressed full",
        ("tank", "volume_m3"),
        False,
        departures.pressed_with_air,
        ("free_surface_moment_t_m",),
    ),
    "sounding": Kind("a tank sounded too deep", ("tank", "size_m"), False, departures.sounding),
    "people-walk": Kind(
        "people who walk across with the weights", ("mass_t", "distance_m"), True, departures.people_walk
    ),
    "mass-out-of-place": Kind(
        "a truck, gang or person off its reading position",
        ("mass_t", "distance_m"),
        True,
        departures.out_of_place,
        ("states",),
    ),
    "heeling-moment": Kind(
        "wind or another heeling moment in some states", ("moment_t_m", "states"), True, departures.heeling_moment
    ),
}
