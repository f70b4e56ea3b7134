"""Keeping a day free of pours from the Week, and giving it back."""

from __future__ import annotations

import re

import pytest

from production.models import DayKeptFree
from tests.factories.inventory import a_post
from tests.factories.production import pots

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("studio_open")]


def text_of(answer) -> str:
    return re.sub(r"<[^>]+>|\s+", " ", answer.content.decode())


def test_a_day_is_kept_free_of_a_colour_and_given_back(signed_in):
    colour = pots().colour
    page = signed_in.get("/week/free-days/").content.decode()
    day = re.search(r'<option value="(\d{4}-\d\d-\d\d)"', page)[1]
    assert "/week/free-days/" in signed_in.get("/week/").content.decode()

    answer = signed_in.post("/week/free-days/", a_post(day=day, colour=colour.pk), follow=True)

    row = DayKeptFree.objects.get()
    assert (str(row.day), row.colour) == (day, colour)
    assert f": no {colour}" in text_of(answer)
    assert f"Kept free: {row.day:%a} {row.day.day} {row.day:%b} of {colour}." in text_of(
        signed_in.get("/week/")
    )
    assert "Undo" in text_of(answer)
    again = signed_in.post("/week/free-days/", a_post(day=day, colour=colour.pk))
    assert again.status_code == 422
    assert f"is kept free of {colour} already." in text_of(again)
    wrong = signed_in.post("/week/free-days/", a_post(day="soon", colour="-1"))
    assert "Choose a day of the list." in text_of(wrong)
    assert "There is no such colour." in text_of(wrong)

    answer = signed_in.post(f"/week/free-days/{row.pk}/give-back/", a_post(), follow=True)

    assert f"{colour} may be poured on" in text_of(answer)
    assert "No day is kept free of pours" in text_of(answer)
