"""Cautions about entries that are hardly meant: masses of persons, uncertainties, readings entered twice."""

from __future__ import annotations

from collections import Counter
from dataclasses import fields

from heelwright_service.core.checks.inputs import CheckInput
from heelwright_service.core.checks.verdicts import Caution
from heelwright_service.core.standard_uncertainties import DEFAULTS
from heelwright_service.core.words import figure, listed

KILOGRAMS = 1000.0
LIGHTEST_PERSON_T, HEAVIEST_PERSON_T = 0.04, 0.15
"""A person of another mass is asked about (office default)."""

LARGEST_STANDARD = {
    "draught_m": 0.1,
    "freeboard_m": 0.1,
    "density_t_per_m3": 0.005,
    "reading_m": 0.01,
    "reading_deg": 0.1,
    "pendulum_length_m": 0.05,
    "weight_mass_relative": 0.05,
    "weight_position_m": 0.2,
    "sounding_m": 0.1,
    "tank_volume_relative": 0.05,
    "item_mass_relative": 0.5,
    "item_position_m": 2.0,
    "hull_volume_relative": 0.02,
    "km_m": 0.1,
    "sounding_datum_m": 0.05,
}
"""Standard uncertainties beyond which the unit or the decimal point is in doubt (office defaults)."""

MAY_BE_ZERO = frozenset({"unlisted_mass_t", "unlisted_moment_t_m", "sounding_datum_m"})


def cautions(given: CheckInput) -> list[Caution]:
    """Ask about what is hardly meant.

    Parameters
    ----------
    given : CheckInput
        The reduction.

    Returns
    -------
    list of Caution
        On persons, stated uncertainties, and readings made twice without saying so.
    """
    return [*_persons(given), *_large(given), *_zero(given), *_twice(given)]


def _persons(given: CheckInput) -> list[Caution]:
    odd = [
        f"{person.name or f'person {i + 1}'} with {figure(person.mass_t * KILOGRAMS)} kg (/persons/{i}/mass_t)"
        for i, person in enumerate(given.record.persons)
        if not LIGHTEST_PERSON_T <= person.mass_t <= HEAVIEST_PERSON_T
    ]
    if not odd:
        return []
    return [
        Caution(
            f"hardly the mass of one person: {listed(odd)}. Between {figure(LIGHTEST_PERSON_T * KILOGRAMS)} kg and "
            f"{figure(HEAVIEST_PERSON_T * KILOGRAMS)} kg is usual (office default). mass_t is in tonnes: 80 kg are "
            "0.08 t. Several people in one entry are better listed one by one."
        )
    ]


def _large(given: CheckInput) -> list[Caution]:
    stated = given.record.uncertainties
    odd = [
        f"{name} {figure(value)} (usually {figure(DEFAULTS[name].value)})"
        for name, limit in LARGEST_STANDARD.items()
        if (value := getattr(stated, name)) is not None and value > limit
    ]
    if not odd:
        return []
    return [
        Caution(
            f"stated uncertainties far beyond the usual: {listed(odd)}. They are standard uncertainties in the unit of "
            "the name, relative ones as a share (0.5 is 50 %): check them; the intervals say no more than they do."
        )
    ]


def _zero(given: CheckInput) -> list[Caution]:
    stated = given.record.uncertainties
    zero = [f.name for f in fields(stated) if f.name not in MAY_BE_ZERO and getattr(stated, f.name) == 0.0]
    if not zero:
        return []
    return [
        Caution(
            f"stated as exactly 0: {listed(zero)}. Nothing read or taped is certain, and the intervals leave out what "
            "is called so: they are too narrow.",
            "unsafe",
        )
    ]


def _twice(given: CheckInput) -> list[Caution]:
    active = [r for r in given.record.readings if r.withdrawn_reason is None]
    counts = Counter((r.state, r.instrument, r.repeat) for r in active)
    double = [f"{name} in state {state}" for (state, name, _), count in counts.items() if count > 1]
    if not double:
        return []
    return [
        Caution(
            f"read more than once without different numbers in `repeat`: {listed(double)}. All count, averaged. "
            "Number true repeats; withdraw an entry made twice or superseded, with a reason."
        )
    ]
