"""What a drift is computed from: the vessel, her lightships and the alterations logged between them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from heelwright_service.core.rules import RuleVessel

Basis = Literal["inclining-test", "lightweight-survey", "calculation", "sister-ship", "estimate", "weighed"]
MEASURED: frozenset[Basis] = frozenset({"inclining-test", "lightweight-survey", "weighed"})


@dataclass(frozen=True)
class StandardUncertainties:
    """Standard uncertainties (one standard deviation) of a lightship, in tonnes and metres; None is not stated."""

    mass_t: float | None = None
    lcg_m: float | None = None
    tcg_m: float | None = None
    vcg_m: float | None = None


@dataclass(frozen=True)
class LightshipRecord:
    """One lightship of the vessel's history.

    Parameters
    ----------
    date : str
        ISO 8601.
    basis : str
        How it was found.
    mass_t, lcg_m, tcg_m, vcg_m : float
        Mass [t] and centre [m]; None is unknown, never zero.
    approved : bool
        Whether the stability information may rest on it.
    uncertainties : StandardUncertainties, optional
        Defaults by basis stand in for what is not stated.
    supersedes : str, optional
        The record that this one replaces: its id, its pointer (``/lightships/0``) or its date.
    id : str, optional
        Name by which another record may supersede it.
    """

    date: str
    basis: Basis
    mass_t: float
    lcg_m: float
    tcg_m: float | None = None
    vcg_m: float | None = None
    approved: bool = False
    uncertainties: StandardUncertainties | None = None
    supersedes: str | None = None
    id: str | None = None


@dataclass(frozen=True)
class AlterationUncertainties:
    """Standard uncertainties of one alteration: its mass [t] and each coordinate of its centre [m]."""

    mass_t: float | None = None
    position_m: float | None = None


@dataclass(frozen=True)
class Alteration:
    """A weight added, removed or relocated; a relocation needs the place it went to."""

    date: str
    kind: Literal["added", "removed", "relocated"]
    mass_t: float
    x_m: float
    y_m: float
    z_m: float
    to_x_m: float | None = None
    to_y_m: float | None = None
    to_z_m: float | None = None
    description: str | None = None
    uncertainties: AlterationUncertainties | None = None


@dataclass(frozen=True)
class LeadShip:
    """The approved inclining test of the lead ship, for a sister that has none of her own [t, m].

    Same yard, same plans (MSC/Circ.1158, paragraph 1); the sister's known differences from her are alterations of the
    request.
    """

    date: str
    mass_t: float
    lcg_m: float
    vcg_m: float
    tcg_m: float | None = None
    uncertainties: StandardUncertainties | None = None
    name: str | None = None


@dataclass(frozen=True)
class DriftRequest:
    """The vessel, her history, the rule set and the day of the question (there is no clock in here)."""

    vessel: RuleVessel
    lightships: Sequence[LightshipRecord]
    alterations: Sequence[Alteration] = ()
    rule_set: str | None = None
    as_of: str | None = None
    lead: LeadShip | None = None
