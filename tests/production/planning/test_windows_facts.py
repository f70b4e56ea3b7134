"""What the aggregated model knows of single pieces, reckoned by hand."""

from production.planning.prepare import prepare
from production.planning.problem import Part
from production.planning.turns import NEVER, Earliest
from production.planning.windows_facts import Cell, facts_of, most_turns, units_by_group, works_of
from tests.production.planning.builders import a_line, a_mould, a_problem, an_article

DAY = 1440


def facts(problem, most_days=3, **limits):
    prepared = prepare(problem)
    return facts_of(Earliest(prepared), range(len(prepared.units)), lambda line: most_days, **limits)


def test_a_window_is_cut_where_a_line_becomes_later():
    # Packed 210 minutes and a day after its pour: in time by 14:10 when poured by 10:40 the day before.
    found = facts(a_problem(a_line(ship_by=DAY + 850)), most_days=1)

    assert found.units[0].cells == [
        Cell(0, 540, 641, 0),
        Cell(0, 641, 1020, 1),
        Cell(1, DAY + 540, DAY + 641, 1),
    ]
    assert found.units[0].later_days == 2
    assert found.levels == {0: [1, 2, NEVER]}


def test_days_that_are_sure_are_no_level():
    # Earliest packing is the second day at 12:30.
    found = facts(a_problem(a_line(ship_by=DAY + 600)), most_days=1)

    assert found.sure_days == {0: 1}
    assert found.levels == {0: [2, NEVER]}


def test_cells_before_the_first_window_looked_at_are_left_out():
    found = facts(a_problem(), first_window=lambda unit: 4)

    assert found.units[0].cells[0].window == 4


def test_a_mould_turns_as_often_as_its_copies_can_be_filled():
    found = facts(a_problem(moulds=(a_mould(copies=2),)))
    noon, night = 750, 1020

    # Fills at 9:00, 11:15, 13:30, 15:45 of each copy.
    limits = most_turns(found, 0, [540, noon, night, DAY + 540, DAY + noon])

    assert (540, noon, 4) in limits
    # Begun afresh at 12:30 three fit: 12:30, 14:45, 17:00 is closed already.
    assert (noon, night, 4) in limits
    # The whole day has 8, which follows from its two parts.
    assert not any(start == 540 and before == night for start, before, _ in limits)


def test_work_has_its_earliest_start_and_its_latest_end_by_days_late():
    found = facts(a_problem(a_line(ship_by=4 * DAY + 1020)), most_days=1)

    coat, pack, opening = works_of(found, 0)

    assert coat.head == DAY + 615
    assert pack.head == DAY + 615 + 5 + 120
    assert pack.ends_by[:2] == (4 * DAY + 1020, 5 * DAY + 1020)
    assert coat.ends_by[:2] == (4 * DAY + 1020 - 130, 5 * DAY + 1020 - 130)
    assert (opening.head, opening.milliminutes) == (540 + 12 + 60, 3000)
    assert opening.ends_by[0] == 4 * DAY + 1020 - 135 - DAY


def test_units_are_grouped_by_shared_moulds():
    other = an_article("Cup", parts=(Part("cup", "cup", 50, "Quick"),))
    problem = a_problem(
        a_line("1"), a_line("2", article="Cup"), a_line("3"),
        moulds=(a_mould(), a_mould("cup")), articles=(an_article(), other),
    )  # fmt: skip

    assert sorted(units_by_group(prepare(problem)).values()) == [[0, 2], [1]]
