from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import pytest

from experiments.home import SHOT, Cost, cost_of
from experiments.reporting import as_markdown
from experiments.timing import COMMANDS, LOGGED, Timing, of_commands, ratios, some_shots, timing
from experiments.worlds import make


def test_next_is_timed_on_the_logbook_that_was_prepared() -> None:
    """Not after the shots that timing `shot` itself logs."""
    ran: list[Sequence[str]] = []

    def run(words: Sequence[str]) -> Cost:
        ran.append(words)
        return Cost(seconds=1, cpu_s=1, peak_mb=len(ran))

    timings, peak_mb = of_commands(run, runs=3)
    assert {one.name for one in timings} == {f"dialopt {name}" for name in COMMANDS}
    last = len(ran) - ran[::-1].index(COMMANDS["next"])
    assert ran[:last].count(SHOT) == LOGGED
    assert peak_mb == last


def test_the_first_run_warms_up_and_times_are_set_beside_each_other() -> None:
    advise = timing("advise, 12 shots", [9.0, 0.1, 0.2, 0.1])
    assert advise == Timing(name="advise, 12 shots", median_s=0.1, slowest_s=0.2, runs=3)
    theirs = timing("scikit-optimize tell and ask, 12 shots", [0.4, 0.4])
    assert ratios([advise, theirs]) == {12: pytest.approx(4.0)}
    assert "| advise, 12 shots | 0.1 | 3 |" in as_markdown([advise], ("name", "median_s", "runs"))


def test_the_shots_that_are_timed_are_as_many_as_asked_for() -> None:
    assert len(some_shots(make("ridge", 4), 12)) == 12


def test_peak_memory_is_that_of_the_command_alone(tmp_path: Path) -> None:
    small = cost_of(tmp_path, ["-S", "-c", "pass"])
    large = cost_of(tmp_path, ["-S", "-c", "bytearray(b'x') * 100_000_000"])
    assert 3 < small.peak_mb < 40
    assert 90 < large.peak_mb - small.peak_mb < 130
    assert 0 < small.cpu_s < large.cpu_s
    with pytest.raises(RuntimeError, match="ended with 3: no such luck"):
        cost_of(tmp_path, ["-S", "-c", "import sys; print('no such luck'); sys.exit(3)"])
