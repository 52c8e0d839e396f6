"""A large logbook is read in part. Counted in SQLite's own steps and statements, which no busy machine moves."""

from __future__ import annotations

import tracemalloc
from collections import Counter
from dataclasses import replace

import pytest

from dialopt.logbook import file
from dialopt.logbook.book import Logbook
from dialopt.shell.main import main
from experiments.load import Clock, build

SMALL, LARGE, SHOTS = 5, 60, 50
A_PAIRING = 200
"""Steps allowed for each further pairing, which only has to be put in order; its shots would take several thousand."""
COMMANDS = (
    ("shots", "--history"),
    ("pairings",),
    ("use", "bag 3"),
    ("pairing", "--bean", "bag 4"),
    ("shot", "--grind", "18", "--dose", "18", "--temp", "93", "--score", "7"),
    ("amend", "1", "--score", "6"),
    ("undo",),
    ("caffeine",),
    ("prepare",),
)


@pytest.fixture(scope="module")
def homes(tmp_path_factory):
    from dialopt.trade.recipe import Recipe
    from dialopt.trade.shot import Shot

    shot = Shot(recipe=Recipe(grind=18, dose_g=18, temp_c=93), score=7, time_s=27)
    told = [replace(shot, recipe=Recipe(grind=number % 40, dose_g=18, temp_c=93)) for number in range(SHOTS)]
    folder = tmp_path_factory.mktemp("load")
    return build(folder / "small", SMALL, told=told), build(folder / "large", LARGE, told=told)


@pytest.fixture
def counted(monkeypatch):
    """Steps, by tens, and statements of all connections opened from now on."""
    counts: Counter[str] = Counter()
    real = file.opened

    def opened(*arguments, **named):
        db = real(*arguments, **named)
        db.set_progress_handler(lambda: counts.update(steps=10), 10)
        db.set_trace_callback(lambda _: counts.update(statements=1))
        return db

    monkeypatch.setattr(file, "opened", opened)
    return counts


def _cost(counts, call):
    counts.clear()
    call()
    return counts["steps"], counts["statements"]


@pytest.mark.parametrize("words", COMMANDS, ids=" ".join)
def test_commands_read_no_more_of_a_large_logbook(words, homes, counted, capsys):
    costs = []
    for home in homes:
        costs.append(_cost(counted, lambda home=home: main([*words, "--home", str(home)])))
        assert "Traceback" not in capsys.readouterr().err
    (steps, statements), (more_steps, more_statements) = costs
    assert more_steps <= 2 * steps + A_PAIRING * (LARGE - SMALL)
    assert more_statements <= 2 * statements + 40  # of the pairings, twenty are listed


def test_advice_rests_on_few_pairings_the_most_akin(homes, counted):
    small, large = homes
    costs, cases = [], []
    for home in (small, large):
        with Logbook.open(home, now=Clock(0)) as book:
            costs.append(_cost(counted, lambda book=book: cases.append(book.evidence(book.current().id))))
    assert costs[1][1] <= costs[0][1] + 5
    assert costs[1][0] <= 2 * costs[0][0] + A_PAIRING * (LARGE - SMALL)
    evidence = cases[1]
    assert len(evidence.others) == 4
    here = evidence.pairing
    assert all(
        here.grinder.name == other.pairing.grinder.name or here.bean.is_coffee_of(other.pairing.bean)
        for other in evidence.others
    )


def test_what_went_through_the_burrs_is_added_up_in_the_file_not_in_memory(homes, counted):
    small, large = homes
    costs = []
    for home in (small, large):
        with Logbook.open(home, now=Clock(0)) as book:
            tracemalloc.start()
            costs.append(_cost(counted, lambda book=book: [book.burr_sets(it.name) for it in book.grinders()]))
            _, peak = tracemalloc.get_traced_memory()
            tracemalloc.stop()
            assert peak < 300_000
    assert costs[1][1] == costs[0][1]
    assert costs[1][0] <= costs[0][0] + 300 * SHOTS * LARGE
