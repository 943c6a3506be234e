"""Names end in their unit, docstrings speak of the same unit, and the glossary agrees with both."""

import ast
import dataclasses
import importlib
import pkgutil
import re
from pathlib import Path

import heelwright_service.core
from heelwright_service.core.quantities import GLOSSARY, UNITS, unit_of

CORE = Path(heelwright_service.core.__file__).parent

PLAIN_NUMBERS = {
    "share",
    "shares",
    "probability",
    "probability_exceeded",
    "factor",
    "number",
    "count",
    "value",
    "limit",
    "low",
    "high",
    "standard",
    "slope",
    "tangent",
    "size",
    "weight",
    "degrees_of_freedom",
    "draws",
    "seed",
    "lifts",
    "fitted",
    "residual",
    "r_squared",
    "studentised",
    "leverage",
    "relative",
    "practical_salinity",
}
"""Numbers that are ratios, counts, tangents, or whose unit stands beside them in the same document."""


def core_modules():
    for info in pkgutil.walk_packages([str(CORE)], "heelwright_service.core."):
        yield importlib.import_module(info.name)


def record_dataclasses():
    """The dataclasses whose fields are the names of requests and records."""
    for name in ("record", "hydrostatics_answer", "planning.request", "drift.request", "uncertainty.deviation_kinds"):
        module = importlib.import_module(f"heelwright_service.core.{name}")
        for value in vars(module).values():
            if dataclasses.is_dataclass(value) and value.__module__ == module.__name__:
                yield value


def is_number(annotation):
    return re.fullmatch(r"(float|int)( \| None)?", str(annotation)) is not None


def test_every_number_in_a_request_ends_in_its_unit_or_is_a_plain_number():
    nameless = [
        (cls.__name__, field.name)
        for cls in record_dataclasses()
        for field in dataclasses.fields(cls)
        if is_number(field.type) and unit_of(field.name) is None
        if field.name not in PLAIN_NUMBERS | {"state", "repeat", "units_per_side", "minutes_per_lift", "weights_count"}
    ]
    assert nameless == []


def test_a_documented_parameter_that_ends_in_a_unit_names_that_unit():
    """In numpy-style docstrings the unit stands in brackets; a name in metres must not be told in millimetres."""
    wrong = []
    for path in CORE.rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text())):
            if isinstance(node, ast.FunctionDef | ast.ClassDef) and (doc := ast.get_docstring(node)):
                wrong += [(path.name, node.name, *found) for found in contradictions(doc)]
    assert wrong == []


def contradictions(doc):
    for names, text in re.findall(r"^(\w+(?:, \w+)*) : [^\n]*\n((?:    [^\n]*\n?)+)", doc, flags=re.MULTILINE):
        units = {unit_of(name) for name in names.split(", ")} - {None, ""}
        told = {unit for unit in re.findall(r"\[([^\]\[,]{1,10})\]", text) if unit in set(UNITS.values()) - {""}}
        if units and told and not (units & told):
            yield names, sorted(units), sorted(told)


def test_the_glossary_takes_each_unit_from_its_name_and_says_what_it_is():
    for name, entry in GLOSSARY.items():
        assert entry.name == name
        assert unit_of(name) is not None
        assert entry.sentence.endswith(".")


def test_longer_endings_come_before_the_shorter_ones_they_contain():
    endings = list(UNITS)
    for i, early in enumerate(endings):
        assert not any(late.endswith(early) and late != early for late in endings[i + 1 :]), early


def carries_numbers(function):
    annotations = [a.annotation for a in (*function.args.args, *function.args.kwonlyargs)] + [function.returns]
    told = " ".join(ast.unparse(annotation) for annotation in annotations if annotation is not None)
    return re.search(r"\b(float|int|Array|NDArray)\b", told) is not None


def test_every_public_function_that_carries_numbers_says_what_it_takes_and_gives():
    silent = []
    for path in CORE.rglob("*.py"):
        for node in ast.parse(path.read_text()).body:
            if isinstance(node, ast.FunctionDef) and not node.name.startswith("_") and carries_numbers(node):
                doc = ast.get_docstring(node) or ""
                gives = node.returns is not None and ast.unparse(node.returns) not in ("None", "NoReturn")
                if (node.args.args and "Parameters" not in doc) or (gives and "Returns" not in doc):
                    silent.append((path.name, node.name))
    assert silent == []


def test_every_public_name_of_the_computation_has_a_sentence():
    silent = [
        (path.name, node.name)
        for path in CORE.rglob("*.py")
        for node in ast.parse(path.read_text()).body
        if isinstance(node, ast.FunctionDef | ast.ClassDef) and not node.name.startswith("_")
        if not (ast.get_docstring(node) or "").split("\n")[0].endswith((".", ":"))
    ]
    assert silent == []


def test_all_modules_of_the_computation_can_be_imported_alone():
    assert len(list(core_modules())) > 50
