"""The whole job as a new user meets it: the real command line and a real logbook. Only the clock on the wall, the
coffee and the person at the keyboard are made up. What is said is looked at, not only how a command ends.
"""

from __future__ import annotations

import io
import json
import math
import re
import shutil
import sys
from collections.abc import Sequence
from datetime import datetime, timedelta
from itertools import pairwise
from pathlib import Path

import pytest

from dialopt.shell.main import main

pytestmark = pytest.mark.slow

OPENED = datetime(2031, 4, 9, 8, 0)
A_MONTH = timedelta(days=31)
BENCH = (
    (("grinder", "bench grinder", "--grind", "0:40:1", "--finer", "down"), "dialopt machine"),
    (("machine", "bench machine", "--temp", "88:96:1"), "dialopt basket"),
    (("basket", "18 g basket", "--dose", "16.5:20:0.1"), "dialopt bean"),
)
BAG = (
    (
        ("bean", "Harbour Fog", "--roaster", "Quay Roastery", "--roast", "medium", "--roasted-on", "2031-04-01"),
        "pairing",
    ),
    (("bean", "Harbour Fog", "--bag-g", "250", "--species", "arabica"), "dialopt pairing"),
    (("pairing",), "dialopt prepare"),
)
SET = re.compile(r"Set +grind ([\d.]+), ([\d.]+) g, ([\d.]+) °C")


class Coffee:
    """What comes of a recipe: a log-linear clock, and liking that falls off on either side of the best time."""

    def __init__(self, *, best_s: float, at_18: float) -> None:
        self.best_s, self.at_18 = best_s, at_18

    def time_s(self, grind: float, dose_g: float, temp_c: float) -> float:
        log_time = 0.05 * (18 - grind) + 1.8 * math.log(dose_g / 18) - 0.01 * (temp_c - 93)
        return round(self.at_18 * math.exp(log_time))

    def off(self, time_s: float) -> float:
        return math.log(time_s / self.best_s)


class Person(io.TextIOBase):
    """Somebody at the keyboard, who reads the question at the end of the screen and answers it."""

    def __init__(self, screen: io.StringIO, coffee: Coffee, *, shots: int, scores_only: bool) -> None:
        self.screen, self.coffee, self.shots, self.scores_only = screen, coffee, shots, scores_only
        self.settings: dict[str, float] = {}

    def readline(self, size: int | None = -1, /) -> str:
        answer = self._answer(self.screen.getvalue().splitlines()[-1])
        self.screen.write(f"{answer}\n")
        return f"{answer}\n"

    def _answer(self, question: str) -> str:
        word = re.split(r"[ ,]", question)[0]
        if word == "Pull":
            self.shots -= 1
            return "" if self.shots >= 0 else "stop"
        if word in ("Grind", "Dose", "Temperature"):
            self.settings[word] = float(found(r"Enter for ([\d.]+):", question)[0])
            return ""
        if word not in ("In", "Time", "Score", "Balance") or (self.scores_only and word != "Score"):
            return ""
        time_s = self.coffee.time_s(*self.settings.values())
        off = self.coffee.off(time_s)
        told = {
            "Time": time_s,
            "Score": max(0.0, round(2 * (8 - 6 * abs(off) ** 1.5)) / 2),
            "Balance": max(-3, min(3, round(4 * off))),
        }
        return found(r"([\d.]+) g is ratio", question)[0] if word == "In" else f"{told[word]:g}"


class Kitchen:
    """A home with a logbook, and the clock on its wall."""

    def __init__(self, home: Path, now: datetime = OPENED) -> None:
        self.home, self.now = home, now

    def clock(self) -> datetime:
        """A little later each time that somebody looks."""
        self.now += timedelta(seconds=20)
        return self.now

    def run(self, *arguments: str, status: int = 0) -> str:
        """What a command says; whatever it is, it ends by what is sensible next."""
        said = self._typed(arguments, io.StringIO(), io.StringIO(), status)
        assert status or said.splitlines()[-1].startswith("Next: "), said
        return said

    def sitting(self, coffee: Coffee, *, shots: int, scores_only: bool = False) -> str:
        """What a whole sitting says, and what was typed."""
        screen = io.StringIO()
        person = Person(screen, coffee, shots=shots, scores_only=scores_only)
        return self._typed(("sitting",), person, screen, 0)

    def _typed(self, arguments: Sequence[str], keys: io.TextIOBase, screen: io.StringIO, status: int) -> str:
        err = io.StringIO()
        with pytest.MonkeyPatch.context() as patch:
            for name, stream in (("stdin", keys), ("stdout", screen), ("stderr", err)):
                patch.setattr(sys, name, stream)
            ended = main([*arguments, "--home", str(self.home)], now=self.clock)
        said = screen.getvalue() + err.getvalue()
        assert ended == status, (arguments, said)
        return said


