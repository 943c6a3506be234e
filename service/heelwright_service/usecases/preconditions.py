"""Which version of a resource a caller has seen: nobody overwrites what they have not read."""

from __future__ import annotations

from dataclasses import dataclass

from heelwright_service.store.errors import StaleError
from heelwright_service.usecases.errors import PreconditionMissingError


@dataclass(frozen=True)
class Expected:
    """The versions that the caller accepts; 0 stands for a resource that is not yet there.

    Without a statement (None) only a first version can be stored: there is nothing yet to overwrite.
    """

    versions: frozenset[int] | None
    whatever: bool = False

    def check(self, current: int) -> None:
        """Refuse to go on from a version that the caller has not seen.

        Parameters
        ----------
        current : int
            The version that is stored; 0 when there is none.

        Raises
        ------
        PreconditionMissingError
            When the caller did not say what he has seen and something is there.
        StaleError
            When the caller expected another version.
        """
        if self.whatever or (self.versions is None and current == 0):
            return
        if self.versions is None:
            raise PreconditionMissingError(
                "precondition-missing",
                f'say which version you have read: this is at version {current}, so If-Match: "{current}"',
            )
        if current in self.versions:
            return
        if current == 0:
            raise StaleError("stale", "there is nothing here yet; store the first version without If-Match")
        raise StaleError(
            "stale", f'this is at version {current}: read it again, then send If-Match: "{current}" with your change'
        )


ANY = Expected(None, whatever=True)
ABSENT = Expected(frozenset({0}))
UNSTATED = Expected(None)
