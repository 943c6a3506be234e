"""A form as filled in: what was typed, what it means to the service, and what was refused, each beside its field."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from itertools import pairwise
from typing import Any

from heelwright_client.errors import EntryError, RefusedError
from heelwright_client.units import SI, SYSTEMS, System
from heelwright_client.web.fields import Field, Rows, Spec, singles, tables
from heelwright_client.web.typed import text_of, value_of

_NUMBERED = re.compile(r"\d+")


class Entry:
    """One form's texts, values and errors by field name.

    Parameters
    ----------
    spec : sequence of Field and Rows
        What the form asks.
    system : System
        The units that the page shows.
    """

    def __init__(self, spec: Spec, system: System = SI) -> None:
        self.spec = spec
        self.system = system
        self.texts: dict[str, str] = {}
        self.values: dict[str, Any] = {}
        self.errors: dict[str, str] = {}
        self.other: list[str] = []
        self.counts: dict[str, int] = {}
        self.mark = "f"

    @classmethod
    def of_form(cls, spec: Spec, form: Mapping[str, str], system: System) -> Entry:
        """Read a sent form; its hidden field ``units`` tells which units it was typed in.

        Parameters
        ----------
        spec : sequence of Field and Rows
            What the form asks.
        form : Mapping
            Texts by field name.
        system : System
            The units that the page shows now.

        Returns
        -------
        Entry
            With an error for every text that cannot be read.
        """
        made = cls(spec, system)
        typed_in = SYSTEMS.get(form.get("units", ""), system)
        for field in singles(spec):
            made._read(field, form.get(field.name, ""), typed_in)
        for table in tables(spec):
            kept = [row for row in _numbers(table.name, form) if _filled(table.at(row), form)]
            made.counts[table.name] = len(kept)
            for place, row in enumerate(kept):
                for field, source in zip(table.at(place), table.at(row), strict=True):
                    made._read(field, form.get(source.name, ""), typed_in)
        return made

    @classmethod
    def of_document(cls, spec: Spec, document: Mapping[str, Any], system: System) -> Entry:
        """Fill a form with a document.

        Parameters
        ----------
        spec : sequence of Field and Rows
            What the form asks.
        document : Mapping
            As the service takes it, in SI.
        system : System
            The units that the page shows.

        Returns
        -------
        Entry
            With the texts that a person would have typed.
        """
        made = cls(spec, system)
        for table in tables(spec):
            made.counts[table.name] = len(document.get(table.name) or ())
        for field in made.fields():
            value = _at(document, field.name)
            made.texts[field.name] = text_of(field, value, system)
            if value is not None:
                made.values[field.name] = value
        return made

    def fields(self) -> Iterable[Field]:
        """Go through all fields that hold something or may."""
        yield from singles(self.spec)
        for table in tables(self.spec):
            for row in range(self.counts.get(table.name, 0)):
                yield from table.at(row)

    def rows(self, table: Rows) -> list[list[Field]]:
        """Return the rows to show: those filled in, and some to fill."""
        return [table.at(row) for row in range(self.counts.get(table.name, 0) + table.blank)]

    def text(self, name: str) -> str:
        """Return what stands in a field."""
        return self.texts.get(name, "")

    def marked(self, mark: str) -> Entry:
        """Return itself with a mark that tells its fields from those of other forms of the page."""
        self.mark = mark
        return self

    def id(self, name: str) -> str:
        """Return the id of a field or table in the page."""
        return f"{self.mark}-{name.replace('.', '-')}"

    def error(self, name: str) -> str:
        """Return what is wrong with a field, empty where nothing is."""
        return self.errors.get(name, "")

    def refuse(self, name: str, message: str) -> None:
        """Put an error beside a field, or above the form where it has no such field."""
        at = self._nearest(name)
        if at is None:
            self.other.append(f"{name}: {message}" if name else message)
        else:
            told = self.errors.get(at, "")
            self.errors[at] = f"{told} {message}".strip() if message not in told else told

    def take(self, refused: RefusedError) -> None:
        """Put the service's field errors beside their fields."""
        for problem in refused.errors:
            self.refuse(problem.pointer.strip("/").replace("/", "."), problem.message)
        if not refused.errors:
            self.other.append(str(refused))

    @property
    def wrong(self) -> bool:
        """Whether anything was refused."""
        return bool(self.errors or self.other)

    def summary(self) -> list[tuple[str, str, str]]:
        """Return every field that was refused, with its label and message, for the head of the form."""
        found = [(f.name, _label(f), self.errors[f.name]) for f in self.fields() if f.name in self.errors]
        found += [(t.name, t.label, self.errors[t.name]) for t in tables(self.spec) if t.name in self.errors]
        return found

    def document(self) -> dict[str, Any]:
        """Return what the form says, nested as the service takes it, without what was left empty."""
        made: dict[str, Any] = {table.name: [] for table in tables(self.spec) if self.counts.get(table.name)}
        for name, value in self.values.items():
            _put(made, name.split("."), value)
        return made

    def _read(self, field: Field, text: str, typed_in: System) -> None:
        text = text.strip()
        self.texts[field.name] = text
        if not text:
            if field.required:
                self.errors[field.name] = "This is needed."
            return
        try:
            value = value_of(field, text, typed_in)
        except EntryError as error:
            self.errors[field.name] = str(error)
            return
        self.values[field.name] = value
        if typed_in is not self.system and field.dimension:
            self.texts[field.name] = text_of(field, value, self.system)

    def _nearest(self, name: str) -> str | None:
        """The field or table of that name, else its first part, else the table or field that it stands in."""
        known = {field.name for field in self.fields()} | {table.name for table in tables(self.spec)}
        inner = next((each.name for each in self.fields() if name and each.name.startswith(f"{name}.")), None)
        if inner and name not in known:
            return inner
        while name and name not in known:
            name = name.rpartition(".")[0]
        return name or None


def _label(field: Field) -> str:
    row = _NUMBERED.search(field.name)
    in_row = row and field.name.count(".") == 2
    return f"{field.label}, row {int(row.group()) + 1}" if row and in_row else field.label


def _numbers(table: str, form: Mapping[str, str]) -> list[int]:
    parts = [name.split(".") for name in form if name.startswith(f"{table}.")]
    return sorted({int(part[1]) for part in parts if len(part) == 3 and part[1].isdecimal() and len(part[1]) < 5})


def _filled(fields: Iterable[Field], form: Mapping[str, str]) -> bool:
    return any(form.get(field.name, "").strip() for field in fields if field.kind != "choice")


def _at(document: Any, name: str) -> Any:  # noqa: ANN401 (any part of a document)
    found = document
    for part in name.split("."):
        if isinstance(found, Mapping):
            found = found.get(part)
        elif isinstance(found, list | tuple) and part.isdecimal() and int(part) < len(found):
            found = found[int(part)]
        else:
            return None
    return found


def _put(into: dict[str, Any], parts: list[str], value: Any) -> None:  # noqa: ANN401 (any value)
    """Put a value at a path; parts that are numbers make lists, which are filled in rising order."""
    holder: Any = into
    for part, following in pairwise(parts):
        fresh: Any = [] if following.isdecimal() else {}
        if isinstance(holder, list):
            while len(holder) <= int(part):
                holder.append([] if following.isdecimal() else {})
            holder = holder[int(part)]
        else:
            holder = holder.setdefault(part, fresh)
    if isinstance(holder, list):
        holder.append(value)
    else:
        holder[parts[-1]] = value
