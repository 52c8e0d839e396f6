"""next, sweet-spot, compare, palate: what the shots tell."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import asdict
from typing import TYPE_CHECKING, Annotated

from dialopt.errors import NotFound
from dialopt.logbook.records import SHOWN, Entry, in_turn
from dialopt.shell.change import change_lines, change_to
from dialopt.shell.commands.care import caffeine_tally
from dialopt.shell.context import SEED, Context
from dialopt.shell.in_use import carried_data, carried_lines, current, last_pull, mind_lines
from dialopt.shell.options import Counts, Hold, MostMoves, Seed, argument
from dialopt.shell.parsers import read_hold, read_recipe
from dialopt.shell.render import Answer, advice_data, answered, palate_data, recipe_data
from dialopt.text import advice as words
from dialopt.text.caffeine import past_lines
from dialopt.text.palate import compare_said, no_shot, palate_said
from dialopt.trade.names import same_name
from dialopt.trade.pairing import Pairing
from dialopt.trade.recipe import Recipe

if TYPE_CHECKING:
    from dialopt.engine.advice import Advice

_KEY = "GRIND:DOSE:TEMP (and :RATIO), a shot's number, `best` for the sweet spot or `next` for the shot advised"


def next_(
    context: Context, *, counts: Counts = None, most_moves: MostMoves = None, hold: Hold = None, seed: Seed = SEED
) -> Answer:
    """Say what to pull next, and why."""
    with context.book() as book:
        record = current(book)
        entries = book.entries(record.id)
        held = {} if hold is None else read_hold(hold, record.pairing, in_turn(entries)[-1].shot if entries else None)
        evidence, advice = context.advised(
            book, record.id, seed=seed, shown=SHOWN, counts=counts, most_moves=most_moves, hold=held
        )
        last, unread = last_pull(book, record), evidence.case.unread
        change = change_lines(change_to(advice.pairing, advice.next_recipe, last))
        past = past_lines(caffeine_tally(book, context.now()))
        more = (*carried_lines(evidence), *words.unread_lines(unread), *past)
        return answered(
            words.next_said(record, advice, mind_lines(book, record), change, *more),
            **advice_data(record, advice, last),
            carried=carried_data(evidence),
            unread=[*unread],
        )


def sweet_spot(context: Context, *, seed: Seed = SEED) -> Answer:
    """Say where the best cup probably lies."""
    with context.book() as book:
        record = current(book)
        evidence, advice = context.advised(book, record.id, seed=seed, shown=["sweet_spot"])
        data, unread = advice_data(record, advice, book.last_pull(record.id)), evidence.case.unread
        of_next = {name: data.pop(name) for name in ("recipe", "change", "expected")}
        said = words.sweet_spot_said(record, advice, evidence.shots, unread)
        return answered(said, **data, recipe=data["sweet_spot"]["recipe"], next=of_next, unread=[*unread])


def compare(
    context: Context,
    *,
    one: Annotated[str, argument("A", f"{_KEY}.")],
    other: Annotated[str, argument("B", "The same; the sweet spot when left out.")] = "best",
    seed: Seed = SEED,
) -> Answer:
    """Say which of two recipes is better, how surely, and by how much."""
    with context.book() as book:
        record = current(book)
        entries = book.entries(record.id)
        first, second = (_meant(name, key, record.pairing, entries) for name, key in (("A", one), ("B", other)))
        evidence, advice = context.advised(book, record.id, seed=seed)
    compared = advice.compare(first(advice), second(advice))
    return answered(
        compare_said(record, compared, words.unscored_lines(evidence.shots)),
        pairing=record.id,
        **{
            **asdict(compared),
            "one": recipe_data(record.pairing, compared.one),
            "other": recipe_data(record.pairing, compared.other),
        },
    )


def palate(context: Context, *, seed: Seed = SEED) -> Answer:
    """Say how far your scores scatter, where your balance lies, and whether a blind repeat would help."""
    with context.book() as book:
        record = current(book)
        evidence, advice = context.advised(book, record.id, seed=seed)
    if advice.palate is None:
        raise NotFound(words.NO_PALATE)
    tastings = sum(shot.tasted for shot in evidence.shots)
    # None of the earlier pairings has a say in the palate that somebody else scored.
    own_history = any(same_name(case.pairing.taster, record.pairing.taster) for case in evidence.read)
    return answered(
        palate_said(record, advice.palate, tastings, own_history),
        pairing=record.id,
        tastings=tastings,
        **palate_data(record.pairing, advice.palate),
    )


def _meant(name: str, key: str, pairing: Pairing, entries: Sequence[Entry]) -> Callable[[Advice], Recipe]:
    """The recipe that a key stands for, once there is advice. Raises BadValue, NotFound at once."""
    word = key.strip().lower()
    if word == "best":
        return lambda advice: advice.sweet_spot.recipe
    if word == "next":
        return lambda advice: advice.next_recipe
    if word.isascii() and word.isdigit():
        recipe = next((entry.shot.recipe for entry in entries if str(entry.number) == word.lstrip("0")), None)
        if recipe is None:
            raise NotFound(no_shot(word))
    else:
        recipe = pairing.check(read_recipe(name, key))
    return lambda advice: recipe
