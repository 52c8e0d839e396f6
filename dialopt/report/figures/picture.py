"""A picture that needs no script: its drawing, a sentence that says what it shows, and its numbers as a table."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from dialopt.report.tables import Table

if TYPE_CHECKING:
    from markupsafe import Markup


@dataclass(frozen=True, slots=True, kw_only=True)
class Picture:
    """name: unique in a page. alt: what the drawing shows, computed from its data. key: how to read it."""

    name: str
    title: str
    alt: str
    key: str
    drawing: Markup
    table: Table
