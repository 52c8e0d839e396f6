"""Every figure at a hand-written posterior, against the JSON beside it.

To write the files anew after a meant change: DIALOPT_WRITE_GOLDEN=1 pytest tests/report/figures
"""

from __future__ import annotations

import json
import os
from dataclasses import asdict
from pathlib import Path

from dialopt.report.lattice import lay_out
from dialopt.report.page import figures

GOLDEN = Path(__file__).parent.parent / "golden"
NAMES = "map-grind-temperature map-grind-dose shot-time scores liking-grind liking-dose liking-temperature next-shot"


def test_the_figures_are_these(an_advice, log, looks):
    advice = an_advice()
    drawn = figures(advice, log, lay_out(advice), looks)
    assert [picture.name for picture in drawn] == [*NAMES.split(), "sureness"]
    for picture in drawn:
        path, is_now = GOLDEN / f"{picture.name}.json", json.loads(json.dumps(asdict(picture)))
        if os.environ.get("DIALOPT_WRITE_GOLDEN"):
            path.write_text(json.dumps(is_now, indent=1, sort_keys=True) + "\n", encoding="utf-8")
        assert is_now == json.loads(path.read_text(encoding="utf-8")), picture.name
