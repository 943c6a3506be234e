"""Rule sets of national and inland law; the facts are restated, the paragraphs named."""

from __future__ import annotations

from heelwright_service.core.rules.definitions import (
    Action,
    Applicability,
    CalendarRule,
    DeviationRule,
    Limit,
    Quantity,
    RuleSet,
    Stage,
)
from heelwright_service.core.rules.limits import FixedMetres, PercentOf, PercentOfLength

_UK_1998 = "United Kingdom SI 1998/2514 reg. 38(2)"
_TP_10943 = "Transport Canada TP 10943 part III s. 20"
_OFFSHORE = "Canada SOR/96-118 s. 57"
_SUBCHAPTER_M = "46 CFR 144.315"
_NOTE_04_95 = "United States Coast Guard Marine Technical Note 04-95"
_CFR_28 = "46 CFR 28.501"
_DIVISION_228 = "France, arrêté of 23 November 1987, division 228, art. 228-3.09"
_DIVISION_222 = "France, arrêté of 23 November 1987, division 222, art. 222-2.08 para 1.2.9"
_RHINE = "Rhine Vessel Inspection Regulations 1995 art. 17.06(2)"

_PASSENGER = Applicability(kinds=frozenset({"passenger"}))
_FISHING_24 = Applicability(kinds=frozenset({"fishing"}), from_length_m=24.0)
_BOTH: tuple[Stage, ...] = ("survey", "alterations")


def _passenger_survey(source: str) -> tuple[DeviationRule, ...]:
    return (
        DeviationRule(
            id="D-07",
            text="Lightweight survey: re-incline if lightship displacement deviates by more, found or anticipated",
            quantity="mass_t",
            limit=PercentOf(2.0, "lightship mass"),
            stages=_BOTH,
            consequence="re-incline",
            source=source,
            confidence="F",
        ),
        DeviationRule(
            id="D-08",
            text="Lightweight survey: re-incline if LCG deviates by more, found or anticipated",
            quantity="lcg_m",
            limit=PercentOfLength(1.0, "L"),
            stages=_BOTH,
            consequence="re-incline",
            source=source,
            confidence="F",
        ),
    )


def _five_yearly(rule_id: str, text: str, source: str, applies: Applicability) -> CalendarRule:
    return CalendarRule(
        id=rule_id,
        text=text,
        due="lightweight-survey",
        interval_years=5,
        counted_from=("inclining-test", "lightweight-survey"),
        source=source,
        confidence="F",
        applies=applies,
    )


UK_PASSENGER_SET = RuleSet(
    id="uk-passenger",
    name="United Kingdom passenger ships",
    edition="SI 1998/2514, classes I, II and II(A)",
    rules=_passenger_survey(f"{_UK_1998}(ii)"),
    calendar=(
        _five_yearly(
            "T-07",
            "Lightweight survey within each five-year period; the period may also start with the certificate's issue, "
            "which is not known here; extension by up to one year needs approval",
            f"{_UK_1998}(i)-(iv)",
            _PASSENGER,
        ),
    ),
    actions_within={"survey": "adopt", "alterations": "record"},
)

CANADA_PASSENGER_SET = RuleSet(
    id="canada-passenger",
    name="Canada passenger vessels",
    edition="TP 10943 part III",
    rules=(
        *_passenger_survey(f"{_TP_10943}(1)"),
        DeviationRule(
            id="D-26",
            text="Declaration in place of a survey: stability must be shown adequate if displacement varies by more",
            quantity="mass_t",
            limit=PercentOf(2.0, "lightship mass"),
            stages=("alterations",),
            consequence="amend",
            source=f"{_TP_10943}(3)",
            confidence="F",
            applies=Applicability(up_to_length_m=24.0),
        ),
    ),
    calendar=(
        _five_yearly(
            "T-08",
            "Lightship survey at intervals of not more than five years; shorter where stability is marginal",
            f"{_TP_10943}(1)-(2)",
            Applicability(kinds=frozenset({"passenger"}), above_length_m=24.0),
        ),
        _five_yearly(
            "T-09",
            "Lightship survey at intervals of not more than five years, shorter where stability is marginal; up to "
            "24 m the owner or master may instead sign a declaration that lists every change since the last inclining "
            "with its weight and centre, with photographs or sketches",
            f"{_TP_10943}(1)-(3)",
            Applicability(kinds=frozenset({"passenger"}), up_to_length_m=24.0),
        ),
    ),
    actions_within={"survey": "adopt", "alterations": "record"},
)

