"""Rule sets of international conventions and codes; the facts are restated, the paragraphs named."""

from __future__ import annotations

from dataclasses import replace

from heelwright_service.core.rules.definitions import (
    Action,
    Applicability,
    CalendarRule,
    Confidence,
    DeviationRule,
    LengthBasis,
    Limit,
    Quantity,
    RuleSet,
)
from heelwright_service.core.rules.limits import Base, LargerOf, PercentByLength, PercentOf, PercentOfLength

_SOLAS_2020 = "SOLAS 1974 chapter II-1 regulation 5 as amended by MSC.421(98)"
_SOLAS_2009 = "SOLAS 1974 chapter II-1 regulation 5, text of 2009 to 2019"
_NOTES = "MSC.429(98)/Rev.2, explanatory notes to SOLAS II-1/5.4"
_CIRCULAR = "MSC/Circ.1158 (2005), interpretation of the lightweight check of old SOLAS II-1/22"
_CODE_1993 = "IMO A.749(18) as amended by MSC.75(69), 7.1.3"
_MODU_1989 = "1989 MODU Code, IMO A.649(16)"
_MODU_2009 = "2009 MODU Code, IMO A.1023(26)"
_HSC = "2000 HSC Code 2.7.2"

_PASSENGER = Applicability(kinds=frozenset({"passenger"}))
_CARGO = Applicability(kinds=frozenset({"cargo", "towing"}))
_UNITS = Applicability(kinds=frozenset({"offshore-unit"}))
_COLUMN_STABILIZED = Applicability(kinds=frozenset({"offshore-unit"}), column_stabilized=True)
_OTHER_SHIPS = "; 5.4 sends ships other than passenger ships to the same limits"


def _sister(basis: LengthBasis, source: str) -> tuple[DeviationRule, ...]:
    return (
        DeviationRule(
            id="D-01",
            text="Sister cargo ship: incline if lightship displacement deviates from the lead ship's by more",
            quantity="mass_t",
            limit=PercentByLength(basis),
            stages=("sister",),
            consequence="re-incline",
            source=source,
            confidence="F",
            applies=_CARGO,
        ),
        DeviationRule(
            id="D-02",
            text="Sister cargo ship: incline if LCG deviates from the lead ship's by more",
            quantity="lcg_m",
            limit=PercentOfLength(0.5, basis),
            stages=("sister",),
            consequence="re-incline",
            source=source,
            confidence="F",
            applies=_CARGO,
        ),
    )


def _survey(basis: LengthBasis, source: str) -> tuple[DeviationRule, ...]:
    return (
        DeviationRule(
            id="D-07",
            text="Lightweight survey: re-incline if lightship displacement deviates by more",
            quantity="mass_t",
            limit=PercentOf(2.0, "lightship mass"),
            stages=("survey",),
            consequence="re-incline",
            source=source,
            confidence="F",
        ),
        DeviationRule(
            id="D-08",
            text="Lightweight survey: re-incline if LCG deviates by more",
            quantity="lcg_m",
            limit=PercentOfLength(1.0, basis),
            stages=("survey",),
            consequence="re-incline",
            source=source,
            confidence="F",
        ),
    )


def _alteration(
    rule_id: str, quantity: Quantity, limit: Limit, consequence: Action, paragraph: str, confidence: Confidence = "F"
) -> DeviationRule:
    name = {"mass_t": "displacement", "lcg_m": "LCG", "vcg_m": "VCG, up or down,"}[quantity]
    asked = {"re-incline": "re-incline", "amend": "amend the stability information"}[consequence]
    return DeviationRule(
        id=rule_id,
        text=f"Calculated alterations since the last inclining: {asked} if {name} changes by more",
        quantity=quantity,
        limit=limit,
        stages=("alterations",),
        consequence=consequence,
        source=f"{_NOTES}, {paragraph}",
        confidence=confidence,
    )


