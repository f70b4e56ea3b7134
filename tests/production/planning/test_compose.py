import pytest

from production.planning.begin import open_studio
from production.planning.compose import pour_a_mix
from production.planning.list_rule import ListRule
from production.planning.prepare import prepare
from production.planning.problem import Part, Window
from production.planning.state import GivenMix
from tests.production.planning.builders import a_compound, a_line, a_mould, a_problem, an_article

DAY = 1440
AT_ONCE = ListRule(10**6, 10**6, 0.0)
NEVER_LATE = float("inf")


def studio_of(problem, rule=AT_ONCE, given=()):
    return open_studio(prepare(problem), rule, None, given)


def pieces_in(studio):
    return [[pieces for _, pieces in mix.takes] for mix in studio.mixes]


@pytest.mark.parametrize(
    ("compound", "mould", "pieces"),
    [
        ({}, {"copies": 50, "fill_minutes": 1}, 9),  # jug: 2000 g less 50 g, 200 g each
        ({"working_minutes": 12}, {"copies": 50, "fill_minutes": 2.5}, 4),
        ({}, {"copies": 3, "fill_minutes": 1}, 3),
        ({"powder_g": 430}, {"copies": 50, "fill_minutes": 1}, 4),  # 860 g of slurry
    ],
)
def test_a_mix_takes_as_many_pieces_as_the_scarcest_thing_allows(compound, mould, pieces):
    problem = a_problem(a_line(quantity=30), compounds=(a_compound(**compound),), moulds=(a_mould(**mould),))
    studio = studio_of(problem)

    ends = pour_a_mix(studio, 540, 1020, NEVER_LATE)

    assert pieces_in(studio) == [[pieces]]
    fill = studio.mixes[0].fill_minutes
    assert ends == 540 + 10 + fill + 5
    assert studio.left == [30 - pieces]


def test_the_last_minutes_before_closing_hold_a_smaller_mix():
    """10 + 5 minutes around the fills leave 6 of 21: three pieces of 2 minutes."""
    studio = studio_of(a_problem(a_line(quantity=9), moulds=(a_mould(copies=9),)))

    assert pour_a_mix(studio, 999, 1020, NEVER_LATE) == 1020
    assert pieces_in(studio) == [[3]]


def test_a_mix_never_holds_more_than_can_be_opened_in_one_go():
    """Windows of 40 minutes: at 15 minutes an opening only two casts may share a mix."""
    windows = tuple(Window(day * DAY, day * DAY + 40) for day in range(20))
    studio = studio_of(
        a_problem(a_line(quantity=5), windows=windows, moulds=(a_mould(copies=5, open_minutes=15),))
    )

    pour_a_mix(studio, 0, 40, NEVER_LATE)

    assert pieces_in(studio) == [[2]]


def test_the_most_urgent_pieces_go_first_whatever_their_article():
    small = an_article("Small", parts=(Part("body", "small", 100, "Quick"),))
    lines = (a_line("late", ship_by=9 * DAY), a_line("early", ship_by=5 * DAY, article="Small"))
    studio = studio_of(
        a_problem(*lines, articles=(an_article(), small), moulds=(a_mould(), a_mould("small")))
    )

    pour_a_mix(studio, 540, 1020, NEVER_LATE)

    units = [
        studio.prepared.problem.lines[studio.prepared.units[unit].line].id
        for unit, _ in studio.mixes[0].takes
    ]
    assert units == ["early", "late"]


def test_matched_parts_go_in_as_whole_sets():
    """Two bodies' copies but one lid's: one set."""
    parts = (Part("body", "tray", 100, "Quick"), Part("lid", "small", 50, "Quick"))
    article = an_article(parts=parts, matched=True)
    moulds = (a_mould(copies=2), a_mould("small", copies=1))
    studio = studio_of(a_problem(a_line(quantity=2), articles=(article,), moulds=moulds))

    pour_a_mix(studio, 540, 1020, NEVER_LATE)

    assert pieces_in(studio) == [[1]]
    assert studio.mixes[0].copies == ((0, 1), (1, 1))


def test_nothing_less_urgent_than_asked_for_is_poured():
    studio = studio_of(a_problem())
    latest = studio.unit_urgency[0]

    assert pour_a_mix(studio, 540, 1020, latest - 1) is None
    assert pour_a_mix(studio, 540, 1020, latest) is not None


def test_a_mix_that_is_poured_back_leaves_nothing_taken():
    rule = ListRule(10**6, 10**6, 0.9)
    studio = studio_of(a_problem(a_line(quantity=4)), rule)
    before = (list(studio.left), list(studio.free), [list(queue) for queue in studio.queues])

    assert pour_a_mix(studio, 540, 1020, NEVER_LATE) is None

    assert (studio.left, studio.free, studio.queues) == before
    assert len(studio.awaiting_window) == 1


def test_a_given_mix_is_poured_as_it_is_and_not_before_its_minute():
    problem = a_problem(a_line("1", quantity=2), a_line("2", quantity=2))
    given = [GivenMix(600, 0, ((0, 1), (1, 1)))]
    studio = studio_of(problem, ListRule(0, 0, 0.0), given)

    studio.release(599)
    assert pour_a_mix(studio, 599, 1020, NEVER_LATE) is None

    studio.release(600)
    assert pour_a_mix(studio, 600, 1020, NEVER_LATE) is not None
    assert [mix.takes for mix in studio.mixes] == [((0, 1), (1, 1))]
    assert studio.left == [1, 1]


def test_a_given_mix_waits_for_all_its_copies():
    given = [GivenMix(0, 0, ((0, 2),))]
    problem = a_problem(a_line(quantity=2), moulds=(a_mould(copies=2, free_at=(800,)),))
    studio = studio_of(problem, given=given)

    studio.release(600)
    assert pour_a_mix(studio, 600, 1020, NEVER_LATE) is None

    studio.release(800)
    assert pour_a_mix(studio, 800, 1020, NEVER_LATE) == 800 + 10 + 4 + 5
