"""Contrast, worked out from the style's own colours (WCAG 2.2, 1.4.3 and 1.4.11)."""

from __future__ import annotations

import re
from itertools import pairwise, product

import pytest

from dialopt.report.template import template_text

TEXT, GRAPHIC = 4.5, 3.0
STYLE = template_text("style.css")
LIGHT, DARK = re.findall(r":root(?::not\(\.paper\))? \{(.*?)\}", STYLE, re.DOTALL)
Colour = tuple[float, float, float]


def colours(scheme):
    named = dict(re.findall(r"--([\w-]+): ([^;]+);", LIGHT))
    return named | (dict(re.findall(r"--([\w-]+): ([^;]+);", DARK)) if scheme == "dark" else {})


def over(colour, ground):
    """The colour as it looks on the ground, each part 0 to 1."""
    if colour.startswith("#"):
        red, green, blue = (int(colour[start : start + 2], 16) / 255 for start in (1, 3, 5))
        return red, green, blue
    *parts, share = (float(part) for part in re.findall(r"[\d.]+", colour))
    red, green, blue = (share * part / 255 + (1 - share) * under for part, under in zip(parts, ground, strict=True))
    return red, green, blue


def luminance(colour):
    linear = [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in colour]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one, other):
    low, high = sorted((luminance(one), luminance(other)))
    return (high + 0.05) / (low + 0.05)


def between(scheme, front, back):
    named = colours(scheme)
    ground = over(named[back], (0, 0, 0))
    return contrast(over(named[front], ground), ground)


def test_the_measure_is_the_standard_s():
    assert contrast((0, 0, 0), (1, 1, 1)) == pytest.approx(21)
    grey = over("#767676", (1, 1, 1))
    assert contrast(grey, (1, 1, 1)) == pytest.approx(4.54, abs=0.01)


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_text_can_be_read(scheme):
    for front, back in [*product(("ink", "soft", "accent"), ("page", "panel")), ("accent-ink", "accent")]:
        assert between(scheme, front, back) >= TEXT, (front, back)


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_marks_and_lines_can_be_seen(scheme):
    for front in ("line", "noise-line", "rule", "outline"):
        assert between(scheme, front, "panel") >= GRAPHIC, front
    # A mark is told by its edge or its filling; on the map, where any shade may lie below, by either.
    for shade, mark in product(["panel", *(f"step-{number}" for number in range(7))], ("mark", "star")):
        assert max(between(scheme, part, shade) for part in (mark, "mark-edge")) >= GRAPHIC, (shade, mark)
    # An outline has a halo of the opposite lightness.
    for shade in [f"step-{number}" for number in range(7)]:
        assert max(between(scheme, part, shade) for part in ("outline", "halo")) >= GRAPHIC, shade
    assert between(scheme, "outline", "halo") >= GRAPHIC


def test_each_shade_of_the_map_is_lighter_than_the_one_below():
    """Lightness orders the shades for whoever doesn't see their hues."""
    steps = [luminance(over(colours("light")[f"step-{number}"], (1, 1, 1))) for number in range(7)]
    assert all(lower < higher for lower, higher in pairwise(steps))
