"""The price of a deviation: its signed effect on mass and centre of the lightship, and on which side it errs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from heelwright_service.core.arms import HydrostaticSource, source_for_copies
from heelwright_service.core.chain import Outcome, evaluate
from heelwright_service.core.errors import CoreError
from heelwright_service.core.record import TestRecord
from heelwright_service.core.reduction import Reduced, work_out
from heelwright_service.core.uncertainty.deviation import Deviation
from heelwright_service.core.uncertainty.deviation_kinds import KINDS, departed
from heelwright_service.core.uncertainty.remembered_source import RememberedSource

NEUTRAL_VCG_M = 0.0005
"""Below half a millimetre of VCG a deviation counts as neutral."""

NEUTRAL_MASS_RELATIVE = 1e-4


@dataclass(frozen=True)
class Price:
    """What one deviation does to the result when it is left as it is.

    Parameters
    ----------
    kind, text : str
        The deviation.
    mass_t, lcg_m, tcg_m, vcg_m : float or None
        What the deviation, unnoticed, adds to the computed lightship; None where not measured.
    kg_m, gm_fluid_m : float or None
        The same for KG and GM as inclined.
    side : {"safe", "unsafe", "neutral"}
        Unsafe when the ship looks more stable than she is.
    mass_side : {"safe", "unsafe", "neutral"}
        Unsafe when the ship looks lighter than she is.
    added_standard_uncertainty_m : float or None
        What leaving it adds to the standard uncertainty of VCG, the size being a limit that may be reached to one side.
    sentence : str
        The effect for people.
    """

    kind: str
    text: str
    mass_t: float
    lcg_m: float
    tcg_m: float | None
    vcg_m: float | None
    kg_m: float | None
    gm_fluid_m: float | None
    side: str
    mass_side: str
    added_standard_uncertainty_m: float | None
    sentence: str


@dataclass(frozen=True)
class DeviationAnswer:
    """One price for each deviation, in the order asked, and the cautions that go with all of them."""

    items: list[Price]
    cautions: list[str]


def price_deviations(
    record: TestRecord, deviations: Sequence[Deviation], pointer: str = "/deviations", record_pointer: str = ""
) -> DeviationAnswer:
    """Price departures from the procedure on a test's own model.

    Parameters
    ----------
    record : TestRecord
        The record as it stands.
    deviations : sequence of Deviation
        The departures with their sizes; each is priced by itself.
    pointer, record_pointer : str
        JSON Pointers of the list and of the record in the request.

    Returns
    -------
    DeviationAnswer
        The prices.

    Raises
    ------
    CoreError
        Naming the deviation, or what is wrong with the record.

    Notes
    -----
    Finite differences of the whole chain: with the deviation in the record less as it stands. A deviation left alone is
    taken as the limit of a rectangular distribution from nothing to its size, so it adds |effect|/√3 at the most
    (JCGM 100:2008, 4.3.8).
    """
    try:
        reduced = work_out(record)
    except CoreError as error:
        raise error.under(record_pointer) from error
    source = RememberedSource(source_for_copies(reduced.source))
    prices = [_price(reduced, source, deviation, f"{pointer}/{i}") for i, deviation in enumerate(deviations)]
    return DeviationAnswer(
        prices,
        [
            "Each price holds for its deviation alone and for the size given; several together may differ.",
            "Whether a deviation is accepted is for the person in charge and the authority's witness.",
        ],
    )


def _price(reduced: Reduced, source: HydrostaticSource, deviation: Deviation, pointer: str) -> Price:
    changed = departed(reduced, deviation, pointer)
    heeled = reduced.outcome.heeled is not None
    outcome = evaluate(changed.test, changed.errors, source, reduced.assumed_kg_m, heeled)
    light, wrong = reduced.outcome.lightship[reduced.best], outcome.lightship[reduced.best]
    mass, lcg, tcg, vcg = (
        float(getattr(wrong, name)[0] - getattr(light, name)[0]) for name in ("mass_t", "lcg_m", "tcg_m", "vcg_m")
    )
    kg, gm = (_inclined(outcome, name) - _inclined(reduced.outcome, name) for name in ("kg_m", "gm_fluid_m"))
    height = _known(vcg)
    relative = mass / float(light.mass_t[0])
    side = _side(height or 0.0, NEUTRAL_VCG_M)
    mass_side = _side(relative, NEUTRAL_MASS_RELATIVE)
    return Price(
        deviation.kind,
        KINDS[deviation.kind].text,
        mass,
        lcg,
        _known(tcg),
        height,
        _known(kg),
        _known(gm),
        side,
        mass_side,
        None if height is None else abs(height) / float(np.sqrt(3.0)),
        _sentence(mass, height, side, mass_side),
    )


def _inclined(outcome: Outcome, name: str) -> float:
    fit = outcome.heeled or outcome.small_angle
    return float("nan") if fit is None else float(getattr(fit, name)[0])


def _side(value: float, neutral: float) -> str:
    if abs(value) < neutral:
        return "neutral"
    return "safe" if value > 0.0 else "unsafe"


def _known(value: float) -> float | None:
    return None if np.isnan(value) else value


def _sentence(mass: float, height: float | None, side: str, mass_side: str) -> str:
    words = {"safe": "on the safe side", "unsafe": "on the unsafe side", "neutral": "on neither side"}
    heavier = f"lightship {abs(mass):.3g} t too {'heavy' if mass > 0.0 else 'light'}" if mass_side != "neutral" else ""
    if height is None:
        return (heavier or "no effect on the mass") + f", {words[mass_side]}."
    higher = f"VCG {abs(height) * 1000.0:.0f} mm too {'high' if height > 0.0 else 'low'}" if side != "neutral" else ""
    parts = [part for part in (higher, heavier) if part]
    return (", ".join(parts) or "VCG and mass unchanged") + f": {words[side]}."
