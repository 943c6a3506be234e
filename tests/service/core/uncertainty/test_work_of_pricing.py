"""Pricing many tanks asks the hull and the tanks' shapes about as often as pricing one, and gives the same prices."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from heelwright_service.core import arms, tank_shapes
from heelwright_service.core.documents import from_document
from heelwright_service.core.record import HullDocument, Sounding, SoundingPipe, Station, Tank, TankRow, TestRecord
from heelwright_service.core.uncertainty import deviations
from heelwright_service.core.uncertainty.deviation import Deviation
from heelwright_service.core.uncertainty.deviations import Price, price_deviations

from tests.support.campaign import simulated

SIZE_M = 1.0


def box_tank(number: int) -> Tank:
    """A cubic tank off the centreline, with its table and its shape."""
    x, y, z, half = 10.0 + 0.3 * number, 2.0 if number % 2 else -3.0, 1.0, 0.5 * SIZE_M
    ring = [(y, z), (y + SIZE_M, z), (y + SIZE_M, z + SIZE_M), (y, z + SIZE_M)]
    rows = [TankRow(h, h, x + half, y + half, z + 0.5 * h, 1.0 / 12.0, 1.0 / 12.0) for h in (0.0, 0.5, 1.0)]
    shape = HullDocument([Station(x, ring), Station(x + SIZE_M, ring)])
    return Tank(f"T {number}", 1.0, SoundingPipe(x, y, z), rows, geometry=shape)


def with_tanks(count: int) -> TestRecord:
    """A simulated test with so many small slack tanks more."""
    record = from_document(TestRecord, simulated())
    tanks = [box_tank(number) for number in range(count)]
    vessel = replace(record.vessel, tanks=[*record.vessel.tanks, *tanks])
    return replace(
        record, vessel=vessel, soundings=[*record.soundings, *(Sounding(t.name, "slack", 1.0, 0.4) for t in tanks)]
    )


def residues(count: int) -> list[Deviation]:
    """Something left in each tank."""
    return [Deviation("liquid-unseen", mass_t=0.1, x_m=10.0 + n, y_m=1.0, z_m=0.5) for n in range(count)]


class Counted:
    """Counts how often a function is called."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch, module: object, name: str) -> None:
        self.calls = 0
        self._asked = getattr(module, name)
        monkeypatch.setattr(module, name, self)

    def __call__(self, *given: object) -> object:
        self.calls += 1
        return self._asked(*given)


def test_a_hundred_residues_ask_the_hull_as_often_as_one(monkeypatch: pytest.MonkeyPatch) -> None:
    record = with_tanks(0)
    heeled, afloat = Counted(monkeypatch, arms, "float_at_heel"), Counted(monkeypatch, arms, "hydrostatics")
    price_deviations(record, residues(1))
    once = heeled.calls, afloat.calls
    price_deviations(record, residues(100))
    assert (heeled.calls - once[0], afloat.calls - once[1]) == once


def test_a_hundred_residues_ask_the_shapes_of_tanks_as_often_as_one(monkeypatch: pytest.MonkeyPatch) -> None:
    record = with_tanks(8)
    asked = Counted(monkeypatch, tank_shapes, "hull_moments")
    price_deviations(record, residues(1))
    once = asked.calls
    assert once > 8
    price_deviations(record, residues(100))
    assert asked.calls - once == once


def test_shared_work_changes_no_digit_of_a_price(monkeypatch: pytest.MonkeyPatch) -> None:
    record = with_tanks(2)
    asked = [*residues(3), Deviation("sounding", tank="T 1", size_m=0.05), Deviation("heel-held", share=0.03)]
    shared = price_deviations(record, asked).items
    monkeypatch.setattr(deviations, "RememberedSource", lambda source: source)
    assert shared == [price for each in asked for price in price_deviations(record, [each]).items]
    assert all(isinstance(each, Price) and np.isfinite(each.mass_t) for each in shared)
