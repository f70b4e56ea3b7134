"""The frame around a page, and the fragments pages are made of."""

from __future__ import annotations

import json
import re
from types import SimpleNamespace
from uuid import UUID

import django_tables2 as tables
import pytest
from django import forms

from inventory.drawings.shapes import Box, Drawn, Picture
from shopfloor.notices.models import Notice
from shopfloor.notices.queries import Noted
from shopfloor.templatetags.studio import draw, time_left
from tests.shopfloor.frame.pages import NOW, RunningStub, fragment, page_with, template_file


class DecantForm(forms.Form):
    before = forms.CharField(label="B4 before", help_text="tub and all")
    sieved = forms.BooleanField(label="Sieved")

    def clean_before(self) -> str:
        """Always refused, for the look of a refusal."""
        raise forms.ValidationError("0.80 kg is less than the empty tub (0.86 kg).")


# The frame


def test_the_nine_areas_are_there_twice_and_the_current_one_is_marked() -> None:
    page = page_with("")

    assert page.count('aria-label="Areas"') == 2
    assert re.findall(r'<a href="([^"]+)"[^>]*aria-current="page">([^<]+)</a>', page) == [
        ("/bench/", "Bench"),
        ("/bench/", "Bench"),
    ]
    assert all(f">{name}</a>" in page for name in ("Week", "Shelf", "Trace", "Studio"))


def test_the_first_thing_on_a_page_skips_to_its_main_part() -> None:
    page = page_with("")

    assert re.search(r'<body[^>]*>\s*<a class="skip" href="#main">Skip to bench</a>', page)
    assert 'id="main"' in page


def test_the_running_clock_counts_in_the_thumb_line_and_on_other_areas_in_the_top_line_too() -> None:
    on_bench, on_week = page_with(""), page_with("", area="week")

    assert on_bench.count("data-until=") == 1
    assert on_week.count("data-until=") == 2
    assert "11:08" in on_bench
    assert f'data-until="{NOW.replace(minute=42, second=8).isoformat()}"' in on_bench


def test_a_sentence_runs_where_no_clock_does() -> None:
    page = page_with("", running=RunningStub("Nothing setting in the jug", None, then="next 10:51"))

    assert "Nothing setting in the jug" in page
    assert "data-until" not in page


def test_the_servers_time_is_given_with_the_studios_zone() -> None:
    page = page_with("")

    assert 'data-now="2026-10-06T09:31:00+01:00"' in page
    assert "Tue 6 Oct <b data-clock>09:31</b>" in page


def test_a_visitor_sees_no_areas() -> None:
    page = page_with("", areas=(), area="", running=None)

    assert 'aria-label="Areas"' not in page
    assert "thumb" not in page


def test_the_dark_bench_is_dark_on_the_bench_only() -> None:
    assert 'data-bench="dark"' in page_with("", cookies={"bench": "dark"})
    assert "data-bench=" not in page_with("", area="week", cookies={"bench": "dark"})


def test_htmx_is_told_to_evaluate_nothing_and_to_bring_no_style() -> None:
    page = page_with("")

    told = re.search(r"name=\"htmx-config\" content='(.*?)'", page)
    assert told
    assert json.loads(told[1]) == {
        "includeIndicatorStyles": False,
        "allowEval": False,
        "attributesToSettle": ["class", "width", "height"],
        "responseHandling": [
            {"code": "204", "swap": False},
            {"code": "304", "swap": False},
            {"code": "[23]..", "swap": True},
            {"code": "[45]..", "swap": False, "error": True},
        ],
    }


def test_notices_stand_on_top_with_where_to_answer_them() -> None:
    notice = Notice(pk=7, text="Order quick compound by Wed 7", link="/stores/")
    page = page_with("", noted=Noted("bench", (notice,), 3))

    assert "Order quick compound by Wed 7" in page
    assert '<a id="notice-7" href="/stores/">See it</a>' in page
    assert ">3 notices</a>" in page


def test_several_notices_of_a_kind_stand_in_one_line_that_opens_and_one_of_another_as_it_is() -> None:
    ends = [Notice(pk=pk, kind="mould end", text=f"Copy {pk} is near its end") for pk in (3, 2)]
    low = Notice(pk=1, kind="low", text="Order wax by Wed 7")
    page = page_with("", noted=Noted("moulds", (ends[0], low, ends[1]), 3))

    many = re.search(
        r'<summary id="notices-mould-end" class="flag">(.*?)</summary>(.*?)</details>', page, re.S
    )
    assert many and many[1] == "2 moulds near their end"
    assert "Copy 3" in many[2] and "Copy 2" in many[2] and "wax" not in many[2]
    assert '<li><span class="flag">Order wax by Wed 7</span></li>' in page


# What was said


def test_what_was_done_is_said_with_its_undo() -> None:
    said = SimpleNamespace(text="Copy 1: good. On the shelf to dry.", undo_url="/undo/7/")

    page = page_with("", said=said)

    assert "Copy 1: good. On the shelf to dry." in page
    assert re.search(r'<form class="act" method="post" action="/undo/7/".*csrfmiddlewaretoken.*>Undo<', page)


def test_what_was_refused_is_said_in_iron_and_without_undo() -> None:
    page = page_with("", said=SimpleNamespace(text="Already poured 09:33.", undo_url="", wrong=True))

    assert 'class="said wrong"' in page
    assert "Undo" not in page


# Fragments


def test_an_act_is_a_form_with_a_request_key_of_its_own() -> None:
    both = fragment('{% act "/pour/" "Poured" css="full big" %}{% act "/pour/" "Poured" %}')

    keys = re.findall(r'name="request_key" value="([^"]+)"', both)

    assert len({UUID(key) for key in keys}) == 2
    assert both.count("csrfmiddlewaretoken") == 2
    assert 'class="plate full big"' in both
    assert 'method="post" action="/pour/"' in both


