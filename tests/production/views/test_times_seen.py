"""The page of the times seen."""

from __future__ import annotations

import pytest
from django.utils import timezone

from production.models import Compound, Plan
from production.operations.opening import open_moulds
from tests.factories.inventory import a_tap
from tests.factories.production import (
    a_colour,
    a_compound,
    a_mould,
    a_planned_mix,
    an_article,
    minutes,
    poured,
)
from tests.production.views.test_bench import tap, words

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("studio_open")]


@pytest.fixture
def compound():
    """A compound reckoned with 60 min, opened three times after 95 min, at noon of the days before."""
    compound = a_compound()
    colour = a_colour(compound)
    article = an_article(compound, colour, a_mould(copies=1))
    noon = timezone.localtime().replace(hour=12, minute=0)
    for day in (3, 2, 1):
        at = noon - minutes(1440 * day)
        mix = poured(a_planned_mix(article, colour, pieces=1), at)
        open_moulds(**a_tap(now=at + minutes(100)), mix_id=mix.pk)
    Plan.objects.update(adopted_at=timezone.now() - minutes(1))
    return compound


def test_one_tap_takes_a_time_over_and_the_history_and_the_week_say_so(signed_in, compound):
    page = words(signed_in.get("/shelf/times/"))
    assert "Use 95 min" in page
    assert "3 mixes" in page
    sent = {"kind": "opening", "subject": compound.pk, "seen": "median", "minutes": 95}

    said = words(tap(signed_in, "take-time-over", **sent))

    assert Compound.objects.get(pk=compound.pk).open_after_minutes == 95
    sentence = f"Opening of {compound.name} now 95 min, learnt from 3 mixes."
    assert said.count(f"{sentence} It was 60 min.") == 2  # the said line, and the history
    assert sentence in words(signed_in.get("/week/"))


def test_a_helper_sees_the_times_and_takes_none_over(signed_in_helper, compound):
    assert "Use 95 min" not in words(signed_in_helper.get("/shelf/times/"))
    sent = {"kind": "opening", "subject": compound.pk, "seen": "median", "minutes": 95}

    assert tap(signed_in_helper, "take-time-over", **sent).status_code == 403
    assert Compound.objects.get(pk=compound.pk).open_after_minutes == 60


def test_nonsense_is_answered_with_a_sentence(signed_in, compound):
    assert "too old to answer" in words(tap(signed_in, "take-time-over", kind="opening", subject="x"))
    sent = {"kind": "ghosts", "subject": compound.pk, "seen": "median", "minutes": 95}
    assert "There is no such time" in words(tap(signed_in, "take-time-over", **sent))
