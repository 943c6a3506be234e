"""Rules of the reduction that no rule set holds: office defaults and common practice, in the usual form."""

from __future__ import annotations

from heelwright_service.core.rules.conduct_definitions import Severity, TestRule
from heelwright_service.core.rules.definitions import Confidence

_OFFICE = "office default"
_PRACTICE = "common practice"
_ANNEX = "2008 IS Code (MSC.267(85)) part B annex 1"


def _rule(
    rule_id: str, text: str, source: str, confidence: Confidence = "EP", severity: Severity = "warn", **values: float
) -> TestRule:
    return TestRule(rule_id, text, source, confidence, values, severity)


_WATER = (
    _rule("R-09", "A sample of the water is taken at half the mean draught or deeper.",
          f"{_OFFICE}; deep enough asked by {_ANNEX}, 4.2.4 (from memory)", minimum_share_of_draught=0.5),
    _rule("R-18", "The mean of means (F + 6M + A)/8 gives the displacement of the fitted waterline within 0.5 %.",
          f"{_OFFICE}; the mean of means is {_PRACTICE} of draught surveys", maximum_percent=0.5),
    _rule("R-07-uncertainty", "No draught or freeboard lies further off the fitted surface than three times the "
          "standard deviation that its stated uncertainty gives it.", _OFFICE, maximum_studentised=3.0),
    _rule("hog", "Hog or sag is at most a thousandth of the length, or twice its own standard uncertainty where that "
          "is more.", _OFFICE, maximum_share_of_length=0.001, coverage_factor=2.0),
    _rule("deck-edge", "The deck edge stays above water in every state.", _PRACTICE, "MH", "block",
          minimum_freeboard_m=0.0),
)  # fmt: skip

_CONDUCT = (
    _rule("C-05", "The readings show no pattern: none that is significant at 1 % and more than 1 % of the full-scale "
          f"tangent. Curves and steps tell of other moments ({_ANNEX}, 4.3.2, from memory).", _OFFICE,
          significance_percent=1.0, maximum_percent_of_full_scale=1.0),
    _rule("C-02-zeros", "The weights come back to their first places at least once after the zero, to show its drift.",
          _OFFICE, minimum_returns=1.0),
    _rule("H-06-equal", "Pendulums closer than 10 mm in length count as equally long.", _OFFICE,
          minimum_difference_m=0.01),
    _rule("weights-in-ship", "The inclining weights stand between her ends and sides, and not in the lowest quarter of "
          "the depth.", _OFFICE, beyond_share=0.02, minimum_height_over_depth=0.25),
    _rule("weights-apart", "No two weights stand on one spot.", _PRACTICE, minimum_distance_m=0.001),
    _rule("T-06-people", "On small craft the people's moves stay below 5 % of the inclining moment.", _OFFICE,
          maximum_percent=5.0),
)  # fmt: skip

_TANKS = (
    _rule("double-bottom", "A tank whose crown lies in the lowest quarter of the depth counts as a double-bottom tank.",
          _OFFICE, maximum_crown_share_of_depth=0.25),
    _rule("K-07-equal", "Surfaces of a slack pair closer than 10 mm count as equal.", _OFFICE, equal_within_mm=10.0),
    _rule("tank-state", "The sounding of an empty or pressed tank agrees with its state within twice the uncertainty "
          "of a sounding.", _OFFICE, coverage_factor=2.0),
    _rule("tank-table", "The table of a tank agrees with itself: heights with soundings and volumes, second moments "
          "with the surface's area and place, the capacity with the last row, the pipe with the tank.", _OFFICE,
          least_height_m=0.1, height_share_of_depth=0.05, least_over_rectangle=0.5, most_over_rectangle=4.0,
          twin_gyration_over_y=0.78, capacity_percent=5.0, pipe_share_of_length=0.1, pipe_gyration=2.0),
    _rule("RP-03", "The condition of every tank is stated.", "46 CFR 170.185(g)(6)", "F", "block"),
    _rule("K-01-empty", "A tank stated empty is empty: entered, stripped and inspected.",
          f"{_ANNEX}, 2.1.4 (from memory)", "MH", "block"),
)  # fmt: skip