def found(pattern: str, said: str) -> list[str]:
    """The groups of a pattern that must be there."""
    match = re.search(pattern, said)
    assert match is not None, (pattern, said)
    return list(match.groups())


def numbers(pattern: str, said: str) -> list[float]:
    return [float(group) for group in found(pattern, said)]


@pytest.fixture(scope="module")
def first_bag(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, str]:
    """A home where a first bag was dialled in, and what its one sitting said."""
    kitchen = Kitchen(tmp_path_factory.mktemp("first") / "home")
    for arguments, points_to in (*BENCH, *BAG):
        assert points_to in kitchen.run(*arguments).splitlines()[-1]
    return kitchen.home, kitchen.sitting(Coffee(best_s=29, at_18=26), shots=10)


@pytest.fixture
def kitchen(first_bag: tuple[Path, str], tmp_path: Path) -> Kitchen:
    """That home, the day after."""
    shutil.copytree(first_bag[0], tmp_path / "home")
    return Kitchen(tmp_path / "home", OPENED + timedelta(days=1))


def test_a_first_bag_in_one_sitting(first_bag: tuple[Path, str]) -> None:
    said = first_bag[1]
    assert "under pressure" in said.splitlines()[0]
    assert "`stop` ends the sitting at any question" in said.splitlines()[1]
    *pulls, settled = re.findall(r"\n(?:Pull this now|More test shots).*?\n(?=Pull it|Sitting over)", said, re.DOTALL)
    assert 3 <= len(pulls) <= 10
    assert settled.startswith("\nMore test shots won't help much.")
    left_g, before = 250.0, None
    for block in [*pulls, settled]:
        grind, dose_g, temp_c = numbers(SET.pattern, block)
        assert numbers(r"Stop at  ([\d.]+) g in the cup", block) == [round(2 * dose_g, 1)]
        assert "8 days off roast: in the window" in block
        assert re.search(r"Expect   \d+ s \(\d+ to \d+\), score [\d.]+ \([\d.]+ to [\d.]+\), 9 times in 10", block)
        assert re.search(r"Why      [A-Z].*\.\n", block)
        steps = 0 if before is None else round(before[0] - grind)
        way = f"{abs(steps)} step{'s' * (abs(steps) != 1)} {'finer' if steps > 0 else 'coarser'}"
        assert (way in block) == ("  Purge    2 g" in block) == (steps != 0)
        assert ("  Wait " in block) == (before is not None and before[2] != temp_c)
        (shots_left,) = numbers(r"About (\d+) shots? left", block)
        assert shots_left == int(left_g / (before[1] if before else 18.25))
        if block is not settled:
            left_g, before = left_g - dose_g, (grind, dose_g, temp_c)
    assert said.count("Caffeine  this sitting") == len(pulls) // 3
    assert "if drunk to the end, Arabica" in said
    assert f"Sitting over. {len(pulls)} shots logged, {len(pulls)} with this pairing." in said
    assert said.splitlines()[-1].startswith("Next: enjoy the sweet spot;")


def test_what_went_through_the_burrs_is_counted(first_bag: tuple[Path, str], kitchen: Kitchen) -> None:
    pulled = [
        [float(part) for part in parts]
        for parts in re.findall(r"Saved as shot \d+: grind (\d+), ([\d.]+) g", first_bag[1])
    ]
    dosed = sum(dose_g for _, dose_g in pulled)
    purged = 2 * sum(one[0] != other[0] for one, other in pairwise(pulled))
    tally = f"{dosed + purged:.0f} g by {len(pulled)} shots logged ({dosed:.0f} g dosed, {purged} g purged)"
    assert f"set 1, in use: about {tally}" in kitchen.run("kit")


