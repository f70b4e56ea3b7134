"""What a pinned mix needs is kept for it, and no more than that."""

import pytest

from production.planning.list_rule import ListRule
from production.planning.prepare import prepare
from production.planning.problem import Pin
from production.planning.simulate import simulate
from production.planning.supplies import Supply, SupplyReceipt
from tests.production.planning.builders import a_compound, a_line, a_mould, a_problem

DAY = 1440
AT_ONCE = ListRule(10**6, 10**6, 0.0)
# Weighing 10, filling 2, setting 60, opening 3, resting 60: a copy is in use for 135 minutes.
TURN = 135


def mixes(problem, given=()):
    run = simulate(prepare(problem), AT_ONCE, given=given)
    return run.missed_pins, [(run.prepared.jugs[mix.jug].colour, mix.start) for mix in run.mixes]


def fogs(count):
    return [a_line(f"fog {number}", colour="Fog", ship_by=DAY + number) for number in range(count)]


@pytest.mark.parametrize(
    ("pin_at", "fogs_at"),
    [
        # Poured at 09:00 and dry at 11:15, one of Fog is out of the way of 11:15 but not of 11:14.
        (540 + TURN, [540, 540 + 2 * TURN]),
        (540 + TURN - 1, [540 + 2 * TURN - 1, 540 + 3 * TURN - 1]),
    ],
)
def test_the_copy_is_there_and_until_then_others_have_it(pin_at, fogs_at):
    pin = Pin("Quick", "Slate", pin_at, pin_at)
    problem = a_problem(a_line(), *fogs(2), moulds=(a_mould(copies=1),), pins=(pin,))

    missed, poured = mixes(problem)

    assert missed == 0
    assert poured == sorted([("Slate", pin_at), *(("Fog", at) for at in fogs_at)], key=lambda mix: mix[1])


def test_of_copies_that_are_out_the_first_to_come_back_are_held():
    """Both are out when it would be too late to take one; at 11:20 one comes back for it, one for Fog."""
    pin = Pin("Quick", "Slate", 700, 700)
    two_at_once = [
        a_line("fog", colour="Fog", quantity=2, ship_by=DAY),
        a_line("more", colour="Fog", quantity=2),
    ]

    missed, poured = mixes(a_problem(a_line(), *two_at_once, pins=(pin,)))

    assert missed == 0
    assert poured[:3] == [("Fog", 540), ("Fog", 680), ("Slate", 700)]


def test_a_night_is_too_long_for_a_mould_to_be_back_in_the_morning():
    """Poured at 15:45 or before it is opened that day; a minute later it would be full at nine."""
    pin = Pin("Quick", "Slate", DAY + 540, DAY + 540)

    missed, poured = mixes(a_problem(a_line(), *fogs(5), moulds=(a_mould(copies=1),), pins=(pin,)))

    assert missed == 0
    assert ("Fog", 540 + 3 * TURN) in poured
    assert poured[4] == ("Slate", DAY + 540)


@pytest.mark.parametrize(("receipt_at", "fog_at"), [(2 * DAY + 540, 2 * DAY + 540), (DAY + 540, 540)])
def test_its_powder_is_there_unless_enough_comes_until_then(receipt_at, fog_at):
    """A mix of one takes 125 g of powder, and 150 g are in hand."""
    pin = Pin("Quick", "Slate", DAY + 600, DAY + 600)
    powder = Supply("gypsum", 150, (SupplyReceipt(receipt_at, 150),))
    problem = a_problem(
        a_line(), *fogs(1), compounds=(a_compound(powder="gypsum"),), supplies=(powder,), pins=(pin,)
    )

    missed, poured = mixes(problem)

    assert missed == 0
    assert sorted(poured) == [("Fog", fog_at), ("Slate", DAY + 600)]


def test_what_was_kept_is_let_go_where_the_pin_is_missed():
    """Nobody is in at the minute of the pin: what it held is the others' from then on."""
    at_night = Pin("Quick", "Slate", 1200, 1200)
    powder = Supply("gypsum", 150)
    problem = a_problem(
        a_line(), *fogs(1), compounds=(a_compound(powder="gypsum"),), supplies=(powder,), pins=(at_night,)
    )

    missed, poured = mixes(problem)

    assert missed == 1
    assert poured == [("Fog", DAY + 540)]
