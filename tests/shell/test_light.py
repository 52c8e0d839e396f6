"""What a command may bring in, and that a shot is safe whatever happens to the model."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest

from tests.test_package import HEAVY

SHOT = ("shot", "--grind", "18", "--dose", "18", "--temp", "93", "--yield", "36", "--time", "25", "--score", "6")


def brought_in(*commands: tuple[str, ...]) -> dict[str, list[str]]:
    """What is heavy and was there after any of the commands, run one after the other in a process of their own."""
    script = (
        "import json, sys\n"
        "from dialopt.shell.main import main\n"
        "found = {}\n"
        f"for words in {[*commands]!r}:\n"
        "    assert main(words) == 0, words\n"
        f"    found[' '.join(words)] = sorted(set({HEAVY!r}) & set(sys.modules))\n"
        "print(json.dumps({words: heavy for words, heavy in found.items() if heavy}))\n"
    )
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, timeout=60)
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout.splitlines()[-1])


def test_help_and_a_blind_test_are_light(home):
    helps = [(*words, "--help") for words in ((), ("next",), ("compare",), ("side-by-side",))]
    assert brought_in(*helps, ("serve", "triangle"), ("judge", "T6-KQ7F4", "132213")) == {}


def test_logging_a_shot_is_light_even_after_advice(bench, tmp_path):
    bench("next")
    assert not brought_in(
        SHOT,
        ("shots",),
        ("prepare",),
        ("caffeine",),
        ("water", "--hardness", "80"),
        ("kit",),
        ("amend", "1", "--score", "7"),
        ("export", str(tmp_path / "shots.csv")),
        ("undo",),
    )


def test_the_check_sees_what_is_heavy(bench):
    assert "numpy" in brought_in(("next",))["next"]


@pytest.fixture
def without_numpy(tmp_path: Path) -> dict[str, str]:
    folder = tmp_path / "broken"
    folder.mkdir()
    (folder / "numpy.py").write_text("raise ImportError('numpy is broken here')\n")
    return {"PYTHONPATH": str(folder)}


def test_a_shot_is_saved_and_confirmed_though_the_model_cannot_be_imported(bench, process, without_numpy):
    logged = process(*SHOT, env=without_numpy)
    assert logged.status == 0, logged.err
    assert "Saved as shot 1" in logged.out
    advice = process("next", env=without_numpy)
    assert advice.status == 1
    assert "numpy is broken here" in advice.err
    assert "Traceback" not in advice.err
    assert len(bench.data("shots")["shots"]) == 1


@pytest.mark.parametrize("word", ["shots", "--help"])
def test_whoever_stops_reading_is_no_fault(bench, word):
    for _ in range(3):
        bench(*SHOT)
    child = subprocess.Popen(
        [sys.executable, "-m", "dialopt", word], stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True
    )
    assert child.stdout is not None
    assert child.stderr is not None
    child.stdout.close()
    assert child.wait(timeout=60) == 0
    assert child.stderr.read() == ""
    child.stderr.close()


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="a full disk is staged by a device of Linux")
@pytest.mark.parametrize("words", [("--help",), ("kit",)])
def test_a_screen_that_cannot_be_written_is_no_fault_of_the_program(bench, words):
    with Path("/dev/full").open("w") as full:
        done = subprocess.run(
            [sys.executable, "-m", "dialopt", *words], stdout=full, stderr=subprocess.PIPE, text=True, timeout=60
        )
    assert done.returncode == 1
    assert "can't be written: No space left on device." in done.stderr
    assert "fault" not in done.stderr
