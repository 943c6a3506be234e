"""What stands beside the drawings on the pages: what is in them, in the reader's units, and nothing else."""

from __future__ import annotations

import re

import pytest

from tests.client.web.conftest import Stage
from tests.client.web.visitor import Page

SVG = "{http://www.w3.org/2000/svg}"


def captions(page: Page) -> list[str]:
    """The caption of each figure."""
    return ["".join(each.itertext()) for each in page.all("figcaption")]


def caption_with(page: Page, part: str) -> str:
    """The one caption that has some words in it."""
    (found,) = [text for text in captions(page) if part in text]
    return found


def drawn_words(page: Page) -> list[str]:
    """What is written in drawings, titles and text alternatives with it."""
    return [str(each.text) for name in ("text", "title", "desc") for each in page.tree.iter(f"{SVG}{name}")]


def test_the_centre_of_additions_and_the_steps_of_the_log_are_explained(fleet: Stage):
    page = fleet.visitor().get(f"/vessels/{fleet.vessel('Merrowdale')}")
    assert "A additions" in drawn_words(page)
    assert "Triangle A: common centre of the logged additions." in caption_with(page, "Profile from")
    assert "Short dashes in steps: what the logged alterations alone" in caption_with(page, "Change of mass")


def test_a_vessel_without_such_a_centre_reads_nothing_about_it(fleet: Stage):
    page = fleet.visitor().get(f"/vessels/{fleet.vessel('Larkhollow')}")
    assert not any("Triangle A" in text for text in captions(page))
    assert "VCG" not in caption_with(page, "Change of mass")
    assert "Filled triangle: overdue." in caption_with(page, "keel laid")


@pytest.mark.parametrize("path", ["/result?example=1", "vessel"])
def test_drawings_follow_the_readers_units_to_the_last_word(fleet: Stage, path: str):
    visitor = fleet.visitor()
    visitor.post("/preferences", {"units": "us", "next": "/"}, from_page="/")
    page = visitor.get(f"/vessels/{fleet.vessel('Merrowdale')}" if path == "vessel" else path)
    written = drawn_words(page)
    assert any("ft" in words for words in written)
    assert not [words for words in written if {"m", "m,", "m.", "t", "t·m", "t·m."} & set(words.split())]


def test_the_table_behind_the_profile_gives_the_implied_centre_in_the_readers_units(fleet: Stage):
    visitor = fleet.visitor()
    visitor.post("/preferences", {"units": "us-decimal", "next": "/"}, from_page="/")
    page = visitor.get(f"/vessels/{fleet.vessel('Larkhollow')}")
    assert "ft fwd of AP, height unknown: inside the ship, so weight is plausible." in page.text
    assert "m forward of the aft perpendicular" not in " ".join(page.rows)


def test_how_much_residuals_are_enlarged_is_said_by_the_drawing_alone(fleet: Stage):
    page = fleet.visitor().get("/result?example=1")
    assert any("times enlarged" in words for words in drawn_words(page))
    assert "on the scale written there" in caption_with(page, "Tangent of the change of heel")
    assert not any("times enlarged" in text or "ten times" in text for text in captions(page))


ARROW = re.compile(r"M[\d.]+,6\.0L[\d.]+,10\.0L[\d.]+,14\.0")


@pytest.mark.parametrize("name", ["", "Larkhollow", "Merrowdale"])
def test_an_arrow_at_the_end_of_a_bar_is_explained_where_there_is_one(fleet: Stage, name: str):
    page = fleet.visitor().get(f"/vessels/{fleet.vessel(name)}" if name else "/")
    bars = [bar for bar in page.tree.iter(f"{SVG}svg") if bar.get("class") == "bar"]
    arrows = [path for bar in bars for path in bar.iter(f"{SVG}path") if ARROW.search(path.get("d", ""))]
    assert bars
    assert ("an arrow: " in page.text) == bool(arrows)
