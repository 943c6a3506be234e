"""`heelwright drift`: how far the lightship has moved from its approved baseline, and what the rules say to that."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import click

from heelwright_client.cli.checks import caution_lines
from heelwright_client.cli.files import read_document, write_file
from heelwright_client.cli.interval_bar import Scale, bar_width, interval_bar
from heelwright_client.cli.output import show, show_json, working
from heelwright_client.cli.page import on_terminal, page_width
from heelwright_client.cli.settings import Settings, pass_settings
from heelwright_client.cli.spoken import spoken_day
from heelwright_client.cli.tables import Column, Line, table
from heelwright_client.cli.text_plots import history_plot
from heelwright_client.drift_points import (
    COVERAGE,
    any_limit_passed,
    changes,
    limits,
    logged_verdicts,
    verdicts,
    worst_share,
)
from heelwright_client.drift_words import (
    ACTION_WORDS,
    BASIS_WORDS,
    QUANTITY_WORDS,
    Finding,
    deciding,
    deed,
    due_words,
    growth_words,
    limit_words,
    moved,
    quantity_words,
    reason,
    why_not_judged,
    why_not_judged_in_a_row,
)
from heelwright_client.units import System
from heelwright_client.words import chance, change, day, height, offset, quantity, station

_REACH = 1.5


@click.command()
@click.argument("vessel", required=False)
@click.option("--fleet", "whole_fleet", is_flag=True, help="Every vessel, the gravest first.")
@click.option("--request", "request_file", metavar="REQUEST.json", help="A history that is not stored.")
@click.option("--plot", "plot_file", metavar="FILE.svg", help="Draw the drift.")
@pass_settings
def drift(
    settings: Settings, /, vessel: str | None, whole_fleet: bool, request_file: str | None, plot_file: str | None
) -> int:
    """Follow the lightship drift of a VESSEL (id, IMO number or name) or of the whole fleet.

    Exit status 1 when a rule's limit has been passed.
    """
    if sum([vessel is not None, whole_fleet, request_file is not None]) != 1:
        raise click.UsageError("Name one VESSEL, or give --fleet, or --request REQUEST.json.")
    if whole_fleet:
        return _fleet(settings, plot_file)
    name, answer = _one(settings, vessel, request_file)
    if plot_file:
        from heelwright_client.drift_drawing import drift_drawing

        write_file(plot_file, drift_drawing(answer, f"Lightship drift of the {name}", settings.system))
    if settings.as_json:
        show_json(answer)
    else:
        show(drift_lines(answer, name, settings.system, page_width()))
    return 1 if any_limit_passed(answer) else 0


def _one(settings: Settings, vessel: str | None, request_file: str | None) -> tuple[str, Mapping[str, Any]]:
    if request_file:
        request = read_document(request_file)
        with working("Following the drift"):
            return str(request.get("vessel", {}).get("name") or "vessel"), settings.client.drift.compute(request)
    found = settings.client.vessels.find(vessel or "")
    with working("Following the drift"):
        return str(found["name"]), settings.client.vessels.drift(str(found["id"]))


def _fleet(settings: Settings, plot_file: str | None) -> int:
    with working("Following the fleet"):
        items = list(settings.client.fleet.drift())
    if plot_file:
        from heelwright_client.drift_drawing import fleet_drawing

        write_file(plot_file, fleet_drawing([fleet_entry(item) for item in items], "Lightship drift of the fleet"))
    if settings.as_json:
        show_json({"items": items})
    else:
        show(fleet_lines(items, settings.system, page_width()))
    return 1 if any(any_limit_passed(fleet_entry(item)[1]) for item in items) else 0


def fleet_entry(item: Mapping[str, Any]) -> tuple[str, Mapping[str, Any]]:
    """Take one vessel's name and drift from an item of the fleet's list.

    Parameters
    ----------
    item : Mapping
        As the service gives it.

    Returns
    -------
    (str, Mapping)
        Name and drift; a drift without evidence where it cannot be told.
    """
    return str(item["vessel"]["name"]), item.get("drift") or {"items": []}


def drift_lines(answer: Mapping[str, Any], name: str, system: System, width: int) -> list[Line]:
    """Lay out the drift of one vessel.

    Parameters
    ----------
    answer : Mapping
        The drift.
    name : str
        The vessel's name.
    system : System
        Display units.
    width : int
        Characters in a line.

    Returns
    -------
    list of Line
        Baseline, evidence, verdicts, growth, what is due.
    """
    return [
        *_baseline(answer, name, system),
        Line(""),
        *_evidence(answer, system, width),
        Line(""),
        *_verdict_lines(answer, system, width),
        Line(""),
        *_logged(answer, system),
        *_growth(answer, system),
        *_crossings(answer, system),
        *_plot(answer, system),
        *_due(answer),
        *caution_lines(answer.get("cautions") or [], width),
    ]


def _baseline(answer: Mapping[str, Any], name: str, system: System) -> list[Line]:
    found = answer.get("baseline")
    if not found:
        return [
            Line(f"Lightship drift of the {name}", "title"),
            Line("  No approved inclining test: no baseline.", "warn"),
        ]
    told = [
        quantity(found["mass_t"], "mass", system=system, decimals=1),
        station(found.get("lcg_m"), system),
        offset(found.get("tcg_m"), system),
        height(found.get("vcg_m"), system),
    ]
    return [
        Line(f"Lightship drift of the {name}", "title"),
        Line(f"  baseline of {spoken_day(found['date'])} ({_whose(answer)}): {', '.join(told)}"),
    ]


def _whose(answer: Mapping[str, Any]) -> str:
    lead = answer.get("lead")
    return f"inclining test of the lead ship {lead['name'] or ''}".strip() if lead else _basis(answer["baseline"])


def _evidence(answer: Mapping[str, Any], system: System, width: int) -> list[Line]:
    keys = ("mass_t", "lcg_m", "tcg_m", "vcg_m")
    columns = [
        Column("date"),
        Column("by"),
        *(Column(QUANTITY_WORDS[key], "point") for key in keys),
        Column("centre of the growth", "point"),
        Column("action", yields=True),
    ]
    rows = [
        [
            spoken_day(item["date"]),
            _basis(item),
            *(_delta((item.get("delta") or {}).get(key), key, system) for key in keys),
            _centre(item, system),
            ACTION_WORDS.get(str(item.get("action")), str(item.get("action") or "")),
        ]
        for item in answer["items"]
    ]
    return table(columns, rows, width=width)


def _basis(lightship: Mapping[str, Any]) -> str:
    return BASIS_WORDS.get(lightship.get("basis", "inclining-test"), str(lightship.get("basis")))


def _delta(delta: Mapping[str, Any] | None, key: str, system: System) -> str:
    if delta is None:
        return "not known"
    return change(key, delta["value"], system, COVERAGE * (delta.get("standard") or 0.0))


def _centre(item: Mapping[str, Any], system: System) -> str:
    """Height of the growth's own centre; undefined where the mass has hardly changed."""
    found = (item.get("implied_centre_m") or {}).get("z")
    if found is None:
        return "undefined"
    doubt = " (look for an error)" if item.get("error_likelier_than_weight") else ""
    return height(found["value"], system, COVERAGE * (found.get("standard") or 0.0)) + doubt


