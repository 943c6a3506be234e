"""History files: whole or not at all, every bad row named, and back again."""

from __future__ import annotations

import datetime
import io
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from heelwright_client.client import Client
from heelwright_client.errors import EntryError, InvalidRequestError
from heelwright_client.history_files import HistoryFileError, read_history, write_history

from tests.client.conftest import Shell

LIGHTSHIPS = """vessel,date,basis,mass_t,lcg_m,tcg_m,vcg_m,approved,mass_standard_uncertainty_t
Tarnfield,2010-03-01,inclining-test,1200,40.1,0.01,6.2,yes,3
Tarnfield,2015-03-01,lightweight-survey,1212.5,40.2,,,no,
"""
ALTERATIONS = """vessel,date,kind,mass_t,x_m,y_m,z_m,to_x_m,to_y_m,to_z_m,description
Tarnfield,2012-06-01,added,2.5,12,0,7,,,,deck crane
Tarnfield,2013-06-01,relocated,1.5,12,0,7,60,-1,5,"stores, moved"
"""


@pytest.fixture
def vessel_id(heelwright: Client) -> str:
    facts = {"name": "Tarnfield", "kind": "cargo", "length_bp_m": 80.0, "length_m": 82.0}
    return str(heelwright.vessels.create(facts).document["id"])


@pytest.fixture
def file(tmp_path: Path) -> Path:
    return tmp_path / "history.csv"


def stored(heelwright: Client, vessel_id: str) -> tuple[int, int]:
    return len(list(heelwright.lightships.of(vessel_id))), len(list(heelwright.alterations.of(vessel_id)))


def test_a_csv_file_of_each_kind_is_stored(shell: Shell, heelwright: Client, vessel_id: str, file: Path) -> None:
    file.write_text(LIGHTSHIPS)
    assert shell.json("history", "import", str(file)) == {"lightships": 2, "alterations": 0, "stored": True}
    file.write_text(ALTERATIONS)
    assert shell.json("history", "import", str(file)) == {"lightships": 0, "alterations": 2, "stored": True}
    first, second = heelwright.lightships.of(vessel_id)
    assert (first["approved"], first["uncertainties"]) == (True, {"mass_t": 3.0})
    assert (second["vcg_m"], second["tcg_m"]) == (None, None)
    [_, moved] = heelwright.alterations.of(vessel_id)
    assert (moved["to_y_m"], moved["description"]) == (-1.0, "stores, moved")


def test_what_was_exported_reads_back_the_same(
    shell: Shell, heelwright: Client, vessel_id: str, file: Path, tmp_path: Path
) -> None:
    for text in (LIGHTSHIPS, ALTERATIONS):
        file.write_text(text)
        assert shell("history", "import", str(file))[0] == 0
    whole = tmp_path / "whole.xlsx"
    assert shell("history", "export", str(whole))[0] == 0
    other = str(heelwright.vessels.create({"name": "Oxwater"}).document["id"])
    entries = [{**vars(entry), "vessel": "Oxwater"} for entry in read_history(str(whole))]
    heelwright.history.add(
        [{"vessel_id": other, entry["sheet"].removesuffix("s"): entry["document"]} for entry in entries]
    )
    made = ("id", "vessel_id", "recorded_at", "recorded_by")
    for source in (heelwright.lightships, heelwright.alterations):
        first, second = (
            [{k: v for k, v in entry.items() if k not in made} for entry in source.of(identity)]
            for identity in (vessel_id, other)
        )
        assert first == second


@pytest.mark.parametrize(
    ("row", "told"),
    [
        ("Tarnfield,2010-03-02,inclining-test,12OO,40.1,,6.2,yes,", "row 4, column mass_t: '12OO' is not a number"),
        ("Tarnfield,2010-03-02,inclining-test,-5,40.1,,6.2,yes,", "row 4, column mass"),
        ("Tarnfield,01/03/2010,inclining-test,1200,40.1,,6.2,yes,", "row 4, column date: '01/03/2010' is not a date"),
        ('Tarnfield,2010-03-02,inclining-test,"1200,5",40.1,,6.2,yes,', "column mass_t: '1200,5' is not a number"),
        ("Tarnfield,2010-03-02,inclining-test,,40.1,,6.2,yes,", "row 4, column mass_t: is empty"),
        ("Tarnfield,2010-03-02,guess,1200,40.1,,6.2,yes,", "row 4, column basis"),
        ("Tarnfield,2010-03-02,inclining-test,1200,40.1,,6.2,maybe,", "row 4, column approved: 'maybe' must be yes"),
        ("Nobody,2010-03-02,inclining-test,1200,40.1,,6.2,yes,", "row 4, column vessel: no vessel answers to 'Nobody'"),
        (",2010-03-02,inclining-test,1200,40.1,,6.2,yes,", "row 4, column vessel: is empty"),
        ("Tarnfield,2010-03-01,inclining-test,1201,40.1,,6.2,yes,", "row 4: this vessel has a lightship of 2010-03-01"),
        ("Tarnfield,2010-03-02,inclining-test,1200,40.1,,6.2,yes,,9", "row 4: more cells than columns"),
        ("Tarnfield,2010-03-02,inclining-test,nan,40.1,,6.2,yes,", "column mass_t: 'nan' is not a number"),
    ],
)
def test_one_bad_row_keeps_the_whole_file_out_and_is_named(
    shell: Shell, heelwright: Client, vessel_id: str, file: Path, row: str, told: str
) -> None:
    file.write_text(f"{LIGHTSHIPS}{row}\n")
    status, out, err = shell("history", "import", str(file))
    assert (status, out) == (1, "")
    assert "nothing was stored" in err
    assert told in err
    assert stored(heelwright, vessel_id) == (0, 0)


