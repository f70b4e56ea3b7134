"""What stands on a packing slip. No prices."""

from __future__ import annotations

from dataclasses import dataclass

from django.utils.safestring import SafeString

from inventory.drawings.shapes import Picture
from orders.arithmetic.paging import SIZES, SlipPage
from orders.arithmetic.paging import slip_pages as laid_out
from orders.papers.codes import qr_of
from orders.queries.parcels import PaperParcel
from production.drawings.mould_to_piece import wave_rule


@dataclass(frozen=True)
class Slip:
    """A slip of one or more pages, with its code to the order and the wave under its head."""

    parcel: PaperParcel
    size: str
    pages: tuple[SlipPage, ...]
    qr: SafeString
    wave: Picture


def slip_of(parcel: PaperParcel, *, size: str, site_address: str) -> Slip:
    """The slip of a parcel; `size` a5, l46 (4 x 6 inches), a4 or letter."""
    pages = laid_out(
        parcel.lines,
        parcel.gift_message,
        SIZES[size],
        address=parcel.window.lines,
        follows=parcel.follows,
    )
    return Slip(
        parcel=parcel,
        size=size,
        pages=pages,
        qr=qr_of(site_address, "o", parcel.number),
        wave=wave_rule(),
    )
