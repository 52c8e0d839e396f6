"""The demo's shots, pulled again: ten simulated pulls on the demo's bench, each where dialopt asked for it.

python -m experiments.demo_bag --out dialopt/demo/nobodys_hill.csv
"""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path

import numpy as np

import dialopt
from dialopt import Shot
from dialopt.demo.scenario import pairing
from dialopt.logbook.csv_out import shots_as_csv
from experiments.worlds import World, ridge
from experiments.worlds.kit import Kit
from experiments.worlds.taster import draw_taster

SHOTS, SHOTS_A_DAY = 10, 4
FIRST = datetime(2024, 3, 8, 7, 10)


def bag(seed: int) -> World:
    """A plain ridge on the demo's bench."""
    bench = pairing()
    rng = np.random.default_rng([7, seed])
    kit = Kit(grinder=bench.grinder, machine=bench.machine, basket=bench.basket)
    bean = ridge.draw_bean(rng, kit)
    clock = ridge.draw_clock(rng, bean)
    return ridge.assemble("ridge", seed, kit=kit, bean=bean, clock=clock, taster=draw_taster(rng))


def pulls(seed: int) -> list[Shot]:
    """The ten shots."""
    world, shots = bag(seed), list[Shot]()
    for index in range(SHOTS):
        recipe = dialopt.advise(pairing(), shots).next_recipe
        shot = world.pull(recipe, np.random.default_rng([seed, index]))
        at = FIRST + timedelta(days=index // SHOTS_A_DAY, minutes=9 * (index % SHOTS_A_DAY))
        shots.append(replace(shot, pulled_at=at))
    return shots


def main(arguments: Sequence[str] | None = None) -> int:
    """Writes the file and says how the bag went."""
    parser = argparse.ArgumentParser(prog="python -m experiments.demo_bag", description="Pulls the demo's shots again.")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--out", type=Path, required=True)
    options = parser.parse_args(arguments)
    shots = pulls(options.seed)
    options.out.write_text(shots_as_csv(shots), encoding="utf-8", newline="")
    world, spot = bag(options.seed), dialopt.advise(pairing(), shots).sweet_spot
    short = world.loss(spot.recipe)
    print(f"Best {world.best}, worth {world.best_liking:.2f}; sweet spot {spot.recipe}, short by {short:.2f}.")
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
