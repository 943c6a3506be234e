"""What a use case refuses on its own account: callers it does not know, and acts they may not do."""

from __future__ import annotations


class UseCaseError(Exception):
    """A refusal with a stable code, one sentence and a JSON Pointer into the request."""

    def __init__(self, code: str, message: str, pointer: str = "") -> None:
        super().__init__(message)
        self.code = code
        self.message = message
        self.pointer = pointer


class UnknownCallerError(UseCaseError):
    """No token, or one that is not known, has expired or was revoked."""


class ForbiddenError(UseCaseError):
    """The caller is known and may not do this."""


class InvalidError(UseCaseError):
    """What was asked cannot be meant, seen against what is stored."""


class PreconditionMissingError(UseCaseError):
    """The caller did not say which version he has read."""


class TooManyError(UseCaseError):
    """Too much was asked lately; the caller may ask again after some seconds."""

    def __init__(self, code: str, message: str, wait_s: int) -> None:
        super().__init__(code, message)
        self.wait_s = wait_s


class BusyError(UseCaseError):
    """Other computations are in the way; the caller may ask again in a while."""
