#!/usr/bin/env python3
"""Prints the lowest allowed version of every run-time dependency in pyproject.toml, a pip requirement a line."""

import re
import tomllib
from pathlib import Path

project = tomllib.loads((Path(__file__).parent.parent / "pyproject.toml").read_text(encoding="utf-8"))["project"]
for dependency in project["dependencies"]:
    bound = re.fullmatch(r"([\w.-]+)>=([\w.]+)", dependency)
    if bound is None:
        raise SystemExit(f"pyproject.toml: {dependency!r} should read NAME>=VERSION, so that its lowest can be tested.")
    print(f"{bound[1]}=={bound[2]}")
