"""Ranking a fleet: the vessel that needs action most comes first."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from heelwright_service.core.drift.answer import Drift
from heelwright_service.core.drift.ladder import SEVERITY, worst
from heelwright_service.core.rules import Action


@dataclass(frozen=True)
class Standing:
    """Where a vessel stands: the gravest open action and the largest chance of being beyond a limit."""

    action: Action
    probability_exceeded: float


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
        test becomes the new baseline; the largest probability among the verdicts that call for more than a record.
    """
    actions = [*(item.action for item in drift.items), drift.logged.action]
    verdicts = [*(verdict for item in drift.items for verdict in item.verdicts), *drift.logged.verdicts]
    grave = max((SEVERITY[verdict.consequence] for verdict in verdicts), default=0)
    chances = [each.probability_exceeded for each in verdicts if SEVERITY[each.consequence] == grave]
    return Standing(worst(actions), max(chances, default=0.0))


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
