"""The figures of planning, conduct and reduction, with their sources; the facts are restated."""

from __future__ import annotations

from heelwright_service.core.rules.conduct_definitions import Severity, TestRule, with_values
from heelwright_service.core.rules.definitions import Confidence

_IS = "2008 IS Code (MSC.267(85)) part B"
_ANNEX = f"{_IS} annex 1"
_OLD = "IMO A.749(18) annex 1"
_REC31 = "IACS Recommendation 31"
_DNV = "DNV Classification Note 20.1"
_CLASS = "RINA Rules part B chapter 3 appendix 1"
_OFFICE = "office default"
_US_SUMMARY = "United States Coast Guard plan review guideline on stability test procedures"
_FRANCE_FISHING = "France, arrêté of 23 November 1987, division 211, art. 211-2.05"
_FRANCE_CARGO = "France, arrêté of 23 November 1987, division 222, art. 222-2.08"


def _rule(
    rule_id: str, text: str, source: str, confidence: Confidence, severity: Severity = "warn", **values: float
) -> TestRule:
    return TestRule(rule_id, text, source, confidence, values, severity)


_PLAN = (
    _rule("P-02", "The procedure reaches the Marine Safety Center at least 14 days before the test (United States).",
          "46 CFR 170.085", "F", "info", notice_days=14.0),
    _rule("P-06", "The vessel is at least 98 % complete (United States).", _US_SUMMARY, "F2", complete_percent=98.0),
    _rule("P-07", "Missing weights are at most 2 % of lightship displacement.", f"{_REC31}; {_DNV}", "F", "block",
          maximum_percent=2.0),
    _rule("P-08", "Surplus weights, liquids left out, are at most 4 % of lightship displacement.", f"{_REC31}; {_DNV}",
          "F", "block", maximum_percent=4.0),
    _rule("P-09", "Small vessels may be allowed higher percentages, case by case.", _REC31, "F", "info"),
    _rule("P-11", "Everybody aboard and every weight stays in place during the readings.", f"{_IS} 8.2.2.3", "F"),
    _rule("P-14", "The depth of water rules out touching the bottom, at the largest heel too.",
          f"{_IS} 8.2.2.6; 46 CFR 170.185(d)", "F", "block"),
    _rule("P-15", "At least 0.5 m or 10 % of the draught of water under the keel, whichever is more.", _OFFICE, "EP",
          minimum_m=0.5, minimum_percent_of_draught=10.0),
    _rule("P-16", "Moorings do not restrain the heel; gangways are off, lines and hoses slack.", f"{_IS} 8.2.2.6", "F",
          "block"),
    _rule("P-17", "Lines are checked slack just before each reading.", f"{_ANNEX}, 4.3.1", "MH"),
    _rule("P-18", "Initial list with the weights in their starting places is at most 0.5°.",
          f"{_IS} 8.2.2.7; {_US_SUMMARY}", "F2", "block", maximum_deg=0.5),
    _rule("P-19", "Trim at the test is at most 1 % of the length between perpendiculars, or hydrostatics and sounding "
          "tables are those of the actual trim.", f"{_US_SUMMARY}; {_DNV}", "F2", maximum_percent_of_lbp=1.0),
    _rule("P-20", "Trim that differs from the design trim by more than 2 % calls for displacement from the hull "
          "form (France).", f"{_FRANCE_FISHING} para 5", "F", "info", maximum_percent=2.0),
    _rule("P-21", "KM at the largest heel differs from KM upright by at most 1 %; otherwise the waterplane changes "
          "too much for the fixed metacentre.", f"{_OFFICE}; the check itself: {_IS} 8.2.2.7 (from memory)", "EP",
          maximum_change_percent=1.0),
    _rule("P-22", "GM in the test condition is at least 0.20 m before the first weight is moved.", _DNV, "F2", "block",
          minimum_gm_m=0.20),
    _rule("P-23", "The deck under the weights is not overloaded.", f"{_DNV}; {_ANNEX}, 2.3.2", "F2", "block"),
    _rule("P-29", "Wind up to 5 m/s, gusts within 2 m/s of it, waves up to 0.1 m, current up to 0.5 kn.", _OFFICE,
          "EP", wind_m_per_s=5.0, gust_spread_m_per_s=2.0, wave_m=0.1, current_kn=0.5),
    _rule("P-32", "The vessel is walked through well ahead by at least two persons.", f"{_OLD}, 4.1", "F", "info",
          minimum_persons=2.0),
    _rule("T-06", "Below 24 m the same procedure is used with extra care for accuracy.",
          "IMO A.749(18) as amended by MSC.75(69), 7.1.6", "F", "info", below_length_m=24.0),
    _rule("T-21", "High-speed craft may be calculated instead of inclined where KG is less than a third of GM.",
          "2000 HSC Code 2.7.2", "F", "info", kg_over_gm=1.0 / 3.0),
)  # fmt: skip

