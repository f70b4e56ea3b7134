"""What taking a file of the opening content in would do."""

from __future__ import annotations

import hashlib
from collections.abc import Collection
from dataclasses import dataclass, replace
from datetime import date

from inventory.arithmetic.csv_text import decode, read_csv
from inventory.arithmetic.opening_rows import (
    KnownMaterial,
    KnownTub,
    OpeningContent,
    RowFault,
    Surroundings,
    read_opening,
)
from inventory.errors import FileNotRead
from inventory.models import Container, Material, OpeningRow
from inventory.queries.choosing import with_holdings

BYTES_MOST = 300_000


@dataclass(frozen=True)
class OpeningPreview:
    """A file sorted: rows that would be kept, rows that are here already, and what to mend in the others."""

    name: str
    new: tuple[OpeningContent, ...]
    here: tuple[OpeningContent, ...]
    faults: tuple[RowFault, ...]
    guessed_days: bool

    @property
    def new_materials(self) -> list[str]:
        """The materials that the file brings."""
        return sorted({row.material for row in self.new if row.material_id is None})

    @property
    def shown(self) -> str:
        """Name of exactly what would be kept."""
        return hashlib.sha256(repr(self.new).encode()).hexdigest()

    def chosen(self, rows: Collection[int]) -> list[OpeningContent]:
        """Those of the new rows that were chosen by number."""
        return [row for row in self.new if row.row in rows]


def opening_preview(name: str, content: bytes, *, currency: str, today: date) -> OpeningPreview:
    """Read an uploaded file against what the studio has. Five queries.

    Raises: FileNotRead when it is too large, not text, or no table of this kind.
    """
    if len(content) > BYTES_MOST:
        raise FileNotRead(
            f"The file has {len(content) // 1000} kB, and {BYTES_MOST // 1000} kB are read at once."
            " Split it.",
            reason="too large",
        )
    return preview_of_text(name, decode(content).text, currency=currency, today=today)


def preview_of_text(name: str, text: str, *, currency: str, today: date) -> OpeningPreview:
    """The same for a file that is text already. Five queries.

    Raises: FileNotRead.
    """
    materials = {
        row.name.lower(): KnownMaterial(row.pk, row.unit)
        for row in Material.objects.filter(retired_on__isnull=True)
    }
    around = Surroundings(
        materials=materials,
        put_away=frozenset(
            name.lower()
            for name in Material.objects.filter(retired_on__isnull=False).values_list("name", flat=True)
        ),
        tubs={
            tub.code: KnownTub(
                tub.material.name.lower(), tub.capacity - tub.held, not tub.held, tub.retired_on is not None
            )
            for tub in with_holdings(Container.objects.all())
        },
        kinds=frozenset(Material.Kind.values),
        currency=currency,
        today=today,
    )
    # What is here already is looked for first, since its tub is taken by itself.
    free = read_opening(read_csv(text), _without_tubs(around))
    here_digests = set(
        OpeningRow.objects.filter(digest__in=[row.digest for row in free.rows]).values_list(
            "digest", flat=True
        )
    )
    here = tuple(row for row in free.rows if row.digest in here_digests)
    here_rows = {row.row for row in here}
    read = read_opening(read_csv(text), around)
    return OpeningPreview(
        name=name[:120],
        new=tuple(row for row in read.rows if row.row not in here_rows),
        here=here,
        faults=tuple(fault for fault in read.faults if fault.row not in here_rows),
        guessed_days=read.guessed_days,
    )


def _without_tubs(around: Surroundings) -> Surroundings:
    return replace(around, tubs={})
