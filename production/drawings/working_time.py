"""The working time of the mix in hand: stirring, each mould to fill, what is spare, and a mark for now."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import groupby
from typing import Literal

from inventory.drawings.shapes import Box, Drawn, Path, Picture, Shape, Words, px, width_of

WIDE = 650.0
NARROW = 326.0
GAP = 2.0
TOP = 20.0
TALL = 22.0


@dataclass(frozen=True)
class Fill:
    """One mould to fill: the word over it, seconds it takes, and how it stands."""

    label: str
    seconds: float
    state: Literal["poured", "current", "next"] = "next"


@dataclass(frozen=True)
class _Part:
    label: str
    css: str
    left: float
    right: float


def drawn_working_time(
    *,
    total_seconds: float,
    elapsed_seconds: float,
    stir_seconds: float,
    fills: tuple[Fill, ...],
    starts: str,
    stiff: str,
) -> Drawn:
    """The bar for both widths. `starts` and `stiff` are clock times in words: "09:27", "09:42"."""
    pictures = [
        _picture(width, total_seconds, elapsed_seconds, stir_seconds, fills, (starts, stiff))
        for width in (WIDE, NARROW)
    ]
    return Drawn(wide=pictures[0], narrow=pictures[1])


def _picture(
    width: float,
    total: float,
    elapsed: float,
    stir: float,
    fills: tuple[Fill, ...],
    ends: tuple[str, str],
) -> Picture:
    parts = _parts(width, total, stir, fills)
    shapes: list[Shape] = [
        Box(part.left, TOP, part.right - part.left, TALL, f"d-part {part.css}".strip()) for part in parts
    ]
    shapes += _labels(parts, width)
    at = 1 + min(1.0, max(0.0, elapsed / total)) * (width - 2) if total else 1.0
    moving = (("transform", f"translate({px(at)} 0)"), ("data-mark", f"1 {px(width - 2)} {round(total)}"))
    shapes.append(Path(f"M0 {px(TOP - 4)}V{px(TOP + TALL + 4)}", "d-mark", extra=moving))
    shapes.append(Words(0, 57, ends[0], "t135 t-quiet"))
    shapes.append(Words(width, 57, f"stiff {ends[1]}", "t135 t-quiet", "end"))
    return Picture(width=width, height=60, says=_sentence(total, elapsed, stir, fills), shapes=tuple(shapes))


def _parts(width: float, total: float, stir: float, fills: tuple[Fill, ...]) -> list[_Part]:
    """Parts to scale from the left; what does not fit into the working time is cut off at its end."""
    scale = (width - 2) / total if total else 0.0
    wanted = [("stir", "stirring", stir)]
    css = {"poured": "poured", "current": "current", "next": ""}
    wanted += [(fill.label, css[fill.state], fill.seconds) for fill in fills]
    spare = total - stir - sum(fill.seconds for fill in fills)
    if spare > 0:
        wanted.append(("spare", "spare", spare))
    parts, left = [], 1.0
    for label, look, seconds in wanted:
        end = min(left + seconds * scale, width - 1)
        if end - left > GAP:
            is_last = end >= width - 1
            parts.append(_Part(label, look, left, end if is_last else end - GAP))
        left = end
    return parts


def _labels(parts: list[_Part], width: float) -> list[Shape]:
    """One word per stretch of parts of one name; left out where it would run into its neighbour."""
    groups = [list(group) for _, group in groupby(parts, key=lambda part: part.label)]
    words: list[Words] = []
    for place, group in enumerate(groups):
        label, left, right = group[0].label, group[0].left, group[-1].right
        css = "t-strong" if any(part.css == "current" for part in group) else ""
        needs = width_of(label)
        limit = groups[place + 1][0].left if place + 1 < len(groups) else width
        if needs <= right - left + 4:
            words.append(Words((left + right) / 2, 14, label, css, "middle"))
        elif left + needs <= max(limit, right) + 18 and left + needs <= width:
            words.append(Words(left, 14, label, css))
    kept: list[Shape] = []
    reached = -1.0
    for word in words:
        if word.left >= reached:
            kept.append(word)
            reached = word.right + 2
    return kept


def _sentence(total: float, elapsed: float, stir: float, fills: tuple[Fill, ...]) -> str:
    used, rest = divmod(round(elapsed), 60)
    current = next((fill.label for fill in fills if fill.state == "current"), "")
    spare = total - stir - sum(fill.seconds for fill in fills)
    said = f"Working time {round(total / 60)} minutes, {used} minutes {rest:02d} used."
    if current:
        said += f" Filling {current}."
    if spare >= 0:
        return f"{said} {round(spare / 60)} minutes spare at the end."
    return f"{said} {round(-spare / 60)} minutes too short for every mould."
