"""What a lesson says around its numbers: goal, hands-on minute, new words, beliefs, ticket.

No text here holds a number of a run; those are filled in by functions of the lesson.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from moistwall.lesson.numbers import damp_limit, degrees, grams, hours
from moistwall.lesson.questions import days
from moistwall.lesson.story import Lesson, Told

MINUTES = 45
"""A school lesson: an intention of ours, not a result. [min]"""

DEW_POINT = (
    "dew point",
    "The *dew point* of air is the temperature to which something must be cooled before that air leaves "
    "drops on it. The more water is in the air, the higher it is.",
)
HUMIDITY = (
    "relative humidity",
    "*Relative humidity* says how near air is to leaving drops: at a hundred percent it is there. The "
    "same air is near to it on something cool, and far from it on something warm.",
)
TRADE = (
    (
        "vapor pressure",
        "*Vapor pressure* is the dew point in other units: the push of the water in the air, in pascal.",
    ),
    (
        "saturation line",
        "The *saturation line* shows the most of it that each layer can have at its temperature: where "
        "the steps reach the line, drops form.",
    ),
    (
        "perm",
        "The *perm* tells how easily a layer lets it through: few of them mean a large step down.",
    ),
)

CAN = (
    "Take a can from the fridge, wipe it dry and stand it on the table. Breathe near it. Within a minute "
    "it is wet outside. The can is whole: the water was in the air of this room.",
    "Do the same with a can that stood on the table all day. Nothing happens.",
)
SPONGE = (
    "Put a wet sponge into a clear bag, close it and lay it in the sun or under a lamp. Within a minute "
    "the bag fogs inside. Turn it: the fog moves to the side that is cooler.",
    "Take the sponge out and put the dry bag over it loosely, open below. Now the water finds a way out.",
)


@dataclass(frozen=True)
class Belief:
    """Something that many believe, and what the run shows.

    Parameters
    ----------
    said : str
        The belief.
    shown : callable
        From the lesson, what the run says to it.
    """

    said: str
    shown: Callable[[Lesson], str]


@dataclass(frozen=True)
class Words:
    """The texts of one lesson.

    Parameters
    ----------
    title, goal : str
        What it is called, and what students can do afterwards.
    hands_on : tuple of str
        A minute to begin with.
    link : str
        What the hands-on minute has to do with the section.
    word : tuple of str
        The lesson's own new word, and a sentence that defines it.
    beliefs : tuple of Belief
        Misconceptions that it meets.
    """

    title: str
    goal: str
    hands_on: tuple[str, ...]
    link: str
    word: tuple[str, str]
    beliefs: tuple[Belief, ...]


def _damp(told: Told) -> str:
    return f"{hours(told.wettest.hours_rh_80)} ({told.wettest.name})"


def _warm_to_cold(lesson: Lesson) -> str:
    told = lesson.designs[1]
    return (
        f"It goes from the higher dew point to the lower. In {hours(told.hours_crossed)} of this year the warmer "
        "side had the lower one."
    )


def _barrier_inside(lesson: Lesson) -> str:
    one, two = lesson.designs
    return (
        f"Hours at or above {damp_limit()} at the dampest joint: {one.label} {_damp(one)}, {two.label} "
        f"{_damp(two)}."
    )


def _looks_dry(lesson: Lesson) -> str:
    told = lesson.designs[1]
    return (
        f"Of '{told.label}' the face that one can touch was at or above {damp_limit()} for "
        f"{hours(told.room_hours_rh_80)}, a hidden joint for {_damp(told)}."
    )


def _more_foam(lesson: Lesson) -> str:
    first = lesson.plan.start
    rows = [
        (lesson.plan.factors[0].options[choice[0]].shown, told)
        for choice, told in lesson.variants
        if choice[1:] == first[1:]
    ]
    others = ", ".join(
        option.options[k].shown
        for option, k in zip(lesson.plan.factors[1:], first[1:], strict=True)
    )
    listed = "; ".join(f"{shown}: {_damp(told)}" for shown, told in rows)
    return f"Dampest joint by thickness ({others}): {listed}."


def _roof_dew(lesson: Lesson) -> str:
    one, two = lesson.designs
    return (
        f"Vapor left drops on some face outside of the rain-control layer in {hours(one.dew_hours)} of the year "
        f"({one.label}) and {hours(two.dew_hours)} ({two.label}), whether it rained or not."
    )


def _gap_dries(lesson: Lesson) -> str:
    one, two = lesson.designs
    return (
        f"In {hours(one.gap_wetting_hours)} ({one.label}) and {hours(two.gap_wetting_hours)} ({two.label}) the "
        "air of the outermost gap brought water instead of taking it."
    )


def _small_holes(lesson: Lesson) -> str:
    told = lesson.designs[1]
    return (
        f"A year of leaks brought {grams(told.leak_year)} inward on each square meter, vapor through the layers "
        f"{grams(told.vapor_year)}."
    )


def _sealing(lesson: Lesson) -> str:
    plan = lesson.plan
    rows = [
        (plan.factors[0].options[choice[0]].shown, told)
        for choice, told in lesson.variants
        if choice[1:] == plan.start[1:]
    ]
    listed = "; ".join(
        f"{shown}: {grams(told.leak_year)}, dampest joint {_damp(told)}" for shown, told in rows
    )
    return f"Water that air brings in a year, fan always on, by blower-door test: {listed}."


def _days(lesson: Lesson) -> str:
    one, two = lesson.designs
    return f"Until every hidden joint was dry for a day: {days(one)} ({one.label}), {days(two)} ({two.label})."


def _setpoint(lesson: Lesson) -> str:
    """The dampest joint as the room is set colder, all else as the page starts with."""
    plan = lesson.plan
    rows = [
        (plan.factors[-1].options[choice[-1]].shown, told)
        for choice, told in lesson.variants
        if choice[:-1] == plan.start[:-1]
    ]
    listed = "; ".join(f"{shown}: {_damp(told)}" for shown, told in rows)
    return f"Dampest joint by room: {listed}."


_WARM = Belief("Water in the air always goes from the warm side to the cold side.", _warm_to_cold)
_DRY = Belief("If it looks dry from the room, the inside of it is dry.", _looks_dry)
_COLD = Belief("A colder room keeps everything drier.", _setpoint)

WORDS = {
    "vapor-drive": Words(
        "Which way does the water in the air go?",
        "Say which way water in the air moves through a wall on a summer noon and on a winter night, and "
        "find the place where it stays.",
        CAN,
        "Behind the inside finish, an air-conditioned wall has a side that is cool all summer. It is a "
        "can that stands there for months.",
        (
            "vapor drive",
            "The difference between the two dew points on both sides of a wall is its *vapor drive*: it "
            "pushes from the higher to the lower.",
        ),
        (
            _WARM,
            Belief(
                "The room's side is the right place for a sheet that stops vapor, everywhere.",
                _barrier_inside,
            ),
            _DRY,
            _COLD,
        ),
    ),
    "foam": Words(
        "How much foam does a wall need?",
        "Tell what a sheet of foam outside does to the place where a wall is damp, and whether more of it"
        " does more.",
        CAN,
        "Foam outside keeps what lies behind it warm, and its facers let next to no vapor in. The can "
        "never meets the damp air.",
        (
            "facer",
            "The thin skin on each side of a sheet of foam is its *facer*; one of foil stops vapor, "
            "however thin the foam.",
        ),
        (Belief("More foam, less damp: thickness decides.", _more_foam), _WARM, _DRY),
    ),
    "roof": Words(
        "Should a roof breathe?",
        "Compare a roof with foam above its deck with a vented attic, by day and on a clear night.",
        CAN,
        "A roof sees the open sky. On a clear night it becomes colder than the air around it, like the "
        "can from the fridge.",
        (
            "sky cooling",
            "A face that sees a clear sky gives off heat to it and becomes colder than the air: *sky "
            "cooling*.",
        ),
        (
            Belief("A roof gets wet from rain only.", _roof_dew),
            Belief("Outdoor air through a gap always dries it.", _gap_dries),
            _DRY,
        ),
    ),
    "leaks": Words(
        "What does a draft carry?",
        "Compare the water that air carries through leaks with the water that goes through the layers "
        "themselves, and say what a fan has to do with it.",
        CAN,
        "A leak leads outdoor air past the cool back of the inside board: the can again, with fresh damp "
        "air all the time.",
        (
            "depressurize",
            "A fan that blows air out makes a house *depressurize*: as much air comes in elsewhere, "
            "through every leak.",
        ),
        (
            Belief("Holes are small, so they do not matter.", _small_holes),
            Belief("Seal the leaks, and a fan does no harm.", _sealing),
            _COLD,
        ),
    ),
    "dry-out": Words(
        "How long does a wet wall take to dry?",
        "Follow the water of one storm out of a wall, and tell what holds it back.",
        SPONGE,
        "A wet sheathing between foil on one side and wallcovering on the other is the sponge in the bag.",
        (
            "storage",
            "Wood, board and brick take up water without looking wet and give it back slowly: that is "
            "their *storage*.",
        ),
        (
            Belief("The surface is dry, so the wall is dry.", _looks_dry),
            Belief("Any wall dries within a few days.", _days),
            _WARM,
        ),
    ),
}


def new_words(name: str, trade: bool) -> tuple[tuple[str, str], ...]:
    """The new words of a lesson in the order in which they are defined: at most six.

    Parameters
    ----------
    name : str
        The lesson.
    trade : bool
        Whether it is for people of the trade.

    Returns
    -------
    tuple of (str, str)
        Word, and the sentence that defines it, the word between asterisks.
    """
    return (DEW_POINT, HUMIDITY, WORDS[name].word, *(TRADE if trade else ()))


@dataclass(frozen=True)
class Ticket:
    """A question to leave with, and its answer for the teacher.

    Parameters
    ----------
    ask, answer : str
        Question; answer from the run.
    """

    ask: str
    answer: str


def ticket(lesson: Lesson) -> tuple[Ticket, ...]:
    """The exit ticket of a lesson.

    Parameters
    ----------
    lesson : Lesson
        A computed lesson.
    """
    told = lesson.designs[1]
    hour = min(2, len(lesson.moments) - 1)
    moment, still, air = lesson.moments[hour], told.stills[hour], lesson.weather[hour]
    names = ["outdoor air", *(told.parts[k].name for k in told.columns), "room air"]
    known = [
        (step.dew_point, name)
        for step, name in zip(still.steps, names, strict=True)
        if step.dew_point is not None
    ]
    high, low = max(known), min(known)
    way = "inward" if air.inward else "outward"
    return (
        Ticket(
            f"In the moment '{moment.name}', '{told.label}': name the highest and the lowest step. "
            "Which way is vapor driven from the air on one side to the air on the other?",
            f"Highest {high[1]} with {degrees(high[0])}, lowest {low[1]} with {degrees(low[0])}. Outdoors "
            f"{degrees(air.outdoor_dew_point)}, room {degrees(air.room_dew_point)}: {way}.",
        ),
        _best_change(lesson),
        Ticket(
            "Name one thing that this computed year leaves out and that could still wet the real building.",
            "Any of the cautions: workmanship, other leaks, a hurricane or flood, people, air loops, fire"
            " and structure are not in it.",
        ),
    )


def _best_change(lesson: Lesson) -> Ticket:
    """Which single change of the what-ifs helps most."""
    plan = lesson.plan
    by_choice = dict(lesson.variants)
    own = by_choice[plan.start]
    single = [
        (told.wettest.hours_rh_80, factor.words, factor.options[choice[k]].shown)
        for choice, told in lesson.variants
        for k, factor in enumerate(plan.factors)
        if choice[k] != plan.start[k]
        and choice[:k] + choice[k + 1 :] == plan.start[:k] + plan.start[k + 1 :]
    ]
    best = min(single)
    begin = ", ".join(
        f"{one.words}: {one.options[k].shown}"
        for one, k in zip(plan.factors, plan.start, strict=True)
    )
    ask = f"You may change one thing only ({begin}). Which change makes the dampest joint drier by most?"
    if best[0] >= own.wettest.hours_rh_80:
        return Ticket(
            ask,
            f"None of them: it has {hours(own.wettest.hours_rh_80)}, and each change gives as many or more.",
        )
    answer = (
        f"{best[1]}: {best[2]}. From {hours(own.wettest.hours_rh_80)} at or above {damp_limit()} to "
        f"{hours(best[0])}."
    )
    return Ticket(ask, answer)


CAN_KEY = (
    "The can is colder than the dew point of the room's air, so that air leaves drops on it; the can from"
    " the table is not. If nothing shows on the cold can, the air of the room is dry: breathe on it."
)
SPONGE_KEY = (
    "Water leaves the warm sponge as vapor and comes back as drops where the bag is cooler: it only moves"
    " until it has a way out."
)
