"""An in-process transport: requests go to a WSGI application without a socket, for tests and embedding."""

from __future__ import annotations

import io
import sys
from collections.abc import Callable, Iterable, Mapping
from typing import Any
from urllib.parse import unquote_to_bytes, urlsplit

import requests
from requests.adapters import BaseAdapter
from requests.structures import CaseInsensitiveDict

WsgiApplication = Callable[[dict[str, Any], Callable[..., Any]], Iterable[bytes]]


class WsgiTransport(BaseAdapter):
    """Hands every request to a WSGI application (PEP 3333) in this process.

    Parameters
    ----------
    application : callable
        The application.
    """

    def __init__(self, application: WsgiApplication) -> None:
        super().__init__()
        self.application = application

    def send(
        self,
        request: requests.PreparedRequest,
        stream: bool = False,
        timeout: object = None,
        verify: bool | str = True,
        cert: object = None,
        proxies: Mapping[str, str] | None = None,
    ) -> requests.Response:
        """Answer one request by calling the application.

        Parameters
        ----------
        request : requests.PreparedRequest
            The request.
        stream, timeout, verify, cert, proxies
            Have no meaning without a network.

        Returns
        -------
        requests.Response
            The application's answer.
        """
        started: list[tuple[str, list[tuple[str, str]]]] = []

        def start_response(status: str, headers: list[tuple[str, str]], exc_info: object = None) -> Callable[..., None]:
            started.append((status, headers))
            return lambda data: None

        chunks = self.application(environment(request), start_response)
        try:
            content = b"".join(chunks)
        finally:
            close = getattr(chunks, "close", None)
            if close is not None:
                close()
        return _response(request, started[-1], content)

    def close(self) -> None:
        """Nothing is held open."""


def environment(request: requests.PreparedRequest) -> dict[str, Any]:
    """Lay out a prepared request as a WSGI environment.

    Parameters
    ----------
    request : requests.PreparedRequest
        The request.

    Returns
    -------
    dict
        The environment of PEP 3333.
    """
    parts = urlsplit(request.url or "")
    body = request.body or b""
    data = body if isinstance(body, bytes) else str(body).encode()
    headers = {f"HTTP_{name.upper().replace('-', '_')}": value for name, value in request.headers.items()}
    return headers | {
        "REQUEST_METHOD": request.method,
        "SCRIPT_NAME": "",
        "PATH_INFO": unquote_to_bytes(parts.path).decode("latin-1"),
        "QUERY_STRING": parts.query,
        "CONTENT_TYPE": request.headers.get("Content-Type", ""),
        "CONTENT_LENGTH": str(len(data)),
        "SERVER_NAME": parts.hostname,
        "SERVER_PORT": str(parts.port or 80),
        "SERVER_PROTOCOL": "HTTP/1.1",
        "REMOTE_ADDR": "127.0.0.1",
        "wsgi.version": (1, 0),
        "wsgi.url_scheme": parts.scheme,
        "wsgi.input": io.BytesIO(data),
        "wsgi.errors": sys.stderr,
        "wsgi.multithread": False,
        "wsgi.multiprocess": False,
        "wsgi.run_once": False,
    }


def _response(
    request: requests.PreparedRequest, started: tuple[str, list[tuple[str, str]]], content: bytes
) -> requests.Response:
    status, headers = started
    answer = requests.Response()
    answer.status_code = int(status[:3])
    answer.reason = status[4:]
    answer.headers = CaseInsensitiveDict(headers)
    answer.url = request.url or ""
    answer.request = request
    answer.raw = io.BytesIO(content)
    answer._content = content
    return answer
