"""Strategies for text, numbers, moments and paths that a program had better not trust."""

from __future__ import annotations

from datetime import timedelta, timezone

from hypothesis import strategies as st

ESCAPES = (
    "\x1b[2J", "\x1b]0;title\x07", "\x1b]8;;http://example.invalid\x1b\\here\x1b]8;;\x1b\\",  # clear, title, link
    "\x9b31m", "\x07", "\x08\x08\x08", "\r", "\x7f", "\x00",  # the first a control sequence in one C1 character
    "\u202e", "\u2066", "\u2028", "\u200b",  # right to left from here on, and what can't be seen
    "\ud800", "\udcff",  # half a character, and what Python makes of a byte that is no UTF-8
)  # fmt: skip
TONGUES = (
    "قهوة", "קפה", "café", "cafe\u0301", "z\u0351\u036b\u0343\u036a\u0302", "👩\u200d🌾☕\ufe0f", "浓缩", "ﬁ", "İ", "ß",
)  # fmt: skip
FORMULAS = (
    "=1+1", "+1", "-1", "@SUM(A1)", "\t=1", "\r=1", "＝1+1", "=cmd|' /C calc'!A0", "'=1", "''", ";=1", '","=1',
)  # fmt: skip
MARKUP = (
    "<script>alert(1)</script>", "</script><!--", "<img src=x onerror=alert(1)>", "&lt;", "]]>", "{{ 7*7 }}",
    '<script type="application/json" id="data">{}</script>',
)  # fmt: skip
PATHS = (
    "../../escaped", "..", ".", "/", "~", "~nobody-of-that-name/x", "CON", "nul.csv", "trailing.", "trailing ", "C:\\x",
    "a\x00b", "x" * 256, "d/" * 2500, "-", "--json", "file:///x", "$HOME", "%00", "\n",
)  # fmt: skip
LONG = ("x" * 10_000, "é" * 10_001, "😀" * 10_000, "\x1b[1m" * 2_500, '"' * 5_000)

HOSTILE = st.sampled_from([*ESCAPES, *TONGUES, *FORMULAS, *MARKUP, *PATHS])
TEXTS = (
    st.text(max_size=40)
    | HOSTILE
    | st.builds("".join, st.lists(HOSTILE | st.text(max_size=8), max_size=6))
    | st.sampled_from(LONG)
)
"""Any text, half characters among it."""
FILEABLE = TEXTS.filter(lambda text: text.isascii() or all(not "\ud800" <= letter <= "\udfff" for letter in text))
"""The same without half characters, which no UTF-8 file holds."""

_DIGITS = st.sampled_from(
    ["0123456789"] * 6 + ["٠١٢٣٤٥٦٧٨٩", "۰۱۲۳۴۵۶۷۸۹", "０１２３４５６７８９", "०१२३४५६७८९", "𝟘𝟙𝟚𝟛𝟜𝟝𝟞𝟟𝟠𝟡", "⁰¹²³⁴⁵⁶⁷⁸⁹"]
)


@st.composite
def _localised(draw: st.DrawFn) -> str:
    """A number as somebody, somewhere, writes it."""
    digits, value = draw(_DIGITS), draw(st.floats(-1e7, 1e7) | st.floats(0, 100).map(lambda number: round(number, 2)))
    whole, _, part = f"{abs(value):.{draw(st.integers(0, 3))}f}".partition(".")
    group = draw(st.sampled_from(["", "", "", ",", ".", "'", "’", " ", "\u00a0", "\u202f", "_", "٬"]))
    groups = [whole[max(end - 3, 0) : end] for end in range(len(whole), 0, -3)][::-1]
    mark = draw(st.sampled_from([".", ",", "٫", "．", "·"]))
    sign = draw(st.sampled_from(["", "", "", "-", "−", "－", "–", "﹣", "+", "＋"]))
    text = sign + group.join(groups) + (mark + part if part else "")
    return text.translate({ord("0") + place: digit for place, digit in enumerate(digits)})


NUMBERS = (
    _localised()
    | st.floats().map(repr)
    | st.integers().map(str)
    | st.sampled_from([
        "nan", "NaN", "inf", "-inf", "Infinity", "∞", "1e3", "1E+3", "1e999", "-1e999", "1e-999", "0x12", "1_8", "-0",
        "−0", "+0", "-0.0", "--1", "+-1", "1,2,3", "1.234,5", "1,234.5", ".", ",", "-", "e3", "1e", "½", "Ⅷ", "", " ",
        "18 g", "18g", "93°C", "1:2", "=18", "'18", "9" * 400, "9" * 5_000, "0." + "0" * 5_000 + "1",
    ])
    | st.builds(lambda text, blank: blank + text + blank, _localised(), st.sampled_from(" \t\u00a0\u3000"))
)  # fmt: skip
"""Numbers in several locales and things that look like numbers."""

ZONES = st.none() | st.integers(-24 * 60 + 1, 24 * 60 - 1).map(lambda minutes: timezone(timedelta(minutes=minutes)))
MOMENTS = (
    st.datetimes(timezones=ZONES).map(lambda moment: moment.isoformat())
    | st.dates().map(lambda day: day.isoformat())
    | st.sampled_from([
        "09.04.2031", "4/9/2031", "2031-13-01", "2031-02-30", "2031-04-09T25:00", "2031-04-09T07:15:60", "20310409",
        "2031-W15-3", "2031-099", "0000-01-01", "10000-01-01", "٢٠٣١-٠٤-٠٩", "２０３１-04-09", "yesterday", "1e9", "",
        "2031-04-09T07:15Z", "0001-01-01T00:00+23:59", "9999-12-31T23:59-23:59", "2031-04-09T07:15+99:00",
    ])
)  # fmt: skip
ANYTHING = TEXTS | NUMBERS | MOMENTS
"""What may stand where something else was meant."""
