"""What is asked of the planner: the ship, the places on deck, the weights, the crane and the instruments."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Literal

from heelwright_service.core.record import Vessel

DEFAULT_GM_UNCERTAINTY_RELATIVE = 0.15


@dataclass(frozen=True)
class DeckPosition:
    """A line across the deck on which weights stand to port and to starboard.

    Parameters
    ----------
    x_m : float
        Forward of the aft perpendicular [m].
    y_port_m, y_starboard_m : float
        Outermost places of a weight's centre to port (negative) and to starboard (positive) [m].
    z_m : float
        Height of the weights' centre above the baseline [m].
    units_per_side : int, optional
        Most weights that may stand on one side at once; no limit when absent.
    max_mass_t : float, optional
        Most mass that may stand on one side at once [t].
    deck_load_t_per_m2 : float, optional
        Allowed load of the deck under a weight's footprint [t/m²].
    """

    x_m: float
    y_port_m: float
    y_starboard_m: float
    z_m: float
    units_per_side: int | None = None
    max_mass_t: float | None = None
    deck_load_t_per_m2: float | None = None


@dataclass(frozen=True)
class StockUnit:
    """A kind of weight that is at hand: mass [t], how many, footprint [m²] and height [m] where known."""

    mass_t: float
    count: int
    id: str | None = None
    footprint_m2: float | None = None
    height_m: float | None = None


@dataclass(frozen=True)
class PlanInstrument:
    """A pendulum (length), a U-tube (length is the spacing of its legs) or an inclinometer (no length)."""

    id: str
    kind: Literal["pendulum", "u-tube", "inclinometer"]
    length_m: float | None = None
    resolution_mm: float | None = None
    resolution_deg: float | None = None


@dataclass(frozen=True)
class Crane:
    """The crane that moves the weights.

    Parameters
    ----------
    x_m, y_m : float
        Its pivot [m].
    radius_max_m : float
        Largest outreach [m].
    curve : sequence of (radius_m, swl_t)
        Safe working load against radius, by rising radius; between points by straight lines, never beyond them.
    onboard : bool
        Whether it belongs to the ship, so that it has to be stowed for every reading.
    minutes_per_lift : float
        Time of one lift [min].
    """

    x_m: float
    y_m: float
    radius_max_m: float
    curve: Sequence[tuple[float, float]]
    onboard: bool
    minutes_per_lift: float


@dataclass(frozen=True)
class PlanRequest:
    """A weight-plan request.

    Parameters
    ----------
    displacement_t, gm_m : float
        Of the ship without the inclining weights; GM with the free surfaces included.
    breadth_m, depth_m, draught_m : float
        Moulded breadth and depth to the deck edge, draught without the weights [m].
    positions : sequence of DeckPosition
        Where weights may stand.
    instruments : sequence of PlanInstrument
        What the heel is read with.
    weights_count : int or sequence of int
        Number of weights: 4, 6, or the choices.
    stock : sequence of StockUnit
        The weights at hand; or:
    weight_step_t : float, optional
        Equal weights whose mass is a multiple of this [t].
    gm_uncertainty_m : float, optional
        Expanded (95 %) uncertainty of GM [m]; 15 % of GM when absent.
    heel_band_deg : tuple of float
        Least and largest change of heel wanted from the initial state [deg].
    band_applies_to : {"maximum", "every"}
        Whether the band holds for the largest state of each side or for every state that is not zero.
    initial_heel_deg : float
        Heel of the ship without the weights, to starboard positive [deg].
    shift_step_m : float
        Shifts are multiples of this [m].
    crane : Crane, optional
        Limits of every lift.
    vessel : Vessel, optional
        With a hull form the heels are those of true equilibrium.
    rule_set : str, optional
        Rule set whose figures judge the plan.
    target_gm_uncertainty_m : float, optional
        Largest expanded (95 %) expected uncertainty of GM [m].
    """

    displacement_t: float
    gm_m: float
    breadth_m: float
    depth_m: float
    draught_m: float
    positions: Sequence[DeckPosition]
    instruments: Sequence[PlanInstrument]
    weights_count: int | Sequence[int]
    stock: Sequence[StockUnit] = ()
    weight_step_t: float | None = None
    gm_uncertainty_m: float | None = None
    heel_band_deg: tuple[float, float] = (2.0, 3.0)
    band_applies_to: Literal["maximum", "every"] = "maximum"
    initial_heel_deg: float = 0.0
    shift_step_m: float = 0.1
    crane: Crane | None = None
    vessel: Vessel | None = field(default=None)
    rule_set: str | None = None
    target_gm_uncertainty_m: float | None = None

    @property
    def gm_expanded_m(self) -> float:
        """Expanded uncertainty of GM in force [m]."""
        if self.gm_uncertainty_m is None:
            return DEFAULT_GM_UNCERTAINTY_RELATIVE * abs(self.gm_m)
        return self.gm_uncertainty_m

    @property
    def gm_range_m(self) -> tuple[float, float]:
        """Lower and upper end of GM [m]."""
        return self.gm_m - self.gm_expanded_m, self.gm_m + self.gm_expanded_m

    @property
    def counts(self) -> tuple[int, ...]:
        """Numbers of weights to choose from, rising."""
        given = (self.weights_count,) if isinstance(self.weights_count, int) else self.weights_count
        return tuple(sorted(set(given)))
