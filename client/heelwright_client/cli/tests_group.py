"""What the commands on stored tests share: the group, how a test is shown, how an answer is told."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import click

from heelwright_client.cli.output import page_width, show, show_json
from heelwright_client.cli.settings import Settings
from heelwright_client.cli.tables import Column, Line, table


@click.group()
def tests() -> None:
    """Carry a test from the first plan to the approved lightship."""


def tell(settings: Settings, answer: object, lines: Sequence[Line | str]) -> None:
    """Print an answer: the document for machines, lines for people.

    Parameters
    ----------
    settings : Settings
        How to answer.
    answer : object
        The service's answer.
    lines : sequence of Line or str
        The same for people.
    """
    if settings.as_json:
        show_json(answer)
    else:
        show(lines)


def test_lines(test: Mapping[str, Any]) -> list[Line]:
    """Lay out a test: where it stands, and what is missing for each stage that may follow.

    Parameters
    ----------
    test : Mapping
        As the service gives it.

    Returns
    -------
    list of Line
        A title and one paragraph a stage.
    """
    name = test.get("title") or test["kind"]
    lines = [Line(f"{name} ({test['id']}): {test['stage']}", "title")]
    lines += [Line(f"  kind {test['kind']}, date {test.get('date') or 'not set'}, order {test.get('order')}")]
    lines += _imported(test.get("imported"))
    for ahead in test.get("next_stages", []):
        if ahead["stage"] in ("abandoned", "postponed"):
            continue
        if not ahead["missing"]:
            lines.append(Line(f"  to {ahead['stage']}: nothing is missing"))
            continue
        lines.append(Line(f"  to {ahead['stage']} is missing:", "warn"))
        rows = [[each["text"], each["mend"]] for each in ahead["missing"]]
        columns = [Column("what", wraps=1), Column("how to mend it", wraps=1)]
        lines += table(columns, rows, width=page_width(), indent="    ")
    if test.get("open_actions"):
        lines.append(Line(f"  open actions: {', '.join(test['open_actions'])}", "warn"))
    return lines


def _imported(came: Mapping[str, Any] | None) -> list[Line]:
    """Where an entered record came from; what it says of itself is marked as that."""
    if came is None:
        return []
    lines = [Line(f"  entered whole from: {came['source']}; by {came['imported_by']}, {came['imported_at']}")]
    lines += [Line(f"  SHA-256 {came['sha256']}")]
    if came["stage_there"]:
        by = f", approved by {came['approved_there_by']}" if came["approved_there_by"] else ""
        text = f"  by the file's own word it stood at {came['stage_there']} there{by}; that does not count here"
        lines += [Line(text, "warn")]
    return lines


def point_lines(answer: Mapping[str, Any], title: str) -> list[Line]:
    """Lay out what stands in the way of starting or leaving.

    Parameters
    ----------
    answer : Mapping
        ``ready``, ``blocking``, ``warnings`` and ``waived``.
    title : str
        The question.

    Returns
    -------
    list of Line
        Blocking points first.
    """
    lines = [Line(f"{title} {'Yes.' if answer['ready'] else 'No.'}", "title")]
    rows, tones = [], []
    groups = (("blocks", "fail", "blocking"), ("look at", "warn", "warnings"), ("waived", "", "waived"))
    for word, tone, group in groups:
        for each in answer[group]:
            by = f" Waived by {each['waived_by']}: {each['waived_reason']}" if each["waived_by"] else ""
            never = "" if each["waivable"] else " Cannot be waived."
            rows.append([word, each["id"], f"{each['text']}{by}{never}", each["mend"]])
            tones.append(tone)
    columns = [Column(""), Column("point"), Column("what", wraps=3), Column("mend", wraps=2)]
    return [*lines, *table(columns, rows, width=page_width(), tones=tones)]


def list_lines(rows: Sequence[Mapping[str, Any]], names: Sequence[str], wraps: str | None = None) -> list[Line]:
    """Lay out rows by some of their fields.

    Parameters
    ----------
    rows : sequence of Mapping
        The rows.
    names : sequence of str
        Fields, in order.
    wraps : str or None
        The field whose text may wrap.

    Returns
    -------
    list of Line
        A table.
    """
    columns = [Column(name.replace("_", " "), wraps=1 if name == wraps else 0) for name in names]
    cells = [["" if row.get(name) is None else str(row[name]) for name in names] for row in rows]
    return table(columns, cells, width=page_width())
