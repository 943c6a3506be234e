"""Every command on a real pseudo-terminal: nothing is wider than it, nothing is lost, dates and names are in words."""

from __future__ import annotations

import datetime
import fcntl
import json
import os
import pty
import re
import struct
import subprocess
import sys
import termios
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

import click
import pytest
from heelwright_client.cli import cli
from heelwright_client.client import Client
from heelwright_client.demo.seed import seed
from heelwright_client.demo.stored_tests import seed_tests
from heelwright_client.wsgi_transport import WsgiTransport

from tests.client.conftest import URL
from tests.client.test_texts_for_people import FAULTS
from tests.support.app import engine_of, make_app, migrated_sqlite, new_token, served

DEMO = Path(__file__).resolve().parents[2] / "client" / "heelwright_client" / "demo"
RECORD, REQUEST = str(DEMO / "merrowdale-test-day.json"), str(DEMO / "merrowdale-weight-plan.json")
COLLECTIONS = "water draughts soundings items persons weights instruments states readings weather waivers closings"
ONE_AFTER_THE_OTHER = """
import json, sys
from heelwright_client.cli import run
for arguments in json.loads(sys.argv[1]):
    status = run(arguments)
    sys.stdout.write("\\x1e\\n")
    sys.stdout.flush()
"""
_ID = re.compile(r"\b[0-9a-f]{12,}\b")
_FIGURE = re.compile(r"\d[\d\u202f]*\.\d+")
_CLOCK = re.compile(r"T\d\d:\d\d:\d\d\.\d+")

Arguments = tuple[str, ...]


@dataclass(frozen=True)
class Office:
    """The invented fleet behind a served application, and who may ask it."""

    variables: dict[str, str]
    tests: dict[str, str]

    def on_terminal(self, columns: int, commands: Sequence[Arguments], **variables: str) -> list[str]:
        """What each command prints on a terminal of so many columns, complaints included."""
        return on_terminal(self._asking(commands), columns, self.variables | variables).split("\x1e\n")[:-1]

    def in_pipe(self, commands: Sequence[Arguments]) -> list[str]:
        """What each command prints into a pipe."""
        done = subprocess.run(
            self._asking(commands), env=self.variables, stdout=subprocess.PIPE, text=True, timeout=120, check=True
        )
        return done.stdout.split("\x1e\n")[:-1]

    def _asking(self, commands: Sequence[Arguments]) -> list[str]:
        return [sys.executable, "-c", ONE_AFTER_THE_OTHER, json.dumps(commands)]


def on_terminal(command: Sequence[str], columns: int, variables: dict[str, str]) -> str:
    """Run a command with a pseudo-terminal as standard output and standard error, and read what appears on it."""
    ours, theirs = pty.openpty()
    fcntl.ioctl(theirs, termios.TIOCSWINSZ, struct.pack("HHHH", 40, columns, 0, 0))
    shown = bytearray()
    with subprocess.Popen(command, env=variables, stdin=subprocess.DEVNULL, stdout=theirs, stderr=theirs):
        os.close(theirs)
        while piece := _piece(ours):
            shown += piece
    os.close(ours)
    return shown.decode().replace("\r\n", "\n")


def _piece(descriptor: int) -> bytes:
    """The next bytes of a terminal; at its end Linux raises where other systems give none."""
    try:
        return os.read(descriptor, 65536)
    except OSError:
        return b""


@pytest.fixture(scope="module")
def office(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Office]:
    app = make_app(migrated_sqlite(tmp_path_factory.mktemp("office")))
    token = new_token(app, "admin")
    client = Client(URL, token, transport=WsgiTransport(app))

    def as_person(name: str, role: str) -> Client:
        return Client(URL, new_token(app, role, name=name), transport=WsgiTransport(app))

    seed(client, lambda line: None)
    seed_tests(client, as_person, datetime.date(2032, 2, 29), lambda line: None)
    with served(app) as url:
        ships = {str(vessel["id"]): str(vessel["name"]) for vessel in client.vessels}
        kept = {name: value for name, value in os.environ.items() if not name.startswith(("HEELWRIGHT_", "XDG_"))}
        kept.pop("COLUMNS", None)
        own = {"HEELWRIGHT_URL": url, "HEELWRIGHT_TOKEN": token, "TERM": "dumb"}
        yield Office(kept | own, {ships[str(each["vessel_id"])]: str(each["id"]) for each in client.tests})
    engine_of(app).dispose()


