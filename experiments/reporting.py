"""What measurements write: JSON that says by which code it was written, a table in Markdown, a page of HTML."""

from __future__ import annotations

import json
import platform
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

import jinja2

import dialopt
from experiments.fingerprint import WHOLE_CODE


def about_code() -> dict[str, Any]:
    """Version and fingerprint of dialopt, and what it ran on."""
    on = {"python": platform.python_version(), "machine": platform.machine()}
    return {"dialopt": dialopt.__version__, "code": WHOLE_CODE} | on


def write_report(path: Path, report: Mapping[str, Any]) -> None:
    """Writes it as JSON; what is a number with a fraction is written to four figures after the point."""
    path.write_text(json.dumps(_rounded(report), indent=1, ensure_ascii=False) + "\n", encoding="utf-8")


def _rounded(value: Any) -> Any:
    if isinstance(value, Mapping):
        return {key: _rounded(inner) for key, inner in value.items()}
    if isinstance(value, list | tuple):
        return [_rounded(inner) for inner in value]
    return round(value, 4) if isinstance(value, float) else value


def as_markdown(rows: Sequence[Any], columns: Sequence[str]) -> str:
    """A row for each object or mapping, with these of its values."""
    lines = ["| " + " | ".join(columns) + " |", "|" + "---|" * len(columns)]
    for row in rows:
        cells = [row[name] if isinstance(row, Mapping) else getattr(row, name) for name in columns]
        lines.append(
            "| " + " | ".join(f"{cell:.4g}" if isinstance(cell, float) else str(cell) for cell in cells) + " |"
        )
    return "\n".join(lines)


def page_of(template: str, **values: Any) -> str:
    """A page by one of the templates in `experiments/pages`."""
    loader = jinja2.FileSystemLoader(Path(__file__).with_name("pages"))
    surroundings = jinja2.Environment(loader=loader, autoescape=True, undefined=jinja2.StrictUndefined)
    return surroundings.get_template(template).render(**values)
