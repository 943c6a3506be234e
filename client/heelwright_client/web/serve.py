"""Serving the front end until it is told to stop."""

from __future__ import annotations

import signal
import threading
from types import FrameType

from flask import Flask
from waitress.server import create_server  # type: ignore[import-untyped]

_THREADS = 8


def serve(app: Flask, host: str, port: int) -> None:
    """Serve until interrupted or terminated; requests in flight are finished first.

    Parameters
    ----------
    app : Flask
        The front end.
    host : str
        Address to listen on.
    port : int
        Port to listen on.
    """
    server = create_server(app, host=host, port=port, threads=_THREADS, ident="heelwright")

    def stop(number: int, frame: FrameType | None) -> None:
        raise SystemExit(0)

    if threading.current_thread() is threading.main_thread():
        signal.signal(signal.SIGTERM, stop)
    try:
        server.run()
    except (SystemExit, KeyboardInterrupt):
        pass
    finally:
        server.task_dispatcher.shutdown(cancel_pending=False)
        server.close()
