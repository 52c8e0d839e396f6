"""Every figure at a hand-written posterior, against the JSON beside it.

To write the files anew after a meant change: DIALOPT_WRITE_GOLDEN=1 pytest tests/report/figures
"""

from __future__ import annotations

import json
import os
from dataclasses import asdict
from pathlib import Path

import pytest

from dialopt.report.lattice import lay_out
from dialopt.report.page import figures

GOLDEN = Path(__file__).parent.parent / "golden"
NAMES = (
    "map-grind-temperature",
    "map-grind-dose",
    "shot-time",
    "scores",
    "liking-grind",
    "liking-dose",
    "liking-temperature",
    "next-shot",
    "sureness",
)


@pytest.fixture
def drawn(an_advice, log, looks):
    advice = an_advice()
    return {
        picture.name: json.loads(json.dumps(asdict(picture)))
        for picture in figures(advice, log, lay_out(advice), looks)
    }


def test_the_figures_are_these(drawn):
    assert tuple(drawn) == NAMES


@pytest.mark.parametrize("name", NAMES)
def test_figure(name, drawn):
    path = GOLDEN / f"{name}.json"
    if os.environ.get("DIALOPT_WRITE_GOLDEN"):
        path.write_text(json.dumps(drawn[name], indent=1, sort_keys=True) + "\n", encoding="utf-8")
    assert drawn[name] == json.loads(path.read_text(encoding="utf-8"))
