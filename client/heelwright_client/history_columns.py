"""The columns of a history file: lightships and alterations, the unit at the end of every column of numbers."""

from __future__ import annotations

import datetime
import re
from dataclasses import dataclass
from typing import Any, Literal

from heelwright_client.errors import EntryError
from heelwright_client.units import UNITS

Kind = Literal["text", "date", "yes-no", "mass", "length"]

_UNITS: dict[Kind, dict[str, str]] = {
    "mass": {"t": "t", "kg": "kg", "lt": "LT", "lb": "lb"},
    "length": {"m": "m", "mm": "mm", "ft": "ft"},
}
_NUMBER = re.compile(r"[+-]?(\d+(\.\d*)?|\.\d+)([eE][+-]?\d+)?")
_YES_NO = {"yes": True, "true": True, "no": False, "false": False, "": None}


@dataclass(frozen=True)
class Field:
    """One field of an entry: its column without the unit, its kind, and where it stands in the document."""

    column: str
    kind: Kind
    path: tuple[str, ...]
    required: bool = False

    @property
    def si_column(self) -> str:
        """The column's name with the SI unit, as an export writes it."""
        ending = {"mass": "_t", "length": "_m"}.get(self.kind, "")
        return f"{self.column}{ending}"


@dataclass(frozen=True)
class Heading:
    """A column of a file as found: its field and the factor from the file's unit to SI."""

    name: str
    field: Field
    to_si: float = 1.0


def _numbers(kind: Kind, names: tuple[str, ...], *, required: bool) -> list[Field]:
    ending = "_t" if kind == "mass" else "_m"
    return [Field(name, kind, (f"{name}{ending}",), required) for name in names]


def _uncertainties() -> list[Field]:
    kinds: dict[str, Kind] = {"mass": "mass", "lcg": "length", "tcg": "length", "vcg": "length"}
    return [
        Field(f"{name}_standard_uncertainty", kind, ("uncertainties", f"{name}_{'t' if kind == 'mass' else 'm'}"))
        for name, kind in kinds.items()
    ]


VESSEL = Field("vessel", "text", ("vessel",))
LIGHTSHIP_FIELDS = (
    VESSEL,
    Field("date", "date", ("date",), required=True),
    Field("basis", "text", ("basis",), required=True),
    *_numbers("mass", ("mass",), required=True),
    *_numbers("length", ("lcg",), required=True),
    *_numbers("length", ("tcg", "vcg"), required=False),
    Field("approved", "yes-no", ("approved",)),
    *_uncertainties(),
)
ALTERATION_FIELDS = (
    VESSEL,
    Field("date", "date", ("date",), required=True),
    Field("kind", "text", ("kind",), required=True),
    *_numbers("mass", ("mass",), required=True),
    *_numbers("length", ("x", "y", "z"), required=True),
    *_numbers("length", ("to_x", "to_y", "to_z"), required=False),
    Field("mass_standard_uncertainty", "mass", ("uncertainties", "mass_t")),
    Field("position_standard_uncertainty", "length", ("uncertainties", "position_m")),
    Field("description", "text", ("description",)),
)
FIELDS: dict[str, tuple[Field, ...]] = {"lightships": LIGHTSHIP_FIELDS, "alterations": ALTERATION_FIELDS}


def headings(names: list[str], fields: tuple[Field, ...]) -> list[Heading]:
    """Match the columns of a file with the fields.

    Parameters
    ----------
    names : list of str
        The first row.
    fields : tuple of Field
        What may stand there.

    Returns
    -------
    list of Heading
        In the file's order.

    Raises
    ------
    EntryError
        When a column is unknown, has no unit, stands twice, or a required one is absent.
    """
    found = [_heading(name, fields) for name in names]
    columns = [heading.field.column for heading in found]
    for heading in found:
        if columns.count(heading.field.column) > 1:
            raise EntryError(f"column {heading.name!r}: {heading.field.column} stands in more than one column.")
    for field in fields:
        if field.required and field.column not in columns:
            raise EntryError(f"column {field.si_column!r} is absent; the first row must name it.")
    return found


def _heading(name: str, fields: tuple[Field, ...]) -> Heading:
    wanted = name.strip().lower()
    for field in fields:
        if field.kind not in _UNITS and wanted == field.column:
            return Heading(name, field)
        for ending, symbol in _UNITS.get(field.kind, {}).items():
            if wanted == f"{field.column}_{ending}":
                return Heading(name, field, UNITS[symbol].to_si)
        if field.kind in _UNITS and wanted == field.column:
            endings = ", ".join(f"{field.column}_{ending}" for ending in _UNITS[field.kind])
            raise EntryError(f"column {name!r} has no unit; write one of {endings}.")
    raise EntryError(f"column {name!r} is unknown; known are {', '.join(field.si_column for field in fields)}.")


def cell_value(cell: object, heading: Heading) -> Any:  # noqa: ANN401 (a text, a number, a truth value or nothing)
    """Read one cell.

    Parameters
    ----------
    cell : object
        Text from a CSV file, or what a spreadsheet holds.
    heading : Heading
        Its column.

    Returns
    -------
    str, float, bool or None
        In SI; None for an empty cell.

    Raises
    ------
    EntryError
        When the cell cannot be taken as it is; the message does not name the row.
    """
    empty = cell is None or (isinstance(cell, str) and not cell.strip())
    if empty:
        if heading.field.required:
            raise EntryError("is empty; a value is needed.")
        return None
    if heading.field.kind == "date":
        return _date(cell)
    if heading.field.kind == "yes-no":
        return _yes_no(cell)
    if heading.field.kind == "text":
        return str(cell).strip()
    return _number(cell) * heading.to_si if heading.to_si != 1.0 else _number(cell)


def _date(cell: object) -> str:
    if isinstance(cell, datetime.datetime):
        return cell.date().isoformat()
    try:
        return datetime.date.fromisoformat(str(cell).strip()).isoformat()
    except ValueError as error:
        raise EntryError(f"{str(cell)!r} is not a date; write YYYY-MM-DD, such as 2024-03-31.") from error


def _yes_no(cell: object) -> bool | None:
    word = str(cell).strip().lower()
    if word not in _YES_NO:
        raise EntryError(f"{str(cell)!r} must be yes or no.")
    return _YES_NO[word]


def _number(cell: object) -> float:
    if isinstance(cell, int | float) and not isinstance(cell, bool):
        return float(cell)
    text = str(cell).strip()
    if not _NUMBER.fullmatch(text):
        raise EntryError(f"{text!r} is not a number; write digits with a decimal point, without separators or a unit.")
    return float(text)
