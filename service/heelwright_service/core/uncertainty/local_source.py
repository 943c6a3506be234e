"""A stand-in for the hull near one floating condition: quadratics fitted to exact hydrostatics, with measured error.

A simulation asks for hydrostatics at a hundred thousand water surfaces that all lie within centimetres of each other.
There every quantity is so nearly quadratic in draught, trim, heel and hog that a fit through a few dozen exact planes
is better than 1e-5; its largest error at planes that took no part in the fit is measured and reported.
"""

from __future__ import annotations

from dataclasses import dataclass, fields
from itertools import combinations_with_replacement, product

import numpy as np
from numpy.typing import NDArray

from heelwright_service.core.arms import Floating, HullSource, HydrostaticSource
from heelwright_service.core.errors import CoreError
from heelwright_service.core.hydrostatics import from_moments, hull_moments
from heelwright_service.core.planes import Planes

Array = NDArray[np.float64]

REACHES = (3.0, 2.0, 1.0, 0.5)
"""The fit spans so many standard deviations of the water surface; less than the first only where a table ends."""

PROBES = 6

LEAST_SLOPE_SPREAD = 3e-5
"""Least standard deviation of draught over length and of trim that the arms are fitted over: in less, volume and heel
could not be told apart."""


@dataclass(frozen=True)
class Polynomial:
    """A polynomial of several variables about a centre.

    Parameters
    ----------
    centre, scale : ndarray
        Variables are (value − centre)/scale, shape (d,).
    powers : list of tuple of int
        Variables multiplied in each term.
    coefficients : ndarray
        Shape (terms, outputs).
    """

    centre: Array
    scale: Array
    powers: list[tuple[int, ...]]
    coefficients: Array

    @classmethod
    def fitted(cls, variables: Array, values: Array, centre: Array, scale: Array, degree: int = 2) -> Polynomial:
        """Fit all terms up to a degree by least squares.

        Parameters
        ----------
        variables : ndarray
            Shape (s, d).
        values : ndarray
            Shape (s, outputs).
        centre, scale : ndarray
            Centre and reach of each variable, shape (d,).
        degree : int
            Highest total degree.

        Returns
        -------
        Polynomial
            The fit.
        """
        powers = [
            term for n in range(degree + 1) for term in combinations_with_replacement(range(variables.shape[1]), n)
        ]
        shell = cls(centre, scale, powers, np.zeros((len(powers), values.shape[1])))
        coefficients = np.asarray(np.linalg.lstsq(shell.terms(variables), values, rcond=None)[0], dtype=np.float64)
        return cls(centre, scale, powers, coefficients)

    def terms(self, variables: Array) -> Array:
        """Products of the scaled variables, shape (p, terms)."""
        scaled = (variables - self.centre) / self.scale
        columns = np.ones((len(variables), len(self.powers)))
        for i, term in enumerate(self.powers):
            for variable in term:
                columns[:, i] *= scaled[:, variable]
        return columns

    def __call__(self, variables: Array) -> Array:
        """Evaluate the polynomial at variables of shape (p, d), giving (p, outputs)."""
        return np.asarray(self.terms(variables) @ self.coefficients)


