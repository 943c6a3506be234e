"""Limit formulas: percentages of mass, length or height, the larger of two, interpolated over length, or fixed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from heelwright_service.core.rules.definitions import Baseline, LengthBasis, RuleVessel

Base = Literal["lightship mass", "approved VCG", "predicted GM", "operating displacement", "breadth"]
FIELDS: Mapping[Base, str] = {
    "lightship mass": "mass_t of the lightship compared with",
    "approved VCG": "vcg_m of the lightship compared with",
    "predicted GM": "the predicted GM, which is no part of a lightship",
    "operating displacement": "the vessel's operating_displacement_t",
    "breadth": "the vessel's breadth_m",
}


def length_on(basis: LengthBasis, vessel: RuleVessel) -> tuple[float, LengthBasis]:
    """Return the length that a rule names, or the length L where that length is not given.

    Parameters
    ----------
    basis : {"L", "Ls", "LBP"}
        Which length the rule is written with.
    vessel : RuleVessel
        The vessel.

    Returns
    -------
    tuple of (float, str)
        The length [m] and the basis actually used.

    Examples
    --------
    >>> length_on("Ls", RuleVessel(kind="cargo", length_m=105.0))
    (105.0, 'L')
    """
    given = {"L": vessel.length_m, "Ls": vessel.subdivision_length_m, "LBP": vessel.length_bp_m}[basis]
    return (given, basis) if given is not None else (vessel.length_m, "L")


def interpolated_percent(
    length_m: float,
    *,
    short_m: float = 50.0,
    long_m: float = 160.0,
    short_percent: float = 2.0,
    long_percent: float = 1.0,
) -> float:
    """Interpolate a percentage between two lengths and keep it constant beyond them.

    Parameters
    ----------
    length_m : float
        Length of the ship [m].
    short_m, long_m : float
        The two lengths [m].
    short_percent, long_percent : float
        The limit at these lengths [%].

    Returns
    -------
    float
        The limit [%]; with the defaults ``2 - (L - 50)/110`` between 50 m and 160 m (SOLAS 1974 II-1/5.2).

    Examples
    --------
    >>> interpolated_percent(105.0)
    1.5
    """
    share = min(max((length_m - short_m) / (long_m - short_m), 0.0), 1.0)
    return short_percent + share * (long_percent - short_percent)


@dataclass(frozen=True)
class PercentOf:
    """A percentage of a mass, of a height or of the breadth."""

    percent: float
    base: Base

    def amount(self, baseline: Baseline, vessel: RuleVessel) -> float | None:
        """Return the limit in the unit of the base, or None where the base is not known."""
        whole = {
            "lightship mass": baseline.mass_t,
            "approved VCG": baseline.vcg_m,
            "predicted GM": baseline.gm_m,
            "operating displacement": vessel.operating_displacement_t,
            "breadth": vessel.breadth_m,
        }[self.base]
        return None if whole is None else self.percent / 100.0 * whole

    def words(self) -> str:
        """Return the limit in words."""
        return f"{self.percent:g} % of {self.base}"

    @property
    def needs(self) -> str:
        """What the limit is a share of, by the field that gives it."""
        return FIELDS[self.base]


@dataclass(frozen=True)
class PercentOfLength:
    """A percentage of a length, with the basis on which that length is measured."""

    percent: float
    basis: LengthBasis = "L"

    def amount(self, baseline: Baseline, vessel: RuleVessel) -> float | None:
        """Return the limit in metres."""
        return self.percent / 100.0 * length_on(self.basis, vessel)[0]

    def words(self) -> str:
        """Return the limit in words."""
        return f"{self.percent:g} % of {self.basis}"


@dataclass(frozen=True)
class PercentByLength:
    """A percentage of the lightship mass that falls from 2 % at 50 m to 1 % at 160 m."""

    basis: LengthBasis = "L"

    def amount(self, baseline: Baseline, vessel: RuleVessel) -> float | None:
        """Return the limit in tonnes."""
        return interpolated_percent(length_on(self.basis, vessel)[0]) / 100.0 * baseline.mass_t

    def words(self) -> str:
        """Return the limit in words."""
        return f"2 % of lightship mass up to {self.basis} 50 m, 1 % from 160 m, linear between"


@dataclass(frozen=True)
class LargerOf:
    """A percentage of the lightship mass or a fixed mass, whichever is greater."""

    percent: float
    floor_t: float

    def amount(self, baseline: Baseline, vessel: RuleVessel) -> float | None:
        """Return the limit in tonnes."""
        return max(self.percent / 100.0 * baseline.mass_t, self.floor_t)

    def words(self) -> str:
        """Return the limit in words."""
        return f"{self.percent:g} % of lightship mass or {self.floor_t:g} t, whichever is greater"


@dataclass(frozen=True)
class FixedMetres:
    """A fixed distance."""

    metres: float

    def amount(self, baseline: Baseline, vessel: RuleVessel) -> float | None:
        """Return the limit in metres."""
        return self.metres

    def words(self) -> str:
        """Return the limit in words."""
        return f"{self.metres * 1000.0:g} mm"
