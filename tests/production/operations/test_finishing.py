"""Coats and fills on a group of pieces."""

from __future__ import annotations

from datetime import timedelta
from uuid import uuid4

import pytest

from inventory.errors import NotEnoughInContainer, StudioError
from inventory.models import Posting
from production.errors import AlreadyDone, PieceHasLeft, StepNotDue
from production.models import Piece, StepDone, StepDraw, StepKind
from production.operations.finishing import finish_step
from production.queries.progress import pieces_here
from tests.factories.inventory import MONDAY, G, a_filled_tub, a_material, a_tap, held, ledger_size
from tests.factories.production import a_route, minutes, pieces_of, pots
from tests.services.at_once import at_once

pytestmark = pytest.mark.django_db

OUT = MONDAY + minutes(70)
DRY = OUT + timedelta(hours=24)


@pytest.fixture
def sealer():
    return a_filled_tub(100 * G, a_material(name="Sealer", kind="sealer", unit="ml"), role="working")


@pytest.fixture
def route(sealer):
    """Coat 1 when dry, coat 2 twelve hours later, and a day to cure."""
    coat = {"material": sealer.material, "amount_each": 6 * G}
    return a_route(
        {"wait_minutes": None, **coat},
        {"wait_minutes": 720, **coat},
        {"kind": "cure", "name": "cure", "wait_minutes": 1440, "minutes_each": 0},
    )


@pytest.fixture
def pieces(route):
    return pieces_of(pots(route=route))


def step(route, position):
    return route.steps.get(position=position).pk


def coat(pieces, step_id, at=DRY, key=None, **content):
    return finish_step(**a_tap(key, now=at), piece_ids=[p.pk for p in pieces], step_id=step_id, **content)


def test_the_first_coat_begins_the_wait_for_the_second(pieces, route):
    done = coat(pieces, step(route, 1))

    assert {(p.steps_done, p.last_step_at, p.ready_at) for p in Piece.objects.all()} == {(1, DRY, None)}
    assert done.said == "Coat 1 at 10:10 on 2 pieces. Coat 2 from today 22:10."


def test_the_last_coat_sets_the_day_it_is_cured(pieces, route):
    coat(pieces, step(route, 1))

    done = coat(pieces, step(route, 2), DRY + minutes(720))

    assert {p.ready_at for p in Piece.objects.all()} == {DRY + minutes(720 + 1440)}
    assert done.said == "Coat 2 at 22:10 on 2 pieces. Cured Wed 7, 22:10."


def test_what_the_coat_takes_is_drawn_once_for_all_pieces(pieces, route, sealer):
    done = coat(pieces, step(route, 1))

    assert held(sealer) == 88 * G
    assert [draw["amount"] for draw in done.facts["draws"]] == [12 * G]


def test_every_piece_keeps_what_was_done_to_it_and_its_share_of_the_sealer(pieces, route, sealer):
    route.steps.update(amount_each=5 * G + 1)
    done = coat(pieces, step(route, 1))

    rows = [(row.piece_id, row.position, row.kind, row.name, row.pieces) for row in StepDone.objects.all()]
    assert rows == [(piece.pk, 1, "coat", "coat 1", 2) for piece in pieces]
    assert {(row.waited_from, row.due_at, row.done_at) for row in StepDone.objects.all()} == {(OUT, DRY, DRY)}
    assert [draw.amount for draw in StepDraw.objects.all()] == [5 * G + 1, 5 * G + 1]
    assert sum(draw["amount"] for draw in done.facts["draws"]) == 10 * G + 2


def test_a_step_of_the_studios_own_kind_names_the_piece_after_it(pieces, route):
    gild = StepKind.objects.create(name="gild", done_word="gilded")
    route.steps.filter(position=1).update(kind="own", own_kind=gild, name="gold rim", material=None)
    coat(pieces, step(route, 1))

    assert set(StepDone.objects.values_list("kind", "name")) == {("gild", "gold rim")}
    assert {piece.state for piece in pieces_here(now=DRY)} == {"gilded"}


def test_sealer_out_of_another_tub_than_the_next_in_turn_is_recorded(pieces, route, sealer):
    turn = sealer
    other = a_filled_tub(500 * G, sealer.material, code="S9")

    done = coat(pieces, step(route, 1), tub="S9")

    (draw,) = done.facts["draws"]
    assert draw["container_id"] == other.pk
    assert Posting.objects.get(pk=draw["posting_id"]).reason.endswith(f", instead of {turn.code}")
    assert f"From S9 instead of {turn.code}." in done.said


def test_a_tub_without_sealer_is_refused_and_no_piece_moves(pieces, route, sealer):
    turn = sealer

    with pytest.raises(StudioError) as caught:
        coat(pieces, step(route, 1), tub="S77")

    assert caught.value.message == f"S77 holds none of it now. Take it from {turn.code}."


def test_a_coat_before_the_piece_is_dry_is_refused_unless_it_is_meant(pieces, route, sealer):
    with pytest.raises(StepNotDue) as refused:
        coat(pieces, step(route, 1), DRY - minutes(30))

    assert refused.value.facts["due_at"] == DRY
    assert held(sealer) == 100 * G
    coat(pieces, step(route, 1), DRY - minutes(30), early=True)
    assert Piece.objects.filter(steps_done=1).count() == 2


def test_another_step_than_the_next_is_refused(pieces, route):
    with pytest.raises(StepNotDue):
        coat(pieces, step(route, 2))


def test_a_coat_done_before_is_told_when(pieces, route):
    coat(pieces, step(route, 1))

    with pytest.raises(AlreadyDone) as refused:
        coat(pieces, step(route, 1), DRY + minutes(5))

    assert refused.value.message == f"Already done Tue 6, 10:10 on {pieces[0].mark}." or (
        refused.value.message == f"Already done 10:10 on {pieces[0].mark}."
    )


def test_too_little_sealer_is_refused_and_no_piece_moves(pieces, route, sealer):
    route.steps.update(amount_each=60 * G)
    before = ledger_size()

    with pytest.raises(NotEnoughInContainer):
        coat(pieces, step(route, 1))

    assert ledger_size() == before
    assert not Piece.objects.filter(steps_done=1).exists()


def test_a_shipped_piece_is_not_coated(pieces, route):
    Piece.objects.filter(pk=pieces[0].pk).update(shipped_at=DRY)

    with pytest.raises(PieceHasLeft):
        coat(pieces, step(route, 1))

    assert not Piece.objects.filter(steps_done=1).exists()


def test_again_with_the_same_key_draws_nothing_twice(pieces, route, sealer):
    key = uuid4()
    coat(pieces, step(route, 1), key=key)

    again = coat(pieces, step(route, 1), key=key)

    assert again.again is True
    assert held(sealer) == 88 * G


@pytest.mark.django_db(transaction=True)
def test_two_screens_at_once_coat_once(pieces, route, sealer):
    answers = at_once(lambda: coat(pieces, step(route, 1)), lambda: coat(pieces, step(route, 1)))

    assert sorted(type(answer).__name__ for answer in answers) == ["AlreadyDone", "Done"]
    assert held(sealer) == 88 * G
