"""Errors of the inputs: what the truth exceeds the record by, one row for each draw."""

from __future__ import annotations

from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import NDArray

from heelwright_service.core.prepared_test import PreparedTest

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Errors:
    """What the true inputs exceed the stated ones by; one row for each draw.

    Relative fields are shares of the stated value; `reading` is in tangents; `hog_kg_m` is the effect on KG of the
    hog's unknown share in the centre of mass; `item_position_m` of a misplaced item is the error of its way home.
    `spot_m` are places of the inclining weights: their y heels the ship, all three of the initial spots are deducted
    (the share of z in the heeling is below a thousandth of GM). `assumed_kg_m` is of a survey. `unlisted_mass_t` lies
    at the lightship's centre, `unlisted_moment_t_m` is about its VCG. `moved_water_relative` is of all water moved
    between tanks as weight; `lcb_m` is of a table that does not tell the shift of buoyancy by trim. `list_tangent` is
    the tangent of a list that neither the waterline nor an instrument tells.
    """

    height_m: Array
    density_t_per_m3: Array
    hull_volume_relative: Array
    km_m: Array
    hog_kg_m: Array
    weight_mass_relative: Array
    spot_m: Array
    length_m: Array
    reading: Array
    sounding_m: Array
    tank_volume_relative: Array
    item_mass_relative: Array
    item_position_m: Array
    assumed_kg_m: Array
    unlisted_mass_t: Array
    unlisted_moment_t_m: Array
    moved_water_relative: Array
    lcb_m: Array
    list_tangent: Array

    def __len__(self) -> int:
        return len(self.density_t_per_m3)

    def part(self, chosen: slice) -> Errors:
        """Take some of the draws.

        Parameters
        ----------
        chosen : slice
            Which rows.

        Returns
        -------
        Errors
            Those rows.
        """
        return Errors(**{field.name: getattr(self, field.name)[chosen] for field in fields(self)})


def no_errors(test: PreparedTest, count: int = 1) -> Errors:
    """Errors of zero: the inputs as stated.

    Parameters
    ----------
    test : PreparedTest
        The record made ready.
    count : int
        Number of rows.

    Returns
    -------
    Errors
        Zeros of the right shapes.
    """
    spots = 0 if test.movements is None else len(test.movements.spot_m)
    weights = 0 if test.movements is None else len(test.movements.masses_t)
    instruments = 0 if test.tangents is None else len(test.tangents.lengths_m)
    readings = 0 if test.tangents is None else len(test.tangents.tangents)
    items, tanks = len(test.carried.mass_t), len(test.tanks)
    return Errors(
        height_m=np.zeros((count, len(test.points.z_m))),
        density_t_per_m3=np.zeros(count),
        hull_volume_relative=np.zeros(count),
        km_m=np.zeros(count),
        hog_kg_m=np.zeros(count),
        weight_mass_relative=np.zeros((count, weights)),
        spot_m=np.zeros((count, spots, 3)),
        length_m=np.zeros((count, instruments)),
        reading=np.zeros((count, readings)),
        sounding_m=np.zeros((count, tanks)),
        tank_volume_relative=np.zeros((count, tanks)),
        item_mass_relative=np.zeros((count, items)),
        item_position_m=np.zeros((count, items, 3)),
        assumed_kg_m=np.zeros(count),
        unlisted_mass_t=np.zeros(count),
        unlisted_moment_t_m=np.zeros(count),
        moved_water_relative=np.zeros(count),
        lcb_m=np.zeros(count),
        list_tangent=np.zeros(count),
    )
