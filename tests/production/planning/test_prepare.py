from production.planning.prepare import prepare
from production.planning.problem import CastCount, OutOfMould, Part, Poured, Step
from tests.production.planning.builders import a_compound, a_line, a_mould, a_problem, an_article

DAY = 1440
TWO_PARTS = (Part("body", "tray", 100, "Quick"), Part("lid", "small", 50, "Quick"))


def two_parts(matched, **changes):
    article = an_article(parts=TWO_PARTS, matched=matched)
    return a_problem(
        a_line(quantity=5),
        articles=(article,),
        moulds=(a_mould(copies=5), a_mould("small", copies=5)),
        **changes,
    )


def test_what_is_in_moulds_and_on_boards_need_not_be_poured():
    poured = Poured("P1", "Quick", "Slate", -30, (CastCount("101", "body", 2),))
    out = OutOfMould("101", "lid", 1, -60)

    prepared = prepare(two_parts(False, poured=(poured,), out_of_mould=(out,)))

    left = {prepared.streams[unit.stream].parts[0].name: unit.pieces for unit in prepared.units}
    assert left == {"body": 3, "lid": 4}
    # 3 bodies and 4 lids to pour, 2 bodies in their moulds.
    assert prepared.casts_to_open == [9]
    assert prepared.first_task_from == [-60 + DAY]
    assert prepared.free_copies == [3, 5]


def test_half_of_a_matched_piece_does_not_count():
    casts = (CastCount("101", "body", 2), CastCount("101", "lid", 1))
    poured = Poured("P1", "Quick", "Slate", -30, casts)

    prepared = prepare(two_parts(True, poured=(poured,)))

    assert [(unit.pieces, len(prepared.streams[unit.stream].parts)) for unit in prepared.units] == [(4, 2)]
    assert prepared.casts_to_open == [3 + 4 * 2]


def test_parts_of_one_colour_share_a_jug_whatever_was_ordered():
    parts = (Part("body", "tray", 100, "Quick"), Part("lid", "tray", 50, "Quick", "Shell"))
    lines = (a_line("1", colour="Fog"), a_line("2", colour="Rust"), a_line("3", colour="Fog"))

    prepared = prepare(a_problem(*lines, articles=(an_article(parts=parts),)))

    assert [(jug.colour, len(jug.streams)) for jug in prepared.jugs] == [
        ("Fog", 1),
        ("Shell", 1),
        ("Rust", 1),
    ]
    units = {prepared.jugs[stream.jug].colour: len(stream.units) for stream in prepared.streams}
    assert units == {"Fog": 2, "Shell": 3, "Rust": 1}


def test_a_line_nothing_can_finish_is_not_poured():
    article = an_article(steps=(Step("coat 1", None, 600),))

    prepared = prepare(a_problem(articles=(article,)))

    assert (prepared.cannot, prepared.units) == ({0: "closed days"}, [])


def test_a_piece_too_big_for_the_jug_names_the_jug():
    prepared = prepare(a_problem(compounds=(a_compound(jug_g=240),)))

    assert prepared.cannot == {0: "jug"}


def test_the_wait_of_pieces_in_progress_begins_where_it_is_noted_or_at_the_start():
    article = an_article(parts=(), steps=(Step("coat 2", 240, 5),))
    noted = OutOfMould("101", "", 1, -100)

    assert prepare(a_problem(articles=(article,), out_of_mould=(noted,))).first_task_from == [140]
    assert prepare(a_problem(articles=(article,))).first_task_from == [240]
    late = prepare(a_problem(a_line(not_before=DAY), articles=(article,)))
    assert late.first_task_from == [DAY + 240]


def test_damp_copies_are_not_free_at_the_start():
    assert prepare(a_problem(moulds=(a_mould(copies=5, free_at=(0, 300, 600)),))).free_copies == [3]
