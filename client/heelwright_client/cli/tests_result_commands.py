"""`heelwright tests reduce` and the like: from the readings to the approval, and records out and in."""

from __future__ import annotations

import json
from typing import Any

import click

from heelwright_client.cli.checks import check_lines
from heelwright_client.cli.files import read_document, write_file
from heelwright_client.cli.output import working
from heelwright_client.cli.page import on_terminal, page_width
from heelwright_client.cli.reduce import result_lines
from heelwright_client.cli.settings import Settings, pass_settings
from heelwright_client.cli.spoken import spoken_day, spoken_time
from heelwright_client.cli.tables import Line
from heelwright_client.cli.tests_group import list_lines, tell
from heelwright_client.words import height, quantity, station


@click.command("reduce")
@click.argument("test")
@click.option("--method", type=click.Choice(["small-angle", "heeled-equilibrium", "both"]))
@click.option("--uncertainty", type=click.Choice(["none", "linear", "monte-carlo"]))
@click.option("--draws", type=int)
@click.option("--seed", type=int)
@pass_settings
def reduce_test(settings: Settings, /, test: str, **choices: Any) -> int:  # noqa: ANN401 (options by name)
    """Reduce a TEST; the result is preliminary until it is approved. Exit status 1 when it fails."""
    with working("Reducing the test"):
        found = settings.client.tests.reduce(test, **choices)
    return _tell_result(settings, test, found)


@click.command("result")
@click.argument("test")
@pass_settings
def result(settings: Settings, /, test: str) -> int:
    """Show the newest result of a TEST. Exit status 1 when it fails."""
    return _tell_result(settings, test, settings.client.tests.result(test))


@click.command("review")
@click.argument("test")
@pass_settings
def review(settings: Settings, /, test: str) -> int:
    """Show the automatic review of a TEST's result. Exit status 1 while a finding is open."""
    found = settings.client.tests.review(test)
    lines = [*check_lines(found["findings"], page_width()), Line("")]
    lines += list_lines(found["answers"], ["finding", "by", "text"], "text")
    lines += [Line(f"Open: {', '.join(found['open']) or 'none'}", "title")]
    tell(settings, found, lines)
    return 1 if found["open"] else 0


@click.command("settle")
@click.argument("test")
@click.argument("finding")
@click.argument("text")
@click.option("--by", required=True, help="Whose answer it is.")
@pass_settings
def settle(settings: Settings, /, test: str, finding: str, text: str, by: str) -> None:
    """Answer a FINDING of the review of a TEST."""
    tell(settings, settings.client.tests.answer(test, finding, text, by), [f"{finding} is answered by {by}."])


@click.command("interim")
@click.argument("test")
@click.option("--limit", "limits", multiple=True, help="What the ship will keep to; may be repeated.")
@click.option("--days", type=int, help="For how long.")
@pass_settings
def interim(settings: Settings, /, test: str, limits: tuple[str, ...], days: int | None) -> None:
    """Put together the request for an interim operating condition of a TEST, or without a limit list those made.

    It is no approval.
    """
    if not limits:
        made = list(settings.client.tests.interim_requests(test))
        names = ["entry_id", "recorded_at", "recorded_by", "expires", "mark"]
        tell(settings, {"items": made}, list_lines(made, names, "mark") or [Line("None was asked for.")])
        return
    page = settings.client.tests.ask_for_interim(test, list(limits), days)
    system = settings.system
    lines = [
        Line(
            f"Interim operating condition of the {page['vessel']}, asked for until {spoken_day(page['expires'])}",
            "title",
        ),
        Line(f"  {page['mark']}", "warn"),
        Line(f"  lightship {quantity(page['mass_t'], 'mass', system=system, decimals=1)}"),
        Line(f"  LCG {station(page['lcg_m'], system)}"),
        Line(f"  VCG {height(page['vcg_m'], system)}: {page['vcg_origin']}"),
        *(Line(f"  - {limit}") for limit in page["limits"]),
    ]
    tell(settings, page, lines)


@click.command("put-back")
@click.argument("test")
@pass_settings
def put_back(settings: Settings, /, test: str) -> None:
    """List what has to be put back before the ship sails."""
    found = settings.client.tests.put_back(test)
    tell(settings, {"items": found}, list_lines(found, ["who", "what"], "what"))


@click.command("approve")
@click.argument("test")
@click.option("--name", required=True, help="Who approves.")
@click.option("--authority")
@click.option("--statement")
@click.option("--supersedes-lightship", metavar="LIGHTSHIP", help="One of the same date and basis that it replaces.")
@click.option("--reason", metavar="TEXT", help="Why it replaces that one.")
@pass_settings
def approve(settings: Settings, /, test: str, name: str, **facts: str | None) -> None:
    """Approve a TEST; its lightship enters the vessel's history. The recorder of a test cannot approve it."""
    given = {key: value for key, value in facts.items() if value is not None}
    if "supersedes_lightship" in given and "reason" not in given:
        raise click.UsageError("--supersedes-lightship needs --reason: say why it replaces that one.")
    found = settings.client.tests.approve(test, name, **given)
    tell(settings, found, [f"Approved by {found['name']}: lightship {found['lightship']}."])


