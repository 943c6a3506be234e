"""How much moment holds the ship at a heel, with the weights aboard: the wall-sided model, and what any model offers.

A model gives the moment as

    M(t) = P·t + E(t),      P = displacement·GM − Σ w·z + B(Σw, Σw·x)

with t the tangent of heel, B the rise of displacement times KM by the sinkage, and E what the hull adds beyond the
straight line (nothing for the wall-sided model). B needs neither KG nor KM: for a wall-sided hull the added buoyancy
stands halfway up the sinkage δT and the waterplane is unchanged, so

    B = Σw·(T + δT/2),      P = displacement·GM − Σ w·(z_w − T − δT/2)

exactly (derived here from GM = KB + I/V − KG before and after).
"""

from __future__ import annotations

from abc import ABC, abstractmethod
from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Values = Array | float


@dataclass(frozen=True)
class Loading:
    """The weights aboard: their mass [t] and its moments along and above the baseline [t·m]."""

    mass_t: float
    moment_x_t_m: float
    moment_z_t_m: float


@dataclass(frozen=True, eq=False)
class Afloat:
    """How the ship lies in every state.

    Parameters
    ----------
    heel : ndarray
        Tangents of heel, to starboard positive, shape (states,).
    trim : ndarray or None
        Slopes of trim, by the stern positive; None where the model does not know.
    freeboard_m : ndarray or None
        Least height of the deck edge above the water [m]; None where the model does not know.
    """

    heel: Array
    trim: Array | None = None
    freeboard_m: Array | None = None

    def part(self, chosen: slice) -> Afloat:
        """Some of the states.

        Parameters
        ----------
        chosen : slice
            Which.

        Returns
        -------
        Afloat
            Those.
        """
        others = (None if each is None else each[chosen] for each in (self.trim, self.freeboard_m))
        return Afloat(self.heel[chosen], *others)


class HeelModel(Protocol):
    """What the planner asks of a model of the ship at heel."""

    @property
    def assumptions(self) -> tuple[str, ...]:
        """Sentences for the plan's cautions."""

    @property
    def centre_x_m(self) -> float | None:
        """Where weights trim the ship least [m]; None where the model takes no account of x."""

    def gain_t_m(self, mass_t: Values, moment_x_t_m: Values) -> Array:
        """B: rise of displacement times KM by the weights [t·m]; of the broadcast shape."""

    def gain_range_t_m(self, mass_t: Array) -> tuple[Array, Array]:
        """Least and largest B over all places on deck [t·m]."""

    def sinkage_m(self, mass_t: Values) -> Array:
        """Parallel sinkage by the weights [m]."""

    def excess_t_m(self, tangent: Values) -> Array:
        """E: what the hull adds beyond the straight line at a tangent of heel [t·m]."""

    def trim_slope(self, mass_t: Values, moment_x_t_m: Values) -> Array:
        """Slope of the trim that the weights give her, by the stern positive; zeros where the model knows none."""

    def afloat(self, moments_t_m: Array, gm_m: Values, loading: Loading) -> Afloat:
        """How the ship lies under transverse moments about the centreline, the ship's own included."""


class StraightLine(ABC):
    """What the models have in common whose line of heel is straight and which know nothing of trim.

    A subclass gives `displacement_t` and `gain_t_m`.
    """

    displacement_t: float
    centre_x_m: float | None = None

    @abstractmethod
    def gain_t_m(self, mass_t: Values, moment_x_t_m: Values) -> Array:
        """Rise of displacement times KM by the weights [t·m]; of the broadcast shape."""

    def gain_range_t_m(self, mass_t: Array) -> tuple[Array, Array]:
        """Least and largest rise over all places; both the same here.

        Parameters
        ----------
        mass_t : ndarray
            Mass of the weights [t].

        Returns
        -------
        tuple of ndarray
            B twice [t·m].
        """
        gain = self.gain_t_m(mass_t, 0.0)
        return gain, gain

    def excess_t_m(self, tangent: Values) -> Array:
        """Nothing beyond the straight line.

        Parameters
        ----------
        tangent : float or ndarray
            Tangent of heel.

        Returns
        -------
        ndarray
            Zeros [t·m].
        """
        return np.zeros_like(np.asarray(tangent, float))

    def trim_slope(self, mass_t: Values, moment_x_t_m: Values) -> Array:
        """Nothing is known of trim.

        Parameters
        ----------
        mass_t, moment_x_t_m : float or ndarray
            Mass of the weights [t] and its moment along [t·m].

        Returns
        -------
        ndarray
            Zeros, of the broadcast shape.
        """
        return np.asarray(0.0 * np.asarray(mass_t, float) * np.asarray(moment_x_t_m, float))

    def afloat(self, moments_t_m: Array, gm_m: Values, loading: Loading) -> Afloat:
        """Heel by the straight line; trim and freeboard are not known.

        Parameters
        ----------
        moments_t_m : ndarray
            Transverse moments about the centreline [t·m].
        gm_m : float or ndarray
            GM without the weights [m], one or as many as moments.
        loading : Loading
            The weights aboard.

        Returns
        -------
        Afloat
            Tangents of heel of the moments' shape.
        """
        stiffness = self.displacement_t * gm_m - loading.moment_z_t_m + self.gain_t_m(loading.mass_t, 0.0)
        return Afloat(np.asarray(moments_t_m / stiffness))


@dataclass(frozen=True)
class WallSided(StraightLine):
    """A ship whose sides are vertical from the keel up to the largest heel: what is assumed without a hull form.

    Parameters
    ----------
    displacement_t : float
        Without the weights [t].
    draught_m : float
        Without the weights [m].
    tonnes_per_m : float
        Density times waterplane area [t/m].
    assumptions : tuple of str
        Sentences for the plan's cautions.
    """

    displacement_t: float
    draught_m: float
    tonnes_per_m: float
    assumptions: tuple[str, ...] = ()

    @classmethod
    def prism(cls, displacement_t: float, draught_m: float) -> WallSided:
        """A hull with vertical sides all the way down, whose waterplane follows from displacement over draught.

        Parameters
        ----------
        displacement_t, draught_m : float
            Without the weights [t], [m].

        Returns
        -------
        WallSided
            The model; a finer hull sinks less than it says.
        """
        text = (
            "No hull form or hydrostatic table is given: sides are taken as vertical, and the waterplane as "
            "displacement over draught, which sets only the second-order part of the sinkage. Give the hull for true "
            "equilibrium."
        )
        return cls(displacement_t, draught_m, displacement_t / draught_m, (text,))

    def gain_t_m(self, mass_t: Values, moment_x_t_m: Values) -> Array:
        """Rise of displacement times KM: mass times the height of the added buoyancy.

        Parameters
        ----------
        mass_t, moment_x_t_m : float or ndarray
            Mass of the weights [t] and its moment along [t·m]; the latter plays no part here.

        Returns
        -------
        ndarray
            B [t·m].

        Examples
        --------
        >>> round(float(WallSided(1000.0, 4.0, 250.0).gain_t_m(10.0, 0.0)), 9)
        40.2
        """
        mass = np.asarray(mass_t, float)
        return np.asarray(mass * (self.draught_m + 0.5 * mass / self.tonnes_per_m) + 0.0 * np.asarray(moment_x_t_m))

    def sinkage_m(self, mass_t: Values) -> Array:
        """Parallel sinkage.

        Parameters
        ----------
        mass_t : float or ndarray
            Mass of the weights [t].

        Returns
        -------
        ndarray
            δT [m].
        """
        return np.asarray(np.asarray(mass_t, float) / self.tonnes_per_m)
