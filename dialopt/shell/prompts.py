"""Asks for a shot, a question at a time. A mistake is told and asked again; an optional answer is skipped by Enter."""

from __future__ import annotations

import sys
from collections.abc import Callable
from functools import partial
from typing import TypeVar

from dialopt.errors import BadValue
from dialopt.logbook.typed import read_number
from dialopt.shell.context import Context
from dialopt.text.formats import dial_words
from dialopt.trade.dial import Dial, plain_setting
from dialopt.trade.fields import BY_NAME, NOTED_FIELDS, Field
from dialopt.trade.pairing import DIAL_UNITS, Pairing
from dialopt.trade.recipe import Recipe
from dialopt.trade.shot import FAULTS, Shot

T = TypeVar("T")
STOP = "stop"
_ANSWERS = {"y": True, "yes": True, "n": False, "no": False}
_NOTHING = ("n", "no", "none")


class Stopped(Exception):
    """The person said stop, or there is nobody left to answer."""


def ask(context: Context, question: str) -> str:
    """One line of answer, trimmed. Raises Stopped."""
    context.say(question, end=" ")
    line = sys.stdin.readline() if sys.stdin is not None else ""
    if not line:
        context.say("")
        raise Stopped
    answer = line.strip()
    if answer.lower() == STOP:
        raise Stopped
    return answer


def ask_value(context: Context, question: str, read: Callable[[str], T], otherwise: T) -> T:
    """The value read from an answer, `otherwise` for Enter; asks until it can be taken. Raises Stopped."""
    while True:
        answer = ask(context, question)
        if not answer:
            return otherwise
        try:
            return read(answer)
        except BadValue as bad:
            field = BY_NAME.get(bad.field)
            context.say(f"  {str(bad).replace(bad.field, field.label if field else bad.field, 1)}")


def yes(context: Context, question: str) -> bool:
    """Whether the answer is yes; Enter means no. Raises Stopped."""
    return ask_value(context, f"{question} [y/N]", _read_yes, False)


def _read_yes(text: str) -> bool:
    if text.lower() not in _ANSWERS:
        raise BadValue("answer", text, "y or n, and Enter means no")
    return _ANSWERS[text.lower()]


def ask_shot(context: Context, pairing: Pairing, *, suggested: Recipe, last: Shot | None, with_strength: bool) -> Shot:
    """A whole shot. Raises Stopped.

    suggested: the settings that Enter stands for. with_strength: whether to ask for strength too.
    """
    suggested = pairing.at_ratio(suggested)
    asked = {it: _ask_setting(context, it, dial, getattr(suggested, it), last) for it, dial in pairing.dials.items()}
    recipe = pairing.noted(Recipe(**asked))
    target = f"{pairing.yield_g(recipe):g} g is ratio 1:{pairing.ratio_of(recipe):g}"

    def number(field: Field) -> float | None:
        before = getattr(last, field.name, None)
        hint = "" if before is None else f" (last {before:g})"
        aim = f"; {target}" if field.name == "yield_g" else ""
        return ask_value(context, f"{field.question}{aim}{hint}; Enter to skip:", partial(_read_number, field), None)

    noted = {
        field.name: number(field)
        for field in NOTED_FIELDS
        if field.question and (with_strength or field.name != "tds_pct")
    }
    fault = ask_value(
        context,
        f"Did anything go wrong? {', '.join(FAULTS)}; Enter for no:",
        lambda text: None if text.lower() in _NOTHING else BY_NAME["fault"].checked(text),
        None,
    )
    note = ask_value(context, "Note; Enter for none:", BY_NAME["note"].checked, None)
    return Shot(recipe=recipe, fault=fault, note=note, pulled_at=context.now(), **noted)


def _read_number(field: Field, text: str) -> float:
    value: float = field.checked(read_number(field.name, text))
    return value


def _ask_setting(context: Context, field: str, dial: Dial, suggested: float, last: Shot | None) -> float:
    if dial.fixed:
        return dial.low
    name, span = BY_NAME[field].label.capitalize(), dial_words(dial, DIAL_UNITS[field])
    before = None if last is None else getattr(last.recipe, field)
    hint = "" if before is None else f" (last {plain_setting(before)})"
    question = f"{name}, {span}{hint}; Enter for {plain_setting(suggested)}:"
    while True:
        value = ask_value(context, question, partial(_read_number, BY_NAME[field]), suggested)
        if dial.offers(value) or value == suggested:
            return value
        if yes(context, f"  {plain_setting(value)} isn't on the dial, {span}. Was it really that?"):
            return value
