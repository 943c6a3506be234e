"""A hydrostatic table in place of the hull form: as good inside its grid, an error with the range outside it."""

import doctest
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from heelwright_service.core import hydrostatic_table
from heelwright_service.core.documents import from_document
from heelwright_service.core.errors import CoreError
from heelwright_service.core.hull import Hull
from heelwright_service.core.hydrostatic_table import HydrostaticTable
from heelwright_service.core.hydrostatics import hydrostatics
from heelwright_service.core.planes import Planes
from heelwright_service.core.record import HullDocument, TableDocument, TableRow, TestRecord
from heelwright_service.core.reduction import work_out
from numpy.typing import NDArray

from tests.support.simulator import FAMILIES, Options, Simulated, hull_of, simulate, table_rows

Array = NDArray[np.float64]
Document = dict[str, Any]

KM_M = 0.001
LENGTH = 50.0


def test_examples_in_the_documentation_run() -> None:
    assert doctest.testmod(hydrostatic_table).failed == 0


def rows_of(hull: Hull, length_m: float, draughts_m: Array, trims_m: Array) -> list[TableRow]:
    draught, trim = (grid.ravel() for grid in np.meshgrid(draughts_m, trims_m, indexing="ij"))
    found = hydrostatics(hull, Planes.of(length_m, draught, trim))
    columns = (draught, found.volume_m3, found.lcb_m, found.vcb_m, found.km_t_m, trim, found.lcf_m, found.km_l_m)
    return [TableRow(*map(float, row)) for row in zip(*columns, strict=True)]


def difference_m(family: str, draughts: int, trims: int) -> float:
    """Largest difference of KM between a table and the hull it was made from, at points between its lines."""
    shape = hull_of(family, np.random.default_rng(3))
    length, draught = shape.length_bp_m, shape.draught_m
    hull = Hull.from_document(from_document(HullDocument, shape.document(61, 1)), length)
    grid = rows_of(hull, length, np.linspace(0.8, 1.2, draughts) * draught, np.linspace(-0.01, 0.01, trims) * length)
    rng = np.random.default_rng(1)
    planes = Planes.of(length, rng.uniform(0.81, 1.19, 40) * draught, rng.uniform(-0.0099, 0.0099, 40) * length)
    found = HydrostaticTable(TableDocument(grid), length).at(planes)
    return float(np.abs(found.km_t_m - hydrostatics(hull, planes).km_t_m).max())


SMOOTH = ["box_barge", "wall_sided", "tumblehome", "knuckle_step", "hard_chine"]


@pytest.mark.parametrize("family", sorted(set(FAMILIES) - set(SMOOTH)))
def test_a_table_of_fine_steps_gives_km_within_a_millimetre(family: str) -> None:
    """Draughts every 1 % of the draught and trims every 0.05 % of the length, as class programs print them."""
    found = difference_m(family, 41, 41)
    print(f"{family}: KM of the table within {1000.0 * found:.2f} mm of the hull's")
    assert found < KM_M


@pytest.mark.parametrize("family", SMOOTH)
def test_few_lines_are_enough_where_no_flat_part_leaves_the_water(family: str) -> None:
    assert difference_m(family, 7, 5) < KM_M


def box_rows(draughts: Array, trims: tuple[float, ...] = (0.0,)) -> list[TableRow]:
    """A box of 50 x 12 m: V = L·B·T, KM = T/2 + B²/12T, trimmed by the wall-sided formulas."""
    return [
        TableRow(t, 600.0 * t, 25.0 - 208.333 / t * s / LENGTH, t / 2, t / 2 + 12.0 / t, s, 25.0, t / 2 + 208.333 / t)
        for t in draughts.tolist()
        for s in trims
    ]


def at(rows: list[TableRow], draught: float, trim: float = 0.0) -> hydrostatic_table.TableHydrostatics:
    return HydrostaticTable(TableDocument(rows), LENGTH).at(Planes.of(LENGTH, draught, trim))


