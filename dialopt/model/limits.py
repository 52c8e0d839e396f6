"""How much the model reads. Kept apart from the model so that asking costs no import."""

MOST_EARLIER = 4
"""Earlier pairings that are looked at, the first ones given."""
LATEST = 40
"""Tastings, and as many other shots: several bags' worth. Of more, the latest of every recipe stay, then the next."""
