"""The mix sheet as it comes out of the printer: its text, its pages, its size."""

from __future__ import annotations

from datetime import timedelta
from io import BytesIO

import pytest
from django.utils import timezone
from pypdf import PdfReader

from production.models import Compound, PlannedMix
from tests.factories.production import a_planned_mix, pots

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("studio_open")]

A4_POINTS = (595.3, 841.9)


def sheet_of(client):
    response = client.get("/week/mix-sheet/")
    assert response["Content-Type"] == "application/pdf", "needs the printing library and Pango"
    return PdfReader(BytesIO(response.content))


def text_of(reader):
    return "\n".join(page.extract_text() for page in reader.pages)


def close(text):
    """Without its spaces: reading a PDF finds some and loses some where letters are set closer or wider."""
    return "".join(text.split())


def planned(count=1):
    first = pots()
    line = first.casts.first().line
    for number in range(count - 1):
        a_planned_mix(line.article, line.colour, pieces=2, wanted_by=f"line:{number + 20}")
    # All of them today, so that none falls into another week whatever day it is.
    now = timezone.now()
    for mix in PlannedMix.objects.all():
        PlannedMix.objects.filter(pk=mix.pk).update(starts_at=now, opens_at=now + timedelta(hours=1))
    return first


def test_it_names_every_mix_with_powder_water_pigment_and_fills(signed_in):
    mix = planned()
    made = sheet_of(signed_in)
    text = close(text_of(made))

    assert "Mixsheet" in text
    assert "SamphireLane" in text
    for head in ("Powder, g", "Water, g", "Pigment", "Fill, in this order", "Out at", "Poured at"):
        assert close(head) in text
    pot, saucer = (cast.mould.name for cast in mix.casts.order_by("position"))
    assert close(f"{pot} × 2: ") in text
    assert text.index(close(f"{pot} × 2")) < text.index(close(f"{saucer} × 2"))
    assert "1mix,powder" in text
    width, height = (float(side) for side in made.pages[0].mediabox[2:])
    assert (width, height) == pytest.approx(A4_POINTS, abs=1)


def test_the_head_stands_on_every_page_and_no_mix_is_torn(signed_in):
    planned(40)
    made = sheet_of(signed_in)

    assert len(made.pages) > 1
    for page in made.pages:
        text = close(page.extract_text())
        assert "Fill,inthisorder" in text
        # A row is one mix: its pot and its saucer stand on the same page.
        assert text.count("pot") == text.count("saucer")


def test_cautions_are_the_studios_own_and_defer_to_the_data_sheet(signed_in):
    planned()
    plain = close(text_of(sheet_of(signed_in)))
    assert close("Mask on when a tub is open") in plain
    assert close("data sheet come first") in plain

    Compound.objects.update(cautions="Setting compound heats.")
    own = close(text_of(sheet_of(signed_in)))
    assert close("Setting compound heats.") in own
    assert close("data sheet come first") in own


def test_with_nothing_left_it_says_so(signed_in):
    assert close("Nothing left to mix this week.") in close(text_of(sheet_of(signed_in)))
