from __future__ import annotations

import pytest
from django import forms
from django.core.exceptions import ValidationError

from inventory.forms.materials import MaterialForm


@pytest.mark.parametrize(
    ("field", "typed", "sentence"),
    [
        (forms.CharField(), "", "Fill this in."),
        (forms.CharField(max_length=3), "four", "Shorten it to 3 letters: it has 4."),
        (forms.IntegerField(min_value=1), "0", "Type 1 or more."),
        (forms.IntegerField(max_value=999), "1000", "Type 999 or less."),
        (forms.IntegerField(), "two", "Type a whole number."),
        (forms.FloatField(), "two", "Type a number."),
        (forms.DateField(), "soon", "That is not a day. Write it like 2026-10-12."),
        (forms.TimeField(), "noon", "That is not a time. Write it like 09:15."),
        (forms.ChoiceField(choices=[("a", "a")]), "b", "That is not in the list. Choose one that is."),
    ],
)
def test_what_django_would_say_is_said_plainly(field, typed, sentence):
    with pytest.raises(ValidationError) as refused:
        field.clean(typed)

    assert refused.value.messages == [sentence]


@pytest.mark.django_db
@pytest.mark.parametrize("name", ["Quick powder", "quick POWDER", " Quick powder "])
def test_a_name_that_is_taken_is_said_plainly_whatever_its_capitals(name):
    typed = {"name": "Quick powder", "kind": "powder", "unit": "g", "slack_days": 1}
    MaterialForm(typed).save()

    again = MaterialForm({**typed, "name": name})

    assert not again.is_valid()
    assert again.errors["name"] == ["Quick powder is here already. Give this one another name."]


@pytest.mark.django_db
def test_a_thing_keeps_its_own_name_when_it_is_changed():
    typed = {"name": "Quick powder", "kind": "powder", "unit": "g", "slack_days": 1}
    kept = MaterialForm(typed).save()

    assert MaterialForm({**typed, "name": "Quick Powder"}, instance=kept).is_valid()
