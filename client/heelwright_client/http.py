"""One place that talks HTTP: address, token, timeout, retries where they are harmless, problems into exceptions."""

from __future__ import annotations

import json
import time
import uuid
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any, cast
from urllib.parse import urlsplit

import requests
from requests.adapters import BaseAdapter

from heelwright_client import __version__
from heelwright_client.errors import (
    ConfigurationError,
    NotReachedError,
    RefusedError,
    TimedOutError,
    UnavailableError,
    UnexpectedAnswerError,
    refusal,
)

Document = dict[str, Any]
Query = str | int | float | None

CONNECT_TIMEOUT_S = 5.0
READ_TIMEOUT_S = 60.0
COMPUTATION_TIMEOUT_S = 600.0
_PAUSES_S = (0.2, 0.8)
_LONGEST_PAUSE_S = 10.0
_LOOPBACK = {"localhost", "127.0.0.1", "::1"}


@dataclass(frozen=True)
class Stored:
    """A stored resource as it was read: its document and the version (`ETag`) that a change must name."""

    document: Document
    etag: str | None


@dataclass(frozen=True)
class ListPage:
    """One page of a list: its items, and the cursor that asks for the page behind it (None behind the last)."""

    items: list[Document]
    next_cursor: str | None


class _Bearer(requests.auth.AuthBase):
    """The token as a header; set as `auth` so that no netrc file can put another in its place."""

    def __init__(self, token: str | None) -> None:
        self._token = token

    def __call__(self, request: requests.PreparedRequest) -> requests.PreparedRequest:
        if self._token:
            request.headers["Authorization"] = f"Bearer {self._token}"
        return request


