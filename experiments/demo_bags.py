"""The demo's shots, pulled again: simulated pulls on the demo's bench, each where dialopt asked for it.

python -m experiments.demo_bags --out dialopt/demo

A file that is there already stays as it is and is what the later ones start from; delete it to have it pulled anew.
"""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from pathlib import Path

import numpy as np

import dialopt
from dialopt import Pairing, Shot
from dialopt.demo.scenario import SHOTS, pairings
from dialopt.logbook.spreadsheet import read_csv, shots_as_csv
from experiments.worlds import World, ridge
from experiments.worlds.bench import Flow, Kit, draw_taster

SHOTS_A_DAY = 4


@dataclass(frozen=True, slots=True, kw_only=True)
class Bag:
    """How many shots of one pairing are pulled, from when on, and which of them, if any, is marked as misweighed."""

    shots: int
    first: datetime
    misweighed: int | None = None


BAGS = {
    SHOTS: Bag(shots=10, first=datetime(2024, 3, 8, 7, 10)),
    "nobodys_hill_new_burrs.csv": Bag(shots=3, first=datetime(2024, 3, 11, 9, 30)),
    "field_of_anyone.csv": Bag(shots=8, first=datetime(2024, 3, 12, 7, 5)),
    "nobodys_hill_by_hand.csv": Bag(shots=5, first=datetime(2024, 3, 14, 7, 20), misweighed=2),
}


def worlds(seed: int) -> dict[str, World]:
    """The truth about each pairing: two beans, three flows, one taster."""
    bench = pairings()
    rng = np.random.default_rng([7, seed])
    kits = {name: Kit.of(pairing) for name, pairing in bench.items()}
    hill = ridge.draw_bean(rng, kits[SHOTS])
    flow = ridge.draw_flow(rng, hill)
    taster = draw_taster(rng)
    field = ridge.draw_bean(rng, kits[SHOTS])
    sharp = replace(flow, span=flow.span * float(np.exp(rng.normal(0, 0.2))))
    sharp = replace(sharp, level=ridge.level_for(sharp, hill, 0.8))
    beans = dict.fromkeys(bench, hill) | {"field_of_anyone.csv": field}
    flows: dict[str, Flow] = {
        SHOTS: flow,
        "nobodys_hill_new_burrs.csv": sharp,
        "field_of_anyone.csv": replace(sharp, level=sharp.level + float(rng.normal(0, 0.15))),
        "nobodys_hill_by_hand.csv": ridge.draw_flow(rng, hill),
    }
    return {
        name: ridge.assemble("ridge", seed, kit=kits[name], bean=beans[name], flow=flows[name], taster=taster)
        for name in bench
    }


def pulls(
    pairing: Pairing, world: World, bag: Bag, earlier: Sequence[tuple[Pairing, Sequence[Shot]]], seed: int
) -> list[Shot]:
    """The shots of one bag. earlier: the bags before it, the latest first."""
    shots: list[Shot] = []
    for index in range(bag.shots):
        recipe = dialopt.advise(pairing, shots, earlier=earlier).next_recipe
        shot = world.pull(recipe, np.random.default_rng([seed, index]))
        at = bag.first + timedelta(days=index // SHOTS_A_DAY, minutes=9 * (index % SHOTS_A_DAY))
        shots.append(replace(shot, pulled_at=at, fault="misweighed" if index == bag.misweighed else None))
    return shots


def main(arguments: Sequence[str] | None = None) -> int:
    """Writes the files that aren't there and says how each bag went."""
    parser = argparse.ArgumentParser(
        prog="python -m experiments.demo_bags", description="Pulls the demo's shots again."
    )
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--out", type=Path, required=True, help="the folder of the files")
    options = parser.parse_args(arguments)
    truth, earlier = worlds(options.seed), list[tuple[Pairing, Sequence[Shot]]]()
    for number, (name, pairing) in enumerate(pairings().items()):
        path, world = options.out / name, truth[name]
        if path.exists():
            shots = read_csv(path)
        else:
            shots = pulls(pairing, world, BAGS[name], earlier, options.seed + 10 * number)
            path.write_text(shots_as_csv(shots), encoding="utf-8", newline="")
        spot = dialopt.advise(pairing, shots, earlier=earlier).sweet_spot
        best = f"best {world.best}, worth {world.best_liking:.2f}, in {world.time_s(world.best):.0f} s"
        print(f"{name}: {best}; sweet spot {spot.recipe}, short by {world.regret(spot.recipe):.2f}.")
        earlier.insert(0, (pairing, shots))
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