_TANKS = (
    _rule("K-01", "Tanks are empty and clean or completely full; slack tanks are kept to the fewest.",
          f"{_IS} 8.2.2.5", "F"),
    _rule("K-02", "At most one pair of slack tanks, or one on the centreline, for each kind of liquid.",
          f"{_ANNEX}, 2.1.2", "MH", "block", maximum_pairs_per_liquid=1.0),
    _rule("K-03", "Slack deep tanks are between 20 % and 80 % full.", f"{_ANNEX}, 2.1.2", "MH",
          minimum_fill_percent=20.0, maximum_fill_percent=80.0),
    _rule("K-04", "Slack double-bottom tanks are between 40 % and 60 % full.", f"{_ANNEX}, 2.1.2", "MH",
          minimum_fill_percent=40.0, maximum_fill_percent=60.0),
    _rule("K-05", "The free-surface moment of a slack tank stays within 5 % over the range of heel.",
          f"{_OFFICE}; regular shape asked by {_ANNEX}, 2.1.2 (from memory)", "EP", maximum_change_percent=5.0),
    _rule("K-06", "Cold viscous liquids are not carried slack: no free-surface correction holds for them.",
          f"{_ANNEX}, 2.1.2", "MH"),
    _rule("K-07", "Cross-connections are closed; equal levels in a slack pair warn of an open one.",
          f"{_ANNEX}, 2.1.2; {_FRANCE_CARGO} para 1.2.5", "F"),
    _rule("K-08", "Pressed up means 100 %: a tank from 98 % to just under 100 % is neither full nor properly slack.",
          f"{_ANNEX}, 2.1.3", "MH", "block", minimum_fill_percent=98.0, full_percent=100.0),
    _rule("K-09", "The 98 % rule belongs to loading calculations and is never used in a reduction.",
          f"{_IS} 3.1.2", "F", "info", loading_only_percent=98.0),
    _rule("K-10", "Empty tanks have been entered and inspected, or their state has other evidence.",
          f"{_ANNEX}, 2.1.4; {_DNV}", "F2"),
    _rule("K-13", "Densities of tank liquids are measured; sounding tables are at hand.", _DNV, "F2"),
)  # fmt: skip

_WEIGHTS = (
    _rule("W-01", "The weights heel the vessel to each side by at least 1° and at most 4°.",
          f"{_IS} 8.2.2.8; {_CLASS}, 1.2", "F", "block", minimum_deg=1.0, maximum_deg=4.0),
    _rule("W-02", "Large ships may heel less where the deflection rule is still met.", f"{_CLASS}, 1.2", "F", "info"),
    _rule("W-03", "Other instruments than pendulums are no reason to heel less.", f"{_IS} 8.2.2.9", "F", "info"),
    _rule("W-04", "Four inclinations, two to each side, each of 2° to 3°, not by moving liquid (France).",
          f"{_FRANCE_FISHING} para 3; {_FRANCE_CARGO} para 1.2.6", "F", "info",
          minimum_deg=2.0, maximum_deg=3.0, inclinations=4.0, inclinations_by_leave=2.0),
    _rule("W-05", "Weights are certified on a certificated scale, close to the test.", "IMO A.749(18) 7.2.1", "F"),
    _rule("W-09", "Weights move across only: trim changes by at most 0.05 % of the length.",
          f"{_OFFICE}; transverse moves asked by {_ANNEX}, 4.3.5 (from memory)", "EP", maximum_percent_of_length=0.05),
    _rule("W-10", "Standard uncertainty of a weight: 0.5 % where its certificate gives none.", _OFFICE, "EP", "info",
          standard_percent=0.5),
    _rule("W-11", "Water ballast serves as weight only where solid weights are impracticable, by approval.",
          f"{_ANNEX}, 2.3.4; {_CLASS}, 1.1.3", "F", "block"),
    _rule("W-12", "Water as weight: tanks without large stringers and of vertical sides, directly opposite; density "
          "measured; lines full; manifolds blanked and valves watched; tanks sounded before and after each move; "
          "accurate tables; initial heel known from marks amidships on both sides; time short.",
          f"{_ANNEX}, 2.3.4; {_CLASS}, 1.1.3", "MH", "block"),
    _rule("W-13", "Transverse and vertical centres of the water are at hand for every heel.", f"{_IS} 8.3.4", "MH",
          "block"),
)  # fmt: skip

