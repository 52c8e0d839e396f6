from __future__ import annotations

import json
from pathlib import Path

import pytest

from experiments.startup import GROUPS, by_package, profile
from tests.test_package import HEAVY

REPORT = Path(__file__).parents[2] / "reports" / "startup.json"


def test_time_is_summed_by_package() -> None:
    told = """import time: self [us] | cumulative | imported package
import time:       250 |        250 |   dialopt.trade.dial
import time:      1500 |       1750 | dialopt
a word of the command's own
import time:       100 |        100 |     numpy._core
"""
    assert by_package(told) == ({"dialopt": 1.75, "numpy": 0.1}, 3)


def test_a_profile_names_what_was_imported(tmp_path: Path) -> None:
    found = profile("numpy", ["-c", "import numpy"], tmp_path, runs=1)
    assert next(iter(found.packages_ms)) == "numpy"
    assert found.import_ms >= sum(found.packages_ms.values()) - 1
    assert found.modules > 50
    with pytest.raises(RuntimeError, match="ended with 1"):
        profile("none", ["-c", "import no_such_thing"], tmp_path, runs=1)


def test_the_committed_profile_is_of_these_groups_and_light_where_it_should_be() -> None:
    groups = {group["group"]: group["packages_ms"] for group in json.loads(REPORT.read_text("utf-8"))["groups"]}
    assert [*groups] == [*GROUPS]
    heavy = {name for name, packages in groups.items() if packages.keys() & {*HEAVY}}
    assert heavy == {"advice", "report"}
