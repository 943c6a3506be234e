"""Where the service is and by which token."""

from __future__ import annotations

import json
import os
from pathlib import Path

import pytest
from heelwright_client.configuration import DEFAULT_URL, Configuration, read_configuration, write_configuration
from heelwright_client.errors import ConfigurationError

FILED = Configuration("http://filed.test", "filed-token")


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return write_configuration(FILED, tmp_path / "heelwright" / "client.json")


def test_the_file_is_read_when_nothing_else_is_given(path: Path) -> None:
    assert read_configuration(environment={}, path=path) == FILED


def test_the_environment_goes_before_the_file_and_an_option_before_both(path: Path) -> None:
    environment = {"HEELWRIGHT_URL": "http://env.test", "HEELWRIGHT_TOKEN": "env-token"}
    assert read_configuration(environment=environment, path=path) == Configuration("http://env.test", "env-token")
    found = read_configuration("http://option.test", "option-token", environment=environment, path=path)
    assert found == Configuration("http://option.test", "option-token")


def test_the_files_token_goes_to_the_files_address_only(path: Path) -> None:
    assert read_configuration("http://elsewhere.test", environment={}, path=path).token is None
    assert read_configuration("http://filed.test", environment={}, path=path).token == "filed-token"


def test_without_anything_the_service_on_this_machine_is_asked(tmp_path: Path) -> None:
    assert read_configuration(environment={}, path=tmp_path / "none.json") == Configuration(DEFAULT_URL, None)


def test_the_file_is_written_for_its_owner_alone(path: Path) -> None:
    assert path.stat().st_mode & 0o777 == 0o600
    assert list(path.parent.iterdir()) == [path]


@pytest.mark.parametrize("mode", [0o640, 0o604, 0o620, 0o666])
def test_a_file_that_others_can_read_or_write_is_refused(path: Path, mode: int) -> None:
    path.chmod(mode)
    with pytest.raises(ConfigurationError, match="chmod 600"):
        read_configuration(environment={}, path=path)


def test_a_file_is_not_looked_at_when_it_is_not_needed(path: Path) -> None:
    path.chmod(0o644)
    assert read_configuration("http://a.test", "b", environment={}, path=path).url == "http://a.test"


@pytest.mark.parametrize("text", ["", "[]", "{}", '{"url": 3}', '{"url": "x", "token": 3}', "no json"])
def test_a_file_that_is_not_ours_is_refused_by_name(path: Path, text: str) -> None:
    path.write_text(text)
    with pytest.raises(ConfigurationError, match=r"client\.json"):
        read_configuration(environment={}, path=path)


def test_the_token_is_not_printed_with_the_configuration() -> None:
    assert "filed-token" not in repr(FILED)


def test_the_file_holds_what_the_service_writes_too(path: Path) -> None:
    assert json.loads(path.read_text()) == {"url": "http://filed.test", "token": "filed-token"}
    assert os.access(path, os.R_OK)