_MOVED_WATER = (
    _rule("W-12-sides", "The surface of a tank whose water is moved keeps its area within 5 % over the levels used.",
          f"{_OFFICE}; vertical sides asked by {_ANNEX}, 2.3.4 (from memory)", maximum_change_percent=5.0),
    _rule("W-12-opposite", "The two tanks of a move lie within 1 % of the length of each other and their distances "
          "from the centreline within 2 % of the breadth.",
          f"{_OFFICE}; directly opposite asked by {_ANNEX}, 2.3.4 (from memory)",
          maximum_percent_of_length=1.0, maximum_percent_of_breadth=2.0),
    _rule("W-12-time", "Half an hour at most from the readings of one state to those of the next.",
          f"{_OFFICE}; short enough for a steady wind asked by {_ANNEX}, 2.3.4 (from memory)", maximum_minutes=30.0),
    _rule("W-12-heel", "Marks or freeboards within a quarter of the length of amidships on both sides tell the initial "
          "heel.", f"{_OFFICE}; marks amidships asked by {_ANNEX}, 2.3.4 (from memory)",
          maximum_share_of_length=0.25),
)  # fmt: skip

_WEIGHTS_ABOARD = (
    _rule("RR-13", "Nothing is counted in two lists.", _PRACTICE, same_place_m=0.05),
    _rule("item-places", "Every mass lies within the ship: up to a tenth of her length beyond the ends, a tenth of her "
          "breadth beyond the sides, a tenth of her depth below the keel and four depths above it.", _OFFICE,
          beyond_share=0.1, maximum_height_over_depth=4.0),
    _rule("RR-18", "The lightship's centre of gravity lies between the keel and 1.2 times the depth.", _OFFICE,
          minimum_over_depth=0.0, maximum_over_depth=1.2),
    _rule("centre-in-ship", "The centres of gravity found lie in the ship: between keel and twice the depth, between "
          "her ends and within her sides.", _PRACTICE, "MH", "block", maximum_height_over_depth=2.0),
    _rule("implied-centre", "What the lightship gained since the approved one has its centre within the ship; a change "
          "of mass below 0.5 % is no ground to speak of a centre.", _OFFICE, least_change_percent=0.5),
)  # fmt: skip

_SLIPS = (
    _rule("hog-possible", "Hog or sag stays below a hundredth of the length: no ship bends further.", _PRACTICE, "MH",
          "block", maximum_share_of_length=0.01),
    _rule("particulars", "The stated length, breadth and depth are those of the hull form: within 20 %, 10 % and 25 %.",
          _PRACTICE, "MH", "block", length_percent=20.0, breadth_percent=10.0, depth_percent=25.0),
    _rule("marks-in-ship", "Every mark and freeboard stands on the ship: a tenth of her breadth or length beyond her "
          "sides or ends at the most.", _PRACTICE, "MH", "block", beyond_share=0.1),
    _rule("named-places", "Marks and tanks stand on the side and in the half of the ship that their names tell.",
          _PRACTICE),
    _rule("appendages", "An appendage has up to 5 % of the displaced volume, and lies under water.",
          _OFFICE, maximum_percent_of_volume=5.0),
    _rule("table-smooth", "Each row of a hydrostatic table lies within 3 % of the curve through its neighbours.",
          _OFFICE, maximum_percent=3.0),
    _rule("instrument-slope", "No instrument tells a heel more than 10 % off the others' beyond its scatter.",
          _PRACTICE, "MH", "block", maximum_percent=10.0),
    _rule("upright-zero", "An instrument that reads zero upright shows the list of the waterline, within three "
          "standard uncertainties or 0.1° where that is more.", _OFFICE, coverage_factor=3.0, least_deg=0.1),
    _rule("approved-mass", "The lightship found is within 20 % of the approved one.", _PRACTICE, "MH", "block",
          maximum_percent=20.0),
)  # fmt: skip

OWN_RULES: dict[str, TestRule] = {
    rule.id: rule for group in (_WATER, _CONDUCT, _TANKS, _MOVED_WATER, _WEIGHTS_ABOARD, _SLIPS) for rule in group
}
