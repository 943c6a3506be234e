"""True equilibrium on the hull form as a model of the ship at heel.

On a hull form the moment that holds the ship at a heel is M(t) = D·(y_B + t·z_B − t·KG), with the hull at that heel,
displacement and longitudinal equilibrium. It is written as P·t + E(t): P from KM at the loading, E from the ship
without the weights, since a change of a few per cent of displacement changes E, itself about a per cent of the moment,
by as little. The search uses that form; the heels of the plan itself are floated freely.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from heelwright_service.core.equilibrium import float_at_heel, float_free
from heelwright_service.core.errors import CoreError
from heelwright_service.core.hull import Hull
from heelwright_service.core.hydrostatics import VOLUME, VOLUME_Y, VOLUME_Z, freeboard_m, hydrostatics
from heelwright_service.core.planes import Planes
from heelwright_service.core.planning.heel_model import Afloat, Loading, Values
from heelwright_service.core.planning.settled import settle

Array = NDArray[np.float64]

EXCESS_TO_DEG = 10.0
EXCESS_LEAST_DEG = 0.5
EXCESS_POINTS = 41
LARGEST_SAMPLE = 0.1
SAMPLES = 6


@dataclass(frozen=True, eq=False)
class HullHeel:
    """A ship floated on her hull form.

    Parameters
    ----------
    hull : Hull
        The lofted hull.
    displacement_t, draught_m, density_t_per_m3 : float
        Without the weights [t], [m]; density of the water that fits them [t/m³].
    places_x_m : tuple of float
        Least and largest x at which weights may be looked at [m].
    largest_mass_t : float
        Largest mass of all weights of interest [t].
    assumptions : tuple of str
        Sentences for the plan's cautions.
    """

    hull: Hull
    displacement_t: float
    draught_m: float
    density_t_per_m3: float
    places_x_m: tuple[float, float]
    largest_mass_t: float
    assumptions: tuple[str, ...] = ()

    @classmethod
    def of(
        cls, hull: Hull, displacement_t: float, draught_m: float, places_x_m: tuple[float, float], largest_mass_t: float
    ) -> HullHeel:
        """Bring displacement, draught and hull together.

        Parameters
        ----------
        hull : Hull
            The lofted hull.
        displacement_t, draught_m : float
            Without the weights [t], [m].
        places_x_m : tuple of float
            Least and largest x of the places on deck [m].
        largest_mass_t : float
            Largest mass of all weights of interest [t].

        Returns
        -------
        HullHeel
            Water of the density that fits where it is plausible; else sea water, at the draught of the displacement.

        Raises
        ------
        CoreError
            ``draught-mismatch`` where hull and displacement differ by more than a tenth.
        """

        def volume_m3(draught: float) -> float:
            return float(hydrostatics(hull, Planes.of(hull.length_bp_m, draught)).volume_m3[0])

        settled = settle(displacement_t, draught_m, volume_m3, hull.depth_limits_m)
        return cls(
            hull,
            displacement_t,
            settled.draught_m,
            settled.density_t_per_m3,
            places_x_m,
            largest_mass_t,
            (settled.text,),
        )

    @cached_property
    def _level(self) -> tuple[float, float, float, float]:
        """KM, LCB, TCB [m] and tonnes per metre of sinkage, upright without the weights."""
        found = hydrostatics(self.hull, Planes.of(self.hull.length_bp_m, self.draught_m))
        area = float(found.waterplane_area_m2[0]) * self.density_t_per_m3
        return float(found.km_t_m[0]), float(found.lcb_m[0]), float(found.tcb_m[0]), area

    @cached_property
    def centre_x_m(self) -> float:
        """Where weights trim the ship least: at the centre of flotation [m]."""
        return float(hydrostatics(self.hull, Planes.of(self.hull.length_bp_m, self.draught_m)).lcf_m[0])

    @property
    def km_m(self) -> float:
        """KM without the weights [m]."""
        return self._level[0]

    @cached_property
    def deck_edge_m(self) -> tuple[float, float]:
        """Half-breadth and freeboard [m] of the point of the deck edge that meets the water first."""
        edge = self.hull.deck_edge_m
        half, freeboard = np.maximum(np.abs(edge[:, 1]), 1e-6), edge[:, 2] - self.draught_m
        first = int(np.argmin(freeboard / half))
        return float(half[first]), float(freeboard[first])

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
        return np.asarray(np.asarray(mass_t, float) / self._level[3])

    def gain_t_m(self, mass_t: Values, moment_x_t_m: Values) -> Array:
        """Rise of displacement times KM by the weights, their trim included.

        Parameters
        ----------
        mass_t, moment_x_t_m : float or ndarray
            Mass of the weights [t] and its moment along [t·m].

        Returns
        -------
        ndarray
            B [t·m], by a polynomial through floated loadings.
        """
        mass = np.asarray(mass_t, float)
        return np.asarray(self._terms(mass, np.asarray(moment_x_t_m, float)) @ self._coefficients)

    def gain_range_t_m(self, mass_t: Array) -> tuple[Array, Array]:
        """Least and largest rise over all places on deck.

        Parameters
        ----------
        mass_t : ndarray
            Mass of the weights [t].

        Returns
        -------
        tuple of ndarray
            B [t·m].
        """
        along = np.linspace(*self.places_x_m, 9)[:, None] * mass_t
        gain = self.gain_t_m(np.broadcast_to(mass_t, along.shape), along)
        slack = 1e-5 * np.abs(gain).max(axis=0)
        return gain.min(axis=0) - slack, gain.max(axis=0) + slack

    def _terms(self, mass: Array, along: Array) -> Array:
        share, lever = mass / self.displacement_t, (along - mass * self._level[1]) / self.displacement_t
        lever = lever / self.hull.length_bp_m
        terms = (share, share**2, share**3, lever, lever**2, lever * share)
        return np.stack(np.broadcast_arrays(*terms), axis=-1)

    @cached_property
    def _coefficients(self) -> Array:
        most = min(self.largest_mass_t, LARGEST_SAMPLE * self.displacement_t)
        while True:
            try:
                mass, along, gain = self._sampled(most)
                break
            except CoreError:
                if most < 1e-3 * self.displacement_t:
                    raise
                most *= 0.5
        found, *_ = np.linalg.lstsq(self._terms(mass, along), gain, rcond=1e-10)
        return np.asarray(found)

    def _sampled(self, most_t: float) -> tuple[Array, Array, Array]:
        mass, x = (each.ravel() for each in np.meshgrid(
            np.linspace(0.0, most_t, SAMPLES)[1:], np.linspace(*self.places_x_m, SAMPLES)
        ))  # fmt: skip
        total = self.displacement_t + mass
        along = mass * x
        km, lcb, tcb, _ = self._level
        centre = (self.displacement_t * lcb + along) / total
        planes = float_free(self.hull, total, centre, tcb, 0.8 * km, self.density_t_per_m3)
        gain = total * hydrostatics(self.hull, planes).km_t_m - self.displacement_t * km
        return mass, along, np.asarray(gain)

    def excess_t_m(self, tangent: Values) -> Array:
        """What the hull adds beyond the straight line, without the weights.

        Parameters
        ----------
        tangent : float or ndarray
            Tangent of heel, to starboard positive.

        Returns
        -------
        ndarray
            E [t·m]; held beyond the heel at which the deck edge meets the water, and beyond 10°: no plan goes there.
        """
        tangents = np.asarray(tangent, float)
        found = np.interp(tangents, *self._excess_to_starboard)
        if (tangents < 0.0).any():
            heel, excess = self._excess_to_port
            found = np.where(tangents < 0.0, np.interp(-tangents, -heel, excess), found)
        return np.asarray(found)

    @cached_property
    def _excess_to_starboard(self) -> tuple[Array, Array]:
        return self._excess(1.0)

    @cached_property
    def _excess_to_port(self) -> tuple[Array, Array]:
        return self._excess(-1.0)

    def _excess(self, side: float) -> tuple[Array, Array]:
        """Tangents of heel to one side, from upright on, and the excess there [t·m]."""
        half_breadth, freeboard = self.deck_edge_m
        edge_deg = float(np.degrees(np.arctan2(freeboard, half_breadth)))
        heel = side * np.linspace(0.0, min(max(edge_deg, EXCESS_LEAST_DEG), EXCESS_TO_DEG), EXCESS_POINTS)
        start = Planes.of(self.hull.length_bp_m, self.draught_m, heel_deg=heel)
        volume = np.full(len(heel), self.displacement_t / self.density_t_per_m3)
        km, lcb, tcb, _ = self._level
        planes, found = float_at_heel(self.hull, volume, np.full(len(heel), lcb), np.full(len(heel), 0.8 * km), start)
        tangent = planes.slope_y
        arm = (found[:, VOLUME_Y] + tangent * found[:, VOLUME_Z]) / found[:, VOLUME] - tcb
        return tangent, self.displacement_t * (arm - tangent * km)

    def trim_slope(self, mass_t: Values, moment_x_t_m: Values) -> Array:
        """Slope of the trim that the weights give her: their moment about the centre of flotation over ρ·I_L.

        Parameters
        ----------
        mass_t, moment_x_t_m : float or ndarray
            Mass of the weights [t] and its moment along [t·m].

        Returns
        -------
        ndarray
            By the stern positive, of the broadcast shape; the plan's own trim is floated.
        """
        about = np.asarray(moment_x_t_m, float) - np.asarray(mass_t, float) * self.centre_x_m
        return np.asarray(-about / self._trimming_t_m)

    @cached_property
    def _trimming_t_m(self) -> float:
        found = hydrostatics(self.hull, Planes.of(self.hull.length_bp_m, self.draught_m))
        return self.density_t_per_m3 * float(found.i_l_m4[0])

    def afloat(self, moments_t_m: Array, gm_m: Values, loading: Loading) -> Afloat:
        """Heel, trim and freeboard, floated freely.

        Parameters
        ----------
        moments_t_m : ndarray
            Transverse moments about the centreline, the ship's own included [t·m].
        gm_m : float or ndarray
            GM without the weights [m], one or as many as moments.
        loading : Loading
            The weights aboard.

        Returns
        -------
        Afloat
            One value for each moment.

        Raises
        ------
        CoreError
            ``no-equilibrium``.
        """
        km, lcb, tcb, _ = self._level
        total = self.displacement_t + loading.mass_t
        x = (self.displacement_t * lcb + loading.moment_x_t_m) / total
        z = (self.displacement_t * (km - gm_m) + loading.moment_z_t_m) / total
        y = (moments_t_m + self.displacement_t * tcb) / total
        sunk = np.full(len(moments_t_m), self.draught_m + float(self.sinkage_m(loading.mass_t)))
        start = Planes.of(self.hull.length_bp_m, sunk)
        planes = float_free(self.hull, total, x, y, z, self.density_t_per_m3, start)
        return Afloat(planes.slope_y, -planes.slope_x, freeboard_m(self.hull, planes))
