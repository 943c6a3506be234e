"""`heelwrightd`: the commands as a user runs them, in processes of their own."""

from __future__ import annotations

import json
import os
import signal
import socket
import stat
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
import requests

COMMAND = [sys.executable, "-m", "heelwright_service.cli"]
ALDER = {"name": "Alder"}


@pytest.fixture
def home(tmp_path: Path) -> dict[str, str]:
    """The environment of a user who has never used the service."""
    kept = {name: value for name, value in os.environ.items() if not name.startswith(("HEELWRIGHT_", "XDG_"))}
    return kept | {"HOME": str(tmp_path)}


def run(home: dict[str, str], *words: str, typed: str | None = None) -> subprocess.CompletedProcess[str]:
    return subprocess.run([*COMMAND, *words], env=home, input=typed, capture_output=True, text=True, timeout=60)


@contextmanager
def started(home: dict[str, str], *words: str) -> Iterator[tuple[subprocess.Popen[str], str]]:
    """A serving process and its address; it is stopped at the end."""
    process = subprocess.Popen([*COMMAND, "serve", *words], env=home, stderr=subprocess.PIPE, text=True)
    try:
        assert process.stderr is not None
        for line in process.stderr:
            if " answers at " in line:
                yield process, line.split(" answers at ")[1].split(";")[0]
                break
        else:
            pytest.fail("the service did not start")
    finally:
        process.terminate()
        process.communicate(timeout=30)


def client_file(home: dict[str, str]) -> Path:
    return Path(home["HOME"]) / ".config" / "heelwright" / "client.json"


def test_the_first_start_leaves_a_database_and_a_token_that_works(home: dict[str, str]) -> None:
    with started(home, "--port", "0") as (process, url):
        kept = json.loads(client_file(home).read_text())
        assert kept["url"] == url
        assert stat.S_IMODE(client_file(home).stat().st_mode) == 0o600
        headers = {"Authorization": f"Bearer {kept['token']}"}
        assert requests.post(f"{url}/v1/vessels", json=ALDER, headers=headers, timeout=10).status_code == 201
        assert requests.get(f"{url}/readyz", timeout=10).json()["status"] == "ok"
        process.send_signal(signal.SIGTERM)
        assert process.wait(timeout=20) == 0
    with started(home, "--port", "0") as (_, url):
        again = json.loads(client_file(home).read_text())
        assert (again["url"], again["token"]) == (url, kept["token"])
        assert len(requests.get(f"{url}/v1/vessels", headers=headers, timeout=10).json()["items"]) == 1


def test_a_file_that_names_a_service_elsewhere_is_left_alone(home: dict[str, str]) -> None:
    client_file(home).parent.mkdir(parents=True)
    elsewhere = json.dumps({"url": "https://fleet.example", "token": "theirs"})
    client_file(home).write_text(elsewhere)
    with started(home, "--port", "0"):
        assert client_file(home).read_text() == elsewhere


def test_a_port_that_is_taken_is_told_in_one_sentence(home: dict[str, str]) -> None:
    with socket.create_server(("127.0.0.1", 0)) as taken:
        told = run(home, "serve", "--port", str(taken.getsockname()[1]))
    assert told.returncode == 1
    assert "Address already in use" in told.stderr
    assert "Traceback" not in told.stderr


def test_tokens_are_made_listed_and_revoked(home: dict[str, str]) -> None:
    run(home, "migrate")
    made = run(home, "token", "create", "--name", "the yard", "--role", "recorder", "--fleet", "North", "--days", "30")
    assert made.returncode == 0
    assert made.stdout.startswith("hw_")
    listed = json.loads(run(home, "token", "list", "--json").stdout)
    assert (listed["name"], listed["role"], listed["fleet"]) == ("the yard", "recorder", "North")
    assert made.stdout.strip() not in json.dumps(listed)
    assert run(home, "token", "revoke", listed["id"]).returncode == 0
    assert "revoked" in run(home, "token", "list").stdout
    assert run(home, "token", "revoke", listed["id"]).returncode == 1
    assert run(home, "token", "create", "--name", "x", "--role", "owner").returncode == 2


