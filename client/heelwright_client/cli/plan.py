"""`heelwright plan`: the least inclining weights, where they stand and in which order they move."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import click

from heelwright_client.cli.checks import any_failed, caution_lines, check_lines
from heelwright_client.cli.doubts import lever_lines
from heelwright_client.cli.files import read_document
from heelwright_client.cli.options import PartsType, QuantityType
from heelwright_client.cli.output import show, show_json, working
from heelwright_client.cli.page import page_width, paragraph
from heelwright_client.cli.settings import Settings, pass_settings
from heelwright_client.cli.tables import Column, Line, table
from heelwright_client.units import System
from heelwright_client.words import heel, number, quantity, sided, station

_LENGTH, _MASS, _ANGLE = QuantityType("length"), QuantityType("mass"), QuantityType("angle")
_POSITION = PartsType(
    "x_m", "y_port_m", "y_starboard_m", "z_m", "units_per_side?", "max_mass_t?", "deck_load_t_per_m2?"
)
_SINGULAR = {"positions": "position", "instruments": "instrument"}
_VISIBLE_DEG = 0.05
_REQUIRED = ("displacement_t", "gm_m", "breadth_m", "depth_m", "draught_m", "positions", "instruments", "weights_count")


@click.command()
@click.argument("request_file", metavar="[REQUEST.json]", required=False)
@click.option("--displacement-t", type=_MASS, help="Without the inclining weights.")
@click.option("--gm-m", type=_LENGTH, help="Fluid GM without the inclining weights.")
@click.option("--gm-uncertainty-m", type=_LENGTH, help="Expanded (95 %) [15 % of GM].")
@click.option(
    "--heel-band-deg", type=_ANGLE, nargs=2, metavar="LOW HIGH", help="Wanted heel of the largest moves [2 3]."
)
@click.option("--band-applies-to", type=click.Choice(["maximum", "every"]), help="Which states the band is for.")
@click.option("--initial-heel-deg", type=_ANGLE, help="Positive to starboard.")
@click.option("--breadth-m", type=_LENGTH)
@click.option("--depth-m", type=_LENGTH)
@click.option("--draught-m", type=_LENGTH)
@click.option(
    "--position",
    "positions",
    type=_POSITION,
    multiple=True,
    metavar="SPOT",
    help="A spot for weights, X_M:Y_PORT_M:Y_STARBOARD_M:Z_M, y to port negative; where they are known, then "
    "UNITS_PER_SIDE, MAX_MASS_T and DECK_LOAD_T_PER_M2, each after a colon.",
)
@click.option("--stock", type=PartsType("mass_t", "count", "id?"), multiple=True, help="Weights at hand.")
@click.option("--weight-step-t", type=_MASS, help="In place of a stock: equal weights in steps of this mass.")
@click.option("--shift-step-m", type=_LENGTH, help="Steps of the shift [0.1].")
@click.option(
    "--weights-count",
    type=click.Choice(["2", "4", "6"]),
    multiple=True,
    help="How many weights; may be repeated to leave a choice.",
)
@click.option(
    "--instrument",
    "instruments",
    type=PartsType("id", "kind", "length_m?", "resolution_mm?"),
    multiple=True,
    help="Such as P1:pendulum:4.0 or I1:inclinometer.",
)
@click.option("--target-gm-uncertainty-m", type=_LENGTH, help="Expanded (95 %).")
@click.option("--rule-set", help="Name of a rule set.")
@click.option("--all-checks", is_flag=True, help="A row for every check, passed ones too.")
@pass_settings
def plan(settings: Settings, /, request_file: str | None, all_checks: bool, **options: Any) -> int:  # noqa: ANN401 (options by name)
    """Plan the inclining weights and the order of lifts.

    The request comes from a file ("-" is standard input), from the options, or from both: an option stands in place
    of the file's field. Bare numbers are in the unit that the option's name ends in; another unit may be written out,
    such as "1180 LT". Exit status 1 when no plan keeps all limits; the nearest one is shown with what binds it, or,
    where there is none, what has to be known first.
    """
    request = read_document(request_file) if request_file else {}
    request |= _given(options)
    missing = [f"--{_SINGULAR.get(name, name).replace('_', '-')}" for name in _REQUIRED if not request.get(name)]
    if missing and not request_file:
        raise click.UsageError(f"Give a REQUEST.json or the options {', '.join(missing)}.")
    with working("Planning the weights"):
        answer = settings.client.weight_plans.compute(request)
    if settings.as_json:
        show_json(answer)
    else:
        show(plan_lines(answer, settings.system, page_width(), whole=all_checks))
    return 0 if answer["feasible"] and not any_failed(answer["checks"]) else 1


def _given(options: Mapping[str, Any]) -> dict[str, Any]:
    given = {name: value for name, value in options.items() if value not in (None, ())}
    for name in ("positions", "stock", "instruments", "heel_band_deg"):
        if name in given:
            given[name] = list(given[name])
    counts = [int(count) for count in given.pop("weights_count", ())]
    if counts:
        given["weights_count"] = counts[0] if len(counts) == 1 else counts
    return given


def plan_lines(answer: Mapping[str, Any], system: System, width: int, *, whole: bool = False) -> list[Line]:
    """Lay out a weight plan.

    Parameters
    ----------
    answer : Mapping
        The plan.
    system : System
        Display units.
    width : int
        Characters in a line.
    whole : bool
        Whether checks that passed have a row each.

    Returns
    -------
    list of Line
        Verdict, weights, states, checks, cautions.
    """
    if not answer["weights"]:
        return [*_without_a_plan(answer, width), *caution_lines(answer["cautions"], width)]
    return [
        *_verdict(answer, system),
        Line(""),
        *_weights(answer, system, width),
        Line(""),
        *_states(answer, system, width),
        Line(""),
        *_alternatives(answer, system, width),
        *lever_lines(answer.get("levers"), system, width),
        *_reading_positions(answer, width),
        *check_lines(answer["checks"], width, whole=whole),
        *caution_lines(answer["cautions"], width),
    ]


def _verdict(answer: Mapping[str, Any], system: System) -> list[Line]:
    total = quantity(answer["total_mass_t"], "mass", system=system, decimals=2)
    steps = f"{answer['lifts']} lifts, about {number(answer['duration_minutes'], 0)} minutes"
    most = answer["max_heel_deg"]
    expected = answer["expected_uncertainty"]
    told = [
        f"{_angle(most['expected'])} at most (between {_angle(most['low'])} and {_angle(most['high'])})",
        f"expected 95 % uncertainty of GM ±{quantity(expected['gm_m'], 'length', system=system)}",
    ]
    if expected.get("kg_m") is not None:
        told.append(f"of KG ±{quantity(expected['kg_m'], 'length', system=system)}")
    if answer["feasible"]:
        head = Line(f"Plan: {len(answer['weights'])} weights, {total} in all; {steps}", "title")
    else:
        shown = "shown is the plan after the nearest change," if answer["shown_after_change"] else "the nearest has"
        head = Line(f"No plan keeps all limits; {shown} {total} in all ({steps})", "fail")
    binding = answer.get("binding_constraint")
    bound = [Line(f"  Binding: {_sentence(binding)}", "warn")] if binding else []
    if answer.get("nearest_change"):
        bound.append(Line(f"  Nearest change: {answer['nearest_change']}", "warn"))
    if answer.get("nearest_plan"):
        bound.append(Line(f"  With it: {_in_short(answer['nearest_plan'], system)}", "warn"))
    return [head, *bound, Line(f"  Heel {'; '.join(told)}")]


def _without_a_plan(answer: Mapping[str, Any], width: int) -> list[Line]:
    told = (f"Binding: {_sentence(answer['binding_constraint'])}", str(answer["first_needed"]))
    wrapped = [paragraph(text, width, "  ", "    ") for text in told]
    lines = [Line(text, "warn") for one in wrapped for text in one]
    return [Line("No plan: none keeps the limits, and there is no nearest one to show", "fail"), *lines, Line("")]


def _in_short(other: Mapping[str, Any], system: System) -> str:
    total = quantity(other["total_mass_t"], "mass", system=system, decimals=2)
    return f"{other['weights_count']} weights, {total} in all, {other['lifts']} lifts, {_angle(other['max_heel_deg'])}"


def _sentence(binding: object) -> str:
    if isinstance(binding, Mapping):
        return str(binding.get("text") or binding.get("message") or ", ".join(f"{k} {v}" for k, v in binding.items()))
    return str(binding)


def _angle(value_deg: float) -> str:
    return f"{number(abs(value_deg), 1)}°"


def _between(found: Mapping[str, float]) -> str:
    """The ends of a heel; the side is named where they lie on different ones."""
    low, high = found["low"], found["high"]
    if low * high < 0.0 and max(abs(low), abs(high)) >= _VISIBLE_DEG:
        return f"{heel(low)} and {heel(high)}"
    return " and ".join(_angle(end) for end in sorted((abs(low), abs(high))))


def _weights(answer: Mapping[str, Any], system: System, width: int) -> list[Line]:
    columns = [Column("weight"), Column("mass", "point"), Column("shift across", "point"), Column("stands first at")]
    start = answer["states"][0]["positions"] if answer["states"] else {}
    rows = [
        [
            str(weight["id"]),
            quantity(weight["mass_t"], "mass", system=system),
            quantity(weight["shift_distance_m"], "length", system=system, decimals=2),
            _place(start.get(weight["id"]), system),
        ]
        for weight in answer["weights"]
    ]
    return table(columns, rows, width=width)


def _place(position: list[float] | None, system: System) -> str:
    if position is None:
        return ""
    across = sided(position[1], "length", ("to starboard", "to port"), system=system, decimals=2)
    height = quantity(position[2], "length", system=system, decimals=2)
    return f"{station(position[0], system)}, {across}, centre {height} above base"


def _states(answer: Mapping[str, Any], system: System, width: int) -> list[Line]:
    states = answer["states"]
    names = list(dict.fromkeys(name for state in states for name in state.get("deflection_mm") or {}))
    columns = [
        Column("state", "right"),
        Column("lift"),
        Column("moment changed", "point"),
        Column("heel", "point"),
        Column("between"),
        *(Column(f"{name}, mm", "point") for name in names),
    ]
    rows = [
        [
            str(state["number"]),
            _lift(state.get("lift")),
            sided(state["moment_t_m"], "moment", ("to starboard", "to port"), system=system, decimals=1),
            heel(state["heel_deg"]["expected"]),
            _between(state["heel_deg"]),
            *(number(abs(state["deflection_mm"].get(name, 0.0)), 0) for name in names),
        ]
        for state in states
    ]
    return table(columns, rows, width=width)


def _lift(lift: Mapping[str, Any] | None) -> str:
    if lift is None:
        return "none: first reading"
    side = "to starboard" if lift["to"][1] > lift["from"][1] else "to port"
    return f"{lift['weight']} {side}"


def _alternatives(answer: Mapping[str, Any], system: System, width: int) -> list[Line]:
    rows = [
        [
            str(other["weights_count"]),
            quantity(other["total_mass_t"], "mass", system=system, decimals=2),
            str(other["lifts"]),
            _angle(other["max_heel_deg"]),
            f"±{quantity(other['expected_uncertainty']['gm_m'], 'length', system=system)}",
            str(other.get("text") or ""),
        ]
        for other in answer["alternatives"]
    ]
    if not rows:
        return []
    columns = [
        Column("weights", "right"),
        Column("total mass", "point"),
        Column("lifts", "right"),
        Column("heel"),
        Column("GM, 95 %"),
        Column("what", wraps=1),
    ]
    own = quantity(answer["search_uncertainty"]["gm_m"], "length", system=system)
    compare = f"  GM by the simpler estimate that leads the search: ±{own} for this plan"
    return [Line("Alternatives", "title"), Line(compare), *table(columns, rows, width=width), Line("")]


def _reading_positions(answer: Mapping[str, Any], width: int) -> list[Line]:
    """Where everything that can move stands at every reading."""
    places = answer.get("reading_positions") or []
    wrapped = [paragraph(text, width, "  - ", "    ") for text in places]
    found = [Line(text) for lines in wrapped for text in lines]
    return [Line("At every reading", "title"), *found, Line("")] if found else []
