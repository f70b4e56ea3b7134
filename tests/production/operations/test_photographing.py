"""A photo of how a cast came out, and of what happened to a piece."""

from __future__ import annotations

from uuid import uuid4

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from PIL import Image

from inventory.arithmetic.photos import clean_photo
from inventory.errors import StudioError
from inventory.models import Photo
from production.errors import LaterActsDepend, NotThere
from production.models import Cast, Piece
from production.operations.photographing import keep_outcome_photo, undo_keep_outcome_photo
from production.queries.out_of_mould import mix_out
from production.queries.outcomes import outcomes_since
from tests.factories.inventory import MONDAY, a_tap
from tests.factories.production import judged, minutes, out_of_mould, pieces_of, pots
from tests.inventory.arithmetic.test_photos import sent

pytestmark = pytest.mark.django_db

AT = MONDAY + minutes(80)


@pytest.fixture(scope="module")
def photo():
    return clean_photo(sent(Image.new("RGB", (80, 60), (148, 71, 58))))


@pytest.fixture
def cast():
    return out_of_mould(pots(pieces=1)).casts.first()


def test_a_photo_stays_with_the_cast_and_is_seen_at_the_opening_and_among_the_outcomes(cast, photo):
    judged(cast, "scrap", reason="lumps")
    key = uuid4()

    done = keep_outcome_photo(**a_tap(key, now=AT), cast_id=cast.pk, photo=photo)
    again = keep_outcome_photo(**a_tap(key, now=AT), cast_id=cast.pk, photo=photo)

    kept = Photo.objects.get()
    assert (done.said, again.act_id) == ("Copy 1: photo kept.", done.act_id)
    assert [one.photo for one in mix_out(cast.mix_id).judged] == [kept]
    (seen,) = outcomes_since(MONDAY)
    assert seen.photo == kept
    assert seen.photo_words.endswith(f"scrap, lumps, mix {cast.mix.number}")


def test_a_second_photo_takes_its_place_and_only_the_last_is_taken_back(cast, photo):
    judged(cast, "scrap")
    first = keep_outcome_photo(**a_tap(now=AT), cast_id=cast.pk, photo=photo)
    second = keep_outcome_photo(**a_tap(now=AT), cast_id=cast.pk, photo=photo)

    with pytest.raises(LaterActsDepend, match="another photo since"):
        undo_keep_outcome_photo(**a_tap(now=AT), act_id=first.act_id)
    undo_keep_outcome_photo(**a_tap(now=AT), act_id=second.act_id)
    assert Cast.objects.get(pk=cast.pk).photo_id == first.facts["photo_id"]
    undo_keep_outcome_photo(**a_tap(now=AT), act_id=first.act_id)
    assert Cast.objects.get(pk=cast.pk).photo_id is None


def test_no_photo_a_cast_nobody_looked_at_and_nothing_at_all_are_refused(cast, photo):
    with pytest.raises(StudioError, match="Say first how it came out"):
        keep_outcome_photo(**a_tap(now=AT), cast_id=cast.pk, photo=photo)
    with pytest.raises(StudioError, match="No photo was chosen"):
        keep_outcome_photo(**a_tap(now=AT), cast_id=cast.pk, photo=None)
    with pytest.raises(NotThere):
        keep_outcome_photo(**a_tap(now=AT), piece_id=987_654, photo=photo)


def test_a_piece_is_photographed_on_its_page(signed_in, studio_open):
    (piece,) = pieces_of(pots(pieces=1))
    page = reverse("production:piece", args=[piece.mark])
    address = reverse("production:piece-photo", args=[piece.pk, piece.mark])
    file = SimpleUploadedFile("crack.png", sent(Image.new("RGB", (80, 60))), "image/png")

    said = signed_in.post(address, {"request_key": str(uuid4()), "photo": file}, follow=True).content.decode()

    assert f"{piece.mark}: photo kept." in said
    assert Piece.objects.get(pk=piece.pk).photo.name in signed_in.get(page).content.decode()
    broken = SimpleUploadedFile("crack.png", b"no picture", "image/png")
    said = signed_in.post(address, {"request_key": str(uuid4()), "photo": broken}, follow=True)
    assert "no picture that can be read" in said.content.decode()
