"""The uncertain inputs of a test, each with its standard uncertainty and its place among the errors of the chain.

Each component is one independent error. What is correlated in truth is one component: a pendulum's length stands in all
its readings, the weights come off one scale, the soundings off one tape, the water has one hydrometer and the hull one
volume. Every item and every person has a mass and a place of its own.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, fields
from typing import Any

import numpy as np
from numpy.typing import NDArray

from heelwright_service.core.arms import HydrostaticSource, TableSource
from heelwright_service.core.input_errors import Errors, no_errors
from heelwright_service.core.planes import Planes
from heelwright_service.core.prepared_test import SURVEY_WEIGHTS, PreparedTest
from heelwright_service.core.standard_uncertainties import DEFAULTS
from heelwright_service.core.test_result import InputUncertainty
from heelwright_service.core.unknown_list import UNKNOWN_LIST_DEG, unknown_list_standard

Array = NDArray[np.float64]

LEAST_FREEDOM_FOR_SCATTER = 8
"""Degrees of freedom from which the scatter of the readings is trusted in place of their stated uncertainty."""

HOG_CENTRE_HALF_WIDTH = 0.1
"""Half-width of what the mass's mean of the hog's shape may differ from the volume's (office default, rectangular)."""

LEAST_HOG_M = 1e-9
"""A smaller hog is rounding."""

APPROVED_VCG_STANDARD_M = 0.1
"""Standard uncertainty of the KG that a survey borrows from the approved lightship (office default)."""

ASSUMED_VCG_STANDARD_RELATIVE = 0.15
"""The same, of a KG that a survey has to assume from the depth (office default)."""


@dataclass(frozen=True)
class Component:
    """One independent error of the chain.

    Parameters
    ----------
    label : str
        The input as people call it.
    kind : str
        The kind under which a budget gathers it.
    field : str
        The field of `Errors` that it moves.
    index : tuple
        Where in that field, after the axis of draws; an empty tuple or a slice moves all alike.
    standard : float
        Standard uncertainty in the unit of the field.
    degrees_of_freedom : float
        Infinite where the figure is stated, finite where it was found from the scatter.
    signs : tuple of float
        How the error enters each place of an index that names several; once and alike when empty.
    """

    label: str
    kind: str
    field: str
    index: tuple[Any, ...]
    standard: float
    degrees_of_freedom: float = np.inf
    signs: tuple[float, ...] = ()


@dataclass(frozen=True)
class ReadingScatter:
    """The random error of the readings: how it was found, and its standard deviation for each reading.

    Parameters
    ----------
    standard : ndarray
        Standard deviation of each reading's tangent, shape (r,).
    degrees_of_freedom : float
        Of the scatter, or infinite for a stated uncertainty.
    sentence : str
        What was done, for people.
    """

    standard: Array
    degrees_of_freedom: float
    sentence: str


def components(
    test: PreparedTest, scatter: ReadingScatter | None, hog_m: float, assumed_kg_m: float | None = None
) -> list[Component]:
    """List the independent errors of a test, those of zero uncertainty left out.

    Parameters
    ----------
    test : PreparedTest
        The record made ready, with its standard uncertainties.
    scatter : ReadingScatter or None
        The random error of the readings; None for a survey.
    hog_m : float
        Fitted hog [m].
    assumed_kg_m : float, optional
        KG that a survey had to assume [m].

    Returns
    -------
    list of Component
        In the order of the chain.
    """
    found = [
        *_waterline(test),
        *_hull(test, hog_m, assumed_kg_m),
        *_weights(test),
        *_moved_water(test),
        *_instruments(test, scatter),
        *_tanks(test),
        *_carried(test),
    ]
    return [component for component in found if component.standard > 0.0]


def table_components(source: HydrostaticSource, planes: Planes) -> list[Component]:
    """List the errors that a table brings by what it does not tell.

    Parameters
    ----------
    source : HydrostaticSource
        The exact source.
    planes : Planes
        The initial floating position, shape (1,).

    Returns
    -------
    list of Component
        The estimated shift of buoyancy by trim, where the table gives no KM_L; empty otherwise.
    """
    if not isinstance(source, TableSource):
        return []
    size = source.table.trim_shift_standard_m(planes)
    label = "shift of buoyancy by trim, estimated from the waterplane's area"
    return [Component(label, "shift of buoyancy by trim", "lcb_m", (), size)] if size > 0.0 else []


def kinds_in_force(test: PreparedTest) -> list[InputUncertainty]:
    """State the standard uncertainty of every kind of input and its source.

    Parameters
    ----------
    test : PreparedTest
        The record made ready.

    Returns
    -------
    list of InputUncertainty
        One entry a kind; the source is the record, or the default's.
    """
    stated = test.record.uncertainties
    return [
        InputUncertainty(
            field.name,
            getattr(test.standard, field.name),
            _unit(field.name),
            DEFAULTS[field.name].source if getattr(stated, field.name) is None else "stated in the record",
        )
        for field in fields(test.standard)
    ]


