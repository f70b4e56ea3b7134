"""What stands on the label of a mould copy."""

from __future__ import annotations

from typing import Any

import segno
from django.utils.safestring import mark_safe

from production.queries.wording import span_words


def label_of(copy: Any, *, site_address: str) -> dict[str, Any]:
    """The context of the label of a copy as `copy_row` gives it, with a QR code to its mould's page.

    Source: QR code by ISO/IEC 18004, error correction level M, quiet zone left to the paper's margin.
    """
    # The library writes numbers only; nothing typed by a person is in it.
    qr = segno.make(f"{site_address}/m/{copy.pk}", error="m", micro=False)
    return {
        "copy": copy,
        "mould": copy.mould,
        "dries": span_words(copy.mould.clean_and_dry_minutes),
        "qr": mark_safe(qr.svg_inline(border=0, omitsize=True, svgclass=None, lineclass=None)),
    }
