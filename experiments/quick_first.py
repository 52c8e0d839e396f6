"""A plugin of pytest for `experiments.mutation`: the quickest tests first, so that a mutant is soon found out.

Imports nothing of the package: that must come from the mutated tree, which is on the path only later.
"""

from __future__ import annotations

import json
from pathlib import Path

import pytest

STATS = Path("mutmut-stats.json")


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Sorts by how long each test took when mutmut looked which test runs what."""
    if STATS.exists():
        took = json.loads(STATS.read_text("utf-8"))["duration_by_test"]
        items.sort(key=lambda item: took.get(item.nodeid, 0.0))