CANADA_OFFSHORE_SET = RuleSet(
    id="canada-offshore",
    name="Canada offshore installations",
    edition="SOR/96-118",
    rules=(
        DeviationRule(
            id="T-19",
            text="Deadweight survey at the earliest opportunity if the weight changes by more",
            quantity="mass_t",
            limit=PercentOf(1.0, "lightship mass"),
            stages=("alterations",),
            consequence="survey",
            source=f"{_OFFSHORE}(8)",
            confidence="F",
        ),
    ),
    calendar=(
        _five_yearly(
            "T-18",
            "Surface and self-elevating platforms: deadweight survey at each five-yearly class survey",
            f"{_OFFSHORE}(2)-(6)",
            Applicability(kinds=frozenset({"offshore-unit"}), column_stabilized=False),
        ),
        CalendarRule(
            id="T-18",
            text="Column-stabilized platforms: inclining test at each five-yearly survey; after the second test every "
            "other one where the records agree",
            due="inclining-test",
            interval_years=5,
            counted_from=("inclining-test",),
            source=f"{_OFFSHORE}(2)-(6)",
            confidence="F",
            applies=Applicability(kinds=frozenset({"offshore-unit"}), column_stabilized=True),
        ),
    ),
    actions_within={"survey": "adopt", "alterations": "record"},
    notes=("A survey that does not match the records leads to inclining; the text gives no figure for the match.",),
)

US_TOWING_SET = RuleSet(
    id="us-towing",
    name="United States towing vessels",
    edition="46 CFR subchapter M",
    rules=(
        DeviationRule(
            id="D-23",
            text="Deadweight survey if the aggregate of all additions, removals and relocations is more",
            quantity="aggregate_t",
            limit=PercentOf(2.0, "lightship mass"),
            stages=("alterations",),
            consequence="survey",
            source=f"{_SUBCHAPTER_M}(b); aggregate by (a)",
            confidence="F",
        ),
        DeviationRule(
            id="D-23",
            text="Deadweight survey if the recalculated LCG changes by more",
            quantity="lcg_m",
            limit=PercentOfLength(1.0, "LBP"),
            stages=("alterations",),
            consequence="survey",
            source=f"{_SUBCHAPTER_M}(b)",
            confidence="F",
        ),
    ),
    actions_within={"survey": "adopt", "alterations": "record"},
    notes=("The table of 46 CFR 144.315 that leads from the survey to a stability test has not been seen.",),
)


def _note_04_95() -> tuple[DeviationRule, ...]:
    asked: tuple[tuple[Quantity, Limit, Stage, Action], ...] = (
        ("aggregate_t", PercentOf(2.0, "lightship mass"), "alterations", "survey"),
        ("lcg_m", PercentOfLength(1.0, "LBP"), "alterations", "survey"),
        ("aggregate_t", PercentOf(10.0, "lightship mass"), "alterations", "re-incline"),
        ("mass_t", PercentOf(1.0, "lightship mass"), "survey-against-calculation", "re-incline"),
        ("lcg_m", PercentOfLength(1.0, "LBP"), "survey-against-calculation", "re-incline"),
    )
    words = {
        "survey": "Deadweight survey if the change is more",
        "re-incline": "Full stability test if the difference is more",
    }
    return tuple(
        DeviationRule(
            id="D-25",
            text=words[consequence],
            quantity=quantity,
            limit=limit,
            stages=(stage,),
            consequence=consequence,
            source=_NOTE_04_95,
            confidence="MM",
        )
        for quantity, limit, stage, consequence in asked
    )


US_NOTE_SET = RuleSet(
    id="us-mtn",
    name="United States lightship change policy",
    edition="Marine Technical Note 04-95, unconfirmed",
    rules=_note_04_95(),
    actions_within={"survey": "adopt", "alterations": "record"},
    notes=("From memory with medium confidence: these limits advise and never fail.",),
)

US_FISHING_SET = RuleSet(
    id="us-fishing",
    name="United States fishing vessels",
    edition="46 CFR part 28 subpart E",
    rules=(
        DeviationRule(
            id="D-32",
            text="Substantially altered, stability to be evaluated anew: VCG above the original by more",
            quantity="vcg_m",
            limit=FixedMetres(0.051),
            stages=_BOTH,
            consequence="re-incline",
            source=f"{_CFR_28} (2 inches)",
            confidence="F",
            direction="rise",
            reference="original",
        ),
        DeviationRule(
            id="D-32",
            text="Substantially altered, stability to be evaluated anew: displacement off the original by more",
            quantity="mass_t",
            limit=PercentOf(3.0, "lightship mass"),
            stages=_BOTH,
            consequence="re-incline",
            source=_CFR_28,
            confidence="F",
            reference="original",
        ),
        DeviationRule(
            id="D-32",
            text="Substantially altered, stability to be evaluated anew: LCG off the original by more",
            quantity="lcg_m",
            limit=PercentOfLength(1.0, "L"),
            stages=_BOTH,
            consequence="re-incline",
            source=_CFR_28,
            confidence="F",
            reference="original",
        ),
        DeviationRule(
            id="T-24",
            text="Sister: a deadweight survey may replace the inclining if lightweight differs by less",
            quantity="mass_t",
            limit=PercentOf(3.0, "lightship mass"),
            stages=("sister",),
            consequence="re-incline",
            source="46 CFR 28.535(b)",
            confidence="F",
            comparison="reaches",
        ),
        DeviationRule(
            id="T-24",
            text="Sister: a deadweight survey may replace the inclining if LCG differs by less",
            quantity="lcg_m",
            limit=PercentOfLength(1.0, "L"),
            stages=("sister",),
            consequence="re-incline",
            source="46 CFR 28.535(b)",
            confidence="F",
            comparison="reaches",
        ),
    ),
    actions_within={"survey": "adopt", "alterations": "record"},
    notes=(
        "Changes count against the original lightweight, together.",
        "28.501 also counts projected lateral area (over 5 %), underwater shape, buoyant volume and downflooding "
        "angle: mass alone does not show these.",
    ),
)

