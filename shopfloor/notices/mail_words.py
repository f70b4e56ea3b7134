"""What an e-mail says: plain text, the same as simple HTML, and where to change what comes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from urllib.parse import urlsplit
from uuid import UUID

from django.core.mail import EmailMultiAlternatives
from django.template.loader import render_to_string
from django.urls import reverse

from inventory.ports import StudioFacts
from shopfloor.notices.mail_wishes import LINK_DAYS, confirming_token, off_token
from shopfloor.notices.models import MailWish, Notice

LINES_MOST = 40
SUBJECT_LETTERS = 120


@dataclass(frozen=True)
class Line:
    """One notice in an e-mail: its sentence and the whole address of where to answer it."""

    text: str
    link: str


def notices_letter(
    wish: MailWish, told: Sequence[Notice], gone: int, *, facts: StudioFacts, mark: UUID
) -> EmailMultiAlternatives:
    """The e-mail that tells of notices that stand, and how many came and went before it was sent."""
    site = facts.site_address.rstrip("/")
    lines = [Line(notice.text, site + notice.link if notice.link else "") for notice in told]
    subject = lines[0].text if len(lines) == 1 else f"{len(lines)} notices"
    shown = {
        "name": facts.name,
        "heading": "One notice" if len(lines) == 1 else f"{len(lines)} notices",
        "lines": lines[:LINES_MOST],
        "more": max(0, len(lines) - LINES_MOST),
        "gone": gone,
        "all_of_them": site + reverse("notices"),
        "wishes": site + reverse("mail"),
        "end": site + reverse("mail-end", args=[off_token(wish)]),
    }
    return _letter(wish, subject, "notices", shown, facts=facts, mark=mark)


def confirming_letter(wish: MailWish, *, facts: StudioFacts, mark: UUID) -> EmailMultiAlternatives:
    """The e-mail with the link that confirms the address it goes to."""
    site = facts.site_address.rstrip("/")
    link = site + reverse("mail-confirm", args=[confirming_token(wish)])
    shown = {"name": facts.name, "link": link, "days": LINK_DAYS, "person": wish.user.get_username()}
    shown |= {"end": site + reverse("mail-end", args=[off_token(wish)])}
    return _letter(wish, "Is this your address?", "confirm", shown, facts=facts, mark=mark)


def _letter(
    wish: MailWish, subject: str, template: str, shown: dict[str, object], *, facts: StudioFacts, mark: UUID
) -> EmailMultiAlternatives:
    """Headers: RFC 5322 (message id), RFC 2369 and 8058 (where to end it), RFC 3834 (no person wrote it).

    A mail program's own button to end it wants an encrypted address.
    """
    one_line = " ".join(f"{facts.name}: {subject}".split())
    is_encrypted = facts.site_address.startswith("https://")
    host = urlsplit(facts.site_address).hostname or "localhost"
    message = EmailMultiAlternatives(
        subject=one_line[:SUBJECT_LETTERS],
        body=render_to_string(f"mail/{template}.txt", shown),
        to=[wish.address],
        headers={
            "Message-ID": f"<{mark}@{host}>",
            "List-Unsubscribe": f"<{shown['end']}>",
            **({"List-Unsubscribe-Post": "List-Unsubscribe=One-Click"} if is_encrypted else {}),
            "Auto-Submitted": "auto-generated",
        },
    )
    message.attach_alternative(render_to_string(f"mail/{template}.html", shown), "text/html")
    return message
