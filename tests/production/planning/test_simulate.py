import random

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from production.planning.forms import plan_to_form, problem_from_form
from production.planning.list_rule import ListRule
from production.planning.plans import plan_of
from production.planning.portfolio import GRID
from production.planning.prepare import prepare
from production.planning.problem import CastCount, Part, Poured, Receipt, Step, Window
from production.planning.simulate import simulate
from production.planning.solution import score_of
from production.planning.supplies import Recipe, RecipeNeed, StepNeed, Supply, SupplyReceipt
from tests.production.planning.builders import (
    a_compound,
    a_line,
    a_mould,
    a_problem,
    an_article,
    working_days,
)
from tests.production.planning.checker import faults_in
from tests.production.planning.generator import a_problem_form, a_supplied_form

DAY = 1440
AT_ONCE = ListRule(10**6, 10**6, 0.0)


def play(problem, rule=AT_ONCE, **given):
    return simulate(prepare(problem), rule, **given)


def test_one_piece_goes_through_every_wait_to_the_minute():
    """09:00 pour, 10 + 2 min; 60 min later open, 3 min; a day later coat, 5 min; 2 h later pack, 10 min."""
    run = play(a_problem())

    assert [(mix.start, mix.opened) for mix in run.mixes] == [(540, 612)]
    assert run.task_starts == ((DAY + 615, DAY + 740),)
    assert run.packed_at == (DAY + 750,)


@pytest.mark.parametrize(
    ("sets_in", "opened", "coated"),
    [
        # Out on Friday afternoon it dries over the weekend, and is coated on Monday morning.
        (60, 4 * DAY + 972, 7 * DAY + 540),
        # Set after closing, it is opened on Monday morning and dry on Tuesday.
        (120, 7 * DAY + 540, 8 * DAY + 543),
    ],
)
def test_drying_goes_on_over_nights_and_closed_days_and_hands_do_not(sets_in, opened, coated):
    friday, monday, tuesday = (
        Window(day * DAY + opens, day * DAY + 1020) for day, opens in ((4, 900), (7, 540), (8, 540))
    )
    problem = a_problem(
        windows=(friday, monday, tuesday), compounds=(a_compound(open_after_minutes=sets_in),)
    )

    run = play(problem)

    assert [(mix.start, mix.opened) for mix in run.mixes] == [(4 * DAY + 900, opened)]
    assert run.task_starts[0][0] == coated


def test_a_copy_is_free_again_after_opening_and_rest():
    run = play(a_problem(a_line(quantity=2), moulds=(a_mould(copies=1),)))

    # Out at 10:15, an hour of rest.
    assert [mix.start for mix in run.mixes] == [540, 675]


def test_a_damp_copy_waits_for_its_minute():
    run = play(a_problem(moulds=(a_mould(copies=1, free_at=(700,)),)))

    assert [mix.start for mix in run.mixes] == [700]


def test_a_mix_waits_for_its_powder():
    """200 g slurry + 50 g residue at half powder: 125 g; 124.9 g are there until noon."""
    short = a_compound(powder_g=124.9, receipts=(Receipt(720, 0.1),))
    enough = a_compound(powder_g=125)

    assert [mix.start for mix in play(a_problem(compounds=(short,))).mixes] == [720]
    assert [mix.start for mix in play(a_problem(compounds=(enough,))).mixes] == [540]


def test_compounds_share_the_powder_of_one_supply():
    """125 g a mix of one piece: 250 g hold one of each compound, 249.9 g only one until the receipt."""
    parts = (Part("body", "tray", 100, "Quick"), Part("lid", "tray", 100, "Slow"))
    plain = {
        "compounds": (a_compound(powder="white", powder_g=0), a_compound("Slow", powder="white", powder_g=0)),
        "articles": (an_article(parts=parts),),
    }
    short = Supply("white", 249.9, (SupplyReceipt(-1, 0.05), SupplyReceipt(720, 0.05)))

    enough = play(a_problem(**plain, supplies=(Supply("white", 250),)))
    waiting = play(a_problem(**plain, supplies=(short,)))

    assert [mix.start for mix in enough.mixes] == [540, 557]
    assert [mix.start for mix in waiting.mixes] == [540, 720]