def _alterations(basis: LengthBasis) -> tuple[DeviationRule, ...]:
    first = "first paragraph; cumulative by the third (from memory)"
    height = "; VCG above the baseline"
    mass: Base = "lightship mass"
    vcg: Base = "approved VCG"
    return (
        _alteration("D-11", "mass_t", PercentOf(2.0, mass), "re-incline", first),
        _alteration("D-11", "lcg_m", PercentOfLength(1.0, basis), "re-incline", first),
        _alteration("D-12", "vcg_m", PercentOf(1.0, vcg), "re-incline", first + height),
        _alteration("D-14", "mass_t", PercentOf(1.0, mass), "amend", "second paragraph .1"),
        _alteration("D-14", "lcg_m", PercentOfLength(0.5, basis), "amend", "second paragraph .2"),
        _alteration("D-15", "vcg_m", PercentOf(0.5, vcg), "amend", "second paragraph .3" + height, "MH"),
    )


def _five_years(source: str) -> CalendarRule:
    return CalendarRule(
        id="T-05",
        text="Passenger ships: lightweight survey at intervals of not more than five years",
        due="lightweight-survey",
        interval_years=5,
        counted_from=("inclining-test", "lightweight-survey"),
        source=source,
        confidence="F",
        applies=_PASSENGER,
    )


SOLAS_2020_SET = RuleSet(
    id="solas-2020",
    name="SOLAS 2020",
    edition="chapter II-1 as amended by MSC.421(98), in force 1 January 2020",
    rules=(
        *_sister("L", f"{_SOLAS_2020}, 5.2"),
        *_survey("L", f"{_SOLAS_2020}, 5.5{_OTHER_SHIPS}"),
        *_alterations("L"),
    ),
    calendar=(_five_years(f"{_SOLAS_2020}, 5.5"),),
    actions_within={"survey": "adopt", "alterations": "record"},
    notes=("TCG has no deviation limit (explanatory notes to 5.4); its change is shown and never decides.",),
)

SOLAS_2009_SET = RuleSet(
    id="solas-2009",
    name="SOLAS 2009 to 2019",
    edition="chapter II-1 for keels laid from 1 January 2009, text before 2020; LCG limits in subdivision length",
    rules=(
        *_sister("Ls", f"{_SOLAS_2009}, 5.2"),
        *_survey("Ls", f"{_SOLAS_2009}, 5.5{_OTHER_SHIPS}"),
        *_alterations("Ls"),
    ),
    calendar=(_five_years(f"{_SOLAS_2009}, 5.5"),),
    actions_within={"survey": "adopt", "alterations": "record"},
    notes=(
        "TCG has no deviation limit; its change is shown and never decides.",
        "The limits for calculated alterations are those of the later explanatory notes, MSC.429(98)/Rev.2.",
    ),
)

SOLAS_PRE_2009_SET = RuleSet(
    id="solas-pre-2009",
    name="SOLAS before 2009",
    edition="MSC/Circ.1158 for alterations and sisters, A.749(18) 7.1.3 for surveys; keels laid before 1 January 2009",
    rules=(
        *_sister("LBP", f"{_CIRCULAR}, paragraph 3"),
        *_survey("L", _CODE_1993),
        DeviationRule(
            id="D-18",
            text="Calculable alterations: incline if lightship displacement changes by more",
            quantity="mass_t",
            limit=LargerOf(2.0, 2.0),
            stages=("alterations",),
            consequence="re-incline",
            source=f"{_CIRCULAR}, paragraph 4",
            confidence="F",
        ),
        DeviationRule(
            id="D-19",
            text="Calculable alterations: incline if LCG changes by more; otherwise the calculated values are used",
            quantity="lcg_m",
            limit=PercentOfLength(1.0, "LBP"),
            stages=("alterations",),
            consequence="re-incline",
            source=f"{_CIRCULAR}, paragraph 4",
            confidence="MM",
        ),
    ),
    calendar=(_five_years(_CODE_1993),),
    actions_within={"survey": "adopt", "alterations": "amend"},
    notes=("This interpretation gives no VCG limit for alterations.",),
)


CLASS_10CM_SET = replace(
    SOLAS_2020_SET,
    id="class-10cm",
    name="SOLAS 2020, class rules for the deflection",
    edition=f"{SOLAS_2020_SET.edition}; RINA Rules part B chapter 3 appendix 1 for instruments",
)


