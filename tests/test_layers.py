"""Data flows one way: a layer imports only itself and those before it."""

from __future__ import annotations

import ast
from pathlib import Path

import dialopt

LAYERS = ("trade", "sensory", "model", "engine", "logbook", "report", "shell")
ROOT = Path(dialopt.__file__).parent


def imports(path: Path) -> set[str]:
    names: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.ImportFrom) and node.module and node.level == 0:
            names.add(node.module)
            names.update(f"{node.module}.{alias.name}" for alias in node.names)
        elif isinstance(node, ast.Import):
            names.update(alias.name for alias in node.names)
    return names


def test_no_layer_looks_up() -> None:
    seen = 0
    for rank, layer in enumerate(LAYERS):
        above = LAYERS[rank + 1 :]
        for path in (ROOT / layer).rglob("*.py"):
            seen += 1
            wrong = {n for n in imports(path) if n.startswith(tuple(f"dialopt.{upper}" for upper in above))}
            assert not wrong, f"{path.relative_to(ROOT)} imports {sorted(wrong)}"
    assert seen > 20


def test_the_logbook_rests_on_the_trade_alone() -> None:
    for path in (ROOT / "logbook").rglob("*.py"):
        rooms = {name.split(".")[1] for name in imports(path) if name.startswith("dialopt.")}
        assert rooms <= {"errors", "logbook", "trade"}, path


def test_what_stands_beside_the_layers_is_light() -> None:
    assert not {n for n in imports(ROOT / "errors.py") if n.startswith("dialopt")}
    for path in (ROOT / "demo").rglob("*.py"):
        assert {n for n in imports(path) if n.startswith("dialopt")} <= {
            n for n in imports(path) if n.startswith("dialopt.trade")
        }


def test_nobody_reaches_outside() -> None:
    for path in ROOT.rglob("*.py"):
        assert not {n for n in imports(path) if n.split(".")[0] in ("experiments", "tests")}
