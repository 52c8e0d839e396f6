"""Milk: how hot, and how not to be scalded."""

from __future__ import annotations

STOP_STEAMING = "stop steaming when the jug is just too hot to hold, about 60 to 65 °C; steam and hot milk scald"
"""The one line beside a recipe (common practice)."""

MILK: tuple[tuple[str, str], ...] = (
    ("start", "cold milk in a cold jug, filled to a third or half, so that there is time and room (common practice)"),
    ("steam", "air in at the start only, then keep it turning with the tip below the surface (common practice)"),
    ("stop", "when the jug is just too hot to hold, about 60 to 65 °C; above, milk tastes cooked (common practice)"),
    ("scalds", "60 °C burns in under 5 seconds, 68 °C in about one (second-hand); steam is hotter by far"),
    (
        "wand",
        "purge it into a cloth or tray, hands clear, before and after; wipe it with a damp cloth, never bare hands",
    ),
    ("drink", "let it cool below 65 °C; hotter drinks count as very hot (IARC, read)"),
    ("score", "taste and score the shot in its milk, as it will be drunk (common practice)"),
)
"""Guidance for a pairing that is drunk with milk, each with its trust where it is a figure."""