def reading_scatter(test: PreparedTest, residuals: Array, projection: Array) -> ReadingScatter:
    """Decide the random error of the readings, which enters once: from their scatter, or as stated.

    Parameters
    ----------
    test : PreparedTest
        The record made ready; it has readings.
    residuals : ndarray
        Residuals of the fit [tangent], shape (r,).
    projection : ndarray
        Takes errors of readings to residuals, shape (r, r); its trace is the degrees of freedom.

    Returns
    -------
    ReadingScatter
        The scatter with at least eight degrees of freedom, else the stated uncertainty of each reading.

    Notes
    -----
    JCGM 100:2008, 4.2 (Type A) and 4.3 (Type B). Both together would count the same error twice. Readings of different
    instruments keep the ratio w of their stated uncertainties: with B = W⁻¹·R·W the sum of (residual/w)² has the mean
    s²·tr(B·Bᵀ) and effectively tr(B·Bᵀ)²/tr((B·Bᵀ)²) degrees of freedom (Satterthwaite); alike instruments give the
    plain count.
    """
    freedom = round(float(np.trace(projection)))
    stated = stated_reading_standard(test)
    if freedom < LEAST_FREEDOM_FOR_SCATTER:
        return ReadingScatter(
            stated,
            np.inf,
            f"the stated uncertainty of a reading, since the fit has only {max(freedom, 0)} degrees of freedom",
        )
    weight = np.where(stated > 0.0, stated / np.sqrt(np.mean(stated**2)), 1.0) if stated.any() else np.ones(len(stated))
    scaled = projection * weight / weight[:, None]
    products = scaled @ scaled.T
    expected = float(np.trace(products))
    size = float(np.sqrt(np.sum((residuals / weight) ** 2) / expected))
    effective = expected**2 / float(np.sum(products**2))
    sentence = f"the scatter of the readings, {freedom} degrees of freedom"
    return ReadingScatter(size * weight, effective, sentence)


def stated_reading_standard(test: PreparedTest) -> Array:
    """Standard uncertainty of each reading's tangent as stated.

    Parameters
    ----------
    test : PreparedTest
        The record made ready; it has readings.

    Returns
    -------
    ndarray
        Shape (r,): the reading's uncertainty over the length, or the angle's in radians.
    """
    assert test.tangents is not None  # noqa: S101 - callers have readings
    lengths = test.tangents.lengths_m[test.tangents.instrument_index]
    angle = np.radians(test.standard.reading_deg) * (1.0 + test.tangents.tangents**2)
    return np.asarray(np.where(np.isnan(lengths), angle, test.standard.reading_m / lengths))


def perturbed(test: PreparedTest, parts: list[Component], amounts: Array) -> Errors:
    """Place amounts of the components into the errors of the chain.

    Parameters
    ----------
    test : PreparedTest
        The record made ready.
    parts : list of Component
        The components, q of them.
    amounts : ndarray
        Errors in the components' units, shape (p, q).

    Returns
    -------
    Errors
        Errors of p draws.
    """
    errors = no_errors(test, len(amounts))
    for j, part in enumerate(parts):
        target = getattr(errors, part.field)
        place = (slice(None), *part.index)
        column = amounts[:, j]
        view = target[place]
        entering = column.reshape((-1,) + (1,) * (view.ndim - 1))
        target[place] = view + (entering * np.array(part.signs) if part.signs else entering)
    return errors


def _waterline(test: PreparedTest) -> Iterator[Component]:
    for j, name in enumerate(test.points.names):
        board = bool(test.points.is_freeboard[j])
        label = name if board else f"draught {name}"
        size = float(test.heights_standard_m[j])
        yield Component(label, "freeboards" if board else "draughts", "height_m", (j,), size)
    label = f"list, which nothing tells (up to {UNKNOWN_LIST_DEG:g}° to either side)"
    yield Component(label, "unknown list", "list_tangent", (), unknown_list_standard(test))
    yield Component("density of the water", "density", "density_t_per_m3", (), test.standard.density_t_per_m3)


def _hull(test: PreparedTest, hog_m: float, assumed_kg_m: float | None) -> Iterator[Component]:
    yield Component("hull volume", "hull", "hull_volume_relative", (), test.standard.hull_volume_relative)
    if test.movements is None:
        approved = test.record.vessel.approved_lightship is not None
        size = APPROVED_VCG_STANDARD_M if approved else ASSUMED_VCG_STANDARD_RELATIVE * abs(assumed_kg_m or 0.0)
        yield Component("height of the centre, assumed", "assumed KG", "assumed_kg_m", (), size)
        return
    yield Component("KM of the hull model", "hull", "km_m", (), test.standard.km_m)
    spread = abs(hog_m) * HOG_CENTRE_HALF_WIDTH / np.sqrt(3.0) if abs(hog_m) > LEAST_HOG_M else 0.0
    yield Component("hog's share in the height of the masses", "hog", "hog_kg_m", (), float(spread))


