"""A demo: invented bags on an invented bench, with shots that nobody ever pulled.

The numbers in the CSV files are simulated by `experiments/demo_bags.py`: a plain ridge for each bean, each setting the
one that `dialopt.advise` asked for after the shots before, each pull with the noise and the one-in-twelve chance of an
unmarked channel of `World.pull`. Dates are made up.
"""
