"""Rule sets as data, and the one evaluator that judges by them.

The data are Python literals of frozen dataclasses: the type checker reads them, no file has to be carried or parsed,
and a limit is an object that computes itself. `rule` and `rule_set` look deviation limits up, `conduct_rule` the
figures of planning, conduct and reduction, `evaluate` judges.
"""

from heelwright_service.core.rules.applicability import applies_to, kind_of
from heelwright_service.core.rules.conduct import get as conduct_rule
from heelwright_service.core.rules.conduct_definitions import TestRule
from heelwright_service.core.rules.decisions import COVERAGE_FACTOR, decide, passes, probability_exceeded
from heelwright_service.core.rules.definitions import (
    CONFIDENCE_WORDS,
    Action,
    Applicability,
    Baseline,
    CalendarRule,
    Deviation,
    DeviationRule,
    EarlyWarning,
    Quantity,
    RuleSet,
    RuleVessel,
    Stage,
)
from heelwright_service.core.rules.due_dates import DueDate, due_date, next_due
from heelwright_service.core.rules.evaluation import Verdict, evaluate
from heelwright_service.core.rules.library import (
    DEFAULT_RULE_SET,
    RULE_SETS,
    calendar_for,
    calendar_rule,
    default_rule_set,
    rule,
    rule_set,
    rules_for,
)
from heelwright_service.core.rules.limits import interpolated_percent, length_on

__all__ = [
    "CONFIDENCE_WORDS",
    "COVERAGE_FACTOR",
    "DEFAULT_RULE_SET",
    "RULE_SETS",
    "Action",
    "Applicability",
    "Baseline",
    "CalendarRule",
    "Deviation",
    "DeviationRule",
    "DueDate",
    "EarlyWarning",
    "Quantity",
    "RuleSet",
    "RuleVessel",
    "Stage",
    "TestRule",
    "Verdict",
    "applies_to",
    "calendar_for",
    "calendar_rule",
    "conduct_rule",
    "decide",
    "default_rule_set",
    "due_date",
    "evaluate",
    "interpolated_percent",
    "kind_of",
    "length_on",
    "next_due",
    "passes",
    "probability_exceeded",
    "rule",
    "rule_set",
    "rules_for",
]
