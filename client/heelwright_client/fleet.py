"""The fleet seen from above."""

from __future__ import annotations

from collections.abc import Iterator

from heelwright_client.http import Connection, Document


class Fleet:
    """The fleet calls of one connection."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection

    def drift(self, *, fleet: str | None = None) -> Iterator[Document]:
        """Read the lightship drift of every vessel that the token may see, in the service's order (worst first).

        Parameters
        ----------
        fleet : str or None
            Only vessels of this fleet.

        Yields
        ------
        dict
            One vessel at a time.
        """
        yield from self._connection.pages("/v1/fleet/drift", fleet=fleet)
