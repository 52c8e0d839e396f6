"""A yardstick for losses: what somebody gives away who knows the best grind exactly and leaves the rest where it is.

No method may use it, as it looks at the truth. It tells how much of a loss is grind, which a few shots can find, and
how much is dose and temperature, whose best settings differ from bag to bag and show only faintly in a noisy score.
"""

from __future__ import annotations

import numpy as np
import pandas as pd

from experiments.trial import CARRY, bag, world_seed
from experiments.worlds import World


def right_grind_regret(world: World) -> float:
    """Loss, in points, of the best grind there is at the middle of the dose and temperature dials."""
    _, doses, temps = (dial.settings() for dial in world.pairing.dials.values())
    at_middle = world.liking_grid()[:, (len(doses) - 1) // 2, (len(temps) - 1) // 2]
    return float(world.best_liking - at_middle.max())


def yardstick(results: pd.DataFrame, seed: int) -> pd.DataFrame:
    """A row for each family with one bag to find: regret and close_pct of the right grind on the results' bags."""
    rows = []
    for family, of_family in results.groupby("family", sort=False):
        if str(family).startswith(CARRY):
            continue
        worlds = (bag(str(family), world_seed(seed, int(task)))[0] for task in of_family["task"].unique())
        losses = [right_grind_regret(world) for world in worlds]
        close = 100.0 * np.mean(np.array(losses) <= 0.5)
        rows.append({"family": family, "tasks": len(losses), "regret": np.mean(losses), "close_pct": close})
    return pd.DataFrame(rows).round(4)
