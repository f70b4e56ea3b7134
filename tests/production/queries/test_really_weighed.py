"""Mixes recorded as they were really weighed."""

from __future__ import annotations

import pytest

from production.errors import ReadingNotBelieved
from production.models import Compound, Mix, MixDraw
from production.operations.pouring import start_mix, stop_mix
from tests.factories.inventory import KG, MONDAY, a_tap, held, ledger_size
from tests.factories.production import minutes, pots, started

pytestmark = pytest.mark.django_db


def test_the_mix_and_the_ledger_have_what_was_in_the_jug():
    planned = pots()
    pigment = planned.colour.pigments.get().pigment_id

    mix = started(planned, weighed_mg={"powder": 1_600_000, "water": 500_000, str(pigment): 31_000})

    assert (mix.powder_mg, mix.water_mg) == (1_600_000, 500_000)
    assert held(planned.compound.powder.containers.get()) == 15 * KG - 1_600_000
    assert mix.draws.get(material=pigment).amount == 31_000


def test_more_pigment_than_the_compound_carries_is_said_not_refused():
    planned = pots()
    pigment = planned.colour.pigments.get().pigment_id
    Compound.objects.update(pigment_load_most=0.03)

    done = start_mix(**a_tap(), planned_mix_id=planned.pk, weighed_mg={str(pigment): 45_000})

    assert MixDraw.objects.get(material=pigment).amount == 45_000
    assert "stiff about 09:15. " in done.said and "pigment" in done.said.lower()


def test_a_slip_of_the_finger_is_refused_and_nothing_is_drawn():
    planned = pots()
    before = ledger_size()

    with pytest.raises(ReadingNotBelieved, match="was typed. Read the scale again."):
        start_mix(**a_tap(), planned_mix_id=planned.pk, weighed_mg={"water": 45_000})

    assert (ledger_size(), Mix.objects.count()) == (before, 0)


def test_a_top_up_repeats_what_was_really_weighed():
    mix = started(pots(), weighed_mg={"powder": 1_600_000, "water": 560_000})
    stop_mix(**a_tap(now=MONDAY + minutes(5)), mix_id=mix.pk)

    done = start_mix(**a_tap(now=MONDAY + minutes(20)), tops_up_id=mix.pk)

    again = Mix.objects.get(pk=done.facts["mix_id"])
    assert again.water_mg / again.powder_mg == pytest.approx(0.35, abs=0.001)