def _weights(test: PreparedTest) -> Iterator[Component]:
    if test.movements is None:
        return
    whole = (slice(None),)
    yield Component(
        "scale of the inclining weights", "weights", "weight_mass_relative", whole, test.standard.weight_mass_relative
    )
    for s, weight in enumerate(test.movements.spot_weight):
        name = test.movements.weight_ids[weight]
        y = test.movements.spot_m[s, 1]
        label = f"place of weight {name} at {abs(y):.3g} m {'port' if y < 0 else 'starboard'}"
        yield Component(label, "shift distances", "spot_m", (s, 1), test.standard.weight_position_m)
    for weight, s in enumerate(test.movements.initial_spots):
        name = test.movements.weight_ids[weight]
        for axis, words in ((0, "along the ship"), (2, "in height")):
            label = f"place of weight {name} {words}"
            yield Component(label, "shift distances", "spot_m", (s, axis), test.standard.weight_position_m)


def _moved_water(test: PreparedTest) -> Iterator[Component]:
    if test.ballast is not None:
        size = float(np.hypot(test.standard.tank_volume_relative, test.ballast.moved_standard_relative))
        yield Component("volume of the water moved", "water as weight", "moved_water_relative", (), size)


def _instruments(test: PreparedTest, scatter: ReadingScatter | None) -> Iterator[Component]:
    if test.tangents is None or scatter is None:
        return
    for i, instrument in enumerate(test.record.instruments):
        if instrument.length_m is not None:
            label = f"length of {instrument.kind} {instrument.id}"
            yield Component(label, "instrument lengths", "length_m", (i,), test.standard.pendulum_length_m)
    for r, source in enumerate(test.tangents.source):
        reading = test.record.readings[source]
        label = f"reading of {reading.instrument} in state {reading.state}"
        yield Component(label, "readings", "reading", (r,), float(scatter.standard[r]), scatter.degrees_of_freedom)


def _tanks(test: PreparedTest) -> Iterator[Component]:
    ways = tuple(1.0 if tank.sounding.ullage_m is None else -1.0 for tank in test.tanks)
    if any(tank.sounding.state == "slack" for tank in test.tanks):
        size = test.standard.sounding_datum_m
        yield Component("datum of the soundings", "sounding datum", "sounding_m", (), size, signs=ways)
    for j, tank in enumerate(test.tanks):
        name = tank.tank.name
        if tank.sounding.state == "slack":
            yield Component(f"sounding of {name}", f"tank {name}", "sounding_m", (j,), test.standard.sounding_m)
        if tank.sounding.state != "empty":
            size = test.standard.tank_volume_relative
            yield Component(f"contents of {name}", f"tank {name}", "tank_volume_relative", (j,), size)


def _carried(test: PreparedTest) -> Iterator[Component]:
    yield from _survey_weights(test)
    for i, name in enumerate(test.carried.names):
        if test.carried.groups[i] == SURVEY_WEIGHTS:
            continue
        kind = f"{test.carried.groups[i]}: {name}"
        yield Component(f"mass of {name}", kind, "item_mass_relative", (i,), test.standard.item_mass_relative)
        places = 2.0 if test.carried.groups[i] == "misplaced" else 1.0
        for axis, letter in enumerate("xyz"):
            label = f"place of {name}, {letter}"
            size = test.standard.item_position_m * float(np.sqrt(places))
            yield Component(label, kind, "item_position_m", (i, axis), size)
    yield Component("mass not listed", "items not listed", "unlisted_mass_t", (), test.standard.unlisted_mass_t)
    if test.movements is not None:
        size = test.standard.unlisted_moment_t_m
        yield Component("moment not listed", "items not listed", "unlisted_moment_t_m", (), size)


def _survey_weights(test: PreparedTest) -> Iterator[Component]:
    """Certified weights that stood aboard during a survey: one scale, and each its place."""
    places = [i for i, group in enumerate(test.carried.groups) if group == SURVEY_WEIGHTS]
    if not places:
        return
    size = test.standard.weight_mass_relative
    yield Component("scale of the inclining weights", "weights", "item_mass_relative", (places,), size)
    for i in places:
        for axis, letter in enumerate("xyz"):
            label = f"place of {test.carried.names[i]}, {letter}"
            size = test.standard.weight_position_m
            yield Component(label, "weights", "item_position_m", (i, axis), size)


def _unit(name: str) -> str:
    endings = {"relative": "", "_t_m": "t·m", "_t": "t", "_deg": "deg", "_per_m3": "t/m³", "_m": "m"}
    return next(unit for ending, unit in endings.items() if name.endswith(ending))


__all__ = [
    "Component",
    "ReadingScatter",
    "components",
    "kinds_in_force",
    "perturbed",
    "reading_scatter",
    "stated_reading_standard",
]
