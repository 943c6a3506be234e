"""What reviewers ask about the result: lists, lightship, comparison, certificates, signatures, sums, origin of VCG."""

from __future__ import annotations

import math

from heelwright_service.core.campaign.boundary import check_boundary
from heelwright_service.core.campaign.review_document import Expectation, ReviewInputs, finding
from heelwright_service.core.campaign.review_measured import CLOSE
from heelwright_service.core.campaign.survey import SurveyItem, twins
from heelwright_service.core.checks.own_rules import OWN_RULES
from heelwright_service.core.results import Check
from heelwright_service.core.words import counted, on_day, plain

LIST_TOLERANCE_DEG = 0.25
"""How far the list from TCG and GM may lie from the list read (office default)."""

COVERAGE = 2.0
CERTIFICATES = ("weight-certificates", "hydrometer-certificate")


def reported_findings(given: ReviewInputs) -> list[Check]:
    """Look at what is reported.

    Parameters
    ----------
    given : ReviewInputs
        The result and its record.

    Returns
    -------
    list of Check
        RR-12 to RR-26.
    """
    return [
        _items(given),
        _twins(given),
        _tcg(given),
        _lcg(given),
        finding("RR-16", True, "Axes, planes and signs are stated with the result.", ""),
        _permanent_ballast(given),
        _plausible(given),
        _compared(given),
        _certificates(given),
        _signed(given),
        _method(given),
        _sums(given),
        _boundary(given),
        _sister(given),
        _vcg_origin(given),
    ]


def _items(given: ReviewInputs) -> Check:
    missing = [each for each in given.record.items if each.kind == "missing"]
    rounded = [e.description for e in missing if all(float(v).is_integer() for v in (e.x_m, e.y_m, e.z_m))]
    vcg = given.result.lightship.vcg_m
    high = [] if vcg is None else [e for e in missing if e.z_m > vcg]
    text = f"{counted(len(missing), 'missing item')} to add to get the lightship, {len(high)} of them above its centre."
    bad = f"{text} At rounded centres: {', '.join(rounded)}."
    return finding("RR-12", not rounded, text, bad, side="unsafe")


def _rows(given: ReviewInputs) -> list[SurveyItem]:
    if given.items:
        return list(given.items)
    listed = enumerate(given.record.items)
    return [SurveyItem(str(i), e.description, e.kind, e.mass_t, e.x_m, e.y_m, e.z_m) for i, e in listed]


def _twins(given: ReviewInputs) -> Check:
    filled = [each.tank for each in given.record.soundings if each.state != "empty"]
    found = twins(_rows(given), filled, [each.name for each in given.record.persons if each.name])
    return finding("RR-13", not found, "No item is counted twice.", " ".join(each.text for each in found))


def _tcg(given: ReviewInputs) -> Check:
    light, ship = given.result.lightship, given.result.as_inclined
    if light.tcg_m is None:
        ok = None if given.kind == "lightweight-survey" else False
        return finding("RR-14", ok, "", "TCG of the lightship is not derived.", fails=ok is False)
    small = given.result.small_angle
    if small is None or ship.tcg_m is None:
        return finding("RR-14", True, f"TCG {abs(light.tcg_m):.3f} m {_side(light.tcg_m)}.", "")
    expected = math.degrees(math.atan(ship.tcg_m / small.gm_fluid_m))
    apart = abs(expected - ship.waterline.heel_deg)
    text = f"TCG and GM give a list {apart:.2f}° from the one read ({abs(ship.waterline.heel_deg):.2f}°)."
    return finding("RR-14", apart <= LIST_TOLERANCE_DEG, text, text, value=apart, limit=LIST_TOLERANCE_DEG)


def _side(value: float) -> str:
    return "to starboard" if value > 0 else "to port"


def _lcg(given: ReviewInputs) -> Check:
    expected = given.expectation
    if expected is None:
        return finding("RR-15", None, "", "No earlier lightship with its log is known to compare LCG with.")
    away = given.result.lightship.lcg_m - expected.lcg_m
    standard = math.hypot(_standard(given, "lcg_m") or 0.0, expected.lcg_standard_m)
    limit = COVERAGE * standard
    where = "forward" if away > 0 else "aft"
    log = counted(expected.alterations, "logged alteration")
    text = f"LCG is {abs(away):.3f} m {where} of what the last test and {log} give; 95 % reach {limit:.3f} m."
    return finding("RR-15", abs(away) <= limit, text, f"{text} The log does not explain it.", value=away, limit=limit)


def _standard(given: ReviewInputs, name: str) -> float | None:
    doubts = given.result.uncertainty
    found = None if doubts is None else doubts.quantities.get(name)
    return None if found is None else found.standard


def _permanent_ballast(given: ReviewInputs) -> Check:
    told = given.statements.permanent_ballast
    bad = "Describe the permanent ballast with mass, material and place, or say that there is none."
    return finding("RR-17", bool(told), f"Permanent ballast: {told}", bad, source="46 CFR 170.185")


def _plausible(given: ReviewInputs) -> Check:
    vessel, light = given.record.vessel, given.result.lightship
    if light.vcg_m is None or vessel.depth_m is None:
        return finding("RR-18", None, "", "Without VCG or depth their ratio is not known.")
    ratio = light.vcg_m / vessel.depth_m
    centre, inside = _growth_centre_m(given)
    text = f"VCG is {100 * ratio:.0f} % of depth."
    if centre is not None:
        text += f" The growth since the approved lightship has its centre {centre:.1f} m above baseline."
    limits = OWN_RULES["RR-18"]
    ok = limits["minimum_over_depth"] <= ratio <= limits["maximum_over_depth"] and inside
    bad = f"{text} Error is likelier than weight: see model, marks, tanks and doubles."
    return finding("RR-18", ok, text, bad, value=ratio)


