"""What an acceptance sheet compares: the model, the approved documents, the limits, and who answers for it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Literal

from heelwright_service.core.record import Vessel

_OFFICE = "office default, tighter than the tolerance of 2 % that IACS UR L5 gives (from memory)"
_PLACE = "office default; IACS UR L5 gives 1 %, at most 50 mm upward and 500 mm along (from memory)"


@dataclass(frozen=True)
class Limit:
    """Largest difference allowed, in the unit of its name, and where the figure comes from."""

    value: float
    source: str


LIMITS: dict[str, Limit] = {
    "displacement_relative": Limit(0.005, _OFFICE),
    "km_t_m": Limit(0.010, _PLACE),
    "lcb_share_of_length": Limit(0.001, _PLACE),
    "tank_volume_relative": Limit(0.01, _OFFICE),
    "tank_centre_m": Limit(0.05, _PLACE),
    "mark_zero_m": Limit(0.005, "office default: what a draught is read to"),
    "mark_place_m": Limit(0.05, "office default"),
}


@dataclass(frozen=True)
class StatedLimits:
    """Limits that stand in place of the defaults; None keeps the default."""

    displacement_relative: float | None = None
    km_t_m: float | None = None
    lcb_share_of_length: float | None = None
    tank_volume_relative: float | None = None
    tank_centre_m: float | None = None
    mark_zero_m: float | None = None
    mark_place_m: float | None = None


@dataclass(frozen=True)
class ApprovedRow:
    """A line of the approved hydrostatics: a draught at mid-length from its own datum, a trim by the stern."""

    draught_m: float
    displacement_t: float
    lcb_m: float
    km_t_m: float
    trim_m: float = 0.0


@dataclass(frozen=True)
class ApprovedHydrostatics:
    """The approved hydrostatics: which document, in which water, and what its draughts are counted from."""

    document: str
    density_t_per_m3: float
    draughts_from: Literal["moulded-baseline", "underside-of-keel"]
    rows: Sequence[ApprovedRow]
    keel_thickness_m: float | None = None


@dataclass(frozen=True)
class CapacityRow:
    """A tank as the capacity plan has it: full volume and its centre."""

    tank: str
    volume_m3: float
    x_m: float
    y_m: float
    z_m: float


@dataclass(frozen=True)
class CapacityPlan:
    """The capacity plan: which document, and its tanks."""

    document: str
    rows: Sequence[CapacityRow]


@dataclass(frozen=True)
class ApprovedMark:
    """A draught mark as its document has it, the height of its zero above the moulded baseline."""

    name: str
    x_m: float
    zero_z_m: float


@dataclass(frozen=True)
class MarkPlan:
    """The document of the draught marks, and the marks."""

    document: str
    rows: Sequence[ApprovedMark]


@dataclass(frozen=True)
class Space:
    """A space that may count as buoyant (tunnel, moonpool, superstructure), and where it does."""

    name: str
    in_model: bool
    in_approved: bool


@dataclass(frozen=True)
class Reason:
    """Why a difference beyond its limit is accepted all the same."""

    subject: str
    reason: str


@dataclass(frozen=True)
class AcceptanceRequest:
    """A model, what it is to be compared with, and who answers for the comparison."""

    vessel: Vessel
    approved_hydrostatics: ApprovedHydrostatics
    checker: str
    date: str
    version: str
    capacity_plan: CapacityPlan | None = None
    mark_plan: MarkPlan | None = None
    spaces: Sequence[Space] = ()
    limits: StatedLimits = field(default_factory=StatedLimits)
    reasons: Sequence[Reason] = ()
