"""Fields that read amounts and money as typed."""

from __future__ import annotations

import pytest
from django import forms
from django.core.exceptions import ValidationError
from django.core.files.uploadedfile import SimpleUploadedFile
from PIL import Image

from inventory.fields import AmountField, MoneyField, PhotoField, scale_unit
from tests.inventory.arithmetic.test_photos import sent


@pytest.mark.parametrize(
    ("typed", "amount"),
    [
        ("9.31", 9_310_000),
        ("9,31", 9_310_000),
        ("850 g", 850_000),
        ("8 oz", 226_796),
        (" 2.5 kg ", 2_500_000),
    ],
)
def test_either_decimal_sign_and_other_units_are_read(typed, amount):
    """Source of 8 oz: avoirdupois ounce of 28.349523125 g (NIST Handbook 44, appendix C)."""
    assert AmountField(base="g", unit="kg").clean(typed) == amount


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ("nonsense", "is not an amount"),
        ("-3", "below zero"),
        ("3 litres", "is a volume, and a weight is wanted"),
        ("1e9", "not a unit known here"),
        ("nan", "is not an amount"),
        ("99999999999999999", "more digits than any scale shows"),
    ],
)
def test_nonsense_is_refused_in_one_sentence(typed, sentence):
    with pytest.raises(ValidationError, match=sentence):
        AmountField(base="g", unit="kg").clean(typed)


def test_a_blank_may_be_left_where_it_may():
    assert AmountField(required=False).clean("") is None
    with pytest.raises(ValidationError, match="Fill this in"):
        AmountField().clean("")


def test_what_is_kept_is_shown_in_the_unit_of_the_frame_and_what_was_typed_stays_as_typed():
    class Form(forms.Form):
        weight = AmountField(base="g", unit="kg", required=False)
        price = MoneyField(currency="GBP", required=False)

    unbound = Form(initial={"weight": 14_900_000, "price": 123_450})
    typed = Form({"weight": "14,9", "price": "1 234.5"})

    assert 'value="14.90"' in str(unbound["weight"])
    assert 'value="1234.50"' in str(unbound["price"])
    assert 'value="14,9"' in str(typed["weight"])
    assert typed.is_valid()
    assert typed.cleaned_data == {"weight": 14_900_000, "price": 123_450}
    assert 'inputmode="decimal"' in str(unbound["weight"])


def test_money_of_another_currency_is_refused():
    with pytest.raises(ValidationError, match="not in GBP"):
        MoneyField(currency="GBP").clean("12 EUR")


def test_tubs_are_typed_in_kilograms_and_litres_from_a_thousand_up():
    assert scale_unit("g", 15_000_000) == "kg"
    assert scale_unit("g", 500_000) == "g"
    assert scale_unit("ml", 2_500_000) == "l"
    assert scale_unit("piece", 50_000_000) == "piece"


def test_a_photo_is_cleaned_and_a_file_that_is_none_is_refused():
    good = SimpleUploadedFile("mould.png", sent(Image.new("RGB", (64, 64)), "PNG"))

    assert PhotoField().clean(good).width == 64
    assert PhotoField().clean(None) is None
    with pytest.raises(ValidationError, match=r"notes\.txt is no picture that can be read"):
        PhotoField().clean(SimpleUploadedFile("notes.txt", b"fog 2 %"))
