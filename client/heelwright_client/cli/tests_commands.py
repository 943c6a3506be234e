"""`heelwright tests`: open a test, plan it, prepare the ship, and move it from stage to stage."""

from __future__ import annotations

from typing import Any

import click

from heelwright_client.cli import tests_day_commands, tests_result_commands
from heelwright_client.cli.checks import any_failed, check_lines
from heelwright_client.cli.files import read_document
from heelwright_client.cli.options import one_of
from heelwright_client.cli.page import on_terminal, page_width
from heelwright_client.cli.settings import Settings, pass_settings
from heelwright_client.cli.spoken import spoken, spoken_time
from heelwright_client.cli.tables import Line
from heelwright_client.cli.tests_group import list_lines, tell, test_lines, tests
from heelwright_client.cli.tests_plan_lines import plan_lines
from heelwright_client.test_words import ANSWER_WORDS

__all__ = ["tests"]

for _module in (tests_day_commands, tests_result_commands):
    for _command in _module.COMMANDS:
        tests.add_command(_command)

STAGES = (
    "planned",
    "procedure-issued",
    "preparing",
    "advisory-survey",
    "survey-day",
    "test-day",
    "preliminary-result",
    "under-review",
    "postponed",
    "abandoned",
)
ANSWERS = ("agreed", "cannot")


@tests.command("list")
@click.argument("vessel", required=False)
@pass_settings
def list_tests(settings: Settings, /, vessel: str | None) -> None:
    """List the tests of a VESSEL (id, IMO number or name), or all."""
    calls = settings.client.tests
    found = list(calls if vessel is None else calls.of(str(settings.client.vessels.find(vessel)["id"])))
    if settings.as_json or not on_terminal():
        lines = list_lines(found, ["id", "kind", "stage", "title", "created_at"])
    else:
        ships = {str(each["id"]): each["name"] for each in settings.client.vessels}
        rows = [
            {**each, "vessel": ships.get(each["vessel_id"]), "created_at": each["created_at"][:10]} for each in found
        ]
        lines = list_lines(rows, ["vessel", "kind", "stage", "title", "created_at", "id"], "title")
    tell(settings, {"items": found}, lines or ["No tests."])


@tests.command("show")
@click.argument("test")
@pass_settings
def show_test(settings: Settings, /, test: str) -> None:
    """Show where a TEST stands and what is missing for its next stage."""
    found = settings.client.tests.get(test).document
    tell(settings, found, test_lines(found))


@tests.command("open")
@click.argument("vessel")
@click.option("--kind", required=True, type=click.Choice(["inclining-test", "lightweight-survey"]))
@click.option("--title")
@click.option("--supersedes", metavar="TEST", help="The approved test whose mistake this one mends.")
@pass_settings
def open_test(settings: Settings, /, vessel: str, kind: Any, **facts: str | None) -> None:  # noqa: ANN401 (a word)
    """Open a test of a VESSEL (id, IMO number or name)."""
    found = settings.client.vessels.find(vessel)
    given = {name: value for name, value in facts.items() if value is not None}
    opened = settings.client.tests.open(str(found["id"]), kind, **given).document
    tell(settings, opened, [f"Opened for the {found['name']}: {opened['id']}"])


@tests.command("plan")
@click.argument("test")
@click.argument("plan_file", metavar="[PLAN.json]", required=False)
@pass_settings
def plan_test(settings: Settings, /, test: str, plan_file: str | None) -> None:
    """Store the plan of a TEST from a file, or show the stored one (`calendar` has its dates)."""
    calls = settings.client.tests
    if plan_file is not None:
        stored = calls.put_plan(test, read_document(plan_file), etag=_etag(settings, test, "plan"))
        tell(settings, stored.document, ["Stored."])
        return
    found = calls.plan(test).document
    tell(settings, found, plan_lines(found, settings.system, page_width()))


@tests.command("calendar")
@click.argument("test")
@pass_settings
def show_calendar(settings: Settings, /, test: str) -> int:
    """Show the dates counted back from the day of a TEST. Exit status 1 when one is overdue."""
    found = settings.client.tests.calendar(test)
    lines = [*list_lines(found["items"], ["date", "state", "who", "text", "source"], "text")]
    lines += [
        Line(f"  the test fits in: {spoken_time(w['start'])} to {spoken_time(w['end'])}") for w in found["windows"]
    ]
    tell(settings, found, lines)
    return 1 if any(each["state"] == "overdue" for each in found["items"]) else 0


@tests.command("procedure")
@click.argument("test")
@pass_settings
def show_procedure(settings: Settings, /, test: str) -> int:
    """Show the procedure of a TEST and what reviewers would send it back for. Exit status 1 when a check fails."""
    found = settings.client.tests.procedure(test)
    rows = [{**each, "complete": "complete" if each["complete"] else "open"} for each in found["sections"]]
    lines = [Line(f"Stop word: {found['stop_word'] or 'none yet'}", "title")]
    lines += [*list_lines(rows, ["number", "heading", "complete", "source"]), Line("")]
    tell(settings, found, [*lines, *check_lines(found["checks"], page_width())])
    return 1 if any_failed(found["checks"]) else 0


