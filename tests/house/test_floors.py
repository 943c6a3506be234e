"""Imports go downward only, and the floor of pure computation touches nothing outside itself."""

import ast
import subprocess
import sys
from pathlib import Path

TOP = Path(__file__).parents[2]
CORE = TOP / "service" / "heelwright_service" / "core"
ALLOWED_IN_CORE = {"numpy", "scipy", "gsw", "heelwright_service"}
"""`gsw` is the reference implementation of the equation of sea water (TEOS-10): pure computation."""

FORBIDDEN_IN_CORE = {"time", "os", "pathlib", "socket", "random", "subprocess", "logging", "threading", "sqlite3"}


def imported_names(path):
    for node in ast.walk(ast.parse(path.read_text())):
        if isinstance(node, ast.Import):
            yield from (name.name for name in node.names)
        elif isinstance(node, ast.ImportFrom) and node.level == 0 and node.module:
            yield node.module


def test_the_import_contracts_hold():
    found = subprocess.run(
        [str(Path(sys.executable).parent / "lint-imports"), "--no-cache"],
        cwd=TOP,
        capture_output=True,
        text=True,
        check=False,
    )
    assert found.returncode == 0, found.stdout + found.stderr


def test_the_computation_imports_the_standard_library_numpy_and_scipy_only():
    strangers = [
        (path.name, name)
        for path in CORE.rglob("*.py")
        for name in imported_names(path)
        if name.split(".")[0] not in ALLOWED_IN_CORE | sys.stdlib_module_names
        or name.split(".")[0] in FORBIDDEN_IN_CORE
        or (name.startswith("heelwright_service") and not name.startswith("heelwright_service.core"))
    ]
    assert strangers == []


def test_the_computation_reads_no_clock_and_draws_no_chance_without_a_seed():
    offenders = []
    for path in CORE.rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text())):
            if isinstance(node, ast.Call):
                call = ast.unparse(node.func)
                if call.endswith((".today", ".now", ".utcnow")) or call in ("open", "print", "input"):
                    offenders.append((path.name, call))
                if call.endswith("default_rng") and not (node.args or node.keywords):
                    offenders.append((path.name, call))
                if call.startswith("np.random.") and "default_rng" not in call:
                    offenders.append((path.name, call))
    assert offenders == []


def test_client_and_service_do_not_know_each_other():
    for package, other in (
        ("client/heelwright_client", "heelwright_service"),
        ("service/heelwright_service", "heelwright_client"),
    ):
        strangers = [
            (path.name, name)
            for path in (TOP / package).rglob("*.py")
            for name in imported_names(path)
            if name.split(".")[0] == other
        ]
        assert strangers == []
