"""Real processes, killed and raced. A confirmed shot is one whose number was printed."""

from __future__ import annotations

import random
import signal
import subprocess
import sys
import textwrap
import time

import pytest

from dialopt.logbook.book import Logbook
from dialopt.logbook.journal import journal_of
from dialopt.logbook.restore import held, restored

LOGGING = textwrap.dedent(
    """
    import sys
    from datetime import datetime
    from pathlib import Path
    from dialopt.logbook.book import Logbook
    from dialopt.trade.recipe import Recipe
    from dialopt.trade.shot import Shot
    with Logbook.open(Path(sys.argv[1]), now=lambda: datetime(2031, 4, 9), wait_s=30) as book:
        for turn in range(int(sys.argv[2])):
            recipe = Recipe(grind=turn % 40, dose_g=18, temp_c=93)
            shot = Shot(recipe=recipe, score=turn % 11, note=f"turn {turn} " * 30)
            print(book.log(1, shot), turn, flush=True)
    """
)


def _logging(home, turns):
    return subprocess.Popen([sys.executable, "-c", LOGGING, str(home), str(turns)], stdout=subprocess.PIPE, text=True)


@pytest.mark.slow
@pytest.mark.skipif(sys.platform == "win32", reason="SIGKILL is POSIX's")
def test_every_confirmed_shot_survives_a_kill(home, clock, a_pairing):
    rng = random.Random(20310409)
    with Logbook.open(home, now=clock) as book:
        book.save_pairing(a_pairing())
    confirmed: dict[int, int] = {}
    kills = 0
    for _ in range(20):
        with _logging(home, 100_000) as process:
            assert process.stdout is not None
            first = process.stdout.readline()
            time.sleep(rng.uniform(0, 0.02))
            process.send_signal(signal.SIGKILL)
            lines = [first, *process.stdout.readlines()]
        kills += process.returncode == -signal.SIGKILL
        confirmed.update(tuple(map(int, line.split())) for line in lines if line.endswith("\n"))
        with Logbook.open(home, now=clock) as book:
            kept = {entry.number: entry.shot for entry in book.entries(1)}
            assert book.check() == []
        assert confirmed.keys() <= kept.keys()
        for number, turn in confirmed.items():
            assert kept[number].recipe.grind == turn % 40
            assert kept[number].note == f"turn {turn} " * 30
    assert kills == 20
    book.path.unlink()
    assert restored(book.path, journal_of(book.path), now=clock, wait_s=0.2).logbook.missing == 0
    with Logbook.open(home, now=clock) as book:
        from_journal = {entry.number: entry.shot for entry in book.entries(1)}
    assert kept.items() <= from_journal.items()
    assert len(from_journal) <= len(kept) + 1, "the last in flight may have been on its way into the file"
    assert len(confirmed) >= 20
    assert len(kept) <= len(confirmed) + 20  # at most the one shot in flight at each kill beyond those confirmed


@pytest.mark.slow
@pytest.mark.skipif(sys.platform == "win32", reason="SIGKILL is POSIX's")
def test_an_import_that_is_killed_is_there_whole_or_not_at_all(home, clock, a_pairing):
    script = LOGGING.split("    for turn in")[0] + textwrap.indent(
        textwrap.dedent(
            """
            for turn in range(100_000):
                recipe = Recipe(grind=18, dose_g=18, temp_c=93)
                rows = [Shot(recipe=recipe, note=f"{sys.argv[2]} {turn} {row}") for row in range(300)]
                print(len(book.import_shots(1, rows, "week.csv")), flush=True)
            """
        ),
        "    ",
    )
    rng = random.Random(20310410)
    with Logbook.open(home, now=clock) as book:
        book.save_pairing(a_pairing())
    confirmed = 0
    for life in range(10):
        call = [sys.executable, "-c", script, str(home), str(life)]
        with subprocess.Popen(call, stdout=subprocess.PIPE, text=True) as process:
            assert process.stdout is not None
            confirmed += process.stdout.readline() == "300\n"
            time.sleep(rng.uniform(0, 0.03))
            process.send_signal(signal.SIGKILL)
            confirmed += process.stdout.read().count("300\n")
        with Logbook.open(home, now=clock) as book:
            imports = [len(act.entries) for act in book.history(1)]
            assert book.check() == []
        assert set(imports) == {300}
        assert len(imports) >= confirmed
    assert confirmed >= 10


def test_two_processes_log_at_once(home, clock, a_pairing):
    with Logbook.open(home, now=clock) as book:
        book.save_pairing(a_pairing())
    with _logging(home, 40) as one, _logging(home, 40) as other:
        said = [process.communicate(timeout=120)[0].split("\n") for process in (one, other)]
    assert (one.returncode, other.returncode) == (0, 0)
    numbers = [int(line.split()[0]) for lines in said for line in lines if line]
    assert sorted(numbers) == list(range(1, 81))
    with Logbook.open(home, now=clock) as book:
        assert [entry.number for entry in book.entries(1)] == list(range(1, 81))
        assert book.check() == []
    assert held(journal_of(book.path)).shots == 80


def test_two_processes_make_the_logbook_at_once(home, clock):
    script = (
        "import sys; from datetime import datetime; from pathlib import Path\n"
        "from dialopt.logbook.book import Logbook\n"
        "sys.stdin.readline()\n"
        "Logbook.open(Path(sys.argv[1]), now=lambda: datetime(2031, 4, 9), wait_s=30).close()"
    )
    racers = [
        subprocess.Popen([sys.executable, "-c", script, str(home)], stdin=subprocess.PIPE, text=True) for _ in range(4)
    ]
    time.sleep(0.5)  # by now each has read its script and waits for the word
    for racer in racers:
        assert racer.stdin is not None
        racer.stdin.write("go\n")
        racer.stdin.flush()
    for racer in racers:
        racer.communicate(timeout=60)
    assert [racer.returncode for racer in racers] == [0] * 4
    assert [one.name for one in home.iterdir()] == ["logbook.db"]
    with Logbook.open(home, now=clock) as book:
        assert book.check() == []