class Connection:
    """A connection to one service with one token.

    Parameters
    ----------
    url : str
        Address of the service, such as ``http://127.0.0.1:8377``.
    token : str or None
        Bearer token; None for the calls that are open.
    timeout_s : float
        Longest wait for an answer [s]; computations wait at least `COMPUTATION_TIMEOUT_S`.
    transport : requests.adapters.BaseAdapter or None
        Stands in for the network, such as `WsgiTransport` in tests.
    sleep : callable
        Waits between attempts.

    Raises
    ------
    ConfigurationError
        When the address is not an http or https URL, or the token cannot be sent.
    """

    def __init__(
        self,
        url: str,
        token: str | None = None,
        *,
        timeout_s: float = READ_TIMEOUT_S,
        transport: BaseAdapter | None = None,
        sleep: Callable[[float], None] = time.sleep,
    ) -> None:
        self.url = _checked_url(url)
        self._auth = _Bearer(_checked_token(token))
        self._timeout_s = timeout_s
        self._sleep = sleep
        self._session = requests.Session()
        self._session.trust_env = urlsplit(self.url).hostname not in _LOOPBACK
        self._session.headers.update(
            {"Accept": "application/json, application/problem+json", "User-Agent": f"heelwright-client/{__version__}"}
        )
        if transport is not None:
            self._session.mount("http://", transport)
            self._session.mount("https://", transport)

    def close(self) -> None:
        """Close the connection."""
        self._session.close()

    def get(self, path: str, **query: Query) -> Document:
        """Read a JSON document.

        Parameters
        ----------
        path : str
            Path below the address, such as ``/v1/vessels``.
        **query
            Query values; None is left out.

        Returns
        -------
        dict
            The document, numbers at full precision.
        """
        return _json(self._send("GET", path, query=query, repeatable=True))

    def get_stored(self, path: str) -> Stored:
        """Read a stored resource together with its version.

        Parameters
        ----------
        path : str
            Path of the resource.

        Returns
        -------
        Stored
            The document and its `ETag`.
        """
        answer = self._send("GET", path, repeatable=True)
        return Stored(_json(answer), answer.headers.get("ETag"))

    def get_bytes(self, path: str) -> bytes:
        """Read a file, such as a PDF.

        Parameters
        ----------
        path : str
            Path of the file.

        Returns
        -------
        bytes
            Its content.
        """
        return self._send("GET", path, repeatable=True, timeout_s=COMPUTATION_TIMEOUT_S, accept="*/*").content

    def pages(self, path: str, **query: Query) -> Iterator[Document]:
        """Read a list to its end, page by page.

        Parameters
        ----------
        path : str
            Path of the list.
        **query
            Query values; None is left out.

        Yields
        ------
        dict
            One item at a time.
        """
        cursor: str | None = None
        while True:
            page = self.page(path, cursor=cursor, **query)
            yield from page.items
            cursor = page.next_cursor
            if not cursor:
                return

    def page(self, path: str, *, cursor: str | None = None, **query: Query) -> ListPage:
        """Read one page of a list.

        Parameters
        ----------
        path : str
            Path of the list.
        cursor : str or None
            As the page before gave it; None for the first page.
        **query
            Query values, such as ``limit``; None is left out.

        Returns
        -------
        ListPage
            The items and where the list goes on.
        """
        found = self.get(path, cursor=cursor, **query)
        return ListPage(found["items"], found.get("next_cursor"))

    def compute(self, path: str, body: Mapping[str, Any], **query: Query) -> Document:
        """Ask for a computation that stores nothing, so that asking twice does no harm.

        Parameters
        ----------
        path : str
            Such as ``/v1/reductions``.
        body : Mapping
            The request.
        **query
            Query values; None is left out.

        Returns
        -------
        dict
            The answer.
        """
        answer = self._send("POST", path, body=body, query=query, repeatable=True, timeout_s=COMPUTATION_TIMEOUT_S)
        return _json(answer)

    def compute_bytes(self, path: str, body: Mapping[str, Any]) -> bytes:
        """Ask for a computation that answers with a file, such as a PDF.

        Parameters
        ----------
        path : str
            Such as ``/v1/reports``.
        body : Mapping
            The request.

        Returns
        -------
        bytes
            The file's content.
        """
        answer = self._send(
            "POST", path, body=body, repeatable=True, timeout_s=COMPUTATION_TIMEOUT_S, accept="application/pdf"
        )
        return answer.content

    def create(self, path: str, body: object, *, idempotency_key: str | None = None) -> Stored:
        """Store something new; the idempotency key makes a lost answer safe to ask for again.

        Parameters
        ----------
        path : str
            Path of the list that it joins.
        body : Mapping or list
            The document.
        idempotency_key : str or None
            Names this one act; a fresh one is made where there is none.

        Returns
        -------
        Stored
            What was stored, and its version.
        """
        key = {"Idempotency-Key": idempotency_key or str(uuid.uuid4())}
        answer = self._send("POST", path, body=body, headers=key, repeatable=True, timeout_s=COMPUTATION_TIMEOUT_S)
        return Stored(_json(answer), answer.headers.get("ETag"))

    def post_once(self, path: str, body: Mapping[str, Any], headers: Mapping[str, str]) -> Document:
        """Ask for something that must not be asked for twice, such as to sign in; never repeated by itself.

        Parameters
        ----------
        path : str
            Such as ``/v1/sessions``.
        body : Mapping
            The request.
        headers : Mapping
            Further headers.

        Returns
        -------
        dict
            The answer.
        """
        return _json(self._send("POST", path, body=body, headers=headers))

    def change(self, method: str, path: str, body: object, *, etag: str | None) -> Stored:
        """Replace or amend a stored resource, naming the version that was read; never repeated by itself.

        Parameters
        ----------
        method : str
            ``PUT`` or ``PATCH``.
        path : str
            Path of the resource.
        body : Mapping or list
            The new content.
        etag : str or None
            The version that was read; None for a part that is put for the first time.

        Returns
        -------
        Stored
            The new content and version.
        """
        answer = self._send(method, path, body=body, headers={"If-Match": etag} if etag else {})
        return Stored(_json(answer), answer.headers.get("ETag"))

    def delete(self, path: str, *, etag: str | None = None) -> None:
        """Remove a stored resource, naming the version that was read.

        Parameters
        ----------
        path : str
            Path of the resource.
        etag : str or None
            The version that was read; None for what has no versions.
        """
        self._send("DELETE", path, headers={"If-Match": etag} if etag else {})

    def _send(
        self,
        method: str,
        path: str,
        *,
        body: object = None,
        query: Mapping[str, Any] | None = None,
        headers: Mapping[str, str] | None = None,
        repeatable: bool = False,
        timeout_s: float = 0.0,
        accept: str | None = None,
    ) -> requests.Response:
        heads = dict(headers or {})
        if accept:
            heads["Accept"] = f"{accept}, application/problem+json"
        payload = None
        if body is not None:
            payload = _encoded(body)
            heads["Content-Type"] = "application/json"
        request = requests.Request(
            method, self.url + path, data=payload, params=_present(query), headers=heads, auth=self._auth
        )
        wait_s = max(self._timeout_s, timeout_s)
        pauses = list(_PAUSES_S) if repeatable else []
        while True:
            try:
                return self._once(request, wait_s)
            except (NotReachedError, UnavailableError) as error:
                if not pauses or isinstance(error, TimedOutError):
                    raise
                self._sleep(max(pauses.pop(0), _asked_pause_s(error)))

    def _once(self, request: requests.Request, wait_s: float) -> requests.Response:
        prepared = self._session.prepare_request(request)
        settings = self._session.merge_environment_settings(prepared.url or "", {}, False, None, None)
        try:
            answer = self._session.send(
                prepared, timeout=(CONNECT_TIMEOUT_S, wait_s), allow_redirects=False, **cast(Any, settings)
            )
        except requests.Timeout as error:
            raise TimedOutError(f"{self.url} gave no answer within {wait_s:.0f} s.") from error
        except requests.RequestException as error:
            raise NotReachedError(f"{self.url} was not reached: {_cause(error)}.") from error
        if answer.status_code >= 400:
            raise _refused(answer)
        if answer.status_code >= 300:
            raise UnexpectedAnswerError(
                f"{self.url} answered with a redirect to {answer.headers.get('Location')}; use that address itself."
            )
        return answer


