"""Amounts in templates."""

from __future__ import annotations

import pytest
from django.template import Context, Template


@pytest.mark.parametrize(
    ("source", "shown"),
    [
        ('{{ x|amount:"g" }}', "2,140 g"),
        ('{{ x|amount:"kg" }}', "2.14 kg"),
        ('{{ x|figure:"g" }}', "2,140"),
        ('{{ x|figure:"kg" }}', "2.14"),
        ('{{ x|amount:"ml" }}', "2,140 mL"),
        ('{{ x|figure:"l" }}', "2.14"),
        ('{{ x|said:"g" }}', "2.14 kg"),
        ('{{ x|level:"g" }}', "2.14 kg"),
        ('{% with a=x|large:"g" %}{{ a.figure }}/{{ a.unit }}{% endwith %}', "2.14/kg"),
        ("{{ x|volume }}", "2,140.0"),
        ('{{ pieces|amount:"piece" }}', "12 pcs"),
        ('{{ minor|money:"GBP" }}', "12.50 GBP"),
        ('{{ none|amount:"g" }}{{ none|figure:"g" }}{{ none|said:"g" }}{{ none|level:"g" }}', ""),
        ("{{ none|volume }}", ""),
        ('{{ none|money:"GBP" }}{% with a=none|large:"g" %}{{ a.figure }}{% endwith %}', ""),
    ],
)
def test_a_filter_shows_the_amount_with_its_unit(source, shown):
    context = Context({"x": 2_140_000, "pieces": 12_000, "minor": 1250, "none": None})

    assert Template("{% load amounts %}" + source).render(context) == shown
