"""The README's commands run, print what it shows, and end as it says, on a served and seeded service."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import takewhile
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
README = (ROOT / "README.md").read_text(encoding="utf-8")
BIN = Path(sys.executable).parent
_BLOCK = re.compile(r"^```(?P<kind>\w+)\n(?P<body>.*?)^```$", re.MULTILINE | re.DOTALL)
_FIGURE = re.compile(r"\d+\.\d+")
_STATUS = re.compile(r"  # exit status (\d)$")


@dataclass(frozen=True)
class Example:
    """One command of the README with the lines that it shows and the exit status that it names."""

    command: str
    shown: tuple[str, ...]
    status: int


def plain(line: str) -> str:
    """A line as an editor keeps it: thin spaces as spaces, none at the end."""
    return line.replace("\u202f", " ").rstrip()


def examples() -> list[Example]:
    found = []
    for block in _BLOCK.finditer(README):
        if block["kind"] != "console":
            continue
        for part in re.split(r"^\$ ", block["body"], flags=re.MULTILINE)[1:]:
            command, shown = command_and_shown(part)
            status = _STATUS.search(command)
            lines = tuple(plain(line) for line in shown.splitlines() if line.strip())
            found.append(Example(_STATUS.sub("", command), lines, int(status[1]) if status else 0))
    return found


def command_and_shown(part: str) -> tuple[str, str]:
    """A command with the lines that continue it, each after `> `, and what it shows."""
    first, *rest = part.splitlines()
    more = list(takewhile(lambda line: line.startswith("> "), rest))
    return "\n".join([first, *(line[2:] for line in more)]), "\n".join(rest[len(more) :])


def shell_blocks() -> list[str]:
    return [block["body"].strip() for block in _BLOCK.finditer(README) if block["kind"] == "sh"]


def environment(**variables: str) -> dict[str, str]:
    kept = {name: value for name, value in os.environ.items() if not name.startswith(("HEELWRIGHT_", "XDG_"))}
    return kept | {"PATH": f"{BIN}{os.pathsep}{os.environ['PATH']}", "COLUMNS": "110"} | variables


def run_demo(folder: Path) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, str(ROOT / "seed_demo"), "--once", "--folder", str(folder)],
        capture_output=True,
        text=True,
        env=environment(),
        timeout=180,
    )


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, str]:
    """The demonstration's folder, and what its first run printed."""
    folder = tmp_path_factory.mktemp("demo") / "folder"
    done = run_demo(folder)
    assert done.returncode == 0, done.stdout + done.stderr
    return folder, done.stdout


@pytest.fixture(scope="module")
def workplace(
    demo: tuple[Path, str], tmp_path_factory: pytest.TempPathFactory
) -> Iterator[tuple[Path, dict[str, str]]]:
    """A folder laid out as the README takes it, and the environment that it sets, while the service runs."""
    folder, _ = demo
    place = tmp_path_factory.mktemp("checkout")
    (place / "client").symlink_to(ROOT / "client")
    (place / ".demo").symlink_to(folder)
    own = environment(
        HEELWRIGHT_DATABASE_URL=f"sqlite:///{folder / 'heelwright.sqlite3'}", XDG_CONFIG_HOME=str(folder / "config")
    )
    service = subprocess.Popen(
        [str(BIN / "heelwrightd"), "serve", "--port", "0"], env=own, stderr=subprocess.PIPE, text=True
    )
    assert service.stderr is not None
    for line in service.stderr:
        if "answers at" in line:
            break
    try:
        yield place, environment(XDG_CONFIG_HOME=str(folder / "config"))
    finally:
        service.terminate()
        service.communicate(timeout=20)


def test_every_example_of_the_readme_does_what_it_shows(workplace: tuple[Path, dict[str, str]]) -> None:
    place, variables = workplace
    assert len(examples()) >= 8
    for example in examples():
        done = subprocess.run(
            ["bash", "-c", in_one_terminal(example.command)],
            cwd=place,
            env=variables,
            capture_output=True,
            text=True,
            timeout=180,
        )
        printed = [plain(line) for line in (done.stdout + done.stderr).splitlines()]
        assert done.returncode == example.status, f"{example.command}: {done.stdout}{done.stderr}"
        missing = missing_line(example.shown, printed)
        assert missing is None, f"{example.command} does not print {missing!r} but\n" + "\n".join(printed)


