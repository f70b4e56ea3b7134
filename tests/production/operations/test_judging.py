"""Good, second, scrap: how casts become pieces, and what they free again."""

from __future__ import annotations

from uuid import uuid4

import pytest

from inventory.arithmetic.codes import piece_number
from inventory.errors import StudioError
from production.errors import AlreadyDone, NotOutYet
from production.models import Cast, Mix, Piece
from production.operations.judging import judge_cast, judge_piece, set_reason
from production.operations.opening import open_moulds
from production.operations.pouring import pour_cast, pour_rest, start_mix, stop_mix
from production.queries.progress import casts_by_demand, pieces_here
from tests.factories.inventory import MONDAY, a_tap
from tests.factories.production import (
    a_planned_mix,
    a_route,
    judged,
    minutes,
    no_offer,
    out_of_mould,
    pieces_of,
    pots,
    poured,
    started,
)
from tests.services.at_once import at_once

pytestmark = pytest.mark.django_db

LATER = MONDAY + minutes(75)


def parts(mix):
    """Casts of a mix: first pot, second pot, first saucer, second saucer."""
    return list(mix.casts.order_by("position"))


class TestForming:
    def test_a_part_alone_waits_for_its_other_part(self):
        mix = out_of_mould(pots())

        done = judged(parts(mix)[0])

        assert Piece.objects.count() == 0
        assert done.said == "Copy 1: good. It waits for its other part."

    def test_a_full_set_of_parts_is_a_piece_with_a_mark_that_checks(self):
        mix = out_of_mould(pots())
        pot, _, saucer, _ = parts(mix)
        judged(pot)

        done = judged(saucer)

        piece = Piece.objects.get()
        assert set(piece.casts.values_list("pk", flat=True)) == {pot.pk, saucer.pk}
        assert piece.wanted_by == "line:12"
        assert piece.out_at == MONDAY + minutes(70)
        assert piece_number(piece.mark) == piece.pk
        assert done.said == f"Copy 1: good. {piece.mark} on the shelf to dry."

    def test_a_piece_is_as_good_as_its_worst_part_and_has_that_part_s_reason(self):
        mix = out_of_mould(pots())
        pot, _, saucer, _ = parts(mix)
        judged(pot)

        judged(saucer, "second", reason="chipped")

        piece = Piece.objects.get()
        assert (piece.outcome, piece.reason) == ("second", "chipped")

    def test_good_parts_find_good_parts_first(self):
        mix = out_of_mould(pots())
        pot_1, pot_2, saucer_1, saucer_2 = parts(mix)
        judged(saucer_1, "second")
        judged(saucer_2)
        judged(pot_1)

        piece = Piece.objects.get()

        assert saucer_2 in piece.casts.all()
        assert piece.outcome == "good"

    def test_parts_poured_for_the_same_order_line_find_each_other_first(self):
        planned = pots(pieces=1, copies=4)
        article, colour = planned.casts.first().part.article, planned.colour
        other = a_planned_mix(article, colour, pieces=1, wanted_by="line:99", label="1099")
        first, second = out_of_mould(planned), out_of_mould(other)
        judged(parts(first)[1])
        judged(parts(second)[1])

        judged(parts(second)[0])

        assert Piece.objects.get().wanted_by == "line:99"

    def test_parts_of_different_mixes_make_a_piece_unless_the_article_is_matched(self):
        loose = pots(pieces=1, copies=4)
        article = loose.casts.first().part.article
        again = a_planned_mix(article, loose.colour, pieces=1)
        first, second = out_of_mould(loose), out_of_mould(again)
        judged(parts(first)[0])
        judged(parts(second)[1])

        assert Piece.objects.count() == 1

    def test_matched_parts_come_from_one_mix_only(self):
        planned = pots(pieces=1, copies=4, is_matched=True)
        article = planned.casts.first().part.article
        again = a_planned_mix(article, planned.colour, pieces=1)
        first, second = out_of_mould(planned), out_of_mould(again)
        judged(parts(first)[0])
        judged(parts(second)[1])
        assert Piece.objects.count() == 0

        judged(parts(first)[1])

        assert {cast.mix_id for cast in Piece.objects.get().casts.all()} == {first.pk}

    def test_matched_parts_come_from_a_mix_and_its_top_up_and_the_colour_is_flagged(self):
        first = started(pots(pieces=1, copies=4, is_matched=True))
        pour_cast(**a_tap(now=MONDAY + minutes(4)), cast_id=parts(first)[0].pk)
        stop_mix(**a_tap(now=MONDAY + minutes(5)), mix_id=first.pk)
        done = start_mix(**a_tap(now=MONDAY + minutes(20)), tops_up_id=first.pk)
        again = Mix.objects.get(pk=done.facts["mix_id"])
        pour_rest(**a_tap(now=MONDAY + minutes(25)), mix_id=again.pk)
        for mix in (first, again):
            open_moulds(**a_tap(now=MONDAY + minutes(90)), mix_id=mix.pk)
        judged(parts(first)[0], at=MONDAY + minutes(91))
        in_the_making = casts_by_demand()["line:12"]

        judged(parts(again)[0], at=MONDAY + minutes(92))

        assert (again.tops_up, in_the_making.pieces) == (first, 1)
        (piece,) = pieces_here(now=MONDAY + minutes(93))
        assert (piece.mix_numbers, piece.colour_risk) == ((first.number, again.number), True)

    def test_an_article_that_only_dries_is_ready_when_it_is_dry(self):
        (piece,) = pieces_of(pots(pieces=1))

        # Out at 10:10 on Monday, 24 h to dry.
        assert piece.ready_at == MONDAY + minutes(70 + 24 * 60)

    def test_an_article_with_coats_has_no_ready_time_yet(self):
        route = a_route({"wait_minutes": None}, {"wait_minutes": 720})

        (piece,) = pieces_of(pots(pieces=1, route=route))

        assert piece.ready_at is None


