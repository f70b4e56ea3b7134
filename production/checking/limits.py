"""What a problem or plan in the exchanged form may hold at most; beyond it a file is refused unread.

A one to three person studio needs a small part of each. They are there so that a slip of the keyboard, or
a file made to hurt, costs a sentence and not the memory of the machine.
"""

MOST_BYTES = 20_000_000
MOST_MINUTES = 20 * 366 * 1440
"""Length of a calendar, and how far a time may lie before its start or after its end."""
MOST_WINDOWS = 100_000
MOST_PAIRS = 50
MOST_KINDS = 2_000
"""Compounds, kinds of mould, articles, supplies, recipes, and receipts of one supply, of each."""
MOST_COPIES = 10_000
MOST_PARTS = 50
MOST_STEPS = 100
MOST_LINES = 20_000
MOST_PIECES = 10_000
"""Pieces of one line."""
MOST_ROWS = 100_000
"""Mixes in moulds now, casts out of them, mixes of a plan, steps of a plan, of each."""
MOST_BY_HAND = 1_000
"""Pins, and hours in which something is not poured, of each: every mix is held against all of them."""
MOST_LETTERS = 200
MOST_AMOUNT = 1e9
"""Grams, millilitres, pieces, minutes of hands, weights: more is a slip of the keyboard."""
