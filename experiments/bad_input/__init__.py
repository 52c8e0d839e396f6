"""Input as bad as it comes: what is fed, and what must hold of it. `experiments.fuzz` and the tests draw on both."""
