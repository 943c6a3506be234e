"""The examples in the docstrings of store, use cases and API run and give what they say."""

from __future__ import annotations

import doctest
import importlib
import pkgutil

import pytest
from heelwright_service import api, store, usecases

MODULES = sorted(
    found.name
    for package in (store, usecases, api)
    for found in pkgutil.walk_packages(package.__path__, f"{package.__name__}.")
)


@pytest.mark.parametrize("name", MODULES)
def test_the_examples_of_a_module_run(name: str) -> None:
    assert doctest.testmod(importlib.import_module(name)).failed == 0
