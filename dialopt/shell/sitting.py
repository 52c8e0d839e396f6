"""sitting: suggestion, pull, entry, confirmation, next suggestion, until tests no longer pay or the person stops."""

from __future__ import annotations

import threading
from contextlib import suppress

import typer

from dialopt.engine.advice import Advice
from dialopt.errors import NotFound, Refused
from dialopt.logbook.book import Logbook
from dialopt.logbook.records import SHOWN, PairingRecord
from dialopt.shell import words
from dialopt.shell.advice_commands import ENJOY
from dialopt.shell.advising import advised, wake_model
from dialopt.shell.answer import Answer
from dialopt.shell.asking import Stopped, ask, ask_shot, yes
from dialopt.shell.assumed import assumed
from dialopt.shell.caffeine_tally import CaffeineTally, caffeine_tally, past_lines, tally_data, tally_lines
from dialopt.shell.carrying import kept_lines
from dialopt.shell.closed_burrs import closed_burrs_lines
from dialopt.shell.data import advice_data
from dialopt.shell.desk import Desk
from dialopt.shell.log_commands import act_words
from dialopt.shell.others_kit import others_kit_lines
from dialopt.shell.plausibility import ask_about
from dialopt.shell.register import command
from dialopt.shell.setting_up import current
from dialopt.trade.shot import Shot

SAFETY = (
    "Water, steam, group and wand are hot and under pressure: follow the maker's manual, and never loosen the "
    "portafilter while the pump runs."
)
CAFFEINE_EVERY = 3
UNDO = "undo"
PULL_IT = "Pull this now:"
ENJOY_IT = "More test shots won't help much. To drink, the sweet spot:"


def register(app: typer.Typer) -> None:
    """Adds the command."""
    command(app, "sitting")(sitting)


def sitting(desk: Desk) -> Answer:
    """Lead through one shot after the other.

    It says what to pull, asks what came of it, and says what to pull next, until more testing no longer pays.
    "stop" ends it at any question, and what was saved by then stays saved.
    """
    with desk.book() as book:
        kept = current(book)
        _wake(book, kept)
        desk.say(SAFETY, f"{kept.pairing.title}. `stop` ends the sitting at any question.")
        desk.say(*others_kit_lines(kept), *closed_burrs_lines(book, kept))
        desk.say(*past_lines(caffeine_tally(book, desk.now())))
        numbers: list[int] = []
        advice: Advice | None = None
        with suppress(Stopped):
            advice, last = _suggest(desk, book, kept)
            if advice.settled and not yes(desk, "More test shots won't help much. Go on all the same?"):
                raise Stopped
            carry_on = advice.settled
            while carry_on or not advice.settled:
                _pull(desk, book, kept, advice, last, numbers)
                advice, last = _suggest(desk, book, kept)
        return _ended(book, book.pairing(kept.id), numbers, advice, caffeine_tally(book, desk.now()))


def _wake(book: Logbook, kept: PairingRecord) -> None:
    """Starts to import the model beside the conversation. What goes wrong there comes up when advice is asked for."""
    tastings = sum(shot.tasted for shot in book.shots(kept.id)) + 1

    def wake() -> None:
        with suppress(Exception):
            wake_model(tastings)

    threading.Thread(target=wake, daemon=True).start()


def _suggest(desk: Desk, book: Logbook, kept: PairingRecord) -> tuple[Advice, Shot | None]:
    """The advice that was shown, and the shot of this pairing that was pulled last."""
    evidence, advice = advised(book, kept.id, today=desk.now().date(), shown=SHOWN)
    # What went through burrs that are out of the grinder says nothing of how it stands.
    last = None if closed_burrs_lines(book, kept) else book.last_pull(kept.id)
    lines = words.advice_lines(advice, last)
    desk.say("", ENJOY_IT if advice.settled else PULL_IT, *lines, *kept_lines(evidence))
    return advice, evidence.shots[-1] if evidence.shots else None


def _pull(
    desk: Desk, book: Logbook, kept: PairingRecord, advice: Advice, last: Shot | None, numbers: list[int]
) -> None:
    """One shot pulled, entered and saved, or the last entry taken back; keeps the numbers of this sitting."""
    _wake(book, kept)
    question = "Pull it, then press Enter" + (f" (`{UNDO}` takes back the last entry)" if numbers else "") + ":"
    while (answer := ask(desk, question).lower()) != "":
        if answer != UNDO:
            desk.say("  Enter alone says that it is pulled; the questions about it follow.")
        elif _took_back(desk, book, kept, numbers):
            return
    made = ask_shot(
        desk,
        kept.pairing,
        suggested=advice.next_recipe,
        last=last,
        with_strength=assumed(book, kept).with_strength,
    )
    number = book.log(kept.id, made)
    desk.say(f"Saved as shot {number}: {words.shot_words(made)}.")
    numbers.append(number)
    ask_about(desk, book, kept, number, made)
    # Whoever is pregnant is told with each shot, not with every third.
    if len(numbers) % (1 if book.pregnant() else CAFFEINE_EVERY) == 0:
        desk.say(*tally_lines(caffeine_tally(book, desk.now())))


def _took_back(desk: Desk, book: Logbook, kept: PairingRecord, numbers: list[int]) -> bool:
    """Whether the last act was on a shot of this sitting, and is undone now. Any other stays, and is told."""
    last = next((act for act in reversed(book.history(kept.id)) if act.undone_at is None), None)
    if last is None:
        desk.say("There is nothing to take back.")
        return False
    if last.kind == "import" or last.entries[0].number not in numbers:
        desk.say(f"The last act was {act_words(last)}, not of this sitting; `dialopt undo` would take it back.")
        return False
    try:
        book.undo(kept.id, last.id)
    except (NotFound, Refused) as error:  # another process was quicker
        desk.say(str(error))
        return False
    desk.say(f"Took back {act_words(last)}.")
    if last.kind == "log":
        numbers.remove(last.entries[0].number)
    return True


def _ended(
    book: Logbook, kept: PairingRecord, numbers: list[int], advice: Advice | None, tally: CaffeineTally
) -> Answer:
    shots = book.shots(kept.id)
    many = f"{len(numbers) or 'No'} shot{'s' * (len(numbers) != 1)}"
    settled = advice is not None and advice.settled
    return Answer(
        did=f"Sitting over. {many} logged, {len(shots)} with this pairing.",
        lines=past_lines(tally),
        next_step=ENJOY if settled else "`dialopt sitting` goes on from here.",
        data={
            "pairing": kept.id,
            "numbers": numbers,
            "caffeine": tally_data(tally),
            "advice": None if advice is None else advice_data(kept, advice, book.last_pull(kept.id)),
        },
    )