def test_a_mix_needs_pigment_for_all_its_powder():
    """125 g powder for one piece, 0.02 each: 2.5 g."""
    recipe = Recipe("Quick", "Slate", (RecipeNeed("ochre", 0.02),))
    ochre = Supply("ochre", 2.4, (SupplyReceipt(720, 0.1),))

    assert [mix.start for mix in play(a_problem(recipes=(recipe,), supplies=(ochre,))).mixes] == [720]
    enough = Supply("ochre", 2.5)
    run = play(a_problem(recipes=(recipe,), supplies=(enough,)))
    assert [mix.start for mix in run.mixes] == [540]
    assert run.mixes[0].draws == ((1, 125_000), (0, 2_500))


def test_a_mix_is_as_big_as_its_pigment_allows():
    """4.5 g at 0.02 are 225 g powder, 450 g slurry less 50 g: two pieces, of four."""
    recipe = Recipe("Quick", "Slate", (RecipeNeed("ochre", 0.02),))
    ochre = Supply("ochre", 4.5, (SupplyReceipt(DAY, 100),))
    moulds = (a_mould(copies=4),)

    run = play(a_problem(a_line(quantity=4), recipes=(recipe,), supplies=(ochre,), moulds=moulds))

    assert [(mix.start, mix.takes) for mix in run.mixes] == [(540, ((0, 2),)), (DAY + 540, ((0, 2),))]


def test_a_step_waits_for_what_it_uses_up_and_others_go_before_it():
    """Two lines of two pieces, 3 g a piece and 1 g for each pot of sealer: 7 g each."""
    seal = Step("seal", None, 5, needs=(StepNeed("sealer", 3, 1),))
    sealer = Supply("sealer", 13.9, (SupplyReceipt(2 * DAY, 0.1),))
    lines = (a_line("first", quantity=2, ship_by=8 * DAY), a_line("second", quantity=2))

    run = play(
        a_problem(
            *lines, articles=(an_article(steps=(seal,)),), supplies=(sealer,), moulds=(a_mould(copies=4),)
        )
    )

    assert run.task_starts[0][0] < 2 * DAY
    assert run.task_starts[1][0] == 2 * DAY + 540


def test_packing_waits_for_boxes_and_for_ever_without():
    packing = {"articles": (an_article(pack_needs=(StepNeed("box", 1),)),)}

    late = play(a_problem(**packing, supplies=(Supply("box", 0, (SupplyReceipt(5 * DAY + 600, 1),)),)))
    never = play(a_problem(**packing, supplies=(Supply("box", 0),)))

    assert late.packed_at == (5 * DAY + 610,)
    assert never.packed_at == (None,)
    assert len(never.task_starts[0]) == 1


def test_a_mix_opens_after_the_slowest_of_its_moulds():
    """The tray's own 20 minutes, the lid's 90, where the compound says 60."""
    parts = (Part("body", "tray", 100, "Quick"), Part("lid", "lid", 50, "Quick"))
    moulds = (a_mould(open_after_minutes=20), a_mould("lid", open_after_minutes=90))
    filled_at = 540 + 10 + 2

    alone = play(a_problem(moulds=moulds))
    both = play(a_problem(articles=(an_article(parts=parts),), moulds=moulds))

    assert [mix.opened for mix in alone.mixes] == [filled_at + 20]
    assert [(len(mix.takes), mix.opened) for mix in both.mixes] == [(2, filled_at + 2 + 90)]