_INSTRUMENTS = (
    _rule("H-01", "Three pendulums are recommended; two are the least.", f"{_IS} 8.2.2.9; {_CLASS}, 1.1.4", "F",
          "block", recommended=3.0, minimum=2.0),
    _rule("H-02", "Ships of 30 m and less: one pendulum is acceptable (class).", f"{_CLASS}, 1.1.4", "F", "info",
          up_to_length_m=30.0, minimum=1.0),
    _rule("H-04", "The deflection to each side of upright is at least 150 mm.", f"{_ANNEX}, 2.4.1; ASTM F1321", "MH",
          "block", minimum_deflection_mm=150.0),
    _rule("H-05", "Pendulums are usually at least 3 m long, 4 m to 6 m by preference.", f"{_ANNEX}, 2.4.1", "MH",
          minimum_m=3.0, preferred_from_m=4.0, preferred_to_m=6.0),
    _rule("H-06", "Pendulums of different lengths keep readers independent.", f"{_ANNEX}, 2.4.1", "MH", "info"),
    _rule("H-10", "U-tubes and inclinometers stand beside at least one pendulum.", f"{_IS} 8.2.2.9", "F", "block",
          minimum_pendulums=1.0),
    _rule("H-12", "A U-tube shows at least 150 mm of level difference from upright to the largest heel, each side.",
          f"{_ANNEX}, 2.5.3", "MH", "block", minimum_deflection_mm=150.0),
    _rule("H-16", "A doubtful reading is taken again at all stations.", f"{_ANNEX}, 4.3.4", "MH"),
    _rule("H-17", "Pendulum lengths are measured before the moves.", f"{_ANNEX}, 4.3.1.2", "MH"),
)  # fmt: skip

_READINGS = (
    _rule("R-01", "At least five freeboards a side, evenly spread, or all draught marks forward, midships and aft on "
          "both sides.", f"{_IS} 8.4.1.1; {_US_SUMMARY}", "F", "block", freeboards_per_side=5.0, draught_marks=6.0),
    _rule("R-02", "Draughts are read within 60 minutes of the inclining.",
          f"{_OFFICE}; immediately before or after by {_IS} 8.4.1.1", "EP", maximum_minutes=60.0),
    _rule("R-05", "A draught mark stands for a freeboard only where its place was verified in dock.",
          f"{_ANNEX}, 4.2.5", "MH"),
    _rule("R-07", "Waterline readings lie within 10 mm of a straight or smoothly bent line; beyond 20 mm they are "
          "taken again.", f"{_OFFICE}; smooth line asked by {_ANNEX}, 4.2.8 (from memory)", "EP",
          warn_residual_mm=10.0, retake_residual_mm=20.0),
    _rule("R-10", "Large ships (50 m and over by office default): three density samples, forward, midships and aft; "
          "small ships: one.", f"{_ANNEX}, 4.2.4", "MH", from_length_m=50.0, large_samples=3.0, small_samples=1.0),
    _rule("R-12", "The hydrometer reads from 0.999 to 1.030.", f"{_OLD}, section 3", "F", "info",
          minimum_t_per_m3=0.999, maximum_t_per_m3=1.030),
    _rule("R-14", "Density in air is about 0.0011 t/m³ to 0.002 t/m³ below that in vacuum; mass needs the latter.",
          "common practice of draught surveys", "MM", difference_low_t_per_m3=0.0011, difference_high_t_per_m3=0.002),
    _rule("R-17", "Water densities lie from 0.998 t/m³ to 1.030 t/m³ (0.995 to 1.032 at the very most), samples "
          "within 0.002 t/m³ of each other.", _OFFICE, "EP", warn_below_t_per_m3=0.998, warn_above_t_per_m3=1.030,
          minimum_t_per_m3=0.995, maximum_t_per_m3=1.032, maximum_spread_t_per_m3=0.002),
    _rule("R-19", "Draught surveys: list at most half a degree.", "UN/ECE ECE/ENERGY/19 (1992)", "F2", "info",
          maximum_deg=0.5),
    _rule("R-22", "Standard uncertainty of a draught reading: 3 mm calm or with a tube, 5 mm as a rule, 15 mm in chop.",
          _OFFICE, "EP", "info", calm_mm=3.0, normal_mm=5.0, choppy_mm=15.0),
)  # fmt: skip

