"""Checks of the density of the water: samples, depth, range, spread, and the basis of the glass."""

from __future__ import annotations

from heelwright_service.core.checks.inputs import CheckInput
from heelwright_service.core.checks.verdicts import Caution, at_least, at_most, judged, unassessed
from heelwright_service.core.record import ProbeSample, WaterSample
from heelwright_service.core.results import Check
from heelwright_service.core.water import basis_mix_up_t, densities_in_vacuum_t_per_m3, summarise_water
from heelwright_service.core.words import counted, figure, number, tonnes

NEAR = 1e-9

SEA_AS_SHARE = (0.02, 0.045)
"""The salinities of the sea, 20 to 45 g/kg, given in kg/kg."""


def checks(given: CheckInput) -> list[Check]:
    """Judge the samples of the water.

    Parameters
    ----------
    given : CheckInput
        The reduction.

    Returns
    -------
    list of Check
        R-09, R-10, R-12, R-17 and R-17-spread.
    """
    return [_depth(given), _count(given), _range(given), _window(given), _spread(given)]


def cautions(given: CheckInput) -> list[Caution]:
    """Say what a mix-up of the glass's basis would cost.

    Parameters
    ----------
    given : CheckInput
        The reduction.

    Returns
    -------
    list of Caution
        One on the density basis, unless every glass is described; one on salinities that look like shares.
    """
    return [*_basis(given), *_salinity_as_share(given)]


def _salinity_as_share(given: CheckInput) -> list[Caution]:
    low, high = SEA_AS_SHARE
    found = [probe.practical_salinity for probe in given.record.water.probe_samples]
    if not any(low <= value <= high for value in found):
        return []
    return [
        Caution(
            f"a practical salinity of {figure(min(found))} is that of nearly pure water; the sea has about 35. If the "
            "probe shows kg/kg or parts of one, a thousand times as much is to be given: fresh for salt leaves "
            f"about {tonnes(0.026 * given.displacement_t)} of displacement out, and the centre of gravity comes out "
            "lower than it is.",
            "unsafe",
        )
    ]


def _basis(given: CheckInput) -> list[Caution]:
    rule = given.rule("R-14")
    if all(sample.glass is not None for sample in given.record.water.samples):
        return []
    cost = tonnes(basis_mix_up_t(given.displacement_t, float(given.outcome.density_t_per_m3[0])))
    if given.record.water.density_basis == "air":
        return [
            Caution(
                "densities are taken as read in air and were carried to vacuum. If the glass is of the load-line type "
                f"(in vacuum), the displacement is {cost} too large; look at the type stamped on it ({rule.source})."
            )
        ]
    return [
        Caution(
            "densities are taken as densities in vacuum. If the glass is of the draught-survey type (apparent "
            f"density in air), the displacement is {cost} too small; look at the type stamped on it ({rule.source}).",
            "unsafe",
        )
    ]


def _depth(given: CheckInput) -> Check:
    rule = given.rule("R-09")
    samples = _samples(given)
    depths = [sample.depth_m for sample in samples if sample.depth_m is not None]
    if not depths:
        why = "No sample has a depth, so rain or river water on top may have been taken for the water she floats in."
        return unassessed(rule, why, "unsafe")
    share = rule["minimum_share_of_draught"]
    limit = share * float(given.outcome.planes.draught_mid_m[0])
    value = max(depths)
    unknown = len(samples) - len(depths)
    told = f" {counted(unknown, 'sample')} without a depth." if unknown else ""
    text = (
        f"The deepest sample was taken at {number(value, 2, limit)} m; at least {number(limit, 2)} m is asked, "
        f"{figure(share)} of the mean draught.{told}"
    )
    return judged(rule, at_least(value, limit) and not unknown, text, value, limit, "unsafe")


def _count(given: CheckInput) -> Check:
    rule = given.rule("R-10")
    large = given.length_m >= rule["from_length_m"]
    needed = int(rule["large_samples" if large else "small_samples"])
    found = len(_samples(given))
    text = f"{counted(found, 'density sample')}; at least {needed} for a ship of {number(given.length_m, 2)} m."
    return judged(rule, found >= needed, text, found, needed)


def _range(given: CheckInput) -> Check:
    """The hydrometer's range is asked of the figures as they were read."""
    rule = given.rule("R-12")
    low, high = rule["minimum_t_per_m3"], rule["maximum_t_per_m3"]
    if not given.record.water.samples:
        return unassessed(rule, "No hydrometer was read: the densities come from salinity and temperature.")
    value, limit = _nearest_bound([sample.density_t_per_m3 for sample in given.record.water.samples], low, high)
    kept = low - NEAR <= value <= high + NEAR
    text = (
        f"The reading nearest to the end of the usual hydrometer, or beyond it, is {number(value, 4, limit)} t/m³; "
        f"it reads from {low:.3f} to {high:.3f} t/m³." + ("" if kept else " A second instrument was needed.")
    )
    return judged(rule, kept, text, value, limit)


def _window(given: CheckInput) -> Check:
    rule = given.rule("R-17")
    warn = (rule["warn_below_t_per_m3"], rule["warn_above_t_per_m3"])
    most = (rule["minimum_t_per_m3"], rule["maximum_t_per_m3"])
    value, limit = _nearest_bound(densities_in_vacuum_t_per_m3(given.record.water), *warn)
    kept = warn[0] - NEAR <= value <= warn[1] + NEAR
    beyond = not most[0] - NEAR <= value <= most[1] + NEAR
    text = (
        f"The most unusual density is {number(value, 4, limit)} t/m³ in vacuum; {warn[0]:.3f} to {warn[1]:.3f} t/m³ is "
        f"usual, {most[0]:.3f} to {most[1]:.3f} t/m³ the most that harbours show."
        + (" Measure it again with another glass." if beyond else "")
    )
    return judged(rule, kept, text, value, limit)


def _spread(given: CheckInput) -> Check:
    rule = given.rule("R-17")
    if len(_samples(given)) < 2:
        return unassessed(rule, "One sample tells nothing of how the water varies.", aspect="-spread")
    limit = rule["maximum_spread_t_per_m3"]
    value = summarise_water(given.record.water).spread_t_per_m3
    kept = at_most(value, limit)
    text = f"The samples differ by {number(value, 4, limit)} t/m³; {figure(limit)} t/m³ is allowed." + (
        "" if kept else " The water is in layers or mixed by a river: take samples at more depths and places."
    )
    return judged(rule, kept, text, value, limit, aspect="-spread")


def _samples(given: CheckInput) -> list[WaterSample | ProbeSample]:
    return [*given.record.water.samples, *given.record.water.probe_samples]


def _nearest_bound(values: list[float], low: float, high: float) -> tuple[float, float]:
    """The value that lies furthest out, and the bound that it is nearest to or beyond."""
    inside = [min(value - low, high - value) for value in values]
    value = values[inside.index(min(inside))]
    return value, low if value - low < high - value else high
