"""The fields of which requests are made: finite numbers in physical ranges, plain texts, dates, points."""

from __future__ import annotations

import datetime
import math
import re
from abc import ABC, abstractmethod
from collections.abc import Callable, Mapping
from itertools import chain
from typing import Any, TypeVar

from marshmallow import ValidationError, fields

_UNPRINTABLE = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f\ud800-\udfff]")
_DATE = re.compile(r"\d{4}-\d{2}-\d{2}", re.ASCII)
REQUIRED_AND_NULL: dict[str, Any] = {
    "required": "is required",
    "null": "may not be null; leave it out where it is not known",
}

T = TypeVar("T")

Input = Any  # a value as it came, of any type
Option = Any  # whatever a field of marshmallow can be told


class Checked(fields.Field[T], ABC):
    """A field that checks a value of any type, and says in one sentence what is wrong with it."""

    default_error_messages = REQUIRED_AND_NULL

    @abstractmethod
    def _read(self, value: Input) -> T:
        """Return the checked value, or raise a ValidationError."""

    def _deserialize(self, value: Input, attr: str | None, data: Mapping[str, Any] | None, **rest: Option) -> T:
        return self._read(value)


LARGEST_NUMBER = 1e300
"""A larger one, of whatever many digits, is not told apart from infinity."""

_SMALLER_UNIT = {"t/m³": "kg/m³", "m": "mm", "t": "kg"}
"""Units a thousand times smaller that people have the figure in."""


def plain(value: float) -> str:
    """Write a number in plain digits, thousands apart by a space, where a power of ten would be hard to read.

    Parameters
    ----------
    value : float
        The number.

    Returns
    -------
    str
        Such as ``0.95`` or ``1 260 000``; a power of ten only from 10¹⁵ on.

    Examples
    --------
    >>> plain(0.95), plain(1025.0), plain(1_260_000.0), plain(-1e9)
    ('0.95', '1025', '1 260 000', '-1 000 000 000')
    """
    if 1e5 <= abs(value) < 1e15:
        return f"{value:,.0f}".replace(",", " ")
    return f"{value:g}"


class Quantity(Checked[float]):
    """A finite number within a physical range; texts and booleans are not numbers.

    Parameters
    ----------
    low, high : float
        The range, ends included.
    above : bool
        Leave the low end out of the range.
    **options
        As of any field.
    """

    def __init__(self, low: float, high: float, *, above: bool = False, **options: Option) -> None:
        super().__init__(**options)
        self.low, self.high, self.above = low, high, above

    def _read(self, value: Input) -> float:
        number = finite(value)
        if number < self.low or number > self.high or (self.above and number == self.low):
            start = f"above {plain(self.low)}" if self.above else f"from {plain(self.low)}"
            found = f"must be {start} to {plain(self.high)}, found {plain(number)}"
            raise ValidationError(found + self._likely_unit(number))
        return number

    def _likely_unit(self, number: float) -> str:
        """Ask for the smaller unit where a thousandth of the number would do."""
        unit = re.search(r"\[([^\]]+)\]", str(self.metadata.get("description", "")))
        smaller = _SMALLER_UNIT.get(unit.group(1)) if unit else None
        if smaller is None or unit is None or not self.low < number / 1000.0 <= self.high:
            return ""
        return f"; is that {smaller}? It is asked in {unit.group(1)}: {plain(number / 1000.0)}"


class Count(Checked[int]):
    """A whole number within a range; 3.0 is one, 3.5 and "3" are not."""

    def __init__(self, low: int, high: int, **options: Option) -> None:
        super().__init__(**options)
        self.low, self.high, self.above = low, high, False

    def _read(self, value: Input) -> int:
        number = finite(value)
        if not number.is_integer():
            raise ValidationError(f"must be a whole number, found {plain(number)}")
        if not self.low <= number <= self.high:
            raise ValidationError(f"must be from {plain(self.low)} to {plain(self.high)}, found {plain(number)}")
        return int(number)


