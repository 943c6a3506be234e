"""All checks and cautions of a reduction, topic by topic."""

from __future__ import annotations

from heelwright_service.core.checks import (
    approved_mass,
    assumptions,
    centres,
    centres_in_ship,
    floating,
    hog,
    hull_model,
    instrument_slopes,
    instruments,
    items,
    linearity,
    methods,
    moved_water,
    movements,
    named_places,
    outliers,
    particulars,
    pattern_hints,
    pocketing,
    samples,
    slips,
    stiffness,
    tank_levels,
    tank_states,
    tank_tables,
    upright_zero,
    water,
    waterline,
    weights,
)
from heelwright_service.core.checks.inputs import CheckInput, Judgement
from heelwright_service.core.rules import rule_set

TOPICS = (
    particulars,
    named_places,
    hull_model,
    waterline,
    hog,
    floating,
    water,
    tank_states,
    tank_levels,
    tank_tables,
    pocketing,
    weights,
    moved_water,
    movements,
    instruments,
    instrument_slopes,
    upright_zero,
    linearity,
    pattern_hints,
    outliers,
    methods,
    stiffness,
    items,
    centres_in_ship,
    centres,
    approved_mass,
)
CAUTIOUS = (
    waterline,
    floating,
    water,
    tank_states,
    pocketing,
    samples,
    pattern_hints,
    outliers,
    methods,
    stiffness,
    items,
    centres,
    slips,
    assumptions,
)
_ORDER = ("unsafe", "safe", None)


def judge(given: CheckInput) -> Judgement:
    """Judge a reduction by every rule that applies, and say what to be careful with.

    Parameters
    ----------
    given : CheckInput
        The reduction.

    Returns
    -------
    Judgement
        Checks in the order of the work, none left out for want of data; cautions with the unsafe side first.

    Raises
    ------
    CoreError
        ``unknown-rule-set`` at ``/test/rule_set``.
    """
    rule_set(given.record.test.rule_set, "/test/rule_set")
    checks = [check for topic in TOPICS for check in topic.checks(given)]
    found = [caution for topic in CAUTIOUS for caution in topic.cautions(given)]
    ordered = sorted(found, key=lambda caution: _ORDER.index(caution.side))
    return Judgement(checks, [caution.sentence for caution in ordered])
