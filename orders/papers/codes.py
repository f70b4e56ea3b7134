"""QR codes on the papers of an order: addresses under the studio's own host."""

from __future__ import annotations

from urllib.parse import quote

import segno
from django.utils.safestring import SafeString, mark_safe


def qr_of(site_address: str, kind: str, code: str) -> SafeString:
    """The QR code of an order ("o") or a piece ("p"), as an SVG without a margin.

    Source: ISO/IEC 18004, error correction level M; the quiet zone is the paper's own white.
    """
    address = f"{site_address.rstrip('/')}/{kind}/{quote(code, safe='')}"
    qr = segno.make(address, error="m", micro=False)
    # The library writes numbers only; nothing typed by a person is in it.
    return mark_safe(qr.svg_inline(border=0, omitsize=True, svgclass=None, lineclass=None))
