"""What would help, priced: offers whose worth is known by construction, and none that makes it worse."""

from contextlib import suppress
from dataclasses import replace

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from production.planning.effort import Effort
from production.planning.forms import plan_to_form, problem_from_form
from production.planning.offers import (
    COPY,
    EARLIER,
    HOUR,
    JUG,
    PAIR,
    PARTS,
    SATURDAYS,
    Offer,
    Offers,
    halves,
    offered,
)
from production.planning.plans import plan_of
from production.planning.prepare import prepare
from production.planning.problem import Window
from production.planning.reasons import explain
from production.planning.resolving import Resolver, Stopped
from production.planning.solve import search
from production.planning.supplies import StepNeed, Supply, SupplyReceipt
from production.planning.why import Why
from tests.production.planning import late_cases
from tests.production.planning.builders import (
    a_compound,
    a_line,
    a_mould,
    a_problem,
    an_article,
    working_days,
)
from tests.production.planning.checker import faults_in
from tests.production.planning.generator import a_problem_form

DAY = 1440
EFFORT = Effort(rules=3)


def looked_into(problem, *, effort=EFFORT, should_stop=None, told=None):
    """A look to its end, or until it is stopped; its reasons and its prices."""
    run = search(prepare(problem), effort=effort)
    why = Why(explain(plan_of(run), run), Resolver(run, effort=effort, should_stop=should_stop))
    offers = Offers(why, told)
    with suppress(Stopped):
        why.look()
        offers.look()
    return offers


def priced(problem, kind, **how):
    (found,) = [one for one in looked_into(problem, **how).priced if one.offer.kind == kind]
    return found


def test_one_more_copy_saves_the_points_of_the_line_that_waited_for_it():
    """One piece, packed at 12:00 on day 4 instead of at noon of day 1 at the latest: 2 + 2 or 3 days."""
    found = priced(late_cases.one_mould(), COPY)

    assert found.offer == Offer(COPY, "tray")
    assert found.helps
    assert found.points == 0
    ((line, before, after),) = found.lines
    assert (line, after) == ("late", 0)
    assert found.points_saved == 2 + before


def test_a_second_pair_of_hands_saves_a_line_that_waited_for_hands():
    found = priced(late_cases.one_pair(), PAIR)

    assert (found.points, found.points_saved) == (0, 3)
    assert found.lines == (("late", 1, 0),)


def test_an_hour_more_would_not_help_where_longer_hours_altogether_do_not():
    found = priced(late_cases.one_pair(), HOUR)

    assert not found.helps
    assert found.by_lifting
    assert (found.points_saved, found.mixes_saved, found.lines) == (0, 0, ())


def test_an_hour_more_a_day_saves_a_line_that_just_misses_closing():
    """Two packings of 260 minutes in a day of 480, due at its midnight: 520 fit in one hour more."""
    packed = an_article("Painted", parts=(), steps=(), pack_minutes=260, pack_wait_minutes=0)
    lines = [a_line(name, article="Painted", ship_by=DAY) for name in ("first", "late")]

    found = priced(a_problem(*lines, articles=(packed,)), HOUR)

    assert (found.points, found.points_saved) == (0, 3)


