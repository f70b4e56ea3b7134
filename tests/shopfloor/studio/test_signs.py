"""Signs that no font here has."""

from __future__ import annotations

from shopfloor.studio.signs import missing_signs, without_signs, words_of

# A sign of Yi, which no font that is shipped has; without a PATH the machine is not asked.
UNHEARD = "\ua015"


def test_names_of_many_scripts_are_in_the_fonts_that_are_shipped(monkeypatch):
    monkeypatch.setenv("PATH", "")

    assert (
        missing_signs("Łódź, Đặng, Ελλάδα, Жуковський, نورة, שלום, สมชาย, हिन्दी, Հայ, ქართ, বাংলা, தமிழ்") == ()
    )


def test_a_sign_that_no_font_has_is_named_once_and_can_be_left_out(monkeypatch):
    monkeypatch.setenv("PATH", "")
    text = f"Dunlin {UNHEARD}{UNHEARD} Spit"

    assert missing_signs(text) == (UNHEARD,)
    assert without_signs(text, (UNHEARD,)) == "Dunlin  Spit"


def test_joiners_and_choices_of_shape_are_not_signs():
    assert missing_signs("a\u200d\ufe0f\u00a0\u2003") == ()


def test_only_the_words_of_a_page_are_looked_at():
    page = "<html><title>x</title><body><svg><text>q</text></svg><p>R&amp;D &#x141;</p></body></html>"

    assert words_of(page).split() == ["R&D", "Ł"]