def test_a_metacentre_that_turns_between_two_lines_is_met() -> None:
    """KM of a box is least at T = B/√6 = 4.899 m; second moments do not turn there."""
    found = at(box_rows(np.arange(3.0, 8.0, 1.0)), 4.9)
    assert found.km_t_m[0] == pytest.approx(2.45 + 12.0 / 4.9, abs=1e-9)


def test_volume_never_falls_between_the_lines_of_an_uneven_table() -> None:
    rows = [TableRow(t, v, 25.0, t / 2, 6.0) for t, v in ((1.0, 10.0), (2.0, 11.0), (3.0, 400.0), (4.0, 401.0))]
    table = HydrostaticTable(TableDocument(rows), LENGTH)
    volumes = table.at(Planes.of(LENGTH, np.linspace(1.0, 4.0, 301))).volume_m3
    assert (np.diff(volumes) >= 0.0).all()


def test_the_order_of_the_rows_does_not_matter() -> None:
    rows = box_rows(np.arange(1.0, 5.0), (-0.4, 0.0, 0.4))
    assert at(rows, 2.3, 0.2) == at(rows[::-1], 2.3, 0.2)


@pytest.mark.parametrize(
    ("draught", "trim", "code", "said"),
    [
        (0.99, 0.0, "draught-outside-table", "A draught of 0.990 m lies outside the table's 1 to 4 m"),
        (4.2, 0.0, "draught-outside-table", "A draught of 4.200 m lies outside the table's 1 to 4 m"),
        (2.0, 0.5, "trim-outside-table", "A trim of 0.500 m lies outside the table's -0.4 to 0.4 m"),
    ],
)
def test_outside_the_grid_the_range_is_named_and_nothing_extrapolated(
    draught: float, trim: float, code: str, said: str
) -> None:
    with pytest.raises(CoreError) as caught:
        at(box_rows(np.arange(1.0, 5.0), (-0.4, 0.0, 0.4)), draught, trim)
    assert caught.value.code == code
    assert caught.value.message.startswith(said)
    assert caught.value.pointer == "/vessel/hydrostatic_table/rows"


def test_a_table_without_trims_serves_up_to_a_hundredth_of_the_length() -> None:
    rows = box_rows(np.arange(1.0, 5.0, 0.5))
    found = at(rows, 2.0, 0.5)
    assert found.volume_m3[0] == pytest.approx(1200.0)
    assert found.lcb_m[0] == pytest.approx(25.0 - 208.333 / 2.0 * 0.01, abs=1e-6)
    with pytest.raises(CoreError, match=r"1\.20 % of the length") as caught:
        at(rows, 2.0, 0.6)
    assert caught.value.code == "trim-outside-table"


def test_a_table_without_trims_and_without_km_l_estimates_the_shift_of_buoyancy_and_says_how_well() -> None:
    """A box has I_L/(A·L²) = 1/12, the far end of what waterplanes have: the estimate lies within √3 of its doubt."""
    rows = [replace(row, km_l_m=None) for row in box_rows(np.arange(1.0, 5.0))]
    table = HydrostaticTable(TableDocument(rows), LENGTH)
    planes = Planes.of(LENGTH, 2.0, 0.1)
    found = table.at(planes)
    assert table.lacks_trim_shift
    assert found.volume_m3[0] == pytest.approx(1200.0)
    assert np.isnan(found.km_l_m[0])
    true = 25.0 - LENGTH**2 / 12.0 / 2.0 * 0.1 / LENGTH
    doubt = table.trim_shift_standard_m(planes)
    assert 0.0 < abs(found.lcb_m[0] - true) <= np.sqrt(3.0) * doubt * 1.01
    assert table.trim_shift_standard_m(Planes.of(LENGTH, 2.0)) == 0.0
    assert HydrostaticTable(TableDocument(box_rows(np.arange(1.0, 5.0))), LENGTH).trim_shift_standard_m(planes) == 0.0


