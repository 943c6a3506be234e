"""Masses and their centres: putting aboard, taking ashore, and how much goes where."""

from __future__ import annotations

from collections.abc import Sequence

from ..errors import CoreError
from .guards import require_nonzero, require_positive


def combined_centre(masses_t: Sequence[float], centres_m: Sequence[float]) -> tuple[float, float]:
    """Return the total and the centre of several masses along one axis.

    Parameters
    ----------
    masses_t : sequence of float, shape (n,)
        Masses; what is taken ashore is negative [t].
    centres_m : sequence of float, shape (n,)
        Their coordinates [m].

    Returns
    -------
    tuple of float
        Total mass [t] and its centre `Σm·z/Σm` [m].

    Raises
    ------
    CoreError
        ``zero-divisor`` when nothing is left, ``unequal-length`` when the lists differ in length.

    Notes
    -----
    Theorem of moments; any textbook of mechanics.

    Examples
    --------
    >>> combined_centre([8000.0, 250.0, -250.0], [7.6, 6.0, 2.0])
    (8000.0, 7.725)
    """
    if len(masses_t) != len(centres_m):
        raise CoreError(
            "unequal-length",
            f"{len(masses_t)} masses and {len(centres_m)} centres; give one for the other.",
            "/masses_t",
        )
    total = sum(masses_t)
    require_nonzero("masses_t", total)
    return total, sum(m * z for m, z in zip(masses_t, centres_m, strict=True)) / total


def implied_centre_m(mass_before_t: float, centre_before_m: float, mass_after_t: float, centre_after_m: float) -> float:
    """Return where a change of mass must sit to explain a change of the centre.

    Parameters
    ----------
    mass_before_t, mass_after_t : float
        Masses [t].
    centre_before_m, centre_after_m : float
        Their centres along one axis [m].

    Returns
    -------
    float
        `(W₁·z₁ − W₀·z₀)/(W₁ − W₀)` [m].

    Raises
    ------
    CoreError
        ``zero-divisor`` when the masses are equal.

    Notes
    -----
    The theorem of moments solved for the difference. Outside the ship, an error is likelier than weight.

    Examples
    --------
    >>> round(implied_centre_m(1200.0, 6.00, 1230.0, 6.05), 2)
    8.05
    """
    require_nonzero("mass_after_t", mass_after_t - mass_before_t)
    return combined_centre([mass_after_t, -mass_before_t], [centre_after_m, centre_before_m])[1]


def mass_for_gm_t(displacement_t: float, kg_m: float, km_m: float, item_kg_m: float, gm_required_m: float) -> float:
    """Return how much can be loaded at a given height until GM falls to a given value.

    Parameters
    ----------
    displacement_t : float
        Displacement before loading [t].
    kg_m : float
        KG before loading [m].
    km_m : float
        KM of the loaded ship [m].
    item_kg_m : float
        Height of what is loaded [m].
    gm_required_m : float
        GM wanted after loading [m].

    Returns
    -------
    float
        `m = Δ·(KG_r − KG)/(z − KG_r)`, with `KG_r = KM − GM_r` [t]; negative means that it must be taken off.

    Raises
    ------
    CoreError
        ``zero-divisor`` when the load is at the required KG itself, ``not-positive`` for the displacement.

    Notes
    -----
    From the theorem of moments; KM is taken as given although it changes with the draught.

    Examples
    --------
    >>> round(mass_for_gm_t(8000.0, 4.675, 5.3, 9.0, 0.3), 6)
    650.0
    """
    require_positive("displacement_t", displacement_t)
    wanted = km_m - gm_required_m
    require_nonzero("item_kg_m", item_kg_m - wanted)
    return displacement_t * (wanted - kg_m) / (item_kg_m - wanted)


def split_between_two_t(total_t: float, moment_t_m: float, x_first_m: float, x_second_m: float) -> tuple[float, float]:
    """Divide a mass between two places so that the moment comes out as wanted.

    Parameters
    ----------
    total_t : float
        Mass to divide [t].
    moment_t_m : float
        Wanted moment about the origin of the coordinates [t·m].
    x_first_m, x_second_m : float
        Coordinates of the two places [m].

    Returns
    -------
    tuple of float
        Mass at the first and at the second place [t]; a negative one means that the places cannot do it.

    Raises
    ------
    CoreError
        ``zero-divisor`` when the places coincide.

    Notes
    -----
    Two linear equations: `m₁ + m₂ = m` and `m₁·x₁ + m₂·x₂ = M`.

    Examples
    --------
    >>> split_between_two_t(10.0, 60.0, 4.0, 9.0)
    (6.0, 4.0)
    """
    require_nonzero("x_second_m", x_second_m - x_first_m)
    second = (moment_t_m - total_t * x_first_m) / (x_second_m - x_first_m)
    return total_t - second, second
