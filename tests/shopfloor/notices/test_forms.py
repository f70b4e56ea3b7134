"""What may be asked for by e-mail."""

from __future__ import annotations

import pytest

from shopfloor.notices.forms import MailForm

GIVEN = {
    "address": "ann@mail.example",
    "hands": "at once",
    "orders": "digest",
    "stores": "none",
    "studio": "none",
    "digest_at": "07:00",
    "quiet_from": "22:00",
    "quiet_until": "06:30",
}


@pytest.mark.parametrize(
    ("changes", "field", "said"),
    [
        ({"address": "ann at mail"}, "address", "valid email address"),
        ({"quiet_until": ""}, "quiet_until", "Give both, or neither."),
        ({"quiet_from": ""}, "quiet_from", "Give both, or neither."),
        ({"quiet_from": "06:30"}, "quiet_until", "06:30 until 06:30 is no time or all day"),
        ({"digest_at": "06:00"}, "digest_at", "06:00 is in the quiet hours, 22:00 until 06:30."),
        ({"hands": "hourly"}, "hands", "That is not in the list."),
    ],
)
def test_a_refusal_stands_beside_its_field_with_the_figures(changes, field, said):
    form = MailForm({**GIVEN, **changes}, is_owner=True)

    assert not form.is_valid()
    assert list(form.errors) == [field]
    assert said in form.errors[field][0]


def test_quiet_hours_and_the_daily_hour_go_together_where_nothing_comes_daily():
    changes = {"digest_at": "06:00", "orders": "at once"}

    assert MailForm({**GIVEN, **changes}, is_owner=True).is_valid()


def test_a_helper_is_not_asked_about_the_studio_s_own():
    form = MailForm(GIVEN, is_owner=False)

    assert form.is_valid() and "studio" not in form.cleaned_data
