"""The page of outcomes."""

from __future__ import annotations

import csv
import io

import pytest

from production.models import Mix
from tests.factories.inventory import MONDAY
from tests.factories.production import judged, minutes, out_of_mould, pots

pytestmark = pytest.mark.django_db


@pytest.fixture
def old_and_fresh_powder(studio_open):
    """Eight castings from a tub ten weeks open, all lumpy scrap; eight good ones from a fresh one."""
    for number, (outcome, reason) in enumerate([("scrap", "lumps"), ("good", "")]):
        at = MONDAY + minutes(1440 * number)
        mix = out_of_mould(pots(pieces=4, copies=4), at)
        for cast in mix.casts.all():
            judged(cast, outcome, at + minutes(75), reason=reason)
        opened_at = at - minutes(1440 * (72 if reason else 3))
        Mix.objects.filter(pk=mix.pk).update(powder_opened_at=opened_at)


def test_the_page_says_that_powder_ten_weeks_open_is_worse(signed_in, old_and_fresh_powder):
    said = signed_in.get("/shelf/outcomes/?weeks=all").content.decode()

    assert "8 of 16 castings second or scrap, 50 %" in said
    assert (
        "Powder from a tub open 10 to 12 weeks: 8 of 8 second or scrap (68 to 100 %),"
        " against 0 of 8 of the others (0 to 32 %). Mostly lumps. 1 mix behind it." in said
    )
    assert (
        "0 of 16 castings air bubbles"
        in signed_in.get("/shelf/outcomes/?weeks=all&counted=air+bubbles").content.decode()
    )


def test_both_files_have_a_heading_and_even_rows(signed_in, old_and_fresh_powder):
    for name, rows in (("rates", 1 + 4 + 2 + 2 + 2 + 1), ("castings", 1 + 16)):
        answer = signed_in.get(f"/shelf/outcomes/?weeks=all&csv={name}")
        read = list(csv.reader(io.StringIO(b"".join(answer.streaming_content).decode())))

        assert len(read) == rows
        assert len({len(row) for row in read}) == 1


def test_nonsense_in_the_address_shows_what_is_shown_first(signed_in, studio_open):
    answer = signed_in.get("/shelf/outcomes/?weeks=ten&counted=ghosts")

    assert answer.status_code == 200
    assert "Nothing was looked at in this time" in answer.content.decode()
