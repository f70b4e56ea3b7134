from __future__ import annotations

import re
from datetime import UTC, datetime
from uuid import uuid4

import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.utils import timezone

from shopfloor.studio.models import ClosedDay, StudioSettings, WeeklyHours
from shopfloor.studio.operations.people import add_person
from shopfloor.studio.queries import days_off


def posted(client: Client, address: str, **typed: object) -> tuple[int, str]:
    answer = client.post(address, {"request_key": str(uuid4()), **typed}, follow=True)
    return answer.redirect_chain[0][
        1
    ] if answer.redirect_chain else answer.status_code, answer.content.decode()


def test_the_owner_sees_every_form_and_a_helper_none(signed_in, signed_in_helper, studio_open):
    owners, helpers = (client.get("/studio/").content.decode() for client in (signed_in, signed_in_helper))

    assert "Keep hours" in owners
    assert "Keep a copy now" in owners
    assert "Keep hours" not in helpers
    assert "Keep a copy now" not in helpers


@pytest.mark.parametrize(
    "address",
    ["hours/", "hours/1/remove/", "closed-days/", "closed-days/1/open/", "settings/", "people/"]
    + ["people/1/link/", "people/1/close/", "people/1/open/"],
)
def test_a_helper_may_change_none_of_it(signed_in_helper, studio_open, address):
    answer = signed_in_helper.post(f"/studio/{address}", {"request_key": str(uuid4())})

    assert answer.status_code == 403
    assert "Only the owner can do this. Ask whoever runs the studio." in answer.content.decode()
    assert "stood open" not in answer.content.decode()
    assert WeeklyHours.objects.count() == 5


def test_a_page_whose_key_has_gone_stale_is_said_to_be_old(owner, studio_open):
    strict = Client(enforce_csrf_checks=True)
    strict.force_login(owner)

    answer = strict.post("/studio/hours/", {"request_key": str(uuid4())})

    assert answer.status_code == 403
    assert "This page is too old to answer" in answer.content.decode()
    assert "Only the owner" not in answer.content.decode()


def test_hours_are_kept_and_the_page_says_so(signed_in, studio_open):
    status, page = posted(signed_in, "/studio/hours/", weekday=5, opens="09:00", closes="12:00", pairs=1)

    assert status == 302
    assert "Saturday 09:00 to 12:00 is kept. Plan again to use it." in page


def test_hours_that_overlap_are_refused_and_what_was_typed_stays(signed_in, studio_open):
    status, page = posted(signed_in, "/studio/hours/", weekday=0, opens="16:15", closes="19:45", pairs=3)

    assert status == 422
    assert "Monday 08:00 to 17:00 is kept already" in page
    assert 'value="16:15"' in page
    assert 'value="19:45"' in page


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ({"opens": "17:00", "closes": "09:00"}, "09:00 is not after 17:00. Past midnight, keep it as two"),
        ({"opens": "noon", "closes": "13:00"}, "That is not a time. Write it like 09:15."),
        ({"opens": "8:30 pm", "closes": "23:00"}, "That is not a time. Write it like 09:15."),
        ({"opens": "24:00", "closes": "13:00"}, "That is not a time. Write it like 09:15."),
        ({"opens": "130", "closes": "14:00"}, "That is not a time. Write it like 09:15."),
        ({"opens": "09:00", "closes": "13:00", "pairs": "0"}, "Type 1 or more."),
        (
            {"opens": "09:00", "closes": "13:00", "weekday": "9"},
            "That is not in the list. Choose one that is.",
        ),
    ],
)
def test_nonsense_hours_are_refused(signed_in, studio_open, typed, sentence):
    status, page = posted(signed_in, "/studio/hours/", **{"weekday": 5, "pairs": 1, **typed})

    assert status == 422
    assert sentence in page
    assert f'value="{typed["opens"]}"' in page
    assert WeeklyHours.objects.count() == 5


