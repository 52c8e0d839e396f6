"""From a template and values to a page: whatever is no markup is escaped."""

from __future__ import annotations

from pathlib import Path

from dialopt.report.words import plain, unbroken

_FOLDER = Path(__file__).parent / "templates"


def template_text(name: str) -> str:
    """The text of a style or script that goes into a page as it is."""
    return (_FOLDER / name).read_text(encoding="utf-8")


def rendered(template: str, **values: object) -> str:
    """The page. A name that the template asks for and isn't given is an error, never a blank."""
    import jinja2

    environment = jinja2.Environment(
        loader=jinja2.FileSystemLoader(_FOLDER),
        autoescape=True,
        undefined=jinja2.StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    environment.filters |= {"plain": plain, "unbroken": unbroken}
    return environment.get_template(template).render(**values)
