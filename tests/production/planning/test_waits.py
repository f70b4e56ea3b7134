from production.planning.forms import problem_from_form
from production.planning.list_rule import ListRule
from production.planning.prepare import prepare
from production.planning.problem import Receipt
from production.planning.simulate import simulate
from production.planning.waits import Waits
from tests.production.planning.builders import a_compound, a_line, a_mould, a_problem
from tests.production.planning.generator import a_problem_form

DAY = 1440


def waits_of(problem, rule=None):
    return Waits(simulate(prepare(problem), rule or ListRule(10 * DAY, 0, 0.0)))


def test_the_minutes_of_a_late_pour_are_those_from_wanted_to_poured():
    """Its copy is damp until 11:00 of day 3: three days of 480 minutes less one, and two hours."""
    problem = a_problem(a_line(ship_by=3 * DAY), moulds=(a_mould(copies=1, free_at=(3 * DAY + 660,)),))

    waited = waits_of(problem).of_line(0)

    assert waited.minutes["mould"] == 3 * 480 + 120
    assert waited.moulds == {"tray": 3 * 480 + 120}
    assert waited.minutes["powder"] == waited.minutes["hands"] == 0


def test_a_minute_without_powder_and_without_a_mould_counts_as_powder_once():
    compound = a_compound(powder_g=0, receipts=(Receipt(600, 5000),))
    problem = a_problem(
        a_line(ship_by=DAY), compounds=(compound,), moulds=(a_mould(copies=1, free_at=(660,)),)
    )

    waited = waits_of(problem).of_line(0)

    assert (waited.minutes["powder"], waited.minutes["mould"]) == (60, 60)
    assert waited.compounds == {"Quick": 60}


def test_waiting_begins_when_the_list_rule_would_have_poured():
    problem = a_problem(a_line(ship_by=3 * DAY), moulds=(a_mould(copies=1, free_at=(3 * DAY + 660,)),))
    assert prepare(problem).latest[0].pour["body"] == DAY + 810

    waited = waits_of(problem, ListRule(0, 0, 0.0)).of_line(0)

    assert waited.minutes["mould"] == (1020 - 810) + 480 + 120


def test_a_line_in_time_waited_for_nothing_that_counts():
    problem = a_problem(a_line(), moulds=(a_mould(copies=1, free_at=(DAY,)),))

    assert sum(waits_of(problem).of_line(0).minutes.values()) == 0


def test_no_line_waited_longer_than_there_are_working_minutes():
    problem = problem_from_form(a_problem_form(60, 4, slack=0.3, closed_days=(14, 15, 16, 17, 18)))
    run = simulate(prepare(problem), ListRule(5 * DAY, 5 * DAY, 0.0))
    waits = Waits(run)
    late = [n for n, line in enumerate(problem.lines) if (run.packed_at[n] or 10**9) > line.ship_by]
    assert len(late) > 10

    for number in late:
        waited = waits.of_line(number).minutes
        until = run.packed_at[number] or problem.minutes
        working = sum(end - start for start, end in run.prepared.calendar.open_parts(0, until))
        assert 0 <= waited["mould"] + waited["powder"] + waited["hands"] <= working
