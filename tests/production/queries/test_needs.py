"""What the plan will take out of the stores, day by day."""

from __future__ import annotations

from datetime import date, timedelta
from zoneinfo import ZoneInfo

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from production.models import Mould, Piece, PlannedLine, PlannedMix
from production.queries.needs import planned_draws
from tests.factories.inventory import a_material
from tests.factories.production import (
    a_colour,
    a_compound,
    a_mould,
    a_planned_mix,
    an_article,
    pieces_of,
    pots,
    started,
)
from tests.production.queries.test_problem import MONDAY_8

pytestmark = pytest.mark.django_db

LONDON = ZoneInfo("Europe/London")
OCT_5 = date(2026, 10, 5)


def one_cup() -> PlannedMix:
    compound = a_compound(overfill=0, residue_mg=0, powder_density_g_per_ml=2.5)
    colour = a_colour(compound, load=0.02)
    article = an_article(compound, colour, a_mould(volume_ul=1_000_000))
    return a_planned_mix(article, colour)


def test_a_planned_mix_takes_powder_and_pigment_on_its_day() -> None:
    """1 L of slurry from powder of 2.5 g/mL at 0.30 water: 1000 / (1/2.5 + 0.30/0.9982) = 1427.4 g, by hand;
    the scale shows whole grams, so 1428 g, and 2 % pigment of it 28.6 g to a tenth."""
    planned = one_cup()
    pigment = planned.colour.pigments.get()

    draws = planned_draws(LONDON)

    assert draws == {
        planned.compound.powder_id: [(OCT_5, 1_428_000)],
        pigment.pigment_id: [(OCT_5, 28_600)],
    }


def test_a_mix_late_at_night_counts_on_the_studios_own_day() -> None:
    planned = one_cup()
    PlannedMix.objects.update(starts_at=MONDAY_8 + timedelta(hours=15, minutes=30))

    assert planned_draws(LONDON)[planned.compound.powder_id][0][0] == date(2026, 10, 6)


def test_a_mix_that_was_started_takes_nothing_more() -> None:
    started(pots())

    assert planned_draws(LONDON) == {}


def test_a_coat_takes_sealer_on_the_day_it_is_planned() -> None:
    planned = one_cup()
    line = planned.casts.get().line
    sealer = a_material(name="Sealer", kind="sealer", unit="ml")
    line.article.route.steps.create(
        position=1, kind="coat", name="coat 1", material=sealer, amount_each=12_000
    )
    PlannedLine.objects.update(
        quantity=4, steps=[["coat 1", "2026-10-06T23:30:00+00:00", 13], ["pack", "x", 5]]
    )

    assert planned_draws(LONDON)[sealer.pk] == [(date(2026, 10, 7), 48_000)]


def test_a_coat_that_was_done_since_the_plan_takes_no_more_sealer() -> None:
    planned = one_cup()
    line = planned.casts.get().line
    sealer = a_material(name="Sealer", kind="sealer", unit="ml")
    line.article.route.steps.create(
        position=1, kind="coat", name="coat 1", minutes_each=2, material=sealer, amount_each=12_000
    )
    pieces_of(planned)
    PlannedLine.objects.update(quantity=3, steps=[["coat 1", "2026-10-06T10:00:00+00:00", 13]])
    Piece.objects.update(steps_done=1, last_step_at=MONDAY_8 + timedelta(days=1))

    assert planned_draws(LONDON)[sealer.pk] == [(date(2026, 10, 6), 24_000)]


def test_a_mould_that_lost_its_measure_takes_nothing_that_can_be_said() -> None:
    one_cup()
    Mould.objects.update(volume_ul=None)

    assert planned_draws(LONDON) == {}


def test_the_number_of_queries_does_not_grow_with_the_mixes() -> None:
    planned = one_cup()
    article = planned.casts.get().part.article

    def queries() -> int:
        with CaptureQueriesContext(connection) as seen:
            planned_draws(LONDON)
        return len(seen)

    few = queries()
    for _ in range(30):
        a_planned_mix(article, planned.colour)
    assert queries() == few
