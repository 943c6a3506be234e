"""Keyset paging: a cursor says after which row a page begins, so rows added meanwhile move nothing."""

from __future__ import annotations

import base64
import binascii
import json
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any, Generic, TypeVar

from sqlalchemy import Select, tuple_
from sqlalchemy.orm import InstrumentedAttribute, Session

T = TypeVar("T")
U = TypeVar("U")


@dataclass(frozen=True)
class Page(Generic[T]):
    """Some rows in order, and the cursor of the next page or None at the end."""

    items: Sequence[T]
    next_cursor: str | None

    def map(self, change: Callable[[T], U]) -> Page[U]:
        """Return the page with every item changed by a function."""
        return Page([change(item) for item in self.items], self.next_cursor)


class CursorError(ValueError):
    """A cursor that this service did not give out."""


def encode_cursor(values: Sequence[str | int]) -> str:
    """Write the last row's sort values as an opaque cursor.

    Parameters
    ----------
    values : sequence of str or int
        In the order of the list's sort columns.

    Returns
    -------
    str
        URL-safe text.

    Examples
    --------
    >>> decode_cursor(encode_cursor(["2024-05-01", "a1"]), 2)
    ['2024-05-01', 'a1']
    """
    return base64.urlsafe_b64encode(json.dumps(list(values)).encode()).decode().rstrip("=")


def decode_cursor(cursor: str, count: int) -> list[str | int]:
    """Read a cursor back.

    Parameters
    ----------
    cursor : str
        From :func:`encode_cursor`.
    count : int
        How many sort values the list has.

    Returns
    -------
    list
        The sort values.

    Raises
    ------
    CursorError
        When the text is not a cursor of such a list.
    """
    try:
        values = json.loads(base64.b64decode(cursor + "=" * (-len(cursor) % 4), altchars=b"-_", validate=True))
    except (binascii.Error, ValueError) as error:
        raise CursorError("not a cursor of this list; take next_cursor from the page before") from error
    if not isinstance(values, list) or len(values) != count or not all(_sortable(value) for value in values):
        raise CursorError("not a cursor of this list; take next_cursor from the page before")
    return values


def decode_number(cursor: str) -> int:
    """Read a cursor that holds one number.

    Raises
    ------
    CursorError
        When it does not.
    """
    (number,) = decode_cursor(cursor, 1)
    if not isinstance(number, int):
        raise CursorError("not a cursor of this list; take next_cursor from the page before")
    return number


def page_by_id(
    session: Session, rows: Select[T], id_column: InstrumentedAttribute[str], cursor: str | None, limit: int
) -> Page[T]:
    """Return one page of rows in the order of their making.

    Parameters
    ----------
    session : Session
        An open session.
    rows : Select
        What to page through, without an order.
    id_column : InstrumentedAttribute
        The identifier that sorts by time of making.
    cursor : str or None
        Where the page begins.
    limit : int
        The most rows on a page.

    Returns
    -------
    Page
        The rows and the next cursor.
    """
    return page_by(session, rows, (id_column,), cursor, limit)


def page_by(
    session: Session,
    rows: Select[T],
    columns: Sequence[InstrumentedAttribute[Any]],
    cursor: str | None,
    limit: int,
    read: Callable[[list[str | int]], Sequence[object]] = lambda values: values,
) -> Page[T]:
    """Return one page of rows in ascending order of several columns, the last of which is unique.

    Parameters
    ----------
    session : Session
        An open session.
    rows : Select
        What to page through, without an order.
    columns : sequence of InstrumentedAttribute
        The sort columns.
    cursor : str or None
        Where the page begins.
    limit : int
        The most rows on a page.
    read : callable
        Turns a cursor's values into the columns' types.

    Returns
    -------
    Page
        The rows and the next cursor.
    """
    if cursor is not None:
        after = read(decode_cursor(cursor, len(columns)))
        rows = rows.where(tuple_(*columns) > tuple_(*after))
    found = session.scalars(rows.order_by(*columns).limit(limit + 1)).all()
    more = len(found) > limit
    last = [str(getattr(found[limit - 1], column.key)) for column in columns] if more else []
    return Page(found[:limit], encode_cursor(last) if more else None)


def _sortable(value: object) -> bool:
    """A text or a number that fits a column of either database; a NUL fits none."""
    if isinstance(value, str):
        return value.isprintable()
    return isinstance(value, int) and not isinstance(value, bool) and 0 <= value < 2**31