@pytest.mark.parametrize("written", ["8:30", "08:30", "0830", "8.30", " 08.30 "])
def test_hours_are_read_as_people_write_them(signed_in, studio_open, written):
    status, page = posted(signed_in, "/studio/hours/", weekday=5, opens=written, closes="1700", pairs=1)

    assert status == 302
    assert "Saturday 08:30 to 17:00 is kept." in page


def test_hours_are_typed_as_text_since_a_field_for_time_may_ask_for_am_and_pm(signed_in, studio_open):
    page = signed_in.get("/studio/").content.decode()

    assert 'type="time"' not in page
    assert len(re.findall(r'<input type="text" name="(?:opens|closes)" [^>]*inputmode="numeric"', page)) == 2


def test_the_same_form_sent_twice_keeps_one_stretch(signed_in, studio_open):
    typed = {"request_key": str(uuid4()), "weekday": 5, "opens": "09:00", "closes": "12:00", "pairs": 1}

    for _ in range(2):
        assert signed_in.post("/studio/hours/", typed).status_code == 302

    assert WeeklyHours.objects.filter(weekday=5).count() == 1


def test_a_page_too_old_to_have_a_key_is_refused(signed_in, studio_open):
    answer = signed_in.post("/studio/hours/", {"weekday": 5, "opens": "09:00", "closes": "12:00", "pairs": 1})

    assert answer.status_code == 422
    assert "This page is too old to answer. Open it again and repeat the tap." in answer.content.decode()


@pytest.mark.parametrize(
    ("first", "last", "sentence"),
    [
        ("2026-12-24", "2026-12-20", "20 Dec 2026 is before 24 Dec 2026. Turn them round."),
        ("2026-12-24", "2027-12-26", "That is 368 days. Close at most 60 at a time."),
        ("2020-01-01", "", "01 Jan 2020 is past. Give a day from today on."),
        ("2026-13-01", "", "That is not a day. Write it like 2026-10-12."),
        ("", "", "Fill this in."),
    ],
)
def test_nonsense_closed_days_are_refused(signed_in, studio_open, first, last, sentence):
    status, page = posted(signed_in, "/studio/closed-days/", first=first, last=last)

    assert status == 422
    assert sentence in page
    assert not ClosedDay.objects.exists()


def test_a_country_is_chosen_then_its_part_and_a_holiday_is_worked(signed_in, studio_open):
    status, page = posted(signed_in, "/studio/holidays/", country="GB")
    assert status == 302
    assert "Public holidays of United Kingdom are closed." in page
    assert 'name="region"' in page

    posted(signed_in, "/studio/holidays/", country="GB", region="SCT")
    assert StudioSettings.objects.get().holidays_of == "GB-SCT"
    day = days_off(timezone.localdate())[0].on
    status, page = posted(signed_in, "/studio/holidays/in/", on=day.isoformat())
    assert status == 302
    assert "in all the same" in page

    posted(signed_in, "/studio/holidays/out/", on=day.isoformat())
    assert not any(one.is_worked for one in days_off(timezone.localdate()))


def test_another_country_leaves_the_part_of_the_one_before(signed_in, studio_open):
    posted(signed_in, "/studio/holidays/", country="GB")
    posted(signed_in, "/studio/holidays/", country="DE", region="SCT")

    assert StudioSettings.objects.get().holidays_of == "DE"


@pytest.mark.parametrize("typed", [{"country": "XX"}, {"country": "GB-SCT"}])
def test_a_country_that_is_not_one_is_refused(signed_in, studio_open, typed):
    status, _ = posted(signed_in, "/studio/holidays/", **typed)

    assert status == 422
    assert not StudioSettings.objects.filter(holidays_of__gt="").exists()


def settings_typed(**more: object) -> dict[str, object]:
    return {
        "name": "Samphire Lane",
        "currency": "GBP",
        "hour_rate": "18.50",
        "late_step_days": 2,
        "drying_board_pieces": 12,
        "country": "GB",
        "slip_size": "a5",
        "sheet_size": "a4",
        "wick_mm": 5,
        **more,
    }


def test_settings_are_kept_in_minor_units(signed_in, studio_open):
    status, page = posted(signed_in, "/studio/settings/", **settings_typed())

    assert status == 302
    assert StudioSettings.objects.get().hour_rate_minor == 1850


