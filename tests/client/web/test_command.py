"""`heelwright web` as a process of its own: it says where it listens, signs its owner in once, and stops when told."""

from __future__ import annotations

import os
import re
import signal
import socket
import stat
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
import requests
from flask import Flask
from heelwright_client.configuration import Configuration, write_configuration
from heelwright_client.web.settings import kept_secret

from tests.support.app import new_token


@contextmanager
def running(folder: Path, *options: str) -> Iterator[tuple[subprocess.Popen[str], int]]:
    """The command in a process with a configuration folder of its own."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    environment = {**os.environ, "XDG_CONFIG_HOME": str(folder), "PYTHONUNBUFFERED": "1"}
    for name in ("HEELWRIGHT_URL", "HEELWRIGHT_TOKEN", "HEELWRIGHT_WEB_SECRET"):
        environment.pop(name, None)
    command = [
        sys.executable,
        "-c",
        "from heelwright_client.cli import main; main()",
        "web",
        "--port",
        str(port),
        *options,
    ]
    process = subprocess.Popen(command, env=environment, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)
    try:
        yield process, port
    finally:
        process.kill()
        process.communicate()


def lines_of(process: subprocess.Popen[str], count: int) -> str:
    """The first lines that the process prints."""
    assert process.stdout is not None
    return "".join(process.stdout.readline() for _ in range(count))


def answer_of(session: requests.Session, address: str) -> requests.Response:
    """Ask, and again while the process is still opening its port."""
    session.mount("http://", requests.adapters.HTTPAdapter(max_retries=requests.adapters.Retry(8, backoff_factor=0.1)))
    return session.get(address, timeout=10)


def test_it_says_where_it_listens_signs_in_its_owner_once_and_stops_on_a_signal(
    tmp_path: Path, app: Flask, live_server: str
):
    write_configuration(Configuration(live_server, new_token(app)), tmp_path / "heelwright" / "client.json")
    with running(tmp_path) as (process, port):
        told = lines_of(process, 2)
        assert f"http://localhost:{port}" in told
        assert live_server in told
        address = re.search(r"http://\S+/welcome/\S+", told)
        assert address is not None
        with requests.Session() as owner, requests.Session() as other:
            assert "No vessels yet" in answer_of(owner, address[0]).text
            assert answer_of(other, address[0]).status_code == 404
            assert answer_of(other, f"http://localhost:{port}/healthz").json() == {"status": "ok"}
        process.send_signal(signal.SIGTERM)
        assert process.wait(10) == 0
    secret = tmp_path / "heelwright" / "web-secret"
    assert stat.S_IMODE(secret.stat().st_mode) == 0o600


def test_without_a_token_of_its_owner_it_offers_no_address_that_signs_in(tmp_path: Path):
    with running(tmp_path) as (process, port), requests.Session() as visitor:
        told = lines_of(process, 1)
        assert answer_of(visitor, f"http://127.0.0.1:{port}/sign-in").status_code == 200
        process.send_signal(signal.SIGTERM)
        rest, _ = process.communicate(timeout=10)
        assert "welcome" not in told + rest


def test_a_service_that_is_not_reached_does_not_keep_it_from_starting(tmp_path: Path):
    with running(tmp_path, "--host", "127.0.0.1") as (process, port), requests.Session() as visitor:
        lines_of(process, 1)
        assert answer_of(visitor, f"http://127.0.0.1:{port}/").status_code == 200
        assert "Sign in" in visitor.get(f"http://127.0.0.1:{port}/", timeout=10).text


def test_the_secret_is_made_once_and_the_environment_stands_in_for_it(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.delenv("HEELWRIGHT_WEB_SECRET", raising=False)
    first = kept_secret(tmp_path)
    assert kept_secret(tmp_path) == first
    assert len(first) > 30
    monkeypatch.setenv("HEELWRIGHT_WEB_SECRET", "given")
    assert kept_secret(tmp_path) == "given"


def test_a_folder_that_cannot_be_written_still_gives_a_secret(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.delenv("HEELWRIGHT_WEB_SECRET", raising=False)
    in_the_way = tmp_path / "a file"
    in_the_way.write_text("")
    assert len(kept_secret(in_the_way)) > 30
