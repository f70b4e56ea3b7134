"""How castings came out, and from which powder."""

from __future__ import annotations

from datetime import timedelta

import pytest

from inventory.models import Container, Lot
from production.models import Mix
from production.operations.judging import judge_piece
from production.queries.outcomes import outcomes_since
from tests.factories.inventory import MONDAY, a_tap
from tests.factories.production import judged, minutes, no_offer, out_of_mould, pots

pytestmark = pytest.mark.django_db

WEEKS_OPEN = timedelta(weeks=10, days=2)


def test_a_casting_bears_the_powder_it_was_made_from_and_how_long_it_was_open(django_assert_num_queries):
    planned = pots(pieces=1)
    tub = Container.objects.get(material=planned.compound.powder)
    Container.objects.filter(pk=tub.pk).update(opened_at=MONDAY - WEEKS_OPEN, openings_count=3)
    mix = out_of_mould(planned)
    pot, saucer = mix.casts.order_by("position")
    judged(pot, "scrap", reason="lumps")
    judged(saucer)

    with django_assert_num_queries(3):
        found = outcomes_since(MONDAY)

    assert [(one.part, one.seen.outcome, one.seen.reason) for one in found] == [
        ("saucer", "good", ""),
        ("pot", "scrap", "lumps"),
    ]
    lot = Lot.objects.get(material=planned.compound.powder)
    assert {(one.seen.powder_lots, one.tubs) for one in found} == {((lot.code,), (tub.code,))}
    # Three decants out of it, and this mix.
    assert {(one.seen.tub_days, one.seen.openings) for one in found} == {(72, 4)}
    assert outcomes_since(MONDAY + timedelta(days=1)) == []


def test_a_piece_that_cracked_later_on_tells_of_its_castings():
    mix = out_of_mould(pots(pieces=1))
    for cast in mix.casts.order_by("position"):
        mark_of = judged(cast).facts["piece_id"] or 0
    judge_piece(
        **a_tap(now=MONDAY + minutes(90)),
        piece_id=mark_of,
        outcome="scrap",
        reason="cracked",
        offer_pieces=no_offer,
    )

    assert {(one.seen.outcome, one.seen.reason) for one in outcomes_since(MONDAY)} == {("scrap", "cracked")}


def test_a_mix_made_before_tubs_were_noted_is_not_known():
    mix = out_of_mould(pots(pieces=1))
    judged(mix.casts.first())
    Mix.objects.update(powder_opened_at=None, powder_openings=None)

    (found,) = outcomes_since(MONDAY)

    assert (found.seen.tub_days, found.seen.openings) == (None, None)
