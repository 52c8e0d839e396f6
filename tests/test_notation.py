"""The pages beside model and engine name what is there."""

from __future__ import annotations

import re
from importlib import import_module
from types import ModuleType

import pytest

import dialopt.engine
import dialopt.model
from dialopt.model.observations import Inputs
from dialopt.model.priors import NAMES

ROWS = re.findall(r"^\| (\S+) \| `([\w.]+)` \| [^|]+ \| [^|]+ \|$", dialopt.model.__doc__ or "", re.MULTILINE)


@pytest.mark.parametrize(("symbol", "name"), ROWS)
def test_a_symbol_s_name_is_in_the_code(symbol: str, name: str) -> None:
    head, *rest = name.split(".")
    found = Inputs if head == "Inputs" else import_module(f"dialopt.model.{head}")
    for part in rest:
        assert part in dir(found) or part in getattr(found, "__annotations__", {}), (symbol, name)
        found = getattr(found, part, None)


def test_the_parameters_of_the_formulas_are_there() -> None:
    assert len(ROWS) > 10
    named = set(re.findall(r"\b(?:(?:time|pull|discrepancy)_\w+|\w+_slope)", dialopt.model.__doc__ or ""))
    assert len(named) >= 11
    assert named <= set(NAMES)


@pytest.mark.parametrize("package", [dialopt.engine, dialopt.model], ids=lambda package: package.__name__)
def test_the_modules_that_a_page_names_are_there(package: ModuleType) -> None:
    words = re.findall(r"`([a-z_]+)(?:\.\w+)*`", package.__doc__ or "")
    modules = {word for word in words if word not in {"most_moves", "trade"}}
    assert len(modules) >= 8
    for module in modules:
        import_module(f"{package.__name__}.{module}")
