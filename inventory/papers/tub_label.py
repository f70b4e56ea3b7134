"""What stands on the label of a tub."""

from __future__ import annotations

from typing import Any

import segno
from django.utils.safestring import mark_safe

from inventory.queries.containers import TubPage
from inventory.queries.wording import alike, level_in_words

DUST = "Mask on. Dust harms lungs. Keep shut and dry. See the safety data sheet."
CARE = "See the safety data sheet."


def label_of(tub: TubPage, *, site_address: str) -> dict[str, Any]:
    """The context of the label: the code large, what it holds, and a QR code to its page.

    Source: QR code by ISO/IEC 18004, error correction level M, quiet zone left to the paper's margin.
    """
    empty = alike("g", tub.tare_mg, tub.capacity)[0] if tub.unit == "g" else ""
    # The library writes numbers only; nothing typed by a person is in it.
    qr = segno.make(f"{site_address}/t/{tub.code}", error="m", micro=False)
    return {
        "tub": tub,
        "empty": empty,
        "full": level_in_words(tub.capacity, tub.unit),
        "caution": DUST if tub.kind in ("powder", "pigment") else CARE,
        "qr": mark_safe(qr.svg_inline(border=0, omitsize=True, svgclass=None, lineclass=None)),
    }
