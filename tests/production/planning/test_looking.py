"""A whole look at the late lines of a plan: reasons, offers, progress, stops, and the same twice."""

from production.planning.effort import Effort, effort_for
from production.planning.forms import problem_from_form
from production.planning.lifting import MOULD, Limit
from production.planning.looking import OFFERS, WHY, effort_for_looking, look_into
from production.planning.prepare import prepare
from production.planning.solve import search
from production.planning.why import NOT_YET, ONE
from tests.production.planning import late_cases
from tests.production.planning.generator import a_problem_form

EFFORT = Effort(rules=2)


def a_run(problem):
    return search(prepare(problem), effort=EFFORT)


def test_a_look_names_the_reason_and_what_would_help_best_first():
    found = look_into(a_run(late_cases.one_mould()), effort=EFFORT)

    assert [(one.kind, one.limits) for one in found.reasons] == [(ONE, (Limit(MOULD, "tray"),))]
    assert found.offers[0].offer.name == "tray"
    assert found.is_whole
    assert found.points > 0
    saved = [offer.points_saved for offer in found.offers]
    assert saved == sorted(saved, reverse=True)
    assert not found.offers[-1].helps
    # A thousand kilograms of powder for two trays.
    assert found.enough == ("Quick",)


def test_progress_is_told_before_each_solve_first_of_the_reasons_then_of_the_offers():
    told = []

    found = look_into(
        a_run(problem_from_form(a_problem_form(12, 3, slack=0.3))),
        effort=EFFORT,
        on_progress=lambda *one: told.append(one),
    )

    phases = [phase for phase, _, _ in told]
    assert phases == sorted(phases, key=[WHY, OFFERS].index)
    assert all(done < of for _, done, of in told)
    assert found.solves >= len(told)


def test_a_look_that_is_stopped_says_what_it_did_not_look_into():
    found = look_into(a_run(late_cases.one_mould()), effort=EFFORT, should_stop=lambda: True)

    assert [one.kind for one in found.reasons] == [NOT_YET]
    assert found.offers == ()
    assert (found.is_whole, found.solves) == (False, 0)


def test_a_plan_with_nothing_late_needs_no_solve():
    run = a_run(problem_from_form(a_problem_form(3, 1, slack=3)))
    assert run.score.points == 0

    found = look_into(run)

    assert (found.reasons, found.offers, found.solves, found.is_whole) == ((), (), 0, True)


def test_the_same_look_twice_finds_the_same():
    run = a_run(problem_from_form(a_problem_form(15, 5, slack=0.3)))

    assert look_into(run) == look_into(run)


def test_a_solve_of_a_look_gets_a_share_of_the_tries_and_no_bound():
    effort = effort_for_looking(50)

    assert 1 <= effort.rules < effort_for(50).rules
    assert effort.bound_seconds == 0
