"""The one sentence that goes with a piece of advice."""

from __future__ import annotations

from dialopt.engine.reason import Caveat, Move, Reason
from dialopt.text.formats import bare_setting, counted, joined, odds, sentence_case, setting
from dialopt.trade.pairing import DIAL_WORDS
from dialopt.trade.recipe import Recipe

_KINDS = {
    "settled": "More test shots won't help much; the chance is {odds} that no setting is better by more than half a "
    "point",
    "start": "Nothing has been tasted yet, so start where the best cup is most likely",
    "untasted": "The last recipe wasn't properly tasted, so pull it once more",
    "again_best": "The same again: it is the best guess so far, and no other cup is worth more now",
    "again_unsure": "The same again: a second cup shows how far to trust the first",
    "careful": "The puck choked, so this is a careful step to where the best cup is likelier",
    "nearest": "The setting of the dials that is nearest to the last shot",
}
_BECAUSE = {
    "shot_time": "Only the grind moves until the shot time is right: ",
    "choked": "The last puck choked: ",
    None: "",
}
_UNTRIED = {"grind": ("finer than", "coarser than"), "dose_g": ("above", "below"), "temp_c": ("above", "below")}


def reason_sentence(reason: Reason) -> str:
    """Why this recipe next, in one plain sentence that names every dial it moves."""
    if reason.kind == "moves":
        said = sentence_case(_BECAUSE[reason.because] + "; ".join(_move(move) for move in reason.moves))
    else:
        said = _KINDS[reason.kind].format(odds=odds(reason.prob_near_optimal))
    if reason.goes_by:
        said += f", going by {joined([_source(name, reason) for name in reason.goes_by])}"
    return "; ".join([said, *(_caveat(caveat) for caveat in reason.caveats)]) + "."


def _source(name: str, reason: Reason) -> str:
    return {
        "suggestion": "the roaster's suggestion",
        "roast": f"the {reason.roast} roast",
        "earlier": counted(reason.earlier, "earlier pairing"),
    }[name]


def _move(move: Move) -> str:
    return f"{DIAL_WORDS[move.dial]} {setting(move.dial, move.now)} (was {bare_setting(move.dial, move.was)}), " + (
        "to the best guess so far"
        if move.why == "best"
        else "towards the best guess so far"
        if move.why == "towards_best"
        else "to find out what that changes"
        if move.why == "open"
        else _held_against(move, move.beyond or 0.0)
    )


def _held_against(move: Move, beyond: float) -> str:
    if move.why == "ran_fast":
        return f"as the finest so far ran fast, {beyond:g} s"
    if move.why == "ran_slow":
        return f"as the coarsest so far ran slow, {beyond:g} s"
    side = _UNTRIED[move.dial][move.why == "untried_less"]
    return f"as nothing {side} {setting(move.dial, beyond)} has been tasted yet and one cup there teaches the most"


def _caveat(caveat: Caveat) -> str:
    if caveat.kind == "edges":
        where = "the ends of their dials" if len(caveat.dials) > 1 else "the end of the dial"
        return f"the best {joined([DIAL_WORDS[name] for name in caveat.dials])} may lie at or beyond {where}"
    if caveat.kind == "may_choke" and isinstance(caveat.recipe, Recipe):
        grind, dose = (setting(name, getattr(caveat.recipe, name)) for name in ("grind", "dose_g"))
        return f"a puck choked at {grind} with {dose}, so this one may, too"
    if caveat.kind == "older":
        return f"the beans are {caveat.days} days older than at the last shot, so less is certain"
    return {
        "ridge": "there is no single best setting, as a whole line of them does about as well",
        "modes": "the best may also lie in quite another place",
    }[caveat.kind]
