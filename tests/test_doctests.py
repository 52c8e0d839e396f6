"""Every example in a docstring runs."""

from __future__ import annotations

import doctest
from importlib import import_module
from pkgutil import walk_packages

import dialopt


def test_examples_in_docstrings_hold() -> None:
    attempted = 0
    for name in ("dialopt", *(module.name for module in walk_packages(dialopt.__path__, "dialopt."))):
        if name.endswith("__main__"):
            continue
        results = doctest.testmod(import_module(name))
        assert results.failed == 0, name
        attempted += results.attempted
    assert attempted >= 25
