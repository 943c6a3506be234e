"""What can go wrong with stored things: not there, in the way, or changed meanwhile."""

from __future__ import annotations


class StoreError(Exception):
    """A request that the stored data does not allow.

    Parameters
    ----------
    code : str
        Stable machine-readable name in kebab-case, such as ``vessel-not-found``.
    message : str
        One sentence: what was asked, what was found, how to mend it.
    pointer : str
        JSON Pointer (RFC 6901) to the field in the request; empty when the whole request is meant.
    """

    def __init__(self, code: str, message: str, pointer: str = "") -> None:
        super().__init__(message)
        self.code = code
        self.message = message
        self.pointer = pointer


class NotFoundError(StoreError):
    """What was asked for is not there, or not there for this caller."""


class ConflictError(StoreError):
    """What was asked contradicts what is stored."""


class StaleError(StoreError):
    """The resource changed after the caller had read it."""


class NotMigratedError(StoreError):
    """The database is not at the revision that this version of the service needs."""
