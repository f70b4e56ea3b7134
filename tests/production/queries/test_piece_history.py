"""What happened to one piece, in turn."""

from __future__ import annotations

from datetime import timedelta

import pytest

from production.models import StepKind
from production.operations.finishing import finish_step
from production.operations.weighing import weigh_piece
from production.queries.piece_history import piece_history
from tests.factories.inventory import MONDAY, G, a_filled_tub, a_material, a_tap
from tests.factories.production import a_route, pieces_of, pots

pytestmark = pytest.mark.django_db


def test_a_step_of_the_studios_own_without_a_material_is_told_beside_the_coat_and_its_tub():
    sealer = a_filled_tub(100 * G, a_material(name="Sealer", kind="sealer", unit="ml"), code="S1").material
    gild = StepKind.objects.create(name="gild", done_word="gilded")
    route = a_route(
        {"wait_minutes": None, "material": sealer, "amount_each": 6 * G},
        {"kind": "own", "own_kind": gild, "name": "gild the rim", "wait_minutes": 600, "minutes_each": 5},
    )
    pieces = pieces_of(pots(route=route))
    ids, at = [piece.pk for piece in pieces], MONDAY + timedelta(days=3)
    weigh_piece(**a_tap(now=MONDAY + timedelta(days=1)), piece_id=ids[0], mass_mg=750 * G)
    coat, own = route.steps.order_by("position")
    finish_step(**a_tap(now=at), piece_ids=ids, step_id=coat.pk)
    finish_step(**a_tap(now=at + timedelta(hours=1)), piece_ids=ids[:1], step_id=own.pk, early=True)

    history = piece_history(ids[0])

    assert [one.what for one in history if "poured" not in one.what] == [
        "out of the mould",
        "weighed",
        "coat 1",
        "gild the rim",
    ]
    assert history[-2].said == "6 mL Sealer from S1, 2 pieces in one go"
    assert history[-1].said == "before its time"
    assert [one.at for one in history] == sorted(one.at for one in history)
    assert piece_history(0) == ()
