"""What a form asks: single fields and tables of rows, named by the JSON Pointer of what they become."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from heelwright_client.units import Dimension, System

Kind = Literal["quantity", "side", "number", "count", "text", "choice", "date", "moment", "flag", "lines"]


@dataclass(frozen=True)
class Field:
    """One field of a form.

    Parameters
    ----------
    name : str
        Where it stands in the document, parts joined by points, such as ``heel_band_deg.0``.
    label : str
        What it is called on the page.
    kind : str
        ``quantity`` has a dimension and is typed in the visitor's unit; ``side`` is one with P or S behind it;
        ``number`` has a fixed unit; a ``moment`` is a day and time with its offset; ``lines`` are texts, one a line.
    dimension : str or None
        Of a quantity.
    unit : str
        Fixed unit of a number, shown in the field.
    required : bool
        Whether it must be filled in.
    hint : str
        What is allowed or meant, in small print.
    options : sequence of (str, str)
        Values and words of a choice.
    """

    name: str
    label: str
    kind: Kind = "text"
    dimension: Dimension | None = None
    unit: str = ""
    required: bool = False
    hint: str = ""
    options: Sequence[tuple[str, str]] = ()

    def shown_unit(self, system: System) -> str:
        """Return the unit that the field shows and a bare number is read in.

        Parameters
        ----------
        system : System
            The visitor's units.

        Returns
        -------
        str
            Empty where it has none.
        """
        return system.unit(self.dimension).symbol if self.dimension else self.unit


@dataclass(frozen=True)
class Rows:
    """A table of rows with the same fields; rows left empty do not count."""

    name: str
    label: str
    fields: tuple[Field, ...]
    hint: str = ""
    blank: int = 2

    def at(self, row: int) -> list[Field]:
        """Return the fields of one row, named by it.

        Parameters
        ----------
        row : int
            0 for the first.

        Returns
        -------
        list of Field
            Such as ``positions.0.x_m``.
        """
        return [_renamed(field, f"{self.name}.{row}.{field.name}") for field in self.fields]


Spec = Sequence[Field | Rows]


def singles(spec: Spec) -> Iterator[Field]:
    """Go through the fields that are not in rows.

    Parameters
    ----------
    spec : sequence
        Fields and rows.

    Yields
    ------
    Field
        In their order.
    """
    for part in spec:
        if isinstance(part, Field):
            yield part


def tables(spec: Spec) -> Iterator[Rows]:
    """Go through the tables of rows.

    Parameters
    ----------
    spec : sequence
        Fields and rows.

    Yields
    ------
    Rows
        In their order.
    """
    for part in spec:
        if isinstance(part, Rows):
            yield part


def _renamed(field: Field, name: str) -> Field:
    return Field(name, field.label, field.kind, field.dimension, field.unit, field.required, field.hint, field.options)
