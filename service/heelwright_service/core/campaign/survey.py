"""The survey of surplus, missing and misplaced items: totals against their limits, doubles, lumps, carried rows."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from difflib import SequenceMatcher
from typing import Literal

from heelwright_service.core.campaign.judging import status_of
from heelwright_service.core.errors import CoreError
from heelwright_service.core.record import Item
from heelwright_service.core.results import Check
from heelwright_service.core.rules import conduct_rule

FoundBy = Literal["weighed", "drawing", "counted", "area-density", "estimated"]
SurveyOf = Literal["advisory", "survey"]

SAME_WORDS = 0.8
SAME_PLACE_M = 1.5
SAME_MASS = 0.1


@dataclass(frozen=True)
class SurveyItem:
    """One row of the survey.

    Parameters
    ----------
    id : str
        Stable name of the row.
    description : str
        What it is, so that somebody who was not there can find it.
    kind : {"surplus", "missing", "misplaced"}
        Aboard and not lightship; lightship and not aboard; lightship in the wrong place.
    mass_t, x_m, y_m, z_m : float
        Mass and centre where it is (or belongs, when missing) [t, m].
    to_x_m, to_y_m, to_z_m : float, optional
        Where a misplaced item belongs [m].
    found_by : str
        How the mass was found.
    frame, deck, space, photo : str, optional
        Where to look for it again, and a picture.
    item_class : str, optional
        Class in the lightship boundary register.
    survey : {"advisory", "survey"}
        Which walk it was found on.
    carried_from : str, optional
        The row of the advisory survey that it was ticked from.
    """

    id: str
    description: str
    kind: Literal["surplus", "missing", "misplaced"]
    mass_t: float
    x_m: float
    y_m: float
    z_m: float
    to_x_m: float | None = None
    to_y_m: float | None = None
    to_z_m: float | None = None
    found_by: FoundBy = "estimated"
    frame: str | None = None
    deck: str | None = None
    space: str | None = None
    photo: str | None = None
    item_class: str | None = None
    survey: SurveyOf = "survey"
    carried_from: str | None = None

    def as_item(self) -> Item:
        """Return the row as an item of a test record."""
        return Item(
            self.description,
            self.kind,
            self.mass_t,
            self.x_m,
            self.y_m,
            self.z_m,
            self.to_x_m,
            self.to_y_m,
            self.to_z_m,
        )


@dataclass(frozen=True)
class Totals:
    """Sums of the survey [t] and their share of the lightship [%]; misplaced items weigh on neither."""

    surplus_t: float
    missing_t: float
    misplaced_t: float
    surplus_percent: float
    missing_percent: float


@dataclass(frozen=True)
class Landing:
    """What is left of the surplus when an item and all heavier ones are landed."""

    id: str
    description: str
    mass_t: float
    surplus_t: float
    surplus_percent: float


@dataclass(frozen=True)
class Twin:
    """Two entries that look like one thing counted twice."""

    first: str
    second: str
    text: str


@dataclass(frozen=True)
class Lumps:
    """The items below the materiality limit of one kind: how many, and the one row that may stand for them."""

    kind: str
    ids: tuple[str, ...]
    mass_t: float
    x_m: float
    y_m: float
    z_m: float


@dataclass(frozen=True)
class Limits:
    """Limits of surplus and missing items [% of lightship] with their source; by default those of the rules."""

    surplus_percent: float
    missing_percent: float
    source: str


def default_limits() -> Limits:
    """Return the limits of the rules: 4 % surplus, 2 % missing."""
    missing, surplus = conduct_rule("P-07"), conduct_rule("P-08")
    return Limits(surplus["maximum_percent"], missing["maximum_percent"], surplus.cited_source)


def safe_side_hint(item: SurveyItem, lightship_vcg_m: float) -> str:
    """Say to which side an estimated mass is better in error (C-23).

    Parameters
    ----------
    item : SurveyItem
        The row.
    lightship_vcg_m : float
        Height that the item is compared with [m].

    Returns
    -------
    str
        One sentence; empty for a mass that was weighed.

    Notes
    -----
    To be added high: estimate high, low: low. To be removed from high: low, from low: high. Moved up: high, moved
    down: low. (2008 IS Code annex 1, from memory.)

    Examples
    --------
    >>> safe_side_hint(SurveyItem("1", "Radar mast", "missing", 0.8, 40.0, 0.0, 21.0), 6.0)
    'Belongs above the centre of gravity: rather too heavy than too light.'
    """
    if item.found_by == "weighed":
        return ""
    if item.kind == "misplaced":
        if item.to_z_m is None or item.to_z_m == item.z_m:
            return "Stays at its height: no side is safer."
        up = item.to_z_m > item.z_m
        return _hint(f"Goes {'up' if up else 'down'}", up)
    high = item.z_m > lightship_vcg_m
    where = "above" if high else "below"
    if item.kind == "missing":
        return _hint(f"Belongs {where} the centre of gravity", high)
    return _hint(f"Comes off from {where} the centre of gravity", not high)


def _hint(what: str, heavy: bool) -> str:
    return f"{what}: rather too {'heavy than too light' if heavy else 'light than too heavy'}."


def totals(items: Sequence[SurveyItem], lightship_mass_t: float, persons_and_weights_t: float = 0.0) -> Totals:
    """Sum the survey.

    Parameters
    ----------
    items : sequence of SurveyItem
        The rows that stand.
    lightship_mass_t : float
        Assumed or computed lightship [t].
    persons_and_weights_t : float
        Persons and inclining weights aboard [t]: surplus too.

    Returns
    -------
    Totals
        Sums and percentages.

    Raises
    ------
    CoreError
        ``lightship-not-positive``.
    """
    if not lightship_mass_t > 0.0:
        message = "The lightship must be more than 0 t; without it no percentage is known."
        raise CoreError("lightship-not-positive", message, "")
    kinds = ("surplus", "missing", "misplaced")
    sums = {kind: sum(each.mass_t for each in items if each.kind == kind) for kind in kinds}
    surplus = sums["surplus"] + persons_and_weights_t
    share = 100.0 / lightship_mass_t
    return Totals(surplus, sums["missing"], sums["misplaced"], share * surplus, share * sums["missing"])


def check_totals(found: Totals, limits: Limits | None = None) -> list[Check]:
    """Judge surplus and missing items by their limits.

    Parameters
    ----------
    found : Totals
        The sums.
    limits : Limits, optional
        Limits agreed for this vessel, in place of those of the rules; their source is shown.

    Returns
    -------
    list of Check
        P-07 and P-08.
    """
    own = limits or default_limits()
    rows = (("P-07", "Missing", found.missing_t, found.missing_percent, own.missing_percent),
            ("P-08", "Surplus", found.surplus_t, found.surplus_percent, own.surplus_percent))  # fmt: skip
    checks = []
    for rule, what, mass, percent, most in rows:
        source = conduct_rule(rule).cited_source if limits is None else own.source
        text = f"{what}: {mass:.2f} t, {percent:.2f} % of lightship; {most:g} % is allowed."
        checks.append(Check(rule, text, status_of(percent <= most, True), percent, most, source))
    return checks


def landings(
    items: Sequence[SurveyItem], lightship_mass_t: float, persons_and_weights_t: float = 0.0, count: int = 5
) -> list[Landing]:
    """Say what landing the heaviest surplus items, one after the other, would leave.

    Parameters
    ----------
    items, lightship_mass_t, persons_and_weights_t
        As in `totals`.
    count : int
        How many items to go through.

    Returns
    -------
    list of Landing
        Heaviest first.
    """
    left = totals(items, lightship_mass_t, persons_and_weights_t).surplus_t
    steps = []
    heaviest = sorted((each for each in items if each.kind == "surplus"), key=lambda each: (-each.mass_t, each.id))
    for item in heaviest[:count]:
        left -= item.mass_t
        steps.append(Landing(item.id, item.description, item.mass_t, left, 100.0 * left / lightship_mass_t))
    return steps


def twins(items: Sequence[SurveyItem], tank_names: Sequence[str] = (), persons: Sequence[str] = ()) -> list[Twin]:
    """Find what looks like one thing counted twice, within the list or against tanks and persons.

    Parameters
    ----------
    items : sequence of SurveyItem
        The rows that stand.
    tank_names : sequence of str
        Tanks whose contents are deducted by sounding.
    persons : sequence of str
        People who are deducted by name.

    Returns
    -------
    list of Twin
        Of items that look alike each is named with one of the others, not with all: so many alike items make as many
        rows, and none of them is left out.
    """
    found = _alike(items)
    for group, names in (("tank", tank_names), ("person", persons)):
        known = [(name, words) for name in names if (words := _words(name))]
        for item in items:
            described = _words(item.description)
            found += [
                Twin(item.id, name, f"“{item.description}” may be deducted already as {group} “{name}”.")
                for name, words in known
                if words <= described
            ]
    return found


def _alike(items: Sequence[SurveyItem]) -> list[Twin]:
    """Pairs of one thing, without those whose two are joined by other pairs already."""
    plain = [_plain(item.description) for item in items]
    group = list(range(len(items)))
    found = []
    for i, item in enumerate(items):
        for j, earlier in enumerate(items[:i]):
            if group[i] != group[j] and _same_thing(earlier, item) and _same_words(plain[j], plain[i]):
                text = f"“{earlier.description}” and “{item.description}”: one place and one mass."
                found.append(Twin(earlier.id, item.id, text))
                joined, kept = group[i], group[j]
                group = [kept if each == joined else each for each in group]
    return found


def lumped(items: Sequence[SurveyItem], limit_t_m: float, lightship_vcg_m: float) -> list[Lumps]:
    """Gather the items that need not be listed one by one.

    Parameters
    ----------
    items : sequence of SurveyItem
        The rows that stand.
    limit_t_m : float
        Mass times height above or below the lightship's centre below which an item does not matter [t·m].
    lightship_vcg_m : float
        That height [m].

    Returns
    -------
    list of Lumps
        By kind, at their common centre; misplaced items are not lumped.
    """
    rows = []
    for kind in ("surplus", "missing"):
        small = [e for e in items if e.kind == kind and e.mass_t * abs(e.z_m - lightship_vcg_m) <= limit_t_m]
        mass = sum(each.mass_t for each in small)
        if mass > 0.0:
            x, y, z = (sum(e.mass_t * getattr(e, axis) for e in small) / mass for axis in ("x_m", "y_m", "z_m"))
            rows.append(Lumps(kind, tuple(each.id for each in small), mass, x, y, z))
    return rows


def carry_over(item: SurveyItem, new_id: str, mass_t: float | None = None) -> SurveyItem:
    """Tick a row of the advisory survey into the survey: what is still there is not typed again.

    Parameters
    ----------
    item : SurveyItem
        The row of the advisory survey.
    new_id : str
        Name of the new row.
    mass_t : float, optional
        The mass now, where it has changed [t].

    Returns
    -------
    SurveyItem
        The row of the survey, which names the old one.

    Raises
    ------
    CoreError
        ``not-advisory`` for a row that is not of the advisory survey.
    """
    if item.survey != "advisory":
        message = f"Row {item.id} is of the survey itself; only advisory rows are carried over."
        raise CoreError("not-advisory", message, "")
    mass = item.mass_t if mass_t is None else mass_t
    return replace(item, id=new_id, survey="survey", carried_from=item.id, mass_t=mass)


def not_carried(advisory: Sequence[SurveyItem], survey: Sequence[SurveyItem]) -> list[SurveyItem]:
    """Return the rows of the advisory survey that the survey has not looked at again."""
    seen = {each.carried_from for each in survey}
    return [each for each in advisory if each.id not in seen]


def _same_thing(one: SurveyItem, other: SurveyItem) -> bool:
    """Whether two rows are of one kind, survey, mass and place; their words are compared last, which takes longest."""
    if one.kind != other.kind or one.survey != other.survey:
        return False
    apart = sum((getattr(one, axis) - getattr(other, axis)) ** 2 for axis in ("x_m", "y_m", "z_m")) ** 0.5
    same_mass = abs(one.mass_t - other.mass_t) <= SAME_MASS * max(one.mass_t, other.mass_t)
    return same_mass and apart <= SAME_PLACE_M


def _same_words(one: str, other: str) -> bool:
    return one == other or SequenceMatcher(None, one, other).ratio() >= SAME_WORDS


def _plain(text: str) -> str:
    return " ".join(re.findall(r"\w+", text.casefold()))


def _words(text: str) -> frozenset[str]:
    return frozenset(re.findall(r"\w+", text.casefold()))