def _series_unit(source: str) -> tuple[DeviationRule, ...]:
    limits: tuple[tuple[Quantity, Limit], ...] = (
        ("mass_t", PercentOf(1.0, "lightship mass")),
        ("lcg_m", PercentOfLength(1.0, "L")),
        ("tcg_m", PercentOf(1.0, "breadth")),
    )
    return tuple(
        DeviationRule(
            id="T-13",
            text="Unit of a series: lead unit's data accepted only if the difference is less",
            quantity=quantity,
            limit=limit,
            stages=("sister",),
            consequence="re-incline",
            source=source,
            confidence="F",
            comparison="reaches",
            applies=_UNITS,
        )
        for quantity, limit in limits
    )


def _operating_displacement(rule_id: str, text: str, source: str) -> DeviationRule:
    return DeviationRule(
        id=rule_id,
        text=text,
        quantity="mass_t",
        limit=PercentOf(1.0, "operating displacement"),
        stages=("survey-against-calculation",),
        consequence="re-incline",
        source=source,
        confidence="F",
        applies=_COLUMN_STABILIZED,
    )


def _unit_survey(rule_id: str, text: str, source: str) -> CalendarRule:
    return CalendarRule(
        id=rule_id,
        text=text,
        due="lightweight-survey",
        interval_years=5,
        counted_from=("inclining-test", "lightweight-survey"),
        source=source,
        confidence="F",
        applies=_COLUMN_STABILIZED,
    )


MODU_1989_SET = RuleSet(
    id="modu-1989",
    name="MODU Code 1989",
    edition="IMO A.649(16)",
    rules=(
        *_series_unit(f"{_MODU_1989} 3.1.2"),
        _operating_displacement(
            "T-14",
            "Column-stabilized unit: incline if the survey differs from the calculated lightship by more",
            f"{_MODU_1989} 3.1.5",
        ),
    ),
    calendar=(
        _unit_survey(
            "T-14",
            "Column-stabilized units: deadweight survey at intervals of not more than five years",
            f"{_MODU_1989} 3.1.5",
        ),
    ),
    actions_within={"survey": "adopt", "alterations": "record"},
    notes=("All changes are kept in an alterations log and used in daily operation (3.1.4).",),
)

MODU_2009_SET = RuleSet(
    id="modu-2009",
    name="MODU Code 2009",
    edition="IMO A.1023(26)",
    rules=(
        *_series_unit(f"{_MODU_2009} 3.1.2"),
        _operating_displacement(
            "T-15",
            "Column-stabilized unit at the first renewal survey: incline if the survey differs from the calculated "
            "lightship by more, or place the difference at a conservative VCG that the flag approves",
            f"{_MODU_2009} 3.1.5.1",
        ),
    ),
    calendar=(
        _unit_survey(
            "T-15",
            "Column-stabilized units: lightweight survey or inclining at the first renewal survey (five years)",
            f"{_MODU_2009} 3.1.5.1",
        ),
    ),
    actions_within={"survey": "adopt", "alterations": "record"},
    notes=(
        "All changes are kept in an alterations log and used in daily operation (3.1.4).",
        "At later renewal surveys an effective weight control may be verified by observed against calculated draught "
        "instead (3.1.5.2, from memory); no draughts stand in a lightship history, so that is not judged here.",
    ),
)

HSC_SET = RuleSet(
    id="hsc-2000",
    name="High-speed craft",
    edition="2000 HSC Code",
    rules=(
        DeviationRule(
            id="T-21",
            text="Lightship by calculation instead of inclining: measured displacement must agree within",
            quantity="mass_t",
            limit=PercentOf(2.0, "lightship mass"),
            stages=("survey-against-calculation",),
            consequence="re-incline",
            source=_HSC,
            confidence="F",
        ),
        DeviationRule(
            id="T-21",
            text="Lightship by calculation instead of inclining: measured LCG must agree within",
            quantity="lcg_m",
            limit=PercentOfLength(1.0, "L"),
            stages=("survey-against-calculation",),
            consequence="re-incline",
            source=_HSC,
            confidence="F",
        ),
    ),
    actions_within={"survey": "adopt", "alterations": "record"},
    notes=("Alterations that significantly affect the stability information amend it (2.7.4).",),
)

SETS = (SOLAS_2020_SET, SOLAS_2009_SET, SOLAS_PRE_2009_SET, CLASS_10CM_SET, MODU_1989_SET, MODU_2009_SET, HSC_SET)
