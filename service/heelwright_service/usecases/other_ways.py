"""Other ways to a centre, each said to be what it is; nothing is stored."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, cast

from heelwright_service.core.documents import from_document, to_document
from heelwright_service.core.other_ways.air_inclining import AirIncliningRequest, reduce_air_inclining
from heelwright_service.core.other_ways.roll_period import gm_from_roll_period
from heelwright_service.core.other_ways.weighing import LoadCell, Tare, WeighedCraft, weigh, weighing_cautions

_WEIGHING_OPTIONS = ("position_standard_uncertainty_m", "calibration_relative")
_ROLL_OPTIONS = ("coefficient", "coefficient_uncertainty_relative")


@dataclass(frozen=True)
class Weighed:
    """Mass and horizontal centre of a craft with standard uncertainties, and what they are."""

    mass_t: float
    lcg_m: float
    tcg_m: float
    vcg_m: float | None
    mass_standard_uncertainty_t: float
    lcg_standard_uncertainty_m: float
    tcg_standard_uncertainty_m: float
    label: str
    cautions: list[str]


def check_roll_period(request: Mapping[str, Any]) -> dict[str, Any]:
    """Estimate GM from timed free rolling: a rough cross-check that shows no compliance.

    Parameters
    ----------
    request : Mapping
        ``breadth_m``, ``runs`` of ``duration_s`` and ``oscillations``, and a coefficient, of checked shape.

    Returns
    -------
    dict
        Period, GM, its standard uncertainty, the label and cautions.
    """
    runs = request["runs"]
    found = gm_from_roll_period(
        request["breadth_m"],
        [run["duration_s"] for run in runs],
        [run["oscillations"] for run in runs],
        **{name: request[name] for name in _ROLL_OPTIONS if name in request},
    )
    return cast(dict[str, Any], to_document(found))


def weigh_craft(request: Mapping[str, Any]) -> dict[str, Any]:
    """Reduce load cell readings to mass, LCG and TCG; a weighing gives no height.

    Parameters
    ----------
    request : Mapping
        ``cells`` and ``tares``, of checked shape.

    Returns
    -------
    dict
        As :class:`Weighed`.

    Raises
    ------
    CoreError
        When nothing is left of the load.
    """
    cells = [from_document(LoadCell, cell) for cell in request["cells"]]
    tares = [from_document(Tare, tare) for tare in request.get("tares", [])]
    options = {name: request[name] for name in _WEIGHING_OPTIONS if name in request}
    craft = weigh(cells, tares, **options)
    return cast(dict[str, Any], to_document(_labelled(craft, weighing_cautions(cells, craft))))


def incline_in_air(request: Mapping[str, Any]) -> dict[str, Any]:
    """Find the height of a hung craft's centre from recorded states and readings.

    Parameters
    ----------
    request : Mapping
        As :class:`~heelwright_service.core.other_ways.air_inclining.AirIncliningRequest`, of checked shape.

    Returns
    -------
    dict
        VCG with its standard uncertainty, the label and cautions.

    Raises
    ------
    CoreError
        Naming the field whenever the record makes no sense.
    """
    return cast(dict[str, Any], to_document(reduce_air_inclining(from_document(AirIncliningRequest, request))))


def _labelled(craft: WeighedCraft, cautions: list[str]) -> Weighed:
    return Weighed(
        craft.mass_t,
        craft.lcg_m,
        craft.tcg_m,
        None,
        craft.mass_standard_uncertainty_t,
        craft.lcg_standard_uncertainty_m,
        craft.tcg_standard_uncertainty_m,
        "weighed on load cells: mass and horizontal centre, no height",
        cautions,
    )
