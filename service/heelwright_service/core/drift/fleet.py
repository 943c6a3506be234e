"""Ranking a fleet: the vessel that needs action most comes first."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from heelwright_service.core.drift.answer import Drift, DriftItem, Force, Logged
from heelwright_service.core.drift.ladder import NOT_JUDGED, SEVERITY, STRENGTH, worst
from heelwright_service.core.rules import Action


@dataclass(frozen=True)
class Standing:
    """Where a vessel stands: the gravest open action, by what it is due, and the largest chance of an excess."""

    action: Action
    probability_exceeded: float
    action_force: Force = "none"
    action_reason: str = NOT_JUDGED


def standing_of(drift: Drift) -> Standing:
    """Sum a drift up in one action and one probability.

    Parameters
    ----------
    drift : Drift
        One vessel's drift.

    Returns
    -------
    Standing
        The gravest action of all lightships since the baseline and of the log, which stays until an approved inclining
        test becomes the new baseline, with the strongest force that calls for it and its reason; the largest
        probability among the verdicts that call for more than a record.
    """
    parts: list[DriftItem | Logged] = [*drift.items, drift.logged]
    action = worst([part.action for part in parts])
    asking = max((each for each in parts if each.action == action), key=lambda each: STRENGTH[each.action_force])
    verdicts = [*(verdict for item in drift.items for verdict in item.verdicts), *drift.logged.verdicts]
    grave = max((SEVERITY[verdict.consequence] for verdict in verdicts), default=0)
    chances = [each.probability_exceeded for each in verdicts if SEVERITY[each.consequence] == grave]
    return Standing(action, max(chances, default=0.0), asking.action_force, asking.action_reason)


def rank(drifts: Mapping[str, Drift]) -> list[str]:
    """Order vessels from the worst to the best.

    Parameters
    ----------
    drifts : mapping of str to Drift
        Drift by vessel.

    Returns
    -------
    list of str
        Vessels by gravity of the action, then by probability of being beyond a limit, then by name.
    """
    standings = {vessel: standing_of(drift) for vessel, drift in drifts.items()}
    return sorted(
        drifts,
        key=lambda vessel: (
            -SEVERITY[standings[vessel].action],
            -standings[vessel].probability_exceeded,
            vessel,
        ),
    )
