"""Drift of a lightship since its latest approved inclining test."""

from heelwright_service.core.drift.answer import (
    Adopted,
    Centre,
    Crossing,
    Delta,
    Drift,
    DriftItem,
    Estimate,
    Growth,
    IfApproved,
    ImpliedCentre,
    Lead,
    LightshipValues,
    Logged,
    NetChange,
    NextDue,
    Unexplained,
)
from heelwright_service.core.drift.assess import assess_drift
from heelwright_service.core.drift.fleet import Standing, rank, standing_of
from heelwright_service.core.drift.request import (
    Alteration,
    AlterationUncertainties,
    DriftRequest,
    LeadShip,
    LightshipRecord,
    StandardUncertainties,
)

__all__ = [
    "Adopted",
    "Alteration",
    "AlterationUncertainties",
    "Centre",
    "Crossing",
    "Delta",
    "Drift",
    "DriftItem",
    "DriftRequest",
    "Estimate",
    "Growth",
    "IfApproved",
    "ImpliedCentre",
    "Lead",
    "LeadShip",
    "LightshipRecord",
    "LightshipValues",
    "Logged",
    "NetChange",
    "NextDue",
    "StandardUncertainties",
    "Standing",
    "Unexplained",
    "assess_drift",
    "rank",
    "standing_of",
]
