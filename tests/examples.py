"""How many examples a property is tried on."""

from typing import Any

from hypothesis import settings


def examples(whole: int, **more: Any) -> settings:
    """So many in a whole run, a share of them in a quick one, which the profile says (`tests/conftest.py`)."""
    return settings(max_examples=max(whole * settings().max_examples // 100, 5), **more)
