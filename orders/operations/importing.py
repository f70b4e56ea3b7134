"""From an order file to orders: read, choose, keep. Only the last step changes the studio's tables."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Mapping, Sequence
from datetime import date, datetime

from django.conf import settings
from django.db.models import F
from django.utils.timezone import localdate

from inventory.arithmetic.csv_text import CsvText, decode, read_csv
from inventory.errors import FileNotRead
from inventory.operations.acts import Done, Tap, act
from orders.arithmetic.reading.file_orders import FileOrder
from orders.arithmetic.reading.headings import FIELD_NAMED, heading_digest, missing_fields
from orders.arithmetic.reading.names import LearnedNames, RangeNames, plain_name
from orders.arithmetic.reading.rows import Telling
from orders.errors import NothingToKeep, StalePreview
from orders.models import ColumnMapping, OrderFile
from orders.operations.assigning import offer_pieces
from orders.operations.keeping import NewOrder, keep_orders
from orders.operations.uploads import Upload, keep_upload, load_upload, save_upload
from orders.queries.preview import Choices, Preview, known_columns, learned_names, preview, wants_columns
from orders.queries.range_names import range_names
from orders.queries.wording import counted

ROWS_MOST = 100_000
ENCODINGS = {
    "utf-8": "UTF-8",
    "cp1252": "Windows, western Europe",
    "cp1250": "Windows, central Europe",
    "cp1251": "Windows, Cyrillic",
    "cp1253": "Windows, Greek",
    "cp1254": "Windows, Turkish",
    "mac-roman": "Mac, western Europe",
    "cp850": "DOS, western Europe",
    "shift_jis": "Shift JIS, Japanese",
    "gb18030": "GB 18030, Chinese",
    "latin-1": "sign for sign",
}


def read_file(*, name: str, content: bytes, now: datetime) -> Upload:
    """Take an uploaded file in for its next steps. Nothing is kept in the studio's tables.

    Raises: FileNotRead when it is too large, not text, or has no rows.
    """
    most = settings.ORDER_FILE_MOST_BYTES
    if len(content) > most:
        raise FileNotRead(
            f"The file has {len(content) / 1e6:.1f} MB, and {most / 1e6:.1f} MB are read at once. Split it.",
            reason="too large",
            field="file",
        )
    decoded = decode(content)
    text = read_csv(decoded.text, rows_most=ROWS_MOST)
    upload = keep_upload(
        name=name[:120],
        digest=hashlib.sha256(content).hexdigest(),
        text=decoded.text,
        encoding=decoded.encoding,
        now=now,
    )
    upload.columns, upload.rows = known_columns(text), len(text.rows)
    save_upload(upload)
    return upload


def read_otherwise(*, token: str, encoding: str = "", days: str = "") -> Upload:
    """Read a file in another encoding, and its days as said: "day", "month", or "" as the file tells.

    Raises: UploadGone; FileNotRead when the file is not in that encoding.
    """
    upload = load_upload(token)
    upload.day_first = {"day": True, "month": False}.get(days)
    if encoding and encoding != upload.encoding:
        try:
            upload.text = upload.text.encode(upload.encoding).decode(encoding)
        except UnicodeError:
            raise FileNotRead(
                f"The file is not in {ENCODINGS.get(encoding, encoding)}. Choose another.",
                reason="encoding",
                field="encoding",
            ) from None
        upload.encoding = encoding
    save_upload(upload)
    return upload


def set_columns(*, token: str, columns: Mapping[str, Sequence[str]]) -> Upload:
    """Say which column holds what.

    Raises: UploadGone; FileNotRead when a needed column is missing or one column would mean two things.
    """
    upload = load_upload(token)
    chosen = {field: [one for one in found if one] for field, found in columns.items() if any(found)}
    missing = missing_fields(chosen)
    if missing:
        label = missing[0].label.lower()
        raise FileNotRead(f"Choose the column for {label}.", reason="columns", field=missing[0].name)
    used: dict[str, str] = {}
    for field, headings in chosen.items():
        for heading in headings:
            if heading in used:
                raise FileNotRead(
                    f'"{heading}" is {FIELD_NAMED[used[heading]].label.lower()} already. Choose another.',
                    reason="columns",
                    field=field,
                )
            used[heading] = field
    upload.columns = chosen
    save_upload(upload)
    return upload


def learn_name(*, token: str, kind: str, text: str, means: int) -> Upload:
    """Say what an unknown article or colour name of the file means; `kind` is articles or colours."""
    upload = load_upload(token)
    known = upload.articles if kind == "articles" else upload.colours
    known[plain_name(text)] = means
    save_upload(upload)
    return upload


def mend_cell(*, token: str, rows: Sequence[int], field: str, text: str) -> Upload:
    """Say what stands in a field of these rows instead of what the file says."""
    upload = load_upload(token)
    for row in rows:
        upload.mends.setdefault(row, {})[field] = text
    save_upload(upload)
    return upload


def leave_rows_out(*, token: str, rows: Sequence[int], back: bool = False) -> Upload:
    """Leave rows out of what is kept, or take them back in."""
    upload = load_upload(token)
    upload.left_out = sorted({*upload.left_out} - {*rows} if back else {*upload.left_out, *rows})
    save_upload(upload)
    return upload


def preview_of(
    upload: Upload, *, today: date, tell: Telling | None = None
) -> tuple[CsvText, RangeNames, Preview]:
    """The file taken apart, the names of the range, and what keeping it would do. Seven queries.

    `tell` hears how many rows are read.
    """
    text = read_csv(upload.text, rows_most=ROWS_MOST)
    names = range_names()
    before = learned_names(text)
    learned = LearnedNames(
        articles={**before.articles, **upload.articles}, colours={**before.colours, **upload.colours}
    )
    choices = Choices(upload.columns, learned, upload.mends, tuple(upload.left_out), upload.day_first)
    return text, names, preview(text, choices, names, digest=upload.digest, today=today, tell=tell)


@act("orders.keep_file")
def keep_file(
    tap: Tap, *, token: str, shown: str, read: Callable[[], tuple[CsvText, Preview]] | None = None
) -> Done:
    """Keep every new and whole order of an uploaded file; `shown` names what the page showed.

    `read` gives the file as it was read a moment ago, where that takes long; without it, it is read here.

    Columns and names are remembered for files with the same heading row. Orders that are here already are
    left as they are, and orders with a bad row stay out as a whole.

    Changes: orders_customer, orders_order, orders_orderline, orders_orderfile, orders_columnmapping; pieces
    are kept for the new lines.
    Again: the first answer; no order twice.
    Raises: UploadGone; StalePreview when something changed since the page was shown; NothingToKeep.
    """
    upload = load_upload(token)
    if wants_columns(upload.columns):
        raise NothingToKeep("Say first which column holds what.")
    if read:
        text, seen = read()
    else:
        text, _, seen = preview_of(upload, today=localdate(tap.now))
    if not seen.sorted.new:
        raise NothingToKeep("No order of this file is new and whole. Nothing was added.")
    if seen.sorted.digest != shown:
        raise StalePreview("Something changed since this page was shown. Look again, then keep.")
    kept = keep_orders([_new_order(order) for order in seen.sorted.new])
    _remember(text, upload)
    file_id = _note_file(upload, len(kept), seen.sorted.new_rows, tap.now)
    offer_pieces(now=tap.now, sorts={sort for order in seen.sorted.new for sort in order.wanted})
    said = f"{upload.name}: {counted(len(kept), 'order')}, {counted(seen.sorted.new_rows, 'row')} kept."
    waiting = len(seen.sorted.to_mend)
    if waiting:
        said += f" {counted(waiting, 'order')} with a row to mend stayed out."
    facts = {
        "order_ids": [order.pk for order in kept],
        "rows": seen.sorted.new_rows,
        "file_id": file_id,
    }
    return Done(said, facts)


def _new_order(order: FileOrder) -> NewOrder:
    assert order.ship_by is not None
    return NewOrder(
        number=order.number,
        customer=order.customer,
        address=order.address,
        ordered_on=order.ordered_on,
        ship_by=order.ship_by,
        note=order.note,
        gift_message=order.gift_message,
        came_from=order.came_from,
        lines=tuple((article, colour, quantity) for (article, colour), quantity in order.wanted.items()),
        seconds=order.seconds or (),
        weight=order.weight or 1,
    )


def _remember(text: CsvText, upload: Upload) -> None:
    mapping, _ = ColumnMapping.objects.select_for_update().get_or_create(
        header_digest=heading_digest(text.headings), defaults={"columns": upload.columns}
    )
    mapping.columns = upload.columns
    mapping.names = {
        "articles": {**mapping.names.get("articles", {}), **upload.articles},
        "colours": {**mapping.names.get("colours", {}), **upload.colours},
    }
    mapping.save()


def _note_file(upload: Upload, orders: int, rows: int, now: datetime) -> int:
    """The file's own row; a file kept in two goes adds up."""
    noted, is_first = OrderFile.objects.get_or_create(
        digest=upload.digest,
        defaults={"name": upload.name, "imported_at": now, "orders_count": orders, "rows_count": rows},
    )
    if not is_first:
        OrderFile.objects.filter(pk=noted.pk).update(
            orders_count=F("orders_count") + orders, rows_count=F("rows_count") + rows, imported_at=now
        )
    return int(noted.pk)
