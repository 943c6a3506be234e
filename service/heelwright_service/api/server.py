"""Serve the application by one process that stops only when every request it took has been answered."""

from __future__ import annotations

import json
import logging
import signal
import socket
import threading
import time
import uuid
from types import FrameType

from flask import Flask
from waitress import wasyncore  # type: ignore[import-untyped]  # the library ships no types
from waitress.channel import HTTPChannel  # type: ignore[import-untyped]
from waitress.server import BaseWSGIServer, create_server  # type: ignore[import-untyped]
from waitress.task import ErrorTask  # type: ignore[import-untyped]

from heelwright_service.api.problems import CONTENT_TYPE, document
from heelwright_service.store.engine import CONNECTIONS

THREADS = CONNECTIONS
LONGEST_DRAIN_S = 60.0

_log = logging.getLogger("heelwright.server")


class _Refusal(ErrorTask):  # type: ignore[misc]  # the library ships no types
    """Answers what never reaches the application, such as a body of the wrong length, in a problem document."""

    def execute(self) -> None:
        fault = self.request.error
        body = json.dumps(document(fault.code, "request-not-read", str(fault.body), uuid.uuid4().hex)).encode()
        self.status = f"{fault.code} {fault.reason}"
        self.response_headers.append(("Content-Type", CONTENT_TYPE))
        self.set_close_on_finish()
        self.content_length = len(body)
        self.write(body)


class _Channel(HTTPChannel):  # type: ignore[misc]  # the library ships no types
    error_task_class = _Refusal


def make_server(app: Flask, listening: socket.socket) -> BaseWSGIServer:
    """Return the server of an application, not yet running.

    Parameters
    ----------
    app : Flask
        The application.
    listening : socket
        From :func:`listen`.

    Returns
    -------
    BaseWSGIServer
        To be run in a thread of its own.
    """
    server = create_server(
        app,
        sockets=[listening],
        threads=THREADS,
        ident="heelwright",
        clear_untrusted_proxy_headers=False,  # the application reads one, and only when told how many proxies to trust
        max_request_body_size=2 * int(app.config["MAX_CONTENT_LENGTH"]),
    )
    server.channel_class = _Channel
    return server


def listen(host: str, port: int) -> socket.socket:
    """Take a port to listen on.

    Parameters
    ----------
    host : str
        An address of this machine.
    port : int
        The port; 0 takes any that is free.

    Returns
    -------
    socket
        Bound and listening.

    Raises
    ------
    OSError
        When the port is taken or the address is not of this machine.
    """
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    return socket.create_server((host, port), family=family, backlog=1024)


def serve(app: Flask, listening: socket.socket) -> None:
    """Serve until SIGTERM or SIGINT, then answer what was taken and return.

    Parameters
    ----------
    app : Flask
        The application.
    listening : socket
        From :func:`listen`.
    """
    server = make_server(app, listening)
    stop = threading.Event()

    def on_signal(number: int, frame: FrameType | None) -> None:
        stop.set()

    for number in (signal.SIGTERM, signal.SIGINT):
        signal.signal(number, on_signal)
    threading.Thread(target=server.run, name="server", daemon=True).start()
    stop.wait()
    _drain(server)


def _drain(server: BaseWSGIServer) -> None:
    """Take no more connections, and wait until those taken have their answers (the loop's thread sends them)."""
    server.trigger.pull_trigger(lambda: wasyncore.dispatcher.close(server))
    deadline = time.monotonic() + LONGEST_DRAIN_S
    while _busy(server) and time.monotonic() < deadline:
        time.sleep(0.02)
    if _busy(server):
        _log.error("stopped with requests unanswered after %.0f s", LONGEST_DRAIN_S)
    server.task_dispatcher.shutdown(cancel_pending=False, timeout=1)


def _busy(server: BaseWSGIServer) -> bool:
    tasks = server.task_dispatcher
    unsent = any(channel.total_outbufs_len or channel.requests for channel in list(server.active_channels.values()))
    return bool(tasks.queue or tasks.active_count or unsent)
