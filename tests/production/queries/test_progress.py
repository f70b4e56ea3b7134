"""What is in the making, and the pieces that are here."""

from __future__ import annotations

from datetime import timedelta

import pytest

from inventory.models import Act
from production.models import Mix, Piece
from production.operations.finishing import finish_step
from production.operations.pouring import stop_mix
from production.operations.undoing import UNDO
from production.queries.progress import (
    casts_by_demand,
    mix_numbers_ahead,
    pieces_here,
    planned_mixes_ahead,
    ready_pieces,
)
from tests.factories.inventory import MONDAY, a_tap
from tests.factories.production import (
    a_plan,
    a_planned_mix,
    a_route,
    judged,
    minutes,
    out_of_mould,
    pieces_of,
    pots,
    started,
)

pytestmark = pytest.mark.django_db

OUT = MONDAY + minutes(70)
DRY = OUT + timedelta(hours=24)


class TestCastsByDemand:
    def test_casts_count_from_the_powder_on_as_the_pieces_they_can_become(self):
        planned = pots(pieces=2)
        article = planned.casts.first().part.article
        started(planned)

        (made,) = casts_by_demand().values()

        assert (made.wanted_by, made.pieces) == ("line:12", 2)
        assert (made.article_id, made.colour_id) == (article.pk, planned.colour_id)

    def test_a_part_too_few_is_a_piece_less(self):
        planned = pots(pieces=2)
        saucer = planned.casts.get(part__name="saucer").pk
        started(planned, left_out=[saucer])

        (made,) = casts_by_demand().values()

        assert made.pieces == 1
        assert sorted(made.parts.values()) == [1, 2]

    def test_matched_parts_in_two_mixes_are_no_piece(self):
        planned = pots(pieces=1, copies=4, is_matched=True)
        article = planned.casts.first().part.article
        again = a_planned_mix(article, planned.colour, pieces=1)
        pot, saucer = planned.casts.all(), again.casts.all()
        started(planned, left_out=[saucer_entry(pot)])
        started(again, left_out=[pot_entry(saucer)])

        assert casts_by_demand()["line:12"].pieces == 0

    def test_what_became_a_piece_no_longer_counts_as_casts(self):
        pieces_of(pots())

        assert casts_by_demand() == {}

    def test_moulds_left_out_do_not_count(self):
        mix = started(pots())
        stop_mix(**a_tap(now=MONDAY + minutes(10)), mix_id=mix.pk)

        assert casts_by_demand() == {}

    def test_the_number_of_queries_does_not_grow(self, django_assert_num_queries):
        planned = pots(copies=8)
        article = planned.casts.first().part.article
        started(planned)
        for number in range(3):
            started(a_planned_mix(article, planned.colour, wanted_by=f"line:{number}"))

        with django_assert_num_queries(2):
            assert len(casts_by_demand()) == 4


def saucer_entry(casts):
    return casts.get(part__name="saucer").pk


def pot_entry(casts):
    return casts.get(part__name="pot").pk


class TestPiecesHere:
    @pytest.fixture
    def route(self):
        return a_route(
            {"wait_minutes": None},
            {"wait_minutes": 60},
            {"kind": "fill", "name": "fill", "wait_minutes": 60},
            {"kind": "cure", "name": "cure", "wait_minutes": 1440, "minutes_each": 0},
        )

    def states(self, piece, route):
        """The state an hour before each thing is due and right when it is."""
        said, at = [], DRY
        said.append(pieces_here(now=at - minutes(30))[0].state)
        for step in route.steps.all()[:3]:
            said.append(pieces_here(now=at)[0].state)
            finish_step(**a_tap(now=at), piece_ids=[piece.pk], step_id=step.pk)
            said.append(pieces_here(now=at)[0].state)
            at += minutes(60)
        said.append(pieces_here(now=at + minutes(1440))[0].state)
        return said

    def test_a_piece_says_where_it_stands_from_the_mould_to_ready(self, route):
        (piece,) = pieces_of(pots(pieces=1, route=route))

        assert self.states(piece, route) == [
            "drying", "dry", "coat 1", "coat 1", "coat 2", "coat 2", "curing", "ready",
        ]  # fmt: skip

    def test_the_next_step_is_due_when_its_wait_is_over(self, route):
        (piece,) = pieces_of(pots(pieces=1, route=route))

        assert pieces_here(now=OUT)[0].due_at == DRY
        finish_step(**a_tap(now=DRY), piece_ids=[piece.pk], step_id=route.steps.first().pk)
        (here,) = pieces_here(now=DRY)

        assert here.next_step.name == "coat 2"
        assert here.due_at == DRY + minutes(60)
        assert here.ready_at is None

    def test_waits_are_counted_in_hours_that_pass_also_when_the_clocks_change(self):
        # Summer time ends on Sunday 25 October 2026 in London: 24 h after Saturday 12:00 is Sunday 11:00.
        saturday = MONDAY.replace(day=24, hour=9, minute=50)
        (piece,) = pieces_of(pots(pieces=1), saturday)

        assert piece.ready_at - piece.out_at == timedelta(hours=24)
        assert f"{piece.ready_at:%a %H:%M}" == "Sun 11:00"

    def test_scrap_and_shipped_pieces_are_not_here(self):
        scrap, shipped, here = pieces_of(pots(pieces=3, copies=3))
        Piece.objects.filter(pk=scrap.pk).update(outcome="scrap")
        Piece.objects.filter(pk=shipped.pk).update(shipped_at=DRY)

        assert [piece.id for piece in pieces_here(now=DRY)] == [here.pk]

    def test_parts_from_two_mixes_are_a_colour_risk(self):
        planned = pots(pieces=1, copies=4)
        article = planned.casts.first().part.article
        first, second = out_of_mould(planned), out_of_mould(a_planned_mix(article, planned.colour))
        judged(first.casts.get(part__name="pot"))
        judged(second.casts.get(part__name="saucer"))

        assert pieces_here(now=DRY)[0].colour_risk is True

    def test_ready_pieces_are_those_whose_waits_are_over(self):
        pieces_of(pots(pieces=1))

        assert ready_pieces(now=DRY - minutes(1)) == []
        assert len(ready_pieces(now=DRY)) == 1

    def test_the_number_of_queries_does_not_grow(self, django_assert_max_num_queries):
        pieces_of(pots(pieces=1))
        with django_assert_max_num_queries(6) as counted:
            pieces_here(now=DRY)
        once = len(counted.captured_queries)
        pieces_of(pots(pieces=4, copies=4))

        with django_assert_max_num_queries(once):
            assert len(pieces_here(now=DRY)) == 5


class TestNumbersAhead:
    def test_planned_mixes_bear_the_numbers_that_come_next(self):
        mix = started(pots())
        planned = pots()

        assert mix_numbers_ahead()[planned.pk] == mix.number + 1

    def test_only_the_newest_plan_counts_and_only_what_was_not_started(self):
        old = pots()
        article = old.casts.first().part.article
        plan = a_plan()
        second = a_planned_mix(article, old.colour, plan=plan, starts_at=MONDAY + minutes(60))
        first = a_planned_mix(article, old.colour, plan=plan)

        assert planned_mixes_ahead() == [first, second]
        started(first)
        assert planned_mixes_ahead() == [second]

    def test_an_undone_mix_is_ahead_again(self):
        planned = pots()
        started(planned)
        UNDO["production.start_mix"](**a_tap(now=MONDAY + minutes(1)), act_id=Act.objects.latest("id").pk)

        assert planned_mixes_ahead() == [planned]
        assert Mix.objects.get().undone_at is not None
