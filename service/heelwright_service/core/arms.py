"""Where the reduction takes its hydrostatics from: the hull form itself, a table, or a local stand-in for either."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from heelwright_service.core.equilibrium import float_at_heel
from heelwright_service.core.errors import CoreError
from heelwright_service.core.hull import Hull
from heelwright_service.core.hydrostatic_table import LARGEST_TRIM_WITHOUT_AXIS, HydrostaticTable
from heelwright_service.core.hydrostatics import Hydrostatics, from_moments, hydrostatics
from heelwright_service.core.planes import Planes

Array = NDArray[np.float64]

FURTHER_TRIM_OF_COPIES = 1.5
"""How far beyond the limit of trim a table without trims serves for copies of a record (office default)."""


@dataclass(frozen=True)
class Floating:
    """What the reduction needs to know of the initial floating position; arrays of shape (p,).

    Volume and centre of buoyancy belong to the plane as it lies, with its list; `km_t_m`, `vcb_upright_m` and the
    coupling term to the same draught and trim without list. `coupling_m2` is (I_xy/V)², which lowers the measured GM
    of a hull whose waterplane is not symmetric by itself over GM_L.
    """

    volume_m3: Array
    lcb_m: Array
    tcb_m: Array
    vcb_m: Array
    km_t_m: Array
    km_l_m: Array
    coupling_m2: Array


class HydrostaticSource(Protocol):
    """A source of hydrostatics for many draws at once."""

    @property
    def has_arms(self) -> bool:
        """Whether the source can follow the hull to a heel."""

    def floating(self, planes: Planes) -> Floating:
        """Give the floating position.

        Parameters
        ----------
        planes : Planes
            Water surfaces in the initial state, shape (p,).

        Returns
        -------
        Floating
            Arrays of shape (p,).
        """

    def arms(self, floating: Floating, planes: Planes, tangents: Array) -> tuple[Array, Array]:
        """Give y_B + tan φ·z_B at constant volume and longitudinal equilibrium, and its derivative.

        Parameters
        ----------
        floating : Floating
            The initial floating position, shape (p,).
        planes : Planes
            The initial water surfaces, shape (p,).
        tangents : ndarray
            Tangents of heel in each state, shape (p, k).

        Returns
        -------
        tuple of ndarray
            Arms [m] and their derivatives by the tangent [m], each of shape (p, k).
        """


class HullSource:
    """Hydrostatics straight from the lofted hull form.

    Parameters
    ----------
    hull : Hull
        The hull form.
    trim_centre_m : float
        Height of the centre of gravity that the longitudinal equilibrium uses [m]; its effect is of second order.
    """

    has_arms = True

    def __init__(self, hull: Hull, trim_centre_m: float) -> None:
        self.hull = hull
        self.trim_centre_m = trim_centre_m

    def floating(self, planes: Planes) -> Floating:
        """Give the floating position; see `HydrostaticSource.floating`.

        Parameters
        ----------
        planes : Planes
            Water surfaces, shape (p,).

        Returns
        -------
        Floating
            Arrays of shape (p,).

        Raises
        ------
        CoreError
            ``no-waterplane`` when a surface leaves the hull or covers it.
        """
        listed = hydrostatics(self.hull, planes)
        refuse_no_waterplane(listed, planes)
        upright = hydrostatics(self.hull, replace(planes, slope_y=np.zeros(len(planes))))
        refuse_no_waterplane(upright, planes)
        coupling = (upright.i_xy_m4 / upright.volume_m3) ** 2
        return Floating(
            listed.volume_m3, listed.lcb_m, listed.tcb_m, listed.vcb_m, upright.km_t_m, upright.km_l_m, coupling
        )

    def trim_condition_m(self, lcb_m: Array, vcb_m: Array, slope_x: Array) -> Array:
        """Longitudinal centre that a plane balances: x_B − sx·(z_G − z_B) [m]."""
        return np.asarray(lcb_m - slope_x * (self.trim_centre_m - vcb_m))

    def heeled(self, floating: Floating, planes: Planes, tangents: Array) -> tuple[Planes, Array]:
        """Find the planes of equilibrium at given heels.

        Parameters
        ----------
        floating : Floating
            The initial floating position, shape (p,).
        planes : Planes
            The initial water surfaces, shape (p,).
        tangents : ndarray
            Tangents of heel, shape (p, k).

        Returns
        -------
        tuple of Planes and ndarray
            The planes, shape (p·k,), and the hull's moments there, shape (p·k, 10).
        """
        states = tangents.shape[1]

        def spread(values: Array) -> Array:
            return np.repeat(values, states)

        start = Planes(
            spread(planes.t0_m), spread(planes.slope_x), tangents.ravel(), spread(planes.hog_m), planes.length_bp_m
        )
        balance = spread(self.trim_condition_m(floating.lcb_m, floating.vcb_m, planes.slope_x))
        centre = np.full(len(start), self.trim_centre_m)
        return float_at_heel(self.hull, spread(floating.volume_m3), balance, centre, start)

    def arms(self, floating: Floating, planes: Planes, tangents: Array) -> tuple[Array, Array]:
        """Give the arms; see `HydrostaticSource.arms`.

        Parameters
        ----------
        floating : Floating
            The initial floating position, shape (p,).
        planes : Planes
            The initial water surfaces, shape (p,).
        tangents : ndarray
            Tangents of heel, shape (p, k).

        Returns
        -------
        tuple of ndarray
            Arms and derivatives [m], each of shape (p, k).
        """
        heeled, moments = self.heeled(floating, planes, tangents)
        found = from_moments(moments, heeled, np.zeros(len(heeled), bool))
        arm = found.tcb_m + heeled.slope_y * found.vcb_m
        coupling = (found.i_xy_m4 / found.volume_m3) ** 2 / (found.km_l_m - self.trim_centre_m)
        return arm.reshape(tangents.shape), (found.km_t_m - coupling).reshape(tangents.shape)


class TableSource:
    """Hydrostatics from a table: upright values at the mean draught and trim; no arms at a heel.

    Parameters
    ----------
    table : HydrostaticTable
        The table.
    trim_limit_relative : float
        How far the trim may be from that of a table without a trim axis, as a share of the length.
    """

    has_arms = False

    def __init__(self, table: HydrostaticTable, trim_limit_relative: float = LARGEST_TRIM_WITHOUT_AXIS) -> None:
        self.table = table
        self.trim_limit_relative = trim_limit_relative

    def for_copies(self) -> TableSource:
        """The same table for copies of a record with errors in them, which may go beyond the limit of the record.

        Returns
        -------
        TableSource
            With half as much trim again allowed: a limit judges what was read, not what it might have been.
        """
        return TableSource(self.table, FURTHER_TRIM_OF_COPIES * LARGEST_TRIM_WITHOUT_AXIS)

    def floating(self, planes: Planes) -> Floating:
        """Give the floating position; see `HydrostaticSource.floating`.

        Parameters
        ----------
        planes : Planes
            Water surfaces, shape (p,).

        Returns
        -------
        Floating
            Arrays of shape (p,); the centre of buoyancy is moved by BM·tan φ for the list.
        """
        found = self.table.at(planes, self.trim_limit_relative)
        bm_t = found.km_t_m - found.vcb_m
        km_l = np.where(np.isfinite(found.km_l_m), found.km_l_m, found.km_t_m)
        zero = np.zeros(len(planes))
        return Floating(
            found.volume_m3,
            found.lcb_m,
            bm_t * planes.slope_y,
            found.vcb_m + 0.5 * bm_t * planes.slope_y**2,
            found.km_t_m,
            km_l,
            zero,
        )

    def arms(self, floating: Floating, planes: Planes, tangents: Array) -> tuple[Array, Array]:
        """Refuse: a table holds upright values only.

        Parameters
        ----------
        floating : Floating
            The initial floating position.
        planes : Planes
            The initial water surfaces.
        tangents : ndarray
            Tangents of heel.

        Raises
        ------
        CoreError
            ``method-needs-hull`` always.
        """
        raise CoreError(
            "method-needs-hull",
            "The heeled-equilibrium method needs the hull form; a hydrostatic table holds upright values only. Give "
            "the hull, or choose the small-angle method.",
            "/vessel/hydrostatic_table",
        )


def source_for_copies(source: HydrostaticSource) -> HydrostaticSource:
    """Hydrostatics for copies of a record with errors or departures in them.

    Parameters
    ----------
    source : HydrostaticSource
        The source of the record as it stands.

    Returns
    -------
    HydrostaticSource
        The same; a table without trims serves a little beyond its limit, see `TableSource.for_copies`.
    """
    return source.for_copies() if isinstance(source, TableSource) else source


def refuse_no_waterplane(found: Hydrostatics, planes: Planes, pointer: str = "/draughts") -> None:
    """Refuse water surfaces that do not cut the hull.

    Parameters
    ----------
    found : Hydrostatics
        Hydrostatics at the surfaces, shape (p,).
    planes : Planes
        The surfaces.
    pointer : str
        JSON Pointer to the field that placed them.

    Raises
    ------
    CoreError
        ``no-waterplane``, naming the draught.
    """
    area, volume = found.waterplane_area_m2, found.volume_m3
    bad = ~(np.isfinite(area) & (area > 0.0) & (volume > 0.0))
    if bad.any():
        raise CoreError(
            "no-waterplane",
            f"A moulded draught of {float(planes.draught_mid_m[bad][0]):.3f} m at mid-length leaves no waterplane: the "
            "hull is out of the water or wholly under it; check the readings, the marks and the hull's depth.",
            pointer,
        )
