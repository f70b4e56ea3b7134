"""Copies in use, by hand: one tray poured at 10, out at 100 + 3, free after an hour of rest."""

from dataclasses import replace

from production.planning.copies_in_use import CopiesInUse
from production.planning.list_rule import ListRule
from production.planning.prepare import prepare
from production.planning.problem import CastCount, Poured
from production.planning.simulate import simulate
from tests.production.planning.builders import DAY, a_line, a_mould, a_problem

RUN = simulate(prepare(a_problem()), ListRule(5 * DAY, 0, 0.0))
MIX = replace(RUN.mixes[0], start=10, opened=100)


def test_a_copy_is_in_use_from_the_start_of_its_mix_until_it_is_dry():
    in_use = CopiesInUse(replace(RUN, mixes=(MIX,)))

    assert in_use.back_at(MIX, 0) == 163
    assert in_use.most(0, 0, 10, without=9) == 0
    assert in_use.most(0, 0, 11, without=9) == 1
    assert in_use.most(0, 162, 500, without=9) == 1
    assert in_use.most(0, 163, 500, without=9) == 0
    assert in_use.most(0, 0, 500, without=0) == 0


def test_copies_in_use_at_once_are_added_and_others_not():
    later = replace(MIX, start=150, opened=300)
    after = replace(MIX, start=400, opened=500)
    in_use = CopiesInUse(replace(RUN, mixes=(MIX, later, after)))

    assert in_use.most(0, 0, 1000, without=9) == 2
    assert in_use.most(0, 170, 1000, without=9) == 1


def test_casts_in_their_moulds_and_copies_away_are_in_use_from_the_beginning():
    poured = Poured("P1", "Quick", "Slate", -50, (CastCount("101", "body", 1),))
    problem = a_problem(a_line(quantity=2), moulds=(a_mould(copies=3, free_at=(2000,)),), poured=(poured,))

    in_use = CopiesInUse(simulate(prepare(problem), ListRule(5 * DAY, 0, 0.0)))

    # The cast is out of its mould on the first morning, 9:00 + 3 minutes, and that dry an hour later.
    assert in_use.most(0, 0, 603, without=9) == 2
    assert in_use.most(0, 603, 2000, without=0) == 1
    assert in_use.most(0, 2000, 3000, without=0) == 0
