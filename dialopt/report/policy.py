"""The page's own rule for what a browser may run: the scripts and the style that it was written with, nothing else."""

from __future__ import annotations

import base64
import hashlib
from collections.abc import Sequence


def source_hash(text: str) -> str:
    """A script's or style's hash as a content security policy wants it (W3C, Content Security Policy Level 3)."""
    return f"'sha256-{base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()}'"


_NOTHING = ""


def policy(*, scripts: Sequence[str], styles: Sequence[str]) -> str:
    """The content security policy that allows these texts as inline scripts and styles, and no request at all.

    Where scripts are, empty style elements and attributes are allowed too: plotly.js makes some, and then sets rule by
    rule what it needs through the browser's style objects, which a policy doesn't govern.
    """
    parts = ["default-src 'none'", "base-uri 'none'", "form-action 'none'"]
    if not scripts:
        return "; ".join([*parts, f"style-src {_hashes(styles)}"])
    parts += [f"script-src {_hashes(scripts)}", f"style-src {_hashes([*styles, _NOTHING])}"]
    return "; ".join([*parts, f"style-src-attr 'unsafe-hashes' {source_hash(_NOTHING)}"])


def _hashes(texts: Sequence[str]) -> str:
    return " ".join(source_hash(text) for text in texts)
