"""The plotting code that goes into the page."""

from __future__ import annotations

import base64
import gzip
from dataclasses import dataclass
from functools import cache


@dataclass(frozen=True, slots=True, kw_only=True)
class Bundle:
    """plotly.js: its source, as a browser will run it, and the same packed with gzip as base64 text."""

    source: str
    packed: str


@cache
def bundle() -> Bundle:
    """plotly.js out of the installed plotly package.

    It goes into the page packed, which makes the file less than half as big; the page unpacks it and adds it as an
    inline script, which the page's policy allows by the hash of the unpacked source.
    """
    from plotly.offline import get_plotlyjs

    source: str = get_plotlyjs()
    return Bundle(source=source, packed=base64.b64encode(gzip.compress(source.encode(), 9, mtime=0)).decode())