def test_every_bad_row_is_told_at_once(file: Path) -> None:
    file.write_text("date,basis,mass_t,lcg_m\nx,inclining-test,1,1\n2010-01-01,inclining-test,y,1\n")
    with pytest.raises(HistoryFileError) as caught:
        read_history(str(file))
    assert [problem.partition(":")[0] for problem in caught.value.problems] == [
        "lightships, row 2, column date",
        "lightships, row 3, column mass_t",
    ]


def test_the_same_file_twice_is_stored_once(shell: Shell, heelwright: Client, vessel_id: str, file: Path) -> None:
    file.write_text(ALTERATIONS)
    for _ in range(2):
        assert shell("history", "import", str(file))[0] == 0
    assert stored(heelwright, vessel_id) == (0, 2)


def test_a_check_stores_nothing(shell: Shell, heelwright: Client, vessel_id: str, file: Path) -> None:
    file.write_text(LIGHTSHIPS)
    status, out, _ = shell("history", "import", "--check", str(file))
    assert status == 0
    assert "nothing was stored" in out
    assert stored(heelwright, vessel_id) == (0, 0)


def test_rows_without_a_vessel_take_the_one_that_is_named(
    shell: Shell, heelwright: Client, vessel_id: str, file: Path
) -> None:
    file.write_text("date,basis,mass_lt,lcg_ft,vcg_ft,approved\n2010-03-01,inclining-test,1000,131.2,20,yes\n")
    assert shell("history", "import", str(file), "--vessel", "Tarnfield")[0] == 0
    [ship] = heelwright.lightships.of(vessel_id)
    assert ship["mass_t"] == pytest.approx(1016.0469088, abs=1e-9)
    assert ship["vcg_m"] == pytest.approx(6.096, abs=1e-12)


@pytest.mark.parametrize(
    ("head", "told"),
    [
        ("date,basis,mass,lcg_m", "column 'mass' has no unit; write one of mass_t, mass_kg, mass_lt, mass_lb"),
        ("date,basis,mass_tons,lcg_m", "column 'mass_tons' is unknown"),
        ("date,basis,mass_t", "column 'lcg_m' is absent"),
        ("date,basis,mass_t,mass_lt,lcg_m", "mass stands in more than one column"),
        ("date,mass_t,lcg_m", "with basis (lightships) or kind (alterations)"),
    ],
)
def test_a_column_that_cannot_be_taken_is_named(file: Path, head: str, told: str) -> None:
    file.write_text(f"{head}\n2010-03-01,inclining-test,1,1,1\n")
    with pytest.raises(HistoryFileError) as caught:
        read_history(str(file))
    assert told in caught.value.problems[0]


def test_a_spreadsheets_semicolons_and_mark_of_utf8_are_taken(file: Path) -> None:
    file.write_bytes("\ufeffdate;basis;mass_t;lcg_m\r\n2010-03-01;inclining-test;12.5;1\r\n".encode())
    [entry] = read_history(str(file))
    assert entry.document == {"date": "2010-03-01", "basis": "inclining-test", "mass_t": 12.5, "lcg_m": 1.0}


@pytest.mark.parametrize("name", ["history.txt", "history.xlsx", "absent.csv"])
def test_a_file_that_is_none_of_ours_is_refused(tmp_path: Path, name: str) -> None:
    if not name.startswith("absent"):
        (tmp_path / name).write_text("date,basis\n")
    with pytest.raises(EntryError, match=name):
        read_history(str(tmp_path / name))


