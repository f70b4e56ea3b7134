"""From a mould's copies to the facts of their drawings."""

from __future__ import annotations

from datetime import datetime

from inventory.drawings.shapes import Drawn, Picture
from inventory.drawings.wall_clock import wall_minutes
from inventory.ports import Studio
from production.drawings.mould_day import CopyUse, drawn_mould_day
from production.drawings.wear import wear_picture
from production.queries.copies import CopyNow
from production.queries.moulds import CopyPage
from production.views.week_pictures import day_hours

USUAL_HOURS = (8 * 60.0, 17 * 60.0)


def day_picture(page: CopyPage, studio: Studio, now: datetime) -> Drawn:
    """The day of one copy: in the mould, then wet until it is clean and dry."""
    today = studio.local(now).date()

    def minute(at: datetime) -> float:
        return wall_minutes(studio.local(at), today)

    uses = tuple(
        CopyUse(minute(use.poured_at), minute(use.out_at), minute(use.dry_at), use.colour_hex)
        for use in page.uses
    )
    opens, closes = day_hours(studio.hours, today) or USUAL_HOURS
    return drawn_mould_day(
        f"Copy {page.copy.number}", uses, int(opens // 60), min(24, -int(-closes // 60)), minute(now)
    )


def wear(copy: CopyNow) -> Picture:
    """Casts done of those expected."""
    return wear_picture(copy.casts_done, copy.casts_expected)