def reading(tests: dict[str, str]) -> list[Arguments]:
    """The commands that only read, with what they need."""
    planned, preparing, day = tests["Quillmoor"], tests["Feshwick Provider"], tests["Merrowvale"]
    review, approved = tests["Merrowdale"], tests["Merrowmere"]
    lines = [
        "drift --fleet", "drift Larkhollow", "drift Merrowdale", "drift Quillhaven", "vessels list",
        "vessels show Merrowdale", "alterations list Merrowdale", "tests list", "tests list Quillmoor",
        *(f"tests show {test}" for test in tests.values()), f"tests plan {planned}", f"tests calendar {planned}",
        f"tests procedure {planned}", f"tests tanks {planned}", f"tests prepare {preparing}",
        *(f"tests readiness {test}" for test in (preparing, day)), f"tests readiness {day} --leave",
        f"tests survey {day}", f"tests survey {tests['Tolvane Pull']}", f"tests running {day}",
        f"tests result {review}", f"tests review {review}", f"tests approval {approved}", f"tests put-back {day}",
        "tests actions", f"tests interim {review}", "tests boundary Merrowdale", "price --list",
        f"price {RECORD} --kind surplus-overlooked --mass-t 2 --x-m 10 --y-m 0 --z-m 4", f"plan {REQUEST} --all-checks",
        f"reduce {RECORD} --all-checks --what-if draught_m=0.003",
        f"reduce {RECORD} --uncertainty monte-carlo --draws 200",
    ]  # fmt: skip
    return [tuple(line.split()) for line in lines]


def entered(tests: dict[str, str]) -> list[Arguments]:
    return [("tests", "entries", tests["Merrowvale"], collection) for collection in COLLECTIONS.split()]


def writing(tests: dict[str, str], folder: Path) -> list[Arguments]:
    """Commands that store something and say so in a line or more."""
    item = folder / "item.json"
    item.write_text(json.dumps({"kind": "seen", "description": "Paint drums in the forepeak, port side", "mass_t": 1}))
    stored = folder / "history.xlsx"
    planned, preparing, day, review = (
        tests[name] for name in ("Quillmoor", "Feshwick Provider", "Merrowvale", "Merrowdale")
    )
    added = "--date 2020-05-06 --kind added --mass-t 1 --x-m 9 --y-m 0 --z-m 3"
    decided = ("--class", "fishing nets", "--counts", "load", "--by", "Owner", "--on", "2020-01-01", "--reason", "law")
    return [
        ("vessels", "add", "Oxwater", "--kind", "cargo", "--length-m", "50"),
        ("alterations", "add", "Oxwater", *added.split()),
        ("history", "export", str(stored)),
        ("history", "import", "--check", str(stored)),
        ("tests", "open", "Oxwater", "--kind", "inclining-test", "--title", "after the conversion " * 5),
        ("tests", "list", "Oxwater"),
        ("tests", "answer", planned, "fresh water port", "cannot", "--by", "Master", "--on", "2032-01-05",
         "--reason", "the pump is ashore for repair", "--offered-state", "empty"),
        ("tests", "replan", planned),
        ("tests", "pin", planned),
        ("tests", "tick", preparing, "yard-gear"),
        ("tests", "boundary", "Merrowdale", *decided),
        ("tests", "settle", review, "RR-08", "Counted from the moulded baseline.", "--by", "K. Lund"),
        ("tests", "interim", review, "--limit", "No deck cargo and no passengers on the upper deck.", "--days", "9"),
        ("tests", "interim", review),
        ("tests", "enter", day, "items", str(item)),
        ("tests", "move", review, "approved"),
    ]  # fmt: skip


def too_wide(columns: int, commands: Sequence[Arguments], shown: Sequence[str]) -> list[tuple[int, str, str]]:
    """Each line that has no room on the terminal, with its command."""
    assert len(shown) == len(commands)
    lines = [(arguments, line) for arguments, text in zip(commands, shown, strict=True) for line in text.splitlines()]
    return [(len(line), " ".join(arguments[:2]), line) for arguments, line in lines if len(line) > columns]


def in_words(text: str) -> list[tuple[str, str]]:
    """What is written for programs in a text for people."""
    plain = _ID.sub("", text)
    return [(fault, found[0]) for fault, shape in FAULTS.items() if (found := re.search(shape, plain))]


