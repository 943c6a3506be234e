"""What leaving an item of the work list undone would do to the lightship, priced on the planned test of this ship."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from heelwright_service.core.campaign.planned_condition import PlannedCondition
from heelwright_service.core.campaign.preparations import CostOfLeaving, PriceOf
from heelwright_service.core.campaign.tank_document import PlannedTank
from heelwright_service.core.documents import from_document
from heelwright_service.core.errors import CoreError
from heelwright_service.core.record import Instrument, Sounding, Tank, TestRecord, Vessel
from heelwright_service.core.uncertainty.deviation import Deviation
from heelwright_service.core.uncertainty.deviations import Price, price_deviations
from heelwright_service.core.uncertainty.pretest import PlannedTest, planned_record
from heelwright_service.usecases.planned_tests import planned_condition_of
from heelwright_service.usecases.stored_tests import StoredTest

Left = tuple[Deviation, str]
Key = tuple[str, str | None]
RESIDUE_SHARE = 0.01
AIR_SHARE = 0.02
LEVEL_M = 0.05
HELD_SHARE = 0.03
WEIGHT_SHARE = -0.01
MAN_T = 0.08
MAN_MOVES_M = 3.0
GEAR_T = 1.0
"""The sizes that an item left undone is priced with (office defaults); the price names them."""


@dataclass(frozen=True)
class Prices:
    """What prices the items of a work list, and the test that it was worked out on.

    Parameters
    ----------
    price_of : callable or None
        From :func:`price_of`.
    test : StoredTest
        The test.
    """

    price_of: PriceOf | None
    test: StoredTest

    @classmethod
    def on(cls, test: StoredTest) -> Prices:
        """Work them out, which takes seconds on a ship with many tanks: not while others wait to write."""
        return cls(price_of(test), test)

    def for_test(self, test: StoredTest) -> PriceOf | None:
        """Return what prices a test as it now stands; worked out anew where it changed since."""
        return self.price_of if _prices_on(test) == _prices_on(self.test) else price_of(test)


def _prices_on(test: StoredTest) -> tuple[object, ...]:
    return test.plan, test.tank_plan, test.described, test.documents("person")


def price_of(test: StoredTest) -> PriceOf | None:
    """Return what prices the items of a test's work list.

    Parameters
    ----------
    test : StoredTest
        The test with its plans.

    Returns
    -------
    callable or None
        None while the planned test cannot be computed: without a hull form, moves or an assumed lightship.
    """
    record = _planned_record(test)
    if record is None:
        return None
    prices = _priced(record, _all_left(test, record))
    return lambda kind, planned: prices.get((kind, None if planned is None else planned.tank))


def _planned_record(test: StoredTest) -> TestRecord | None:
    moves, plan = test.plan.moves, test.plan
    if moves is None or not moves.states or not plan.instruments:
        return None
    try:
        condition = planned_condition_of(test)
        found = planned_record(_planned(test, condition))
    except (CoreError, KeyError):
        return None
    return replace(found, vessel=replace(found.vessel, tanks=test.tanks), soundings=_soundings(test))


def _planned(test: StoredTest, condition: PlannedCondition) -> PlannedTest:
    moves, vessel = test.plan.moves, test.description
    if moves is None or condition.gm_fluid_m is None or condition.draught_mid_m is None:
        raise CoreError("condition-not-floated", "The planned condition does not float without a hull form.", "")
    weights = {weight.id: weight.mass_t for weight in moves.weights}
    instruments = [Instrument(each.id, each.kind, each.length_m) for each in test.plan.instruments]
    return PlannedTest(
        displacement_t=condition.displacement_t - sum(weights.values()),
        gm_m=condition.gm_fluid_m,
        draught_m=condition.draught_mid_m,
        breadth_m=vessel["breadth_m"],
        depth_m=vessel["depth_m"],
        weights=weights,
        states=[state.positions for state in sorted(moves.states, key=lambda state: state.number)],
        instruments=instruments,
        vessel=from_document(Vessel, {name: part for name, part in vessel.items() if name not in ("tanks", "marks")}),
    )


def _soundings(test: StoredTest) -> list[Sounding]:
    """The tanks as planned; one whose level is planned as a share of its capacity is left to the sounding itself."""
    known = {tank.name for tank in test.tanks}
    planned = test.tank_plan.tanks if test.tank_plan is not None else ()
    rows = [each for each in planned if each.tank in known and (each.state != "slack" or each.sounding_m is not None)]
    levels = [each.sounding_m if each.state == "slack" else None for each in rows]
    return [
        Sounding(each.tank, each.state, each.density_t_per_m3 or 1.0, level)
        for each, level in zip(rows, levels, strict=True)
    ]


def _all_left(test: StoredTest, record: TestRecord) -> dict[Key, Left]:
    """Everything that may be left undone and can be priced, by kind and tank."""
    found: dict[Key, Left] = {(kind, None): made(record) for kind, made in _OF_SHIPS.items()}
    tanks = {tank.name: tank for tank in test.tanks}
    kinds = {"empty": "emptied", "pressed": "pressed", "slack": "slack"}
    for planned in test.tank_plan.tanks if test.tank_plan is not None else ():
        tank, kind = tanks.get(planned.tank), kinds[planned.state]
        if tank is not None:
            found[kind, planned.tank] = _OF_TANKS[kind](planned, tank)
    return found


def _priced(record: TestRecord, left: dict[Key, Left]) -> dict[Key, CostOfLeaving]:
    try:
        prices = price_deviations(record, [deviation for deviation, _ in left.values()]).items
    except CoreError:
        return {}
    return {key: _cost(price, size) for (key, (_, size)), price in zip(left.items(), prices, strict=True)}


def _cost(price: Price, size: str) -> CostOfLeaving:
    side = "unsafe" if "unsafe" in (price.side, price.mass_side) else price.side
    facts = {"mass_t": price.mass_t, "vcg_m": price.vcg_m, "side": side, "text": f"{size}: {price.sentence}"}
    return from_document(CostOfLeaving, facts)


def _residue(planned: PlannedTank, tank: Tank) -> Left:
    low = tank.table[0]
    mass = RESIDUE_SHARE * tank.capacity_m3 * (planned.density_t_per_m3 or 1.0)
    size = f"{mass:.2g} t left in it, {100 * RESIDUE_SHARE:g} % of its capacity"
    return Deviation("liquid-unseen", mass_t=mass, x_m=low.x_m, y_m=low.y_m, z_m=low.z_m), size


def _air(planned: PlannedTank, tank: Tank) -> Left:
    volume = AIR_SHARE * tank.capacity_m3
    return Deviation("pressed-tank-air", tank=tank.name, volume_m3=volume), f"{100 * AIR_SHARE:g} % of air left in it"


def _level(planned: PlannedTank, tank: Tank) -> Left:
    return Deviation("sounding", tank=tank.name, size_m=LEVEL_M), f"sounded {1000 * LEVEL_M:g} mm too deep"


def _gear(record: TestRecord) -> Left:
    length, depth = record.vessel.length_bp_m, record.vessel.depth_m or 0.0
    gear = Deviation("surplus-overlooked", mass_t=GEAR_T, x_m=0.5 * length, y_m=0.0, z_m=depth)
    return gear, f"{GEAR_T:g} t forgotten on deck"


def _lines(record: TestRecord) -> Left:
    return Deviation("heel-held", share=HELD_SHARE), f"a line holds {100 * HELD_SHARE:g} % of the heel"


def _uncertified(record: TestRecord) -> Left:
    return Deviation("weight-mass", relative=WEIGHT_SHARE), f"weights {-100 * WEIGHT_SHARE:g} % lighter than taken"


def _man(record: TestRecord) -> Left:
    moved = Deviation("mass-out-of-place", mass_t=MAN_T, distance_m=MAN_MOVES_M)
    return moved, f"one man {MAN_MOVES_M:g} m out of place in the largest state"


_OF_TANKS: dict[str, Callable[[PlannedTank, Tank], Left]] = {"emptied": _residue, "pressed": _air, "slack": _level}
_OF_SHIPS: dict[str, Callable[[TestRecord], Left]] = {
    "yard-gear": _gear,
    "surplus": _gear,
    "moorings": _lines,
    "weights": _uncertified,
    "persons": _man,
}
