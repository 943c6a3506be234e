"""How the ship will float in the planned condition: contents of the tanks, masses, draught, trim, list and GM."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from heelwright_service.core.campaign.tank_document import PlannedTank, TankAnswer, TankPlan
from heelwright_service.core.equilibrium import float_free
from heelwright_service.core.errors import CoreError
from heelwright_service.core.hull import Hull
from heelwright_service.core.hydrostatics import hydrostatics
from heelwright_service.core.liquids import I_L_ROW, I_T_ROW, VOLUME_ROW, X_ROW, Y_ROW, Z_ROW, sounded_tanks
from heelwright_service.core.planes import Planes
from heelwright_service.core.record import Sounding, Tank


@dataclass(frozen=True)
class Mass:
    """A mass with its centre: tonnes and metres; what is taken off counts negative."""

    name: str
    mass_t: float
    x_m: float
    y_m: float
    z_m: float


@dataclass(frozen=True)
class TankContents:
    """What a tank holds when planned: volume, mass, centre, fill and free-surface moment."""

    tank: str
    state: str
    volume_m3: float
    mass_t: float
    fill_percent: float
    x_m: float
    y_m: float
    z_m: float
    free_surface_moment_t_m: float
    longitudinal_free_surface_moment_t_m: float


@dataclass(frozen=True)
class PlannedCondition:
    """The planned condition; what needs a hull form is None without one.

    Parameters
    ----------
    displacement_t, lcg_m, tcg_m, vcg_m : float
        Displacement and centre, liquids at their level centres.
    free_surface_moment_t_m : float
        Sum over the slack tanks [t·m].
    gm_fluid_m : float or None
        Metacentric height less the free-surface correction [m].
    draught_mid_m, trim_m, heel_deg, km_t_m : float or None
        Floating position: trim by the stern positive, heel to starboard positive.
    tanks : tuple of TankContents
        Row by row.
    cautions : tuple of str
        What the figures rest on.
    """

    displacement_t: float
    lcg_m: float
    tcg_m: float
    vcg_m: float
    free_surface_moment_t_m: float
    gm_fluid_m: float | None
    draught_mid_m: float | None
    trim_m: float | None
    heel_deg: float | None
    km_t_m: float | None
    tanks: tuple[TankContents, ...]
    cautions: tuple[str, ...]

    @property
    def stiffness_t_m(self) -> float | None:
        """Displacement times GM, the moment for a tangent of one [t·m]."""
        return None if self.gm_fluid_m is None else self.displacement_t * self.gm_fluid_m


STRENGTH_CAUTION = (
    "Longitudinal and local strength of the planned condition are not computed here; the practitioner checks them."
)


def tank_contents(tanks: Sequence[Tank], planned: Sequence[PlannedTank]) -> list[TankContents]:
    """Look up what the planned tanks hold by their tables, which says all of it for a level, upright ship.

    Parameters
    ----------
    tanks : sequence of Tank
        The vessel's tanks.
    planned : sequence of PlannedTank
        Their planned states; a space without a table may only be empty.

    Returns
    -------
    list of TankContents
        In the order of the plan.

    Raises
    ------
    CoreError
        ``tank-without-table``, ``density-missing``, ``level-missing``, ``tank-planned-twice`` or what the sounding
        tables refuse, naming the tank.
    """
    known = {tank.name: tank for tank in tanks}
    level_planes = Planes.of(1.0, 0.0)
    found = []
    for i, plan in enumerate(planned):
        pointer = f"/tanks/{i}"
        if any(plan.tank == earlier.tank for earlier in planned[:i]):
            raise CoreError("tank-planned-twice", f"Tank '{plan.tank}' is planned twice.", f"{pointer}/tank")
        tank = known.get(plan.tank)
        if tank is None:
            found.append(_without_table(plan, pointer))
            continue
        sounding = _as_sounding(tank, plan, pointer)
        try:
            joined = sounded_tanks([replace(tank, geometry=None)], [sounding])[0]
        except CoreError as error:
            raise CoreError(error.code, error.message, pointer) from error
        row = joined.contents(np.zeros(1), level_planes)[0]
        mass = float(row[VOLUME_ROW]) * sounding.density_t_per_m3
        found.append(
            TankContents(
                plan.tank,
                plan.state,
                float(row[VOLUME_ROW]),
                mass,
                100.0 * float(row[VOLUME_ROW]) / tank.capacity_m3,
                float(row[X_ROW]),
                float(row[Y_ROW]),
                float(row[Z_ROW]),
                float(row[I_T_ROW]) * sounding.density_t_per_m3,
                float(row[I_L_ROW]) * sounding.density_t_per_m3,
            )
        )
    return found


def planned_condition(
    solids: Sequence[Mass],
    tanks: Sequence[Tank],
    planned: Sequence[PlannedTank],
    water_density_t_per_m3: float,
    hull: Hull | None = None,
) -> PlannedCondition:
    """Sum the masses of the planned condition and float it.

    Parameters
    ----------
    solids : sequence of Mass
        Assumed lightship, weights, people and expected items; what will be missing counts negative.
    tanks, planned
        As in `tank_contents`.
    water_density_t_per_m3 : float
        Density of the water expected alongside [t/m³].
    hull : Hull, optional
        Without one only masses and free surfaces are known.

    Returns
    -------
    PlannedCondition
        The condition.

    Raises
    ------
    CoreError
        As `tank_contents`; ``nothing-to-float`` without a positive displacement; ``no-equilibrium`` when she does not
        float.
    """
    contents = tank_contents(tanks, planned)
    rows = [*solids, *(Mass(each.tank, each.mass_t, each.x_m, each.y_m, each.z_m) for each in contents)]
    mass = sum(row.mass_t for row in rows)
    if mass <= 0.0:
        raise CoreError("nothing-to-float", "The planned condition has no mass; give the assumed lightship.", "")
    x, y, z = (sum(row.mass_t * getattr(row, axis) for row in rows) / mass for axis in ("x_m", "y_m", "z_m"))
    surface = sum(each.free_surface_moment_t_m for each in contents)
    gm = draught = trim = heel = km = None
    if hull is not None:
        gm, draught, trim, heel, km = _floated(hull, mass, (x, y, z), surface, water_density_t_per_m3)
    cautions: tuple[str, ...] = (STRENGTH_CAUTION,)
    if hull is None:
        cautions += ("Without a hull form draught, trim, list and GM of the planned condition are not known.",)
    return PlannedCondition(mass, x, y, z, surface, gm, draught, trim, heel, km, tuple(contents), cautions)


def as_offered(plan: TankPlan, answers: Sequence[TankAnswer]) -> TankPlan:
    """Return the plan with every tank that the ship cannot bring about put as she offers it.

    Parameters
    ----------
    plan : TankPlan
        The plan.
    answers : sequence of TankAnswer
        The latest answer for a tank counts.

    Returns
    -------
    TankPlan
        The same tanks; a refusal without an offer leaves a tank as planned.
    """
    latest = {answer.tank: answer for answer in answers}
    return replace(plan, tanks=[_offered(tank, latest.get(tank.tank)) for tank in plan.tanks])


def _offered(tank: PlannedTank, answer: TankAnswer | None) -> PlannedTank:
    if answer is None or answer.answer == "agreed" or answer.offered_state is None:
        return tank
    density = answer.offered_density_t_per_m3
    return replace(
        tank,
        state=answer.offered_state,
        sounding_m=answer.offered_sounding_m,
        fill_percent=answer.offered_fill_percent,
        density_t_per_m3=tank.density_t_per_m3 if density is None else density,
    )


def _without_table(plan: PlannedTank, pointer: str) -> TankContents:
    if plan.state != "empty":
        raise CoreError(
            "tank-without-table",
            f"'{plan.tank}' is not among the vessel's tanks, so it can only be planned empty; add its table.",
            f"{pointer}/tank",
        )
    return TankContents(plan.tank, "empty", 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0)


def _as_sounding(tank: Tank, plan: PlannedTank, pointer: str) -> Sounding:
    density = plan.density_t_per_m3
    if density is None:
        if plan.state != "empty":
            raise CoreError(
                "density-missing",
                f"Tank '{plan.tank}' is planned {plan.state}; give the density of its contents, it is never assumed.",
                f"{pointer}/density_t_per_m3",
            )
        density = 1.0
    level = plan.sounding_m
    if plan.state == "slack" and level is None:
        level = _level_of_fill(tank, plan, pointer)
    return Sounding(plan.tank, plan.state, density, level if plan.state == "slack" else None)


def _level_of_fill(tank: Tank, plan: PlannedTank, pointer: str) -> float:
    if plan.fill_percent is None:
        raise CoreError(
            "level-missing",
            f"Tank '{plan.tank}' is planned slack; give its planned sounding_m or fill_percent.",
            f"{pointer}/sounding_m",
        )
    volume = 0.01 * plan.fill_percent * tank.capacity_m3
    volumes = [row.volume_m3 for row in tank.table]
    return float(np.interp(volume, volumes, [row.sounding_m for row in tank.table]))


def _floated(
    hull: Hull, mass_t: float, centre: tuple[float, float, float], surface_t_m: float, density_t_per_m3: float
) -> tuple[float, float, float, float, float]:
    """GM, draught amidships, trim, heel and KM at the floating position, KM of the ship without her list."""
    planes = float_free(hull, mass_t, centre[0], centre[1], centre[2] + surface_t_m / mass_t, density_t_per_m3)
    upright = hydrostatics(hull, replace(planes, slope_y=np.zeros(1)))
    km = float(upright.km_t_m[0])
    return (
        km - centre[2] - surface_t_m / mass_t,
        float(planes.draught_mid_m[0]),
        float(planes.trim_m[0]),
        float(planes.heel_deg[0]),
        km,
    )