_CONDUCT = (
    _rule("C-01", "The standard test has eight weight movements.", f"{_IS} 8.4.1.2", "F", "info", movements=8.0),
    _rule("C-02", "The eighth movement may be left out where the plot is straight after the seventh; a test is "
          "complete after the initial zero and six movements where it is straight.", f"{_IS} 8.4.1.2", "F",
          straight_movements=6.0, movements_before_last_zero=7.0),
    _rule("C-03", "Movements that do not plot on the line are repeated or explained.", f"{_IS} 8.4.1.2", "F", "block"),
    _rule("C-04", "The line of tangent on moment has its own intercept; no point counts more than another.",
          f"{_ANNEX}, 4.3.2", "MH", "info"),
    _rule("C-06", "Every instrument is plotted; they are averaged only where they agree.", f"{_ANNEX}, 4.3.2", "MH"),
    _rule("C-07", "Largest residual at most 2 % of the full-scale tangent, the two sides' GM within 2 %, each "
          "instrument within 1 % of the common GM, returns to zero within 2 mm.", _OFFICE, "EP",
          residual_percent_of_full_scale=2.0, sides_percent=2.0, instrument_percent=1.0, zero_return_mm=2.0),
    _rule("C-12", "GM from the mean moment and mean deflection of the four inclinations is reported too (France).",
          f"{_FRANCE_FISHING} para 10.2", "F", "info", inclinations=4.0),
    _rule("C-20", "The fixed metacentre and the heeled equilibrium differ in KG by less than the 95 % uncertainty.",
          f"{_OFFICE}; method: Karolius and Vassalos, Tearing down the wall (2018)", "EP"),
    _rule("G-05", "KG over depth lies within 5 % of depth of the sister ships' mean.",
          f"{_OFFICE}; scatter up to 10 % seen: Gehling, Beyond the metacentre (2023)", "EP",
          maximum_percent_of_depth=5.0),
)  # fmt: skip

RULES: dict[str, TestRule] = {
    each.id: each for group in (_PLAN, _TANKS, _WEIGHTS, _INSTRUMENTS, _READINGS, _CONDUCT) for each in group
}

_FRENCH_HEEL = with_values(
    RULES["W-01"],
    "Four inclinations, two to each side, each of 2° to 3°.",
    RULES["W-04"].source,
    minimum_deg=2.0,
    maximum_deg=3.0,
)
_FRENCH_PENDULUM = TestRule(
    "H-05",
    "Pendulums are not less than 3 m long, inside the ship, without stiff wire.",
    f"{_FRANCE_CARGO} para 1.2.5",
    "F",
    RULES["H-05"].values,
    "block",
)
_FRENCH = {"W-01": _FRENCH_HEEL, "H-05": _FRENCH_PENDULUM}

PROFILES: dict[str, dict[str, TestRule]] = {
    "class-10cm": {
        "H-04": with_values(
            RULES["H-04"],
            "The deflection to each side of upright is at least 100 mm.",
            f"{_CLASS}, 1.1.4",
            minimum_deflection_mm=100.0,
        ),
    },
    "fishing-24m": _FRENCH,
    "france-cargo-500": _FRENCH,
}
