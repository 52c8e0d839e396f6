"""A demo: an invented bag on an invented bench, with ten shots that nobody ever pulled.

The numbers in nobodys_hill.csv are simulated. The bag is a plain ridge of `experiments.worlds`, drawn on this bench
with `numpy.random.default_rng([7, 1])` in the order bean, clock, taster. Each setting is what `dialopt.advise` of
version 0.1.0, while it was being written, asked for after the shots before; each pull, its noise and its one-in-twelve
chance of an unmarked channel come from `World.pull` with `default_rng([1, index])`. Dates are made up.
"""
