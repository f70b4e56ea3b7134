"""The tubs themselves."""

from __future__ import annotations

from uuid import uuid4

import pytest

from inventory.errors import ContainerRetired, NothingToUndo, StudioError
from inventory.models import Container
from inventory.operations.places import make_tub, note_lumps, retire_tub
from inventory.operations.undoing import UNDO
from tests.factories.inventory import KG, MONDAY, a_filled_tub, a_material, a_tap, a_tub, fill
from tests.services.at_once import at_once

pytestmark = pytest.mark.django_db


def test_a_new_tub_is_made_with_the_code_typed():
    powder = a_material(name="Quick compound")

    done = make_tub(
        material_id=powder.pk, role="working", tare_mg=860_000, capacity=15 * KG, code=" q-2 ", **a_tap()
    )

    assert done.said == "Working tub Q2 for Quick compound."
    assert Container.objects.get().code == "Q2"


def test_the_same_key_makes_one_tub():
    powder, key = a_material(), uuid4()
    content = {"material_id": powder.pk, "role": "bulk", "tare_mg": 0, "capacity": KG}

    first, again = make_tub(**content, **a_tap(key)), make_tub(**content, **a_tap(key))

    assert (again.facts, Container.objects.count()) == (first.facts, 1)


def test_an_empty_tub_is_retired_and_used_again():
    tub = a_tub(code="B4")

    done = retire_tub(container_id=tub.pk, on=MONDAY.date(), **a_tap())
    tub.refresh_from_db()
    assert (done.said, tub.retired_on) == ("B4 is retired.", MONDAY.date())
    with pytest.raises(ContainerRetired):
        retire_tub(container_id=tub.pk, on=MONDAY.date(), **a_tap())

    UNDO["inventory.retire_tub"](act_id=done.act_id, **a_tap())
    tub.refresh_from_db()
    assert tub.retired_on is None


def test_a_tub_with_something_in_it_is_not_retired():
    tub = a_filled_tub(KG, code="B4")

    with pytest.raises(StudioError, match="B4 still holds 1.00 kg"):
        retire_tub(container_id=tub.pk, on=MONDAY.date(), **a_tap())

    tub.refresh_from_db()
    assert tub.retired_on is None


def test_lumps_are_noted_and_taken_back():
    tub = a_filled_tub(KG, code="B4")

    done = note_lumps(container_id=tub.pk, is_lumpy=True, **a_tap())
    tub.refresh_from_db()
    assert (tub.is_lumpy, tub.must_sieve(MONDAY)) == (True, True)

    UNDO["inventory.note_lumps"](act_id=done.act_id, **a_tap())
    tub.refresh_from_db()
    assert tub.is_lumpy is False


def test_a_tub_made_by_mistake_is_put_away_unless_it_was_used():
    powder = a_material()
    content = {"material_id": powder.pk, "role": "bulk", "tare_mg": 0, "capacity": 5 * KG}
    unused, used = make_tub(**content, **a_tap()), make_tub(**content, **a_tap())
    fill(Container.objects.get(pk=used.facts["container_id"]), KG)

    UNDO["inventory.make_tub"](act_id=unused.act_id, **a_tap())
    with pytest.raises(NothingToUndo, match="was used since"):
        UNDO["inventory.make_tub"](act_id=used.act_id, **a_tap())

    assert Container.objects.get(pk=unused.facts["container_id"]).retired_on == MONDAY.date()


@pytest.mark.django_db(transaction=True)
def test_two_at_once_with_the_same_code_make_one_tub():
    powder = a_material()
    content = {"material_id": powder.pk, "role": "bulk", "tare_mg": 0, "capacity": KG, "code": "B4"}

    answers = at_once(*[lambda: make_tub(**content, **a_tap())] * 2)

    (refused,) = [answer for answer in answers if isinstance(answer, StudioError)]
    assert "a tub B4 already" in refused.message
    assert Container.objects.count() == 1


def test_the_code_of_a_retired_tub_is_never_given_again():
    powder = a_material()
    retired = a_tub(powder, code="B1", retired_on=MONDAY.date())

    with pytest.raises(StudioError, match="There is a tub B1 already") as caught:
        make_tub(material_id=powder.pk, role="bulk", tare_mg=KG, capacity=20 * KG, code="b-1", **a_tap())
    assert caught.value.facts["field"] == "code"

    done = make_tub(material_id=powder.pk, role="bulk", tare_mg=KG, capacity=20 * KG, **a_tap())
    assert done.facts["code"] != retired.code


def test_an_empty_tub_is_retired_and_the_undo_brings_it_back():
    tub = a_tub(code="B1")

    done = retire_tub(container_id=tub.pk, on=MONDAY.date(), **a_tap())
    tub.refresh_from_db()
    assert (done.said, tub.retired_on) == ("B1 is retired.", MONDAY.date())

    UNDO["inventory.retire_tub"](act_id=done.act_id, **a_tap())
    tub.refresh_from_db()
    assert tub.retired_on is None
