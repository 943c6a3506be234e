"""The examples in the client's docstrings run and answer what they show."""

from __future__ import annotations

import doctest
import importlib
import pkgutil

import heelwright_client
import pytest

MODULES = [
    found.name
    for found in pkgutil.walk_packages(heelwright_client.__path__, "heelwright_client.")
    if not found.name.startswith("heelwright_client.web")
]


@pytest.mark.parametrize("name", MODULES)
def test_the_examples_of_a_module_are_right(name: str) -> None:
    assert doctest.testmod(importlib.import_module(name)).failed == 0


def test_there_are_examples() -> None:
    finder = doctest.DocTestFinder()
    found = [example for name in MODULES for example in finder.find(importlib.import_module(name)) if example.examples]
    assert len(found) >= 15
