"""When the copies of a mould are in use, and what a mix at some minute would meet."""

from dataclasses import replace

from production.planning.list_rule import ListRule
from production.planning.moving_room import MouldUse, needs_of_mix
from production.planning.prepare import prepare
from production.planning.problem import CastCount, Poured
from production.planning.simulate import simulate
from production.planning.state import GivenMix
from tests.production.planning.builders import DAY, a_line, a_mould, a_problem

RULE = ListRule(3 * DAY, 0, 0.0)


def test_what_a_mix_takes_is_reckoned_whenever_it_is_poured() -> None:
    prepared = prepare(a_problem(a_line("101", quantity=2)))

    needs = needs_of_mix(prepared, GivenMix(0, 0, ((0, 2),)))

    # Ten minutes to weigh, two to fill each, five to clean up; then an hour to set, three to open each.
    assert (needs.hands_minutes, needs.set_after, needs.opening_minutes) == (19, 74, 6)
    assert needs.copies == ((0, 2),)
    # 200 ml at 2 g and 50 g of residue, half of it powder.
    assert needs.draws == ((0, 225_000),)


def test_copies_that_are_full_or_damp_at_the_start_are_in_the_way_until_they_are_free() -> None:
    poured = Poured("mix 1", "Quick", "Slate", 500, (CastCount("101", "body", 1),))
    problem = a_problem(
        a_line("101"), a_line("102"), poured=(poured,), moulds=(a_mould(copies=2, free_at=(2 * DAY,)),)
    )
    prepared = prepare(problem)
    use = MouldUse(simulate(prepared, RULE), without=None)
    needs = needs_of_mix(prepared, GivenMix(0, 0, ((0, 1),)))

    clash = use.clash(needs, 600)

    assert clash is not None
    assert (clash.mould, clash.copies, clash.mix, clash.is_later) == ("tray", 2, None, False)
    # It is opened at 560, an hour after it was filled, out at 563, dry at 623; the other is damp longer.
    assert clash.until == 2 * DAY
    assert use.clash(needs, 623) is None


def test_a_mix_left_out_is_not_in_its_own_way() -> None:
    problem = replace(a_problem(a_line("101", quantity=2)), moulds=(a_mould(copies=2, rest_minutes=DAY),))
    prepared = prepare(problem)
    run = simulate(prepared, RULE)
    needs = needs_of_mix(prepared, GivenMix(0, 0, ((0, 2),)))
    start = run.mixes[0].start

    in_its_way = MouldUse(run, without=None).clash(needs, start + 15)

    assert in_its_way is not None
    assert in_its_way.mix is run.mixes[0]
    assert MouldUse(run, without=run.mixes[0]).clash(needs, start + 15) is None
