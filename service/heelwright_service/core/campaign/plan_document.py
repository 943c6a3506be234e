"""The plan of a test as data: what the coordinator settles before the procedure is issued.

Dates and times are ISO 8601 texts. Places are in ship axes: x metres forward of the aft perpendicular, y metres to
starboard, z metres above the moulded baseline.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Literal

from heelwright_service.core.campaign.stages import Order
from heelwright_service.core.record import IncliningWeight, State

Purpose = Literal["new-build", "sister-ship", "conversion", "periodic", "other"]
Role = Literal[
    "person-in-charge",
    "coordinator",
    "witness",
    "surveyor",
    "master",
    "chief-engineer",
    "yard",
    "crane-operator",
    "weight-gang",
    "instrument-reader",
    "draught-reader",
    "sounding-party",
    "recorder",
    "gas-free-person",
    "other",
]
AttachmentKind = Literal[
    "lines-plan",
    "hydrostatics",
    "capacity-plan",
    "sounding-tables",
    "draught-marks",
    "general-arrangement",
    "profile",
    "docking-plan",
    "mooring-plan",
    "weight-certificates",
    "scale-certificate",
    "hydrometer-certificate",
    "instrument-certificate",
    "permanent-ballast",
    "lines-slack-check",
    "other",
]


@dataclass(frozen=True)
class Place:
    """Where the test is made and how the ship lies there; depths are of the lowest tide."""

    name: str
    sheltered: bool | None = None
    depth_lowest_m: float | None = None
    tide: str | None = None
    mooring: str | None = None
    gangway: str | None = None
    shore_lines: str | None = None
    expected_density_t_per_m3: float | None = None


@dataclass(frozen=True)
class NamedPerson:
    """Somebody with a part in the test."""

    role: Role
    name: str
    contact: str | None = None
    organisation: str | None = None
    independent: bool = False


@dataclass(frozen=True)
class PlannedWeightUnit(IncliningWeight):
    """One inclining weight of the plan with its certificate and the deck it stands on."""

    shift_distance_m: float | None = None
    certificate: str | None = None
    certified_on: str | None = None
    scale_certificate: str | None = None
    absorbs_moisture: bool = False
    deck_load_t_per_m2: float | None = None
    deck_capacity_t_per_m2: float | None = None
    handling: str | None = None


@dataclass(frozen=True)
class PlannedState(State):
    """One state of the test: places of the weights, change of moment, expected deflections."""

    moment_t_m: float | None = None
    deflection_mm: dict[str, float] = field(default_factory=dict)


@dataclass(frozen=True)
class ExpectedRange:
    """An expected value and its ends over the range of GM."""

    expected: float
    low: float | None = None
    high: float | None = None


@dataclass(frozen=True)
class Moves:
    """The weights, their states in order and the largest heel, as the weight plan gives them."""

    weights: Sequence[PlannedWeightUnit]
    states: Sequence[PlannedState]
    max_heel_deg: ExpectedRange | None = None


@dataclass(frozen=True)
class PlannedInstrument:
    """An instrument of heel: kind, length, place, calibration, damping and shelter."""

    id: str
    kind: Literal["pendulum", "u-tube", "inclinometer"]
    length_m: float | None = None
    x_m: float | None = None
    y_m: float | None = None
    z_m: float | None = None
    place: str | None = None
    damping: str | None = None
    sheltered: bool | None = None
    certificate: str | None = None
    calibrated_on: str | None = None


@dataclass(frozen=True)
class DraughtPlan:
    """How the waterline will be read.

    Parameters
    ----------
    marks : sequence of str
        Names of the marks that will be read.
    freeboard_stations_x_m : sequence of float
        Stations of freeboards, each read on both sides [m].
    datum : str, optional
        What the marks count from: moulded baseline, underside of keel, lowest point.
    marks_verified_on, marks_verified_by : str, optional
        When and by whom the marks were verified in dock.
    means : str, optional
        Boat, tube, light.
    """

    marks: Sequence[str] = ()
    freeboard_stations_x_m: Sequence[float] = ()
    datum: str | None = None
    marks_verified_on: str | None = None
    marks_verified_by: str | None = None
    means: str | None = None


@dataclass(frozen=True)
class Hydrometer:
    """A hydrometer of the kit: what it is for, its range [t/m³], the type stamped on the glass, its certificate."""

    use: Literal["water", "tank-liquids"]
    low_t_per_m3: float
    high_t_per_m3: float
    stamped: str | None = None
    certificate: str | None = None


@dataclass(frozen=True)
class DensityPlan:
    """Where the water is sampled and with what."""

    places: Sequence[str] = ()
    depth_m: float | None = None
    hydrometers: Sequence[Hydrometer] = ()
    thermometer: bool = False


@dataclass(frozen=True)
class ExpectedCondition:
    """The estimated condition of the test with everything aboard."""

    displacement_t: float
    gm_m: float | None = None
    draught_mid_m: float | None = None
    trim_m: float | None = None
    heel_deg: float | None = None
    lightship_mass_t: float | None = None
    lightship_lcg_m: float | None = None
    lightship_tcg_m: float = 0.0
    lightship_vcg_m: float | None = None


@dataclass(frozen=True)
class MobileThing:
    """Something that can move between readings, and where it has to be at every reading."""

    name: str
    kind: Literal["crane", "truck", "gang", "lift", "person", "other"]
    reading_position: str
    mass_t: float | None = None
    x_m: float | None = None
    y_m: float | None = None
    z_m: float | None = None


@dataclass(frozen=True)
class WeatherLimits:
    """The limits of weather, and who decides; the figures default to the office's."""

    wind_m_per_s: float | None = None
    gust_spread_m_per_s: float | None = None
    wave_m: float | None = None
    current_kn: float | None = None
    decided_by: str | None = None
    decision_at: str | None = None


