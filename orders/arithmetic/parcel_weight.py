"""What a parcel should weigh, and whether the scale agrees: half the lightest piece may lie between."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

# A box, its paper and tape, where none like it was weighed yet: at most so heavy.
BOX_MOST_MG = 2_000_000


@dataclass(frozen=True)
class WeightJudged:
    """`verdict` on a reading: fine, light (a piece may be missing) or heavy (one may be too many)."""

    verdict: Literal["fine", "light", "heavy"]
    expected_mg: int
    by_mg: int


def judge_weight(scale_mg: int, pieces_mg: Sequence[int], box_mg: int | None) -> WeightJudged:
    """Judge a reading of the whole parcel by the sum of its pieces and of its box; masses in mg.

    Without `box_mg` the box may weigh anything up to `BOX_MOST_MG`. Source: worked here: a piece missing or
    too many shifts the sum by at least the lightest piece, and half of that tells the two apart.
    """
    pieces, half = sum(pieces_mg), min(pieces_mg) // 2
    least = pieces + (box_mg or 0) - half
    most = pieces + (BOX_MOST_MG if box_mg is None else box_mg + half)
    expected = pieces + (box_mg or 0)
    if scale_mg < least:
        return WeightJudged("light", expected, expected - scale_mg)
    if scale_mg > most:
        return WeightJudged("heavy", expected, scale_mg - expected)
    return WeightJudged("fine", expected, abs(scale_mg - expected))


def usual_box_mg(weighed: Sequence[tuple[int, int]]) -> int | None:
    """What a box weighs by parcels packed the same way, each (scale, sum of pieces) in mg: the middle one.

    None before three such parcels: one odd reading must not be the measure.
    """
    boxes = sorted(scale - pieces for scale, pieces in weighed if scale > pieces)
    return boxes[len(boxes) // 2] if len(boxes) >= 3 else None