def test_a_cup_a_day_keeps_the_grind_on_track(kitchen: Kitchen) -> None:
    (at_first,) = numbers(r"grind (\d+)", kitchen.run("sweet-spot"))
    for time_s in ("24", "22"):
        kitchen.now += timedelta(days=4)
        kitchen.run("sweet-spot")
        said = kitchen.run("shot", "--best", "--time", time_s)
        assert f"in {time_s} s, not scored" in said
        assert "of the sweet spot." in said
    said = kitchen.run("next")
    assert re.search(r"Ageing   today's beans want about \d+ steps? finer than on the first day logged", said)
    (now,) = numbers(r"sweet spot looks to be grind (\d+)", said)
    assert now < at_first - 2, "the cups ran fast, so finer"


def test_a_second_bag_of_the_same_bean_a_month_later(kitchen: Kitchen) -> None:
    old = numbers(SET.pattern, kitchen.run("sweet-spot"))
    kitchen.now = OPENED + A_MONTH
    assert "39 days off roast (fading)" in kitchen.run("kit")
    assert "best-before" in kitchen.run("bean", "Harbour Fog", "--roasted-on", "2031-12-01", status=4)
    told = kitchen.run("bean", "Harbour Fog", "--roasted-on", "2031-05-04")
    assert "6 days off roast: in the window" in told
    assert "Quay Roastery, arabica" in told, "what was said of the bean before still holds"
    assert "`dialopt pairing` starts a new bag with this one" in told.splitlines()[-1]
    kept = kitchen.run("pairing")
    assert "pairing 2, Harbour Fog on bench grinder" in kept
    assert "Kept     from pairing 1 (Harbour Fog on bench grinder, set 1, " in kept
    assert "the best cup's time, dose and temperature, which grind gives which time and what a step of" in kept
    assert "grind does (nearly whole), your palate (about half); 30 % of the start stays open in case" in kept
    said = kitchen.run("next")
    assert "going by 1 earlier pairing" in said
    assert "About 13 shots left" in said
    assert re.search(r"Change   .*than the last shot\n", said)
    new = numbers(SET.pattern, said)
    assert abs(new[0] - old[0]) <= 3, "the old bag shows where to start"
    sitting = kitchen.sitting(Coffee(best_s=29, at_18=24), shots=2)
    assert sitting.count("Kept     from pairing 1") == 3
    scores = [float(score) for score in re.findall(r", score ([\d.]+), ", sitting)]
    assert max(scores) >= 7.5, "a good cup at once"


def test_a_bag_of_another_bean_purges_the_old_one_out(kitchen: Kitchen) -> None:
    kitchen.run("bean", "Attic Light", "--roast", "light", "--suggested", "18 g, 1:2.2, 30 s, 94 °C")
    kept = kitchen.run("pairing")
    assert "ratio 1:2.2" in kept
    assert "which grind gives which time and what a step of grind does (nearly whole)" in kept
    assert "the best cup's time, dose and temperature (a little)" in kept
    said = kitchen.run("next")
    assert "going by the roaster's suggestion and 1 earlier pairing" in said
    assert re.search(r"Change   .* than the last shot, which was of Harbour Fog", said)
    assert re.search(r"Purge    2 g of coffee, as (the grind moves and )?Harbour Fog is still in the grinder", said)
    before = numbers(r"(\d+) g dosed, (\d+) g purged", kitchen.run("kit"))
    kitchen.run("shot", "--score", "6")
    after = numbers(r"(\d+) g dosed, (\d+) g purged", kitchen.run("kit"))
    assert after[1] - before[1] == 2
    assert "decaf" in kitchen.run("bean", "Attic Light", "--species", "decaf")


def test_new_burrs(kitchen: Kitchen) -> None:
    (tally,) = found(r"Burrs    set 1, in use: (about \d+ g by \d+ shots logged \(.*\))", kitchen.run("kit"))
    said = kitchen.run("grinder", "bench grinder", "--burrs", "set 2")
    lines = said.splitlines()
    assert lines[0] == f"Closed the burrs set 1 of bench grinder after {tally}, and opened set 2."
    assert lines[1] == "Unplug a grinder before you touch its burrs."
    assert "the best cup's time, dose and temperature (nearly whole)" in said
    assert "what a step of grind does and your palate (about half)" in said
    assert "which grind gives which time (a little)" in said
    assert "dialopt next" in lines[-1]
    assert "goes back to the old burrs" in lines[-1]
    told = kitchen.run("next")
    assert "Change" not in told, "where the new burrs stand, nobody knows"
    assert "Kept     from pairing 1" in told
    assert not re.search(r"About 13 shots left", told), "the bag was opened before"
    sitting = kitchen.sitting(Coffee(best_s=29, at_18=40), shots=3)
    scores = [float(score) for score in re.findall(r", score ([\d.]+), ", sitting)]
    assert max(scores) >= 7.5, "the taste was kept, so a good cup within three"
    assert f"set 1, closed: {tally}" in kitchen.run("kit")
    assert "set 2, in use: about" in kitchen.run("kit")


