"""The test record as dataclasses: one self-contained document holds the vessel, the test day and its doubts.

Axes: x metres forward of the aft perpendicular, y metres to starboard, z metres above the moulded baseline.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Literal

Point = tuple[float, float]
Position = tuple[float, float, float]

LEAST_APART_M = 1e-6
"""Stations, soundings, draughts nearer to each other differ by rounding alone, and slopes between them overflow."""


@dataclass(frozen=True)
class Station:
    """One section of a hull or tank: the starboard contour from keel to deck edge, in metres."""

    x_m: float
    contour_m: Sequence[Point]
    port_contour_m: Sequence[Point] | None = None


@dataclass(frozen=True)
class Appendage:
    """A constant immersed volume outside the stations (rudder, bossing, sea chest as a negative volume)."""

    name: str
    volume_m3: float
    x_m: float
    y_m: float
    z_m: float


@dataclass(frozen=True)
class HullDocument:
    """A hull form as given: stations in order of x, appendages and a relative allowance for the shell."""

    stations: Sequence[Station]
    appendages: Sequence[Appendage] = ()
    shell_allowance_relative: float = 0.0


@dataclass(frozen=True)
class TableRow:
    """One line of a hydrostatic table at a moulded mid-length draught and a trim (by the stern positive)."""

    draught_m: float
    volume_m3: float
    lcb_m: float
    vcb_m: float
    km_t_m: float
    trim_m: float = 0.0
    lcf_m: float | None = None
    km_l_m: float | None = None


@dataclass(frozen=True)
class TableDocument:
    """A hydrostatic table: a full rectangular grid of draughts and trims."""

    rows: Sequence[TableRow]


@dataclass(frozen=True)
class Mark:
    """A draught mark: where it stands, the height of its zero above the moulded baseline, and who ever checked that."""

    name: str
    x_m: float
    y_m: float
    zero_z_m: float
    verified: Literal["in-dock", "not-verified"] | None = None
    verified_on: str | None = None


@dataclass(frozen=True)
class SoundingPipe:
    """Where a tank is sounded: the pipe's place and the height of its zero."""

    x_m: float
    y_m: float
    zero_z_m: float


@dataclass(frozen=True)
class TankRow:
    """One line of a tank's sounding table: contents and free surface at an upright level surface."""

    sounding_m: float
    volume_m3: float
    x_m: float
    y_m: float
    z_m: float
    i_t_m4: float
    i_l_m4: float


@dataclass(frozen=True)
class Tank:
    """A tank with its sounding table and, where known, its shape."""

    name: str
    capacity_m3: float
    pipe: SoundingPipe
    table: Sequence[TankRow]
    contents: str | None = None
    geometry: HullDocument | None = None


@dataclass(frozen=True)
class ApprovedLightship:
    """The lightship that the vessel's stability information rests on today."""

    mass_t: float
    lcg_m: float
    vcg_m: float
    tcg_m: float = 0.0
    date: str | None = None


@dataclass(frozen=True)
class ModelAcceptance:
    """Who accepted this model of the vessel, when, and which version of it (as its acceptance sheet says)."""

    checker: str
    date: str
    version: str


@dataclass(frozen=True)
class Vessel:
    """The vessel as the test needs it: dimensions, hull or table, marks, tanks."""

    length_bp_m: float
    name: str | None = None
    kind: str | None = None
    length_m: float | None = None
    breadth_m: float | None = None
    depth_m: float | None = None
    hull: HullDocument | None = None
    hydrostatic_table: TableDocument | None = None
    marks: Sequence[Mark] = ()
    tanks: Sequence[Tank] = ()
    approved_lightship: ApprovedLightship | None = None
    model_acceptance: ModelAcceptance | None = None


@dataclass(frozen=True)
class TestFacts:
    """Where, when and by which rules the test was made."""

    __test__ = False  # not a test case, whatever a test runner thinks of its name

    date: str | None = None
    location: str | None = None
    weather: str | None = None
    rule_set: str | None = None


