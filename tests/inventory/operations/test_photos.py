"""A photo kept within an act: its row, and its files for whoever is signed in and nobody else."""

from __future__ import annotations

from datetime import UTC, datetime
from uuid import uuid4

import pytest
from django.test import Client
from django.urls import reverse
from PIL import Image

from inventory.arithmetic.photos import clean_photo
from inventory.models import Photo
from inventory.operations.acts import Tap
from inventory.operations.photos import store_photo, sweep_photos
from inventory.queries.photos import photo_path
from tests.inventory.arithmetic.test_photos import sent

MORNING = datetime(2026, 10, 5, 8, tzinfo=UTC)


@pytest.fixture
def kept(owner, settings, tmp_path):
    settings.SHARED_DIR = tmp_path
    photo = clean_photo(sent(Image.new("RGB", (800, 600), (148, 71, 58))))
    return Photo.objects.get(pk=store_photo(Tap(uuid4(), owner.pk, MORNING, MORNING), photo))


def test_its_files_bear_a_name_nobody_can_guess_and_only_the_studio_reads_them(kept):
    assert (kept.width, kept.height, kept.kept_at) == (800, 600, MORNING)
    for is_small in (False, True):
        path = photo_path(kept.name, is_small=is_small)
        assert path.parent.parent.name == "media"
        assert path.stat().st_mode & 0o777 == 0o600
    assert len(kept.name) == 43


def test_whoever_is_signed_in_sees_it_and_nobody_else(kept, signed_in_helper):
    address = reverse("inventory:photo", args=[kept.name, "small"])

    shown = signed_in_helper.get(address)

    assert shown["Content-Type"] == "image/jpeg"
    assert "private" in shown["Cache-Control"]
    assert shown["X-Content-Type-Options"] == "nosniff"
    assert b"".join(shown.streaming_content).startswith(b"\xff\xd8")
    assert Client().get(address).status_code == 302


@pytest.mark.parametrize("name", ["A" * 43, "..%2F..%2Fsecret", "studio.sqlite3"])
def test_another_name_finds_nothing(signed_in, name):
    assert signed_in.get(f"/stores/photos/{name}/large/").status_code == 404


def test_files_of_a_refused_act_are_swept_a_day_later_and_those_of_photos_stay(kept):
    lost = photo_path("L" * 43, is_small=False)
    lost.write_bytes(b"left by a refused act")
    stored = lost.stat().st_mtime

    assert sweep_photos(now=datetime.fromtimestamp(stored + 23 * 3600, UTC)) == 0
    assert sweep_photos(now=datetime.fromtimestamp(stored + 25 * 3600, UTC)) == 1

    assert not lost.exists()
    assert all(photo_path(kept.name, is_small=small).exists() for small in (False, True))
