"""The picture of a trace."""

from __future__ import annotations

from inventory.drawings.shapes import Path, Words
from production.drawings.chain import DRAWN_MOST, Column, Node, chain_picture


def words(picture):
    return [shape.text for shape in picture.shapes if isinstance(shape, Words)]


def lines(picture):
    return [shape for shape in picture.shapes if isinstance(shape, Path) and shape.css == "chain-line"]


def test_every_link_is_a_line_in_both_widths():
    columns = (Column("Lot", (Node("a", "L1"), Node("b", "L2"))), Column("Mix", (Node("m", "312", "Fog"),)))

    drawn = chain_picture(columns, [("a", "m"), ("b", "m"), ("a", "nowhere")], "Two lots into one mix.")

    assert [len(lines(one)) for one in (drawn.wide, drawn.narrow)] == [2, 2]
    assert {"L1", "L2", "312"} <= set(words(drawn.narrow))
    assert "Fog" in words(drawn.wide)


def test_of_many_the_rest_is_one_line_that_says_how_many():
    nodes = tuple(Node(f"p{number}", f"P{number}") for number in range(10_000))
    columns = (Column("Mix", (Node("m", "312"),)), Column("Piece", nodes))

    picture = chain_picture(columns, [("m", node.key) for node in nodes], "x").wide

    assert f"and {10_000 - DRAWN_MOST + 1:,} more" in words(picture)
    assert len(lines(picture)) == DRAWN_MOST
    assert all(word.x <= picture.width for word in picture.shapes if isinstance(word, Words))
