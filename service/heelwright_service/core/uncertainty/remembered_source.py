"""Hydrostatics worked out once for each water surface, for the many results of one test that share most of them."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from heelwright_service.core.arms import Floating, HydrostaticSource
from heelwright_service.core.planes import Planes

Array = NDArray[np.float64]

Key = tuple[bytes, ...]


class RememberedSource:
    """A source that answers a question asked before as it was answered then, to the last digit.

    Parameters
    ----------
    exact : HydrostaticSource
        The hull or table that is asked.

    Notes
    -----
    What was left aboard in one tank changes the masses, not the water surface or the readings; so nearly all prices of
    one test ask for the same floating position and arms. Only equal questions share an answer: nothing is rounded.
    """

    def __init__(self, exact: HydrostaticSource) -> None:
        self._exact = exact
        self._floating: dict[Key, Floating] = {}
        self._arms: dict[Key, tuple[Array, Array]] = {}

    @property
    def has_arms(self) -> bool:
        """Whether the source can follow the hull to a heel."""
        return self._exact.has_arms

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
        """
        key = _of_planes(planes)
        if key not in self._floating:
            self._floating[key] = self._exact.floating(planes)
        return self._floating[key]

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
        afloat = (floating.volume_m3, floating.lcb_m, floating.vcb_m)
        key = (*_of_planes(planes), *(each.tobytes() for each in (*afloat, tangents)))
        if key not in self._arms:
            self._arms[key] = self._exact.arms(floating, planes, tangents)
        return self._arms[key]


def _of_planes(planes: Planes) -> Key:
    return tuple(each.tobytes() for each in (planes.t0_m, planes.slope_x, planes.slope_y, planes.hog_m))
