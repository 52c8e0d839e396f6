"""From a template and values to one file that needs nothing else and runs nothing but what it was written with."""

from __future__ import annotations

import base64
import gzip
import hashlib
from collections.abc import Sequence
from contextlib import suppress
from functools import cache
from pathlib import Path

from dialopt.logbook.plain_values import canonical
from dialopt.logbook.whole_file import stands, write_whole
from dialopt.text.formats import plain, unbroken

_FOLDER = Path(__file__).parent / "templates"
_MARK = '<meta name="generator" content="dialopt">'
"""Stands in the first lines of every page, and tells it from anybody else's."""
_FIRST_LINES = 300
"""Bytes of a page that its mark is looked for in."""


def template_text(name: str) -> str:
    """The text of a style or script that goes into a page as it is."""
    return (_FOLDER / name).read_text(encoding="utf-8")


def rendered(template: str, *, style: str, scripts: Sequence[str] = (), **values: object) -> str:
    """The page; whatever is no `Markup` is escaped. A name that the template asks for and isn't given is an error.

    style, scripts: those that the page holds inline, for its policy.
    """
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
    rule = policy(scripts=scripts, styles=[style])
    return environment.get_template(template).render(mark=Markup(_MARK), policy=rule, style=Markup(style), **values)


def write_page(path: Path, text: str) -> None:
    """Writes a page, whole or not at all. Raises Refused for a file that can't be written."""
    # Half a character, which a name may hold, has no place in a file.
    write_whole(path, text.encode("utf-8", "replace"))


def is_page(path: Path) -> bool:
    """Whether a page that was written here stands there."""
    if stands(path):
        with suppress(OSError), path.open("rb") as file:
            return _MARK.encode() in file.read(_FIRST_LINES)
    return False


def harmless(value: object) -> str:
    """Canonical JSON that can stand inside a script element: nothing in it can end the element or open a comment."""
    return canonical(value).replace("<", "\\u003c").replace(">", "\\u003e").replace("&", "\\u0026")


@cache
def plotting() -> tuple[str, str]:
    """plotly.js out of the installed package: its source, and the same packed with gzip as base64 text.

    It goes into the page packed, which makes the file less than half as big; the page unpacks it and adds it as an
    inline script, which the page's policy allows by the hash of the source.
    """
    from plotly.offline import get_plotlyjs

    source: str = get_plotlyjs()
    return source, base64.b64encode(gzip.compress(source.encode(), 9, mtime=0)).decode()


def policy(*, scripts: Sequence[str], styles: Sequence[str]) -> str:
    """The content security policy that allows these texts as inline scripts and styles, and no request at all.

    Where scripts are, empty style elements and attributes are allowed too: plotly.js makes some, and then sets rule by
    rule what it needs through the browser's style objects, which a policy doesn't govern.
    """
    parts = ["default-src 'none'", "base-uri 'none'", "form-action 'none'"]
    if not scripts:
        return "; ".join([*parts, f"style-src {_hashes(styles)}"])
    parts += [f"script-src {_hashes(scripts)}", f"style-src {_hashes([*styles, ''])}"]
    return "; ".join([*parts, f"style-src-attr 'unsafe-hashes' {source_hash('')}"])


def source_hash(text: str) -> str:
    """A script's or style's hash as a content security policy wants it (W3C, Content Security Policy Level 3)."""
    return f"'sha256-{base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()}'"


def _hashes(texts: Sequence[str]) -> str:
    return " ".join(source_hash(text) for text in texts)
