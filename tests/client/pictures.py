"""Reading a picture as a person sees it: its words with the paper they take, its marks and its dashes."""

from __future__ import annotations

import itertools
import re
from xml.etree import ElementTree

from heelwright_client.svg import Picture
from heelwright_client.svg_plot import text_width

SVG = "{http://www.w3.org/2000/svg}"
Box = tuple[str, float, float, float, float]


def boxes(svg: str) -> list[Box]:
    """Every text with the paper it takes, by the width of its letters."""
    found = []
    for text in ElementTree.fromstring(svg).iter(f"{SVG}text"):
        words, size = "".join(text.itertext()), int(text.get("font-size", "0"))
        wide = text_width(words, size) * 0.94
        x, y = float(text.get("x", "0")), float(text.get("y", "0"))
        left = x - {"start": 0.0, "middle": wide / 2, "end": wide}[text.get("text-anchor", "start")]
        found.append((words, left, y - 0.7 * size, left + wide, y))
    return found


def size(svg: str) -> tuple[float, float]:
    """Width and height of the paper."""
    root = ElementTree.fromstring(svg)
    return float(root.get("width", "0")), float(root.get("height", "0"))


def misplaced(svg: str) -> list[str]:
    """Words that leave the paper or lie on others, lines and marks that leave it."""
    wide, high = size(svg)
    found = boxes(svg)
    off = [words for words, left, top, right, bottom in found
           if left < -1 or top < 0 or right > wide + 1 or bottom > high]  # fmt: skip
    for one, other in itertools.combinations(found, 2):
        apart = one[3] <= other[1] or other[3] <= one[1] or one[4] <= other[2] or other[4] <= one[2]
        if not apart:
            off.append(f"{one[0]} on {other[0]}")
    for points in re.findall(r"points='([^']*)'", svg):
        for point in points.split():
            x, y = (float(part) for part in point.split(","))
            if not (-1 <= x <= wide + 1 and -1 <= y <= high + 1):
                off.append(f"a line to {point}")
    return off


def dashes(svg: str) -> set[str]:
    """The kinds of dashes in it."""
    return set(re.findall(r"stroke-dasharray='([^']*)'", svg))


def shapes(svg: str) -> set[str]:
    """The kinds of marks in it."""
    found = {"circle"} if "<circle" in svg else set()
    outlines = {"square": r"h([\d.]+)v\1h-\1z", "triangle": r"l[\d.]+,[\d.]+h-[\d.]+z",
                "diamond": r"(?:l-?[\d.]+,-?[\d.]+){3}z", "plus": r"'M[\d.-]+,[\d.-]+h[\d.]+M[\d.-]+,[\d.-]+v",
                "cross": r"l[\d.]+,[\d.]+M[\d.-]+,[\d.-]+l[\d.]+,-"}  # fmt: skip
    return found | {name for name, outline in outlines.items() if re.search(outline, svg)}


def caption(picture: Picture) -> str:
    """What stands beside it."""
    return " ".join(picture.notes)
