"""What a reduction answers, as plain dataclasses; unknown values are None, never zero and never NaN."""

from __future__ import annotations

from dataclasses import dataclass

from heelwright_service.core.results import Check


@dataclass(frozen=True)
class WaterlineResidual:
    """How far one reading lies from the fitted water surface [m], and how far its uncertainty allows [m, 1 sigma]."""

    name: str
    x_m: float
    y_m: float
    z_m: float
    residual_m: float
    standard_m: float


@dataclass(frozen=True)
class WaterlineResult:
    """The fitted water surface: moulded draughts at perpendiculars and mid-length before hog, trim, heel and hog."""

    draught_aft_m: float
    draught_mid_m: float
    draught_fwd_m: float
    trim_m: float
    heel_deg: float
    hog_m: float
    residuals: list[WaterlineResidual]


@dataclass(frozen=True)
class AsInclined:
    """The ship as she lay in the initial state; centres of gravity are solid: liquids at level, upright centres."""

    waterline: WaterlineResult
    density_t_per_m3: float
    volume_m3: float
    displacement_t: float
    displacement_without_hog_t: float
    lcb_m: float
    tcb_m: float | None
    vcb_m: float
    km_t_m: float
    lcg_m: float
    tcg_m: float | None
    vcg_m: float | None


@dataclass(frozen=True)
class InstrumentResult:
    """What one instrument says by itself."""

    id: str
    gm_fluid_m: float
    standard_error_m: float | None


@dataclass(frozen=True)
class FitPoint:
    """One reading in a fit: its state, instrument, moment and tangents as read, as fitted, and their difference."""

    state: int
    instrument: str
    moment_t_m: float
    tangent: float
    fitted: float
    residual: float
    residual_mm: float | None
    studentised: float | None


@dataclass(frozen=True)
class Fit:
    """A fit of the readings; `slope_per_t_m` and R² belong to the straight line only."""

    points: list[FitPoint]
    intercepts: dict[str, float]
    residual_standard_deviation: float
    degrees_of_freedom: int
    slope_per_t_m: float | None = None
    slope_standard_error_per_t_m: float | None = None
    r_squared: float | None = None
    state_heels_deg: list[float] | None = None


@dataclass(frozen=True)
class SmallAngleResult:
    """The wall-sided reduction."""

    gm_fluid_m: float
    free_surface_m: float
    gm_solid_m: float
    kg_m: float
    tcg_m: float
    gm_fluid_standard_error_m: float
    instruments: list[InstrumentResult]
    fit: Fit


@dataclass(frozen=True)
class HeeledResult:
    """The heeled-equilibrium reduction."""

    kg_m: float
    tcg_m: float
    gm_fluid_m: float
    fit: Fit


@dataclass(frozen=True)
class LightshipResult:
    """Mass and centre of the empty ship by one method; a centre that was not measured is None."""

    mass_t: float
    lcg_m: float
    tcg_m: float | None
    vcg_m: float | None
    method: str


@dataclass(frozen=True)
class LightshipRow:
    """One row of the lightship table; what is deducted has a negative mass. Moments are about the origin."""

    row: str
    group: str
    mass_t: float
    x_m: float | None
    y_m: float | None
    z_m: float | None
    moment_x_t_m: float
    moment_y_t_m: float | None
    moment_z_t_m: float | None


@dataclass(frozen=True)
class BudgetShare:
    """One input's share of a variance; shares of a quantity add to one."""

    input: str
    share: float
    standard: float


@dataclass(frozen=True)
class QuantityUncertainty:
    """A value with its standard uncertainty, 95 % interval and budget.

    After a simulation the linear result stands beside it: it is validated when both ends of its interval differ from
    the simulated ones by no more than the tolerance (JCGM 101:2008, 8.1).
    """

    value: float
    standard: float
    low_95: float
    high_95: float
    degrees_of_freedom: float | None
    budget: list[BudgetShare]
    shortest_low_95: float | None = None
    shortest_high_95: float | None = None
    linear_standard: float | None = None
    linear_low_95: float | None = None
    linear_high_95: float | None = None
    validation_tolerance: float | None = None
    linear_validated: bool | None = None


@dataclass(frozen=True)
class UncertaintyResult:
    """The doubts of a result, by linear propagation or by simulation.

    `quantities` has every quantity by name; None where the record does not tell it, as a survey tells no height.
    A simulation is `stable` when its interval ends are known to a fifth of what `significant_digits` of the standard
    uncertainty allow (JCGM 101:2008, 7.9 and 8.2).
    """

    method: str
    quantities: dict[str, QuantityUncertainty | None]
    inputs: list[InputUncertainty]
    draws: int | None = None
    seed: int | None = None
    stable: bool | None = None
    significant_digits: int | None = None
    reading_scatter: str = ""
    stand_in_error_relative: float | None = None
    sentences: list[str] | None = None


@dataclass(frozen=True)
class InputUncertainty:
    """A kind of input, its standard uncertainty and where the figure comes from."""

    input: str
    standard: float
    unit: str
    source: str


@dataclass(frozen=True)
class TestResult:
    """The answer to a test record."""

    __test__ = False  # not a test case, whatever a test runner thinks of its name

    as_inclined: AsInclined
    small_angle: SmallAngleResult | None
    heeled_equilibrium: HeeledResult | None
    lightship: LightshipResult
    lightship_by_method: dict[str, LightshipResult]
    lightship_table: list[LightshipRow]
    uncertainty: UncertaintyResult | None
    checks: list[Check]
    cautions: list[str]
