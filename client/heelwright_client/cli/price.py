"""`heelwright price`: what a departure from the procedure costs, in tonnes and millimetres, on which side."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any

import click

from heelwright_client.cli.checks import caution_lines
from heelwright_client.cli.files import read_document
from heelwright_client.cli.options import QuantityType
from heelwright_client.cli.output import show, show_json, working
from heelwright_client.cli.page import page_width, paragraph
from heelwright_client.cli.settings import Settings, pass_settings
from heelwright_client.cli.tables import Column, Line, table
from heelwright_client.units import System
from heelwright_client.words import quantity

_TONES = {"unsafe": "fail", "safe": "warn", "neutral": ""}
_SIDES = {
    "unsafe": "unsafe side: the ship looks more stable than she is",
    "safe": "safe side: the ship looks less stable than she is",
    "neutral": "neutral: no effect on the height that matters",
}
_PLAIN = click.FLOAT
_SIZES: tuple[tuple[str, click.ParamType[Any], str], ...] = (
    ("mass_t", QuantityType("mass"), "Mass overlooked, forgotten, moving or out of place [t]."),
    ("x_m", QuantityType("length"), "Its place, forward of the aft perpendicular [m]."),
    ("y_m", QuantityType("length"), "Its place, to starboard of the centreline [m]."),
    ("z_m", QuantityType("length"), "Its place, above the moulded baseline [m]."),
    ("free_surface_moment_t_m", _PLAIN, "Free-surface moment deducted less that which is there [t·m]."),
    ("relative", _PLAIN, "True mass of the weights over the certified one, less one: -0.01 is 1 % light."),
    ("size_m", QuantityType("length"), "Recorded less true length, draught, distance or sounding [m]."),
    ("size_mm", _PLAIN, "By how much the deflection was read short, to either side [mm]."),
    ("share", _PLAIN, "Share of the heel that is held back, 0.03 is 3 %."),
    (
        "distance_m",
        QuantityType("length"),
        "How far people walk with the weights; or how far a mass stands off its place, to starboard positive [m].",
    ),
    ("moment_t_m", _PLAIN, "Heeling moment to starboard in the named states [t·m]."),
    ("density_t_per_m3", _PLAIN, "True density of the water [t/m³]."),
    ("volume_m3", _PLAIN, "Air in a tank that was taken as pressed [m³]."),
    ("instrument", click.STRING, "This instrument only."),
    ("mark", click.STRING, "This mark only."),
    ("tank", click.STRING, "The tank meant."),
    ("weight", click.STRING, "This inclining weight only."),
)

Command = Callable[..., Any]


def _with_sizes(command: Command) -> Command:
    for name, kind, help_text in reversed(_SIZES):
        command = click.option(f"--{name.replace('_', '-')}", name, type=kind, help=help_text)(command)
    return command


@click.command()
@click.argument("record_file", metavar="RECORD.json", required=False)
@click.option("--plan", "plan_file", metavar="REQUEST.json", help="Price on a weight-plan request, before the test.")
@click.option("--kind", help="Kind of departure; --list shows them with the sizes that each needs.")
@click.option("--list", "listing", is_flag=True, help="List the kinds of departure.")
@_with_sizes
@click.option("--state", "states", type=click.IntRange(min=0), multiple=True, help="In this state (may be repeated).")
@click.option("--side", type=click.Choice(["port", "starboard"]), help="When heeled to this side only.")
@pass_settings
def price(
    settings: Settings,
    /,
    record_file: str | None,
    plan_file: str | None,
    kind: str | None,
    listing: bool,
    states: Sequence[int],
    **sizes: Any,  # noqa: ANN401 (options by name)
) -> int:
    """Price a departure from the procedure on a test's own record ("-" is standard input).

    The answer is what the departure, left as it is, adds to the lightship, and on which side it errs.
    """
    if listing:
        return _list(settings)
    if kind is None:
        raise click.UsageError("Say what departed with --kind; --list shows the kinds.")
    if (record_file is None) == (plan_file is None):
        raise click.UsageError("Give a RECORD.json, or a weight-plan request with --plan.")
    deviation = {"kind": kind, **{name: value for name, value in sizes.items() if value is not None}}
    if states:
        deviation["states"] = list(states)
    model = {"plan": read_document(plan_file)} if plan_file else {"record": read_document(record_file or "-")}
    with working("Pricing the departure"):
        answer = settings.client.deviations.price({**model, "deviations": [deviation]})
    if settings.as_json:
        show_json(answer)
    else:
        show(price_lines(answer, settings.system, page_width()))
    return 0


def price_lines(answer: Mapping[str, Any], system: System, width: int) -> list[Line]:
    """Lay out prices.

    Parameters
    ----------
    answer : Mapping
        ``items`` and ``cautions``.
    system : System
        Display units.
    width : int
        Characters in a line.

    Returns
    -------
    list of Line
        A tag for each departure, then the cautions.
    """
    lines: list[Line] = []
    for item in answer["items"]:
        lines += [Line(f"{item['kind']}: {item['text']}", "title"), *_tag(item, system, width), Line("")]
    return [*lines, *caution_lines(answer["cautions"], width)]


def _tag(item: Mapping[str, Any], system: System, width: int) -> list[Line]:
    rows = [
        ["lightship mass", _signed(item["mass_t"], "mass", ("too heavy", "too light"), system)],
        ["lightship VCG", _signed(item["vcg_m"], "small length", ("too high", "too low"), system)],
        ["KG as inclined", _signed(item["kg_m"], "small length", ("too high", "too low"), system)],
        ["side", _SIDES[item["side"]]],
    ]
    if item["mass_side"] != "neutral":
        lighter = "lighter" if item["mass_side"] == "unsafe" else "heavier"
        rows.append(["side of the mass", f"{item['mass_side']} side: the ship looks {lighter} than she is"])
    doubt = item["added_standard_uncertainty_m"]
    if doubt is not None:
        rows.append(["doubt it adds", f"{_millimetres(doubt, system)} standard uncertainty of VCG, if left as it is"])
    tones = ["", "", "", _TONES[item["side"]]]
    return table([Column(""), Column("if left as it is", wraps=1)], rows, width=width, tones=tones)


def _signed(value: float | None, what: str, words: tuple[str, str], system: System) -> str:
    if value is None:
        return "not measured by this record"
    told = quantity(abs(value), "mass", system=system, decimals=2) if what == "mass" else _millimetres(value, system)
    if told.split()[0].strip("0.") == "":
        return "unchanged"
    return f"{told} {words[0] if value > 0.0 else words[1]}"


def _millimetres(value_m: float, system: System) -> str:
    if system.unit("length").symbol == "m":
        return f"{abs(value_m) * 1000.0:.{0 if abs(value_m) >= 0.01 else 1}f} mm"
    return quantity(abs(value_m), "length", system=system)


def _list(settings: Settings) -> int:
    kinds = settings.client.deviations.kinds()
    if settings.as_json:
        show_json({"items": kinds})
        return 0
    rows = [[one["kind"], one["text"], _options(one["needs"]), _options(one["may"])] for one in kinds]
    columns = [Column("kind"), Column("what", wraps=3), Column("needs", wraps=2), Column("may have", wraps=2)]
    show(table(columns, rows, width=page_width(), indent=""))
    ending = (
        "Price one with its sizes: heelwright price RECORD.json --kind KIND, or before the test --plan REQUEST.json."
    )
    show(paragraph(ending, page_width()))
    return 0


def _options(names: Sequence[str]) -> str:
    return " ".join("--state" if name == "states" else f"--{name.replace('_', '-')}" for name in names)
