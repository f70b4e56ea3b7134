"""Taking back what was done to a mix."""

from __future__ import annotations

from uuid import uuid4

import pytest

from inventory.errors import NothingToUndo
from inventory.models import Holding, Posting
from production.errors import LaterActsDepend
from production.models import Cast
from production.operations.opening import open_moulds
from production.operations.pouring import pour_cast, pour_rest, start_mix, stop_mix
from production.operations.undoing import UNDO
from tests.factories.inventory import KG, MONDAY, a_tap, ledger_size
from tests.factories.production import a_planned_mix, judged, minutes, pots, poured, started

pytestmark = pytest.mark.django_db

LATER = MONDAY + minutes(90)


def undo(done, name, key=None, now=LATER, **content):
    return UNDO[f"production.{name}"](**a_tap(key, now=now), act_id=done.act_id, **content)


def amounts():
    return sorted(Holding.objects.values_list("amount", flat=True))


def test_every_act_of_the_bench_and_the_shelf_can_be_taken_back():
    assert set(UNDO) >= {
        "production.call_dry",
        "production.finish_step",
        "production.judge_cast",
        "production.judge_piece",
        "production.open_moulds",
        "production.pour_cast",
        "production.pour_rest",
        "production.set_reason",
        "production.start_mix",
        "production.stop_mix",
        "production.weigh_cast",
        "production.weigh_piece",
    }


class TestStartMix:
    def test_powder_goes_back_the_copies_are_free_and_the_plan_wants_it_again(self):
        planned = pots()
        before = amounts()
        first = start_mix(**a_tap(), planned_mix_id=planned.pk)

        undo(first, "start_mix")

        assert amounts() == before
        assert Posting.objects.filter(reverses__isnull=False).count() == 2
        again = start_mix(**a_tap(now=LATER), planned_mix_id=planned.pk)
        assert again.facts["number"] == first.facts["number"] + 1

    def test_once_a_mould_is_filled_it_stands(self):
        planned = pots()
        done = start_mix(**a_tap(), planned_mix_id=planned.pk)
        cast = Cast.objects.first()
        pour_cast(**a_tap(now=MONDAY + minutes(6)), cast_id=cast.pk)
        before = ledger_size()

        with pytest.raises(LaterActsDepend) as refused:
            undo(done, "start_mix")

        assert refused.value.message == f"{cast.mould_copy} was poured 09:06. Undo that first."
        assert ledger_size() == before

    def test_a_second_undo_is_refused(self):
        done = start_mix(**a_tap(), planned_mix_id=pots().pk)
        undo(done, "start_mix")
        before = ledger_size()

        with pytest.raises(NothingToUndo):
            undo(done, "start_mix")

        assert ledger_size() == before

    def test_again_with_the_same_key_answers_the_same(self):
        done, key = start_mix(**a_tap(), planned_mix_id=pots().pk), uuid4()

        assert undo(done, "start_mix", key).said == undo(done, "start_mix", key).said

    def test_an_undone_mix_leaves_the_tub_as_full_as_before(self):
        planned = pots()
        undo(start_mix(**a_tap(), planned_mix_id=planned.pk), "start_mix")

        assert max(amounts()) == 15 * KG


class TestPourCast:
    def test_the_mould_is_to_be_filled_again_and_so_is_the_mix(self):
        mix = started(pots(pieces=1))
        first, last = mix.casts.order_by("position")
        pour_cast(**a_tap(now=MONDAY + minutes(5)), cast_id=first.pk)
        done = pour_cast(**a_tap(now=MONDAY + minutes(6)), cast_id=last.pk)

        undo(done, "pour_cast")

        mix.refresh_from_db()
        assert mix.poured_at is None
        assert mix.casts.filter(poured_at=None).get() == last

    def test_once_the_mould_is_open_it_stands(self):
        mix = started(pots(pieces=1, copies=1))
        dones = [
            pour_cast(**a_tap(now=MONDAY + minutes(5)), cast_id=cast.pk)
            for cast in mix.casts.order_by("position")
        ]
        open_moulds(**a_tap(now=MONDAY + minutes(70)), mix_id=mix.pk)

        with pytest.raises(LaterActsDepend):
            undo(dones[0], "pour_cast")


class TestStopMix:
    def test_the_moulds_left_out_are_to_be_filled_after_all(self):
        mix = started(pots())
        done = stop_mix(**a_tap(now=MONDAY + minutes(9)), mix_id=mix.pk)

        undo(done, "stop_mix")

        mix.refresh_from_db()
        assert (mix.is_stopped, mix.poured_at) == (False, None)
        assert mix.casts.filter(left_out_at=None).count() == 4

    def test_a_copy_taken_for_another_mix_keeps_it_stopped(self):
        planned = pots()
        article = planned.casts.first().part.article
        mix = started(planned)
        done = stop_mix(**a_tap(now=MONDAY + minutes(9)), mix_id=mix.pk)
        other = started(a_planned_mix(article, planned.colour, pieces=1), MONDAY + minutes(15))

        with pytest.raises(LaterActsDepend) as refused:
            undo(done, "stop_mix")

        assert f"is in mix {other.number} now" in refused.value.message


class TestOpenMoulds:
    def test_the_casts_are_in_their_moulds_again(self):
        mix = poured(pots())
        done = open_moulds(**a_tap(now=MONDAY + minutes(70)), mix_id=mix.pk)

        undo(done, "open_moulds")

        assert mix.casts.filter(out_at=None).count() == 4

    def test_once_a_cast_is_judged_it_stands(self):
        mix = poured(pots())
        done = open_moulds(**a_tap(now=MONDAY + minutes(70)), mix_id=mix.pk)
        judged(mix.casts.order_by("position").first())

        with pytest.raises(LaterActsDepend) as refused:
            undo(done, "open_moulds")

        assert refused.value.message == "Copy 1 was found good. Undo that first."

    def test_once_a_copy_is_filled_again_it_stands(self):
        planned = pots()
        article = planned.casts.first().part.article
        mix = poured(planned)
        done = open_moulds(**a_tap(now=MONDAY + minutes(70)), mix_id=mix.pk)
        other = started(a_planned_mix(article, planned.colour, pieces=1), MONDAY + minutes(200))

        with pytest.raises(LaterActsDepend) as refused:
            undo(done, "open_moulds", now=MONDAY + minutes(201))

        assert f"is in mix {other.number} now" in refused.value.message


class TestPourRest:
    def test_the_moulds_of_that_tap_are_to_be_filled_again_and_no_others(self):
        mix = started(pots())
        first, *_ = mix.casts.order_by("position")
        pour_cast(**a_tap(now=MONDAY + minutes(4)), cast_id=first.pk)
        done = pour_rest(**a_tap(now=MONDAY + minutes(5)), mix_id=mix.pk)

        undone = undo(done, "pour_rest")

        assert undone.said == f"Mix {mix.number} goes on: 3 moulds to fill."
        assert list(mix.casts.filter(poured_at__isnull=False)) == [first]
        mix.refresh_from_db()
        assert mix.poured_at is None

    def test_once_a_mould_was_opened_a_sentence_says_so(self):
        mix = started(pots())
        done = pour_rest(**a_tap(now=MONDAY + minutes(5)), mix_id=mix.pk)
        open_moulds(**a_tap(now=MONDAY + minutes(70)), mix_id=mix.pk)

        with pytest.raises(LaterActsDepend, match="was opened 10:10. Undo that first."):
            undo(done, "pour_rest")