class QueryCount(fields.Integer):
    """A whole number of a query, in digits alone: no sign in front of a count, no blanks, no underscores."""

    default_error_messages = REQUIRED_AND_NULL

    def _deserialize(self, value: Input, attr: str | None, data: Mapping[str, Any] | None, **rest: Option) -> Any:  # noqa: ANN401 (a whole number, as the parent declares)
        if not isinstance(value, str) or not re.fullmatch(r"-?[0-9]{1,18}", value, re.ASCII):
            raise ValidationError("must be a whole number, written in digits alone")
        return super()._deserialize(value, attr, data, **rest)


class Flag(Checked[bool]):
    """True or false, in no other spelling."""

    def _read(self, value: Input) -> bool:
        if not isinstance(value, bool):
            raise ValidationError("must be true or false")
        return value


class Text(Checked[str]):
    """A text without control characters, of limited length, not blank unless allowed.

    Parameters
    ----------
    longest : int
        The most characters.
    blank : bool
        Allow an empty text.
    **options
        As of any field.
    """

    def __init__(self, longest: int = 200, *, blank: bool = False, **options: Option) -> None:
        super().__init__(**options)
        self.longest, self.blank = longest, blank

    def _read(self, value: Input) -> str:
        if not isinstance(value, str):
            raise ValidationError("must be a text")
        if len(value) > self.longest:
            raise ValidationError(f"must be of at most {self.longest} characters, found {len(value)}")
        if _UNPRINTABLE.search(value):
            raise ValidationError("has a control character or half of a surrogate pair; take it out")
        if not self.blank and not value.strip():
            raise ValidationError("may not be blank")
        return value


class Choice(Checked[str]):
    """One of some words."""

    def __init__(self, *words: str, **options: Option) -> None:
        super().__init__(**options)
        self.words = words

    def _read(self, value: Input) -> str:
        if not isinstance(value, str) or value not in self.words:
            raise ValidationError(f"must be one of {', '.join(self.words)}")
        return value


class Day(Checked[datetime.date]):
    """A calendar date in ISO 8601, such as 2024-05-17."""

    def _read(self, value: Input) -> datetime.date:
        if isinstance(value, str) and _DATE.fullmatch(value):
            try:
                day = datetime.date.fromisoformat(value)
            except ValueError:
                day = datetime.date.min
            if day.year >= 1800:
                return day
        raise ValidationError("must be a date from the year 1800 on, written as 2024-05-17")


class DayText(Day):
    """A calendar date in ISO 8601 that stays a text, for documents that are handed on whole."""

    def _read(self, value: Input) -> Any:  # noqa: ANN401 (a text where the parent has a date)
        return super()._read(value).isoformat()


class Moment(Checked[datetime.datetime]):
    """A time with its offset in ISO 8601, such as 2024-05-17T09:30:00+02:00."""

    def _read(self, value: Input) -> datetime.datetime:
        try:
            moment = datetime.datetime.fromisoformat(value) if isinstance(value, str) and len(value) > 10 else None
        except ValueError:
            moment = None
        if moment is None or moment.utcoffset() is None or not 1800 <= moment.year <= 9000:
            raise ValidationError("must be a time with its offset, written as 2024-05-17T09:30:00+02:00")
        return moment


class MomentText(Moment):
    """A time with its offset that stays a text, for documents that are handed on whole."""

    def _read(self, value: Input) -> Any:  # noqa: ANN401 (a text where the parent has a date)
        super()._read(value)
        return value


class Identifier(Text):
    """The id of a stored resource, as this service gave it out."""

    def __init__(self, **options: Option) -> None:
        super().__init__(64, **options)

    def _read(self, value: Input) -> str:
        text = super()._read(value)
        if not re.fullmatch(r"[0-9a-z]{1,64}", text):
            raise ValidationError("is not an id of this service")
        return text


