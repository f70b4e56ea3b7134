"""Each reason in a small studio where there can be no doubt about what holds the line."""

from production.planning.list_rule import ListRule
from production.planning.plans import plan_of
from production.planning.prepare import prepare
from production.planning.problem import CastCount, OutOfMould, Poured, Receipt
from production.planning.reasons import explain
from production.planning.simulate import simulate
from production.planning.supplies import Recipe, RecipeNeed, StepNeed, Supply, SupplyReceipt
from tests.production.planning.builders import (
    a_compound,
    a_line,
    a_mould,
    a_problem,
    an_article,
    working_days,
)

DAY = 1440
RULE = ListRule(10 * DAY, 0, 0.0)


def explained(problem):
    run = simulate(prepare(problem), RULE)
    return explain(plan_of(run), run).line_by_id


def test_a_line_in_time_needs_no_reason():
    assert explained(a_problem())["101"].held is None


def test_a_line_that_is_late_even_alone_was_ordered_too_late_and_says_when_it_should_have_been_poured():
    """Ship by noon of the second day; alone it is packed at 12:30."""
    held = explained(a_problem(a_line(ship_by=DAY + 720)))["101"].held

    assert held.limit == "ordered too late"
    assert held.earliest_packed == DAY + 750
    # Pack 11:50, coat 09:45, out of the mould 09:45 on the first day: so poured on the evening before it.
    assert held.latest_first_pour == -DAY + 1020 - 17


def test_a_line_behind_others_on_the_same_mould_is_held_by_the_mould():
    """One copy that rests a day, and three more urgent lines before it."""
    lines = tuple(a_line(str(n), ship_by=(3 + n) * DAY) for n in range(3))
    last = a_line("last", ship_by=6 * DAY - 1)
    moulds = (a_mould(copies=1, rest_minutes=2 * DAY),)

    held = explained(a_problem(*lines, last, moulds=moulds))["last"].held

    assert (held.limit, held.mould) == ("mould", "tray")
    assert held.waited_minutes["mould"] > held.waited_minutes["hands"]


def test_a_line_waiting_for_pigment_or_boxes_is_held_by_that_material():
    recipe = Recipe("Quick", "Slate", (RecipeNeed("ochre", 0.02),))
    ochre = Supply("ochre", 0, (SupplyReceipt(8 * DAY, 100),))
    boxes = Supply("box", 0, (SupplyReceipt(9 * DAY, 100),))
    boxed = an_article(pack_needs=(StepNeed("box", 1),))

    line = a_line(ship_by=6 * DAY)
    pigment = explained(a_problem(line, recipes=(recipe,), supplies=(ochre,)))["101"].held
    box = explained(a_problem(line, articles=(boxed,), supplies=(boxes,)))["101"].held

    assert (pigment.limit, pigment.compound) == ("material", "ochre")
    assert (box.limit, box.compound) == ("material", "box")
    assert pigment.waited_minutes["powder"] == box.waited_minutes["powder"] == 0


def test_a_line_waiting_for_a_receipt_is_held_by_powder():
    compound = a_compound(powder_g=20, receipts=(Receipt(8 * DAY, 5000),))

    held = explained(a_problem(a_line(ship_by=6 * DAY), compounds=(compound,)))["101"].held

    assert (held.limit, held.compound, held.mould) == ("powder", "Quick", None)
    assert held.waited_minutes["mould"] == 0


def test_a_line_behind_other_work_is_held_by_hands():
    """Two hours a day of hands, all wanted by lines whose coats are more urgent."""
    painted = an_article("Painted", parts=(), steps=an_article().steps[:0], pack_minutes=110)
    busy = tuple(a_line(str(n), article="Painted", ship_by=n * DAY) for n in range(8))
    problem = a_problem(
        *busy,
        a_line("last", ship_by=7 * DAY),
        articles=(an_article(), painted),
        windows=working_days(30, 540, 660),
    )

    held = explained(problem)["last"].held

    assert held.limit == "hands"
    assert held.waited_minutes["mould"] == held.waited_minutes["powder"] == 0


def test_a_line_that_could_have_been_poured_in_a_closed_week_is_held_by_closed_days():
    """Powder comes when the studio has just closed; when it opens again the line cannot be in time."""
    compound = a_compound(powder_g=0, receipts=(Receipt(DAY + 1030, 5000),))
    windows = tuple(w for w in working_days(30) if w.start // DAY not in range(2, 9))

    held = explained(a_problem(a_line(ship_by=10 * DAY + 500), compounds=(compound,), windows=windows))[
        "101"
    ].held

    # Two days of waiting for powder, then seven closed days.
    assert held.limit == "closed days"
    assert held.waited_minutes["powder"] == 2 * 480
    assert held.waited_minutes["closed days"] > 2 * 480


def test_waits_before_a_line_was_last_in_time_do_not_count():
    """It waits days for a mould and is still in time; then its packing is held by other work."""
    painted = an_article("Painted", parts=(), steps=(), pack_minutes=470, pack_wait_minutes=0)
    busy = tuple(
        a_line(str(n), article="Painted", ship_by=2 * DAY, not_before=4 * DAY + 500) for n in range(4)
    )
    problem = a_problem(
        a_line("cast", ship_by=5 * DAY + 900),
        *busy,
        articles=(an_article(), painted),
        moulds=(a_mould(copies=1, free_at=(3 * DAY + 540,)),),
    )

    held = explained(problem)["cast"].held

    assert held.limit == "hands"
    assert held.waited_minutes["mould"] == 0


def test_a_line_the_powder_never_comes_for_is_not_placed_and_says_so():
    line = explained(a_problem(compounds=(a_compound(powder_g=0),)))["101"]

    assert (line.packed_at, line.days_late, line.held_by) == (None, None, "powder")


def test_a_piece_that_fills_no_jug_says_so():
    line = explained(a_problem(compounds=(a_compound(jug_g=240),)))["101"]

    assert (line.packed_at, line.held_by) == (None, "jug")


def test_pieces_in_progress_are_explained_too():
    busy = an_article("Painted", parts=(), steps=(), pack_minutes=470)
    left = an_article("Tray, to pack", parts=(), steps=(), pack_minutes=10)
    lines = tuple(a_line(str(n), article="Painted", ship_by=0) for n in range(3))
    board = a_line("board", article="Tray, to pack", ship_by=600)
    out = OutOfMould("board", "", 1, -100)
    problem = a_problem(*lines, board, articles=(busy, left), moulds=(), compounds=(), out_of_mould=(out,))

    found = explained(problem)

    assert found["0"].held_by == "ordered too late"
    assert found["board"].held_by == "hands"
    assert found["board"].held.latest_first_pour is None


def test_casts_still_in_their_mould_are_explained_by_what_kept_them_there():
    busy = an_article("Painted", parts=(), steps=(), pack_minutes=470)
    lines = tuple(a_line(str(n), article="Painted", ship_by=-3 * DAY) for n in range(3))
    poured = Poured("P1", "Quick", "Slate", 0, (CastCount("cast", "body", 1),))
    problem = a_problem(
        *lines, a_line("cast", ship_by=DAY + 800), articles=(an_article(), busy), poured=(poured,)
    )

    held = explained(problem)["cast"].held

    assert held.limit == "hands"
    assert held.waited_minutes["hands"] >= 470
