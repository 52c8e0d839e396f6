"""Two bags that share something, for what a new bag may learn from an old one."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from zlib import crc32

import numpy as np

from experiments.worlds import ridge
from experiments.worlds.bench import Flow, draw_kit, draw_taster
from experiments.worlds.world import World

Pair = tuple[World, World]


def new_bag(seed: int, rng: np.random.Generator) -> Pair:
    """Same grinder, machine and taster, new bean: its flow differs by some 15 %, its optimum by more."""
    kit, taster = draw_kit(rng), draw_taster(rng)
    taster = replace(taster, offset=float(rng.normal(0, 0.5)))
    old, new = ridge.draw_bean(rng, kit), ridge.draw_bean(rng, kit)
    flow = ridge.draw_flow(rng, old)
    other = replace(flow, level=flow.level + float(rng.normal(0, 0.15)), scatter=float(rng.uniform(0.03, 0.08)))
    other = within(other, new)
    first = ridge.assemble("new_bag", seed, kit=kit, bean=old, flow=flow, taster=taster)
    second = ridge.assemble("new_bag", seed, kit=kit, bean=new, flow=other, taster=taster)
    return first, replace(second, pairing=kit.pairing(f"next bag {seed}"))


def new_burrs(seed: int, rng: np.random.Generator) -> Pair:
    """Same bean, machine and taster; another set of burrs: slope and place of the grind dial change, taste doesn't."""
    kit, taster = draw_kit(rng), draw_taster(rng)
    bean = ridge.draw_bean(rng, kit)
    flow = ridge.draw_flow(rng, bean)
    sharp = replace(flow, span=flow.span * float(np.exp(rng.normal(0, 0.2))))
    sharp = replace(sharp, level=ridge.level_for(sharp, bean, float(rng.uniform(0.15, 0.85))))
    first = ridge.assemble("new_burrs", seed, kit=kit, bean=bean, flow=flow, taster=taster)
    second = ridge.assemble("new_burrs", seed, kit=kit, bean=bean, flow=sharp, taster=taster)
    return first, replace(second, pairing=replace(second.pairing, grinder=replace(kit.grinder, burrs="set 2")))


def unrelated(seed: int, rng: np.random.Generator) -> Pair:
    """Another kitchen, another bean, another taster."""
    first, second = ridge.make(seed, rng, "unrelated"), ridge.make(seed, rng, "unrelated")
    grinder = replace(first.pairing.grinder, name="another grinder")
    machine = replace(first.pairing.machine, name="another machine")
    bean = replace(first.pairing.bean, name=f"another bean {seed}")
    return replace(first, pairing=replace(first.pairing, grinder=grinder, machine=machine, bean=bean)), second


def contradicting(seed: int, rng: np.random.Generator) -> Pair:
    """The names say same kit; shot time, taster and optimum have nothing in common, as after a repair nobody noted."""
    kit = draw_kit(rng)
    worlds = []
    for name in ("before", "after"):
        bean, taster = ridge.draw_bean(rng, kit), draw_taster(rng)
        flow = ridge.draw_flow(rng, bean)
        world = ridge.assemble("contradicting", seed, kit=kit, bean=bean, flow=flow, taster=taster)
        worlds.append(replace(world, pairing=kit.pairing(f"bag {name} {seed}")))
    return worlds[0], worlds[1]


def within(flow: Flow, bean: ridge.Bean) -> Flow:
    """The flow, shifted no more than brings the bean's optimum onto the inner nine tenths of the grind dial."""
    place = (ridge.level_for(flow, bean, 0.0) - flow.level) / flow.span
    return replace(flow, level=ridge.level_for(flow, bean, np.clip(place, 0.05, 0.95)))


PAIRS: dict[str, Callable[[int, np.random.Generator], Pair]] = {
    "new_bag": new_bag,
    "new_burrs": new_burrs,
    "unrelated": unrelated,
    "contradicting": contradicting,
}


def make_pair(kind: str, seed: int) -> Pair:
    """Pair number `seed` of a kind of `PAIRS`: the old bag and the new one; the same arguments give the same pair."""
    if kind not in PAIRS:
        raise KeyError(f"There is no pair {kind!r}; there are {', '.join(PAIRS)}.")
    return PAIRS[kind](seed, np.random.default_rng([crc32(f"pair {kind}".encode()), seed]))