def test_a_mix_in_its_moulds_opens_after_the_slowest_of_them_too():
    poured = Poured("P1", "Quick", "Slate", 500, (CastCount("101", "body", 1),))

    run = play(a_problem(poured=(poured,), moulds=(a_mould(open_after_minutes=200),)))

    assert run.filled_opened == (700,)


def test_nothing_is_begun_that_does_not_end_before_closing():
    """10 + 2 + 5 minutes of mixing do not fit 16."""
    run = play(a_problem(windows=(Window(540, 556), Window(600, 617), Window(700, 5000))))

    assert [mix.start for mix in run.mixes] == [600]


def test_the_pour_ahead_limit_keeps_a_line_for_later():
    problem = a_problem()
    latest = prepare(problem).latest[0].pour["body"]

    run = play(problem, ListRule(2 * DAY, 0, 0.0))

    assert run.mixes[0].start == latest - 2 * DAY


def test_only_lines_within_the_look_ahead_share_a_mix():
    lines = (a_line("1"), a_line("2", ship_by=12 * DAY + 1020))

    apart = play(a_problem(*lines), ListRule(10**6, DAY, 0.0))
    together = play(a_problem(*lines), ListRule(10**6, 2 * DAY, 0.0))

    assert [len(mix.takes) for mix in apart.mixes] == [1, 1]
    assert [len(mix.takes) for mix in together.mixes] == [2]


