"""Keeping pieces for lines, by themselves and by hand."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.db import IntegrityError, transaction

from orders.errors import NoSuchOrder, OrderClosed, PieceNotFree
from orders.models import Assignment, ParcelPiece
from orders.operations.assigning import assign_piece, lock_open_lines, sorts_of
from orders.operations.changing import call_off
from orders.operations.packing import tick_piece
from orders.queries.keeping import kept_for
from tests.factories.inventory import a_tap
from tests.factories.orders import TODAY, a_piece, a_range, an_order, offered
from tests.services.at_once import at_once


def kept(*pieces):
    return [kept_for([piece.pk]).get(piece.pk) for piece in pieces]


def test_a_good_piece_is_kept_for_the_order_that_leaves_first(made):
    late = an_order((made.tray, made.rust, 1), ship_by=TODAY + timedelta(days=9))
    soon = an_order((made.tray, made.rust, 1), ship_by=TODAY + timedelta(days=2))

    first, second, third = (a_piece(made.tray, made.rust) for _ in range(3))

    assert kept(first, second, third) == [soon.number, late.number, None]


def test_a_new_urgent_order_takes_over_what_was_not_poured_for_another(made):
    later = an_order((made.tray, made.rust, 1), ship_by=TODAY + timedelta(days=9))
    piece = a_piece(made.tray, made.rust)
    assert kept(piece) == [later.number]

    urgent = an_order((made.tray, made.rust, 1), ship_by=TODAY)

    assert kept(piece) == [urgent.number]


def test_what_was_poured_for_an_order_stays_with_it(made):
    later = an_order((made.tray, made.rust, 1), ship_by=TODAY + timedelta(days=9))
    piece = a_piece(made.tray, made.rust, wanted_by=f"line:{later.lines.get().pk}")

    an_order((made.tray, made.rust, 1), ship_by=TODAY)

    assert kept(piece) == [later.number]


@pytest.mark.parametrize("outcome", ["second", "scrap"])
def test_a_second_or_scrap_is_never_kept_and_frees_its_line_again(made, outcome):
    order = an_order((made.tray, made.rust, 1))
    piece = a_piece(made.tray, made.rust)
    tick_piece(**a_tap(), order_id=order.pk, mark=piece.mark)

    type(piece).objects.filter(pk=piece.pk).update(outcome=outcome)
    offered()

    assert kept(piece) == [None]
    assert not ParcelPiece.objects.exists()
    replacement = a_piece(made.tray, made.rust)
    assert kept(replacement) == [order.number]


def test_a_piece_serves_one_line_only_says_the_database(made):
    one = an_order((made.tray, made.rust, 1))
    other = an_order((made.tray, made.rust, 1))
    piece = a_piece(made.tray, made.rust)
    assert Assignment.objects.get(piece=piece).line.order == one

    with pytest.raises(IntegrityError), transaction.atomic():
        Assignment.objects.create(piece=piece, line=other.lines.get())


def test_by_hand_a_piece_goes_where_the_owner_says_and_stays_there(made):
    soon = an_order((made.tray, made.rust, 1), ship_by=TODAY + timedelta(days=1))
    later = an_order((made.tray, made.rust, 1), ship_by=TODAY + timedelta(days=9))
    piece = a_piece(made.tray, made.rust)
    assert kept(piece) == [soon.number]

    done = assign_piece(**a_tap(), mark=piece.mark, line_id=later.lines.get().pk)
    offered()

    assert done.said == (
        f"{piece.mark} is kept for {later.number}. {soon.number} gets another when one is free."
    )
    assert kept(piece) == [later.number]


def test_a_full_line_lets_its_last_piece_go_for_one_chosen_by_hand(made):
    order = an_order((made.tray, made.rust, 1))
    first = a_piece(made.tray, made.rust)
    chosen = a_piece(made.tray, made.rust)

    assign_piece(**a_tap(), mark=chosen.mark, line_id=order.lines.get().pk)

    assert kept(first, chosen) == [None, order.number]


def test_by_hand_refuses_what_does_not_fit_and_changes_nothing(made):
    order = an_order((made.tray, made.rust, 1))
    line = order.lines.get().pk
    slate = a_piece(made.tray, made.slate)
    scrap = a_piece(made.tray, made.rust, outcome="scrap")

    with pytest.raises(PieceNotFree, match="is not Ferry tray in Rust"):
        assign_piece(**a_tap(), mark=slate.mark, line_id=line)
    with pytest.raises(PieceNotFree, match="No good piece"):
        assign_piece(**a_tap(), mark=scrap.mark, line_id=line)
    with pytest.raises(NoSuchOrder):
        assign_piece(**a_tap(), mark=slate.mark, line_id=line + 999)
    assert not Assignment.objects.exists()


def test_by_hand_refuses_a_piece_in_another_box_and_a_closed_order(made):
    order = an_order((made.tray, made.rust, 1))
    piece = a_piece(made.tray, made.rust)
    tick_piece(**a_tap(), order_id=order.pk, mark=piece.mark)
    other = an_order((made.tray, made.rust, 1))

    with pytest.raises(PieceNotFree, match=f"in the box of {order.number}"):
        assign_piece(**a_tap(), mark=piece.mark, line_id=other.lines.get().pk)
    call_off(**a_tap(), order_id=other.pk)
    with pytest.raises(OrderClosed):
        assign_piece(**a_tap(), mark=piece.mark, line_id=other.lines.get().pk)


def test_offering_again_changes_nothing(made):
    an_order((made.tray, made.rust, 2))
    for _ in range(3):
        a_piece(made.tray, made.rust)
    before = list(Assignment.objects.order_by("id").values_list("id", "piece", "line"))

    offered()

    assert list(Assignment.objects.order_by("id").values_list("id", "piece", "line")) == before


@pytest.mark.django_db(transaction=True)
def test_two_offers_at_once_keep_every_piece_once():
    made = a_range()
    order = an_order((made.tray, made.rust, 3))
    for _ in range(5):
        a_piece(made.tray, made.rust, offer=False)

    answers = at_once(offered, offered)

    assert answers == [None, None]
    assert Assignment.objects.filter(line__order=order).count() == Assignment.objects.count() == 3


def test_an_order_looks_only_at_lines_and_pieces_of_what_is_in_it(made):
    mine = an_order((made.tray, made.rust, 1))
    other = an_order((made.tray, made.slate, 1))
    a_piece(made.tray, made.rust, offer=False)
    free = a_piece(made.tray, made.slate, offer=False)

    assert [line.order_id for line in lock_open_lines(sorts_of([mine.pk]))] == [mine.pk]
    call_off(**a_tap(), order_id=mine.pk)

    assert kept(free) == [None]
    assert [line.order_id for line in lock_open_lines()] == [other.pk]
