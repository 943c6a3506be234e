"""How the command starts: at once, with nothing that it does not need, and with the exit statuses it promises."""

from __future__ import annotations

import os
import resource
import subprocess
import sys
from pathlib import Path

import pytest

HEELWRIGHT = str(Path(sys.executable).with_name("heelwright"))
HEAVY = ("numpy", "scipy", "flask", "sqlalchemy", "matplotlib", "heelwright_service", "openpyxl")
MAY_TAKE_S = 0.3


def environment(folder: Path) -> dict[str, str]:
    kept = {name: value for name, value in os.environ.items() if not name.startswith(("HEELWRIGHT_", "PYTHONDONT"))}
    return {**kept, "XDG_CONFIG_HOME": str(folder), "HOME": str(folder)}


def started(*arguments: str, folder: Path, **variables: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [HEELWRIGHT, *arguments], capture_output=True, text=True, env=environment(folder) | variables, timeout=60
    )


@pytest.mark.parametrize("command", [["--help"], ["--version"], ["plan", "--help"], ["drift", "--help"]])
def test_help_needs_no_heavy_library(command: list[str], tmp_path: Path) -> None:
    program = f"""
import sys
from heelwright_client.cli import run
status = run({command!r})
loaded = sorted(name for name in {(*HEAVY, "requests", "rich")!r} if name in sys.modules)
sys.exit(f"loaded {{loaded}}" if loaded or status else 0)
"""
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, env=environment(tmp_path))
    assert done.returncode == 0, done.stderr


def test_a_command_that_asks_the_service_needs_no_heavy_library(tmp_path: Path) -> None:
    program = f"""
import sys
from heelwright_client.cli import run
status = run(["--json", "--url", "http://127.0.0.1:1", "vessels", "list"])
loaded = sorted(name for name in {(*HEAVY, "rich")!r} if name in sys.modules)
sys.exit(f"loaded {{loaded}}" if loaded or status != 3 else 0)
"""
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, env=environment(tmp_path))
    assert done.returncode == 0, done.stderr


def test_help_is_there_in_less_than_a_third_of_a_second(tmp_path: Path) -> None:
    def seconds() -> float:
        """Processor time of the command: what a clock on the wall shows when nothing else runs."""
        begun = resource.getrusage(resource.RUSAGE_CHILDREN)
        assert started("--help", folder=tmp_path).returncode == 0
        ended = resource.getrusage(resource.RUSAGE_CHILDREN)
        return ended.ru_utime + ended.ru_stime - begun.ru_utime - begun.ru_stime

    assert min(seconds() for _ in range(6)) < MAY_TAKE_S  # the first one may compile; a busy machine may stall some


def test_help_lists_every_command_and_the_exit_statuses(tmp_path: Path) -> None:
    told = started("--help", folder=tmp_path).stdout
    for word in ("plan", "reduce", "drift", "vessels", "history", "alterations", "--url", "--token", "--json"):
        assert word in told
    assert "Exit status: 0 ok, 1 refused or a failed check, 2 usage, 3 service not reached." in " ".join(told.split())


@pytest.mark.parametrize("arguments", [["nonsense"], ["--nonsense"], ["plan"], ["reduce"], ["--units", "x", "drift"]])
def test_wrong_usage_is_2(arguments: list[str], tmp_path: Path) -> None:
    assert started(*arguments, folder=tmp_path).returncode == 2


def test_a_service_that_is_not_there_is_3_and_said_in_one_line(tmp_path: Path) -> None:
    done = started("--url", "http://127.0.0.1:1", "vessels", "list", folder=tmp_path)
    assert done.returncode == 3
    assert done.stderr.startswith("heelwright: http://127.0.0.1:1 was not reached")
    assert done.stderr.count("\n") == 1


def test_a_configuration_that_others_can_read_is_2_and_says_how_to_mend_it(tmp_path: Path) -> None:
    file = tmp_path / "heelwright" / "client.json"
    file.parent.mkdir()
    file.write_text('{"url": "http://127.0.0.1:1", "token": "x"}')
    file.chmod(0o644)
    done = started("vessels", "list", folder=tmp_path)
    assert done.returncode == 2
    assert "chmod 600" in done.stderr
    file.chmod(0o600)
    assert started("vessels", "list", folder=tmp_path).returncode == 3


def test_the_environment_names_the_service(tmp_path: Path) -> None:
    done = started("vessels", "list", folder=tmp_path, HEELWRIGHT_URL="http://127.0.0.1:2", HEELWRIGHT_TOKEN="t")
    assert done.returncode == 3
    assert "127.0.0.1:2" in done.stderr


def test_a_reader_that_closes_early_is_no_error(tmp_path: Path) -> None:
    command = f"'{HEELWRIGHT}' --help | head -1; echo ${{PIPESTATUS[0]}}"
    done = subprocess.run(["bash", "-c", command], capture_output=True, text=True, env=environment(tmp_path))
    assert "Traceback" not in done.stderr
