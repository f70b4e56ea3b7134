"""Out of the mould."""

from __future__ import annotations

from uuid import uuid4

import pytest

from production.errors import AlreadyDone, MixNotSetting, TooEarlyToOpen
from production.models import Mould
from production.operations.opening import open_moulds
from tests.factories.inventory import MONDAY, a_tap
from tests.factories.production import minutes, pots, poured, started
from tests.services.at_once import at_once

pytestmark = pytest.mark.django_db


def test_all_poured_casts_of_the_mix_are_out_at_once():
    mix = poured(pots())

    done = open_moulds(**a_tap(now=MONDAY + minutes(70)), mix_id=mix.pk)

    assert {cast.out_at for cast in mix.casts.all()} == {MONDAY + minutes(70)}
    pot = mix.casts.first().mould_copy.mould
    assert done.said.startswith(f"Mix {mix.number} out of the mould 10:10: {pot} copies 1 and 2 and ")


def test_opening_early_is_refused_with_how_early_it_is_and_nothing_is_out():
    mix = poured(pots())  # poured 09:05, an hour in the mould

    with pytest.raises(TooEarlyToOpen) as refused:
        open_moulds(**a_tap(now=MONDAY + minutes(58)), mix_id=mix.pk)

    assert refused.value.message == "7 min early. Soft pieces tear. Open now?"
    assert refused.value.facts["due_at"] == MONDAY + minutes(65)
    assert mix.casts.filter(out_at__isnull=False).count() == 0


def test_opening_early_is_done_with_a_reason_that_is_kept():
    mix = poured(pots())

    open_moulds(**a_tap(now=MONDAY + minutes(58)), mix_id=mix.pk, early_reason=" warm room ")

    assert mix.casts.filter(out_at=MONDAY + minutes(58), early_reason="warm room").count() == 4


def test_a_reason_given_when_it_was_due_after_all_is_not_kept():
    mix = poured(pots())

    open_moulds(**a_tap(now=MONDAY + minutes(65)), mix_id=mix.pk, early_reason="warm room")

    assert {cast.early_reason for cast in mix.casts.all()} == {""}


def test_a_mould_with_a_time_of_its_own_wins_over_the_compound():
    mix = poured(pots())
    Mould.objects.filter(name__contains="saucer").update(in_mould_minutes=180)

    with pytest.raises(TooEarlyToOpen) as refused:
        open_moulds(**a_tap(now=MONDAY + minutes(70)), mix_id=mix.pk)

    assert refused.value.facts["due_at"] == MONDAY + minutes(185)


def test_a_mix_that_is_being_poured_is_not_opened():
    mix = started(pots())

    with pytest.raises(MixNotSetting):
        open_moulds(**a_tap(now=MONDAY + minutes(90)), mix_id=mix.pk)


def test_again_with_the_same_key_answers_the_same():
    mix, key = poured(pots()), uuid4()
    first = open_moulds(**a_tap(key, now=MONDAY + minutes(70)), mix_id=mix.pk)

    again = open_moulds(**a_tap(key, now=MONDAY + minutes(71)), mix_id=mix.pk)

    assert again.said == first.said
    assert again.again is True


def test_a_later_tap_is_told_when_it_was_opened():
    mix = poured(pots())
    open_moulds(**a_tap(now=MONDAY + minutes(70)), mix_id=mix.pk)

    with pytest.raises(AlreadyDone) as refused:
        open_moulds(**a_tap(now=MONDAY + minutes(80)), mix_id=mix.pk)

    assert refused.value.message == "Already out of the mould 10:10."


@pytest.mark.django_db(transaction=True)
def test_two_screens_at_once_open_it_once():
    mix = poured(pots())

    answers = at_once(
        lambda: open_moulds(**a_tap(now=MONDAY + minutes(70)), mix_id=mix.pk),
        lambda: open_moulds(**a_tap(now=MONDAY + minutes(71)), mix_id=mix.pk),
    )

    assert sorted(type(answer).__name__ for answer in answers) == ["AlreadyDone", "Done"]
