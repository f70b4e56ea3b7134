from production.planning.begin import open_studio
from production.planning.list_rule import ListRule
from production.planning.prepare import prepare
from production.planning.state import STEP, GivenMix
from tests.production.planning.builders import a_line, a_problem, an_article

DAY = 1440
RULE = ListRule(10**6, 0, 0.0)


def studio_of(problem, given=()):
    return open_studio(prepare(problem), RULE, None, given)


def test_pieces_of_given_mixes_are_kept_and_no_more_than_are_left():
    studio = studio_of(a_problem(a_line(quantity=3)), [GivenMix(0, 0, ((0, 2),)), GivenMix(0, 0, ((0, 5),))])

    assert [needs.mix.takes for needs in studio.given] == [((0, 2),), ((0, 1),)]
    assert studio.left == [0]
    assert studio.queues == [[]]


def test_a_line_joins_its_queue_when_it_may_start():
    studio = studio_of(a_problem(a_line("1"), a_line("2", not_before=300, ship_by=2 * DAY)))

    assert [unit for _, unit in studio.queues[0]] == [0]
    studio.release(300)
    assert [unit for _, unit in studio.queues[0]] == [1, 0]


def test_lines_with_nothing_to_pour_are_due_from_the_start():
    article = an_article(parts=(), steps=())
    studio = studio_of(a_problem(articles=(article,)))

    studio.release(120)

    assert [(kind, line) for _, kind, line, _ in studio.ready] == [(STEP, 0)]


def test_given_mixes_are_taken_in_time_order_whatever_order_they_come_in():
    later, sooner = GivenMix(900, 0, ((0, 1),)), GivenMix(600, 0, ((0, 2),))

    studio = studio_of(a_problem(a_line(quantity=2)), [later, sooner])

    assert [(needs.mix.not_before, needs.mix.takes) for needs in studio.given] == [(600, ((0, 2),))]
