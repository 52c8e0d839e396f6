"""What to hold still while dialling in, so that a change in the cup comes from the dial that was turned."""

from __future__ import annotations

HOLD_STILL: tuple[tuple[str, str], ...] = (
    ("distribution", "spread the grounds evenly, the same way each time"),
    ("tamp", "level and firm, the same each time; how hard matters less"),
    ("warm-up", "machine, portafilter and cup hot through; flush for as long each time"),
    ("cup", "the same warmed cup, and tasted as hot as the one before"),
    ("yield", "stop by weight, on a scale under the cup, not by time or by eye"),
    ("basket", "the same one all along: another basket is another pairing"),
    ("water", "the same all along: another water is another taste"),
)
"""Each thing and how (common practice). That tamping pressure had no detectable effect on how caffeine is extracted:
Kuhn 2017, J Food Eng (read)."""
