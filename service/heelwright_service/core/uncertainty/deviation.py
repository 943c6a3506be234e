"""A departure from the procedure as it is stated: its kind, and the sizes that go with it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass


@dataclass(frozen=True)
class Deviation:
    """One departure from the procedure with its size; which sizes a kind needs is in `deviation_kinds.KINDS`.

    Parameters
    ----------
    kind : str
        A key of `deviation_kinds.KINDS`.
    mass_t : float, optional
        Mass overlooked, forgotten, moving or out of place [t].
    x_m, y_m, z_m : float, optional
        Its place [m].
    free_surface_moment_t_m : float, optional
        Free-surface moment deducted less that which is there [t·m]; for a tank with air, that which is there.
    relative : float, optional
        True mass of the weights over the certified one, less one.
    size_m : float, optional
        Recorded less true length, draught (read too deep is positive), distance or sounding [m].
    size_mm : float, optional
        By how much the deflection was read short, to either side [mm].
    share : float, optional
        Share of the heel that is held back, between 0 and 1.
    distance_m : float, optional
        How far people walk with the weights, which has no side; or how far a mass stands from its reading position,
        positive to starboard of it, negative to port [m].
    moment_t_m : float, optional
        Heeling moment to starboard in the named states [t·m].
    density_t_per_m3 : float, optional
        True density of the water [t/m³].
    volume_m3 : float, optional
        Air in a tank that was taken as pressed [m³].
    instrument, mark, tank, weight : str, optional
        The one meant; all alike when absent.
    states : sequence of int, optional
        Numbers of the states meant.
    side : {"port", "starboard"}, optional
        Heel to this side only.
    """

    kind: str
    mass_t: float | None = None
    x_m: float | None = None
    y_m: float | None = None
    z_m: float | None = None
    free_surface_moment_t_m: float | None = None
    relative: float | None = None
    size_m: float | None = None
    size_mm: float | None = None
    share: float | None = None
    distance_m: float | None = None
    moment_t_m: float | None = None
    density_t_per_m3: float | None = None
    volume_m3: float | None = None
    instrument: str | None = None
    mark: str | None = None
    tank: str | None = None
    weight: str | None = None
    states: Sequence[int] | None = None
    side: str | None = None
