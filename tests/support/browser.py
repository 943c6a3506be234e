"""Debian's chromium, started once for all tests of a process: its driver cannot be started twice."""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from playwright.sync_api import Browser

CHROMIUM = Path("/usr/bin/chromium")
OPTIONS = (
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--disable-dev-shm-usage",
)
_IN_CI = os.environ.get("CI", "").lower() not in ("", "0", "false")


@pytest.fixture(scope="session")
def chromium() -> Iterator[Browser]:
    """One browser for all tests; without it a plain run says so, and continuous integration fails."""
    if not CHROMIUM.exists():
        reason = f"{CHROMIUM} is not there; on Debian: apt-get install --no-install-recommends chromium"
        if _IN_CI:
            pytest.fail(reason)
        pytest.skip(reason)
    from playwright.sync_api import sync_playwright

    with sync_playwright() as player:
        browser = player.chromium.launch(executable_path=str(CHROMIUM), args=list(OPTIONS))
        yield browser
        browser.close()
