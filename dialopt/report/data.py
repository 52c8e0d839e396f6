"""The shots as data inside the page, harmless wherever it is put."""

from __future__ import annotations

from dialopt.logbook.plain_values import canonical


def harmless(value: object) -> str:
    """Canonical JSON that can stand inside a script element: nothing in it can end the element or open a comment."""
    return canonical(value).replace("<", "\\u003c").replace(">", "\\u003e").replace("&", "\\u0026")
