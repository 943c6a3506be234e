"""`heelwright reduce`: from a test record to the lightship, with its uncertainty and checks."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import click

from heelwright_client.cli.checks import any_failed, caution_lines, check_lines
from heelwright_client.cli.doubts import narrowing_lines, validation_lines
from heelwright_client.cli.files import read_document, write_file
from heelwright_client.cli.interval_bar import interval_bar, scale_for
from heelwright_client.cli.output import show, show_json, working
from heelwright_client.cli.page import page_width
from heelwright_client.cli.settings import Settings, pass_settings
from heelwright_client.cli.tables import Column, Line, table
from heelwright_client.cli.text_plots import moment_plot
from heelwright_client.cli.what_if import WhatIfType, changed_record, what_if_lines
from heelwright_client.errors import EntryError
from heelwright_client.moment_points import moment_lines
from heelwright_client.units import System
from heelwright_client.words import draught, heel, height, number, offset, quantity, station, trim

_COVERAGE = 1.96
_LARGEST_SHARES = 5


@click.command()
@click.argument("record_file", metavar="RECORD.json")
@click.option("--method", type=click.Choice(["small-angle", "heeled-equilibrium", "both"]), help="Both where possible.")
@click.option("--uncertainty", type=click.Choice(["none", "linear", "monte-carlo"]), help="[linear]")
@click.option("--draws", type=click.IntRange(min=1), help="Monte Carlo draws.")
@click.option("--seed", type=click.IntRange(min=0), help="Seed of the Monte Carlo: the same seed, the same answer.")
@click.option(
    "--what-if",
    "changes",
    type=WhatIfType(),
    multiple=True,
    help="The intervals with another standard uncertainty, such as draught_m=0.003 (may be repeated).",
)
@click.option("--plot", "plot_file", metavar="FILE.svg", help="Draw the moment line with its residuals.")
@click.option("--all-checks", is_flag=True, help="A row for every check, passed ones too.")
@pass_settings
def reduce(
    settings: Settings,
    /,
    record_file: str,
    changes: Sequence[tuple[str, float]],
    plot_file: str | None,
    all_checks: bool,
    **choices: Any,  # noqa: ANN401 (options by name)
) -> int:
    """Reduce a test record ("-" is standard input) to the lightship.

    Exit status 1 when the service refuses the record or a check fails; a failed check is shown first.
    """
    record = read_document(record_file)
    with working("Reducing the record"):
        answer = settings.client.reductions.compute(record, **choices)
        other = settings.client.reductions.compute(changed_record(record, changes), **choices) if changes else None
    if plot_file:
        _plot(plot_file, record, settings.system)
    if settings.as_json:
        show_json(answer if other is None else {"as_recorded": answer, "what_if": other, "changes": dict(changes)})
    else:
        show(result_lines(answer, record, settings.system, page_width(), whole=all_checks))
        if other is not None:
            show([Line(""), *what_if_lines(answer, other, changes, settings.system, page_width())])
    return 1 if any_failed(answer["checks"]) else 0


def _plot(path: str, record: Mapping[str, Any], system: System) -> None:
    from heelwright_client.moment_drawing import moment_drawing

    lines = moment_lines(record)
    if not lines:
        raise EntryError("The record has no readings, so there is no moment line to draw.")
    name = record["vessel"].get("name")
    write_file(path, moment_drawing(lines, f"Moment line of the {name}" if name else "Moment line", system))


def result_lines(
    answer: Mapping[str, Any], record: Mapping[str, Any], system: System, width: int, *, whole: bool = False
) -> list[Line]:
    """Lay out a test result.

    Parameters
    ----------
    answer : Mapping
        The result.
    record : Mapping
        The record that was reduced.
    system : System
        Display units.
    width : int
        Characters in a line.
    whole : bool
        Whether checks that passed have a row each.

    Returns
    -------
    list of Line
        Lightship, condition as inclined, GM by instrument, checks, moment line, budget, cautions.
    """
    return [
        *_lightship(answer, record, system, width),
        Line(""),
        *check_lines(answer["checks"], width, whole=whole),
        Line(""),
        *_as_inclined(answer, system, width),
        Line(""),
        *_by_instrument(answer, system, width),
        *_moment_line(record),
        *_budget(answer, width),
        *narrowing_lines(answer.get("uncertainty"), width),
        *validation_lines(answer.get("uncertainty"), system, width),
        *caution_lines(answer["cautions"], width),
        Line(_made(answer), "quiet"),
    ]


def _half(answer: Mapping[str, Any], name: str) -> float | None:
    found = ((answer.get("uncertainty") or {}).get("quantities") or {}).get(name)
    return None if found is None else (found["high_95"] - found["low_95"]) / 2.0


def _between(answer: Mapping[str, Any], name: str, system: System) -> str:
    found = ((answer.get("uncertainty") or {}).get("quantities") or {}).get(name)
    if found is None:
        return "no interval"
    dimension: Any = "mass" if name.endswith("_t") else "length"
    half = (found["high_95"] - found["low_95"]) / 2.0
    ends = [quantity(found[end], dimension, system=system, half_width=half) for end in ("low_95", "high_95")]
    return " to ".join(ends)


def _lightship(answer: Mapping[str, Any], record: Mapping[str, Any], system: System, width: int) -> list[Line]:
    ship = answer["lightship"]
    name = record.get("vessel", {}).get("name")
    halves = {key: _half(answer, key) for key in ("mass_t", "lcg_m", "tcg_m", "vcg_m")}
    rows = [
        ["mass", quantity(ship["mass_t"], "mass", system=system, half_width=halves["mass_t"], decimals=1)],
        ["LCG", station(ship["lcg_m"], system, halves["lcg_m"])],
        ["TCG", offset(ship.get("tcg_m"), system, halves["tcg_m"])],
        ["VCG", height(ship.get("vcg_m"), system, halves["vcg_m"])],
    ]
    for row, key in zip(rows, halves, strict=True):
        row.append(_between(answer, key, system) if ship.get(key) is not None else "")
    of = f" of the {name}" if name else ""
    head = Line(f"Lightship{of} (method: {ship['method']})", "title")
    return [head, *table([Column(""), Column("value", "point"), Column("95 % interval")], rows, width=width)]


def _as_inclined(answer: Mapping[str, Any], system: System, width: int) -> list[Line]:
    found, water = answer["as_inclined"], answer["as_inclined"]["waterline"]
    rows = [
        [
            "displacement",
            quantity(
                found["displacement_t"], "mass", system=system, half_width=_half(answer, "displacement_t"), decimals=1
            ),
        ],
        ["draught aft, mid, fwd", _draughts(water, system)],
        ["trim", trim(water["trim_m"], system)],
        ["heel", heel(water["heel_deg"])],
        ["density", f"{number(found['density_t_per_m3'], 4)} t/m³"],
        ["KM", height(found.get("km_t_m"), system)],
        ["VCG (solid)", height(found.get("vcg_m"), system)],
    ]
    hog = water.get("hog_m")
    if hog:
        rows.insert(4, ["hog" if hog > 0 else "sag", quantity(abs(hog), "length", system=system)])
    small = answer.get("small_angle")
    if small:
        rows.append(["free surface", quantity(small["free_surface_m"], "length", system=system)])
        rows.append(["KG (small-angle)", height(small["kg_m"], system, _half(answer, "kg_m"))])
    heeled = answer.get("heeled_equilibrium")
    if heeled:
        rows.append(["KG (heeled-equilibrium)", height(heeled["kg_m"], system, _half(answer, "kg_m"))])
    return [Line("As inclined", "title"), *table([Column(""), Column("", "point")], rows, width=width)]


def _draughts(water: Mapping[str, Any], system: System) -> str:
    values = [water["draught_aft_m"], water["draught_mid_m"], water["draught_fwd_m"]]
    return ", ".join(draught(value, system) for value in values) + " (moulded)"


def _by_instrument(answer: Mapping[str, Any], system: System, width: int) -> list[Line]:
    """GM by instrument and pooled, every interval on one scale."""
    small = answer.get("small_angle")
    if not small:
        return [Line("No VCG: the record has no states and readings (a lightweight survey).", "warn"), Line("")]
    found = [(i["id"], i["gm_fluid_m"], _COVERAGE * (i["standard_error_m"] or 0.0)) for i in small["instruments"]]
    found.append(("all (small-angle)", small["gm_fluid_m"], _half(answer, "gm_fluid_m") or 0.0))
    heeled = answer.get("heeled_equilibrium")
    if heeled:
        found.append(("all (heeled-equilibrium)", heeled["gm_fluid_m"], _half(answer, "gm_fluid_m") or 0.0))
    scale = scale_for([value + sign * half for _, value, half in found for sign in (-1, 1)])
    rows = [
        [
            name,
            quantity(value, "length", system=system, half_width=half),
            interval_bar(scale, value, value - half, value + half),
        ]
        for name, value, half in found
    ]
    columns = [Column("instrument"), Column("GM, fluid", "point"), Column("95 % interval, one scale", whole=True)]
    return [Line("GM by instrument", "title"), *table(columns, rows, width=width), Line("")]


def _moment_line(record: Mapping[str, Any]) -> list[Line]:
    plotted = moment_plot(moment_lines(record))
    return [Line("Moment line", "title"), *(Line(f"  {text}") for text in plotted), Line("")] if plotted else []


def _budget(answer: Mapping[str, Any], width: int) -> list[Line]:
    quantities = (answer.get("uncertainty") or {}).get("quantities") or {}
    name = "vcg_m" if quantities.get("vcg_m") else "mass_t"
    shares = (quantities.get(name) or {}).get("budget") or []
    if not shares:
        return []
    rows = [[str(s["input"]), f"{number(100 * s['share'], 0)} %"] for s in shares[:_LARGEST_SHARES]]
    head = f"Where the uncertainty of the {'VCG' if name == 'vcg_m' else 'mass'} comes from (largest first)"
    return [Line(head, "title"), *table([Column("input"), Column("share", "right")], rows, width=width), Line("")]


def _made(answer: Mapping[str, Any]) -> str:
    made = answer["provenance"]
    rules = f", rules {made['rule_set']}" if made.get("rule_set") else ""
    return f"Method {made.get('method_version')}{rules}; record SHA-256 {str(made.get('record_sha256'))[:12]}"
