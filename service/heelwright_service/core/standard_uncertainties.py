"""Standard uncertainties of the inputs: those that the record states, else defaults by kind with their source."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import NDArray

from heelwright_service.core.record import DraughtReading, FreeboardReading, Mark, TestRecord

Array = NDArray[np.float64]


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
    "sounding_datum_m": Default(0.003, f"{OFFICE}: one tape and one way of reading it for all tanks"),
    "unlisted_mass_t": Default(0.0, f"{OFFICE}: everything aboard is listed"),
    "unlisted_moment_t_m": Default(0.0, f"{OFFICE}: everything aboard is listed"),
}

CONDITION_FACTORS = {"tube": 0.6, "boat": 1.0, "quay": 2.0, "waves": 3.0, "hard-to-read": 3.0}
"""How much less certain a draught or freeboard is than from a boat in calm water: in a still-water tube, from the quay,
in waves, or at a mark that is worn, unlit or on curved plating (office defaults)."""

UNVERIFIED_MARK_FACTOR = 2.0
"""How much less certain a draught is at a mark whose place was never verified in dock (office default; 2008 IS Code
part B, annex 1, 4.2.5 lets a mark stand for a freeboard only where it was)."""


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
    sounding_datum_m: float
    unlisted_mass_t: float
    unlisted_moment_t_m: float


def standard_uncertainties(record: TestRecord) -> StandardUncertainties:
    """Take the stated standard uncertainties of a record and fill the gaps with the defaults.

    Parameters
    ----------
    record : TestRecord
        The record; a stated 0 stands. A stated `sounding_m` without a `sounding_datum_m` is the whole error of a
        sounding.

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
    if stated["sounding_m"] is not None and stated["sounding_datum_m"] is None:
        stated["sounding_datum_m"] = 0.0
    return StandardUncertainties(**{name: DEFAULTS[name].value if v is None else v for name, v in stated.items()})


def heights_standard_m(
    draughts: Sequence[DraughtReading],
    freeboards: Sequence[FreeboardReading],
    standard: StandardUncertainties,
    marks: Sequence[Mark] = (),
) -> Array:
    """Standard uncertainty of each point of the water surface.

    Parameters
    ----------
    draughts, freeboards : sequence of DraughtReading, sequence of FreeboardReading
        The readings.
    standard : StandardUncertainties
        In force for the record.
    marks : sequence of Mark
        The vessel's marks, for those that were never verified.

    Returns
    -------
    ndarray
        Draughts first [m], shape (m,): the reading's own figure where it has one, else that of its kind times the
        factors of its condition and of a mark never verified in dock.

    Examples
    --------
    >>> from heelwright_service.core.record import Vessel, Water
    >>> standard = standard_uncertainties(TestRecord(Vessel(50.0), Water([])))
    >>> heights_standard_m([DraughtReading("A", 2.0), DraughtReading("B", 2.0, "quay")], [], standard).tolist()
    [0.005, 0.01]
    """
    doubtful = {mark.name for mark in marks if mark.verified == "not-verified"}
    factors = [UNVERIFIED_MARK_FACTOR if one.mark in doubtful else 1.0 for one in draughts]
    kinds: list[tuple[DraughtReading | FreeboardReading, float]] = [
        (one, standard.draught_m * factor) for one, factor in zip(draughts, factors, strict=True)
    ]
    kinds += [(one, standard.freeboard_m) for one in freeboards]
    return np.array(
        [
            size * CONDITION_FACTORS[one.condition or "boat"] if one.standard_m is None else one.standard_m
            for one, size in kinds
        ]
    )