class TestJudgeCast:
    def test_whoever_waits_for_the_piece_is_asked_in_the_same_act(self):
        asked = []
        mix = out_of_mould(pots())
        pot, _, saucer, _ = parts(mix)
        judged(pot)

        judge_cast(
            **a_tap(now=LATER),
            cast_id=saucer.pk,
            outcome="good",
            offer_pieces=lambda now, sorts: asked.append((now, Piece.objects.count(), sorts)),
        )

        piece = Piece.objects.get()
        assert asked == [(LATER, 1, [(piece.article_id, piece.colour_id)])]

    def test_scrap_frees_the_demand_and_says_who_is_short(self):
        mix = out_of_mould(pots())
        article = parts(mix)[0].part.article
        assert casts_by_demand()["line:12"].pieces == 2

        done = judged(parts(mix)[1], "scrap", reason="torn detail")

        assert casts_by_demand()["line:12"].pieces == 1
        assert done.said == (
            f"Copy 2: scrap, torn detail. 1045 is one {article} short. Plan again to make up for it."
        )

    def test_a_second_does_not_count_for_the_demand_either(self):
        mix = out_of_mould(pots())

        judged(parts(mix)[1], "second")

        assert casts_by_demand()["line:12"].pieces == 1

    def test_a_cast_in_the_mould_is_not_judged(self):
        mix = poured(pots())

        with pytest.raises(NotOutYet):
            judged(parts(mix)[0])

        assert not Cast.objects.exclude(outcome="").exists()

    @pytest.mark.parametrize(("outcome", "reason"), [("fine", ""), ("scrap", "ugly")])
    def test_words_that_nobody_uses_are_refused(self, outcome, reason):
        mix = out_of_mould(pots())

        with pytest.raises(StudioError):
            judged(parts(mix)[0], outcome, reason=reason)

        assert not Cast.objects.exclude(outcome="").exists()

    def test_again_with_the_same_key_makes_no_second_piece(self):
        mix = out_of_mould(pots())
        pot, _, saucer, _ = parts(mix)
        judged(pot)
        key = uuid4()
        content = {"cast_id": saucer.pk, "outcome": "good", "offer_pieces": no_offer}
        first = judge_cast(**a_tap(key, now=LATER), **content)

        again = judge_cast(**a_tap(key, now=LATER), **content)

        assert again.facts == first.facts
        assert Piece.objects.count() == 1

    def test_judging_a_cast_a_second_time_is_refused(self):
        mix = out_of_mould(pots())
        judged(parts(mix)[0])

        with pytest.raises(AlreadyDone) as refused:
            judged(parts(mix)[0], "scrap")

        assert refused.value.message == "Copy 1 was judged before: good."

    @pytest.mark.django_db(transaction=True)
    def test_two_parts_judged_at_once_make_one_piece(self):
        mix = out_of_mould(pots(pieces=1))
        pot, saucer = parts(mix)

        at_once(lambda: judged(pot), lambda: judged(saucer))

        assert Piece.objects.count() == 1

    @pytest.mark.django_db(transaction=True)
    def test_one_cast_judged_twice_at_once_is_judged_once(self):
        mix = out_of_mould(pots(pieces=1))
        pot = parts(mix)[0]

        answers = at_once(lambda: judged(pot, "good"), lambda: judged(pot, "scrap"))

        assert sorted(type(answer).__name__ for answer in answers) == ["AlreadyDone", "Done"]


class TestSetReason:
    def test_the_reason_goes_to_the_cast_and_its_piece(self):
        mix = out_of_mould(pots())
        pot, _, saucer, _ = parts(mix)
        judged(pot)
        judged(saucer, "second")

        done = set_reason(**a_tap(now=LATER), cast_id=saucer.pk, reason="air bubbles")

        assert Piece.objects.get().reason == "air bubbles"
        assert done.said == "Copy 1: second, air bubbles."

    def test_a_good_cast_has_no_reason(self):
        mix = out_of_mould(pots())
        judged(parts(mix)[0])

        with pytest.raises(StudioError):
            set_reason(**a_tap(now=LATER), cast_id=parts(mix)[0].pk, reason="cracked")


class TestJudgePiece:
    def judge(self, piece, outcome, key=None, **content):
        return judge_piece(
            **a_tap(key, now=LATER + minutes(60)),
            piece_id=piece.pk,
            outcome=outcome,
            offer_pieces=no_offer,
            **content,
        )

    def test_a_piece_that_chips_on_the_shelf_becomes_scrap_and_its_order_is_short(self):
        piece, _ = pieces_of(pots())

        done = self.judge(piece, "scrap", reason="cracked")

        piece.refresh_from_db()
        assert (piece.outcome, piece.reason) == ("scrap", "cracked")
        assert done.said.startswith(f"{piece.mark}: scrap, cracked at 11:15. 1045 is one ")

    def test_nothing_becomes_better_than_it_was(self):
        piece, _ = pieces_of(pots())
        self.judge(piece, "second")

        with pytest.raises(AlreadyDone):
            self.judge(piece, "good")

    def test_again_with_the_same_key_answers_the_same(self):
        piece, _ = pieces_of(pots())
        key = uuid4()

        assert self.judge(piece, "scrap", key).said == self.judge(piece, "scrap", key).said

    @pytest.mark.django_db(transaction=True)
    def test_two_screens_at_once_judge_it_once(self):
        piece, _ = pieces_of(pots())

        answers = at_once(lambda: self.judge(piece, "scrap"), lambda: self.judge(piece, "scrap"))

        assert sorted(type(answer).__name__ for answer in answers) == ["AlreadyDone", "Done"]
