"""The running total of logged alterations: net, aggregate, and the lightship that they lead to by calculation."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from heelwright_service.core.drift.answer import Delta, Estimate, LightshipValues, NetChange
from heelwright_service.core.drift.request import Alteration, AlterationUncertainties, StandardUncertainties
from heelwright_service.core.errors import CoreError

MASS_PERCENT = 5.0  # office default: standard uncertainty of the mass of an alteration
POSITION_M = 0.25  # office default: standard uncertainty of each coordinate of its centre

Vector = tuple[float, float, float]


@dataclass(frozen=True)
class Calculation:
    """What the log makes of the baseline.

    Parameters
    ----------
    net : NetChange
        Signed mass [t] and moments [t·m].
    aggregate_t : Estimate
        Sum of all masses without their sign [t].
    entries : int
        How many alterations were counted.
    delta : Delta
        Change of the lightship; the baseline's own error is in both and leaves only its small share.
    lightship : LightshipValues
        The lightship by calculation, with the baseline's uncertainty and the log's.
    """

    net: NetChange
    aggregate_t: Estimate
    entries: int
    delta: Delta
    lightship: LightshipValues


def calculate(baseline: LightshipValues, alterations: Sequence[Alteration], as_of: str) -> Calculation:
    """Bring a baseline up to date by its logged alterations.

    Parameters
    ----------
    baseline : LightshipValues
        The lightship that the log starts from [t, m].
    alterations : sequence of Alteration
        Entries since then; those after `as_of` are not counted.
    as_of : str
        Day up to which entries count, ISO 8601.

    Returns
    -------
    Calculation
        ``aggregate = sum |added| + sum |removed| + sum |relocated|`` (46 CFR 144.315 (a)); the net counts signs, and a
        relocation adds moment only.

    Raises
    ------
    CoreError
        ``mass-removed-exceeds`` where nothing of the ship would be left.
    """
    counted = [each for each in alterations if each.date <= as_of]
    net = NetChange(sum(signed_mass(each) for each in counted), *_moments(counted))
    mass_t = baseline.mass_t + net.mass_t
    if mass_t <= 0.0:
        raise CoreError(
            "mass-removed-exceeds",
            f"The alterations remove {-net.mass_t:g} t from a lightship of {baseline.mass_t:g} t.",
            "/alterations",
        )
    spread = math.hypot(*(_standard(each).mass_t or 0.0 for each in counted if each.kind != "relocated"))
    delta = Delta(
        mass_t=Estimate(net.mass_t, spread),
        lcg_m=_shift(baseline, baseline.lcg_m, baseline.standard.lcg_m, counted, mass_t, 0),
        tcg_m=_shift_or_none(baseline, baseline.tcg_m, baseline.standard.tcg_m, counted, mass_t, 1),
        vcg_m=_shift_or_none(baseline, baseline.vcg_m, baseline.standard.vcg_m, counted, mass_t, 2),
    )
    masses = [each.mass_t for each in counted]
    aggregate = Estimate(sum(masses), math.hypot(*(_standard(each).mass_t or 0.0 for each in counted)))
    return Calculation(net, aggregate, len(counted), delta, _moved(baseline, delta, as_of))


def signed_mass(alteration: Alteration) -> float:
    """Return what an alteration adds to the mass [t]: nothing for a relocation.

    Parameters
    ----------
    alteration : Alteration
        One entry of the log.

    Returns
    -------
    float
        Positive for an addition, negative for a removal [t].
    """
    return {"added": 1.0, "removed": -1.0, "relocated": 0.0}[alteration.kind] * alteration.mass_t


def _start(alteration: Alteration) -> Vector:
    return alteration.x_m, alteration.y_m, alteration.z_m


def _end(alteration: Alteration) -> Vector:
    return alteration.to_x_m or 0.0, alteration.to_y_m or 0.0, alteration.to_z_m or 0.0


def _lever(alteration: Alteration, axis: int) -> float:
    """Signed distance that the mass counts with: its place, or how far it was moved."""
    if alteration.kind == "relocated":
        return _end(alteration)[axis] - _start(alteration)[axis]
    return math.copysign(1.0, signed_mass(alteration)) * _start(alteration)[axis]


def _moments(alterations: Sequence[Alteration]) -> Vector:
    x, y, z = (sum(each.mass_t * _lever(each, axis) for each in alterations) for axis in range(3))
    return x, y, z


def _standard(alteration: Alteration) -> AlterationUncertainties:
    stated = alteration.uncertainties or AlterationUncertainties()
    mass = MASS_PERCENT / 100.0 * alteration.mass_t if stated.mass_t is None else stated.mass_t
    return AlterationUncertainties(mass, POSITION_M if stated.position_m is None else stated.position_m)


def _shift(
    baseline: LightshipValues,
    centre: float,
    standard: float | None,
    alterations: Sequence[Alteration],
    mass_t: float,
    axis: int,
) -> Estimate:
    """Change of one coordinate of the centre: ``(sum m l - net c0)/W`` with ``l`` the signed lever."""
    shift = sum(each.mass_t * _lever(each, axis) - signed_mass(each) * centre for each in alterations) / mass_t
    moved = centre + shift
    terms = [shift * (baseline.standard.mass_t or 0.0), (baseline.mass_t - mass_t) * (standard or 0.0)]
    for each in alterations:
        known, sign = _standard(each), signed_mass(each) / each.mass_t
        ends = math.sqrt(2.0) if each.kind == "relocated" else 1.0
        terms.append((_lever(each, axis) - sign * moved) * (known.mass_t or 0.0))
        terms.append(ends * each.mass_t * (known.position_m or 0.0))
    return Estimate(shift, math.hypot(*terms) / mass_t)


def _shift_or_none(
    baseline: LightshipValues,
    centre: float | None,
    standard: float | None,
    alterations: Sequence[Alteration],
    mass_t: float,
    axis: int,
) -> Estimate | None:
    return None if centre is None else _shift(baseline, centre, standard, alterations, mass_t, axis)


def _moved(baseline: LightshipValues, delta: Delta, as_of: str) -> LightshipValues:
    old = baseline.standard
    return LightshipValues(
        date=as_of,
        basis="calculation",
        mass_t=baseline.mass_t + delta.mass_t.value,
        lcg_m=baseline.lcg_m + delta.lcg_m.value,
        tcg_m=_plus(baseline.tcg_m, delta.tcg_m),
        vcg_m=_plus(baseline.vcg_m, delta.vcg_m),
        standard=StandardUncertainties(
            mass_t=math.hypot(old.mass_t or 0.0, delta.mass_t.standard),
            lcg_m=math.hypot(old.lcg_m or 0.0, delta.lcg_m.standard),
            tcg_m=_joint(old.tcg_m, delta.tcg_m),
            vcg_m=_joint(old.vcg_m, delta.vcg_m),
        ),
        standard_source="baseline and logged alterations",
    )


def _plus(value: float | None, change: Estimate | None) -> float | None:
    return None if value is None or change is None else value + change.value


def _joint(standard: float | None, change: Estimate | None) -> float | None:
    return None if standard is None or change is None else math.hypot(standard, change.standard)
