from production.planning.begin import open_studio
from production.planning.list_rule import ListRule
from production.planning.prepare import prepare
from production.planning.problem import CastCount, Poured, Receipt
from production.planning.state import COPIES_FREE, OPENING, STEP
from tests.production.planning.builders import a_compound, a_line, a_mould, a_problem

DAY = 1440
RULE = ListRule(10**6, 0, 0.0)


def studio_of(problem):
    return open_studio(prepare(problem), RULE, None, ())


def test_things_happen_when_their_minute_has_come_and_not_before():
    studio = studio_of(a_problem(moulds=(a_mould(copies=3, free_at=(100, 200)),)))

    frees = []
    for minute in (99, 100, 199, 200):
        studio.release(minute)
        frees.append(studio.free[0])

    assert frees == [1, 2, 2, 3]


def test_powder_that_came_before_the_plan_is_there_at_the_start():
    compound = a_compound(powder_g=10, receipts=(Receipt(-60, 5), Receipt(60, 7)))
    studio = studio_of(a_problem(compounds=(compound,)))

    studio.release(0)
    assert studio.in_hand == [15_000]
    studio.release(60)
    assert studio.in_hand == [22_000]


def test_what_is_parked_comes_back_once_when_its_mould_does():
    studio = studio_of(a_problem())
    studio.active.clear()
    studio.awaiting_copies[0] = [(0, studio.tokens[0]), (0, studio.tokens[0] - 1)]

    studio.tell(5, COPIES_FREE, 0, 1)
    studio.release(5)

    assert [entry for _, entry, _ in studio.active] == [0]
    assert studio.awaiting_copies[0] == []


def test_a_mix_in_its_moulds_becomes_ready_to_open_a_day_more_urgent_than_its_line():
    poured = Poured("P1", "Quick", "Slate", 30, (CastCount("101", "body", 1),))
    studio = studio_of(a_problem(poured=(poured,)))

    studio.release(89)
    assert studio.ready == []
    studio.release(90)

    latest = studio.prepared.latest[0].opening["body"]
    assert studio.ready == [(latest - DAY, OPENING, -1, 3)]


def test_a_line_is_due_when_the_last_of_its_casts_has_dried():
    studio = studio_of(a_problem(a_line(quantity=3)))

    studio.cast_opened(0, 2, 500)
    studio.release(10**6)
    assert studio.ready == []
    studio.cast_opened(0, 1, 400)
    studio.release(10**6)

    assert [(kind, line) for _, kind, line, _ in studio.ready] == [(STEP, 0)]
    assert studio.first_task_at == [500]
