"""Short ways to write an invented ship's history; nothing here is a real vessel."""

from __future__ import annotations

from collections.abc import Sequence

from heelwright_service.core.drift import (
    Alteration,
    Drift,
    DriftItem,
    DriftRequest,
    LightshipRecord,
    StandardUncertainties,
    assess_drift,
)
from heelwright_service.core.drift.request import Basis
from heelwright_service.core.rules import Quantity, RuleVessel, Verdict

SHIP = RuleVessel(kind="passenger", length_m=105.0)
EXACT = StandardUncertainties(mass_t=0.0, lcg_m=0.0, tcg_m=0.0, vcg_m=0.0)
TESTED = LightshipRecord("2015-06-10", "inclining-test", 4000.0, 50.0, 0.0, 7.5, approved=True)


def record(
    date: str,
    basis: Basis,
    mass_t: float,
    lcg_m: float = 50.0,
    tcg_m: float | None = None,
    vcg_m: float | None = None,
    approved: bool = False,
    uncertainties: StandardUncertainties | None = None,
) -> LightshipRecord:
    return LightshipRecord(date, basis, mass_t, lcg_m, tcg_m, vcg_m, approved, uncertainties)


def added(date: str, mass_t: float, x_m: float = 50.0, y_m: float = 0.0, z_m: float = 7.5) -> Alteration:
    return Alteration(date, "added", mass_t, x_m, y_m, z_m)


def removed(date: str, mass_t: float, x_m: float = 50.0, y_m: float = 0.0, z_m: float = 7.5) -> Alteration:
    return Alteration(date, "removed", mass_t, x_m, y_m, z_m)


def drift_of(
    records: Sequence[LightshipRecord],
    alterations: Sequence[Alteration] = (),
    vessel: RuleVessel = SHIP,
    rule_set: str | None = "solas-2020",
    as_of: str = "2024-01-01",
) -> Drift:
    return assess_drift(DriftRequest(vessel, records, alterations, rule_set, as_of))


def verdict_on(item: DriftItem, rule: str, quantity: Quantity = "mass_t") -> Verdict:
    return next(each for each in item.verdicts if (each.rule, each.quantity) == (rule, quantity))
