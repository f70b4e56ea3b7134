"""Limits of small problems, and what is left of each when it is lifted."""

from production.planning.lifting import (
    CLOSED_DAYS,
    HANDS,
    HOURS,
    MATERIAL,
    MOULD,
    PINS,
    POWDER,
    Limit,
    closed_days,
    lift,
    limits_of,
    usual_day,
)
from production.planning.problem import CastCount, Line, Pin, Poured, Receipt, Window
from production.planning.supplies import Recipe, RecipeNeed, StepNeed, Supply
from tests.production.planning.builders import a_compound, a_line, a_mould, a_problem, an_article

DAY = 1440


def test_a_limit_there_is_always_enough_of_is_none():
    """Two copies and two trays; powder for thousands; hands every day."""
    problem = a_problem(a_line(quantity=2))

    assert limits_of(problem, "101") == (Limit(HANDS), Limit(HOURS))


def test_a_mould_short_of_copies_powder_short_of_grams_and_closed_days_are_limits():
    problem = a_problem(
        a_line(quantity=3),
        compounds=(a_compound(powder_g=100, receipts=(Receipt(DAY, 900),)),),
        windows=(Window(540, 600), Window(2 * DAY + 540, 2 * DAY + 600)),
    )

    assert set(limits_of(problem, "101")) == {
        Limit(MOULD, "tray"),
        Limit(HANDS),
        Limit(HOURS),
        Limit(CLOSED_DAYS),
        Limit(POWDER, "Quick"),
    }


def test_copies_that_hold_casts_are_a_limit_even_for_one_piece():
    problem = a_problem(
        a_line(quantity=2), poured=(Poured("P", "Quick", "Slate", 0, (CastCount("101", "body", 1),)),)
    )

    assert Limit(MOULD, "tray") in limits_of(problem, "101")


def test_pigment_and_boxes_are_limits_of_the_lines_that_use_them():
    boxed = an_article("Boxed", pack_needs=(StepNeed("box", 1),))
    problem = a_problem(
        a_line("boxed", article="Boxed"),
        a_line("plain"),
        a_line("red", colour="Red"),
        articles=(an_article(), boxed),
        supplies=(Supply("box", 0), Supply("red oxide", 1), Supply("grey", 1000)),
        recipes=(
            Recipe("Quick", "Red", (RecipeNeed("red oxide", 0.02),)),
            Recipe("Quick", "Slate", (RecipeNeed("grey", 0.02),)),
        ),
    )

    assert Limit(MATERIAL, "box") in limits_of(problem, "boxed")
    assert Limit(MATERIAL, "red oxide") in limits_of(problem, "red")
    # A whole kilogram of grey is more than three small trays can take.
    assert not [limit for limit in limits_of(problem, "plain") if limit.kind == MATERIAL]


def test_powder_that_compounds_share_is_one_limit_by_its_own_name():
    problem = a_problem(
        compounds=(a_compound(powder="white powder", powder_g=0),), supplies=(Supply("white powder", 10),)
    )

    assert Limit(POWDER, "white powder") in limits_of(problem, "101")
    lifted = lift(problem, [Limit(POWDER, "white powder")])
    assert lifted.supply_by_name["white powder"].opening > 1e9


def test_a_lifted_mould_has_a_copy_for_every_cast():
    problem = a_problem(a_line(quantity=30), a_line("2", quantity=4), moulds=(a_mould(copies=1),))

    assert lift(problem, [Limit(MOULD, "tray")]).mould_by_name["tray"].copies == 1 + 34


def test_lifted_hours_last_from_midnight_to_midnight_on_open_days_but_begin_with_the_plan():
    problem = a_problem(
        windows=(Window(700, 800), Window(DAY + 540, DAY + 600, 2), Window(DAY + 700, DAY + 710))
    )

    assert lift(problem, [Limit(HOURS)]).windows == (Window(700, DAY), Window(DAY, 2 * DAY, 2))


def test_lifted_closed_days_get_the_hours_of_a_usual_day():
    usual = [Window(day * DAY + 540, day * DAY + 600) for day in (2, 4)]
    problem = a_problem(minutes=6 * DAY, windows=(Window(700, 750), *usual))

    assert closed_days(problem) == [1, 3, 5]
    assert usual_day(problem) == (Window(540, 600),)
    assert [window.start // DAY for window in lift(problem, [Limit(CLOSED_DAYS)]).windows] == [
        0,
        1,
        2,
        3,
        4,
        5,
    ]


def test_hours_without_hands_are_a_closed_day():
    problem = a_problem(minutes=2 * DAY, windows=(Window(540, 600), Window(DAY + 100, DAY + 1000, 0)))

    assert closed_days(problem) == [1]
    assert lift(problem, [Limit(CLOSED_DAYS)]).windows == (Window(540, 600), Window(DAY + 540, DAY + 600))


def test_several_limits_are_lifted_in_an_order_of_their_own():
    """Days are opened before hours are stretched, whichever is named first."""
    problem = a_problem(minutes=3 * DAY, windows=(Window(0, 60), Window(2 * DAY, 2 * DAY + 60)))

    lifted = lift(problem, [Limit(HOURS), Limit(HANDS), Limit(CLOSED_DAYS)])

    assert [(window.start, window.end) for window in lifted.windows] == [
        (day * DAY, (day + 1) * DAY) for day in range(3)
    ]
    assert all(window.pairs > 5 for window in lifted.windows)


def test_each_of_a_few_pins_is_lifted_by_itself_and_of_many_all_at_once():
    pins = tuple(Pin("Quick", "Slate", minute, minute) for minute in (540, 600, 660, 720, 780))
    few, many = a_problem(pins=pins[:2]), a_problem(pins=pins)
    apart = [limit for limit in limits_of(few, "101") if limit.kind == PINS]

    assert [lift(few, [limit]).pins for limit in apart] == [(pins[1],), (pins[0],)]
    assert lift(few, apart).pins == ()
    assert Limit(PINS) in limits_of(many, "101")
    assert lift(many, [Limit(PINS)]).pins == ()


def test_a_line_without_parts_meets_only_hands_and_hours():
    left = an_article("Tray, to pack", parts=(), steps=(), pack_minutes=10)
    problem = a_problem(Line("101", "Tray, to pack", "Slate", 1, 600), articles=(left,))

    assert limits_of(problem, "101") == (Limit(HANDS), Limit(HOURS))