def in_one_terminal(command: str) -> str:
    """A command that sees what those before it exported, and leaves what it exports to those after it."""
    kept = ".exported"
    return f"touch {kept}; . ./{kept}\n{command}\nstatus=$?; export -p > {kept}; exit $status"


def missing_line(shown: tuple[str, ...], printed: list[str]) -> str | None:
    """The first line that is not printed in its order; `...` stands for any lines."""
    left = iter(printed)
    for line in shown:
        if line != "..." and not any(alike(line, other) for other in left):
            return line
    return None


def alike(shown: str, printed: str) -> bool:
    """Whether two lines have the same words, and figures that differ by two in the last place at most.

    The last place of an interval's end may turn with the processor's arithmetic.
    """
    if _FIGURE.sub("#", shown) != _FIGURE.sub("#", printed):
        return False
    pairs = zip(_FIGURE.findall(shown), _FIGURE.findall(printed), strict=True)
    return all(abs(float(one) - float(other)) < 2.5 * 10.0 ** -len(one.partition(".")[2]) for one, other in pairs)


def test_a_figure_that_has_changed_is_told_from_one_that_was_rounded() -> None:
    assert alike("VCG 4.3306 m, 8 lifts", "VCG 4.3307 m, 8 lifts")
    assert not alike("VCG 4.3306 m, 8 lifts", "VCG 4.3310 m, 8 lifts")
    assert not alike("VCG 4.3306 m, 8 lifts", "VCG 4.3306 m, 6 lifts")
    assert missing_line(("b", "...", "a"), ["a", "b"]) == "a"


def test_the_demonstration_does_the_main_job_before_the_readers_eyes(demo: tuple[Path, str]) -> None:
    _, out = demo
    steps = [out.index(text) for text in ("1  Plan", "Plan: ", "2  Reduce", "Lightship of the Merrowdale", "3  Follow")]
    assert steps == sorted(steps)
    assert "/v1/docs" in out
    assert out.count("heelwright ") >= 3
    assert "Traceback" not in out


def test_the_demonstration_again_uses_what_is_there(demo: tuple[Path, str]) -> None:
    folder, first = demo
    again = run_demo(folder)
    assert again.returncode == 0, again.stderr
    assert again.stdout.count(": there already") == 16, "ten vessels and six tests"
    assert (
        again.stdout[again.stdout.index("1  Plan") :].split("The service")[0].splitlines()[:8]
        == (first[first.index("1  Plan") :].split("The service")[0].splitlines()[:8])
    )


def test_the_demonstration_keeps_its_folder_to_its_owner(demo: tuple[Path, str]) -> None:
    folder, _ = demo
    assert folder.stat().st_mode & 0o077 == 0
    assert (folder / "config" / "heelwright" / "client.json").stat().st_mode & 0o777 == 0o600


def test_the_two_commands_start_from_nothing_and_are_the_ones_that_ci_runs() -> None:
    start, tests = shell_blocks()[:2]
    make = "python3 -m venv .venv && .venv/bin/pip install -q -c .ci/constraints.txt -e '.[all]' && "
    assert start == f"{make}.venv/bin/python seed_demo"
    assert tests.startswith(make)
    assert tests in (ROOT / ".ci" / "run").read_text().splitlines()


def test_every_constraint_is_a_name_and_a_version() -> None:
    lines = (ROOT / ".ci" / "constraints.txt").read_text().splitlines()
    assert len(lines) > 50
    assert [line for line in lines if not re.fullmatch(r"[A-Za-z0-9._-]+==[A-Za-z0-9.+]+", line)] == []


def test_every_history_column_is_in_the_readme() -> None:
    from heelwright_client.history_columns import FIELDS

    for fields in FIELDS.values():
        for field in fields:
            assert f"`{field.si_column}`" in README, field.si_column
