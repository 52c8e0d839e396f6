"""What to ask about a shot that contradicts itself, the pairing or the shots before."""

from __future__ import annotations

from dialopt.logbook.second_look import Asked
from dialopt.text.formats import dial_ends, dial_words, exact, plain
from dialopt.text.said import row
from dialopt.trade.dial import Dial
from dialopt.trade.fields import FIELDS
from dialopt.trade.pairing import DIAL_UNITS, DIAL_WORDS
from dialopt.trade.plausibility import Question
from dialopt.trade.shot import balance_word

_SENTENCES = {
    "off_dial": "{name} {setting} isn't on the dial, {offers}; it is logged as you said.",
    "above_basket": "{name} {setting} is more than the basket takes, {ends}: a puck that touches the group's screen is "
    "disturbed, channels or chokes (common practice). It is logged as you said.",
    "below_basket": "{name} {setting} is less than the basket is made for, {ends}: a thin puck under much headroom "
    "runs fast and channels (common practice). It is logged as you said.",
    "swapped": "{yield_g} g in the cup from {dose_g} g of coffee: have the two changed places?",
    "fast_bitter": "It ran fast, {time_s} s, and tasted {taste}, while fast shots tend to be sour.",
    "slow_sour": "It ran slow, {time_s} s, and tasted {taste}, while slow shots tend to be bitter.",
    "yield": "{yield_g} g in the cup is far from the {target_g} g to stop at, ratio 1:{ratio}.",
    "score": "Score {score} and {taste} seldom go together.",
    "day": "{day} is before the beans were roasted, {roasted_on}; the shot is read, its day isn't.",
    "repeat": "Score {score} is far from the {usual} of the same recipe before.",
    "again": "The same figures as the shot before, and hardly any time between.",
    "choked_yet_fast": "It choked, while earlier shots make {likely_s} s likely at this grind.",
    "time": "{time_s} s is far from the {likely_s} s that earlier shots make likely at this grind.",
    "first_time": "{time_s} s is far from what is usual.",
    "channelled_yet_slow": "A channelled puck runs fast, and {time_s} s is far beyond the {likely_s} s that earlier "
    "shots make likely at this grind.",
    "first_channelled": "A channelled puck runs fast, and {time_s} s is far beyond what is usual.",
    "finer": "The finer the grind is said to be, the faster it ran, {grinds} grinds in a row: do the numbers of "
    "{grinder} run {finer} for finer?",
    "notes": "In {against} of {pairs} pairs of shots the longer one was noted as the more sour, while slow shots tend "
    "to be bitter. Sharp as lemon is sour, dry and harsh as burnt toast is bitter: have the two changed places?",
}

_SLIPS = {field.name: " ".join(field.option[:2]) for field in FIELDS} | {"fault": "--fault none"}
"""The option that would mend a field."""
_SWAPPED = f"{_SLIPS['dose_g']} {_SLIPS['yield_g']}"
_FAULTS = {
    "channelled": ("the puck channelled", "Did the puck channel?"),
    "choked": ("it choked", "Did it choke?"),
    "misweighed": ("the scales were wrong", "Were the scales wrong?"),
}
_RIGHT = {"yield_g": "cup weight, g", "time_s": "time, s", "score": "score", "balance": "balance"}
ASKED = tuple(_RIGHT)
"""The fields that are asked about in a conversation: settings and faults were, when they were typed."""
HAVE_THEY = "Have they?"
WAS_IT_A_SLIP = "Was it a slip of the pen?"
MEND = "`dialopt amend NUMBER` with --fault or the right value mends a shot; "
_MOST_LISTED = 5
_LEAVE_IT = "; if it was so, leave it."


def look_lines(asked: Asked) -> tuple[str, ...]:
    """Each question and the commands that would mend it, two lines."""
    return tuple(
        line
        for number, question in asked
        for line in (row("Really?", question_sentence(question)), row("", _mend(number, question)))
    )


def listed_lines(asked: Asked) -> tuple[str, ...]:
    """The first questions about many shots, a line each."""
    first, more = asked[:_MOST_LISTED], len(asked) - _MOST_LISTED
    return (
        *(row("Really?", f"shot {number}: {question_sentence(question)}") for number, question in first),
        *([row("", f"and {more} more; `--json` lists them all")] if more > 0 else []),
    )


def slip_commands(number: int, question: Question) -> list[str]:
    """The commands that would mend a slip of the pen, any one of them, or all for what is no slip in one figure."""
    if question.about == "swapped":
        return [f"dialopt amend {number} {_SWAPPED}"]
    if question.slip:
        return [f"dialopt amend {number} {_SLIPS[field]}" for field in question.slip]
    turned = [f"dialopt grinder NAME --finer {question.finer}", "dialopt pairing --amend"]
    return turned if question.finer else ["dialopt undo"]


def fault_command(number: int, question: Question) -> str | None:
    """The command that marks the fault which would explain it."""
    return question.fault and f"dialopt amend {number} --fault {question.fault}"


def fault_question(fault: str) -> str:
    """Whether it was that fault."""
    return _FAULTS[fault][1]


def right_question(field: str, old: float) -> str:
    """What a field should have been."""
    return f"The right {_RIGHT[field]}; Enter to leave {old:g}:"


def _mend(number: int, question: Question) -> str:
    commands = slip_commands(number, question)
    if question.about == "again":
        return "If it is one shot logged twice: `dialopt undo` takes it back; if it was so, leave it."
    if question.finer is not None:
        turn = "`, then `".join(commands)
        return f"If they do: `{turn}`; if not, the puck or the time may mislead, and more shots will tell."
    if question.about == "notes":
        each = f"`dialopt amend {number} {_SLIPS['balance']}`, and so for each of them"
        return f"If they have: {each}; if not, leave it, and more shots will tell."
    if question.about == "swapped":
        return f"If they have: `{commands[0]}`{_LEAVE_IT}"
    slip = f"`dialopt amend {number} {'` or `'.join(_SLIPS[field] for field in question.slip)}`{_LEAVE_IT}"
    if question.fault is None:
        return f"If it is a slip of the pen: {slip}"
    fault = f"If {_FAULTS[question.fault][0]}: `{fault_command(number, question)}`"
    return f"{fault}; if it is a slip of the pen: {slip}"


def question_sentence(question: Question) -> str:
    """What looks odd, in a sentence or two."""
    said: dict[str, str] = {}
    unit = DIAL_UNITS.get(question.about, "")
    for name, value in question.values.items():
        if isinstance(value, Dial):
            said |= {"offers": dial_words(value, unit), "ends": dial_ends(value, unit)}
        elif isinstance(value, str):
            said[name] = value
        elif name == "balance":
            said["taste"] = balance_word(value)
        elif name == "setting":
            said |= {"name": DIAL_WORDS[question.about].capitalize(), "setting": f"{exact(value)}{unit}"}
        else:
            said[name] = plain(value, 0 if name == "likely_s" else 2)
    return _SENTENCES[question.kind].format(**said)
