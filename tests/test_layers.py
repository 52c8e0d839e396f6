"""Data flows one way: a layer imports only itself and those before it."""

from __future__ import annotations

import ast
import subprocess
import sys
from pathlib import Path

import dialopt

LAYERS = ("trade", "sensory", "model", "engine", "logbook", "text", "report", "shell")
ASKS_FOR_WORDS = {"engine/advice.py": "dialopt.text.reason"}
"""`Advice.reason` is a sentence for outside code, made only when asked for."""
ROOT = Path(dialopt.__file__).parent


def imports(path: Path, *, at_once: bool = False) -> set[str]:
    """What a module names in its imports. at_once: only those that it does when it is imported itself."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    names: set[str] = set()
    for node in tree.body if at_once else ast.walk(tree):
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
            allowed = ASKS_FOR_WORDS.get(path.relative_to(ROOT).as_posix())
            wrong = {n for n in wrong if allowed is None or not n.startswith(allowed)}
            assert not wrong, f"{path.relative_to(ROOT)} imports {sorted(wrong)}"
    assert seen > 20


def test_sentences_are_made_in_one_room_which_computes_nothing() -> None:
    """Text reads values of every room below the report; of the others nobody but report and shell reads text."""
    for name, module in ASKS_FOR_WORDS.items():
        assert any(n.startswith(module) for n in imports(ROOT / name))
        assert not any(n.startswith("dialopt.text") for n in imports(ROOT / name, at_once=True))
    for path in (ROOT / "text").rglob("*.py"):
        assert not {n for n in imports(path) if n.split(".")[0] in ("numpy", "scipy", "skopt", "plotly", "random")}
    fresh = "import sys, dialopt.text; from pkgutil import iter_modules; from importlib import import_module; " + (
        "[import_module(f'dialopt.text.{m.name}') for m in iter_modules(dialopt.text.__path__)]; "
        "sys.exit('numpy' in sys.modules)"
    )
    assert subprocess.run([sys.executable, "-c", fresh], check=False).returncode == 0, "words wake no model"


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