def _why_not_judged(answer: Mapping[str, Any]) -> list[Line]:
    """Say which data a verdict lacks."""
    return [Line(text) for text in why_not_judged(answer)]


def _verdict_lines(answer: Mapping[str, Any], system: System, width: int) -> list[Line]:
    newest, logged = verdicts(answer), logged_verdicts(answer)
    if not newest and not logged:
        return _why_not_judged(answer)
    scale = Scale(0.0, max(_REACH, 1.1 * worst_share([*newest, *logged])), bar_width(width))
    return [
        *_judged("Verdicts on the newest evidence", newest, scale, system, width),
        *_judged("Verdicts on the logged alterations", logged, scale, system, width),
    ]


def _judged(heading: str, found: Sequence[Mapping[str, Any]], scale: Scale, system: System, width: int) -> list[Line]:
    if not found:
        return []
    rows = [[*_verdict_row(verdict, system), _bar(verdict, scale), str(verdict["source"])] for verdict in found]
    columns = [
        Column("verdict"),
        Column("change", "point"),
        Column("limit", "point"),
        Column("passed with"),
        Column("as a part of the limit ┃", whole=True),
        Column("source", wraps=1),
    ]
    tones = [_tone(verdict) for verdict in found]
    return [Line(heading, "title"), *table(columns, rows, width=width, tones=tones)]


def _tone(verdict: Mapping[str, Any]) -> str:
    if verdict["regulatory"] == "fail":
        return "fail"
    return "warn" if verdict["measured"] == "undecided" else ""


def _verdict_row(verdict: Mapping[str, Any], system: System) -> list[str]:
    judged = "advice, " if verdict.get("advisory") else "fail, "
    word = f"{judged if verdict['regulatory'] == 'fail' else ''}{verdict['measured']}"
    likely = f"{chance(verdict['probability_exceeded'])} chance"
    return [f"{quantity_words(verdict)}: {word}", moved(verdict, system), limit_words(verdict, system), likely]


