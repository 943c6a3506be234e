"""Choosing the inclining weights, their shifts and their sequence."""

from heelwright_service.core.planning.plan import ExpectedUncertainty, WeightPlan
from heelwright_service.core.planning.planner import plan_weights
from heelwright_service.core.planning.precision import Design, UncertaintyModel
from heelwright_service.core.planning.request import PlanRequest

__all__ = ["Design", "ExpectedUncertainty", "PlanRequest", "UncertaintyModel", "WeightPlan", "plan_weights"]
