"""Ten shots of a simulated bag, from a spreadsheet to advice and a report, through the real command line alone."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from dialopt import Dial, Recipe
from dialopt.logbook.spreadsheet import shots_as_csv
from experiments.worlds import World, make


def as_option(dial: Dial) -> str:
    return f"{dial.low:g}:{dial.high:g}:{dial.step:g}"


def ten_shots(world: World) -> str:
    """A barista's spread: one shot at each tenth of the grind dial, the rest near its middle."""
    dials = world.pairing.dials
    rng = np.random.default_rng(0)
    shots = []
    for tenth in range(10):
        grind = dials["grind"].settings()[round((dials["grind"].count - 1) * (tenth + 0.5) / 10)]
        recipe = Recipe(grind=grind, dose_g=dials["dose_g"].middle, temp_c=dials["temp_c"].middle)
        shots.append(world.pull(recipe, rng))
    return shots_as_csv(shots)


@pytest.mark.slow
def test_from_a_spreadsheet_to_a_report(process: Callable[..., Any], tmp_path: Path) -> None:
    world = make("ridge", 5)
    pairing = world.pairing
    for arguments in (
        ("grinder", "g", "--grind", as_option(pairing.grinder.grind), "--finer", pairing.grinder.finer),
        ("machine", "m", "--temp", as_option(pairing.machine.temp_c)),
        ("basket", "b", "--dose", as_option(pairing.basket.dose_g)),
        ("bean", "simulated bag"),
        ("pairing",),
    ):
        assert process(*arguments).status == 0
    sheet = tmp_path / "shots.csv"
    sheet.write_text(ten_shots(world), encoding="utf-8")
    assert process("import", str(sheet)).status == 0

    told = process("next", "--json").json
    assert told["ok"]
    sweet = told["data"]["sweet_spot"]["recipe"]
    recipe = Recipe(**{name: sweet[name] for name in ("grind", "dose_g", "temp_c", "ratio")})
    assert pairing.check(recipe) == recipe
    middle = Recipe(**{name: dial.middle for name, dial in pairing.dials.items()})
    assert world.regret(recipe) < world.regret(middle)

    page = tmp_path / "report.html"
    assert process("report", "--out", str(page)).status == 0
    assert "simulated bag" in page.read_text(encoding="utf-8")

    again = process("import", str(sheet))
    assert again.status == 4
    assert len(process("shots", "--json").json["data"]["shots"]) == 10
