"""Small problems with one late line each whose binding limit is known by construction, worked by hand.

A pour of one tray takes 17 minutes of hands (10 to weigh and mix, 2 to fill, 5 to clean up), an opening 3,
a coat 5, packing 10; it sets in 60 minutes and dries in a day (see `builders`).
"""

from dataclasses import replace

from production.planning.problem import Pin, Problem, Receipt, Window
from tests.production.planning.builders import (
    a_compound,
    a_line,
    a_mould,
    a_problem,
    an_article,
    working_days,
)

DAY = 1440
PAINTED = an_article("Painted", parts=(), steps=(), pack_minutes=470, pack_wait_minutes=0)


def one_mould() -> Problem:
    """Two trays in two colours, one copy that rests three days: the second is poured on day 3."""
    lines = a_line("first", ship_by=2 * DAY), a_line("late", colour="Fog", ship_by=2 * DAY + 1)
    return a_problem(*lines, moulds=(a_mould(copies=1, rest_minutes=3 * DAY),))


def one_pair() -> Problem:
    """Two packings of 470 minutes, both due after 480: longer evenings come too late."""
    lines = a_line("first", article="Painted", ship_by=1020), a_line("late", article="Painted", ship_by=1021)
    return a_problem(*lines, articles=(an_article(), PAINTED))


def late_powder() -> Problem:
    """Powder for nothing until day 8, due on day 6."""
    return a_problem(
        a_line("late", ship_by=6 * DAY),
        compounds=(a_compound(powder_g=20, receipts=(Receipt(8 * DAY, 5000),)),),
    )


def closed_day() -> Problem:
    """Day 0 holds one pour and one opening, the one copy is free again on day 1, and nobody is in then.

    A second copy does not help, because 30 minutes hold one pour, nor a second pair, because there is one
    copy; longer hours do not, because the copy is still wet. On day 1 the second pour would be in time.
    """
    opening = Window(540, 570), Window(700, 710)
    days = tuple(window for window in working_days(30) if window.start >= 2 * DAY)
    due = 2 * DAY + 1020
    return a_problem(
        a_line("first", ship_by=due),
        a_line("late", colour="Fog", ship_by=due + 1),
        windows=(*opening, *days),
        moulds=(a_mould(copies=1, rest_minutes=1000),),
    )


def mould_and_hands() -> Problem:
    """Both colours must be poured at once on day 0: that takes a second copy and a second pair.

    It sets in 140 minutes. Poured at 540 both are out at 706, dry at 2146 and packed by 2281; the second
    of two pours one after the other is out at 712 at the earliest, and packed at 2287.
    """
    first_day = Window(540, 570), Window(700, 710)
    days = tuple(window for window in working_days(30) if window.start >= DAY)
    return a_problem(
        a_line("first", ship_by=2283),
        a_line("late", colour="Fog", ship_by=2284),
        windows=(*first_day, *days),
        compounds=(a_compound(open_after_minutes=140),),
        moulds=(a_mould(copies=1, rest_minutes=1000),),
    )


def a_pin() -> Problem:
    """As `mould_and_hands`, but the first has time; it is pinned to the one pour of day 0 all the same."""
    problem = mould_and_hands()
    first, late = problem.lines
    return replace(
        problem,
        lines=(replace(first, ship_by=20 * DAY), late),
        pins=(Pin("Quick", "Slate", 540, 541),),
    )


def too_late() -> Problem:
    """Due by noon of the second day; with nothing else to do it is packed at 12:30."""
    return a_problem(a_line("late", ship_by=DAY + 720))