@pytest.mark.parametrize(
    ("typed", "part"),
    [
        ({"currency": "pounds"}, "A currency is three capital letters, such as GBP or EUR."),
        ({"hour_rate": "a lot"}, "a lot"),
        ({"drying_board_pieces": 0}, "Type 1 or more."),
        ({"name": ""}, "Fill this in."),
    ],
)
def test_nonsense_settings_are_refused(signed_in, studio_open, typed, part):
    status, page = posted(signed_in, "/studio/settings/", **settings_typed(**typed))

    assert status == 422
    assert part in page
    assert StudioSettings.objects.get().hour_rate_minor == 1500


def test_a_helper_is_added_and_gets_a_link_that_is_shown_once(signed_in, owner, studio_open):
    posted(signed_in, "/studio/people/", name="wren", role="helper")
    wren = User.objects.get(username="wren")

    page = signed_in.post(f"/studio/people/{wren.pk}/link/").content.decode()

    link = re.search(r'value="http://testserver(/sign-in/link/[^"]+)"', page)[1]
    helper = Client()
    assert helper.post(link).url == "/sign-in/password/"
    assert helper.get("/studio/").status_code == 200
    assert link not in signed_in.get("/studio/").content.decode()


@pytest.mark.parametrize(
    ("name", "sentence"),
    [
        ("", "Fill this in."),
        ("two words", "A name has letters, figures and . - _ @ + only, without spaces."),
        ("x" * 41, "Shorten it to 40 letters: it has 41."),
        ("<b>", "A name has letters, figures and"),
        ("owner", "owner is here already. Choose another name."),
    ],
)
def test_a_name_that_cannot_be_used_is_refused_with_its_reason(signed_in, studio_open, name, sentence):
    status, page = posted(signed_in, "/studio/people/", name=name, role="helper")

    assert status == 422
    assert sentence in page
    assert User.objects.count() == 1


def test_nobody_by_that_number_gets_no_link(signed_in, studio_open):
    answer = signed_in.post("/studio/people/999/link/", follow=True)

    assert "That person cannot sign in. Let them in first." in answer.content.decode()


def test_the_page_asks_the_database_the_same_number_of_times_for_one_person_and_for_forty(
    signed_in, owner, studio_open, django_assert_num_queries
):
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    with CaptureQueriesContext(connection) as few:
        signed_in.get("/studio/")
    for number in range(40):
        add_person(name=f"hand{number}", owner=False, request_key=uuid4(), now=datetime.now(UTC))
        ClosedDay.objects.create(on=f"2030-01-{number % 28 + 1:02}") if number < 28 else None

    with django_assert_num_queries(len(few)):
        signed_in.get("/studio/")


@pytest.mark.browser
@pytest.mark.services
def test_by_link_to_password_hours_and_a_second_person_in_a_real_browser(page_phone, start_studio, axe):
    page = page_phone
    studio = start_studio()
    page.goto(f"{studio.address}/sign-in/")
    assert axe(page) == []
    studio.sign_in(page)
    page.goto(f"{studio.address}/studio/")
    assert axe(page) == []

    page.select_option("select[name=weekday]", label="Saturday")
    page.fill("input[name=opens]", "09:00")
    page.fill("input[name=closes]", "12:30")
    page.get_by_role("button", name="Keep hours").click()
    page.get_by_text("Saturday 09:00 to 12:30 is kept.").wait_for()
    page.locator("input[name=name]").first.fill("wren")
    page.get_by_role("button", name="Let in").click()
    page.get_by_text("wren is in as helper.").wait_for()
    page.get_by_role("row", name="wren").get_by_role("button", name="Sign-in link").click()

    assert "/sign-in/link/" in page.get_by_label("Hand it over as it stands").input_value()
    for width in (390, 1280):
        page.set_viewport_size({"width": width, "height": 844})
        assert axe(page) == []
        assert page.evaluate("document.documentElement.scrollWidth") <= width
    assert page.complaints == []
