from __future__ import annotations

import base64
import gzip
import json
import os
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dialopt.errors import Refused
from dialopt.report.template import harmless, is_page, plotting, policy, rendered, source_hash, write_page


def test_the_packed_code_unpacks_to_its_source():
    source, packed = plotting()
    assert gzip.decompress(base64.b64decode(packed)).decode() == source
    assert "plotly.js v" in source[:100]
    assert len(packed) < 2_500_000


@given(st.text())
def test_data_in_a_script_can_neither_end_it_nor_change(text):
    shown = harmless({"name": text + "</script><!--"})
    assert "<" not in shown
    assert json.loads(shown) == {"name": text + "</script><!--"}


def test_a_hash_is_the_one_that_browsers_work_out():
    # The hash of nothing, as Chromium names it when it refuses an empty style.
    assert source_hash("") == "'sha256-47DEQpj8HBSa+/TImW+5JCeuQeRkm5NMpJWZG3hSuFU='"


def test_nothing_is_allowed_but_what_was_named():
    rule = policy(scripts=["a()"], styles=["b {}"])
    parts = dict(part.split(" ", 1) for part in rule.split("; "))
    assert parts["default-src"] == parts["base-uri"] == parts["form-action"] == "'none'"
    assert parts["script-src"] == source_hash("a()")
    assert parts["style-src"] == f"{source_hash('b {}')} {source_hash('')}"
    assert not [word for word in ("unsafe-inline", "unsafe-eval", "http") if word in rule]


def test_a_page_is_told_from_any_other_file(tmp_path):
    text = rendered("base.html", style="")
    for name, content, own in (
        ("report.html", text, True),
        ("quoted.html", f"<!DOCTYPE html><html><body>{'My bags. ' * 50}{text}", False),
        ("empty.html", "", False),
        ("shots.csv", "grind,dose_g,temp_c\n18,18,93\n", False),
    ):
        (tmp_path / name).write_text(content, encoding="utf-8", newline="")
        assert is_page(tmp_path / name) is own, name
    assert not any(is_page(tmp_path / name) for name in ("", "gone.html", "a\0b"))


@pytest.mark.parametrize(("owner", "step"), [(Path, "replace"), (os, "fsync")])
def test_a_page_that_cannot_be_written_leaves_the_old_one(tmp_path, monkeypatch, owner, step):
    path = tmp_path / "page.html"
    path.write_text("the old page", encoding="utf-8")

    def full(*_):
        raise OSError(28, os.strerror(28))

    monkeypatch.setattr(owner, step, full)
    with pytest.raises(Refused, match=r"page\.html.*No space left"):
        write_page(path, "the new page")
    assert path.read_text(encoding="utf-8") == "the old page"
    assert list(tmp_path.iterdir()) == [path]


def test_a_folder_that_is_not_there_is_refused(tmp_path):
    with pytest.raises(Refused, match="can't be written"):
        write_page(tmp_path / "no" / "page.html", "")