def _bar(verdict: Mapping[str, Any], scale: Scale) -> str:
    limit = verdict["limit"]
    if not limit:
        return ""
    share, half = abs(verdict["value"]) / limit, COVERAGE * float(verdict.get("standard") or 0.0) / limit
    return interval_bar(scale, share, max(share - half, 0.0), share + half, [1.0])


def _logged(answer: Mapping[str, Any], system: System) -> list[Line]:
    logged = answer.get("logged") or {}
    if not logged.get("entries"):
        return [Line("  logged alterations: none")]
    aggregate = quantity(logged["aggregate_t"], "mass", system=system, decimals=2)
    net = change("mass_t", logged["net"]["mass_t"], system)
    lines = [Line(f"  logged alterations: {logged['entries']}, {aggregate} in aggregate, net {net}")]
    rest = answer.get("unexplained")
    if rest:
        left = change("mass_t", rest["mass_t"]["value"], system, COVERAGE * rest["mass_t"]["standard"])
        lines.append(
            Line(f"  not explained by them {'on' if on_terminal() else 'in'} {spoken_day(rest['date'])}: {left}")
        )
    return lines


def _growth(answer: Mapping[str, Any], system: System) -> list[Line]:
    return [Line(f"  {growth_words(answer.get('growth'), system) or 'growth rate: too little evidence'}")]


def _crossings(answer: Mapping[str, Any], system: System) -> list[Line]:
    lines = []
    for crossing in answer.get("crossings") or []:
        if crossing.get("passed") or not crossing.get("date"):
            continue
        between = f"{spoken_day(crossing.get('earliest'), 'earlier')} to {spoken_day(crossing.get('latest'), 'later')}"
        name, limit = quantity_words(crossing), limit_words(crossing, system)
        told = f"  at this rate {name} passes its limit of {limit} in {crossing['date'][:4]} (95 %: {between})"
        lines.append(Line(told))
    return list(dict.fromkeys(lines))


def _plot(answer: Mapping[str, Any], system: System) -> list[Line]:
    unit = system.unit("mass")
    points = [(c.year, c.value / unit.to_si, c.half_width / unit.to_si) for c in changes(answer, "mass_t")]
    marks = [limit / unit.to_si for limit in limits(answer, "mass_t")]
    plotted = history_plot(points, marks[:1], unit.symbol)
    head = Line("Mass against the baseline over the years (━ limit)", "title")
    return [Line(""), head, *(Line(f"  {text}") for text in plotted), Line("")] if plotted else []


def _due(answer: Mapping[str, Any]) -> list[Line]:
    due = answer.get("next_due")
    if not due:
        return []
    told = due_words(due)
    lines = [Line(f"{told[:1].upper()}{told[1:]}; {due['source']}", "warn" if due.get("overdue") else "")]
    if due.get("advised_date") and not due.get("overdue"):
        lines.append(Line(f"  advised by {day(due['advised_date'])}: {due.get('advised_reason') or ''}"))
    return lines


def fleet_lines(items: Sequence[Mapping[str, Any]], system: System, width: int) -> list[Line]:
    """Lay out the fleet as sentences, the gravest first, with the evidence as a bar.

    Parameters
    ----------
    items : sequence of Mapping
        As the service gives them.
    system : System
        Display units.
    width : int
        Characters in a line.

    Returns
    -------
    list of Line
        A heading, then one row a vessel.
    """
    if not items:
        return [Line("No vessels yet. Add one with: heelwright vessels add NAME --kind KIND", "title")]
    found = [_deciding(item) for item in items]
    shares = worst_share([finding.verdict for finding in found if finding])
    scale = Scale(0.0, max(_REACH, 1.1 * shares), bar_width(width))
    rows = [_fleet_row(item, finding, scale, system) for item, finding in zip(items, found, strict=True)]
    tones = [_tone(finding.verdict) if finding else "quiet" for finding in found]
    columns = [
        Column("what to do, and why", wraps=1),
        Column("change", "point"),
        Column("as a part of the limit ┃", whole=True),
    ]
    return [
        Line("Lightship drift of the fleet, the gravest first", "title"),
        *table(columns, rows, width=width, tones=tones),
    ]


def _deciding(item: Mapping[str, Any]) -> Finding | None:
    return deciding(fleet_entry(item)[1], item.get("action"))


def _fleet_row(item: Mapping[str, Any], finding: Finding | None, scale: Scale, system: System) -> list[str]:
    name, drift = fleet_entry(item)
    told = deed(name, item.get("action"), item.get("drift"))
    if finding is None:
        why = (item.get("problem") or {}).get("detail") or why_not_judged_in_a_row(drift)
        return [f"{told}: {why}", "", ""]
    return [f"{told}: {reason(finding, system)}.", moved(finding.verdict, system), _bar(finding.verdict, scale)]
