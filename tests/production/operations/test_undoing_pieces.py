"""Taking back what was said of casts and done to pieces."""

from __future__ import annotations

from datetime import timedelta

import pytest

from inventory.errors import NothingToUndo
from production.errors import LaterActsDepend
from production.models import Piece, StepDone
from production.operations.finishing import finish_step
from production.operations.judging import judge_piece, set_reason
from production.operations.undoing import UNDO
from production.operations.weighing import call_dry, weigh_cast, weigh_piece
from production.queries.progress import casts_by_demand, pieces_here
from tests.factories.inventory import MONDAY, G, a_filled_tub, a_material, a_tap, held
from tests.factories.production import a_route, judged, minutes, no_offer, out_of_mould, pieces_of, pots

pytestmark = pytest.mark.django_db

OUT = MONDAY + minutes(70)
DRY = OUT + timedelta(hours=24)
LATER = DRY + minutes(600)


def undo(done, name, **content):
    return UNDO[f"production.{name}"](**a_tap(now=LATER), act_id=done.act_id, **content)


def state(piece):
    piece.refresh_from_db()
    return (
        piece.steps_done,
        piece.last_step_at,
        piece.ready_at,
        piece.dry_called_at,
        piece.outcome,
        piece.reason,
    )


class TestJudgeCast:
    def test_the_piece_it_completed_is_parts_again(self):
        pot, saucer = out_of_mould(pots(pieces=1)).casts.order_by("position")
        judged(pot)
        done = judged(saucer)
        asked = []

        undo(done, "judge_cast", offer_pieces=lambda now: asked.append(now))

        saucer.refresh_from_db()
        assert (saucer.outcome, saucer.piece) == ("", None)
        assert pieces_here(now=DRY) == []
        assert casts_by_demand()["line:12"].pieces == 1
        assert asked == [LATER]

    def test_a_cast_that_another_one_completed_to_a_piece_stands(self):
        pot, saucer = out_of_mould(pots(pieces=1)).casts.order_by("position")
        first = judged(pot)
        judged(saucer)

        with pytest.raises(LaterActsDepend) as refused:
            undo(first, "judge_cast")

        mark = Piece.objects.get().mark
        assert refused.value.message == f"The cast is part of {mark} now. Undo the other part first."

    def test_a_piece_that_was_weighed_since_stands(self):
        pot, saucer = out_of_mould(pots(pieces=1)).casts.order_by("position")
        judged(pot)
        done = judged(saucer)
        weigh_piece(**a_tap(now=DRY), piece_id=Piece.objects.get().pk, mass_mg=800 * G)

        with pytest.raises(LaterActsDepend):
            undo(done, "judge_cast")

        saucer.refresh_from_db()
        assert saucer.outcome == "good"

    def test_scrap_taken_back_counts_for_the_demand_again(self):
        pot, *_ = out_of_mould(pots(pieces=1)).casts.order_by("position")
        done = judged(pot, "scrap")

        undo(done, "judge_cast")

        assert casts_by_demand()["line:12"].pieces == 1

    def test_a_second_undo_is_refused(self):
        pot, *_ = out_of_mould(pots(pieces=1)).casts.order_by("position")
        done = judged(pot, "scrap")
        undo(done, "judge_cast")

        with pytest.raises(NothingToUndo):
            undo(done, "judge_cast")


def test_a_reason_goes_back_to_what_it_was():
    pot, *_ = out_of_mould(pots(pieces=1)).casts.order_by("position")
    judged(pot, "scrap", reason="cracked")
    done = set_reason(**a_tap(now=DRY), cast_id=pot.pk, reason="chipped")

    undo(done, "set_reason")

    pot.refresh_from_db()
    assert pot.reason == "cracked"


def test_a_piece_called_scrap_by_mistake_is_good_again():
    piece, _ = pieces_of(pots())
    before = state(piece)
    done = judge_piece(**a_tap(now=DRY), piece_id=piece.pk, outcome="scrap", offer_pieces=no_offer)

    undo(done, "judge_piece")

    assert state(piece) == before


class TestFinishStep:
    def test_the_step_is_to_be_done_and_the_sealer_is_back(self):
        sealer = a_filled_tub(100 * G, a_material(name="Sealer", kind="sealer", unit="ml"), role="working")
        route = a_route({"wait_minutes": None, "material": sealer.material, "amount_each": 6 * G})
        pieces = pieces_of(pots(route=route))
        before = [state(piece) for piece in pieces]
        step_id = route.steps.get().pk
        done = finish_step(**a_tap(now=DRY), piece_ids=[p.pk for p in pieces], step_id=step_id)
        assert [state(piece) for piece in pieces] != before

        undo(done, "finish_step")

        assert [state(piece) for piece in pieces] == before
        assert held(sealer) == 100 * G
        assert StepDone.objects.count() == StepDone.objects.filter(undone_at=LATER).count() == 2

    def test_once_the_next_coat_is_on_it_stands(self):
        route = a_route({"wait_minutes": None}, {"wait_minutes": 60})
        (piece,) = pieces_of(pots(pieces=1, route=route))
        first, second = route.steps.all()
        done = finish_step(**a_tap(now=DRY), piece_ids=[piece.pk], step_id=first.pk)
        finish_step(**a_tap(now=DRY + minutes(60)), piece_ids=[piece.pk], step_id=second.pk)

        with pytest.raises(LaterActsDepend):
            undo(done, "finish_step")

        assert state(piece)[0] == 2


class TestScale:
    def test_a_weight_is_left_out(self):
        (piece,) = pieces_of(pots(pieces=1))
        done = weigh_piece(**a_tap(now=DRY), piece_id=piece.pk, mass_mg=800 * G)

        undo(done, "weigh_piece")

        assert pieces_here(now=DRY)[0].drying.readings == ()

    def test_a_weight_out_of_the_mould_goes_back_to_none(self):
        cast = out_of_mould(pots()).casts.first()
        done = weigh_cast(**a_tap(now=OUT), cast_id=cast.pk, mass_mg=cast.fill_mg)

        undo(done, "weigh_cast")

        cast.refresh_from_db()
        assert cast.out_mg is None

    def test_called_dry_by_mistake_is_left_to_dry(self):
        (piece,) = pieces_of(pots(pieces=1))
        before = state(piece)
        done = call_dry(**a_tap(now=OUT + minutes(60)), piece_ids=[piece.pk])

        undo(done, "call_dry")

        assert state(piece) == before