@dataclass(frozen=True)
class Glass:
    """A hydrometer as its glass is stamped.

    Parameters
    ----------
    kind : {"relative-density", "apparent-density", "density"}
        Load-line type (relative density, in vacuum), draught-survey type (apparent density in air), or density in
        vacuum.
    calibrated_at_c : float
        Temperature at which the scale is true [°C].
    reference_water_c : float or None
        For a relative density: the temperature of the pure water it refers to, the second of the two temperatures
        stamped [°C].
    glass_expansion_per_c : float
        Cubic expansion of the glass [1/°C]; 25e-6 by convention (ISO 1768:1975).
    """

    kind: Literal["relative-density", "apparent-density", "density"]
    calibrated_at_c: float = 15.0
    reference_water_c: float | None = None
    glass_expansion_per_c: float = 25e-6


@dataclass(frozen=True)
class WaterSample:
    """One reading of the density of the water alongside; with its glass it is the reading on that glass."""

    density_t_per_m3: float
    depth_m: float | None = None
    temperature_c: float | None = None
    place: str | None = None
    glass: Glass | None = None


@dataclass(frozen=True)
class ProbeSample:
    """Salinity and temperature of the water alongside by a probe, from which its density follows."""

    practical_salinity: float
    temperature_c: float
    depth_m: float | None = None
    place: str | None = None


@dataclass(frozen=True)
class Water:
    """The samples and the basis (in vacuum or in air) of the glass they were read with; a glass described decides."""

    samples: Sequence[WaterSample]
    density_basis: Literal["vacuum", "air"] = "vacuum"
    probe_samples: Sequence[ProbeSample] = ()


ReadingCondition = Literal["tube", "boat", "quay", "waves", "hard-to-read"]


@dataclass(frozen=True)
class DraughtReading:
    """A draught as read at a named mark, in which conditions, and its own standard uncertainty where that is known."""

    mark: str
    reading_m: float
    condition: ReadingCondition | None = None
    standard_m: float | None = None


@dataclass(frozen=True)
class FreeboardReading:
    """The height of a known point above the water; conditions and uncertainty as for a draught."""

    x_m: float
    y_m: float
    point_z_m: float
    reading_m: float
    condition: ReadingCondition | None = None
    standard_m: float | None = None


@dataclass(frozen=True)
class Sounding:
    """What was found in a tank; the density is always given, never assumed.

    The density is that of the liquid in the tank; measured at another temperature it comes with that temperature, the
    one in the tank, and the liquid by whose expansion it is carried there.
    """

    tank: str
    state: Literal["empty", "pressed", "slack"]
    density_t_per_m3: float
    sounding_m: float | None = None
    ullage_m: float | None = None
    evidence: str | None = None
    liquid: Literal["fuel", "lubricating-oil", "water"] | None = None
    density_measured_at_c: float | None = None
    temperature_c: float | None = None


@dataclass(frozen=True)
class Item:
    """A mass aboard that is not lightship, of lightship and not aboard, or aboard in the wrong place."""

    description: str
    kind: Literal["surplus", "missing", "misplaced"]
    mass_t: float
    x_m: float
    y_m: float
    z_m: float
    to_x_m: float | None = None
    to_y_m: float | None = None
    to_z_m: float | None = None


@dataclass(frozen=True)
class Person:
    """Somebody aboard during the test."""

    mass_t: float
    x_m: float
    y_m: float
    z_m: float
    name: str | None = None


@dataclass(frozen=True)
class IncliningWeight:
    """An inclining weight with its certified mass."""

    id: str
    mass_t: float


@dataclass(frozen=True)
class State:
    """Where every inclining weight stands in one state of the test."""

    number: int
    positions: dict[str, Position]