def test_saturday_hands_save_what_is_due_on_a_saturday():
    """Days 0 to 4 are full of packing, and so is day 7."""
    lines = [a_line(str(n), article="Painted", ship_by=5 * DAY + 1020) for n in range(6)]
    weekdays = tuple(window for window in working_days(30) if window.start // DAY % 7 < 5)

    found = priced(a_problem(*lines, articles=(late_cases.PAINTED,), windows=weekdays), SATURDAYS)

    # Two days late without it: due on Saturday, packed on Monday before closing time.
    assert (found.points, found.points_saved) == (0, 4)


def test_powder_two_days_earlier_saves_two_days_where_it_waits_for_powder():
    """Due on day 7 at noon; powder on day 8 is too late, on day 6 it is not."""
    problem = replace(
        late_cases.late_powder(), lines=(replace(late_cases.late_powder().lines[0], ship_by=7 * DAY + 1000),)
    )

    found = priced(problem, EARLIER)

    assert found.offer.name == "Quick"
    assert found.points == 0
    assert found.points_saved > 0


def test_boxes_two_days_earlier_are_an_offer_too():
    boxed = an_article(pack_needs=(StepNeed("box", 1),))
    problem = a_problem(
        a_line("late", ship_by=4 * DAY),
        articles=(boxed,),
        supplies=(Supply("box", 0, (SupplyReceipt(5 * DAY, 10),)),),
    )

    offer = Offer(EARLIER, "box")

    assert offered(problem, offer).supply_by_name["box"].receipts == (SupplyReceipt(3 * DAY, 10),)


def test_shipping_in_two_parts_leaves_only_the_rest_late():
    """Four trays in two pours, the second three days after the first: two are in time, two are not."""
    problem = a_problem(
        a_line("late", quantity=4, ship_by=3 * DAY), moulds=(a_mould(copies=2, rest_minutes=3 * DAY),)
    )

    found = priced(problem, PARTS)

    assert (found.offer.name, found.offer.pieces) == ("late", 2)
    ((line, before, after),) = found.lines
    assert (line, after) == ("late", before)
    assert found.points_saved == 2 * (2 + before)


def test_the_halves_of_a_line_are_its_pieces_under_names_that_are_free():
    problem = a_problem(a_line("101", quantity=5), a_line("101, first"))

    first, rest = halves(problem, Offer(PARTS, "101", 2))

    assert (first.quantity, rest.quantity) == (2, 3)
    assert len({first.id, rest.id, "101", "101, first"}) == 4


def test_a_bigger_jug_saves_mixes_where_the_jug_is_what_is_full():
    """Four trays of 200 g in a jug of 700: three a mix, with 50 g residue; in 1050 g four fit."""
    problem = a_problem(
        a_line("tray", quantity=4, ship_by=10 * DAY),
        a_line("late", article="Painted", ship_by=0),
        articles=(an_article(), late_cases.PAINTED),
        compounds=(a_compound(jug_g=700),),
        moulds=(a_mould(copies=8),),
    )

    found = priced(problem, JUG)

    assert (found.points_saved, found.mixes_saved) == (0, 1)
    assert not found.helps


def test_more_of_what_never_binds_is_not_even_offered():
    kinds = {one.offer.kind for one in looked_into(late_cases.one_pair()).priced}

    assert not kinds & {COPY, EARLIER, SATURDAYS}


def test_offers_that_were_not_priced_when_it_was_stopped_are_not_there():
    told = []
    stopped = looked_into(
        late_cases.one_mould(),
        told=lambda done, of: told.append((done, of)),
        should_stop=lambda: len(told) == 2,
    )

    assert told == [(0, told[0][1]), (1, told[0][1])]
    whole = looked_into(late_cases.one_mould()).priced
    assert 0 < len(stopped.priced) < len(whole)
    assert all(one in whole for one in stopped.priced)


def test_nothing_late_has_no_offers():
    offers = looked_into(a_problem())

    assert offers.priced == []
    assert offers.resolver.solves == 0


def test_an_unknown_offer_is_refused():
    with pytest.raises(ValueError, match="no offer called a longer week"):
        offered(a_problem(), Offer("a longer week"))


def test_an_hour_more_ends_at_midnight():
    problem = a_problem(windows=(Window(540, 600), Window(700, 1410)), minutes=2 * DAY)

    assert offered(problem, Offer(HOUR)).windows == (Window(540, 600), Window(700, 1440))


@settings(max_examples=12, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(
    st.integers(0, 10**6),
    st.integers(4, 14),
    st.sampled_from((0.2, 0.5)),
    st.sampled_from((1e6, 6000)),
)
def test_adding_a_copy_an_hour_or_powder_never_worsens_the_plan(seed, lines, slack, powder_g):
    form = a_problem_form(
        lines, seed, slack=slack, powder_g=powder_g, receipts=((9 * DAY, 1e5),), in_progress=seed % 2 == 0
    )
    problem = problem_from_form(form)
    run = search(prepare(problem), effort=Effort(rules=2))
    resolver = Resolver(run, effort=Effort(rules=2))
    offers = [Offer(COPY, mould) for mould in ("bookend", "tray")]
    offers += [Offer(HOUR), Offer(SATURDAYS), Offer(PAIR), Offer(JUG), Offer(EARLIER, "Quick")]

    assert resolver.unchanged.key <= (run.missed_pins, run.score)
    for offer in offers:
        looser = offered(problem, offer)
        assert resolver.answer(looser).key <= resolver.unchanged.key
        # That is no trick: the plan in hand can be done in the looser problem as it stands.
        assert faults_in(_with(form, looser), plan_to_form(plan_of(run)), _unplaced(run)) == []


def _unplaced(run):
    return tuple(line.line for line in plan_of(run).unplaced)


def _with(form, problem):
    """A form with the hands, copies, jug and receipts of a problem."""
    return {
        **form,
        "hands": [{"from": one.start, "to": one.end, "pairs": one.pairs} for one in problem.windows],
        "mix": {**form["mix"], "jug_g": problem.compounds[0].jug_g},
        "moulds": {
            name: {**facts, "copies": problem.mould_by_name[name].copies}
            for name, facts in form["moulds"].items()
        },
        "powder": {
            one.name: {
                "opening_g": one.powder_g,
                "receipts": [{"at": receipt.at, "g": receipt.powder_g} for receipt in one.receipts],
            }
            for one in problem.compounds
        },
    }
