"""The simulator is an outside check of the service only as long as it shares no code with it."""

import ast
import sys
from pathlib import Path

SIMULATOR = Path(__file__).parents[1] / "support" / "simulator"
ALLOWED = {"numpy", "scipy"} | set(sys.stdlib_module_names)


def _imported(source: str) -> set[str]:
    """Top-level names of what a module imports; names inside its own package start with a dot."""
    names = set()
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.Import):
            names |= {alias.name.split(".")[0] for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            names.add("." * node.level if node.level else str(node.module).split(".")[0])
        elif isinstance(node, ast.Name) and node.id == "__import__":
            names.add("__import__")
    return names


def test_the_simulator_imports_only_numerical_libraries_and_itself() -> None:
    modules = sorted(SIMULATOR.rglob("*.py"))
    assert len(modules) > 5
    for module in modules:
        assert _imported(module.read_text()) - {"."} <= ALLOWED - {"importlib"}, module.name


def test_the_walk_sees_imports_of_every_form() -> None:
    source = "import heelwright_service.core\nfrom ..x import y\ndef f():\n    from heelwright_client import z\n"
    assert _imported(source) == {"heelwright_service", "..", "heelwright_client"}
