"""What the commands on stored tests share: the group, how a test is shown, how an answer is told."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import click

from heelwright_client.cli.output import show, show_json
from heelwright_client.cli.page import on_terminal, page_width
from heelwright_client.cli.settings import Settings
from heelwright_client.cli.spoken import spoken, spoken_day, spoken_time
from heelwright_client.cli.tables import Column, Line, table
from heelwright_client.test_words import DUE_STATE_WORDS, KIND_WORDS, STAGE_WORDS, STEP_WORDS

_ORDERS = {"survey-first": "survey before the test", "test-first": "test before the survey"}
_HEADINGS = {
    "entry id": "entry",
    "created at": "opened",
    "recorded at": "asked at",
    "text": "what",
    "complete": "state",
    "mass t": "mass",
    "surplus percent": "surplus left",
}
_TYPED = frozenset(("id", "entry_id", "key", "tank", "finding"))
_YIELDING = frozenset(("id", "entry_id", "source", "evidence", "corrected_by", "correction_reason"))
_DATES = frozenset(("date", "due", "decided_on", "expires"))
_WORDS: Mapping[str, Mapping[str, str]] = {
    "kind": KIND_WORDS,
    "stage": STAGE_WORDS,
    "state": DUE_STATE_WORDS,
    "who": {},
    "item_class": {},
}


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
    kind, stage = spoken(test["kind"], KIND_WORDS), spoken(test["stage"], STAGE_WORDS)
    lines = [Line(f"{test.get('title') or kind} ({test['id']}): {stage}", "title")]
    date, order = spoken_day(test.get("date"), "not set"), spoken(test.get("order") or "", _ORDERS)
    lines += [Line(f"  kind {kind}, date {date}, order {order}")]
    lines += _imported(test.get("imported"))
    for ahead in test.get("next_stages", []):
        if ahead["stage"] in ("abandoned", "postponed"):
            continue
        if not ahead["missing"]:
            lines.append(Line(f"  {_step(ahead['stage'])}: nothing is missing"))
            continue
        lines.append(Line(f"  {_step(ahead['stage'])} is missing:", "warn"))
        rows = [[each["text"], each["mend"]] for each in ahead["missing"]]
        columns = [Column("what", wraps=1), Column("how to mend it", wraps=1)]
        lines += table(columns, rows, width=page_width(), indent="    ")
    if test.get("open_actions"):
        lines.append(Line(f"  open actions: {', '.join(test['open_actions'])}", "warn"))
    return lines


def _step(stage: str) -> str:
    """A stage to come; people are told its name too, since `tests move` takes it."""
    return f"for {STEP_WORDS.get(stage, stage)} ({stage})" if on_terminal() else f"to {stage}"


def _imported(came: Mapping[str, Any] | None) -> list[Line]:
    """Where an entered record came from; what it says of itself is marked as that."""
    if came is None:
        return []
    lines = [
        Line(f"  entered whole from: {came['source']}; by {came['imported_by']}, {spoken_time(came['imported_at'])}")
    ]
    lines += [Line(f"  SHA-256 {came['sha256']}")]
    if came["stage_there"]:
        by = f", approved by {came['approved_there_by']}" if came["approved_there_by"] else ""
        stood = spoken(came["stage_there"], STAGE_WORDS)
        text = f"  by the file's own word it stood at {stood} there{by}; that does not count here"
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
    columns = [Column("", whole=True), Column("point", whole=True), Column("what", wraps=3), Column("mend", wraps=2)]
    return [*lines, *table(columns, rows, width=page_width(), tones=tones)]


def list_lines(
    rows: Sequence[Mapping[str, Any]], names: Sequence[str], wraps: str | None = None, numbers: Sequence[str] = ()
) -> list[Line]:
    """Lay out rows by some of their fields.

    Parameters
    ----------
    rows : sequence of Mapping
        The rows.
    names : sequence of str
        Fields, in order.
    wraps : str or None
        The field whose text may wrap.
    numbers : sequence of str
        Fields whose decimal points stand below each other on a terminal.

    Returns
    -------
    list of Line
        A table.
    """
    columns = [
        Column(
            spoken(name.replace("_", " "), _HEADINGS),
            "point" if name in numbers and on_terminal() else "left",
            wraps=1 if name == wraps else 0,
            whole=name in _TYPED,
            yields=name in _YIELDING,
        )
        for name in names
    ]
    cells = [[_cell(name, row.get(name)) for name in names] for row in rows]
    return table(columns, cells, width=page_width())


def _cell(name: str, value: object) -> str:
    if value is None:
        return ""
    if name.endswith("_at"):
        return spoken_time(str(value))
    if name in _DATES:
        return spoken_day(str(value))
    return spoken(str(value), _WORDS[name]) if name in _WORDS else str(value)
