"""The computation from readings to lightship as one chain, for any number of draws of its uncertain inputs at once.

Nominal result, sensitivities and simulation are the same code with one row, a few rows or many rows of errors.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from heelwright_service.core.arms import Floating, HydrostaticSource
from heelwright_service.core.heeled_equilibrium import HeeledFit, fit_heeled
from heelwright_service.core.input_errors import Errors
from heelwright_service.core.liquids import I_L_ROW, I_T_ROW, VOLUME_ROW, X_ROW, Z_ROW
from heelwright_service.core.planes import Planes
from heelwright_service.core.prepared_test import PreparedTest
from heelwright_service.core.small_angle import FittedLine, SmallAngle, fit_line, fit_small_angle, knows_upright

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Lightship:
    """Mass and centre of the empty ship; arrays of shape (p,), NaN where a centre is unknown."""

    mass_t: Array
    lcg_m: Array
    tcg_m: Array
    vcg_m: Array


@dataclass(frozen=True)
class Outcome:
    """Everything the chain computes; arrays have one row for each draw.

    `contents` are volumes, centres and free surfaces of the tanks, shape (p, t, 6). The fits are None where the record
    is a lightweight survey or the source has no arms.
    """

    planes: Planes
    floating: Floating
    density_t_per_m3: Array
    volume_m3: Array
    displacement_t: Array
    contents: Array
    free_surface_t_m: Array
    free_surface_longitudinal_t_m: Array
    small_angle: SmallAngle | None
    heeled: HeeledFit | None
    centre_m: dict[str, Array]
    lightship: dict[str, Lightship]


def evaluate(
    test: PreparedTest,
    errors: Errors,
    source: HydrostaticSource,
    assumed_kg_m: float | None = None,
    heeled: bool = True,
) -> Outcome:
    """Run the chain from readings to lightship.

    Parameters
    ----------
    test : PreparedTest
        The record made ready.
    errors : Errors
        Errors of the inputs, p rows.
    source : HydrostaticSource
        Where the hydrostatics come from.
    assumed_kg_m : float, optional
        KG as inclined [m] for a lightweight survey, which measures none; used only to carry LCG and TCG.
    heeled : bool
        Whether to run the heeled-equilibrium method where the source allows it.

    Returns
    -------
    Outcome
        Results of shape (p, ...).
    """
    line = None if test.movements is None else fit_line(test, errors)
    planes = _initial_planes(test, errors, line)
    floating = source.floating(planes)
    floating = replace(floating, lcb_m=floating.lcb_m + errors.lcb_m)
    density = test.density_t_per_m3 + errors.density_t_per_m3
    volume = floating.volume_m3 * (1.0 + errors.hull_volume_relative)
    displacement = density * volume
    contents = _contents(test, errors, planes)
    densities = np.array([tank.sounding.density_t_per_m3 for tank in test.tanks])
    surface_t, surface_l = (contents[..., row] @ densities for row in (I_T_ROW, I_L_ROW))
    surface_t = surface_t + test.further_free_surface_t_m - test.moved_water_surface_t_m
    small = big = None
    centres: dict[str, Array] = {}
    if line is not None:
        small = fit_small_angle(test, errors, line, floating, displacement, surface_t)
        centres["small-angle"] = _solid_centre(
            planes, floating, displacement, small.kg_m, surface_t, surface_l, small.tcg_m
        )
        if heeled and source.has_arms:
            big = fit_heeled(test, errors, source, planes, floating, displacement, contents, small)
            centres["heeled-equilibrium"] = _solid_centre(
                planes, floating, displacement, big.kg_m, surface_t, surface_l, big.tcg_m
            )
    else:
        centres["lightweight-survey"] = _survey_centre(
            planes,
            floating,
            displacement,
            assumed_kg_m,
            errors.assumed_kg_m,
            surface_t,
            surface_l,
            test.fit.determined[2],
        )
    light = {
        name: _lightship(test, errors, displacement, centre, contents, densities) for name, centre in centres.items()
    }
    return Outcome(
        planes, floating, density, volume, displacement, contents, surface_t, surface_l, small, big, centres, light
    )


def _initial_planes(test: PreparedTest, errors: Errors, line: FittedLine | None) -> Planes:
    """The surface as read; where the readings cannot tell the list, instruments do that know the upright ship."""
    known = line is not None and knows_upright(test)
    listed = line.list_tangent if line is not None and known else errors.list_tangent
    return test.fit.planes(test.points.z_m + errors.height_m, listed)


def _contents(test: PreparedTest, errors: Errors, planes: Planes) -> Array:
    if not test.tanks:
        return np.zeros((len(errors), 0, 6))
    contents = np.stack([tank.contents(errors.sounding_m[:, j], planes) for j, tank in enumerate(test.tanks)], axis=1)
    contents[..., VOLUME_ROW] *= 1.0 + errors.tank_volume_relative
    return contents


def _solid_centre(
    planes: Planes, floating: Floating, displacement: Array, kg: Array, surface_t: Array, surface_l: Array, tcg: Array
) -> Array:
    """Centre of gravity as inclined with every liquid at its level, upright centre, shape (p, 3)."""
    lever = kg + surface_l / displacement - floating.vcb_m
    return np.stack([floating.lcb_m - planes.slope_x * lever, tcg, kg], axis=1)


def _survey_centre(
    planes: Planes,
    floating: Floating,
    displacement: Array,
    assumed_kg: float | None,
    assumed_kg_error: Array,
    surface_t: Array,
    surface_l: Array,
    knows_list: bool,
) -> Array:
    """Centre from the waterline alone: no height, and across only where a KG is given and the list was read."""
    kg = (floating.km_t_m.mean() if assumed_kg is None else assumed_kg) + assumed_kg_error
    lever_t = kg + surface_t / displacement - floating.vcb_m
    across = floating.tcb_m - planes.slope_y * lever_t
    unknown = np.full(len(planes), np.nan)
    tcg = across if assumed_kg is not None and knows_list else unknown
    centre = _solid_centre(planes, floating, displacement, kg, surface_t, surface_l, tcg)
    centre[:, 2] = np.nan
    return centre


def _lightship(
    test: PreparedTest, errors: Errors, displacement: Array, centre: Array, contents: Array, densities: Array
) -> Lightship:
    mass = displacement.copy()
    moment = displacement[:, None] * centre
    if test.movements is not None:
        weights = test.movements.masses_t * (1.0 + errors.weight_mass_relative)
        mass -= weights.sum(axis=1)
        places = test.movements.initial_places_m() + errors.spot_m[:, test.movements.initial_spots]
        moment -= np.einsum("pw,pwc->pc", weights, places)
    liquid = contents[..., VOLUME_ROW] * densities
    mass -= liquid.sum(axis=1)
    moment -= np.einsum("pt,ptc->pc", liquid, contents[..., X_ROW : Z_ROW + 1])
    carried = test.carried
    each = carried.mass_t * (1.0 + errors.item_mass_relative)
    mass += each @ carried.sign
    stands = each * carried.sign
    moment += stands @ carried.at_m + each @ carried.move_m
    moved = np.where(carried.sign == 0.0, each, stands)
    moment += np.einsum("pi,pic->pc", moved, errors.item_position_m)
    with np.errstate(invalid="ignore"):
        lcg, tcg, vcg = (moment[:, i] / mass for i in range(3))
    return Lightship(mass + errors.unlisted_mass_t, lcg, tcg, vcg + errors.unlisted_moment_t_m / mass)