@pytest.mark.parametrize(
    ("rows", "code"),
    [
        (box_rows(np.array([2.0])), "table-short"),
        (box_rows(np.arange(1.0, 4.0), (0.0, 0.4))[:-1], "table-not-rectangular"),
        ([*box_rows(np.arange(1.0, 4.0)), *box_rows(np.array([2.0]))], "table-not-rectangular"),
        ([TableRow(1.0, 5.0, 0.0, 0.0, 1.0), TableRow(2.0, 4.0, 0.0, 0.0, 1.0)], "table-not-rising"),
        ([TableRow(t, 5.0 + t, 0.0, 0.0, 1.0) for t in (0.0, 1e-200, 2.0)], "table-not-rising"),
        ([TableRow(t, 5.0 + t, 0.0, 0.0, 1.0, trim) for t in (1.0, 2.0) for trim in (0.0, 1e-8)], "table-not-rising"),
        ([TableRow(0.0, 0.0, 0.0, 0.0, 1.0), TableRow(2.0, 4.0, 0.0, 0.0, 1.0)], "table-short"),
    ],
)
def test_a_table_that_is_none_is_refused(rows: list[TableRow], code: str) -> None:
    with pytest.raises(CoreError) as caught:
        HydrostaticTable(TableDocument(rows), LENGTH)
    assert caught.value.code == code


def test_a_draught_without_volume_is_no_end_of_the_range() -> None:
    """At no draught a metacentre cannot be told, so the range begins at the next line."""
    rows = [TableRow(0.0, 0.0, 25.0, 0.0, 0.0), *box_rows(np.arange(1.0, 5.0))]
    with pytest.raises(CoreError, match="outside the table's 1 to 4 m"):
        at([replace(row, km_l_m=None, lcf_m=None) for row in rows], 0.5)


def with_table(test: Simulated) -> Document:
    """The record with the table of the simulator's own mesh in place of the hull form."""
    vessel, plane = test.record["vessel"], test.day.initial
    length = vessel["length_bp_m"]
    middle, trim = plane.z_m(length / 2, 0.0), -plane.slope_x * length
    draughts, trims = middle + np.linspace(-0.06, 0.06, 7), trim + np.linspace(-0.002, 0.002, 5) * length
    rows = table_rows(test.day.ship.mesh, length, draughts.tolist(), trims.tolist())
    kept = {name: part for name, part in vessel.items() if name != "hull"}
    return test.record | {"vessel": kept | {"hydrostatic_table": {"rows": rows}}}


@pytest.mark.parametrize("family", ["wall_sided", "hard_chine", "catamaran", "transom_cargo"])
def test_a_test_reduced_by_table_has_the_km_and_kg_of_the_same_test_reduced_on_the_hull(family: str) -> None:
    test = simulate(family, 131, options=Options(refine=2))
    by_hull = work_out(from_document(TestRecord, test.record), "small-angle").outcome
    by_table = work_out(from_document(TestRecord, with_table(test))).outcome
    assert by_table.heeled is None
    assert by_table.floating.km_t_m[0] == pytest.approx(by_hull.floating.km_t_m[0], abs=KM_M)
    assert by_table.floating.km_t_m[0] == pytest.approx(test.truth["as_inclined"]["km_t_m"], abs=KM_M)
    small, other = by_table.lightship["small-angle"], by_hull.lightship["small-angle"]
    assert small.mass_t[0] == pytest.approx(other.mass_t[0], rel=2e-4)
    assert small.vcg_m[0] == pytest.approx(other.vcg_m[0], abs=2.0 * KM_M)
    assert small.lcg_m[0] == pytest.approx(other.lcg_m[0], abs=0.02)


def test_a_ship_that_floats_outside_her_table_is_refused_with_its_range() -> None:
    test = simulate("wall_sided", 131, options=Options(refine=1))
    record = with_table(test)
    record["draughts"] = [one | {"reading_m": one["reading_m"] + 0.2} for one in record["draughts"]]
    with pytest.raises(CoreError, match="lies outside the table's") as caught:
        work_out(from_document(TestRecord, record))
    assert caught.value.code == "draught-outside-table"


def test_the_heeled_method_is_refused_for_a_table() -> None:
    record = with_table(simulate("wall_sided", 131, options=Options(refine=1)))
    with pytest.raises(CoreError) as caught:
        work_out(from_document(TestRecord, record), "heeled-equilibrium")
    assert caught.value.code == "method-needs-hull"
