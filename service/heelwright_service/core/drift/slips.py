"""Entries of a history that look like a slip: another unit, a shifted decimal point, another axis, a thing twice.

All thresholds here are office defaults: they raise a question and change no figure.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence

from heelwright_service.core.drift.answer import LightshipValues
from heelwright_service.core.drift.differences import ends, top_of
from heelwright_service.core.drift.request import Alteration, DriftRequest, LightshipRecord
from heelwright_service.core.rules import RuleVessel
from heelwright_service.core.words import listed, on_day

LARGEST_ALTERATION = 0.2  # share of the lightship that one alteration rarely is
PLAUSIBLE_MASS = 0.5  # a lightship of half or twice the baseline's mass is no drift
PLAUSIBLE_SHIFT_OF_LENGTH = 0.05  # five times the strictest limit on LCG that leads to inclining
NEAR_OF_LENGTH = 0.02
NEAR_FACTOR = 0.1
FEET = 0.3048
MASS_FACTORS: Mapping[float, str] = {
    1000.0: "kilograms or a decimal point three places off",
    2204.62: "pounds",
    10.0: "a decimal point one place off",
    100.0: "a decimal point two places off",
    0.001: "thousands of tonnes or a decimal point three places off",
    0.1: "a decimal point one place off",
    0.01: "a decimal point two places off",
}


def slips(request: DriftRequest, baseline: LightshipValues, as_of: str) -> Iterator[str]:
    """Name the entries of a request that look like a slip.

    Parameters
    ----------
    request : DriftRequest
        Lightships and alterations as they were given.
    baseline : LightshipValues
        What they are held against [t, m].
    as_of : str
        Day up to which entries count, ISO 8601.

    Yields
    ------
    str
        One sentence an entry, with its place in the request, what was found and what it looks like.
    """
    for index, record in enumerate(request.lightships):
        if record.date <= as_of:
            looks = [*_mass(record, baseline), *_lcg(record, baseline, request.vessel), *_height(record, baseline)]
            for text in looks:
                yield f"{record.basis} of {record.date} (/lightships/{index}): {text}"
    counted = [(index, each) for index, each in enumerate(request.alterations) if each.date <= as_of]
    for index, alteration in counted:
        for text in (*_place(alteration, baseline, request.vessel), *_weight(alteration, baseline)):
            yield f"Alteration of {alteration.date} (/alterations/{index}), {_words(alteration)}: {text}"
    yield from _twice(counted)


def _mass(record: LightshipRecord, baseline: LightshipValues) -> Iterator[str]:
    ratio = record.mass_t / baseline.mass_t
    if PLAUSIBLE_MASS <= ratio <= 1.0 / PLAUSIBLE_MASS:
        return
    likely = next((words for factor, words in MASS_FACTORS.items() if abs(ratio / factor - 1.0) < NEAR_FACTOR), "")
    guess = f", such as {likely}" if likely else ""
    yield (
        f"a mass of {record.mass_t:g} t where the baseline has {baseline.mass_t:g} t looks like a slip of the unit or "
        f"the decimal point{guess}; masses are in tonnes."
    )


def _lcg(record: LightshipRecord, baseline: LightshipValues, vessel: RuleVessel) -> Iterator[str]:
    length = vessel.length_bp_m or vessel.length_m
    if abs(record.lcg_m - baseline.lcg_m) <= PLAUSIBLE_SHIFT_OF_LENGTH * length:
        return
    readings = {
        "counted aft instead of forward": -record.lcg_m,
        "counted forward from midships": record.lcg_m + length / 2.0,
        "counted aft from midships": length / 2.0 - record.lcg_m,
        "counted aft from the forward perpendicular": length - record.lcg_m,
        "given in feet": FEET * record.lcg_m,
    }
    near = [words for words, x in readings.items() if abs(x - baseline.lcg_m) <= NEAR_OF_LENGTH * length]
    guess = f", such as {near[0]}" if near else ""
    yield (
        f"an LCG of {record.lcg_m:g} m where the baseline has {baseline.lcg_m:g} m looks like a slip of the axis, the "
        f"sign or the unit{guess}; x is in metres forward of the aft perpendicular."
    )


def _height(record: LightshipRecord, baseline: LightshipValues) -> Iterator[str]:
    if record.vcg_m is None or baseline.vcg_m is None or baseline.vcg_m <= 0.0:
        return
    if not PLAUSIBLE_MASS * baseline.vcg_m <= record.vcg_m <= baseline.vcg_m / PLAUSIBLE_MASS:
        yield (
            f"a VCG of {record.vcg_m:g} m where the baseline has {baseline.vcg_m:g} m looks like a slip of the unit or "
            "the axis; z is in metres above the moulded baseline."
        )


def _place(alteration: Alteration, baseline: LightshipValues, vessel: RuleVessel) -> Iterator[str]:
    """Coordinates outside the ship, those of the place that a relocated mass went to included."""
    aft, forward = ends(vessel)
    half, (top, why) = (vessel.breadth_m or math.inf) / 2.0, top_of(vessel, baseline)
    bounds = (("x_m", aft, forward, "her ends"), ("y_m", -half, half, "her breadth"), ("z_m", 0.0, top, why))
    outside = []
    for prefix in ("", "to_"):
        for name, low, high, words in bounds:
            value = getattr(alteration, f"{prefix}{name}")
            if value is not None and not low <= value <= high:
                beyond = "below the baseline" if name == "z_m" and value < 0.0 else f"outside {words}"
                limits = "" if name == "z_m" and value < 0.0 else f" ({low:.4g} m to {high:.4g} m)"
                outside.append(f"{prefix}{name} {value:g} is {beyond}{limits}")
    if outside:
        yield f"{'; '.join(outside)}. It was counted; a slip of the unit, the decimal point or the axis is likely."


def _weight(alteration: Alteration, baseline: LightshipValues) -> Iterator[str]:
    if alteration.mass_t > LARGEST_ALTERATION * baseline.mass_t:
        yield (
            f"{alteration.mass_t:g} t is {100.0 * alteration.mass_t / baseline.mass_t:.3g} % of the lightship. It was "
            "counted; is it in tonnes, not kilograms?"
        )


def _twice(counted: Sequence[tuple[int, Alteration]]) -> Iterator[str]:
    alike: dict[tuple[object, ...], list[tuple[int, Alteration]]] = {}
    for index, each in counted:
        own = (each.date, each.kind, each.mass_t, each.x_m, each.y_m, each.z_m, each.to_x_m, each.to_y_m, each.to_z_m)
        alike.setdefault(own, []).append((index, each))
    for group in alike.values():
        if len(group) > 1:
            entered, names = group[0][1], listed([f"/alterations/{index}" for index, _ in group])
            yield (
                f"Alterations {names} are the same: {_words(entered)} on {on_day(entered.date)}. All of them were "
                "counted; leave one where it was entered more than once."
            )


def _words(alteration: Alteration) -> str:
    named = f" ({alteration.description})" if alteration.description else ""
    place = f"x {alteration.x_m:g} m, y {alteration.y_m:g} m, z {alteration.z_m:g} m"
    return f"{alteration.mass_t:g} t {alteration.kind} at {place}{named}"
