from __future__ import annotations

import pytest

from shopfloor.context import AREAS


def test_there_are_nine_areas_each_with_its_own_letter_and_page(db):
    assert [area.name for area in AREAS] == [
        "Bench",
        "Week",
        "Shelf",
        "Orders",
        "Stores",
        "Moulds",
        "Range",
        "Trace",
        "Studio",
    ]
    assert len({area.letter for area in AREAS}) == 9
    assert len({area.url for area in AREAS}) == 9


@pytest.mark.parametrize("area", AREAS, ids=lambda area: area.key)
def test_every_area_opens_for_owner_and_helper_in_a_studio_without_entries(
    signed_in, signed_in_helper, studio_open, area
):
    for client in (signed_in, signed_in_helper):
        page = client.get(area.url)

        assert page.status_code == 200
        assert page.context["area"] == area.key
        assert f'aria-current="page">{area.name}</a>' in page.content.decode()


def test_a_page_for_visitors_shows_no_areas(client, db):
    assert "Stores" not in client.get("/sign-in/").content.decode()


def test_the_running_clock_stands_in_the_frame(signed_in, studio_open):
    assert "Nothing setting in the jug" in signed_in.get("/studio/").content.decode()
