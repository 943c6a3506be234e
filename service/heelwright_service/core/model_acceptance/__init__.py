"""The acceptance sheet of a vessel's model: compared with what is approved before any test is reduced on it.

A lightship that comes out wrong is as often the model as the ship: a space left out, a tank in the wrong place,
draughts counted from the keel plate. The sheet sets the hull form or table against the approved hydrostatics, each tank
against the capacity plan, marks and datum against their documents, and the spaces that count as buoyant.
"""

from heelwright_service.core.model_acceptance.comparisons import Difference
from heelwright_service.core.model_acceptance.request import (
    LIMITS,
    AcceptanceRequest,
    ApprovedHydrostatics,
    ApprovedMark,
    ApprovedRow,
    CapacityPlan,
    CapacityRow,
    Limit,
    MarkPlan,
    Reason,
    Space,
    StatedLimits,
)
from heelwright_service.core.model_acceptance.sheet import (
    AcceptanceSheet,
    accept_model,
    acceptance_caution,
    acceptance_words,
)

__all__ = [
    "LIMITS",
    "AcceptanceRequest",
    "AcceptanceSheet",
    "ApprovedHydrostatics",
    "ApprovedMark",
    "ApprovedRow",
    "CapacityPlan",
    "CapacityRow",
    "Difference",
    "Limit",
    "MarkPlan",
    "Reason",
    "Space",
    "StatedLimits",
    "accept_model",
    "acceptance_caution",
    "acceptance_words",
]
