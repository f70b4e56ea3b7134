"""Out of the mould, judged copy by copy."""

from __future__ import annotations

import pytest
from django.urls import reverse
from django.utils import timezone

from production.models import Cast, Piece
from tests.factories.production import minutes, out_of_mould, pots, poured
from tests.production.views.test_bench import tap, words

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("studio_open")]


def ago(count):
    return timezone.now() - minutes(count)


def test_opening_leads_to_judging(signed_in):
    mix = poured(pots(pieces=1), ago(90))

    page = words(tap(signed_in, "opened", mix.pk))

    assert f"Mix {mix.number}, {mix.colour.name}: how did they come out?" in page
    assert page.count('value="good"') == 2


def test_before_its_time_it_is_asked_once_more_and_done_with_a_reason(signed_in):
    mix = poured(pots(pieces=1), ago(58))

    asked = tap(signed_in, "opened", mix.pk)
    assert asked.status_code == 422
    assert "early. Soft pieces tear. Open now?" in words(asked)
    assert Cast.objects.filter(out_at__isnull=False).count() == 0

    assert "The mould is needed" in words(asked)

    page = words(tap(signed_in, "opened", mix.pk, early_reason="firm to the touch"))
    assert Cast.objects.filter(out_at__isnull=False, early_reason="firm to the touch").count() == 2
    assert "early: firm to the touch." in page


def test_the_last_good_cast_leads_back_to_the_bench(signed_in):
    mix = out_of_mould(pots(pieces=1), ago(90))
    first, last = mix.casts.order_by("position")

    tap(signed_in, "judge", mix.pk, first.pk, verdict="good")
    answer = tap(signed_in, "judge", mix.pk, last.pk, verdict="good")

    assert answer.redirect_chain == [("/bench/", 302)]
    assert f"{Piece.objects.get().mark} on the shelf to dry." in words(answer)


def test_scrap_opens_the_reasons_and_one_tap_answers(signed_in):
    mix = out_of_mould(pots(pieces=1), ago(90))
    first, _ = mix.casts.order_by("position")

    page = words(tap(signed_in, "judge", mix.pk, first.pk, verdict="scrap"))
    assert "Torn detail" in page

    page = words(tap(signed_in, "reason", mix.pk, first.pk, reason="torn detail"))
    first.refresh_from_db()
    assert first.reason == "torn detail"
    assert "Air bubbles" not in page


def test_a_verdict_nobody_uses_changes_nothing(signed_in):
    mix = out_of_mould(pots(pieces=1), ago(90))

    page = words(tap(signed_in, "judge", mix.pk, mix.casts.first().pk, verdict="fine"))

    assert "Say good, second or scrap." in page
    assert not Cast.objects.exclude(outcome="").exists()


def test_the_weight_out_of_the_mould_is_read_in_any_unit(signed_in):
    mix = out_of_mould(pots(pieces=1), ago(90))
    first, _ = mix.casts.order_by("position")
    tap(signed_in, "judge", mix.pk, first.pk, verdict="good")

    tap(signed_in, "out-weight", mix.pk, first.pk, **{f"cast{first.pk}-mass": "0,58 kg"})

    first.refresh_from_db()
    assert first.out_mg == 580_000


def test_a_weight_that_is_no_weight_says_so(signed_in):
    mix = out_of_mould(pots(pieces=1), ago(90))
    first, _ = mix.casts.order_by("position")

    page = words(tap(signed_in, "out-weight", mix.pk, first.pk, **{f"cast{first.pk}-mass": "heavy"}))

    assert 'class="said wrong"' in page
    first.refresh_from_db()
    assert first.out_mg is None


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [("heavy", "is not an amount."), ("99999", "99,999 g cannot be"), ("", "Fill this in.")],
)
def test_a_refused_weight_stays_in_its_open_field(signed_in, typed, sentence):
    mix = out_of_mould(pots(pieces=1), ago(90))
    first, _ = mix.casts.order_by("position")
    tap(signed_in, "judge", mix.pk, first.pk, verdict="good")

    answer = tap(signed_in, "out-weight", mix.pk, first.pk, **{f"cast{first.pk}-mass": typed})

    page = words(answer)
    assert answer.status_code == 422
    assert "<details open>" in page
    assert sentence in page
    assert f'value="{typed}"' in page or not typed
    first.refresh_from_db()
    assert first.out_mg is None


def test_a_weight_for_a_cast_that_is_not_there_is_said_above(signed_in):
    mix = out_of_mould(pots(pieces=1), ago(90))

    answer = tap(signed_in, "out-weight", mix.pk, 999, **{"cast999-mass": "580"})

    assert answer.status_code == 422
    assert 'class="said wrong"' in words(answer)


def test_a_mix_that_was_undone_leads_back_to_the_bench(signed_in):
    answer = signed_in.get(reverse("production:open", args=[999]), follow=True)

    assert answer.redirect_chain == [("/bench/", 302)]