def _growth_centre_m(given: ReviewInputs) -> tuple[float | None, bool]:
    """Height of what came on since the approved lightship, and whether that lies within the ship."""
    before, light = given.record.vessel.approved_lightship, given.result.lightship
    if before is None or light.vcg_m is None:
        return None, True
    grown = light.mass_t - before.mass_t
    standard = _standard(given, "mass_t") or 0.0
    if abs(grown) <= COVERAGE * standard or grown == 0.0:
        return None, True
    centre = (light.mass_t * light.vcg_m - before.mass_t * before.vcg_m) / grown
    return centre, 0.0 <= centre <= 3.0 * (given.record.vessel.depth_m or math.inf)


def _compared(given: ReviewInputs) -> Check:
    before = given.record.vessel.approved_lightship
    told = bool(given.statements.comparison)
    if before is None:
        bad = "There is nothing to compare with."
        return finding("RR-19", told or None, "The result is compared with the estimate.", bad)
    away = given.result.lightship.mass_t - before.mass_t
    expected = given.expectation or Expectation(before.mass_t, before.lcg_m)
    logged = expected.mass_t - before.mass_t
    standard = math.hypot(_standard(given, "mass_t") or 0.0, expected.mass_standard_t)
    within = abs(away - logged) <= COVERAGE * standard
    text = f"Lightship {abs(away):.1f} t {'more' if away > 0 else 'less'} than approved."
    if expected.alterations:
        log = counted(expected.alterations, "logged alteration")
        make = "makes" if expected.alterations == 1 else "make"
        text += f" {log} {make} her {abs(logged):.1f} t {'heavier' if logged >= 0.0 else 'lighter'}."
    return finding("RR-19", told or within, text, f"{text} Explain the difference with its largest causes.")


def _certificates(given: ReviewInputs) -> Check:
    wanted = CERTIFICATES if given.kind == "inclining-test" else CERTIFICATES[1:]
    there = {each.kind for each in given.attachments}
    absent = [each for each in wanted if each not in there]
    day = given.record.test.date
    old = [e.name for e in given.attachments if e.valid_until is not None and day is not None and e.valid_until < day]
    bad = (
        f"Not attached: {', '.join(map(plain, absent)) or 'none'}; out of date at the test: {', '.join(old) or 'none'}."
    )
    return finding("RR-20", not absent and not old, "Certificates are attached and in date.", bad,
                   source="2008 IS Code part B 8.2.2.8")  # fmt: skip


def _signed(given: ReviewInputs) -> Check:
    roles = {each.role for each in given.signatures if each.name.strip() and each.at.strip()}
    absent = [each for each in ("person-in-charge", "witness") if each not in roles]
    bad = f"Not initialled with name and time: {', '.join(map(plain, absent))}."
    if given.signed_there:
        names = "; ".join(f"{plain(each.role)} {each.name}, {on_day(each.at)}" for each in given.signed_there)
        bad += f" By the word of the imported file: {names}. Look at the papers."
    return finding("RR-21", not absent, "Person in charge and witness have initialled the data.", bad,
                   source="2008 IS Code annex 1, 4.3.6 (from memory)")  # fmt: skip


def _method(given: ReviewInputs) -> Check:
    names = ", ".join(given.result.lightship_by_method)
    good = f"Method: {given.result.lightship.method}; computed by {names}; the record goes along."
    return finding("RR-22", bool(names), good, "No method is named.", fails=True, source="2008 IS Code part B 8.4.3")


def _sums(given: ReviewInputs) -> Check:
    *rows, last = given.result.lightship_table
    mass = sum(row.mass_t for row in rows)
    moment = sum(row.moment_x_t_m for row in rows)
    ok = math.isclose(mass, last.mass_t, rel_tol=CLOSE) and math.isclose(moment, last.moment_x_t_m, rel_tol=CLOSE)
    return finding("RR-23", ok, "The rows of the lightship table add up.",
                   f"The rows add up to {mass:.3f} t, not {last.mass_t:.3f} t.", fails=True)  # fmt: skip


def _boundary(given: ReviewInputs) -> Check:
    found = check_boundary(given.items, given.decisions, given.record.test.date)
    worse = [each.text for each in found if each.status != "pass"]
    return finding("RR-24", not worse, found[0].text, " ".join(worse), source=found[0].source)


def _sister(given: ReviewInputs) -> Check:
    if given.purpose != "sister-ship":
        return finding("RR-25", True, "Not a sister ship's case.", "")
    told = given.statements.lead_ship
    bad = "Name the lead ship, the differences, and why values are adopted."
    return finding("RR-25", bool(told), f"Lead ship: {told}", bad)


def _vcg_origin(given: ReviewInputs) -> Check:
    if given.result.lightship.vcg_m is not None:
        return finding("RR-26", True, "VCG is measured by inclining.", "")
    told = given.statements.vcg_reason
    bad = "A survey gives no VCG: say which is adopted and why (higher of lead and calculated, or the last test's)."
    return finding("RR-26", bool(told), f"VCG adopted: {told}", bad, fails=True, side="unsafe",
                   source="MSC/Circ.1158, para 3")  # fmt: skip