def test_people_are_added_listed_and_disabled_with_the_password_from_the_standard_input(home: dict[str, str]) -> None:
    run(home, "migrate")
    add = ("person", "add", "Ines Aldous", "--role", "planner", "--fleet", "North")
    assert run(home, *add, typed="seven quiet moorings\n").returncode == 0
    again = run(home, *add, typed="seven quiet moorings\n")
    assert (again.returncode, "already" in again.stderr) == (1, True)
    assert "found 5" in run(home, "person", "add", "Tom", "--role", "reader", typed="short\n").stderr
    assert "no password was given" in run(home, "person", "add", "Tom", "--role", "reader", typed="").stderr
    listed = run(home, "person", "list", "--json").stdout
    assert (json.loads(listed)["name"], json.loads(listed)["fleet"]) == ("Ines Aldous", "North")
    assert "scrypt" not in listed
    assert run(home, "person", "password", "ines aldous", typed="another good password").returncode == 0
    assert "The role is approver" in run(home, "person", "role", "ines aldous", "approver").stderr
    again = run(home, "person", "role", "Ines Aldous", "approver")
    assert (again.returncode, "has the role approver already" in again.stderr) == (1, True)
    assert json.loads(run(home, "person", "list", "--json").stdout)["role"] == "approver"
    assert run(home, "person", "role", "Ines Aldous", "owner").returncode == 2
    assert run(home, "person", "role", "Nobody", "reader").returncode == 1
    assert run(home, "person", "disable", "Ines Aldous").returncode == 0
    assert run(home, "person", "disable", "Ines Aldous").returncode == 1
    assert "disabled" in run(home, "person", "list").stdout
    assert run(home, "person", "enable", "Ines Aldous").returncode == 0
    assert run(home, "person", "disable", "Nobody").returncode == 1


def test_a_backup_is_restored_and_verified(home: dict[str, str], tmp_path: Path) -> None:
    run(home, "migrate")
    run(home, "token", "create", "--name", "x", "--role", "reader")
    file = str(tmp_path / "backup.zip")
    assert run(home, "backup", file).returncode == 0
    assert run(home, "backup", file).returncode == 1
    assert run(home, "backup", file, "--overwrite").returncode == 0
    assert run(home, "verify", file).returncode == 0
    other = home | {"HEELWRIGHT_DATABASE_URL": f"sqlite:///{tmp_path / 'other.sqlite3'}"}
    assert run(other, "restore", file).returncode == 0
    assert run(other, "verify").returncode == 0
    assert run(other, "token", "list", "--json").stdout == run(home, "token", "list", "--json").stdout
    assert run(other, "restore", file).returncode == 1
    Path(file).write_bytes(Path(file).read_bytes()[:-9])
    assert run(home, "verify", file).returncode == 1


def test_a_database_of_another_revision_is_not_served(home: dict[str, str]) -> None:
    run(home, "migrate")
    import sqlite3

    path = Path(home["HOME"]) / ".local" / "share" / "heelwright" / "heelwright.sqlite3"
    connection = sqlite3.connect(path)
    connection.execute("UPDATE alembic_version SET version_num = '0000'")
    connection.commit()
    connection.close()
    told = run(home, "serve", "--port", "0")
    assert told.returncode == 1
    assert "run heelwrightd migrate" in told.stderr
    assert run(home, "verify").returncode == 1


def test_a_database_server_that_does_not_answer_is_told_as_such(home: dict[str, str]) -> None:
    nowhere = home | {"HEELWRIGHT_DATABASE_URL": "postgresql+psycopg://x@127.0.0.1:1/x?connect_timeout=2"}
    told = run(nowhere, "verify")
    assert (told.returncode, "Traceback" in told.stderr) == (3, False)


SLOW = """
import sys, time
from flask import Flask
from heelwright_service.api.server import listen, serve
app = Flask("slow")
app.config["MAX_CONTENT_LENGTH"] = 1000
@app.get("/slow")
def slow():
    time.sleep(1.0)
    return "done"
listening = listen("127.0.0.1", 0)
print(listening.getsockname()[1], flush=True)
serve(app, listening)
"""


@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGINT])
def test_requests_that_were_taken_are_answered_before_the_process_ends(number: signal.Signals) -> None:
    process = subprocess.Popen([sys.executable, "-c", SLOW], stdout=subprocess.PIPE, text=True)
    assert process.stdout is not None
    url = f"http://127.0.0.1:{process.stdout.readline().strip()}/slow"
    answers: list[str] = []

    def ask() -> None:
        answers.append(requests.get(url, timeout=20).text)

    # more than the server has threads, so that some wait in its queue when the signal comes
    threads = [threading.Thread(target=ask) for _ in range(12)]
    for thread in threads:
        thread.start()
    time.sleep(0.5)
    process.send_signal(number)
    for thread in threads:
        thread.join()
    assert process.wait(timeout=20) == 0
    process.stdout.close()
    assert answers == ["done"] * 12
    with pytest.raises(requests.ConnectionError):
        requests.get(url, timeout=5)
