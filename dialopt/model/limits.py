"""How much the model reads. Kept apart from the model so that asking costs no import."""

MOST_EARLIER = 4
"""Earlier pairings that are looked at, the first ones given."""
LATEST = 40
"""The latest tastings, and as many of the latest other shots: several bags' worth, older ones say little of today's."""