@click.command("approval")
@click.argument("test")
@pass_settings
def approval(settings: Settings, /, test: str) -> None:
    """Show who approved a TEST, when, and which lightship it became."""
    found = settings.client.tests.approval(test)
    when = f"{'on' if on_terminal() else 'at'} {spoken_time(found['approved_at'])}"
    by = f"{found['name']}{', ' + found['authority'] if found.get('authority') else ''}"
    lines = [
        Line(
            f"Approved by {by} {when}; lightship {found['lightship']}.",
            "title",
        )
    ]
    lines += [Line(f"  {found[name]}") for name in ("statement", "reason") if found.get(name)]
    tell(settings, found, lines)


@click.command("export")
@click.argument("test")
@click.option("-o", "--output", required=True, metavar="FILE.json")
@click.option("--record-only", is_flag=True, help="Leave out plans, entries, signatures and approval.")
@pass_settings
def export_test(settings: Settings, /, test: str, output: str, record_only: bool) -> None:
    """Export a whole TEST as one file, which `reduce` and `tests import` take."""
    calls = settings.client.tests
    document = calls.record(test).document if record_only else calls.file(test)
    write_file(output, json.dumps(document, indent=1, ensure_ascii=False) + "\n")
    tell(settings, {"written": output}, [f"Written: {output}"])


@click.command("import")
@click.argument("vessel")
@click.argument("record_file", metavar="FILE.json")
@click.option("--source", required=True, help="Which paper or file it comes from.")
@click.option("--title")
@pass_settings
def import_test(settings: Settings, /, vessel: str, record_file: str, source: str, title: str | None) -> None:
    """Enter a finished test of a VESSEL from a record or a whole test's file; it comes out again as it went in."""
    record = read_document(record_file)
    found = settings.client.vessels.find(vessel)
    inclining = bool(record.get("states") or record.get("readings"))
    facts = {"origin": "entered-record", "record_source": source} | ({} if title is None else {"title": title})
    calls = settings.client.tests
    opened = calls.open(str(found["id"]), "inclining-test" if inclining else "lightweight-survey", **facts).document
    calls.put_record(opened["id"], record)
    tell(settings, opened, [f"Entered for the {found['name']}: {opened['id']}"])


@click.command("correct-record")
@click.argument("test")
@click.argument("record_file", metavar="FILE.json")
@pass_settings
def correct_record(settings: Settings, /, test: str, record_file: str) -> None:
    """Enter a corrected record of a TEST that was imported; the version before it stays in its file."""
    calls = settings.client.tests
    stored = calls.put_record(test, read_document(record_file), etag=calls.record(test).etag)
    tell(settings, stored.document, ["Stored as a new version: reduce the test again."])


@click.command("actions")
@click.argument("vessel", required=False)
@click.option("--all", "everything", is_flag=True, help="Closed ones too.")
@pass_settings
def actions(settings: Settings, /, vessel: str | None, everything: bool) -> int:
    """List what is to be done after failed or doubtful results. Exit status 1 while something is open."""
    vessel_id = None if vessel is None else str(settings.client.vessels.find(vessel)["id"])
    found = list(settings.client.tests.actions(vessel_id, open_only=not everything))
    lines = list_lines(found, ["id", "due", "owner", "text", "evidence"], "text") or [Line("Nothing is open.")]
    tell(settings, {"items": found}, lines)
    return 1 if any(each["closed_at"] is None for each in found) else 0


@click.command("done")
@click.argument("action")
@click.option("--evidence", required=True, help="What shows that it is done.")
@pass_settings
def close_action(settings: Settings, /, action: str, evidence: str) -> None:
    """Close an ACTION with its evidence."""
    tell(settings, settings.client.tests.close_action(action, evidence), ["Closed."])


@click.command("boundary")
@click.argument("vessel")
@click.option("--class", "item_class", help="Decide on a class of things; without it the register is shown.")
@click.option("--counts", type=click.Choice(["lightship", "load"]))
@click.option("--by", "decided_by", help="Who decided.")
@click.option("--on", "decided_on", metavar="DATE", help="YYYY-MM-DD.")
@click.option("--quantity", metavar="TEXT", help="How much of it counts, with its unit.")
@click.option("--reason")
@pass_settings
def boundary(settings: Settings, /, vessel: str, **facts: str | None) -> None:
    """Show the lightship boundary register of a VESSEL, or add a decision to it."""
    found = settings.client.vessels.find(vessel)
    given = {name: value for name, value in facts.items() if value is not None}
    if given:
        settings.client.tests.decide_boundary(str(found["id"]), given)
    register = settings.client.tests.boundary(str(found["id"]))
    names = ["item_class", "counts", "quantity", "decided_by", "decided_on", "reason"]
    tell(settings, register, list_lines(register["in_force"], names, "reason") or [Line("Nothing is decided.")])


def _tell_result(settings: Settings, test: str, found: dict[str, Any]) -> int:
    outcome = found["preliminary"]
    failed = outcome["outcome"] == "fail"
    if settings.as_json:
        tell(settings, found, [])
        return 1 if failed else 0
    record = settings.client.tests.record(test).document
    lines = [Line(found["mark"], "" if found["status"] != "preliminary" else "warn")]
    lines += [Line(outcome["text"], "fail" if failed else "")]
    if not found["matches_record"]:
        lines.append(Line("The record has changed since: reduce the test again.", "warn"))
    tell(settings, found, [*lines, Line(""), *result_lines(found["result"], record, settings.system, page_width())])
    return 1 if failed else 0


COMMANDS = (
    reduce_test,
    result,
    review,
    settle,
    interim,
    put_back,
    approve,
    approval,
    export_test,
    import_test,
    correct_record,
    actions,
    close_action,
    boundary,
)
