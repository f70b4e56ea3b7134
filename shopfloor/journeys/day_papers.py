"""The papers of a day as one document: in the request while they are few, as a job when they are many."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date, datetime, timedelta
from pathlib import Path
from typing import Any
from uuid import UUID

from django.conf import settings

from inventory.errors import StudioError
from inventory.operations.acts import Done, Tap, act
from orders.papers.card_words import card_context
from orders.papers.care_cards import cards_of, care_sheets
from orders.papers.packing_slip import slip_of
from orders.queries.day import day_of
from orders.queries.order_page import find_order
from orders.queries.parcels import PaperParcel, parcel_for_paper
from shopfloor.jobs.operations import ask
from shopfloor.jobs.queries import PRINT_PAPERS
from shopfloor.studio.papers import long_paper_pdf
from shopfloor.studio.port import LiveStudio

# More slips than these take longer than anybody likes to wait for a page.
AT_ONCE_MOST = 8
KEPT_FOR = timedelta(days=1)
SLIPS, CARDS = "slips", "cards"
TEMPLATES = {SLIPS: "orders/papers/packing_slip.html", CARDS: "orders/papers/care_cards.html"}
Tell = Callable[[int, int, str], None]


@act("shopfloor.ask_for_papers")
def ask_for_papers(tap: Tap, *, what: str, day: date) -> Done:
    """Ask for the slips or care cards of a day as one document; the job's key is the tap's.

    Changes: one job row. Again: the same job.
    Raises: StudioError when nothing of the day can be packed.
    """
    if what not in TEMPLATES:
        raise StudioError("Say slips or cards.")
    if not day_of(day, now=tap.now).to_print:
        raise StudioError("Nothing that leaves by that day is ready. Nothing to print.")
    key = job_key(tap.request_key)
    ask(PRINT_PAPERS, key, {"what": what, "day": day.isoformat(), "key": str(tap.request_key)}, now=tap.now)
    return Done("Setting the papers. They open here when they are ready.", {"key": str(tap.request_key)})


def job_key(key: UUID) -> str:
    """The key of the job that makes the document of a tap."""
    return f"{PRINT_PAPERS} {key}"


def day_parcels(day: date, *, now: datetime, home: str) -> list[PaperParcel]:
    """The parcels of a day as their papers need them, by the day their orders leave."""
    return [
        parcel_for_paper(find_order(one.number), "", now=now, home=home)
        for one in day_of(day, now=now).to_print
    ]


def paper_contexts(
    what: str, parcels: Sequence[PaperParcel], studio: LiveStudio, *, at_once: int
) -> list[dict[str, Any]]:
    """Contexts of the document's parts, so many parcels in each."""
    groups = [parcels[start : start + at_once] for start in range(0, len(parcels), at_once)]
    facts = studio.facts
    if what == SLIPS:
        return [
            {
                "slips": [
                    slip_of(one, size=facts.slip_size, site_address=facts.site_address) for one in group
                ],
                "title": f"{len(parcels)} packing slips",
                "studio": facts,
            }
            for group in groups
        ]
    cards = [cards_of([one for parcel in group for one in parcel.care], studio=facts) for group in groups]
    return [
        {
            "sheets": care_sheets(found),
            "title": "Care cards",
            **card_context(facts),
            "studio": facts,
        }
        for found in cards
    ]


def make_papers(
    *, what: str, day: date, key: UUID, now: datetime, studio: LiveStudio, tell: Tell
) -> Callable[[], dict[str, Any]]:
    """Set the document and keep it as a file; answers the function that notes it as made.

    Raises: StudioError where PDFs cannot be made here.
    """
    parcels = day_parcels(day, now=now, home=studio.facts.country)
    # Groups of eight cards fill their sheets whole; slips go in groups so that a stop and a lease are seen.
    contexts = paper_contexts(what, parcels, studio, at_once=25)
    pdf = long_paper_pdf(
        TEMPLATES[what], contexts, lambda done: tell(done, len(contexts), f"{len(parcels)} orders")
    )
    if pdf is None:
        raise StudioError("Papers as one document want the PDF library. See README, Settings.")
    folder = paper_folder()
    folder.mkdir(mode=0o700, exist_ok=True)
    for old in folder.glob("*.pdf"):
        if now.timestamp() - old.stat().st_mtime > KEPT_FOR.total_seconds():
            old.unlink(missing_ok=True)
    made = folder / f"{key}.pdf"
    made.write_bytes(pdf)
    made.chmod(0o600)
    return lambda: {"orders": len(parcels), "what": what}


def paper_file(key: UUID) -> Path | None:
    """The document of a tap, if it was made and is still kept."""
    found = paper_folder() / f"{key}.pdf"
    return found if found.is_file() else None


def paper_folder() -> Path:
    """Where documents are kept for a day: they hold addresses, so only the studio reads them."""
    return Path(settings.SHARED_DIR) / "papers"
