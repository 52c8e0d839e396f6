"""When two things go by one name."""

from __future__ import annotations

import unicodedata


def name_key(name: str) -> str:
    """What names that mean the same have in common: case, and how accents are encoded, make no difference.

    >>> name_key(" Bench Grinder") == name_key("bench grinder")
    True
    """
    return unicodedata.normalize("NFKC", unicodedata.normalize("NFKC", name.strip()).casefold())


def same_name(one: str | None, other: str | None) -> bool:
    """Whether two names mean the same; None only means None."""
    if one is None or other is None:
        return one is other
    return name_key(one) == name_key(other)
