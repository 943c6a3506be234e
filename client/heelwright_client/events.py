"""The ordered, gap-free feed of what has happened, in the CloudEvents JSON form."""

from __future__ import annotations

from collections.abc import Iterator

from heelwright_client.http import Connection, Document


class Events:
    """The event calls of one connection."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection

    def after(self, position: str | int | None = None) -> Iterator[Document]:
        """Read events in order, from behind a position to the newest.

        Parameters
        ----------
        position : str, int or None
            Where the reader stopped last time; None for the beginning.

        Yields
        ------
        dict
            One event at a time.
        """
        yield from self._connection.pages("/v1/events", after=position)