class LocalSource:
    """Hydrostatics near one condition from fitted polynomials.

    Parameters
    ----------
    exact : HydrostaticSource
        The hull or table to stand in for.
    planes : Planes
        The condition, shape (1,).
    covariance : ndarray
        Covariance of T0 [m], sx, sy and hog [m] between draws, shape (4, 4).
    tangents : ndarray
        Tangents of heel of the states there, shape (k,), empty for a survey.
    tangent_spread : float
        Standard deviation of those tangents between draws.

    Attributes
    ----------
    largest_error_relative : float
        Largest error at surfaces that took no part in the fit, as a share of the quantity's size.
    reach : float
        Standard deviations of the water surface that the fit spans.

    Raises
    ------
    CoreError
        When the source does not answer even half a standard deviation away.
    """

    def __init__(
        self, exact: HydrostaticSource, planes: Planes, covariance: Array, tangents: Array, tangent_spread: float
    ) -> None:
        self.has_arms = exact.has_arms and len(tangents) > 0
        self._exact = exact
        self._length = planes.length_bp_m
        self._centre = np.array([planes.t0_m[0], planes.slope_x[0], planes.slope_y[0], planes.hog_m[0]])
        self._covariance = covariance
        self.reach = self._fit_within_reach()
        self._arms: list[Polynomial] = []
        if self.has_arms and isinstance(exact, HullSource):
            self._fit_arms(exact, planes, tangents, self.reach * tangent_spread)

    def floating(self, planes: Planes) -> Floating:
        """Give the floating position from the fit.

        Parameters
        ----------
        planes : Planes
            Water surfaces near the condition, shape (p,).

        Returns
        -------
        Floating
            Arrays of shape (p,).
        """
        return Floating(*self._floating((_variables(planes) - self._centre) @ self._inverse.T).T)

    def arms(self, floating: Floating, planes: Planes, tangents: Array) -> tuple[Array, Array]:
        """Give arms and derivatives from the fits of the states.

        Parameters
        ----------
        floating : Floating
            The initial floating position, shape (p,).
        planes : Planes
            The initial water surfaces, shape (p,).
        tangents : ndarray
            Tangents of heel near those of the states, shape (p, k).

        Returns
        -------
        tuple of ndarray
            Arms and derivatives [m], each of shape (p, k).
        """
        balance = self._balance(floating.lcb_m, floating.vcb_m, planes.slope_x)
        found = [
            fit(np.column_stack([floating.volume_m3, balance, planes.hog_m, tangents[:, k]])[:, self._arm_used])
            for k, fit in enumerate(self._arms)
        ]
        both = np.stack(found, axis=1)
        return both[..., 0], both[..., 1]

    def _balance(self, lcb: Array, vcb: Array, slope_x: Array) -> Array:
        assert isinstance(self._exact, HullSource)  # noqa: S101 - only a hull has arms
        return self._exact.trim_condition_m(lcb, vcb, slope_x)

    def _planes(self, variables: Array) -> Planes:
        t0, slope_x, slope_y, hog = variables.T
        return Planes(t0, slope_x, slope_y, hog, self._length)

    def _fit_within_reach(self) -> float:
        """Fit as widely as the source answers, and say how many standard deviations that is."""
        for reach in REACHES:
            self._axes = reach * _axes(self._covariance)
            self._inverse = np.linalg.pinv(self._axes)
            try:
                self._floating, self.largest_error_relative = self._fit_floating()
            except CoreError:
                if reach == REACHES[-1]:
                    raise
            else:
                break
        return reach

    def _fit_floating(self) -> tuple[Polynomial, float]:
        """Fit the floating position in the decorrelated coordinates, and measure its error at planes left out."""
        count = self._axes.shape[1]
        design, probes = _design(count), _probes(count)
        points = np.concatenate([design, probes])
        truth = _as_columns(self._exact.floating(self._planes(self._centre + points @ self._axes.T)))
        fit = Polynomial.fitted(design, truth[: len(design)], np.zeros(count), np.ones(count))
        miss = np.abs(fit(probes) - truth[len(design) :])
        size = np.abs(truth).max(axis=0)
        height = size[4]
        scale = np.array([size[0], self._length, height, height, height, size[5], height**2])
        return fit, float(np.max(miss / scale, initial=0.0))

    def _fit_arms(self, exact: HullSource, planes: Planes, tangents: Array, reach: float) -> None:
        """Fit each state's arm as a function of volume, trim balance, hog and tangent.

        Any plane is in equilibrium for the volume and balance it happens to have, so the design planes need no search.
        """
        floating = exact.floating(planes)
        heeled, _ = exact.heeled(floating, planes, tangents[None])
        keeps_heel = np.array([1.0, 1.0, 0.0, 1.0])
        least = LEAST_SLOPE_SPREAD * np.array([self._length, 1.0, 0.0, 0.0])
        axes = self.reach * _axes(self._covariance * np.outer(keeps_heel, keeps_heel) + np.diag(least**2))
        axes = np.column_stack([axes, [0.0, 0.0, max(reach, 1e-7), 0.0]])
        design = np.concatenate([_design(axes.shape[1]), _probes(axes.shape[1])]) @ axes.T
        unique, back = np.unique(np.round(tangents, 9), return_inverse=True)
        first = [int(np.flatnonzero(back == i)[0]) for i in range(len(unique))]
        centres = np.column_stack([heeled.t0_m, heeled.slope_x, heeled.slope_y, heeled.hog_m])[first]
        points = (centres[:, None] + design[None]).reshape(-1, 4)
        at = self._planes(points)
        found = from_moments(hull_moments(exact.hull, at), at, np.zeros(len(at), bool))
        coupling = (found.i_xy_m4 / found.volume_m3) ** 2 / (found.km_l_m - exact.trim_centre_m)
        values = np.column_stack([found.tcb_m + at.slope_y * found.vcb_m, found.km_t_m - coupling])
        balance = exact.trim_condition_m(found.lcb_m, found.vcb_m, at.slope_x)
        variables = np.column_stack([found.volume_m3, balance, at.hog_m, at.slope_y]).reshape(len(unique), -1, 4)
        self._arm_used = np.array([i for i in range(4) if np.ptp(variables[..., i], axis=1).min() > 0.0])
        self._arms = self._state_fits(variables, values.reshape(len(unique), -1, 2), back)

    def _state_fits(self, variables: Array, values: Array, back: NDArray[np.intp]) -> list[Polynomial]:
        fits = []
        for each, value in zip(variables[..., self._arm_used], values, strict=True):
            fitted, held = slice(None, -PROBES), slice(-PROBES, None)
            centre, scale = each[0], np.ptp(each, axis=0) / 2.0
            fit = Polynomial.fitted(each[fitted], value[fitted], centre, scale)
            error = np.abs(fit(each[held])[:, 0] - value[held, 0]) / np.abs(value[..., 1]).max()
            self.largest_error_relative = max(self.largest_error_relative, float(error.max()))
            fits.append(fit)
        return [fits[i] for i in back]


def _variables(planes: Planes) -> Array:
    return np.column_stack([planes.t0_m, planes.slope_x, planes.slope_y, planes.hog_m])


def _as_columns(floating: Floating) -> Array:
    return np.column_stack([getattr(floating, field.name) for field in fields(floating)])


def _axes(covariance: Array) -> Array:
    """Principal standard deviations as columns, directions without spread left out."""
    scale = np.sqrt(np.maximum(np.diag(covariance), 1e-30))
    values, vectors = np.linalg.eigh(covariance / np.outer(scale, scale))
    kept = values > 1e-9 * max(float(values.max()), 1e-30)
    kept &= np.sqrt(np.maximum(np.diag(covariance), 0.0)).max() > 0.0
    return np.asarray(scale[:, None] * vectors[:, kept] * np.sqrt(values[kept]))


def _design(count: int) -> Array:
    """Centre, corners and far points of a ball in `count` coordinates, shape (s, count)."""
    corners = np.array(list(product((-0.7, 0.7), repeat=count))).reshape(2**count, count)
    return np.concatenate([np.zeros((1, count)), corners, np.eye(count), -np.eye(count)])


def _probes(count: int) -> Array:
    """Points that take no part in the fit, the same for every call, shape (s, count)."""
    return np.random.default_rng(20).uniform(-0.7, 0.7, (PROBES, count))
