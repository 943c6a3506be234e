"""What reviewers ask about the measurements: readings, plot, waterline, density, tanks, things of the test."""

from __future__ import annotations

import math
from collections import Counter

from heelwright_service.core.campaign.review_document import ReviewInputs, finding
from heelwright_service.core.record import TableRow
from heelwright_service.core.results import Check
from heelwright_service.core.rules import conduct_rule
from heelwright_service.core.words import counted

_CODE = "2008 IS Code part B 8.4"
CLOSE = 1e-6
"""Relative difference that rounding of the computer may leave in sums."""


def measured_findings(given: ReviewInputs) -> list[Check]:
    """Look at what was measured.

    Parameters
    ----------
    given : ReviewInputs
        The result and its record.

    Returns
    -------
    list of Check
        RR-01 to RR-11; the first four concern an inclining alone.
    """
    inclining = [_raw(given), _struck(given), _plot(given), _agreement(given)] if given.result.small_angle else []
    rest = [_deviations, _trim_and_hog, _one_waterline, _datum, _density, _free_surface, _things_of_the_test]
    return inclining + [each(given) for each in rest]


def _raw(given: ReviewInputs) -> Check:
    counted = [each for each in given.record.readings if each.withdrawn_reason is None]
    read = {(each.state, each.instrument) for each in counted}
    states = sorted({each.state for each in counted})
    holes = [f"state {s}, {i.id}" for s in states for i in given.record.instruments if (s, i.id) not in read]
    good = f"{len(given.record.readings)} raw readings are in the record."
    return finding("RR-01", not holes, good, f"Not read: {', '.join(holes)}.", source=f"{_CODE}.2")


def _struck(given: ReviewInputs) -> Check:
    withdrawn = [each.withdrawn_reason for each in given.record.readings if each.withdrawn_reason is not None]
    blank = [reason for reason in withdrawn if not reason.strip()]
    counted = [each for each in given.record.readings if each.withdrawn_reason is None]
    times = Counter((each.state, each.instrument, each.repeat) for each in counted)
    twice = [f"state {state}, {name}" for (state, name, _), count in times.items() if count > 1]
    good = "Every reading that was struck out or repeated says why."
    bad = f"{len(blank)} struck out without a reason; read twice without saying so: {', '.join(twice) or 'none'}."
    return finding("RR-02", not blank and not twice, good, bad, fails=bool(blank), source=f"{_CODE}.1.2")


def _plot(given: ReviewInputs) -> Check:
    fit = given.result.small_angle.fit if given.result.small_angle is not None else None
    plotted = {point.instrument for point in fit.points} if fit is not None else set()
    read = {each.instrument for each in given.record.readings if each.withdrawn_reason is None}
    free = {each.id for each in given.record.instruments if each.zero == "arbitrary"} & read
    forced = [name for name in sorted(free) if fit is not None and fit.intercepts.get(name) is None]
    good = "Every instrument is plotted, with an intercept of its own."
    absent = ", ".join(sorted(read - plotted)) or "none"
    bad = f"Not plotted: {absent}; forced through zero: {', '.join(forced) or 'none'}."
    return finding("RR-03", plotted == read and not forced, good, bad, source=conduct_rule("C-04").cited_source)


def _agreement(given: ReviewInputs) -> Check:
    found = [each for each in given.result.checks if each.id.startswith("C-07-instruments")]
    worse = [each.text for each in found if each.status in ("warn", "fail")]
    known = any(each.status != "not-assessed" for each in found)
    told = bool(given.statements.instruments)
    bad = f"{' '.join(worse)} Say what was found." if worse else "One instrument alone: nothing checks it."
    ok = (not worse or told) if known else (True if told else None)
    return finding("RR-04", ok, "The instruments agree, or it is said why not.", bad,
                   source=conduct_rule("C-06").cited_source)  # fmt: skip


def _deviations(given: ReviewInputs) -> Check:
    whole = [each for each in given.deviations if each.price and each.accepted_by and each.witness]
    open_ones = [each.text for each in given.deviations if each not in whole]
    open_ones += [f"{each.text} (by the file's word accepted by {each.accepted_by}, witness {each.witness})"
                  for each in whole if each.by_file]  # fmt: skip
    good = _settled(len(given.deviations))
    bad = f"Without price, acceptance or witness: {'; '.join(open_ones)}."
    return finding("RR-05", not open_ones, good, bad, source="46 CFR 170.190")


def _settled(count: int) -> str:
    if not count:
        return "No deviation is recorded."
    return f"{counted(count, 'deviation')}, each with its price and the names of those who accepted it."


