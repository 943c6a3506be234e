"""Checks of the floating position: list, trim, deck edge, and the table that has to serve it."""

from __future__ import annotations

import numpy as np

from heelwright_service.core.checks.inputs import CheckInput
from heelwright_service.core.checks.unread_list import price_sentence
from heelwright_service.core.checks.verdicts import Caution, at_least, at_most, judged, unassessed
from heelwright_service.core.hydrostatics import freeboard_m
from heelwright_service.core.results import Check
from heelwright_service.core.unknown_list import UNKNOWN_LIST_DEG
from heelwright_service.core.words import figure, number, to_side, trim_words

PERCENT = 100.0


def checks(given: CheckInput) -> list[Check]:
    """Judge list, trim and deck edge.

    Parameters
    ----------
    given : CheckInput
        The reduction.

    Returns
    -------
    list of Check
        P-18, P-19 and ``deck-edge``.
    """
    return [_list(given), _trim(given), _deck_edge(given)]


def cautions(given: CheckInput) -> list[Caution]:
    """Say what is assumed where the list was not read.

    Parameters
    ----------
    given : CheckInput
        The reduction.

    Returns
    -------
    list of Caution
        One where neither the waterline nor an instrument shows the upright ship.
    """
    if given.knows_list:
        return []
    if given.is_survey:
        why = "the draughts were not read on both sides and nothing tells the list, and with it TCG"
        return [Caution(f"{why}; {_doubt(given)}")]
    return [
        Caution(
            "the draughts were not read on both sides and no instrument shows the upright ship: nothing tells the "
            f"list. Every instrument's zero was taken as upright, and TCG rests on that; {_doubt(given)}"
        )
    ]


def _doubt(given: CheckInput) -> str:
    """What stands for the list in the displacement and the intervals."""
    return (
        "the displacement is that of the upright ship, and the intervals hold a list of up to "
        f"{figure(UNKNOWN_LIST_DEG)}° to either side (office default).{price_sentence(given)} Read both sides."
    )


def _list(given: CheckInput) -> Check:
    rule = given.rule("P-18")
    if not given.knows_list:
        return unassessed(rule, "Neither draughts on both sides nor an instrument with an upright zero tell the list.")
    limit = rule["maximum_deg"]
    heel = float(np.degrees(np.arctan(given.initial_tangent)))
    text = f"List in the initial state {to_side(heel, limit)}; at most {figure(limit)}° is allowed."
    return judged(rule, at_most(abs(heel), limit), text, abs(heel), limit)


def _trim(given: CheckInput) -> Check:
    rule = given.rule("P-19")
    trim = float(given.outcome.planes.trim_m[0])
    value, limit = abs(trim) / given.length_m * PERCENT, rule["maximum_percent_of_lbp"]
    text = (
        f"Trim {trim_words(trim)}, {number(value, 2, limit)} % of the length; {figure(limit)} % is allowed without "
        "hydrostatics of the actual trim."
    )
    if given.hull is not None:
        return judged(rule, True, f"{text} They are computed from the hull form at this trim.", value, limit)
    if given.table is not None and given.table.has_trim_axis:
        return judged(rule, True, f"{text} The table is read at this trim.", value, limit)
    note = (
        " The table has no trim axis: volume was taken at the centre of flotation and the centre of buoyancy moved by "
        "BM_L times the slope."
    )
    return judged(rule, False, text + note, value, limit)


def _deck_edge(given: CheckInput) -> Check:
    rule = given.rule("deck-edge")
    if given.hull is None:
        return unassessed(rule, "Without a hull form the deck edge is not known.")
    if given.state_planes is None:
        return unassessed(rule, "The hull form does not float at the heels that the readings give.")
    boards = freeboard_m(given.hull, given.state_planes)
    worst = int(np.argmin(boards))
    value, limit = float(boards[worst]), rule["minimum_freeboard_m"]
    state = "the initial state" if given.test.movements is None else f"state {given.test.movements.numbers[worst]}"
    kept = at_least(value, limit)
    where = f"{number(value, 3, limit)} m above" if kept else f"{number(-value, 3, limit)} m under"
    text = (
        f"The deck edge comes nearest to the water in {state}, {where} it; at least {figure(limit)} m is needed, for "
        "the hull form ends there."
    )
    return judged(rule, kept, text, value, limit)