def test_a_file_without_rows_is_refused(file: Path) -> None:
    file.write_text("date,basis,mass_t,lcg_m\n,,,\n")
    with pytest.raises(HistoryFileError) as caught:
        read_history(str(file))
    assert caught.value.problems == ("there are no rows below the column names.",)


def workbook(path: Path, sheets: dict[str, list[list[Any]]]) -> str:
    book = openpyxl.Workbook()
    book.remove(book.worksheets[0])
    for name, rows in sheets.items():
        sheet = book.create_sheet(name)
        for row in rows:
            sheet.append(row)
    book.save(path)
    return str(path)


def test_a_workbook_with_dates_and_numbers_as_a_spreadsheet_has_them_is_read(tmp_path: Path) -> None:
    rows: list[list[Any]] = [
        ["date", "basis", "mass_t", "lcg_m", "approved"],
        [datetime.datetime(2010, 3, 1), "inclining-test", 1200, 40.25, True],
    ]
    [entry] = read_history(workbook(tmp_path / "h.xlsx", {"Lightships": rows}))
    assert entry.document == {
        "date": "2010-03-01", "basis": "inclining-test", "mass_t": 1200.0, "lcg_m": 40.25, "approved": True
    }  # fmt: skip


def test_a_sheet_of_another_name_is_not_passed_over(tmp_path: Path) -> None:
    with pytest.raises(HistoryFileError) as caught:
        read_history(workbook(tmp_path / "h.xlsx", {"Sheet1": [["date"]]}))
    assert "'Sheet1' is unknown" in caught.value.problems[0]


def test_a_text_that_a_spreadsheet_would_run_is_kept_a_text(tmp_path: Path) -> None:
    risky = "=HYPERLINK(0)"
    entry = {"date": "2010-03-01", "kind": "added", "mass_t": 1.0, "x_m": 1.0, "y_m": -1.0, "z_m": 1.0}
    rows = [("Tarnfield", {**entry, "description": risky})]
    text = write_history("a.csv", {"alterations": rows}).decode()
    assert f"'{risky}" in text
    assert ",-1.0," in text
    book = openpyxl.load_workbook(io.BytesIO(write_history("a.xlsx", {"alterations": rows})))
    assert {cell.data_type for cell in book["alterations"][2] if cell.value == risky} == {"s"}
    for name in ("a.csv", "a.xlsx"):
        (tmp_path / name).write_bytes(write_history(name, {"alterations": rows}))
        assert read_history(str(tmp_path / name))[0].document["description"] == risky


def test_an_export_leaves_out_what_no_longer_stands(
    shell: Shell, heelwright: Client, vessel_id: str, file: Path
) -> None:
    file.write_text(LIGHTSHIPS)
    assert shell("history", "import", str(file))[0] == 0
    old = next(iter(heelwright.lightships.of(vessel_id)))
    better = {"date": "2010-03-01", "basis": "inclining-test", "mass_t": 1201.0, "lcg_m": 40.1, "approved": True}
    heelwright.lightships.add(vessel_id, {**better, "supersedes": old["id"], "reason": "a weight was misread"})
    assert shell.json("history", "export", str(file)) == {"lightships": 2}
    assert "1200" not in file.read_text()


def test_a_csv_file_cannot_hold_both_sheets() -> None:
    with pytest.raises(EntryError, match=r"\.xlsx"):
        write_history("a.csv", {"lightships": [], "alterations": []})


def test_the_service_stores_all_entries_or_none(heelwright: Client, vessel_id: str) -> None:
    good = {"date": "2012-06-01", "kind": "added", "mass_t": 1.0, "x_m": 1.0, "y_m": 0.0, "z_m": 1.0}
    twin = {"date": "2010-03-01", "basis": "estimate", "mass_t": 1.0, "lcg_m": 1.0}
    entries = [
        {"vessel_id": vessel_id, "alteration": good},
        {"vessel_id": vessel_id, "lightship": twin},
        {"vessel_id": vessel_id, "lightship": twin},
    ]
    with pytest.raises(Exception, match="has a lightship of 2010-03-01") as caught:
        heelwright.history.add(entries)
    assert caught.value.errors[0].pointer == "/entries/2/lightship/supersedes"  # type: ignore[attr-defined]  # a refusal
    assert stored(heelwright, vessel_id) == (0, 0)


@pytest.mark.parametrize("extra", [{}, {"lightship": {}, "alteration": {}}])
def test_an_entry_is_one_lightship_or_one_alteration(heelwright: Client, vessel_id: str, extra: dict[str, Any]) -> None:
    with pytest.raises(InvalidRequestError) as caught:
        heelwright.history.add([{"vessel_id": vessel_id, **extra}])
    assert all(problem.pointer.startswith("/entries/0/") for problem in caught.value.errors)
