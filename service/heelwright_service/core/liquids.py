"""Liquids aboard: what a sounding means in a trimmed and listed tank, and how a liquid moves when the ship heels."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import PchipInterpolator

from heelwright_service.core.errors import CoreError
from heelwright_service.core.fuel import density_at_15c_t_per_m3, density_at_temperature_t_per_m3
from heelwright_service.core.hull import Hull
from heelwright_service.core.hydrostatics import VOLUME
from heelwright_service.core.planes import Planes
from heelwright_service.core.record import LEAST_APART_M, Sounding, Tank
from heelwright_service.core.sea_water import density_at_other_temperature_t_per_m3
from heelwright_service.core.tank_layers import LAYER_SHARE, middle_of_layer_m
from heelwright_service.core.tank_shapes import lofted, moved_moments, shape_at

Array = NDArray[np.float64]

ROUNDING_SHARE = 1e-9
"""Of the capacity: a smaller difference of volumes is rounding."""

VOLUME_ROW, X_ROW, Y_ROW, Z_ROW, I_T_ROW, I_L_ROW = range(6)


@dataclass(frozen=True)
class SoundedTank:
    """A tank with what was found in it.

    Parameters
    ----------
    tank : Tank
        The tank and its table.
    sounding : Sounding
        State, level and density.
    pointer : str
        JSON Pointer of the sounding.
    level_m : float
        The sounding as read, up from the pipe's zero [m]; an ullage has been counted from the table's last row.
    shape : Hull or None
        The tank's lofted shape, where it is given.
    """

    tank: Tank
    sounding: Sounding
    pointer: str
    level_m: float
    shape: Hull | None

    @cached_property
    def remembered(self) -> dict[tuple[float | bytes, ...], Array]:
        """What the shape told before: whoever varies one input asks again what all other tanks do."""
        return {}

    @cached_property
    def _table(self) -> PchipInterpolator:
        rows = self.tank.table
        values = [[row.volume_m3, row.x_m, row.y_m, row.z_m, row.i_t_m4, row.i_l_m4] for row in rows]
        return PchipInterpolator([row.sounding_m for row in rows], np.array(values), axis=0)

    def contents(self, sounding_error_m: Array, planes: Planes) -> Array:
        """Volume, upright centre and free surface of the liquid for many waterlines and sounding errors.

        Parameters
        ----------
        sounding_error_m : ndarray
            What the true sounding exceeds the reading by [m], shape (p,).
        planes : Planes
            The ship's water surface: its slopes tilt the liquid against the pipe, shape (p,).

        Returns
        -------
        ndarray
            Shape (p, 6): volume [m³], centre x, y, z [m], i_T and i_L [m⁴]; no free surface unless slack.

        Notes
        -----
        The level at the surface's middle is sounding + sx·(x_s − x_p) + sy·(y_s − y_p), by `middle_of_layer_m`. Where
        the tank's shape is given, the level is moved to the volume under the tilted plane, which differs where it
        meets the bottom or the crown.
        """
        count = len(planes)
        last = self.tank.table[-1]
        if self.sounding.state == "empty":
            first = self.tank.table[0]
            return np.tile([0.0, first.x_m, first.y_m, first.z_m, 0.0, 0.0], (count, 1))
        if self.sounding.state == "pressed":
            return np.tile([self.tank.capacity_m3, last.x_m, last.y_m, last.z_m, 0.0, 0.0], (count, 1))
        read = self.level_m + sounding_error_m
        level = read
        low, high = self.tank.table[0].sounding_m, last.sounding_m
        for _ in range(3):
            (x_m, y_m), pipe = self._surface_centre_m(np.clip(level, low, high)), self.tank.pipe
            level = read + planes.slope_x * (x_m - pipe.x_m) + planes.slope_y * (y_m - pipe.y_m)
        level = level + self.pocketed_m(float(planes.slope_x.mean()), float(planes.slope_y.mean()))
        return np.asarray(self._table(np.clip(level, low, high)))

    def pocketed_m(self, slope_x: float, slope_y: float) -> float:
        """By how much the level that holds the true volume lies above that of the surface's middle.

        Parameters
        ----------
        slope_x, slope_y : float
            Rise of the surface forward and to starboard, tangents.

        Returns
        -------
        float
            Rise of the level [m], from what the tank's shape holds under the tilted and under the level plane; zero
            without a shape, and while the tilted surface meets neither bottom nor crown between vertical sides.
        """
        if self.shape is None or (slope_x == 0.0 and slope_y == 0.0):
            return 0.0
        if (slope_x, slope_y) not in self.remembered:
            self.remembered[slope_x, slope_y] = np.array(self._pocket_m(self.shape, slope_x, slope_y))
        return float(self.remembered[slope_x, slope_y])

    def _pocket_m(self, shape: Hull, slope_x: float, slope_y: float) -> float:
        low, high = self.tank.table[0].sounding_m, self.tank.table[-1].sounding_m
        middle = self.middle_m(self.level_m, slope_x, slope_y)
        pipe = self.tank.pipe
        tilted = pipe.zero_z_m + self.level_m - slope_x * pipe.x_m - slope_y * pipe.y_m
        under_tilted = shape_at(shape, np.array([tilted]), slope_x, np.array([slope_y]))[0, VOLUME]
        under_level = shape_at(shape, np.array([pipe.zero_z_m + middle]), 0.0, np.zeros(1))[0, VOLUME]
        more = float(under_tilted - under_level)
        if abs(more) <= ROUNDING_SHARE * self.tank.capacity_m3:
            return 0.0
        by_table = float(self._table(np.clip(middle, low, high))[VOLUME_ROW])
        return self.level_of_m(min(max(by_table + more, 0.0), self.tank.capacity_m3)) - middle

    def middle_m(self, sounding_m: float, slope_x: float, slope_y: float) -> float:
        """Level at the surface's middle by the table, above or below it where it lies outside.

        Parameters
        ----------
        sounding_m : float
            Sounding up from the pipe's zero [m].
        slope_x, slope_y : float
            Rise of the surface forward and to starboard, tangents.

        Returns
        -------
        float
            Level up from the pipe's zero [m].
        """
        low, high = self.tank.table[0].sounding_m, self.tank.table[-1].sounding_m
        level, pipe = sounding_m, self.tank.pipe
        for _ in range(3):
            x_m, y_m = self._surface_centre_m(np.array([min(max(level, low), high)]))
            level = sounding_m + slope_x * float(x_m[0] - pipe.x_m) + slope_y * float(y_m[0] - pipe.y_m)
        return float(level)

    def _surface_centre_m(self, levels_m: Array) -> tuple[Array, Array]:
        """Middle of the level surface along and across [m] at levels within the table, shape (p,)."""
        low, high = self.tank.table[0].sounding_m, self.tank.table[-1].sounding_m
        layer = np.clip(levels_m + LAYER_SHARE * (high - low) * np.array([[0.0], [1.0], [-1.0]]), low, high)
        rows, thickness = self._table(layer), layer[1] - layer[2]
        volumes = rows[..., VOLUME_ROW]
        along = middle_of_layer_m(volumes, rows[..., X_ROW], rows[0, :, I_L_ROW], thickness)
        return along, middle_of_layer_m(volumes, rows[..., Y_ROW], rows[0, :, I_T_ROW], thickness)

    def volume_at_m3(self, sounding_m: float, slope_x: float, slope_y: float, pointer: str) -> float:
        """Volume of the liquid for a sounding taken at a trim and heel.

        Parameters
        ----------
        sounding_m : float
            Sounding up from the pipe's zero [m].
        slope_x, slope_y : float
            Rise of the surface forward and to starboard, tangents.
        pointer : str
            Where the sounding stands in the record, for errors.

        Returns
        -------
        float
            Volume [m³]: under the plane through the pipe where the tank's shape is given, else by the table at the
            equivalent level.

        Raises
        ------
        CoreError
            ``sounding-outside-table``.
        """
        low, high = self.tank.table[0].sounding_m, self.tank.table[-1].sounding_m
        if not low - 1e-9 <= sounding_m <= high + 1e-9:
            raise _outside_table(self.tank, sounding_m, pointer)
        pipe = self.tank.pipe
        if self.shape is not None:
            level = pipe.zero_z_m + sounding_m - slope_x * pipe.x_m - slope_y * pipe.y_m
            return float(shape_at(self.shape, np.array([level]), slope_x, np.array([slope_y]))[0, VOLUME])
        level = self.middle_m(sounding_m, slope_x, slope_y)
        return float(self._table(np.clip(level, low, high))[VOLUME_ROW])

    def at_volume(self, volume_m3: float) -> Array:
        """Level centre and free surface of a volume by the table.

        Parameters
        ----------
        volume_m3 : float
            Volume between nothing and the capacity [m³].

        Returns
        -------
        ndarray
            As a row of `contents`, shape (6,); no free surface without liquid or when pressed.
        """
        row = np.array(self._table(self.level_of_m(volume_m3)))
        row[VOLUME_ROW] = volume_m3
        if not 0.0 < volume_m3 < self.tank.capacity_m3:
            row[[I_T_ROW, I_L_ROW]] = 0.0
        return row

    def surface_m2(self, volume_m3: float) -> float:
        """Area of the level surface at a volume by the table [m²].

        Parameters
        ----------
        volume_m3 : float
            Volume [m³].

        Returns
        -------
        float
            Derivative of volume by sounding [m²].
        """
        return float(self._table(self.level_of_m(volume_m3), 1)[VOLUME_ROW])

    def level_of_m(self, volume_m3: float) -> float:
        """Sounding at which an upright tank holds a volume by the table [m].

        Parameters
        ----------
        volume_m3 : float
            Volume [m³].

        Returns
        -------
        float
            Sounding up from the pipe's zero [m], within the table.
        """
        low, high = self.tank.table[0].sounding_m, self.tank.table[-1].sounding_m
        for _ in range(60):
            middle = 0.5 * (low + high)
            above = float(self._table(middle)[VOLUME_ROW]) > volume_m3
            low, high = (low, middle) if above else (middle, high)
        return 0.5 * (low + high)


def sounded_tanks(tanks: Sequence[Tank], soundings: Sequence[Sounding]) -> list[SoundedTank]:
    """Join soundings with their tanks and check that the tables can answer them.

    Parameters
    ----------
    tanks : sequence of Tank
        The vessel's tanks.
    soundings : sequence of Sounding
        What was found, one entry a tank.

    Returns
    -------
    list of SoundedTank
        In the order of the soundings.

    Raises
    ------
    CoreError
        ``tank-unknown``, ``tank-sounded-twice``, ``tank-table-short``, ``sounding-missing`` or
        ``sounding-outside-table``, naming the field and the range.
    """
    known = {tank.name: (i, tank) for i, tank in enumerate(tanks)}
    joined = []
    for i, sounding in enumerate(soundings):
        pointer = f"/soundings/{i}"
        if sounding.tank not in known:
            names = ", ".join(f"'{name}'" for name in known) or "none"
            raise CoreError(
                "tank-unknown", f"Tank '{sounding.tank}' is not among the vessel's tanks: {names}.", f"{pointer}/tank"
            )
        if any(sounding.tank == earlier.tank for earlier in soundings[:i]):
            raise CoreError(
                "tank-sounded-twice", f"Tank '{sounding.tank}' is sounded twice; give it once.", f"{pointer}/tank"
            )
        index, tank = known[sounding.tank]
        _refuse_short_table(tank, index)
        found = replace(sounding, density_t_per_m3=density_in_tank_t_per_m3(sounding, pointer))
        joined.append(SoundedTank(tank, found, pointer, _level_m(tank, sounding, pointer), lofted(tank, index)))
    return joined


def density_in_tank_t_per_m3(sounding: Sounding, pointer: str = "") -> float:
    """Density of a tank's liquid at the temperature in the tank.

    Parameters
    ----------
    sounding : Sounding
        With its density; measured at another temperature it states that one, the tank's and the liquid.
    pointer : str
        Where the sounding stands in the record, for errors.

    Returns
    -------
    float
        The stated density where no temperature is given [t/m³]; else by ASTM D 1250 for oils, by TEOS-10 at the same
        salinity for water.

    Raises
    ------
    CoreError
        ``liquid-temperature-incomplete`` where only some of `liquid`, `density_measured_at_c` and `temperature_c` are
        given: none of them is guessed; and those of the equations, at the field.

    Examples
    --------
    >>> fuel = Sounding("FO 1", "slack", 0.991, 1.2, liquid="fuel", density_measured_at_c=15.0, temperature_c=50.0)
    >>> round(density_in_tank_t_per_m3(fuel), 5)
    0.96722
    """
    measured, now, liquid = sounding.density_measured_at_c, sounding.temperature_c, sounding.liquid
    if measured is None:
        if now is not None and liquid not in (None, "water"):
            raise _incomplete(sounding, "density_measured_at_c", pointer)
        return sounding.density_t_per_m3
    if now is None or liquid is None:
        raise _incomplete(sounding, "temperature_c" if now is None else "liquid", pointer)
    try:
        if liquid == "water":
            return density_at_other_temperature_t_per_m3(sounding.density_t_per_m3, measured, now)
        at_15c = density_at_15c_t_per_m3(sounding.density_t_per_m3, measured, liquid)
        return density_at_temperature_t_per_m3(at_15c, now, liquid)
    except CoreError as error:
        name = "temperature_c" if "temperature" in error.code else "density_t_per_m3"
        raise CoreError(error.code, error.message, f"{pointer}/{name}") from None


def _incomplete(sounding: Sounding, absent: str, pointer: str) -> CoreError:
    return CoreError(
        "liquid-temperature-incomplete",
        f"The density of tank '{sounding.tank}' cannot be carried to the tank's temperature without {absent}; give "
        "liquid, density_measured_at_c and temperature_c together, or only the density in the tank.",
        f"{pointer}/{absent}",
    )


def shift_moments(
    tanks: Sequence[SoundedTank], contents: Array, planes: Planes, tangents: Array
) -> tuple[Array, Array]:
    """Moments by which the liquids move from their level, upright places when the ship heels.

    Parameters
    ----------
    tanks : sequence of SoundedTank
        The sounded tanks, t of them.
    contents : ndarray
        As `SoundedTank.contents` gives them, shape (p, t, 6).
    planes : Planes
        Water surfaces in the initial state, shape (p,); their trim moves the liquids too.
    tangents : ndarray
        Tangents of the heel in each state, shape (p, k).

    Returns
    -------
    tuple of ndarray
        Transverse and vertical moments [t·m], each of shape (p, k).

    Notes
    -----
    From the tank's shape where it is given: the centre of the same volume under a surface parallel to the sea. Else
    Σρ·i_T·tan φ across and half of it times tan φ upward, exact for vertical sides.
    """
    across = np.zeros(tangents.shape)
    upward = np.zeros(tangents.shape)
    for j, tank in enumerate(tanks):
        if tank.sounding.state != "slack":
            continue
        density = tank.sounding.density_t_per_m3
        i_t, i_l = density * contents[:, j, I_T_ROW, None], density * contents[:, j, I_L_ROW, None]
        moved_y, moved_z = i_t * tangents, 0.5 * (i_t * tangents**2 + i_l * planes.slope_x[:, None] ** 2)
        if tank.shape is not None:
            ratio = _shape_correction(tank, contents[:, j], planes, tangents)
            moved_y, moved_z = moved_y + density * ratio[0], moved_z + density * ratio[1]
        across += moved_y
        upward += moved_z
    return across, upward


def _shape_correction(tank: SoundedTank, contents: Array, planes: Planes, tangents: Array) -> tuple[Array, Array]:
    """What the true shape adds to the wall-sided shift [m⁴], found for the mean condition and its slopes."""
    assert tank.shape is not None  # noqa: S101 - the caller has asked
    volume = float(contents[:, VOLUME_ROW].mean())
    if volume <= 0.0:
        return np.zeros(tangents.shape), np.zeros(tangents.shape)
    slope_x = float(planes.slope_x.mean())
    at = tangents.mean(axis=0)
    key = (volume, slope_x, at.tobytes())
    if key not in tank.remembered:
        tank.remembered[key] = moved_moments(tank.shape, volume, slope_x, at)
    moved = tank.remembered[key]
    i_t, i_l = contents[:, I_T_ROW].mean(), contents[:, I_L_ROW].mean()
    return moved[:, 1] - i_t * at, moved[:, 2] - 0.5 * (i_t * at**2 + i_l * slope_x**2)


def _level_m(tank: Tank, sounding: Sounding, pointer: str) -> float:
    low, high = tank.table[0].sounding_m, tank.table[-1].sounding_m
    if sounding.sounding_m is not None and sounding.ullage_m is not None:
        raise CoreError(
            "sounding-ambiguous", "Give either sounding_m or ullage_m for a tank, not both.", f"{pointer}/ullage_m"
        )
    if sounding.sounding_m is None and sounding.ullage_m is None:
        if sounding.state == "slack":
            raise CoreError(
                "sounding-missing",
                f"Tank '{tank.name}' is slack but has neither sounding_m nor ullage_m.",
                f"{pointer}/sounding_m",
            )
        return low if sounding.state == "empty" else high
    name = "sounding_m" if sounding.sounding_m is not None else "ullage_m"
    given = sounding.sounding_m if sounding.sounding_m is not None else high - (sounding.ullage_m or 0.0)
    if not low - 1e-9 <= given <= high + 1e-9:
        raise _outside_table(tank, given, f"{pointer}/{name}")
    return given


def _outside_table(tank: Tank, sounding_m: float, pointer: str) -> CoreError:
    low, high = tank.table[0].sounding_m, tank.table[-1].sounding_m
    return CoreError(
        "sounding-outside-table",
        f"Tank '{tank.name}' is sounded at {sounding_m:.3f} m, beyond its table's {low:g} to {high:g} m; nothing is "
        "extrapolated: check the sounding or extend the table.",
        pointer,
    )


def _refuse_short_table(tank: Tank, index: int) -> None:
    levels = np.array([row.sounding_m for row in tank.table])
    volumes = np.array([row.volume_m3 for row in tank.table])
    pointer = f"/vessel/tanks/{index}/table"
    if len(levels) < 2:
        raise CoreError("tank-table-short", f"Tank '{tank.name}' needs a table of at least two soundings.", pointer)
    if not (np.diff(levels) >= LEAST_APART_M).all() or not (np.diff(volumes) >= 0.0).all():
        raise CoreError(
            "tank-table-not-rising",
            f"The table of tank '{tank.name}' must rise in sounding, by {LEAST_APART_M:g} m, and not fall in volume.",
            pointer,
        )