FISHING_24_SET = RuleSet(
    id="fishing-24m",
    name="Fishing vessels of 24 m and over",
    edition="France, division 228 (Torremolinos Protocol by Directive 97/70/EC)",
    rules=(
        DeviationRule(
            id="D-30",
            text="New test if the lightship after conversion exceeds the original by more, unless calculation shows "
            "that the criteria are still met",
            quantity="mass_t",
            limit=PercentOf(2.0, "lightship mass"),
            stages=_BOTH,
            consequence="re-incline",
            source=f"{_DIVISION_228} para 2",
            confidence="F",
            direction="rise",
            applies=_FISHING_24,
        ),
    ),
    calendar=(
        CalendarRule(
            id="T-11",
            text="Fishing vessels of 24 m and over: inclining test repeated at least every ten years",
            due="inclining-test",
            interval_years=10,
            counted_from=("inclining-test",),
            source=f"{_DIVISION_228} paras 1, 2, 4; Netherlands, Vissersvaartuigenbesluit 2002 art. 3.9",
            confidence="F",
            applies=_FISHING_24,
        ),
    ),
    actions_within={"survey": "adopt", "alterations": "record"},
    notes=("Only an increase of the lightship counts in the text; a decrease is shown and does not decide.",),
)

FRANCE_CARGO_SET = RuleSet(
    id="france-cargo-500",
    name="France, cargo ships below 500 GT",
    edition="division 222",
    rules=(
        DeviationRule(
            id="D-31",
            text="Provisional stability file redone if the measured GM is below the predicted by more",
            quantity="gm_m",
            limit=PercentOf(10.0, "predicted GM"),
            stages=("prediction",),
            consequence="amend",
            source=_DIVISION_222,
            confidence="F",
            direction="fall",
        ),
        DeviationRule(
            id="D-31",
            text="Provisional stability file redone if the displacement is above the predicted by more",
            quantity="mass_t",
            limit=PercentOf(10.0, "lightship mass"),
            stages=("prediction",),
            consequence="amend",
            source=_DIVISION_222,
            confidence="F",
            direction="rise",
        ),
    ),
    actions_within={"survey": "adopt", "alterations": "record"},
    notes=("A new test follows any modification that changes stability (1.2.11); the text gives no figure.",),
)

INLAND_SET = RuleSet(
    id="inland-rhine",
    name="Inland navigation",
    edition="Rhine Vessel Inspection Regulations 1995",
    rules=(
        DeviationRule(
            id="T-34",
            text="Floating equipment by calculation: displacement from draughts must agree within",
            quantity="mass_t",
            limit=PercentOf(5.0, "lightship mass"),
            stages=("prediction", "survey-against-calculation"),
            consequence="re-incline",
            source=_RHINE,
            confidence="F",
        ),
    ),
    actions_within={"survey": "adopt", "alterations": "record"},
)

UK_SMALL_FISHING_SET = RuleSet(
    id="uk-small-fishing",
    name="United Kingdom fishing vessels under 15 m",
    edition="Code of practice for small fishing vessels, 2017",
    calendar=(
        _five_yearly(
            "T-10",
            "Fishing vessels of 12 m to under 15 m: lightship check recommended at intervals of up to five years",
            "United Kingdom code of practice for fishing vessels under 15 m (2017), 3.6",
            Applicability(kinds=frozenset({"fishing"}), from_length_m=12.0, below_length_m=15.0),
        ),
    ),
    notes=("The code gives no deviation limit.",),
)

SETS = (
    UK_PASSENGER_SET,
    CANADA_PASSENGER_SET,
    CANADA_OFFSHORE_SET,
    US_TOWING_SET,
    US_NOTE_SET,
    US_FISHING_SET,
    FISHING_24_SET,
    FRANCE_CARGO_SET,
    INLAND_SET,
    UK_SMALL_FISHING_SET,
)