def test_on_eighty_columns_every_command_fits_loses_no_figure_and_speaks_in_words(office: Office) -> None:
    commands = reading(office.tests)
    shown = office.on_terminal(80, commands)
    assert too_wide(80, commands, shown) == []
    for arguments, text, piped in zip(commands, shown, office.in_pipe(commands), strict=True):
        assert len(text.splitlines()) > 0, arguments
        assert sorted(_FIGURE.findall(text)) == sorted(_FIGURE.findall(_CLOCK.sub("", piped))), arguments
        assert in_words(text) == [], arguments


def test_on_a_hundred_and_twenty_columns_too_and_running_text_stays_short_enough_to_read(office: Office) -> None:
    stored = [arguments for arguments in reading(office.tests) if arguments[0] in ("drift", "vessels", "tests")]
    commands = stored + entered(office.tests)
    shown = office.on_terminal(120, commands)
    assert too_wide(120, commands, shown) == []
    cautions = [text.partition("Cautions\n")[2] for text in shown]
    assert sum(map(len, cautions)) > 1000
    assert max(len(line) for text in cautions for line in text.splitlines()) <= 100


def test_entries_are_told_with_units_and_sides_and_none_of_their_identifiers_is_broken(office: Office) -> None:
    commands = entered(office.tests)
    shown = office.on_terminal(80, commands)
    assert too_wide(80, commands, shown) == []
    assert [in_words(text) for text in shown] == [[]] * len(commands)
    for text, piped in zip(shown, office.in_pipe(commands), strict=True):
        assert _ID.findall(text) == _ID.findall(piped) != []
    told = " ".join(" ".join(shown).split())
    assert "mass 4.620 t" in told
    assert "2.150 m P" in told


def test_what_a_change_says_fits_too(office: Office, tmp_path: Path) -> None:
    commands = writing(office.tests, tmp_path)
    shown = office.on_terminal(80, commands)
    assert too_wide(80, commands, [text.replace(str(tmp_path), "") for text in shown]) == []
    assert "6 May 2020" in shown[1]


def test_refusals_and_wrong_usage_fit_too(office: Office) -> None:
    commands: list[Arguments] = [
        ("price", RECORD, "--kind", "unheard-of"),
        ("plan",),
        ("drift",),
        ("tests", "move", office.tests["Merrowvale"], "approved-by-all"),
        ("vessels", "show", "Nobody"),
    ]
    shown = office.on_terminal(80, commands)
    assert too_wide(80, commands, shown) == []
    assert "liquid-unseen" in shown[0]
    assert "--displacement-t" in shown[1]


def test_every_help_fits(office: Office) -> None:
    commands: list[Arguments] = [(*path, "--help") for path in paths(cli)]
    assert len(commands) > 50
    assert too_wide(80, commands, office.on_terminal(80, commands)) == []


def paths(command: click.Command, path: Arguments = ()) -> Iterator[Arguments]:
    """Every command with those that it belongs to."""
    yield path
    if isinstance(command, click.Group):
        context = click.Context(command)
        for name in command.list_commands(context):
            found = command.get_command(context, name)
            assert found is not None
            yield from paths(found, (*path, name))


def test_the_installed_command_asks_the_terminal_for_its_width_and_colours_without_widening(office: Office) -> None:
    program = str(Path(sys.executable).parent / "heelwright")
    shown = on_terminal([program, "tests", "list"], 80, office.variables | {"TERM": "xterm-256color"})
    assert "\x1b[" in shown
    lines = re.sub(r"\x1b\[[\d;]*m", "", shown).splitlines()
    assert max(map(len, lines)) <= 80
    assert set(office.tests.values()) == set(_ID.findall(shown))
    assert {"vessel", "kind", "stage", "opened"} <= set(lines[0].split())


def test_what_machines_read_is_the_same_on_a_terminal(office: Office) -> None:
    asked: list[Arguments] = [("--json", *arguments) for arguments in (("tests", "list"), ("drift", "Merrowdale"))]
    shown = office.on_terminal(80, asked)
    assert shown == office.in_pipe(asked)
    assert len(json.loads(shown[0])["items"]) == len(office.tests)


def test_a_pipe_keeps_a_row_a_line_with_the_names_and_dates_that_programs_look_for(office: Office) -> None:
    listed, vessels = office.in_pipe([("tests", "list"), ("vessels", "list")])
    assert re.search(
        rf"^  {office.tests['Merrowdale']}  inclining-test +under-review .*\d\dT\d\d:", listed, re.MULTILINE
    )
    assert len(listed.splitlines()) == 1 + len(office.tests)
    assert re.search(r"^  Wexbarrow Wing +none +high-speed-craft .* [0-9a-f]{32}$", vessels, re.MULTILINE)
