"""Numbers a maker asks for, by month: on time, days to the parcel, why late, what sells, pieces an hour."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time, timedelta, tzinfo

from django.db.models import Count, Max
from django.utils.timezone import localdate, make_aware

from inventory.ports import OpenHours, StudioHours
from orders.arithmetic.by_month import first_of, middle, month_after, months_to, percent
from orders.arithmetic.wanted_by import line_key
from orders.models import Assignment, Order, OrderLine
from production.queries.made import came_out_badly, first_poured_at, held_back, month_of, pieces_made

MONTHS = 12
SELLERS_MOST = 12
READY_IN_TIME = "ready in time, left late"
CAME_OUT_BADLY = "a cast or piece was scrap or a second"
NOT_KNOWN = "not known"
HELD_WORDS = {
    "mould": "not enough moulds",
    "hands": "not enough hands",
    "powder": "not enough powder",
    "material": "a material was missing",
    "closed days": "days with nobody in",
    "ordered too late": "ordered too late",
}


@dataclass(frozen=True)
class Month:
    """One month: orders that left in full, how many by their day, median days from order to parcel.

    `hours` are the hands' hours as they were, from the first pour of all up to today.
    """

    first: date
    shipped: int
    on_time: int
    days: float | None
    pieces_shipped: int
    pieces_made: int
    hours: float

    @property
    def on_time_percent(self) -> int | None:
        """Share that left by its day."""
        return percent(self.on_time, self.shipped)

    @property
    def per_hour(self) -> float | None:
        """Good pieces made for each hour of a pair of hands."""
        return self.pieces_made / self.hours if self.hours else None


@dataclass(frozen=True)
class Seller:
    """An article in a colour, and how many pieces of it left in each month."""

    article: str
    colour: str
    pieces: int
    by_month: tuple[int, ...]


@dataclass(frozen=True)
class Numbers:
    """The last months, oldest first; why orders were late, most frequent first; what sells, most first."""

    months: tuple[Month, ...]
    reasons: tuple[tuple[str, int], ...]
    sellers: tuple[Seller, ...]

    @property
    def shipped(self) -> int:
        """Orders that left in full."""
        return sum(month.shipped for month in self.months)

    @property
    def on_time_percent(self) -> int | None:
        """Share of all that left by its day."""
        return percent(sum(month.on_time for month in self.months), self.shipped)


@dataclass
class _Left:
    """Orders that left in full in a month: days each took, and by when those that were late had to leave."""

    days: list[int] = field(default_factory=list)
    late: dict[int, date] = field(default_factory=dict)


def numbers(
    *, now: datetime, hours: StudioHours, hours_before: Sequence[OpenHours] = (), months: int = MONTHS
) -> Numbers:
    """The numbers of the last months. Ten queries at most, however many orders.

    `hours_before` are weekly hours that were taken out since.

    A market day is no promise to anybody, so only orders are counted as on time or late; its pieces sell.
    """
    today = localdate(now)
    firsts = months_to(today, months)
    starts = [make_aware(datetime.combine(first, time()), hours.zone) for first in firsts]
    left = _left(firsts, today, hours.zone)
    made = pieces_made(starts)
    first_poured = first_poured_at()
    begins = localdate(first_poured) if first_poured else today
    weekly = (*hours.weekly, *hours_before)
    sellers = _sellers(starts)
    shipped_pieces = [sum(one.by_month[place] for one in sellers) for place in range(months)]
    rows = []
    for place, first in enumerate(firsts):
        gone = left[first]
        rows.append(
            Month(
                first=first,
                shipped=len(gone.days),
                on_time=len(gone.days) - len(gone.late),
                days=middle(gone.days),
                pieces_shipped=shipped_pieces[place],
                pieces_made=made.get(place, 0),
                hours=hands_hours(
                    weekly,
                    hours.closed_days,
                    max(first, begins),
                    min(month_after(first), today + timedelta(days=1)),
                ),
            )
        )
    late = {pk: by for gone in left.values() for pk, by in gone.late.items()}
    return Numbers(tuple(rows), tuple(_reasons(late).most_common()), tuple(sellers))


def hands_hours(
    weekly: Collection[OpenHours], closed_days: Collection[date], first: date, before: date
) -> float:
    """Hours of hands from a day to before another, as they were: each pair of hands counts. No query."""
    total = 0.0
    for place in range((before - first).days):
        day = first + timedelta(days=place)
        if day in closed_days:
            continue
        for stretch in weekly:
            if stretch.held_on(day):
                opens = datetime.combine(day, stretch.opens)
                closes = datetime.combine(day, stretch.closes)
                total += (closes - opens).total_seconds() / 3600 * stretch.pairs
    return total


def _left(firsts: Sequence[date], today: date, zone: tzinfo) -> dict[date, _Left]:
    """Orders that left in full, by month. One query."""
    found: dict[date, _Left] = {first: _Left() for first in firsts}
    days = [firsts[0] + timedelta(days=place) for place in range((today - firsts[0]).days + 1)]
    # In UTC like the rows, so that comparing needs no look at the zone.
    ends = [
        make_aware(datetime.combine(day + timedelta(days=1), time()), zone).astimezone(UTC) for day in days
    ]
    since = make_aware(datetime.combine(days[0], time()), zone)
    rows = (
        Order.objects.filter(closed_at__gte=since, called_off=False, kind=Order.Kind.ORDER)
        .order_by("closed_at")
        .values_list("pk", "ordered_on", "ship_by", "closed_at")
    )
    place = 0
    for pk, ordered_on, ship_by, closed_at in rows:
        # Years of them are read by day: the rows come in order, so the day only ever moves on.
        while place < len(days) - 1 and closed_at and closed_at >= ends[place]:
            place += 1
        gone = found[first_of(days[place])]
        gone.days.append((days[place] - ordered_on).days)
        if days[place] > ship_by:
            gone.late[pk] = ship_by
    return found


def _sellers(starts: Sequence[datetime]) -> list[Seller]:
    """Pieces that left, by article and colour, most first. One query."""
    rows = (
        Assignment.objects.filter(piece__shipped_at__gte=starts[0])
        .annotate(month=month_of("piece__shipped_at", starts))
        .values_list("line__article__name", "line__colour__name", "month")
        .annotate(count=Count("id"))
        .order_by()
    )
    counts: dict[tuple[str, str], Counter[int]] = defaultdict(Counter)
    for article, colour, month, count in rows:
        counts[article, colour][month] += count
    found = [
        Seller(article, colour, sum(by.values()), tuple(by[place] for place in range(len(starts))))
        for (article, colour), by in counts.items()
    ]
    return sorted(found, key=lambda one: (-one.pieces, one.article, one.colour))


def _reasons(late: Mapping[int, date]) -> Counter[str]:
    """Why orders left late: the first of what the records can tell. Five queries, none when none was late."""
    found: Counter[str] = Counter()
    if not late:
        return found
    lines: Mapping[int, list[str]] = defaultdict(list)
    last_ready: dict[int, datetime] = {}
    ids = list(late)
    for order_id, line_id in OrderLine.objects.filter(order__in=ids).values_list("order", "id"):
        lines[order_id].append(line_key(line_id))
    ready = Assignment.objects.filter(line__order__in=ids).values_list("line__order")
    for order_id, at in ready.annotate(last=Max("piece__ready_at")).order_by():
        if at:
            last_ready[order_id] = at
    keys = [key for found_keys in lines.values() for key in found_keys]
    badly, held = came_out_badly(keys), held_back(keys)
    for pk, ship_by in late.items():
        mine = lines[pk]
        at = last_ready.get(pk)
        if at and localdate(at) <= ship_by:
            found[READY_IN_TIME] += 1
        elif any(key in badly for key in mine):
            found[CAME_OUT_BADLY] += 1
        else:
            held_by = next((held[key] for key in mine if key in held), "")
            found[HELD_WORDS.get(held_by, NOT_KNOWN)] += 1
    return found
