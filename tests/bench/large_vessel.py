"""How long each call of a stored test takes on a vessel with very many tanks, all with tables, some with shapes.

Run from the top of the checkout: ``python -m tests.bench.large_vessel --tanks 144 --shapes``. It prints the processor
time and the database statements of each call, in process, on a new SQLite file.
"""

from __future__ import annotations

import argparse
import os
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

from sqlalchemy import event

from tests.support.app import engine_of, make_app, migrated_sqlite
from tests.support.campaign import client_of, crew_of, enter_vessel, plan_document, simulated, tank_plan_document

LONG_M, WIDE_M, HIGH_M = 1.0, 1.0, 1.5
ROWS, STATIONS = 21, 11
STATES = ("empty", "pressed", "slack")


def box_tank(number: int, shaped: bool) -> dict[str, Any]:
    """A small box of a tank off the centreline."""
    x, y, z = 10.0 + 0.3 * number, (-3.0 if number % 2 else 2.0), 1.0
    i_t, i_l = LONG_M * WIDE_M**3 / 12.0, WIDE_M * LONG_M**3 / 12.0
    table = []
    for level in (HIGH_M * i / (ROWS - 1) for i in range(ROWS)):
        at = {"x_m": x + 0.5 * LONG_M, "y_m": y + 0.5 * WIDE_M, "z_m": z + 0.5 * level}
        volume = LONG_M * WIDE_M * level
        table.append({"sounding_m": level, "volume_m3": volume, **at, "i_t_m4": i_t, "i_l_m4": i_l})
    tank: dict[str, Any] = {"name": f"T {number:03d}", "capacity_m3": LONG_M * WIDE_M * HIGH_M, "table": table}
    tank["pipe"] = {"x_m": x + 0.1, "y_m": y + 0.5, "zero_z_m": z}
    if shaped:
        ring = [[y, z], [y + WIDE_M, z], [y + WIDE_M, z + HIGH_M], [y, z + HIGH_M]]
        stations = [{"x_m": x + LONG_M * i / (STATIONS - 1), "contour_m": ring} for i in range(STATIONS)]
        tank["geometry"] = {"stations": stations}
    return tank


def planned(tank: dict[str, Any], number: int) -> dict[str, Any]:
    """Its row of the tank plan: empty, pressed and slack in turn."""
    state = STATES[number % len(STATES)]
    level = {"sounding_m": 0.5 * HIGH_M} if state == "slack" else {}
    return {"tank": tank["name"], "state": state, "space": "deep", "density_t_per_m3": 1.0, **level}


def measure(tanks: int, shaped: bool) -> None:
    """Take a test as far as its preparations, and print what each call costs."""
    record = simulated()
    plan = tank_plan_document(record)
    more = [box_tank(number, shaped) for number in range(tanks - len(record["vessel"]["tanks"]))]
    record["vessel"]["tanks"] += more
    plan["tanks"] += [planned(tank, number) for number, tank in enumerate(more)]
    app = make_app(migrated_sqlite(Path(tempfile.mkdtemp(prefix="heelwright-bench-"))))
    sent: list[str] = []
    event.listen(engine_of(app), "before_cursor_execute", lambda *given: sent.append(given[2]))

    def call(name: str, ask: Callable[[], Any]) -> Any:
        sent.clear()
        began = time.process_time()
        answer = ask()
        print(f"{name:<24}{time.process_time() - began:8.2f} s {len(sent):5d} statements", flush=True)
        return answer

    crew, office = crew_of(app), client_of(app, "admin", "office")
    vessel_id = call("enter vessel", lambda: enter_vessel(crew.planner, record, admin=office))
    calls = crew.planner.tests
    test_id = calls.open(vessel_id, "inclining-test").document["id"]
    call("plan", lambda: calls.put_plan(test_id, plan_document(record)))
    call("tank plan", lambda: calls.put_tank_plan(test_id, plan))
    call("to procedure-issued", lambda: calls.move(test_id, "procedure-issued"))
    items = call("preparations", lambda: calls.prepare(test_id))["items"]
    call("to preparing", lambda: calls.move(test_id, "preparing"))
    call("tick an item", lambda: calls.mark(test_id, items[0]["key"], "done"))
    call("readiness", lambda: calls.readiness(test_id))
    call("read test", lambda: calls.get(test_id))
    print(f"{len(items)} items on the work list")


def main() -> None:
    """Read the command line and measure."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--tanks", type=int, default=144)
    parser.add_argument("--shapes", action="store_true", help="give the tanks their shapes too")
    given = parser.parse_args()
    measure(given.tanks, given.shapes)


if __name__ == "__main__":
    main()
