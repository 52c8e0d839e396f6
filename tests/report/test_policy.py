from __future__ import annotations

from dialopt.report.policy import policy, source_hash


def test_a_hash_is_the_one_that_browsers_work_out() -> None:
    # The hash of nothing, as Chromium names it when it refuses an empty style.
    assert source_hash("") == "'sha256-47DEQpj8HBSa+/TImW+5JCeuQeRkm5NMpJWZG3hSuFU='"


def test_nothing_is_allowed_but_what_was_named() -> None:
    rule = policy(scripts=["a()"], styles=["b {}"])
    parts = dict(part.split(" ", 1) for part in rule.split("; "))
    assert parts["default-src"] == parts["base-uri"] == parts["form-action"] == "'none'"
    assert parts["script-src"] == source_hash("a()")
    assert parts["style-src"] == f"{source_hash('b {}')} {source_hash('')}"
    assert "unsafe-inline" not in rule
    assert "unsafe-eval" not in rule
    assert "http" not in rule
