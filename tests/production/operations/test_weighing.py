"""Weights out of the mould and on the way to dry."""

from __future__ import annotations

from datetime import timedelta
from uuid import uuid4

import pytest

from production.errors import AlreadyDone, NotOutYet, ReadingNotBelieved
from production.models import Cast, Mix, Piece, Weighing
from production.operations.weighing import call_dry, weigh_cast, weigh_piece
from production.queries.progress import pieces_here
from tests.factories.inventory import MONDAY, G, a_tap
from tests.factories.production import a_route, minutes, out_of_mould, pieces_of, pots, poured
from tests.services.at_once import at_once

pytestmark = pytest.mark.django_db

OUT = MONDAY + minutes(70)


def hours(count):
    return OUT + timedelta(hours=count)


def weigh(piece, grams, at, key=None, **content):
    return weigh_piece(**a_tap(key, now=at), piece_id=piece.pk, mass_mg=round(grams * G), **content)


@pytest.fixture
def piece():
    """A piece whose mix foretells no dry mass, so that only its own weighings count."""
    (piece,) = pieces_of(pots(pieces=1, route=a_route({"wait_minutes": None})))
    Mix.objects.update(dry_mg_per_ul=0)
    return piece


def test_a_first_weight_is_kept_and_says_what_is_missing(piece):
    done = weigh(piece, 1200, hours(1))

    assert Weighing.objects.get().mass_mg == 1200 * G
    assert done.said == (
        f"{piece.mark} 1,200.0 g. Not dry yet. Two more weighings and the dry day can be said."
    )


def test_three_weights_tell_the_dry_day(piece):
    # m(t) = 1000 + 200 exp(-0.03 t): check-values 3, the change over 24 h is 0.1 % after 178.35 h.
    for hour, grams in ((0.5, 1197.0224), (24, 1097.3505), (48, 1047.3856)):
        done = weigh(piece, grams, hours(hour))

    (here,) = pieces_here(now=hours(48))
    assert here.drying.told_by == "weighed"
    assert here.drying.dry_at == pytest.approx(hours(178.35), abs=timedelta(minutes=30))
    assert here.state == "drying"
    assert "50.0 g lighter than" in done.said
    # By the scale's step alone, see test_drying_range: under an hour.
    assert done.said.endswith(", give or take 1 h.")


def test_a_weight_that_stands_still_with_little_water_is_dry(piece):
    Mix.objects.update(dry_mg_per_ul=1000 / 400)  # 400 mL of pot and saucer: 1,000 g when dry
    Cast.objects.update(out_mg=None)
    for hour, grams in ((1, 1150), (30, 1001), (54, 1000.4)):
        done = weigh(piece, grams, hours(hour))

    (here,) = pieces_here(now=hours(54))
    assert here.drying.dry_at == hours(54)
    assert here.state == "dry"
    assert done.said == f"{piece.mark} 1,000.4 g. Dry: 0.6 g in 24 h."


def test_heavier_than_last_time_is_asked_about_and_kept_when_meant(piece):
    weigh(piece, 1200, hours(1))

    with pytest.raises(ReadingNotBelieved) as refused:
        weigh(piece, 1203.1, hours(2))

    assert refused.value.message == "Heavier than 11:10 by 3.1 g. Same piece? Same scale?"
    assert Weighing.objects.count() == 1
    weigh(piece, 1203.1, hours(2), keep_anyway=True)
    assert Weighing.objects.count() == 2


def test_two_weights_tell_no_dry_time_and_the_hours_of_the_compound_count(piece):
    weigh(piece, 1200, hours(1))
    done = weigh(piece, 1150, hours(10))

    (here,) = pieces_here(now=hours(10))
    assert (here.drying.told_by, here.drying.range_words) == ("hours", "")
    assert "One more weighing and the dry day can be said." in done.said
    assert "Dry about" not in done.said


def test_a_rise_that_was_kept_tells_no_dry_time_until_it_is_undone_or_the_weights_fall_again(piece):
    for hour, grams in ((0.5, 1197.0224), (24, 1097.3505), (48, 1047.3856)):
        weigh(piece, grams, hours(hour))
    done = weigh(piece, 1060, hours(60), keep_anyway=True)
    assert "do not tell when it is dry" in done.said
    (here,) = pieces_here(now=hours(60))
    assert (here.drying.told_by, here.drying.range_words) == ("hours", "")

    weigh(piece, 1023, hours(72))

    (here,) = pieces_here(now=hours(72))
    assert here.drying.told_by == "weighed"
    assert here.drying.range_words.startswith("give or take ")