def _trim_and_hog(given: ReviewInputs) -> Check:
    ship, vessel = given.result.as_inclined, given.record.vessel
    covered = vessel.hull is not None or len({row.trim_m for row in _rows(given)}) > 1
    percent = 100.0 * abs(ship.waterline.trim_m) / vessel.length_bp_m
    by_hog = ship.displacement_t - ship.displacement_without_hog_t
    most = conduct_rule("P-19")["maximum_percent_of_lbp"]
    text = f"Trim {percent:.2f} % of the length; without its hog the displacement would differ by {abs(by_hog):.2f} t."
    bad = f"{text} The hydrostatics are for even keel."
    return finding("RR-06", covered or percent <= most, text, bad, value=percent, limit=most)


def _rows(given: ReviewInputs) -> list[TableRow]:
    table = given.record.vessel.hydrostatic_table
    return [] if table is None else list(table.rows)


def _one_waterline(given: ReviewInputs) -> Check:
    ship = given.result.as_inclined
    product = ship.volume_m3 * ship.density_t_per_m3
    ok = math.isclose(product, ship.displacement_t, rel_tol=CLOSE)
    text = f"Displacement {ship.displacement_t:.2f} t and KM {ship.km_t_m:.3f} m belong to one waterline and density."
    return finding("RR-07", ok, text, f"Volume times density is {product:.2f} t, not the displacement.", fails=True)


def _datum(given: ReviewInputs) -> Check:
    plan, marks = given.draught_plan, given.record.vessel.marks
    if not given.record.draughts:
        return finding("RR-08", True, "No marks were read: freeboards of points with their heights.", "")
    zero = ", ".join(f"{mark.name} {_from_baseline(mark.zero_z_m)}" for mark in marks)
    good = f"Marks count from {plan.datum}; zeros against the moulded baseline: {zero}."
    return finding("RR-08", bool(plan.datum), good, f"Say what the marks count from; zeros taken as {zero}.")


def _from_baseline(zero_z_m: float) -> str:
    side = "above" if zero_z_m > 0.0 else "below"
    return f"{abs(zero_z_m):.3f} m {side}" if round(zero_z_m, 3) else "on it"


def _density(given: ReviewInputs) -> Check:
    water, vessel, rule = given.record.water, given.record.vessel, conduct_rule("R-10")
    length = vessel.length_m or vessel.length_bp_m
    least = int(rule["large_samples" if length >= rule["from_length_m"] else "small_samples"])
    cold = sum(each.temperature_c is None for each in water.samples)
    count = len(water.samples) + len(water.probe_samples)
    kinds = [f"{len(water.samples)} by hydrometer (in {water.density_basis} unless the glass says otherwise)"]
    kinds += [f"{len(water.probe_samples)} by salinity and temperature"] if water.probe_samples else []
    text = f"{counted(count, 'sample')}, {', '.join(kinds if water.samples else kinds[1:])}; {least} wanted."
    bad = f"{text} No temperature with {cold} of them." if cold else text
    return finding("RR-09", count >= least and not cold, text, bad, value=float(count), limit=float(least),
                   source=conduct_rule("R-10").cited_source)  # fmt: skip


def _free_surface(given: ReviewInputs) -> Check:
    slack = [each.tank for each in given.record.soundings if each.state == "slack"]
    tanks = counted(len(slack), "slack tank")
    if given.result.small_angle is None:
        return finding("RR-10", True, f"{tanks}; a survey without heel corrects no GM.", "")
    moment = given.result.small_angle.free_surface_m * given.result.as_inclined.displacement_t
    ok = (moment > 0.0) == bool(slack)
    text = f"Free-surface moment {moment:.1f} t·m from {tanks}, none from pressed or empty ones."
    bad = f"Free-surface moment {moment:.1f} t·m does not go with {tanks}."
    return finding("RR-10", ok, text, bad, side="unsafe", value=moment)


def _things_of_the_test(given: ReviewInputs) -> Check:
    off = -sum(row.mass_t for row in given.result.lightship_table if row.group in ("inclining weights", "persons"))
    aboard = sum(w.mass_t for w in given.record.inclining_weights) + sum(p.mass_t for p in given.record.persons)
    same = math.isclose(off, aboard, rel_tol=CLOSE, abs_tol=CLOSE)
    text = f"Weights and persons, {aboard:.2f} t, are deducted whole."
    if same and not given.record.persons:
        return finding("RR-11", False, "", f"{text} Nobody was listed aboard: is that so?")
    return finding("RR-11", same, text, f"{off:.2f} t deducted of {aboard:.2f} t of weights and persons.", fails=True)