def test_an_act_repeats_the_key_it_is_given() -> None:
    key = "5f6c2b0e-6f0b-4a3e-9d55-0d8a6a2f3c11"

    assert f'value="{key}"' in fragment('{% act "/pour/" "Poured" request_key=key %}', key=key)


def test_an_act_that_has_to_wait_says_why_and_can_still_be_reached() -> None:
    act = fragment('{% act "/ship/" "Mark shipped" why_not="Tick piece T3VY first." %}')

    described = re.search(r'aria-disabled="true" aria-describedby="([^"]+)"', act)
    assert described
    assert f'id="{described[1]}">Tick piece T3VY first.' in act
    assert " disabled" not in act


def test_nothing_of_the_page_leaks_into_an_act() -> None:
    act = fragment('{% act "/pour/" "Poured" %}', why_not="x", css="bad", hidden={"a": "b"}, hx_target="#x")

    assert 'class="plate "' in act
    assert "aria-disabled" not in act
    assert "hx-" not in act
    assert 'name="a"' not in act


def test_an_act_inside_an_include_that_passes_only_what_it_names_is_still_signed() -> None:
    said = "{% include 'components/said_lines.html' with said=said only %}"

    page = fragment(said, said=SimpleNamespace(text="Coat 2 at 09:40.", undo_url="/undo/7/"))

    assert re.search(r'name="csrfmiddlewaretoken" value="\w{64}"', page)


def test_a_field_ties_its_label_hint_and_error_to_its_input() -> None:
    form = DecantForm({"before": "0.80"})
    form.is_valid()

    field = fragment('{% field form.before unit="kg" css="reading" %}', form=form)

    (described,) = re.findall(r'aria-describedby="([^"]+)"', field)
    assert all(f'id="{part}"' in field for part in described.split())
    assert len(described.split()) == 2
    assert '<label for="id_before">B4 before</label>' in field
    assert 'class="field reading wrong"' in field
    assert 'aria-invalid="true"' in field
    assert 'value="0.80"' in field
    assert '<span class="unit">kg</span>' in field


def test_a_tick_box_has_its_label_beside_it() -> None:
    field = fragment("{% field form.sieved %}", form=DecantForm())

    assert re.search(r'<label class="choice" for="id_sieved"><input type="checkbox"[^>]*tick small', field)


def test_a_colour_is_never_shown_without_its_word() -> None:
    shown = fragment('{% swatch "#94473A" "Brick" %}')

    assert 'fill="#94473A"' in shown
    assert shown.endswith("Brick")


def test_a_colour_cannot_break_out_of_its_swatch() -> None:
    assert "<script>" not in fragment("{% swatch colour %}", colour='"><script>')


def test_three_verdicts_are_told_apart_by_shape_and_word() -> None:
    plates = fragment('{% judge_plates "/judge/" %}')

    assert re.findall(r'name="verdict" value="(\w+)"', plates) == ["good", "second", "scrap"]
    assert len(set(re.findall(r' d="([^"]+)"', plates))) == 3


def test_a_drawing_in_two_widths_is_shown_one_at_a_time() -> None:
    small, large = (Picture(width, 10, "x", (Box(0, 0, 1, 1, "d-cast"),)) for width in (358, 1040))

    shown = draw(Drawn(wide=large, narrow=small))

    assert re.findall(r'class="only-(\w+)"><svg class="drawing" width="(\d+)"', shown) == [
        ("wide", "1040"),
        ("phone", "358"),
    ]
    assert draw(None) == ""


@pytest.mark.parametrize(
    ("seconds", "written"), [(668, "11:08"), (0, "0:00"), (59, "0:59"), (3930, "1:05:30"), (-80, "1:20")]
)
def test_a_clock_is_written_as_clocks_are(seconds: int, written: str) -> None:
    from datetime import timedelta

    assert time_left(NOW + timedelta(seconds=seconds), NOW) == written


# Tables


class OrderTable(tables.Table):
    order = tables.Column(attrs={"td": {"class": "key"}})
    ship_by = tables.Column(attrs={"words": {"up": "earliest first", "down": "latest first"}})


def test_a_table_row_folds_with_the_head_of_each_column_and_says_how_it_is_sorted() -> None:
    rows = [{"order": "1047 Heron Ebb", "ship_by": 12}, {"order": "1044 Plover Marsh", "ship_by": 9}]

    shown = fragment(
        "{% load django_tables2 %}{% render_table table %}", table=OrderTable(rows, order_by="ship_by")
    )

    assert 'data-th="Ship by"' in shown
    assert 'aria-sort="ascending"' in shown
    assert "earliest first" in shown
    assert shown.index("1044") < shown.index("1047")


def test_an_empty_table_says_so() -> None:
    shown = fragment(
        "{% load django_tables2 %}{% render_table table %}",
        table=OrderTable([], empty_text="No open orders."),
    )

    assert "No open orders." in shown
    assert "<table" not in shown


# Pages without areas


@pytest.mark.parametrize("name", ["400", "403", "404", "500", "registration/locked_out"])
def test_a_page_for_when_something_went_wrong_needs_nothing_to_be_shown(name: str) -> None:
    page = template_file(f"{name}.html")

    assert "<h1>" in page
    assert 'class="statement"' in page


def test_sign_in_asks_for_what_its_form_asks() -> None:
    page = template_file("registration/login.html", form=DecantForm(), next="/week/")

    assert 'name="before"' in page
    assert '<input type="hidden" name="next" value="/week/">' in page