class ImoNumber(Checked[str]):
    """A ship's IMO number as a text: seven digits, of which the last checks the others."""

    def _read(self, value: Input) -> str:
        if not isinstance(value, str) or not re.fullmatch(r"(IMO ?)?[0-9]{7}", value):
            raise ValidationError('must be a text of seven digits, such as "9074729"')
        number = value[-7:]
        expected = sum(int(digit) * weight for digit, weight in zip(number, range(7, 1, -1), strict=False)) % 10
        if int(number[6]) != expected:
            raise ValidationError(f"has the check digit {number[6]} where {expected} is right; read it again")
        return number


class Numbers(Checked[list[Any]]):
    """Rows of finite numbers as one field: checked as a block, since a hull form has thousands.

    Parameters
    ----------
    width : int
        Numbers in a row; 0 for a plain list of numbers.
    shortest, longest : int
        Fewest and most rows.
    limit : float
        The greatest magnitude of a number.
    **options
        As of any field.
    """

    def __init__(
        self, width: int, shortest: int = 0, longest: int = 20_000, limit: float = 1000.0, **options: Option
    ) -> None:
        super().__init__(**options)
        self.width, self.shortest, self.longest, self.limit = width, shortest, longest, limit

    def _read(self, value: Input) -> list[Any]:
        if not isinstance(value, list):
            raise ValidationError("must be a list")
        if not self.shortest <= len(value) <= self.longest:
            raise ValidationError(f"must have {self.shortest} to {self.longest} entries, found {len(value)}")
        if self.width and not (all(map(_is_list, value)) and set(map(len, value)) <= {self.width}):
            raise ValidationError(self._wrong(value, self._row_fault))
        flat = list(chain.from_iterable(value)) if self.width else value
        if not set(map(type, flat)) <= {int, float} or not all(map(self._within, flat)):
            raise ValidationError(self._wrong(value, self._entry_fault))
        return value

    def _within(self, number: float) -> bool:
        return -self.limit <= number <= self.limit

    def _row_fault(self, row: Input) -> str | None:
        if not isinstance(row, list) or len(row) != self.width:
            return f"must be a list of {self.width} numbers"
        return None

    def _entry_fault(self, row: Input) -> str | dict[int, list[str]] | None:
        if not self.width:
            return _number_fault(row, self.limit)
        faults = {place: _number_fault(number, self.limit) for place, number in enumerate(row)}
        return {place: [fault] for place, fault in faults.items() if fault} or None

    def _wrong(self, rows: list[Any], fault: Callable[[Any], Any]) -> dict[str | int, Any]:
        found = ((place, fault(row)) for place, row in enumerate(rows))
        return {place: wrong if isinstance(wrong, dict) else [wrong] for place, wrong in found if wrong}


class Positions(Checked[dict[str, Any]]):
    """Named points ``{id: [x, y, z]}`` in metres, as many as a state has weights."""

    def _read(self, value: Input) -> dict[str, Any]:
        if not isinstance(value, Mapping):
            raise ValidationError("must be an object of [x, y, z] by weight")
        name, point, faults = Text(100), Numbers(0, 3, 3), {}
        for key, position in value.items():
            try:
                name.deserialize(key)
                point.deserialize(position)
            except ValidationError as error:
                faults[key] = error.messages
        if faults:
            raise ValidationError(faults)
        return dict(value)


def finite(value: Input) -> float:
    """Return a JSON number as a float; texts, booleans, NaN and the infinite are refused.

    Raises
    ------
    ValidationError
        When the value is not a finite number.
    """
    fault = _number_fault(value, math.inf)
    if fault:
        raise ValidationError(fault)
    return float(value)


def _number_fault(value: Input, limit: float) -> str | None:
    if isinstance(value, bool) or not isinstance(value, int | float):
        found = "a text; write it without quotation marks" if isinstance(value, str) else "something else"
        return f"must be a number, found {found}"
    if isinstance(value, float) and not math.isfinite(value):
        return "must be a finite number; leave the field out where it is not known"
    limit = min(limit, LARGEST_NUMBER)
    if abs(value) > limit:
        found = f", found {plain(float(value))}" if abs(value) <= LARGEST_NUMBER else ""
        return f"must be from {plain(-limit)} to {plain(limit)}{found}"
    return None


def _is_list(value: Input) -> bool:
    return isinstance(value, list)
