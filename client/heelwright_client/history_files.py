"""History files, CSV and XLSX: read whole with every bad row named, or not at all; written so that they read back."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Literal

from heelwright_client.errors import EntryError, MissingExtraError
from heelwright_client.history_columns import FIELDS, Field, Heading, cell_value, headings

Sheet = Literal["lightships", "alterations"]
SHEETS: tuple[Sheet, Sheet] = ("lightships", "alterations")

_MOST_ROWS = 100_000
_MOST_TOLD = 20
_RISKY = ("=", "+", "-", "@")


@dataclass(frozen=True)
class Entry:
    """One row of a history: its place in the file, the vessel that it names, and the document to store."""

    sheet: Sheet
    row: int
    vessel: str | None
    document: dict[str, Any]


class HistoryFileError(EntryError):
    """Rows that cannot be taken; nothing was stored.

    Parameters
    ----------
    path : str
        The file.
    problems : sequence of str
        One sentence a bad cell or row, with row and column.
    """

    def __init__(self, path: str, problems: Sequence[str]) -> None:
        self.path = path
        self.problems = tuple(problems)
        super().__init__(f"{path}: problems found: {len(problems)}; nothing was stored.")

    def lines(self) -> list[str]:
        """Return the refusal as lines for people.

        Returns
        -------
        list of str
            The sentence, then the problems.
        """
        more = len(self.problems) - _MOST_TOLD
        tail = [f"and {more} more"] if more > 0 else []
        return [str(self), *self.problems[:_MOST_TOLD], *tail]


def read_history(path: str) -> list[Entry]:
    """Read a history file.

    Parameters
    ----------
    path : str
        A CSV file of lightships or of alterations (told apart by the columns ``basis`` and ``kind``), or an XLSX
        workbook with a sheet ``lightships``, a sheet ``alterations``, or both.

    Returns
    -------
    list of Entry
        In the file's order.

    Raises
    ------
    HistoryFileError
        When a column or a row cannot be taken.
    EntryError
        When the file is neither CSV nor XLSX, or cannot be read.
    """
    entries: list[Entry] = []
    problems: list[str] = []
    for sheet, rows in _sheets(path):
        found, wrong = _entries(sheet, rows)
        entries += found
        problems += wrong
    if problems:
        raise HistoryFileError(path, problems)
    if not entries:
        raise HistoryFileError(path, ["there are no rows below the column names."])
    return entries


def _sheets(path: str) -> list[tuple[Sheet, list[list[object]]]]:
    suffix = Path(path).suffix.lower()
    if suffix not in (".csv", ".xlsx"):
        raise EntryError(f"{path}: a history file is .csv or .xlsx.")
    try:
        raw = Path(path).read_bytes()
    except OSError as error:
        raise EntryError(f"{path} cannot be read: {error.strerror}.") from error
    return _csv_sheet(path, raw) if suffix == ".csv" else _xlsx_sheets(path, raw)


def _csv_sheet(path: str, raw: bytes) -> list[tuple[Sheet, list[list[object]]]]:
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise EntryError(f"{path} is not text in UTF-8; save it as CSV UTF-8.") from error
    first = text.partition("\n")[0]
    delimiter = ";" if ";" in first and "," not in first else ","
    try:
        rows: list[list[object]] = [
            list(row) for row in csv.reader(io.StringIO(text), delimiter=delimiter, strict=True)
        ]
    except csv.Error as error:
        raise EntryError(f"{path} is not a CSV file: {error}.") from error
    names = {str(name).strip().lower() for name in (rows[0] if rows else [])}
    if ("basis" in names) == ("kind" in names):
        raise HistoryFileError(
            path, ["the first row must name the columns, with basis (lightships) or kind (alterations)."]
        )
    return [("lightships" if "basis" in names else "alterations", rows)]


def _xlsx_sheets(path: str, raw: bytes) -> list[tuple[Sheet, list[list[object]]]]:
    try:
        import openpyxl
    except ImportError as error:
        raise MissingExtraError("XLSX files need openpyxl: pip install 'heelwright[client]'") from error
    try:
        book = openpyxl.load_workbook(io.BytesIO(raw), read_only=True, data_only=True)
    except Exception as error:  # the reader raises what its zip and XML layers raise
        raise EntryError(f"{path} is not an XLSX workbook: {error}.") from error
    named = {name.strip().lower(): name for name in book.sheetnames}
    strange = [name for name in named if name not in SHEETS]
    if strange:
        raise HistoryFileError(
            path, [f"sheet {named[s]!r} is unknown; known are {' and '.join(SHEETS)}." for s in strange]
        )
    return [
        (sheet, [list(row) for row in book[named[sheet]].iter_rows(values_only=True)])
        for sheet in SHEETS
        if sheet in named
    ]


def _entries(sheet: Sheet, rows: list[list[object]]) -> tuple[list[Entry], list[str]]:
    if len(rows) > _MOST_ROWS:
        return [], [f"{sheet}: {len(rows)} rows; {_MOST_ROWS} are allowed, so split the file."]
    names = [str(name or "") for name in (rows[0] if rows else [])]
    while names and not names[-1].strip():
        names.pop()
    if not names:
        return [], []
    try:
        columns = headings(names, FIELDS[sheet])
    except EntryError as error:
        return [], [f"{sheet}, row 1, {error}"]
    entries: list[Entry] = []
    problems: list[str] = []
    for number, row in enumerate(rows[1:], start=2):
        if any(str(cell).strip() for cell in row if cell is not None):
            entry, wrong = _entry(sheet, number, row, columns)
            problems += wrong
            entries += [entry] if not wrong else []
    return entries, problems


def _entry(sheet: Sheet, number: int, row: list[object], columns: list[Heading]) -> tuple[Entry, list[str]]:
    document: dict[str, Any] = {}
    problems = []
    if any(str(cell).strip() for cell in row[len(columns) :] if cell is not None):
        problems.append(f"{sheet}, row {number}: more cells than columns ({len(row)} against {len(columns)}).")
    cells = [*row, *[None] * (len(columns) - len(row))]
    for cell, heading in zip(cells, columns, strict=False):
        try:
            value = cell_value(_unguarded(cell), heading)
        except EntryError as error:
            problems.append(f"{sheet}, row {number}, column {heading.name}: {error}")
            continue
        if value is not None:
            _place(document, heading.field.path, value)
    vessel = document.pop("vessel", None)
    return Entry(sheet, number, vessel, document), problems


def _place(document: dict[str, Any], path: tuple[str, ...], value: object) -> None:
    for name in path[:-1]:
        document = document.setdefault(name, {})
    document[path[-1]] = value


def write_history(path: str, sheets: Mapping[Sheet, Iterable[tuple[str, Mapping[str, Any]]]]) -> bytes:
    """Lay out a history as a file's content, in SI, so that `read_history` reads it back.

    Parameters
    ----------
    path : str
        Its ending chooses CSV (one sheet only) or XLSX.
    sheets : Mapping
        Of each sheet, pairs of the vessel's name and the stored document.

    Returns
    -------
    bytes
        The file's content.

    Raises
    ------
    EntryError
        When the ending is neither .csv nor .xlsx, or a CSV file is asked to hold two sheets.
    """
    suffix = Path(path).suffix.lower()
    tables = {sheet: list(_rows(FIELDS[sheet], entries)) for sheet, entries in sheets.items()}
    if suffix == ".xlsx":
        return _xlsx(tables)
    if suffix != ".csv" or len(tables) != 1:
        raise EntryError(f"{path}: write both sheets to an .xlsx file, or one of them to a .csv file.")
    buffer = io.StringIO(newline="")
    csv.writer(buffer, lineterminator="\n").writerows(
        [[_guarded(cell) for cell in row] for row in next(iter(tables.values()))]
    )
    return buffer.getvalue().encode()


def _rows(fields: tuple[Field, ...], entries: Iterable[tuple[str, Mapping[str, Any]]]) -> Iterator[list[object]]:
    yield [field.si_column for field in fields]
    for vessel, document in entries:
        yield [vessel if field.column == "vessel" else _stored(document, field) for field in fields]


def _stored(document: Mapping[str, Any], field: Field) -> object:
    value: Any = document
    for name in field.path:
        value = (value or {}).get(name)
    if isinstance(value, bool):
        return "yes" if value else "no"
    return value


def _guarded(cell: object) -> object:
    """A text that a spreadsheet would take for a formula gets an apostrophe in front."""
    return f"'{cell}" if isinstance(cell, str) and cell.startswith(_RISKY) else cell


def _unguarded(cell: object) -> object:
    return cell[1:] if isinstance(cell, str) and cell[:1] == "'" and cell[1:].startswith(_RISKY) else cell


def _xlsx(tables: Mapping[Sheet, list[list[object]]]) -> bytes:
    try:
        import openpyxl
    except ImportError as error:
        raise MissingExtraError("XLSX files need openpyxl: pip install 'heelwright[client]'") from error
    book = openpyxl.Workbook()
    book.remove(book.worksheets[0])
    for name, rows in tables.items():
        sheet = book.create_sheet(name)
        for row in rows:
            sheet.append(row)
        for line in sheet.iter_rows():
            for cell in line:
                if isinstance(cell.value, str):
                    cell.data_type = "s"
        sheet.freeze_panes = "A2"
    buffer = io.BytesIO()
    book.save(buffer)
    return buffer.getvalue()
