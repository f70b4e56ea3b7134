"""Names of the range as files write them."""

from __future__ import annotations

from orders.arithmetic.reading.names import named, near_names

ARTICLES = {1: "Saltings pot and saucer", 2: "Ferry tray", 3: "Cockle tea-light cup, filled"}


def test_capitals_and_spaces_do_not_matter():
    assert named("  ferry   TRAY ", ARTICLES, {}) == 2


def test_another_name_is_known_once_it_was_learned():
    assert named("Salting pot", ARTICLES, {}) is None
    assert named("Salting POT", ARTICLES, {"salting pot": 1}) == 1


def test_what_was_learned_of_an_article_no_longer_made_does_not_count():
    assert named("old tray", ARTICLES, {"old tray": 9}) is None


def test_our_own_name_wins_over_one_learned():
    assert named("Ferry tray", ARTICLES, {"ferry tray": 1}) == 2


def test_near_names_have_the_likeliest_first_and_no_strangers():
    assert near_names("Salting pot", ARTICLES)[0] == 1
    assert near_names("Ferrytray", ARTICLES) == [2]
    assert near_names("umbrella stand", ARTICLES) == []