def test_a_thin_mix_waits_for_the_next_window_while_it_has_a_day_in_hand():
    """Of three lines one copy is free at first: 2 of 12 minutes are not half full, 4 neither, 6 are."""
    mould = a_mould(copies=3, free_at=(DAY, 2 * DAY))
    lines = tuple(a_line(str(n)) for n in range(3))

    thin = play(a_problem(*lines, moulds=(mould,)), ListRule(10**6, 10**6, 0.0))
    full = play(a_problem(*lines, moulds=(mould,)), ListRule(10**6, 10**6, 0.5))

    assert [(mix.start // DAY, len(mix.takes)) for mix in thin.mixes][0] == (0, 1)
    assert [(mix.start // DAY, len(mix.takes)) for mix in full.mixes] == [(2, 3)]


def test_a_thin_mix_does_not_wait_when_there_is_nothing_to_wait_for():
    run = play(a_problem(), ListRule(10**6, 10**6, 0.9))

    assert [mix.start for mix in run.mixes] == [540]


@pytest.mark.parametrize(("hours_more_urgent", "opened_at"), [(23, 540), (25, 550)])
def test_an_opening_goes_before_a_step_that_is_less_than_a_day_more_urgent(hours_more_urgent, opened_at):
    """At 09:00 a mix is to be opened and another line is to be packed, which takes 10 minutes."""
    done = an_article("Done", parts=(), steps=())
    poured = Poured("P1", "Quick", "Slate", 0, (CastCount("cast", "body", 1),))
    cast = a_line("cast")
    latest_opening = prepare(a_problem(cast, poured=(poured,))).filled[0].latest_opening
    ship_by = latest_opening - hours_more_urgent * 60 + 10
    line = a_line("done", article="Done", ship_by=ship_by)

    problem = a_problem(cast, line, articles=(an_article(), done), poured=(poured,))

    # Its latest packing is what the case says, not moved by closing hours.
    assert prepare(problem).latest[1].steps == (ship_by - 10,)
    assert play(problem).filled_opened == (opened_at,)


def test_two_pairs_of_hands_work_side_by_side_and_one_does_not():
    lines = (a_line("1", colour="Fog"), a_line("2", colour="Rust"))

    assert [mix.start for mix in play(a_problem(*lines)).mixes] == [540, 557]
    assert [mix.start for mix in play(a_problem(*lines, windows=working_days(30, pairs=2))).mixes] == [
        540,
        540,
    ]


def test_hands_that_idle_wake_for_what_other_hands_make_possible():
    """The second pair has nothing to do until the first has opened the only mould, and then pours."""
    lines = (a_line("1", colour="Fog"), a_line("2", colour="Rust"))
    moulds = (a_mould(copies=1, rest_minutes=0, open_minutes=30),)

    run = play(a_problem(*lines, moulds=moulds, windows=working_days(30, pairs=2)))

    assert [(mix.start, mix.opened) for mix in run.mixes] == [(540, 612), (642, 714)]


def test_not_before_holds_pouring_but_not_the_line_behind_it():
    lines = (a_line("1", not_before=3 * DAY, ship_by=5 * DAY), a_line("2"))

    run = play(a_problem(*lines), ListRule(10**6, 0, 0.0))

    assert {mix.takes[0][0]: mix.start for mix in run.mixes} == {0: 3 * DAY + 540, 1: 540}


def test_an_offset_makes_a_line_more_urgent():
    lines = (a_line("1", colour="Fog"), a_line("2", colour="Rust"))
    problem = a_problem(*lines)

    plain, turned = play(problem), play(problem, offsets=[0, -60])

    assert [mix.takes for mix in plain.mixes] == [((0, 1),), ((1, 1),)]
    assert [mix.takes for mix in turned.mixes] == [((1, 1),), ((0, 1),)]


def test_what_cannot_be_opened_within_the_calendar_is_not_poured():
    run = play(a_problem(minutes=600, windows=(Window(540, 600),)))

    assert (run.mixes, run.packed_at) == ((), (None,))


def test_steps_of_no_minutes_are_done_the_moment_they_are_due():
    article = an_article(steps=(Step("look", None, 0), Step("coat 1", 0, 5)))

    assert play(a_problem(articles=(article,))).task_starts == ((DAY + 615, DAY + 615, DAY + 740),)


@pytest.mark.parametrize("seed", range(6))
def test_a_run_given_back_with_its_starts_is_the_same_run(seed):
    """Replay is neutral: what keeps plans calm from one planning to the next."""
    rng = random.Random(seed)
    prepared = prepare(problem_from_form(a_problem_form(60, seed, slack=0.4, pairs=rng.choice((1, 2)))))
    offsets = [rng.randrange(-DAY, DAY) for _ in prepared.problem.lines]
    rule = GRID[rng.randrange(len(GRID))]

    first = simulate(prepared, rule, offsets=offsets)
    again = simulate(prepared, rule, offsets=offsets, given=first.given_mixes())

    assert again.mixes == first.mixes
    assert (again.task_starts, again.packed_at, again.score) == (
        first.task_starts,
        first.packed_at,
        first.score,
    )


@pytest.mark.parametrize("seed", range(4))
def test_the_score_of_a_run_is_the_score_of_its_plan(seed):
    problem = problem_from_form(a_problem_form(30, seed, slack=0.4, days=20))
    run = simulate(prepare(problem), GRID[seed])

    plan = plan_of(run)

    assert score_of(problem, plan.mixes, {line.line: line.packed_at for line in plan.lines}) == run.score


def test_a_run_is_the_same_every_time():
    prepared = prepare(problem_from_form(a_problem_form(80, 5, slack=0.4, pairs=2)))

    assert simulate(prepared, GRID[3]) == simulate(prepared, GRID[3])


SUPPLIED = (
    {},
    {"pairs": 2, "slack": 0.5},
    {"powder_g": 6_000, "receipts": ((9 * DAY, 20_000), (15 * DAY + 700, 90_000))},
    {"slack": 0.4, "days": 16},
)


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(st.integers(3, 40), st.integers(0, 10**6), st.sampled_from(SUPPLIED), st.sampled_from(GRID))
def test_plans_that_use_up_supplies_pass_the_checker(lines, seed, kind, rule):
    form = a_supplied_form(lines, seed, **kind)

    made = plan_of(play(problem_from_form(form), rule))

    assert faults_in(form, plan_to_form(made), tuple(line.line for line in made.unplaced)) == []
