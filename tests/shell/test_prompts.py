"""`dialopt shot` with nothing else, at a real terminal."""

from __future__ import annotations

import os
import select
import signal
import sys
import time

import pytest

pty = pytest.importorskip("pty", reason="needs a pseudo-terminal")


class Terminal:
    """A command at a terminal of its own: type a line when a question stands there."""

    def __init__(self, *arguments: str) -> None:
        self.child, self.handle = pty.fork()
        if self.child == 0:
            signal.signal(signal.SIGINT, signal.SIG_DFL)  # whoever runs the tests may have it ignored
            os.environ["PYTHONIOENCODING"] = "utf-8"
            os.execv(sys.executable, [sys.executable, "-m", "dialopt", *arguments])
        self.seen = ""

    def until(self, text: str, since: int = 0) -> None:
        deadline = time.monotonic() + 30
        while text not in self.seen[since:]:
            assert time.monotonic() < deadline, self.seen
            ready, _, _ = select.select([self.handle], [], [], 1)
            if ready:
                try:
                    more = os.read(self.handle, 4096)
                except OSError:
                    more = b""
                assert more, self.seen
                self.seen += more.decode("utf-8", "replace")

    def answer(self, question: str, line: str) -> None:
        start = len(self.seen)
        self.until(question, max(0, start - 200))
        os.write(self.handle, (line + "\n").encode())
        time.sleep(0.02)

    def ended(self) -> int:
        deadline = time.monotonic() + 30
        while True:
            if not select.select([self.handle], [], [], max(0.0, deadline - time.monotonic()))[0]:
                os.kill(self.child, signal.SIGKILL)
                raise AssertionError(f"still running after all was typed: {self.seen}")
            try:
                more = os.read(self.handle, 4096)
            except OSError:
                break
            if not more:
                break
            self.seen += more.decode("utf-8", "replace")
        _, status = os.waitpid(self.child, 0)
        os.close(self.handle)
        return os.waitstatus_to_exitcode(status)


def test_a_shot_question_by_question(bench):
    bench("shot", "--grind", "20", "--dose", "18", "--temp", "93", "--time", "21", "--score", "5")
    terminal = Terminal("shot")
    for question, line in (
        ("Grind, 0 to 40 in steps of 1 (last 20); Enter for 20:", "18"),
        ("Dose, 16.5 to 20 g in steps of 0.1 (last 18); Enter for 18:", "18,3"),
        ("Temperature, 88 to 96 °C in steps of 1", ""),
        ("36.6 g is ratio 1:2", "36"),
        ("Time from pump on to cup away, s (last 21)", "soon"),
        ("it takes a number from 1 to 600 s", ""),
        ("Score, 0 to 10 (last 5)", "7"),
        ("Balance, -3 very sour", "-1"),
        ("Did anything go wrong?", ""),
        ("Note;", "rounder"),
    ):
        terminal.answer(question, line)
    assert terminal.ended() == 0, terminal.seen
    assert "Saved as shot 2" in terminal.seen
    shot = bench("shots", "--json").json["data"]["shots"][1]
    assert (shot["grind"], shot["dose_g"], shot["temp_c"]) == (18.0, 18.3, 93.0)
    assert (shot["yield_g"], shot["time_s"], shot["score"], shot["note"]) == (36.0, None, 7.0, "rounder")
    assert shot["pulled_at"] is not None


def test_stop_leaves_without_logging(bench):
    terminal = Terminal("shot")
    terminal.answer("Grind, 0 to 40", "18")
    terminal.answer("Dose, 16.5", "stop")
    assert terminal.ended() == 0
    assert "nothing was logged" in terminal.seen
    assert bench("shots", "--json").json["data"]["shots"] == []


def test_ctrl_c_leaves_without_logging(bench):
    terminal = Terminal("shot")
    terminal.until("Enter for")
    os.kill(terminal.child, signal.SIGINT)
    assert terminal.ended() == 130
    assert "Traceback" not in terminal.seen
    assert bench("shots", "--json").json["data"]["shots"] == []


def test_progress_shows_on_a_terminal_only_and_is_wiped(bench, process):
    assert "Working out" not in process("next").err
    terminal = Terminal("next")
    assert terminal.ended() == 0
    assert "Working out" in terminal.seen
    assert "\x1b" not in terminal.seen
