"""How the studio of the journeys stands on Monday at eight: tubs filled, nothing ordered, nothing poured."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from uuid import UUID, uuid5
from zoneinfo import ZoneInfo

from inventory.operations.receiving import receive_lot
from shopfloor.jobs.handlers import HANDLERS
from shopfloor.jobs.work import do_due_jobs
from shopfloor.journeys.demo.loading import load_rows
from shopfloor.journeys.demo.rows import MATERIAL_PK, TUBS
from shopfloor.notices.tasks import watch

ZONE = ZoneInfo("Europe/London")
MONDAY = datetime(2026, 10, 5, 8, 0, tzinfo=ZONE).astimezone(UTC)
KEYS = UUID("1c5f1f7a-5b0e-4c62-9b0d-0a4a5ed1c0de")
WEEKDAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
# So little that the first mix wants a decant, and that the week runs low on powder.
INSTEAD = {"B4": 4_500_000, "Q2": 300_000}
TARE = {code: tare_g * 1000 for _, code, _, tare_g, *_ in TUBS}


class Clock:
    """The studio's clock: stands still until it is moved."""

    def __init__(self, at: datetime) -> None:
        self.at = at

    def to(self, words: str) -> None:
        """Move on to a day and time of the studio's zone: "Tue 09:30", the next there is."""
        weekday, _, wall = words.partition(" ")
        hour, minute = (int(part) for part in wall.split(":"))
        local = self.at.astimezone(ZONE)
        days = (WEEKDAYS.index(weekday) - local.weekday()) % 7
        moved = (local + timedelta(days=days)).replace(hour=hour, minute=minute, second=0, microsecond=0)
        if moved < local:
            moved += timedelta(days=7)
        self.at = moved.astimezone(UTC)

    def later(self, minutes: float) -> None:
        """Move on by so many minutes."""
        self.at += timedelta(minutes=minutes)

    def tick(self) -> None:
        """Move on by the seconds of a tap."""
        self.at += timedelta(seconds=5)

    @property
    def local(self) -> datetime:
        """The time on the wall."""
        return self.at.astimezone(ZONE)

    def now(self) -> datetime:
        """The time as jobs ask for it."""
        return self.at


def open_studio() -> None:
    """The rows of the demo studio, and one delivery in each of its tubs."""
    load_rows()
    for material, tub, role, tare_g, capacity, amount, price_minor, days_ago in TUBS:
        came_in = MONDAY - timedelta(days=days_ago)
        receive_lot(
            material_id=MATERIAL_PK[material],
            amount=INSTEAD.get(tub, amount),
            received_on=came_in.date(),
            new_container={"role": role, "code": tub, "tare_mg": tare_g * 1000, "capacity": capacity},
            price_minor=price_minor,
            request_key=uuid5(KEYS, tub),
            now=came_in,
            by=None,
        )


def delivered() -> dict[str, int]:
    """What came into each tub (thousandths)."""
    return {tub: INSTEAD.get(tub, amount) for _, tub, _, _, _, amount, _, _ in TUBS}


def order_file() -> bytes:
    """Three orders under somebody else's headings, in their order; the last names an unknown colour."""
    # RFC 4180: quotes where a comma or a quote stands inside, lines end in CR and LF.
    lines = [
        "Shade,Thing,Pcs,Their no,Who,Street,Town,Placed,Must go,Words for the card",
        "Fog,Ferry tray,3,S71,Tern Bank,4 Invented Row,Nowhere-on-Mud,2026-10-03,2026-10-09,",
        'Shell,"Cockle tea-light cup, filled",2,S72,Avocet Hythe,9 Invented Row,Nowhere-on-Mud,'
        '2026-10-03,2026-10-15,"For ""Wren"", with love"',
        "Pewter,Strand soap dish,1,S74,Smew Pill,7 Invented Row,Nowhere-on-Mud,2026-10-04,2026-10-16,",
    ]
    return "".join(f"{line}\r\n" for line in lines).encode()


def do_jobs(clock: Clock) -> int:
    """Let the worker do what is due."""
    return do_due_jobs(HANDLERS, clock.now)


def look_round(clock: Clock) -> None:
    """Let the studio's clock ask for a look at what is worth a notice, and the worker do it."""
    watch()
    do_jobs(clock)