def _checked_url(url: str) -> str:
    parts = urlsplit(url)
    if parts.scheme not in ("http", "https") or not parts.hostname:
        raise ConfigurationError(f"{url!r} is not the address of a service, such as http://127.0.0.1:8377.")
    return url.rstrip("/")


def _checked_token(token: str | None) -> str | None:
    if token is not None and (not token.isascii() or not token.isprintable() or " " in token):
        raise ConfigurationError("The token has characters that a token cannot have (spaces, line ends or letters).")
    return token


def _encoded(body: object) -> bytes:
    try:
        return json.dumps(body, allow_nan=False).encode()
    except ValueError as error:
        raise refusal(422, {"code": "not-finite", "detail": f"The request cannot be sent as JSON: {error}."}) from error


def _present(query: Mapping[str, Any] | None) -> dict[str, Any]:
    return {name: value for name, value in (query or {}).items() if value is not None}


def _json(answer: requests.Response) -> Document:
    if answer.status_code == 204 or not answer.content:
        return {}
    try:
        document = json.loads(answer.content)
    except ValueError as error:
        raise UnexpectedAnswerError(f"{answer.url} did not answer with JSON.") from error
    if not isinstance(document, dict):
        raise UnexpectedAnswerError(f"{answer.url} answered with JSON that is not an object.")
    return document


def _refused(answer: requests.Response) -> RefusedError:
    try:
        problem = json.loads(answer.content)
    except ValueError:
        problem = None
    if not isinstance(problem, dict):
        problem = {"title": answer.reason, "detail": f"{answer.url} answered {answer.status_code} {answer.reason}."}
    error = refusal(answer.status_code, problem)
    error.problem.setdefault("retry_after", answer.headers.get("Retry-After"))
    return error


def _asked_pause_s(error: Exception) -> float:
    asked = error.problem.get("retry_after") if isinstance(error, RefusedError) else None
    return min(float(asked), _LONGEST_PAUSE_S) if asked and str(asked).isdigit() else 0.0


def _cause(error: BaseException) -> str:
    """The innermost reason in words; the outer layers repeat addresses and object names."""
    reason: Any = error
    while getattr(reason, "args", ()) and isinstance(reason.args[0], BaseException):
        reason = getattr(reason.args[0], "reason", None) or reason.args[0]
    text = str(reason).rpartition(": ")[2] or type(reason).__name__
    return text.strip("()'\"").rstrip(".")
