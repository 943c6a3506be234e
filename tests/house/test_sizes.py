"""Functions and modules stay small enough to be read at one sitting."""

import ast
from pathlib import Path
from statistics import median

TOP = Path(__file__).parents[2]
LONGEST_FUNCTION = 60
LONGEST_MODULE = 450


def product_modules():
    return [path for package in ("service", "client") for path in (TOP / package).rglob("*.py")]


def code_lines(function):
    doc = ast.get_docstring(function, clean=False)
    documented = function.body[0].end_lineno - function.body[0].lineno + 1 if doc else 0
    return function.end_lineno - function.lineno + 1 - documented


def functions():
    for path in product_modules():
        for node in ast.walk(ast.parse(path.read_text())):
            if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
                yield path, node


def test_no_function_is_longer_than_sixty_lines_of_code():
    long = [
        (path.name, node.name, code_lines(node)) for path, node in functions() if code_lines(node) > LONGEST_FUNCTION
    ]
    assert long == []


def test_the_median_function_has_about_ten_lines():
    assert median(code_lines(node) for _, node in functions()) <= 12


def test_no_module_is_longer_than_four_hundred_and_fifty_lines():
    long = [
        (path.name, lines)
        for path in product_modules()
        if (lines := len(path.read_text().splitlines())) > LONGEST_MODULE
    ]
    assert long == []
