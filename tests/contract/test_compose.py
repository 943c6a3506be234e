"""docker-compose.yml: what it starts exists, waits for what it needs, and is watched."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import click
import pytest
import yaml
from heelwright_client.cli import cli as client_command
from heelwright_service.cli import _parser as service_parser

ROOT = Path(__file__).parents[2]


@pytest.fixture(scope="module")
def services() -> dict[str, Any]:
    """The services of the file."""
    return dict(yaml.safe_load((ROOT / "docker-compose.yml").read_text())["services"])


def dockerfile(service: dict[str, Any]) -> str:
    return (ROOT / service["build"]["context"] / service["build"]["dockerfile"]).read_text()


def test_the_file_starts_a_database_the_service_and_the_front_end(services: dict[str, Any]) -> None:
    assert set(services) == {"postgres", "service", "web"}
    assert services["postgres"]["image"] == "postgres:15"


def test_everything_is_watched_and_waits_for_what_it_needs(services: dict[str, Any]) -> None:
    assert all(service["healthcheck"]["test"][0] == "CMD" for service in services.values())
    for name, needed in (("service", "postgres"), ("web", "service")):
        assert services[name]["depends_on"] == {needed: {"condition": "service_healthy"}}


def test_the_services_command_is_one_that_it_knows(services: dict[str, Any]) -> None:
    program, *words = services["service"]["command"]
    given = service_parser().parse_args(words)
    assert program == "heelwrightd"
    assert (given.host, given.port, given.migrate) == ("0.0.0.0", 8377, True)


def test_the_front_ends_command_is_one_that_it_knows(services: dict[str, Any]) -> None:
    program, name, *words = services["web"]["command"]
    assert program == "heelwright"
    command = client_command.get_command(click.Context(client_command), name)
    assert command is not None
    context = command.make_context(name, list(words))
    assert (context.params["host"], context.params["port"]) == ("0.0.0.0", 8378)


def test_the_images_start_what_the_file_starts(services: dict[str, Any]) -> None:
    for name in ("service", "web"):
        last = re.findall(r"^CMD (\[.*\])$", dockerfile(services[name]), re.MULTILINE)
        assert yaml.safe_load(last[-1]) == services[name]["command"]


def test_the_images_copy_only_what_is_there_and_run_as_nobody_special(services: dict[str, Any]) -> None:
    for name in ("service", "web"):
        text = dockerfile(services[name])
        for sources in re.findall(r"^COPY (.+) \S+$", text, re.MULTILINE):
            assert all((ROOT / source).exists() for source in sources.split()), sources
        assert re.search(r"^USER (?!root)", text, re.MULTILINE)


def test_no_password_stands_in_the_file_and_no_port_is_open_to_others(services: dict[str, Any]) -> None:
    assert services["postgres"]["environment"]["POSTGRES_PASSWORD"].startswith("${POSTGRES_PASSWORD:?")
    assert services["service"]["environment"]["PGPASSWORD"].startswith("${POSTGRES_PASSWORD:?")
    for service in services.values():
        assert all(port.startswith("127.0.0.1:") for port in service.get("ports", []))
