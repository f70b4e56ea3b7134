"""From what the Bench found to the facts of its drawings."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta

from inventory.drawings.shapes import Drawn
from inventory.drawings.wall_clock import wall_minutes
from inventory.ports import Studio
from production.drawings.bench_day import BenchMix, drawn_bench_day
from production.drawings.working_time import Fill, drawn_working_time
from production.queries.bench import TodayMix
from production.queries.setting import MixInHand

HOUR = 60


def today_picture(mixes: Sequence[TodayMix], studio: Studio, now: datetime) -> Drawn | None:
    """The staircase of today's mixes, None when there are none."""
    if not mixes:
        return None
    now_local = studio.local(now)
    today = now_local.date()

    def minute(at: datetime) -> float:
        return wall_minutes(studio.local(at), today)

    steps = tuple(
        BenchMix(
            number=str(mix.number),
            colour_name=mix.colour,
            colour_hex=mix.colour_hex,
            started=minute(mix.started_at),
            poured=minute(mix.poured_at),
            out=minute(mix.out_at),
            mixed=mix.is_mixed,
        )
        for mix in mixes
    )
    open_hours = [hours for hours in studio.hours.weekly if hours.weekday == today.weekday()]
    first = min([hours.opens.hour for hours in open_hours] + [int(steps[0].started // HOUR)])
    last = max([hours.closes.hour for hours in open_hours] + [int(steps[-1].started // HOUR) + 1])
    return drawn_bench_day(steps, max(0, first), min(24, max(last, first + 1)), minute(now))


def working_time_picture(mix: MixInHand, studio: Studio, now: datetime) -> Drawn:
    """The bar of the working time: stirring, each mould, what is spare."""
    current = mix.current
    fills = []
    for fill in mix.fills:
        if fill.is_left_out:
            continue
        state = "poured" if fill.poured_at else "current" if fill is current else "next"
        fills.append(Fill(f"{fill.part} {fill.copy_number}", fill.fill_minutes * 60.0, state))  # type: ignore[arg-type]
    return drawn_working_time(
        total_seconds=mix.working_minutes * 60.0,
        elapsed_seconds=max(timedelta(), now - mix.started_at).total_seconds(),
        stir_seconds=mix.stir_minutes * 60.0,
        fills=tuple(fills),
        starts=f"{studio.local(mix.started_at):%H:%M}",
        stiff=f"{studio.local(mix.stiff_at):%H:%M}",
    )
