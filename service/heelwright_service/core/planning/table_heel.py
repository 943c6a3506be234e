"""A ship of which a hydrostatic table is known: KM and waterplane by the table, the line of heel straight."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from heelwright_service.core.errors import CoreError
from heelwright_service.core.hydrostatic_table import HydrostaticTable
from heelwright_service.core.planes import Planes
from heelwright_service.core.planning.heel_model import Afloat, Loading, StraightLine, Values
from heelwright_service.core.planning.settled import settle

Array = NDArray[np.float64]

POINTS = 400
STRAIGHT = (
    "A hydrostatic table tells nothing of the ship at heel or trimmed by the weights: the line of heel is taken as "
    "straight, at the table's KM on an even keel. Give the hull form for true equilibrium."
)


@dataclass(frozen=True, eq=False)
class TableHeel(StraightLine):
    """KM by a hydrostatic table on an even keel.

    Parameters
    ----------
    table : HydrostaticTable
        The table.
    displacement_t, draught_m, density_t_per_m3 : float
        Without the weights [t], [m]; density of the water that fits them [t/m³].
    assumptions : tuple of str
        Sentences for the plan's cautions.
    """

    table: HydrostaticTable
    displacement_t: float
    draught_m: float
    density_t_per_m3: float
    assumptions: tuple[str, ...]

    @classmethod
    def of(cls, table: HydrostaticTable, displacement_t: float, draught_m: float) -> TableHeel:
        """Bring displacement, draught and table together.

        Parameters
        ----------
        table : HydrostaticTable
            The table.
        displacement_t, draught_m : float
            Without the weights [t], [m].

        Returns
        -------
        TableHeel
            The model.

        Raises
        ------
        CoreError
            ``draught-outside-table`` or ``draught-mismatch``.
        """

        def volume_m3(draught: float) -> float:
            return float(table.at(Planes.of(table.length_bp_m, draught)).volume_m3[0])

        settled = settle(
            displacement_t, draught_m, volume_m3, (float(table.draughts_m[0]), float(table.draughts_m[-1]))
        )
        return cls(table, displacement_t, settled.draught_m, settled.density_t_per_m3, (settled.text, STRAIGHT))

    @cached_property
    def _curve(self) -> tuple[Array, Array, Array]:
        """Added mass [t], rise of displacement times KM [t·m] and sinkage [m], up to the table's end."""
        draught = np.linspace(self.draught_m, float(self.table.draughts_m[-1]), POINTS)
        found = self.table.at(Planes.of(self.table.length_bp_m, draught))
        mass = found.volume_m3 * self.density_t_per_m3
        product = mass * found.km_t_m
        return mass - mass[0], product - product[0], draught - self.draught_m

    def gain_t_m(self, mass_t: Values, moment_x_t_m: Values) -> Array:
        """Rise of displacement times KM.

        Parameters
        ----------
        mass_t, moment_x_t_m : float or ndarray
            Mass of the weights [t] and its moment along [t·m]; the latter plays no part here.

        Returns
        -------
        ndarray
            B [t·m].
        """
        added, gain, _ = self._curve
        return np.asarray(np.interp(np.asarray(mass_t, float), added, gain) + 0.0 * np.asarray(moment_x_t_m))

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
        added, _, sinkage = self._curve
        return np.asarray(np.interp(np.asarray(mass_t, float), added, sinkage))

    def afloat(self, moments_t_m: Array, gm_m: Values, loading: Loading) -> Afloat:
        """Heel by the straight line.

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

        Raises
        ------
        CoreError
            ``draught-outside-table`` where the weights sink the ship beyond the table.
        """
        if loading.mass_t > self._curve[0][-1]:
            raise CoreError(
                "draught-outside-table",
                f"With {loading.mass_t:g} t of weights the ship floats deeper than the table's last draught of "
                f"{self.table.draughts_m[-1]:g} m; extend the table.",
                "/vessel/hydrostatic_table/rows",
            )
        return super().afloat(moments_t_m, gm_m, loading)
