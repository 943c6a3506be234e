"""What a drift answers: differences with their uncertainty, verdicts, actions, trend and due dates."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from heelwright_service.core.drift.request import Basis, StandardUncertainties
from heelwright_service.core.rules import Action, Quantity, Verdict
from heelwright_service.core.rules.definitions import Confidence

Force = Literal["binding", "advisory", "yardstick", "none"]
"""By what an action is due: a rule of the set, one that only advises, another set's limits, or nothing at all."""


@dataclass(frozen=True)
class Estimate:
    """A value with its standard uncertainty, in the unit that the field's name ends in."""

    value: float
    standard: float


@dataclass(frozen=True)
class Delta:
    """The change of a lightship; None is unknown, never zero."""

    mass_t: Estimate
    lcg_m: Estimate
    tcg_m: Estimate | None
    vcg_m: Estimate | None

    def of(self, quantity: Quantity) -> Estimate | None:
        """Return the change of one quantity, None where it is unknown or no part of a lightship."""
        parts = {"mass_t": self.mass_t, "lcg_m": self.lcg_m, "tcg_m": self.tcg_m, "vcg_m": self.vcg_m}
        return parts.get(quantity)


@dataclass(frozen=True)
class Centre:
    """A place in the ship, metres, each coordinate with its standard uncertainty; None is unknown."""

    x: Estimate
    y: Estimate | None
    z: Estimate | None


@dataclass(frozen=True)
class ImpliedCentre:
    """Where the weight gained or lost would have to be.

    Parameters
    ----------
    centre_m : Centre or None
        None where the mass change is within its uncertainty.
    remark : str
        What it means, in words.
    error_likelier_than_weight : bool
        True where the place is outside the ship.
    """

    centre_m: Centre | None
    remark: str
    error_likelier_than_weight: bool


@dataclass(frozen=True)
class LightshipValues:
    """A lightship with the standard uncertainties that were used for it."""

    date: str
    basis: Basis
    mass_t: float
    lcg_m: float
    tcg_m: float | None
    vcg_m: float | None
    standard: StandardUncertainties
    standard_source: str
    approved: bool = False
    id: str | None = None


@dataclass(frozen=True)
class Adopted:
    """The values that enter the stability information after a survey, and where each comes from."""

    mass_t: float
    lcg_m: float
    tcg_m: float | None
    vcg_m: float | None
    origins: dict[str, str]
    rule: str
    source: str
    confidence: Confidence


@dataclass(frozen=True)
class DriftItem:
    """One lightship against the baseline.

    `action_force` says whether the action is due by a rule of the set ("binding"), by one from weak memory
    ("advisory"), or, where the set has no rule for this evidence, by SOLAS 2020's limits ("yardstick");
    `action_reason` names the rule.
    """

    date: str
    basis: Basis
    delta: Delta
    implied_centre_m: Centre | None
    implied_centre_remark: str
    error_likelier_than_weight: bool
    verdicts: Sequence[Verdict]
    not_assessed: Sequence[str]
    action: Action
    action_force: Force
    action_reason: str
    adopted: Adopted | None = None
    approved: bool = False
    id: str | None = None


@dataclass(frozen=True)
class NetChange:
    """The signed sum of all logged alterations: mass [t] and moments about the origin [t·m]."""

    mass_t: float
    moment_x_t_m: float
    moment_y_t_m: float
    moment_z_t_m: float


@dataclass(frozen=True)
class Logged:
    """The running total of logged alterations since the baseline, which only an inclining test resets.

    `aggregate_t` is the sum of all masses without their sign; `delta` what the alterations do to the lightship. Where a
    lead ship's lightship is the baseline, the log holds the known differences from her.
    """

    net: NetChange
    aggregate_t: float
    entries: int
    delta: Delta
    verdicts: Sequence[Verdict]
    not_assessed: Sequence[str]
    action: Action
    action_force: Force
    action_reason: str


@dataclass(frozen=True)
class Unexplained:
    """What the latest measured lightship shows beyond the baseline and the logged alterations."""

    date: str
    basis: Basis
    mass_t: Estimate
    lcg_m: Estimate
    tcg_m: Estimate | None
    vcg_m: Estimate | None
    implied_centre_m: Centre | None
    implied_centre_remark: str
    error_likelier_than_weight: bool


@dataclass(frozen=True)
class Growth:
    """The trend of the measured masses with its 95 % interval: the rate, less and plus the factor times its standard.

    The factor is 1.96, or Student's for the degrees of freedom where the scatter had to be estimated from the points.
    """

    rate_t_per_year: float
    low_95: float
    high_95: float
    standard: float
    percent_per_year: float
    points: int
    coverage_factor: float
    scatter_ratio: float
    remark: str


@dataclass(frozen=True)
class Crossing:
    """When the trend passes a limit; None is not within the horizon.

    `earliest` and `latest` are the 95 % interval; `extrapolated_years` is how far the date lies beyond the last
    measurement.
    """

    rule: str
    also: Sequence[str]
    quantity: Quantity
    limit: float
    level: float
    rate_per_year: float
    date: str | None
    earliest: str | None
    latest: str | None
    horizon: str
    extrapolated_years: float | None
    passed: bool
    consequence: Action
    remark: str


@dataclass(frozen=True)
class IfApproved:
    """What becomes of a due date once a test or survey that is on record is approved."""

    date: str
    counted_from: str


@dataclass(frozen=True)
class NextDue:
    """The next survey or test that falls due, and an earlier date where the trend advises one.

    Only approved tests and surveys move the date; what one that is not approved yet would do stands in `if_approved`.
    """

    date: str
    due: str
    rule: str
    text: str
    source: str
    confidence: Confidence
    counted_from: str
    warn_from: str
    overdue: bool
    advised_date: str | None = None
    advised_reason: str | None = None
    if_approved: IfApproved | None = None


@dataclass(frozen=True)
class Lead:
    """A sister's lead ship: her tested lightship, and the same with the known differences of the sister."""

    name: str | None
    tested: LightshipValues
    adjusted: LightshipValues


@dataclass(frozen=True)
class Drift:
    """The whole answer: baseline, later and earlier lightships, log, trend, forecast and due date.

    `lead` is the lead ship whose inclining test stands in for the baseline of a sister that has none of her own.
    """

    baseline: LightshipValues
    items: Sequence[DriftItem]
    logged: Logged
    unexplained: Unexplained | None
    growth: Growth | None
    crossings: Sequence[Crossing]
    next_due: NextDue | None
    earlier: Sequence[DriftItem]
    rule_set: str
    rule_set_edition: str
    as_of: str
    cautions: Sequence[str]
    lead: Lead | None = None
