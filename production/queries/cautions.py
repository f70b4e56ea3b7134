"""Cautions at the steps of the Shelf, short and in our own words; local rules come first."""

from __future__ import annotations

# What a filled piece needs before it is sold is what EN 15494:2019 and ASTM F2058-07 ask to stand on every
# candle; heads, heat and waiting are common practice, no source.
FILL_CAUTIONS = (
    "Hot wax burns: sleeves down, nothing that burns near it, and never leave it alone on the heat.",
    "Never put water on burning wax. Lid on, heat off.",
    "Fill only cups that are dry and sealed: an unsealed cup soaks up wax, a damp one spits.",
    "Leave 10 to 15 mm under the rim. Weigh the fragrance; never more than its supplier allows.",
    "Before one is sold, its label says: never leave it burning alone, keep it from what can catch fire, keep"
    " it from children and pets. Trim the wick.",
)
