"""Shares with their ranges, one line under the other on one scale."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from inventory.drawings.shapes import Drawn, Path, Picture, Ring, Shape, Words, px, width_of
from production.arithmetic.wilson import Share

SIDE = 10.0
TALL = 38.0
WORDS_AT, LINE_AT = 14.0, 26.0
FOOT = 24.0
CAP = 4.0
STEPS = (0.1, 0.2, 0.4, 0.6, 0.8, 1.0)


@dataclass(frozen=True)
class RateLine:
    """One group: its words, its share with its range, and whether it is worse than the others."""

    words: str
    share: Share
    stands_out: bool


@dataclass(frozen=True)
class RateFacts:
    """`lines` from above to below; `says` is for screen readers."""

    lines: Sequence[RateLine]
    says: str


def drawn_rates(facts: RateFacts) -> Drawn:
    """The lines for both widths."""
    return Drawn(wide=rates_picture(facts, 860), narrow=rates_picture(facts, 334))


def rates_picture(facts: RateFacts, width: float) -> Picture:
    """A ring at the share and a line from low to high, thick where it is worse than the others."""
    most = next(step for step in STEPS if step >= max([0.0, *(line.share.high for line in facts.lines)]))
    base = TALL * len(facts.lines) + 6

    def x(part: float) -> float:
        return SIDE + part / most * (width - 2 * SIDE)

    shapes: list[Shape] = []
    for share in (0.0, most / 2, most):
        shapes.append(Path(f"M{px(x(share))} 4V{px(base)}", "d-hour"))
        anchor = {0.0: "start", most: "end"}.get(share, "middle")
        shapes.append(Words(x(share), base + 16, f"{share * 100:g} %", "t13 t-quiet", anchor))
    for place, line in enumerate(facts.lines):
        top = place * TALL
        at = top + LINE_AT
        css = "d-line2" if line.stands_out else "d-line15"
        low, high = px(x(line.share.low)), px(x(line.share.high))
        ends = f"M{low} {px(at - CAP)}v{px(2 * CAP)}M{high} {px(at - CAP)}v{px(2 * CAP)}"
        shapes.append(Path(f"M{low} {px(at)}H{high}{ends}", css))
        shapes.append(Ring(x(line.share.part), at, 4.5, "d-ring"))
        counted = f"{line.share.count} of {line.share.of}"
        if line.stands_out:
            counted += ", worse than the others"
        room = width - 2 * SIDE - width_of(counted, 13) - 8
        shapes.append(Words(SIDE, top + WORDS_AT, _shortened(line.words, room), "t13 t-strong"))
        shapes.append(Words(width - SIDE, top + WORDS_AT, counted, "t13 t-quiet", "end"))
    return Picture(width=width, height=base + FOOT, says=facts.says, shapes=tuple(shapes))


def _shortened(words: str, room: float) -> str:
    """The words, cut where there is no room; the table beside the picture says them in full."""
    if width_of(words, 13) <= room:
        return words
    kept = words
    while kept and width_of(f"{kept}...", 13) > room:
        kept = kept[:-1]
    return f"{kept.rstrip()}..."
