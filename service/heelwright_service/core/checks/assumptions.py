"""What a result rests on without having been measured, said every time."""

from __future__ import annotations

from heelwright_service.core.ballast import APPROVAL
from heelwright_service.core.checks.inputs import CheckInput
from heelwright_service.core.checks.verdicts import Caution
from heelwright_service.core.model_acceptance import acceptance_caution
from heelwright_service.core.rules import rule_set
from heelwright_service.core.standard_uncertainties import DEFAULTS
from heelwright_service.core.words import listed, number

DEFERENCE = (
    "This result informs; it approves nothing. The flag Administration or its recognized organization, local codes "
    "and a licensed practitioner decide."
)

_INPUTS = {
    "draught_m": ("draughts", "mm", 1000.0),
    "freeboard_m": ("freeboards", "mm", 1000.0),
    "density_t_per_m3": ("density of the water", "t/m³", 1.0),
    "reading_m": ("pendulum and U-tube readings", "mm", 1000.0),
    "reading_deg": ("inclinometer readings", "°", 1.0),
    "pendulum_length_m": ("pendulum lengths", "mm", 1000.0),
    "weight_mass_relative": ("masses of the inclining weights", "%", 100.0),
    "weight_position_m": ("places of the inclining weights", "mm", 1000.0),
    "sounding_m": ("soundings", "mm", 1000.0),
    "tank_volume_relative": ("tank volumes", "%", 100.0),
    "item_mass_relative": ("masses of items and persons", "%", 100.0),
    "item_position_m": ("places of items and persons", "mm", 1000.0),
    "hull_volume_relative": ("volume of the hull model", "%", 100.0),
    "km_m": ("KM", "mm", 1000.0),
}


def cautions(given: CheckInput) -> list[Caution]:
    """Say what was assumed.

    Parameters
    ----------
    given : CheckInput
        The reduction.

    Returns
    -------
    list of Caution
        Water that serves as weight, defaults of uncertainties, a model never accepted, hydrostatics, ullages, tanks
        without a shape, rule set, and who decides.
    """
    never_accepted = acceptance_caution(given.record)
    model = [] if never_accepted is None else [Caution(never_accepted)]
    water = [] if given.test.ballast is None else [Caution(APPROVAL)]
    assumed = [*_uncertainties(given), *model, *_hydrostatics(given), *_tanks(given), *_rule_set(given)]
    return [*water, *assumed, Caution(DEFERENCE)]


def default_inputs(given: CheckInput) -> list[str]:
    """Inputs of this record whose uncertainty is a default.

    Parameters
    ----------
    given : CheckInput
        The reduction.

    Returns
    -------
    list of str
        Field names of `StatedUncertainties`.
    """
    record = given.record
    kinds = {one.kind for one in record.instruments}
    with_length, inclining = bool(kinds - {"inclinometer"}), not given.is_survey
    present = {
        "draught_m": bool(record.draughts),
        "freeboard_m": bool(record.freeboards),
        "reading_m": with_length and inclining,
        "reading_deg": "inclinometer" in kinds and inclining,
        "pendulum_length_m": with_length and inclining,
        "weight_mass_relative": inclining,
        "weight_position_m": inclining,
        "sounding_m": bool(record.soundings),
        "tank_volume_relative": bool(record.soundings),
        "item_mass_relative": bool(record.items or record.persons),
        "item_position_m": bool(record.items or record.persons),
        "km_m": inclining,
    }
    return [name for name in _INPUTS if present.get(name, True) and getattr(record.uncertainties, name) is None]


def _uncertainties(given: CheckInput) -> list[Caution]:
    names = default_inputs(given)
    if not names:
        return []
    told = "; ".join(
        f"{words} {number(DEFAULTS[name].value * factor, 4).rstrip('0').rstrip('.')} {unit}"
        for name, (words, unit, factor) in _INPUTS.items()
        if name in names
    )
    return [Caution(f"Standard uncertainties taken by default, because the record states none: {told}.")]


def _hydrostatics(given: CheckInput) -> list[Caution]:
    if given.hull is not None:
        allowance = given.hull.shell_allowance_relative * 100.0
        shell = f"an allowance of {number(allowance, 2)} % of the volume" if allowance else "no allowance"
        text = f"The hull form is taken as given, moulded, with {shell} for the shell"
        return [Caution(f"{text}; draughts are counted from the moulded baseline.")]
    found = [
        Caution(
            "A hydrostatic table served: three quarters of the hog count as draught, the list moves the centre of "
            "buoyancy by BM times its tangent, and the metacentre is fixed. Draughts are moulded."
        )
    ]
    if given.table is not None and given.table.lacks_trim_shift:
        doubt = given.table.trim_shift_standard_m(given.outcome.planes)
        found.append(
            Caution(
                "The table gives neither trims nor KM_L: the shift of the centre of buoyancy by trim was estimated "
                f"from the waterplane's area, which leaves the LCG a doubt of {number(doubt, 2)} m of its own. "
                "Give km_l_m in every row, a table with trims, or the hull form."
            )
        )
    return found


def _tanks(given: CheckInput) -> list[Caution]:
    found = []
    ullages = [tank for tank in given.test.tanks if tank.sounding.ullage_m is not None]
    if ullages:
        told = listed([f"{t.tank.name} (from {number(t.tank.table[-1].sounding_m, 3)} m)" for t in ullages])
        found.append(Caution(f"Ullages were counted down from the last row of the tank's table: {told}."))
    plain = [t.tank.name for t in given.test.tanks if t.sounding.state == "slack" and t.shape is None]
    if plain and not given.is_survey:
        text = "slack without a given shape, so the free surface is that of vertical sides at its level."
        found.append(Caution(f"{listed(plain)}: {text}"))
    return found


def _rule_set(given: CheckInput) -> list[Caution]:
    if given.record.test.rule_set is not None:
        return []
    used = rule_set()
    text = f"The record names no rule set, so {used.name} ({used.id}) and the general figures of conduct were used."
    return [Caution(text)]
