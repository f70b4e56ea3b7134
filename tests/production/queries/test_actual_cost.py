"""What pieces really cost."""

from __future__ import annotations

from datetime import timedelta
from fractions import Fraction

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from inventory.models import Lot
from production.models import Mix, MouldCopy, Piece
from production.operations.finishing import finish_step
from production.operations.judging import judge_piece
from production.queries.actual_cost import actual_costs, latest_pieces, mix_costs, piece_of_mark
from tests.factories.inventory import MONDAY, G, a_filled_tub, a_material, a_tap
from tests.factories.production import a_route, judged, minutes, no_offer, out_of_mould, pieces_of, pots

pytestmark = pytest.mark.django_db

DRY = MONDAY + minutes(70) + timedelta(hours=24)
RATE = 1700


@pytest.fixture
def sealed():
    """Two pots and saucers, coated with 7 mL of sealer each; odd prices everywhere."""
    sealer = a_filled_tub(100 * G, a_material(name="Sealer", kind="sealer", unit="ml"), role="working")
    route = a_route(
        {"wait_minutes": None, "material": sealer.material, "amount_each": 7 * G, "minutes_per_board": 5}
    )
    pieces = pieces_of(pots(route=route))
    finish_step(**a_tap(now=DRY), piece_ids=[one.pk for one in pieces], step_id=route.steps.get().pk)
    for number, lot in enumerate(Lot.objects.order_by("pk")):
        Lot.objects.filter(pk=lot.pk).update(price_minor=1999 + 101 * number)
    MouldCopy.objects.update(price_minor=2401, casts_expected=61)
    return pieces


def used_minor():
    """All that the only mix drew, wore and took of hands, worked out from the rows one by one."""
    mix = Mix.objects.get()
    used = Fraction(0)
    draws = [
        *mix.draws.all(),
        *(d for p in Piece.objects.all() for s in p.done_steps.all() for d in s.draws.all()),
    ]
    for draw in draws:
        used += Fraction(draw.lot.price_minor * draw.amount, draw.lot.amount)
    hands = mix.compound.weigh_and_mix_minutes + mix.compound.clean_up_minutes
    for cast in mix.casts.all():
        used += Fraction(2401, 61)
        hands += cast.mould_copy.mould.fill_minutes + cast.mould_copy.mould.open_minutes
    coats = 2 * 2 + 5
    return used + Fraction((hands + coats) * RATE, 60)


def test_the_pieces_of_a_mix_cost_what_it_used_to_the_last_minor_unit(sealed):
    costs = actual_costs([one.pk for one in sealed], rate_minor=RATE)

    assert sum(cost.total_minor for cost in costs.values()) == round(used_minor())
    assert abs(costs[sealed[0].pk].total_minor - costs[sealed[1].pk].total_minor) <= 1


def test_a_second_is_carried_by_the_other_and_the_sum_stays(sealed):
    one, other = sealed
    before = actual_costs([other.pk], rate_minor=RATE)[other.pk].total_minor
    tap = a_tap(now=DRY + minutes(5))
    judge_piece(**tap, piece_id=one.pk, outcome="second", offer_pieces=no_offer, reason="chipped")

    costs = actual_costs([one.pk, other.pk], rate_minor=RATE)

    assert costs[other.pk].total_minor == round(used_minor())
    assert costs[one.pk].carried_by == 1
    assert abs(costs[one.pk].total_minor - before) <= 1


def test_a_scrapped_cast_and_one_that_lost_its_partner_stand_alone():
    """Of two pots and two saucers one pot is scrap: its saucer is no piece, and bears its own part."""
    mix = out_of_mould(pots())
    Lot.objects.update(price_minor=1000)
    casts = list(mix.casts.order_by("position"))
    for number, cast in enumerate(casts):
        judged(cast, "scrap" if number == 0 else "good")

    cost = mix_costs([mix], rate_minor=RATE)[mix.pk]

    assert [one.key for one in cost.failed] == [f"cast {casts[0].pk}"]
    assert len(cost.pieces) == 2
    assert sum(one.total_minor for one in cost.pieces) == cost.total_minor


def test_a_mix_of_which_nothing_was_poured_costs_no_piece(sealed):
    mix = Mix.objects.get()
    mix.casts.update(poured_at=None)

    assert mix_costs([mix], rate_minor=RATE) == {}


def test_a_mix_with_casts_not_judged_yet_is_open():
    mix = out_of_mould(pots())
    judged(mix.casts.order_by("position")[0])
    judged(mix.casts.order_by("position")[2])
    piece = Piece.objects.get()

    assert actual_costs([piece.pk], rate_minor=RATE)[piece.pk].is_open


def test_many_pieces_ask_no_more_than_one(sealed):
    def asked(pieces):
        with CaptureQueriesContext(connection) as queries:
            actual_costs([one.pk for one in pieces], rate_minor=RATE)
        return len(queries)

    few = asked(sealed[:1])
    more = [piece for _ in range(2) for piece in pieces_of(pots())]
    assert asked([*sealed, *more]) == few


def test_pieces_are_found_by_their_mark_and_the_newest_first(sealed):
    assert latest_pieces(sealed[0].article_id) == [sealed[1].pk, sealed[0].pk]
    assert piece_of_mark(sealed[0].mark.lower()) == sealed[0]
    assert piece_of_mark("none") is None
