from production.planning.backward import latest_first_pour, latest_starts
from production.planning.calendar import WorkCalendar
from production.planning.prepare import prepare
from production.planning.problem import OutOfMould, Part, Step, Window
from tests.production.planning.builders import a_compound, a_line, a_mould, a_problem, an_article

DAY = 1440


def starts_of(problem):
    return latest_starts(problem, problem.lines[0], WorkCalendar(problem.windows))


def test_steps_are_counted_back_from_ship_by_through_the_nights():
    """Ship by 17:00 of day 10: pack 10 min, 2 h after a coat of 5 each, a day to dry, 60 min in the mould."""
    latest = starts_of(a_problem(a_line(quantity=2)))

    pack = 10 * DAY + 1020 - 10
    coat = pack - 120 - 10
    opening = coat - DAY - 2 * 3
    # Set for 60 minutes after the fills: 10 weighing + 2 x 2 filling before that.
    pour = opening - 60 - (10 + 2 * 2)
    assert latest.steps == (coat, pack)
    assert latest.opening == {"body": opening}
    assert latest.pour == {"body": pour}


def test_what_does_not_fit_before_opening_hours_goes_to_the_evening_before():
    """Ship by 09:05: packing is the evening before, and what comes before it moves along."""
    latest = starts_of(a_problem(a_line(ship_by=10 * DAY + 545)))

    assert latest.steps == (9 * DAY + 1020 - 10 - 120 - 5, 9 * DAY + 1020 - 10)


def test_clean_up_may_go_on_while_the_casts_set():
    line = a_line()
    plain = starts_of(a_problem(line))
    slow = a_problem(line, compounds=(a_problem().compounds[0].__class__(**_facts(clean_up_minutes=60)),))

    assert starts_of(slow).pour == plain.pour


def _facts(**changes):
    compound = a_problem().compounds[0]
    return {name: getattr(compound, name) for name in compound.__slots__} | changes


def test_a_line_that_is_late_already_has_latest_starts_before_the_plan():
    latest = starts_of(a_problem(a_line(ship_by=0)))

    assert latest.steps == (-DAY + 1020 - 10 - 120 - 5, -DAY + 1020 - 10)
    assert latest.pour["body"] < -DAY


def test_each_part_has_its_own_latest_pour_and_matched_parts_share_one():
    parts = (Part("body", "tray", 100, "Quick"), Part("lid", "slow", 50, "Quick"))
    moulds = (a_mould(), a_mould("slow", fill_minutes=5, open_minutes=30))

    apart = starts_of(a_problem(articles=(an_article(parts=parts),), moulds=moulds))
    matched = starts_of(a_problem(articles=(an_article(parts=parts, matched=True),), moulds=moulds))

    assert apart.pour["lid"] < apart.pour["body"]
    assert matched.pour["lid"] == matched.pour["body"] < apart.pour["lid"]


def test_the_first_of_several_turns_of_a_mould_is_counted_back_turn_by_turn():
    """On one copy each turn is pour 10 + 2, set 60, open 3, rest 60; before 09:00 is the day before."""
    two, three = (a_problem(a_line(quantity=q), moulds=(a_mould(copies=1),)) for q in (2, 3))
    calendar = WorkCalendar(two.windows)
    last = 9 * DAY + 1020 - 10 - 120 - 10 - 3 - 60 - 12

    assert latest_starts(two, two.lines[0], calendar).pour["body"] == last
    assert latest_first_pour(two, two.lines[0], calendar) == last - (12 + 60 + 3 + 60)
    # A third turn would begin at 08:50; 10 + 2 + 5 minutes of hands end by 17:00 the evening before.
    assert latest_first_pour(three, three.lines[0], calendar) == 8 * DAY + 1020 - 17


def test_pieces_in_progress_have_no_pour():
    problem = a_problem(articles=(an_article(parts=(), steps=(Step("coat 2", 60, 5),)),))

    latest = starts_of(problem)

    assert (len(latest.steps), latest.pour) == (2, {})
    assert latest_first_pour(problem, problem.lines[0], WorkCalendar(problem.windows)) is None


# The lead-time offset of material requirements planning, through what is left to pour and its latest pour.
# S. Nahmias, Production and Operations Analysis, 5th ed. 2005, example 7.1 (figures from memory; the book is
# not openly licensed).
WEEK = 10_080
OPEN = 480


def releases(gross, lead_weeks, covered):
    """Net pieces by week of need, and by week of the latest pour; `covered` pieces are out of the mould.

    Weeks are working windows of a day; an assembly's weeks of lead are the drying of its cast.
    """
    lines, out = [], []
    for week, pieces in gross.items():
        lines.append(a_line(str(week), quantity=pieces, ship_by=week * WEEK + OPEN))
        if taken := min(pieces, covered.get(week, 0)):
            out.append(OutOfMould(str(week), "body", taken, 0))
    prepared = prepare(
        a_problem(
            *lines,
            minutes=20 * WEEK,
            windows=tuple(Window(week * WEEK, week * WEEK + OPEN) for week in range(20)),
            compounds=(a_compound(dry_minutes=lead_weeks * WEEK - OPEN, open_after_minutes=0, jug_g=1e6),),
            moulds=(a_mould(copies=1000, fill_minutes=0.001, open_minutes=0.001),),
            articles=(an_article(steps=(), pack_minutes=1, pack_wait_minutes=0),),
            out_of_mould=tuple(out),
        )
    )
    net, released = {}, {}
    for unit in prepared.units:
        need = prepared.problem.lines[unit.line].ship_by // WEEK
        net[need] = unit.pieces
        released[unit.latest_pour // WEEK] = unit.pieces
    return net, released


def by_week(first, *pieces):
    return dict(enumerate(pieces, start=first))


def test_a_casing_with_four_weeks_of_lead_is_released_four_weeks_before_its_net_need():
    gross = by_week(8, 77, 42, 38, 21, 26, 112, 45, 14, 76, 38)
    # On hand 23, due in 12 in week 8, 6 in week 10, 9 in week 11.
    net, released = releases(gross, 4, {8: 23 + 12, 10: 6, 11: 9})

    assert net == by_week(8, 42, 42, 32, 12, 26, 112, 45, 14, 76, 38)
    assert released == by_week(4, 42, 42, 32, 12, 26, 112, 45, 14, 76, 38)


def test_a_valve_of_which_each_casing_takes_three_is_released_three_weeks_before():
    casings = (42, 42, 32, 12, 26, 112, 45, 14, 76, 38)
    gross = by_week(4, *(3 * pieces for pieces in casings))
    # On hand 186: all 126 of week 4 and 60 of week 5; 96 due in week 5: 66 of it, 30 of week 6.
    net, released = releases(gross, 3, {4: 126, 5: 60 + 66, 6: 30})

    assert net == by_week(6, 66, 36, 78, 336, 135, 42, 228, 114)
    assert released == by_week(3, 66, 36, 78, 336, 135, 42, 228, 114)