@tests.command("tanks")
@click.argument("test")
@click.argument("plan_file", metavar="[TANKS.json]", required=False)
@pass_settings
def plan_tanks(settings: Settings, /, test: str, plan_file: str | None) -> int:
    """Store the tank plan of a TEST from a file, then show what it comes to. Exit status 1 when a check fails."""
    calls = settings.client.tests
    if plan_file is not None:
        calls.put_tank_plan(test, read_document(plan_file), etag=_etag(settings, test, "tank-plan"))
    found = calls.tanks(test)
    answers = [{**each, "state": spoken(each["state"], ANSWER_WORDS)} for each in found["answers"]]
    lines = [*list_lines(answers, ["tank", "state", "reason"], "reason"), Line("")]
    lines += check_lines(found["checks"], page_width())
    lines += [Line(each, "warn") for each in (found["problem"],) if each]
    lines += [Line(found["effect"]["text"], "warn")] if found["effect"] else []
    tell(settings, found, lines)
    return 1 if any_failed(found["checks"]) else 0


@tests.command("answer")
@click.argument("test")
@click.argument("tank")
@click.argument("answer", type=click.Choice(ANSWERS))
@click.option("--by", required=True, help="Who answers.")
@click.option("--on", required=True, metavar="DATE", help="YYYY-MM-DD.")
@click.option("--reason", help="Why it cannot be.")
@click.option("--offered-state", type=click.Choice(["empty", "pressed", "slack"]), help="What the ship can do instead.")
@click.option("--offered-sounding-m", type=float)
@click.option("--offered-fill-percent", type=float)
@click.option("--offered-density-t-per-m3", type=float)
@pass_settings
def answer_tank(settings: Settings, /, test: str, **facts: Any) -> None:  # noqa: ANN401 (options by name)
    """Give the ship's answer for a TANK of a TEST: agreed, or cannot with the reason."""
    given = {name: value for name, value in facts.items() if value is not None}
    found = settings.client.tests.answer_tank(test, given)
    effect = found.get("effect")
    tell(settings, found, [f"Noted for {given['tank']}: {given['answer']}.", *([effect["text"]] if effect else [])])


@tests.command("replan")
@click.argument("test")
@pass_settings
def plan_tanks_again(settings: Settings, /, test: str) -> None:
    """Take the ship's offers into the tank plan of a TEST; the work list follows."""
    tell(settings, settings.client.tests.replan(test), ["The tank plan now has what the ship offers."])


@tests.command("prepare")
@click.argument("test")
@click.option("--generate", is_flag=True, help="Generate the list, or bring it into step with the plans.")
@pass_settings
def prepare(settings: Settings, /, test: str, generate: bool) -> int:
    """Show the ship's work list of a TEST. Exit status 1 while an item is overdue."""
    calls = settings.client.tests
    found = calls.prepare(test) if generate else calls.preparations(test)
    rows = [{**item, "state": "obsolete" if item["obsolete"] else item["state"]} for item in found["items"]]
    lines = [*list_lines(rows, ["key", "state", "due", "who", "what"], "what"), Line("")]
    lines += [Line("Not needed", "title"), *(Line(f"  - {text}") for text in found["not_needed"])]
    tell(settings, found, lines)
    return 1 if found["overdue"] else 0


@tests.command("tick")
@click.argument("test")
@click.argument("key")
@click.option("--state", type=click.Choice(["open", "done", "verified", "waived"]), default="done", show_default=True)
@click.option("--done-by", help="Who did it; the token's name where left out.")
@click.option("--remarks")
@pass_settings
def tick(settings: Settings, /, test: str, key: str, state: str, **facts: str | None) -> None:
    """Tick an item (KEY) of the work list of a TEST."""
    given = {name: value for name, value in facts.items() if value is not None}
    tell(settings, settings.client.tests.mark(test, key, state, **given), [f"{key}: {state}."])


@tests.command("add-item")
@click.argument("test")
@click.option("--what", required=True, help="What to do.")
@click.option("--why", required=True, help="Why, in one line.")
@click.option("--verify", required=True, help="How it will be verified.")
@click.option("--who", required=True, help="Who does it.")
@click.option("--due", metavar="DATE", help="YYYY-MM-DD.")
@pass_settings
def add_item(settings: Settings, /, test: str, **facts: str | None) -> None:
    """Add an item of one's own to the work list of a TEST."""
    found = settings.client.tests.add_preparation(test, {k: v for k, v in facts.items() if v is not None})
    tell(settings, found, [f"Added as {found['items'][-1]['key']}."])


@tests.command("pin")
@click.argument("test")
@pass_settings
def pin(settings: Settings, /, test: str) -> None:
    """Take the vessel's current hull, table, marks, tanks and lightship for a TEST; reduce it again afterwards."""
    found = settings.client.tests.pin(test).document
    versions = ", ".join(f"{spoken(kind)} {version}" for kind, version in found["pinned"].items())
    tell(settings, found, [f"Taken as she is described now: {versions}."])


@tests.command("move", epilog=one_of("STAGE", STAGES))
@click.argument("test")
@click.argument("stage", type=click.Choice(STAGES), metavar="STAGE")
@click.option("--reason", help="Needed to postpone or abandon.")
@pass_settings
def move(settings: Settings, /, test: str, stage: str, reason: str | None) -> None:
    """Move a TEST to another STAGE; what is missing for it is named."""
    found = settings.client.tests.move(test, stage, reason=reason).document
    tell(settings, found, test_lines(found))


def _etag(settings: Settings, test: str, part: str) -> str | None:
    """The version of a document that is there, or None before the first."""
    from heelwright_client.errors import NotFoundError

    calls = settings.client.tests
    try:
        return (calls.plan(test) if part == "plan" else calls.tank_plan(test)).etag
    except NotFoundError as error:
        if error.code != "document-not-found":
            raise
        return None
