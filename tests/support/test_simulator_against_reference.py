"""The simulator repeats simulated tests made elsewhere: same hull, same lightship, same heels.

Reference: tests/reference/simulated, noise-free cases made by another program of the same principle (a triangulated
hull with moving liquids). Their hulls were meshed more finely than the stations in the record, which is why the heels
agree to a thousandth of a degree and not better; on the box, where the mesh does not matter, they agree to 0.0002°.
"""

import json
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from .simulator import mesh_from_document
from .simulator.clipping import Plane, cut_below
from .simulator.floating import Afloat, Buoyancy, Load, float_freely
from .simulator.hydrostatics import km_t_m
from .simulator.liquids import Liquid, Tank
from .simulator.mesh import box_mesh

CASES = Path(__file__).parents[1] / "reference" / "simulated"
NAMES = ["ship-11", "chine-12", "tumble-13", "box-14"]


class Repeated:
    """One reference case floated again by this simulator from the record and the true lightship."""

    def __init__(self, name: str) -> None:
        self.record = json.loads((CASES / f"{name}.record.json").read_text())
        self.truth = json.loads((CASES / f"{name}.truth.json").read_text())
        self.condition = self.truth["as_inclined"]
        self.mesh = mesh_from_document(self.record["vessel"]["hull"])
        self.liquids = [self._liquid(row) for row in self.record["soundings"]]
        self.afloat = self._floated()

    def load(self, positions: dict[str, list[float]]) -> Load:
        light = self.truth["lightship"]
        rows = [(light["mass_t"], [light["lcg_m"], light["tcg_m"], light["vcg_m"]])]
        for item in self.record["items"]:
            sign = -1.0 if item["kind"] == "missing" else 1.0
            rows.append((sign * item["mass_t"], [item[key] for key in ("x_m", "y_m", "z_m")]))
            if item["kind"] == "misplaced":
                rows.append((-item["mass_t"], [item[key] for key in ("to_x_m", "to_y_m", "to_z_m")]))
        rows += [(weight["mass_t"], positions[weight["id"]]) for weight in self.record["inclining_weights"]]
        return Load.of_points([mass for mass, _ in rows], [point for _, point in rows], self.liquids)

    def _floated(self) -> list[Afloat]:
        buoyancy = Buoyancy(self.mesh, self.condition["density_t_per_m3"])
        plane, found = Plane(2.0 * self.condition["vcb_m"]), []
        for state in self.record["states"]:
            found.append(float_freely(buoyancy, self.load(state["positions"]), plane))
            plane = found[-1].plane
        return found

    def _liquid(self, sounding: dict[str, Any]) -> Liquid:
        """The box with the table's constant second moments, filled to the level at its middle."""
        document = next(tank for tank in self.record["vessel"]["tanks"] if tank["name"] == sounding["tank"])
        first, last, pipe = document["table"][0], document["table"][-1], document["pipe"]
        height = 2.0 * (last["z_m"] - first["z_m"])
        area = document["capacity_m3"] / height
        half = 0.5 * np.sqrt(12.0 * np.array([first["i_l_m4"], first["i_t_m4"]]) / area)
        centre, bottom = np.array([first["x_m"], first["y_m"]]), first["z_m"]
        box = box_mesh([*(centre - half), bottom], [*(centre + half), bottom + height])
        tank = Tank(document["name"], box, np.array([pipe["x_m"], pipe["y_m"], pipe["zero_z_m"]]))
        if sounding["state"] != "slack":
            return Liquid(tank, 0.0, sounding["density_t_per_m3"])
        slope_x = -self.condition["trim_by_stern_m"] / self.record["vessel"]["length_bp_m"]
        slope_y = np.tan(np.radians(self.condition["heel_deg"]))
        level = sounding["sounding_m"] + slope_x * (centre[0] - pipe["x_m"]) + slope_y * (centre[1] - pipe["y_m"])
        return Liquid(tank, level / height * box.volume_m3, sounding["density_t_per_m3"])


@pytest.fixture(scope="module", params=NAMES)
def repeated(request: pytest.FixtureRequest) -> Repeated:
    return Repeated(request.param)


def test_the_masses_add_up_to_the_reference_displacement(repeated: Repeated) -> None:
    """Persons are among the surplus items there, weights and liquids aboard, missing things not."""
    mass = repeated.load(repeated.record["states"][0]["positions"]).mass_t
    assert mass == pytest.approx(repeated.condition["displacement_t"], abs=5e-5)


def test_every_heel_is_repeated(repeated: Repeated) -> None:
    heels = np.array([afloat.heel_deg for afloat in repeated.afloat])
    worst = 0.0003 if repeated.record["vessel"]["name"] == "Twin box 14" else 0.002
    assert np.max(np.abs(heels - repeated.condition["heels_deg"])) < worst


def test_draughts_at_the_marks_are_repeated(repeated: Repeated) -> None:
    plane, marks = repeated.afloat[0].plane, {mark["name"]: mark for mark in repeated.record["vessel"]["marks"]}
    for row in repeated.record["draughts"]:
        mark = marks[row["mark"]]
        assert plane.z_m(mark["x_m"], mark["y_m"]) - mark["zero_z_m"] == pytest.approx(row["reading_m"], abs=0.0025)


def test_km_is_that_of_the_upright_trimmed_ship(repeated: Repeated) -> None:
    plane = repeated.afloat[0].plane
    upright = cut_below(repeated.mesh, Plane(plane.height_m, plane.slope_x))
    assert km_t_m(upright) == pytest.approx(repeated.condition["km_t_m"], abs=2e-4)
    sum_of_parts = repeated.condition["km_t_m"] - repeated.condition["vcg_as_inclined_m"]
    sum_of_parts -= repeated.condition["fsm_t_m"] / repeated.condition["displacement_t"]
    assert repeated.condition["gm_fluid_m"] == pytest.approx(sum_of_parts, abs=2e-6)
    assert repeated.afloat[0].gm_fluid_m == pytest.approx(repeated.condition["gm_fluid_m"], abs=2e-4)


def test_the_reference_centres_have_their_liquids_where_they_lie_in_the_initial_state(repeated: Repeated) -> None:
    """Not level and upright: solid centres differ by the free-surface moment × slope ÷ displacement."""
    plane, load = repeated.afloat[0].plane, repeated.load(repeated.record["states"][0]["positions"])
    fluid = load.moments_t_m(plane.slope_x, plane.slope_y)[0] / load.mass_t
    names = ("lcg_as_inclined_m", "tcg_as_inclined_m", "vcg_as_inclined_m")
    assert fluid == pytest.approx([repeated.condition[name] for name in names], abs=2e-5)
