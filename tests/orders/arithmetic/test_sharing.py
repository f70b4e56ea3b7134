"""Which free piece goes to which line."""

from __future__ import annotations

import itertools
import random
from collections import Counter
from datetime import UTC, date, datetime, timedelta

import pytest

from orders.arithmetic.sharing import FreePiece, LackingLine, share_out

MON = datetime(2026, 10, 5, 8, 0, tzinfo=UTC)
TRAY, CUP, RUST = 1, 2, 1


def line(number, lacks=1, *, day=9, article=TRAY, seconds_do=False):
    return LackingLine(number, f"line:{number}", article, RUST, lacks, date(2026, 10, day), seconds_do)


def piece(number, *, wanted_by="", ready=None, article=TRAY, steps=0, is_second=False):
    ready_at = MON + timedelta(hours=ready) if ready is not None else None
    return FreePiece(number, article, RUST, wanted_by, ready_at, steps, MON, is_second)


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


def test_a_second_goes_only_to_a_line_that_takes_seconds_and_there_before_a_good_piece():
    lines = [line(1, day=6), line(2, day=12, seconds_do=True)]
    pieces = [piece(7, ready=0, is_second=True, wanted_by="line:1"), piece(8, ready=0), piece(9, ready=1)]

    assert share_out(lines, pieces) == {8: 1, 7: 2}
    assert share_out(lines[:1], pieces[:1]) == {}


def _complete(lines, shared, order_of):
    """How many orders have all their lines in full."""
    lacking = {one.id: one.lacks for one in lines}
    for kept_for in shared.values():
        lacking[kept_for] -= 1
    return len({order_of[one.id] for one in lines} - {order_of[one] for one, left in lacking.items() if left})


def _by_brute_force(lines, pieces, order_of):
    """The most orders complete in any sharing out that leaves no earlier line short for a later one."""
    best = 0
    choices = [[None, *(one.id for one in lines if one.article_id == each.article_id)] for each in pieces]
    for chosen in itertools.product(*choices):
        shared = {each.id: to for each, to in zip(pieces, chosen, strict=True) if to is not None}
        count = Counter(shared.values())
        if any(count[one.id] > one.lacks for one in lines):
            continue
        leapt = any(
            early.article_id == late.article_id and count[late.id] and count[early.id] < early.lacks
            for early, late in itertools.combinations(lines, 2)
        )
        if not leapt:
            best = max(best, _complete(lines, shared, order_of))
    return best


@pytest.mark.parametrize("chance", range(12))
def test_as_many_orders_are_complete_as_in_the_best_sharing_that_keeps_earliest_first(chance):
    """Reference: every possible sharing out, tried by brute force."""
    draw = random.Random(chance)
    order_of, lines = {}, []
    for number in range(1, 6):
        order = min(number, 1 + number // 2)
        order_of[number] = order
        lines.append(line(number, draw.randint(1, 2), day=5 + order, article=draw.choice((TRAY, CUP))))
    pieces = [piece(10 + n, ready=n, article=draw.choice((TRAY, CUP))) for n in range(6)]

    shared = share_out(lines, pieces)

    assert _complete(lines, shared, order_of) == _by_brute_force(lines, pieces, order_of)