def test_lighter_than_its_mix_can_be_is_a_fault_and_not_dryness(piece):
    Mix.objects.update(dry_mg_per_ul=1000 / 400)

    with pytest.raises(ReadingNotBelieved) as refused:
        weigh(piece, 950, hours(30))

    assert refused.value.facts["fault"] == "lighter than dry"


def test_the_weight_of_one_piece_tells_for_all_of_its_mix():
    one, other = pieces_of(pots(route=a_route({"wait_minutes": None})))
    Mix.objects.update(dry_mg_per_ul=0)
    for hour, grams in ((0.5, 1197.0224), (24, 1097.3505), (48, 1047.3856)):
        weigh(one, grams, hours(hour))

    dry = {here.id: here.drying.dry_at for here in pieces_here(now=hours(48))}

    assert dry[one.pk] == dry[other.pk] > hours(150)


def test_weighing_again_with_the_same_key_keeps_one_weight(piece):
    key = uuid4()
    weigh(piece, 1200, hours(1), key)
    weigh(piece, 1200, hours(1), key)

    assert Weighing.objects.count() == 1


@pytest.mark.django_db(transaction=True)
def test_two_weights_at_the_same_moment_keep_one():
    (piece,) = pieces_of(pots(pieces=1))
    Mix.objects.update(dry_mg_per_ul=0)

    answers = at_once(lambda: weigh(piece, 500, hours(1)), lambda: weigh(piece, 500, hours(1)))

    assert sorted(type(answer).__name__ for answer in answers) == ["Done", "ReadingNotBelieved"]
    assert Weighing.objects.count() == 1


class TestCallDry:
    def test_a_piece_called_dry_is_dry_and_one_that_only_dries_is_ready(self):
        (piece,) = pieces_of(pots(pieces=1))

        done = call_dry(**a_tap(now=hours(3)), piece_ids=[piece.pk])

        piece.refresh_from_db()
        assert piece.ready_at == hours(3)
        assert done.said == f"Called dry 13:10: {piece.mark}."

    def test_it_is_called_dry_once(self):
        (piece,) = pieces_of(pots(pieces=1))
        call_dry(**a_tap(now=hours(3)), piece_ids=[piece.pk])

        with pytest.raises(AlreadyDone):
            call_dry(**a_tap(now=hours(4)), piece_ids=[piece.pk])

        piece.refresh_from_db()
        assert piece.dry_called_at == hours(3)

    def test_again_with_the_same_key_answers_the_same(self):
        (piece,) = pieces_of(pots(pieces=1))
        key = uuid4()
        first = call_dry(**a_tap(key, now=hours(3)), piece_ids=[piece.pk])

        assert call_dry(**a_tap(key, now=hours(4)), piece_ids=[piece.pk]).said == first.said


class TestWeighCast:
    def test_the_weight_out_of_the_mould_is_the_first_reading_of_the_piece(self):
        planned = pots(pieces=1)
        (piece,) = pieces_of(planned)
        for cast in piece.casts.all():
            weigh_cast(**a_tap(now=hours(0.2)), cast_id=cast.pk, mass_mg=cast.fill_mg)

        (here,) = pieces_here(now=hours(1))

        assert here.drying.readings == ((OUT, sum(cast.fill_mg for cast in piece.casts.all())),)

    def test_a_weight_that_cannot_be_is_refused(self):
        cast = out_of_mould(pots()).casts.first()

        with pytest.raises(ReadingNotBelieved):
            weigh_cast(**a_tap(now=hours(1)), cast_id=cast.pk, mass_mg=5 * G)

        cast.refresh_from_db()
        assert cast.out_mg is None

    def test_a_cast_in_the_mould_is_not_weighed(self):
        cast = poured(pots()).casts.first()

        with pytest.raises(NotOutYet):
            weigh_cast(**a_tap(now=hours(1)), cast_id=cast.pk, mass_mg=cast.fill_mg)


def test_a_shipped_piece_leaves_the_shelf():
    (piece,) = pieces_of(pots(pieces=1))
    Piece.objects.update(shipped_at=hours(30))

    assert pieces_here(now=hours(31)) == []
