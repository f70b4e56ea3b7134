from hypothesis import given
from hypothesis import strategies as st

from production.planning.measures import (
    PieceTakes,
    first_wait,
    line_tasks,
    part_sets,
    step_minutes,
    thousandths_down,
    thousandths_up,
    whole_minutes,
)
from production.planning.problem import Part, Step
from tests.production.planning.builders import a_compound, a_line, a_mould, a_problem, an_article

LONGEST = 480


@given(st.integers(0, 10**9))
def test_an_amount_written_with_three_decimals_is_taken_exactly(thousandths):
    assert thousandths_up(thousandths / 1000) == thousandths == thousandths_down(thousandths / 1000)


def test_needed_amounts_round_up_and_amounts_at_hand_down():
    assert (thousandths_up(1.0004), thousandths_down(1.0009)) == (1001, 1000)
    assert [whole_minutes(milliminutes) for milliminutes in (0, 1, 1000, 1001)] == [0, 1, 1, 2]
    assert (step_minutes(0.1, 0, 30), step_minutes(0.4, 0, 3), step_minutes(5, 10, 2)) == (3, 2, 20)


def test_the_jug_holds_whole_pieces_beside_the_residue():
    """2000 g jug, 50 g residue, 200 g a piece: 9 pieces; 4 minutes a fill in 12: 3 pieces."""
    plain = a_mould(copies=50, fill_minutes=1)
    parts = an_article().parts

    jug = PieceTakes(a_problem(moulds=(plain,)), parts, LONGEST)
    slow = PieceTakes(a_problem(moulds=(a_mould(copies=50, fill_minutes=4),)), parts, LONGEST)
    few = PieceTakes(a_problem(), parts, LONGEST)
    short = PieceTakes(a_problem(moulds=(plain,)), parts, 10 + 5 + 2)

    assert (jug.most_per_mix, jug.limit) == (9, "jug")
    assert (slow.most_per_mix, slow.limit) == (3, "working time")
    assert (few.most_per_mix, few.limit) == (2, "mould")
    assert (short.most_per_mix, short.limit) == (2, "closed days")


def test_a_jug_that_is_exactly_full_counts_as_full_not_over():
    exact = a_compound(slurry_g_per_ml=1.3, residue_g=0, jug_g=1.3 * 0.1 * 3)
    article = an_article(parts=(Part("body", "tray", 0.1, "Quick"),))
    problem = a_problem(compounds=(exact,), articles=(article,), moulds=(a_mould(copies=9),))

    assert PieceTakes(problem, article.parts, LONGEST).most_per_mix == 3


def test_matched_parts_are_one_set_that_takes_all_their_moulds():
    parts = (Part("left", "tray", 100, "Quick"), Part("right", "tray", 50, "Quick"))
    article = an_article(parts=parts, matched=True)
    takes = PieceTakes(a_problem(articles=(article,)), parts, LONGEST)

    assert part_sets(article) == [parts]
    assert part_sets(an_article(parts=parts)) == [parts[:1], parts[1:]]
    assert takes.needs == {"tray": 2}
    assert takes.slurry_mg == 300_000
    assert (takes.fill_milliminutes, takes.opening_milliminutes) == (4000, 6000)


def test_the_first_wait_is_the_casts_and_later_ones_the_lines():
    article = an_article(steps=(Step("coat 1", None, 5), Step("wash", None, 0, 7), Step("coat 2", 240, 5)))
    problem = a_problem(a_line(quantity=3), articles=(article,))

    assert first_wait(article, 1440) == 1440
    assert first_wait(an_article(steps=(Step("rinse", 30, 5),)), 1440) == 30
    assert first_wait(an_article(steps=(), pack_wait_minutes=60), 1440) == 1500
    assert line_tasks(problem, problem.lines[0]) == ((0, 15), (1440, 7), (240, 15), (120, 10))
