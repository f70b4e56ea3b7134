"""Which free piece goes to which line."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

from orders.arithmetic.sharing import FreePiece, LackingLine, share_out

MON = datetime(2026, 10, 5, 8, 0, tzinfo=UTC)
TRAY, CUP, RUST = 1, 2, 1


def line(number, lacks=1, *, day=9, article=TRAY):
    return LackingLine(number, f"line:{number}", article, RUST, lacks, date(2026, 10, day))


def piece(number, *, wanted_by="", ready=None, article=TRAY, steps=0):
    ready_at = MON + timedelta(hours=ready) if ready is not None else None
    return FreePiece(number, article, RUST, wanted_by, ready_at, steps, MON)


def test_a_piece_goes_first_to_the_line_it_was_poured_for():
    shared = share_out([line(1, day=6), line(2, day=12)], [piece(7, wanted_by="line:2", ready=0)])

    assert shared == {7: 2}


def test_the_earliest_ship_by_gets_the_ready_piece_whichever_order_came_first():
    shared = share_out([line(1, day=12), line(2, day=6)], [piece(7), piece(8, ready=5), piece(9, ready=1)])

    assert shared == {9: 2, 8: 1}


def test_pieces_in_progress_come_after_ready_ones_and_the_further_first():
    shared = share_out([line(1, 2)], [piece(7, steps=1), piece(8, steps=2), piece(9, ready=30)])

    assert shared == {9: 1, 8: 1}


def test_a_line_gets_no_more_than_it_lacks_not_even_of_its_own():
    pieces = [piece(number, wanted_by="line:1") for number in (7, 8, 9)]

    shared = share_out([line(1, 1), line(2, 1, day=20)], pieces)

    assert sorted(shared.values()) == [1, 2]


def test_another_article_is_no_help():
    assert share_out([line(1, article=CUP)], [piece(7, ready=0, wanted_by="line:1")]) == {}


def test_a_line_that_lacks_nothing_gives_its_own_pieces_to_others():
    assert share_out([line(1, 0), line(2, 1)], [piece(7, wanted_by="line:1")]) == {7: 2}
