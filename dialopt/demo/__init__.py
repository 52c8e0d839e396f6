"""A demo: an invented bag on an invented bench, with ten shots that nobody ever pulled.

The numbers in nobodys_hill.csv are simulated by `experiments/demo_bag.py`: a plain ridge, each setting the one that
`dialopt.advise` asked for after the shots before, each pull with the noise and the one-in-twelve chance of an unmarked
channel of `World.pull`. Dates are made up.
"""
