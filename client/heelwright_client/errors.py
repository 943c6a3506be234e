"""What can go wrong between a caller and the service.

The tree, so that a caller catches as much or as little as wanted::

    HeelwrightError
    ├── ConfigurationError        no address, or a configuration file that others can read
    ├── MissingExtraError         a part that was not installed
    ├── EntryError                a number, unit or file row that cannot be taken as it is
    ├── NotReachedError           no answer: refused connection, broken line
    │   └── TimedOutError         no answer in time
    ├── UnexpectedAnswerError     an answer that is not the service's (a proxy's page, cut-off JSON)
    └── RefusedError              a problem document: status, code, detail, errors by pointer
        ├── InvalidRequestError   400, 413, 415, 422
        ├── UnauthenticatedError  401
        ├── ForbiddenError        403
        ├── NotFoundError         404
        ├── ConflictError         409
        ├── StaleError            412, 428
        ├── TooManyRequestsError  429
        └── ServiceFailedError    5xx
            └── UnavailableError  502, 503, 504
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any


class HeelwrightError(Exception):
    """Anything this client raises on purpose."""


class ConfigurationError(HeelwrightError):
    """The client does not know where to go, or its configuration file cannot be trusted."""


class MissingExtraError(HeelwrightError):
    """A part of the distribution is not installed; the message names the command that installs it."""


class EntryError(HeelwrightError):
    """Something typed or read from a file cannot be taken as it is: nothing is guessed."""


class NotReachedError(HeelwrightError):
    """The service gave no answer."""


class TimedOutError(NotReachedError):
    """The service gave no answer in time."""


class UnexpectedAnswerError(HeelwrightError):
    """The answer is not one that the service gives."""


@dataclass(frozen=True)
class FieldProblem:
    """One field that was refused: a JSON Pointer (RFC 6901) into the request and a sentence."""

    pointer: str
    message: str

    def __str__(self) -> str:
        return f"{self.pointer or '(whole request)'}: {self.message}"


class RefusedError(HeelwrightError):
    """The service refused, and said why in a problem document (RFC 9457).

    Parameters
    ----------
    status : int
        HTTP status.
    problem : Mapping
        The problem document.
    """

    def __init__(self, status: int, problem: Mapping[str, Any]) -> None:
        self.status = status
        self.problem = dict(problem)
        self.code = str(problem.get("code") or "")
        self.title = str(problem.get("title") or "")
        self.detail = str(problem.get("detail") or "")
        self.request_id = str(problem.get("request_id") or "")
        self.errors = tuple(
            FieldProblem(str(entry.get("pointer", "")), str(entry.get("message", "")))
            for entry in problem.get("errors") or ()
            if isinstance(entry, Mapping)
        )
        super().__init__(self.detail or self.title or f"refused with status {status}")

    def lines(self) -> list[str]:
        """Return the refusal as lines for people: the sentence, then one line a field.

        Returns
        -------
        list of str
            At least one line.
        """
        told = str(self)
        if self.status >= 500 and self.request_id and self.request_id not in told:
            told = f"{told} (request {self.request_id})"
        return [told, *(str(entry) for entry in self.errors if told not in (str(entry), entry.message))]


class InvalidRequestError(RefusedError):
    """The request cannot be taken as it is; `errors` names the fields."""


class UnauthenticatedError(RefusedError):
    """No token, or one that the service does not know."""


class ForbiddenError(RefusedError):
    """The token's role does not allow this."""


class NotFoundError(RefusedError):
    """No such thing, or outside the token's scope."""


class ConflictError(RefusedError):
    """The thing exists already, or its state does not allow this."""


class StaleError(RefusedError):
    """Somebody changed the thing in between, or the version was not named: read again, then write."""


class TooManyRequestsError(RefusedError):
    """Too many requests; wait and try again."""


class ServiceFailedError(RefusedError):
    """The service failed; nothing was stored."""


class UnavailableError(ServiceFailedError):
    """The service, or what stands before it, cannot answer now."""


_BY_STATUS: dict[int, type[RefusedError]] = {
    401: UnauthenticatedError,
    403: ForbiddenError,
    404: NotFoundError,
    409: ConflictError,
    412: StaleError,
    428: StaleError,
    429: TooManyRequestsError,
    502: UnavailableError,
    503: UnavailableError,
    504: UnavailableError,
}


def refusal(status: int, problem: Mapping[str, Any]) -> RefusedError:
    """Choose the exception for a refused request.

    Parameters
    ----------
    status : int
        HTTP status, 400 or above.
    problem : Mapping
        The problem document; may be empty.

    Returns
    -------
    RefusedError
        Of the class that the tree above gives for the status.

    Examples
    --------
    >>> refusal(404, {"detail": "no such vessel", "code": "not-found"})
    NotFoundError('no such vessel')
    """
    fallback = ServiceFailedError if status >= 500 else InvalidRequestError
    return _BY_STATUS.get(status, fallback)(status, problem)