def test_the_roaster_opens_what_was_sent(kitchen: Kitchen, tmp_path: Path) -> None:
    kitchen.run("amend", "1", "--note", "spilt on the cat")
    sent, report = tmp_path / "to-the-roaster.json", tmp_path / "report.html"
    said = kitchen.run("share", str(sent))
    assert "without the notes" in said
    recipe = said.splitlines()[1:-1]
    assert [line.split()[0] for line in recipe] == ["Set", "Runs", "Grind", "Liking"]
    assert "cat" not in sent.read_text(encoding="utf-8")
    told = json.loads(sent.read_text(encoding="utf-8"))["recipe"]
    assert told["flow_g_s"] == pytest.approx(told["yield_g"] / told["time_s"]["mean"])
    assert "needs no network" in kitchen.run("report", "--out", str(report)).splitlines()[-1]

    for file in (report, sent):
        roastery = Kitchen(tmp_path / f"roastery{file.suffix}", OPENED + A_MONTH)
        taken = roastery.run("receive", str(file), "--from", "Ada")
        assert re.match(
            r"Took in \d+ shots of Harbour Fog on bench grinder of Ada, scored by Ada, as pairing 1\.", taken
        )
        assert (recipe == taken.splitlines()[2:-2]) == (file == sent), "a report tells its recipe on the page"
        assert "Beans    pulled 8 days off roast" in taken
        assert "dialopt grinder NAME" in taken.splitlines()[-1], "nothing of its own is set up yet"
        assert "no shots today" in roastery.run("caffeine"), "what Ada drank, Ada drank"
        assert "scored by Ada" in roastery.run("pairings")

    for arguments, points_to in (
        (("grinder", "big mill", "--grind", "0:100:2", "--finer", "up"), "dialopt machine"),
        (("machine", "two groups", "--temp", "90:96:0.5"), "dialopt basket"),
        (("basket", "20 g basket", "--dose", "18:21:0.1"), "dialopt"),
    ):
        assert points_to in roastery.run(*arguments).splitlines()[-1]
    kept = roastery.run("pairing", "--bean", "Harbour Fog")
    assert "Harbour Fog on big mill (two groups, 20 g basket)" in kept, "none of Ada's kit"
    assert "Kept     from pairing 1 (Harbour Fog on bench grinder of Ada, set 1, " in kept
    assert "the best cup's time, dose and temperature (a little)" in kept
    assert "and the other taster's palate (not at all)" in kept
    advised = roastery.run("next")
    assert "going by 1 earlier pairing" in advised
    assert "Change" not in advised
    assert "kit and scores of this pairing are Ada's" in roastery.run("use", "1")


def test_somebody_who_notes_four_things_is_asked_for_no_more(tmp_path: Path) -> None:
    kitchen = Kitchen(tmp_path / "home")
    for arguments, _ in (*BENCH, (("bean", "Plain Sack"), ""), (("pairing",), "")):
        kitchen.run(*arguments)
    first = kitchen.run("next")
    assert "going by" not in first, "nothing is known but what is usual"
    assert "Beans" not in first
    for grind, score in (("24", "4.5"), ("20", "6.5"), ("16", "7.5")):
        said = kitchen.run("shot", "--grind", grind, "--dose", "18", "--temp", "93", "--score", score)
        assert "Really?" not in said
        assert len(said.splitlines()) == 2, "saved, and what is next"
    advised = kitchen.run("next")
    assert numbers(SET.pattern, advised)[0] < 20, "finer tasted better"
    assert re.search(r"About 10 shots left, if it was a bag of 250 g", advised)
    sitting = kitchen.sitting(Coffee(best_s=29, at_18=26), shots=2, scores_only=True)
    assert sitting.count("cup not weighed, score") == 2
    assert "Sitting over. 2 shots logged, 5 with this pairing." in sitting
    assert "Strength" not in sitting
    assert "The chance is" in kitchen.run("sweet-spot")
    assert "neither sour nor bitter was noted yet" in kitchen.run("palate")
    undone = kitchen.run("undo")
    assert "Took back shot 5" in undone
    assert "4 shots of Plain Sack" in kitchen.run("shots")
