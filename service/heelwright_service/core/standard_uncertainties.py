"""Standard uncertainties of the inputs: those that the record states, else defaults by kind with their source."""

from __future__ import annotations

from dataclasses import dataclass, fields

from heelwright_service.core.record import TestRecord


@dataclass(frozen=True)
class Default:
    """A standard uncertainty that stands when the record gives none.

    Parameters
    ----------
    value : float
        Standard uncertainty, in the unit of the field's name.
    source : str
        Where the figure comes from, or ``office default``.
    """

    value: float
    source: str


OFFICE = "office default"

DEFAULTS: dict[str, Default] = {
    "draught_m": Default(0.005, f"{OFFICE}: a draught read from a boat in ordinary conditions"),
    "freeboard_m": Default(0.005, f"{OFFICE}: a freeboard taped in ordinary conditions"),
    "density_t_per_m3": Default(0.0005, f"{OFFICE}: half a division of a draught-survey hydrometer"),
    "reading_m": Default(0.001, f"{OFFICE}: a settled pendulum read to a millimetre"),
    "reading_deg": Default(0.005, f"{OFFICE}: an inclinometer averaged over whole oscillations"),
    "pendulum_length_m": Default(0.002, f"{OFFICE}: a length taped to the nearest few millimetres"),
    "weight_mass_relative": Default(0.005, f"{OFFICE}: no regulator states a tolerance for certified weights"),
    "weight_position_m": Default(0.01, f"{OFFICE}: a distance taped between marks on deck"),
    "sounding_m": Default(0.005, f"{OFFICE}: a sounding by tape"),
    "tank_volume_relative": Default(0.005, f"{OFFICE}: tank table and density of its contents together"),
    "item_mass_relative": Default(0.1, f"{OFFICE}: an estimated mass"),
    "item_position_m": Default(0.2, f"{OFFICE}: a place taken from frame and deck"),
    "hull_volume_relative": Default(0.002, f"{OFFICE}: hull model against the ship as built"),
    "km_m": Default(0.005, f"{OFFICE}: hull model or table against the ship as built"),
}


@dataclass(frozen=True)
class StandardUncertainties:
    """Standard uncertainties in force for one record; the unit is in each name."""

    draught_m: float
    freeboard_m: float
    density_t_per_m3: float
    reading_m: float
    reading_deg: float
    pendulum_length_m: float
    weight_mass_relative: float
    weight_position_m: float
    sounding_m: float
    tank_volume_relative: float
    item_mass_relative: float
    item_position_m: float
    hull_volume_relative: float
    km_m: float


def standard_uncertainties(record: TestRecord) -> StandardUncertainties:
    """Take the stated standard uncertainties of a record and fill the gaps with the defaults.

    Parameters
    ----------
    record : TestRecord
        The record; a stated 0 stands.

    Returns
    -------
    StandardUncertainties
        One value for each kind of input.

    Examples
    --------
    >>> from heelwright_service.core.record import Vessel, Water
    >>> standard_uncertainties(TestRecord(Vessel(50.0), Water([]))).draught_m
    0.005
    """
    stated = {field.name: getattr(record.uncertainties, field.name) for field in fields(record.uncertainties)}
    return StandardUncertainties(**{name: DEFAULTS[name].value if v is None else v for name, v in stated.items()})
