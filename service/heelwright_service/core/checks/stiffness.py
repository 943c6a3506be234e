"""Checks of the measured stiffness: enough of it, an instrument fit for it, people on small craft."""

from __future__ import annotations

import numpy as np

from heelwright_service.core.checks.inputs import CheckInput
from heelwright_service.core.checks.verdicts import Caution, at_least, at_most, judged, unassessed
from heelwright_service.core.results import Check
from heelwright_service.core.words import counted, figure, number, tonnes

PERCENT = 100.0


def checks(given: CheckInput) -> list[Check]:
    """Judge GM, its ratio to KG, and the people on small craft.

    Parameters
    ----------
    given : CheckInput
        The reduction.

    Returns
    -------
    list of Check
        P-22, T-21 and T-06-people; none for a survey.
    """
    if given.is_survey or given.gm_fluid_m is None or given.kg_m is None:
        return []
    return [_least_gm(given, given.gm_fluid_m), _kg_over_gm(given, given.kg_m, given.gm_fluid_m), _people(given)]


def cautions(given: CheckInput) -> list[Caution]:
    """Say where inclining is a poor instrument, and what people do on small craft.

    Parameters
    ----------
    given : CheckInput
        The reduction.

    Returns
    -------
    list of Caution
        None, one or two.
    """
    if given.is_survey or given.gm_fluid_m is None or given.kg_m is None:
        return []
    found = []
    if given.kg_m < given.rule("T-21")["kg_over_gm"] * given.gm_fluid_m:
        found.append(
            Caution(
                f"KG ({number(given.kg_m, 3)} m) is less than a third of GM ({number(given.gm_fluid_m, 3)} m): "
                "inclining is a poor instrument here, for a small share of GM is a large share of KG. Weighing with "
                "a calculated height may tell more.",
                "unsafe",
            )
        )
    if given.length_m < given.rule("T-06")["below_length_m"]:
        found.append(_small_craft(given))
    return found


def _small_craft(given: CheckInput) -> Caution:
    people = given.record.persons
    limit = given.rule("T-06")["below_length_m"]
    if people:
        share = (
            f"the {counted(len(people), 'person', 'persons')} of the record, all moving one metre across, make "
            f"{number(_one_metre_t_m(given), 3)} t·m, {number(_people_share(given), 1)} % of the largest inclining "
            "moment"
        )
    else:
        share = "no persons are listed, and one who moves may make a large share of the inclining moment"
    return Caution(
        f"on a small craft ({number(given.length_m, 2)} m, below {figure(limit)} m) people count: {share}. "
        "Read by camera, or keep everybody in one place; people who walk with the weights make her look less "
        "stable than she is.",
        "safe",
    )


def _least_gm(given: CheckInput, gm_m: float) -> Check:
    rule = given.rule("P-22")
    limit = rule["minimum_gm_m"]
    text = f"GM in the test condition is {number(gm_m, 3, limit)} m; at least {figure(limit)} m is asked."
    return judged(rule, at_least(gm_m, limit), text, gm_m, limit)


def _kg_over_gm(given: CheckInput, kg_m: float, gm_m: float) -> Check:
    rule = given.rule("T-21")
    limit = rule["kg_over_gm"]
    value = kg_m / gm_m
    text = (
        f"KG is {number(value, 2, limit)} times GM; from {number(limit, 3)} times on inclining tells KG well enough, "
        "below it high-speed craft may be calculated instead."
    )
    return judged(rule, at_least(value, limit), text, value, limit)


def _people(given: CheckInput) -> Check:
    rule = given.rule("T-06-people")
    limit, small = rule["maximum_percent"], given.rule("T-06")["below_length_m"]
    if not given.record.persons:
        return unassessed(rule, "No persons are listed.", "safe")
    value = _people_share(given)
    mass = sum(person.mass_t for person in given.record.persons)
    text = (
        f"All {counted(len(given.record.persons), 'person', 'persons')} ({tonnes(mass)}) moving one metre across "
        f"change the moment by {number(value, 2, limit)} % of the largest; {figure(limit)} % is allowed below a "
        f"length of {figure(small)} m."
    )
    return judged(rule, given.length_m >= small or at_most(value, limit), text, value, limit, "safe")


def _one_metre_t_m(given: CheckInput) -> float:
    return sum(person.mass_t for person in given.record.persons)


def _people_share(given: CheckInput) -> float:
    return _one_metre_t_m(given) / float(np.abs(given.state_moments_t_m).max()) * PERCENT
