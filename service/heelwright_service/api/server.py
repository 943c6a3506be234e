"""Serve the application by one process that stops only when every request it took has been answered."""

from __future__ import annotations

import logging
import signal
import socket
import threading
import time
from types import FrameType

from flask import Flask
from waitress import wasyncore  # type: ignore[import-untyped]  # the library ships no types
from waitress.server import BaseWSGIServer, create_server  # type: ignore[import-untyped]

THREADS = 8
LONGEST_DRAIN_S = 60.0

_log = logging.getLogger("heelwright.server")


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
    server = create_server(
        app,
        sockets=[listening],
        threads=THREADS,
        ident="heelwright",
        max_request_body_size=2 * int(app.config["MAX_CONTENT_LENGTH"]),
    )
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
