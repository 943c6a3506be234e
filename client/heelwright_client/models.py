"""The shapes of the service's answers for a type checker; at run time they are the JSON documents themselves.

Numbers stay as the service sent them, at full precision; rounding is for `words`.
"""

from __future__ import annotations

from typing import Any, Literal, TypedDict

Status = Literal["pass", "warn", "fail", "not-assessed"]


class Check(TypedDict, total=False):
    """One check: what, value against limit, verdict and where the limit comes from."""

    id: str
    text: str
    status: Status
    value: Any
    limit: Any
    source: str
    side: str


class Share(TypedDict):
    """One input's share of a variance."""

    input: str
    share: float


class QuantityUncertainty(TypedDict):
    """A quantity with its standard uncertainty, 95 % interval and budget."""

    value: float
    standard: float
    low_95: float
    high_95: float
    budget: list[Share]


class Lightship(TypedDict):
    """Mass and centre of the empty ship; `vcg_m` is None where it was not measured."""

    mass_t: float
    lcg_m: float
    tcg_m: float | None
    vcg_m: float | None
    method: str


class Reduction(TypedDict):
    """The result of an inclining test or lightweight survey."""

    as_inclined: dict[str, Any]
    small_angle: dict[str, Any] | None
    heeled_equilibrium: dict[str, Any] | None
    lightship: Lightship
    lightship_by_method: dict[str, Any]
    lightship_table: list[dict[str, Any]]
    uncertainty: dict[str, Any] | None
    checks: list[Check]
    cautions: list[str]
    provenance: dict[str, Any]


class Band(TypedDict):
    """A quantity with the range that it is expected in."""

    expected: float
    low: float
    high: float


class WeightPlan(TypedDict):
    """Which weights, where they stand and in which order they move; None and empty where there is no plan to show."""

    feasible: bool
    weights: list[dict[str, Any]]
    total_mass_t: float | None
    states: list[dict[str, Any]]
    max_heel_deg: Band | None
    expected_uncertainty: dict[str, float] | None
    lifts: int | None
    duration_minutes: float | None
    checks: list[Check]
    alternatives: list[dict[str, Any]]
    binding_constraint: Any
    first_needed: str | None
    cautions: list[str]


class Drift(TypedDict, total=False):
    """How far a vessel's lightship has moved from its baseline, and what the rules say to that."""

    vessel: dict[str, Any]
    baseline: dict[str, Any] | None
    items: list[dict[str, Any]]
    action: str
    logged: dict[str, Any]
    unexplained: Any
    growth: dict[str, float] | None
    crossings: Any
    next_due: Any
    cautions: list[str]