@dataclass(frozen=True)
class Instrument:
    """A pendulum, U-tube or inclinometer; the length is to the batten, or between the legs."""

    id: str
    kind: Literal["pendulum", "u-tube", "inclinometer"]
    length_m: float | None = None
    zero: Literal["arbitrary", "upright"] = "arbitrary"


@dataclass(frozen=True)
class Reading:
    """One instrument read in one state; positive is heel to starboard."""

    state: int
    instrument: str
    value_mm: float | None = None
    value_deg: float | None = None
    samples_deg: Sequence[float] | None = None
    at: str | None = None
    repeat: int | None = None
    withdrawn_reason: str | None = None


@dataclass(frozen=True)
class BallastMove:
    """Water moved from one tank to another to reach a state, both sounded before and after at their pipes."""

    state: int
    from_tank: str
    to_tank: str
    from_before_m: float
    from_after_m: float
    to_before_m: float
    to_after_m: float


@dataclass(frozen=True)
class BallastProcedure:
    """Who approved water as inclining weight for this test, and what was seen to; None where nobody said.

    Parameters
    ----------
    approved_by, reference : str
        The authority, and its paper for this test.
    why_not_solid_weights : str
        Why solid weights are impracticable.
    tanks_free_of_stringers : bool or None
        The tanks have no large stringers or other members that trap air.
    density_measured : bool or None
        The density of the water in the tanks was measured.
    lines_full : bool or None
        The lines between the tanks were full before the first move.
    manifolds_blanked : bool or None
        Blanks stood in the transverse manifolds.
    valves_watched : bool or None
        The valves were under control all the time.
    tables_verified : bool or None
        The sounding tables of these tanks were found accurate.
    flow_meter : bool or None
        A flow meter checked what moved; it need not.
    """

    approved_by: str
    reference: str
    why_not_solid_weights: str
    tanks_free_of_stringers: bool | None = None
    density_measured: bool | None = None
    lines_full: bool | None = None
    manifolds_blanked: bool | None = None
    valves_watched: bool | None = None
    tables_verified: bool | None = None
    flow_meter: bool | None = None


@dataclass(frozen=True)
class StatedUncertainties:
    """Standard uncertainties that stand in place of the defaults; 0 is allowed, None keeps the default.

    `sounding_datum_m` is common to all soundings (one tape, one habit of reading it). `unlisted_mass_t` and
    `unlisted_moment_t_m` (about the lightship's VCG) are of everything too small to be listed by itself.
    """

    draught_m: float | None = None
    freeboard_m: float | None = None
    density_t_per_m3: float | None = None
    reading_m: float | None = None
    reading_deg: float | None = None
    pendulum_length_m: float | None = None
    weight_mass_relative: float | None = None
    weight_position_m: float | None = None
    sounding_m: float | None = None
    tank_volume_relative: float | None = None
    item_mass_relative: float | None = None
    item_position_m: float | None = None
    hull_volume_relative: float | None = None
    km_m: float | None = None
    sounding_datum_m: float | None = None
    unlisted_mass_t: float | None = None
    unlisted_moment_t_m: float | None = None


@dataclass(frozen=True)
class TestRecord:
    """Everything that a reduction needs, in one document."""

    __test__ = False  # not a test case, whatever a test runner thinks of its name

    vessel: Vessel
    water: Water
    test: TestFacts = field(default_factory=TestFacts)
    draughts: Sequence[DraughtReading] = ()
    freeboards: Sequence[FreeboardReading] = ()
    soundings: Sequence[Sounding] = ()
    items: Sequence[Item] = ()
    persons: Sequence[Person] = ()
    inclining_weights: Sequence[IncliningWeight] = ()
    states: Sequence[State] = ()
    instruments: Sequence[Instrument] = ()
    readings: Sequence[Reading] = ()
    ballast_moves: Sequence[BallastMove] = ()
    ballast_procedure: BallastProcedure | None = None
    uncertainties: StatedUncertainties = field(default_factory=StatedUncertainties)
