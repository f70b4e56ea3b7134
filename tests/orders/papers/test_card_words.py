"""The studio's own words on care cards."""

from __future__ import annotations

import io

import pytest
from pypdf import PdfReader

from inventory.errors import StudioError
from orders.papers.card_words import USUAL, candle_cautions, own_words, words_to_fill
from shopfloor.studio.models import StudioSettings
from tests.factories.orders import a_piece, an_order

GERMAN = """Looking after it = Pflege
Keep away from children and pets. = Von Kindern und Haustieren fernhalten.
Trim the wick to {wick} mm before lighting. Keep the wax clear of bits. = Docht auf {wick} mm kürzen."""


def test_the_form_shows_every_line_and_keeps_what_was_written():
    shown = words_to_fill(GERMAN)

    assert len(shown.splitlines()) == len(USUAL)
    assert "Looking after it = Pflege" in shown
    assert own_words(shown) == own_words(GERMAN)


def test_a_caution_left_empty_stands_as_usual():
    said = candle_cautions(5, own_words(GERMAN))

    assert "Docht auf 5 mm kürzen." in said
    assert "Leave 10 cm between burning candles." in said
    assert len(said) == len(candle_cautions(5))


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("Pflege", '"Pflege" stands on no care card.'),
        (f"{USUAL[-4]} = Docht kürzen", "Keep {wick} in"),
    ],
)
def test_a_line_that_no_card_has_is_refused(text, said):
    with pytest.raises(StudioError, match=said):
        own_words(text)


@pytest.mark.django_db
def test_cards_in_another_language_say_so_to_whoever_reads_them_aloud(signed_in, studio_open, made):
    """Source: ISO 14289-1:2014, 7.2 (natural language of the text)."""
    StudioSettings.objects.update(card_language="de", card_words=GERMAN)
    order = an_order((made.tray, made.rust, 1), (made.cup, made.slate, 1))
    a_piece(made.tray, made.rust)
    a_piece(made.cup, made.slate)

    pdf = signed_in.get(f"/orders/order/{order.number}/care-cards/?single").content

    reader = PdfReader(io.BytesIO(pdf))
    words = " ".join(" ".join(page.extract_text().split()) for page in reader.pages)
    assert reader.trailer["/Root"]["/Lang"] == "de"
    assert "Pflege" in words and "Looking after it" not in words
    assert "Von Kindern und Haustieren fernhalten." in words
    assert "Docht auf 6 mm" in words
