"""Checks as people read them: failed first, the unsafe side before the safe one, each with its source."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from heelwright_client.cli.page import paragraph
from heelwright_client.cli.tables import Column, Line, table

VERDICTS = {"fail": "fail", "warn": "look at this", "not-assessed": "not assessed", "pass": "pass"}
_ORDER = list(VERDICTS)
_TONES = {"fail": "fail", "warn": "warn", "not-assessed": "quiet", "pass": ""}


def any_failed(checks: Sequence[Mapping[str, Any]]) -> bool:
    """Tell whether a check failed.

    Parameters
    ----------
    checks : sequence of Mapping
        Checks of an answer.

    Returns
    -------
    bool
        True when at least one did.
    """
    return any(check["status"] == "fail" for check in checks)


def check_lines(checks: Sequence[Mapping[str, Any]], width: int, *, whole: bool = False) -> list[Line]:
    """Lay out checks, failed first.

    Parameters
    ----------
    checks : sequence of Mapping
        Checks of an answer.
    width : int
        Characters in a line.
    whole : bool
        Whether those that passed have a row each; else they are named in one paragraph.

    Returns
    -------
    list of Line
        A heading that counts them, then one row a check.
    """
    if not checks:
        return []
    ordered = sorted(checks, key=lambda c: (_ORDER.index(c["status"]), c.get("side") != "unsafe"))
    shown = [check for check in ordered if whole or check["status"] != "pass"]
    rows = [[_verdict(c), str(c["text"]), f"{c.get('source') or 'office default'} [{c['id']}]"] for c in shown]
    columns = [Column("verdict"), Column("what", wraps=3), Column("source", wraps=2)]
    tones = [_TONES[check["status"]] for check in shown]
    passed = [str(check["id"]) for check in ordered if check["status"] == "pass" and not whole]
    return [
        Line(_counted(checks), "title"),
        *table(columns, rows, width=width, tones=tones),
        *(Line(text) for text in _passed(passed, width)),
    ]


def _passed(ids: Sequence[str], width: int) -> list[str]:
    """The checks that passed, by their names; never a failed one."""
    told = f"  pass: {', '.join(ids)}. Each in full with --all-checks."
    return paragraph(told, width, rest="    ") if ids else []


def caution_lines(cautions: Sequence[str], width: int) -> list[Line]:
    """Lay out cautions.

    Parameters
    ----------
    cautions : sequence of str
        Sentences.
    width : int
        Characters in a line.

    Returns
    -------
    list of Line
        A heading, then one paragraph a caution; nothing where there is none.
    """
    if not cautions:
        return []
    wrapped = [paragraph(text, width, "  - ", "    ") for text in dict.fromkeys(cautions)]
    return [Line("Cautions", "title"), *(Line(text) for lines in wrapped for text in lines)]


def _verdict(check: Mapping[str, Any]) -> str:
    side = check.get("side")
    word = VERDICTS[check["status"]]
    return f"{word}, {side} side" if side and check["status"] in ("fail", "warn") else word


def _counted(checks: Sequence[Mapping[str, Any]]) -> str:
    counts = {status: sum(check["status"] == status for check in checks) for status in _ORDER}
    told = [f"{count} {VERDICTS[status]}" for status, count in counts.items() if count]
    return f"Checks: {', '.join(told)}"