@dataclass(frozen=True)
class ScheduledEvent:
    """One line of the order of events."""

    at: str
    event: str
    who: str | None = None


@dataclass(frozen=True)
class Attachment:
    """A paper that goes with the procedure or the report."""

    kind: AttachmentKind
    name: str
    valid_until: str | None = None


@dataclass(frozen=True)
class HydrostaticsSource:
    """The hydrostatics that the test will be reduced with, and their acceptance."""

    document: str
    approved_by: str | None = None
    dated: str | None = None
    last_conversion: str | None = None
    accepted_by: str | None = None
    accepted_on: str | None = None


@dataclass(frozen=True)
class SafetyPlan:
    """Entry, gas, lifting and how everything is stopped."""

    gas_free: str | None = None
    entry_permits: str | None = None
    lifting_plan: str | None = None
    stop_word: str | None = None


@dataclass(frozen=True)
class TimeWindow:
    """A stretch of time, with offsets in its texts, and the least depth of water in it where it is known."""

    start: str
    end: str
    depth_m: float | None = None


@dataclass(frozen=True)
class Bookings:
    """Dates and windows that others give."""

    notice_days: int | None = None
    notice_source: str | None = None
    agency_turnaround_days: int | None = None
    report_due_days: int | None = None
    berth_from: str | None = None
    berth_until: str | None = None
    crane_from: str | None = None
    crane_until: str | None = None
    daylight: TimeWindow | None = None
    tides: Sequence[TimeWindow] = ()


@dataclass(frozen=True)
class EstimatedItem:
    """A mass that is expected to be surplus, missing or misplaced on the day."""

    description: str
    kind: Literal["surplus", "missing", "misplaced"]
    mass_t: float
    x_m: float
    y_m: float
    z_m: float
    certainty: Literal["known", "estimated", "unknown"] = "estimated"


@dataclass(frozen=True)
class TestPlan:
    """Everything that is settled before the procedure is issued; every part may still be open."""

    __test__ = False  # not a test case, whatever a test runner thinks of its name

    purpose: Purpose = "other"
    purpose_reason: str | None = None
    reference_documents: Sequence[str] = ()
    rule_set: str | None = None
    date: str | None = None
    start_at: str | None = None
    place: Place | None = None
    order: Order = "survey-first"
    order_reason: str | None = None
    bookings: Bookings = field(default_factory=Bookings)
    persons: Sequence[NamedPerson] = ()
    moves: Moves | None = None
    instruments: Sequence[PlannedInstrument] = ()
    draught_plan: DraughtPlan = field(default_factory=DraughtPlan)
    density_plan: DensityPlan = field(default_factory=DensityPlan)
    expected: ExpectedCondition | None = None
    estimated_items: Sequence[EstimatedItem] = ()
    item_list_handed_over_at: str | None = None
    mobile_things: Sequence[MobileThing] = ()
    weather_limits: WeatherLimits = field(default_factory=WeatherLimits)
    schedule: Sequence[ScheduledEvent] = ()
    attachments: Sequence[Attachment] = ()
    hydrostatics: HydrostaticsSource | None = None
    safety: SafetyPlan = field(default_factory=SafetyPlan)
    equipment: Sequence[str] = ()
    communications: str | None = None
    submitted_on: str | None = None
