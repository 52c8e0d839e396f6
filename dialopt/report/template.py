"""From a template and values to a page: whatever is no markup is escaped."""

from __future__ import annotations

from contextlib import suppress
from pathlib import Path

from dialopt.logbook.whole_file import stands
from dialopt.text.formats import plain, unbroken

_FOLDER = Path(__file__).parent / "templates"
_MARK = '<meta name="generator" content="dialopt">'
"""Stands in the first lines of every page, and tells it from anybody else's."""
_FIRST_LINES = 300
"""Bytes of a page that its mark is looked for in."""


def template_text(name: str) -> str:
    """The text of a style or script that goes into a page as it is."""
    return (_FOLDER / name).read_text(encoding="utf-8")


def rendered(template: str, **values: object) -> str:
    """The page. A name that the template asks for and isn't given is an error, never a blank."""
    import jinja2
    from markupsafe import Markup

    environment = jinja2.Environment(
        loader=jinja2.FileSystemLoader(_FOLDER),
        autoescape=True,
        undefined=jinja2.StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    environment.filters |= {"plain": plain, "unbroken": unbroken}
    return environment.get_template(template).render(mark=Markup(_MARK), **values)


def is_page(path: Path) -> bool:
    """Whether a page that was written here stands there."""
    if stands(path):
        with suppress(OSError), path.open("rb") as file:
            return _MARK.encode() in file.read(_FIRST_LINES)
    return False
