from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pandas as pd

from experiments.page import compose
from experiments.summary import stopping, summarise


def results() -> pd.DataFrame:
    rng = np.random.default_rng(0)
    rows = []
    for method, scale in (("dialopt", 1.0), ("rule_of_thumb", 2.0)):
        for task in range(8):
            for shots in range(13):
                loss = scale * rng.uniform() / (1 + shots)
                row = {"family": "ridge", "method": method, "task": task, "shots": shots, "loss": loss}
                row |= {"close": loss <= 0.5, "next_loss": loss}
                if method == "dialopt":
                    row |= {f"in{level}": rng.uniform() < level / 100 for level in (50, 80, 90)}
                    row |= {f"foretold{level}": rng.uniform() < level / 100 for level in (50, 80, 90)}
                    row |= {"region_share": 0.3, "chance_close": 0.625, "settled": shots >= 9}
                rows.append(row)
    return pd.DataFrame(rows)


def test_the_page_says_what_the_summary_says(tmp_path: Path) -> None:
    table = results()
    summary, stops = summarise(table, "rule_of_thumb", 0), stopping(table)
    summary.to_csv(tmp_path / "summary.csv", index=False)
    stops.to_csv(tmp_path / "stopping.csv", index=False)
    (tmp_path / "study.json").write_text(json.dumps({"dialopt": "0.1.0", "seed": 4, "tasks": 8, "shots": 12}))
    page = compose(tmp_path)
    own = summary[(summary["method"] == "dialopt") & (summary["shots"] == 6)].iloc[0]
    assert f"{own['loss']:.2f} ({own['loss_low']:.2f}–{own['loss_high']:.2f})" in page
    assert "Development families" in page
    assert "Held-out families" not in page
    assert "<td>62 %</td>" in page
    assert "<td>100 %</td><td>9</td>" in page
    assert "http" not in page
