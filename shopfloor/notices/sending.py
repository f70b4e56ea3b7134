"""Sending what is to be told: put together for each person, handed over once, tried again after a failure.

A letter is taken by a conditional update under a lease, as a job is. It is marked before it is handed over,
and again once the mail server has taken it; from then on it is never sent again. Where the worker died in
between it is not known whether it arrived: such a letter is not sent again by itself, and its page says so.
What the server refuses, or does not answer, goes again after a pause, under the same message id.
"""

from __future__ import annotations

import logging
import smtplib
from collections.abc import Callable
from datetime import datetime, timedelta
from typing import Any
from uuid import uuid4
from zoneinfo import ZoneInfo

from django.conf import settings
from django.core.mail import EmailMultiAlternatives, get_connection
from django.db import IntegrityError, transaction
from django.db.models import F

from inventory.ports import StudioFacts
from shopfloor.notices.mail_times import is_due, is_quiet
from shopfloor.notices.mail_wishes import how, wishes_that_count
from shopfloor.notices.mail_words import confirming_letter, notices_letter
from shopfloor.notices.models import How, Letter, MailWish, ToTell

logger = logging.getLogger(__name__)

# After each failed try; given up when there is none left, most of a day later.
PAUSES = tuple(timedelta(minutes=minutes) for minutes in (1, 5, 15, 60, 180, 360, 720))
ASK_SECONDS = 5
KEPT_FOR = timedelta(days=30)
Clock = Callable[[], datetime]
Tell = Callable[[int, int], None]


def send_letters(*, clock: Clock, facts: StudioFacts, tell: Tell) -> dict[str, int]:
    """Send every letter that is due; answers how many went and how many did not.

    Changes: letters, and what was told. Safe to run twice, by two at once, late, and after a kill: what was
    left under way is settled first, and what has piled up goes as one letter for each person.
    """
    counts = {"sent": 0, "not_sent": 0}
    if not settings.EMAIL_IS_SET:
        return counts
    _settle_left_behind(now=clock())
    zone = ZoneInfo(settings.TIME_ZONE)
    make_letters(now=clock(), zone=zone)
    due = [letter.pk for letter in _letters_due(clock(), zone)]
    for done, letter_id in enumerate(due):
        letter = _take(letter_id, now=clock())
        if letter is not None and (message := _put_together(letter, facts)) is not None:
            counts["sent" if _hand_over(letter, message, clock) else "not_sent"] += 1
        tell(done + 1, len(due))
    Letter.objects.filter(ended_at__lt=clock() - KEPT_FOR).delete()
    return counts


def make_letters(*, now: datetime, zone: ZoneInfo) -> None:
    """Put what each person is due to hear into their letter, one that waits already or a new one.

    What came and went before it was due is only counted; alone it makes no letter.
    Changes: letters and what they tell. A fixed number of statements for each person who is due something.
    """
    wishes = {wish.user_id: wish for wish in wishes_that_count()}
    waiting: dict[int, list[ToTell]] = {}
    for row in ToTell.objects.filter(letter__isnull=True).select_related("notice"):
        waiting.setdefault(row.person_id, []).append(row)
    for person_id, rows in waiting.items():
        wish = wishes.get(person_id)
        unwanted = [row for row in rows if wish is None or how(wish, row.notice.kind) == How.NONE]
        if unwanted:
            ToTell.objects.filter(pk__in=[row.pk for row in unwanted]).delete()
        if wish is not None:
            _make_letter(wish, [row for row in rows if row not in unwanted], now=now, zone=zone)


def _make_letter(wish: MailWish, rows: list[ToTell], *, now: datetime, zone: ZoneInfo) -> None:
    due = [row for row in rows if _is_due(wish, row, now, zone)]
    if not due:
        return
    ids = ToTell.objects.filter(pk__in=[row.pk for row in due], letter__isnull=True)
    if all(row.notice.closed_at is not None for row in due):
        ids.delete()
        return
    try:
        with transaction.atomic():
            letter, _ = Letter.objects.get_or_create(
                person_id=wish.user_id,
                kind=Letter.Kind.NOTICES,
                state__in=Letter.OPEN,
                defaults={"state": Letter.State.WAITING, "made_at": now, "try_at": now},
            )
            # One that is under way has its words already: what is new waits for the next.
            letter = Letter.objects.select_for_update().get(pk=letter.pk)
            if letter.state == Letter.State.WAITING:
                ids.update(letter=letter)
                if letter.attempts:
                    # It says more than the one that may have arrived unanswered, so it is another e-mail.
                    Letter.objects.filter(pk=letter.pk).update(mark=uuid4())
    except IntegrityError:
        logger.info("a letter to the same person was made at the same moment")


def _is_due(wish: MailWish, row: ToTell, now: datetime, zone: ZoneInfo) -> bool:
    return is_due(
        at_once=how(wish, row.notice.kind) == How.AT_ONCE,
        made_at=row.made_at,
        now=now,
        digest_at=wish.digest_at,
        quiet_from=wish.quiet_from,
        quiet_until=wish.quiet_until,
        zone=zone,
    )


def _letters_due(now: datetime, zone: ZoneInfo) -> list[Letter]:
    """Letters to be tried now; those with notices not in the quiet hours. Two queries."""
    wishes = {wish.user_id: wish for wish in wishes_that_count()}
    clock = now.astimezone(zone).time()
    found = []
    for letter in Letter.objects.filter(state=Letter.State.WAITING, try_at__lte=now).order_by("id"):
        wish = wishes.get(letter.person_id)
        quiet = wish is not None and is_quiet(clock, wish.quiet_from, wish.quiet_until)
        if letter.kind == Letter.Kind.CONFIRM or not quiet:
            found.append(letter)
    return found


def _settle_left_behind(*, now: datetime) -> None:
    """Letters whose sender died: not handed over yet, they wait again; else it is not known."""
    deserted = Letter.objects.filter(lease_until__lt=now)
    deserted.filter(state=Letter.State.TAKEN).update(state=Letter.State.WAITING, lease_until=None)
    deserted.filter(state=Letter.State.HANDING).update(
        state=Letter.State.DOUBT,
        lease_until=None,
        ended_at=now,
        fault="The studio stopped while it was handed over. It may have arrived.",
    )


def _take(letter_id: int, *, now: datetime) -> Letter | None:
    token = uuid4()
    taken = Letter.objects.filter(pk=letter_id, state=Letter.State.WAITING, try_at__lte=now).update(
        state=Letter.State.TAKEN,
        lease_token=token,
        lease_until=now + timedelta(seconds=settings.JOB_LEASE_SECONDS),
        attempts=F("attempts") + 1,
    )
    return Letter.objects.get(pk=letter_id) if taken else None


def _put_together(letter: Letter, facts: StudioFacts) -> EmailMultiAlternatives | None:
    """The e-mail as things stand now; None, and no letter any more, where nothing is left to say."""
    if letter.kind == Letter.Kind.CONFIRM:
        unsure = MailWish.objects.filter(user__is_active=True, confirmed_at__isnull=True).exclude(address="")
        wish = unsure.select_related("user").filter(user=letter.person_id).first()
        if wish is not None:
            return confirming_letter(wish, facts=facts, mark=letter.mark)
    else:
        wish = wishes_that_count().filter(user=letter.person_id).first()
        notices = [row.notice for row in letter.lines.select_related("notice")]
        told = [notice for notice in notices if notice.closed_at is None]
        if wish is not None and told:
            gone = len(notices) - len(told)
            return notices_letter(wish, told, gone, facts=facts, mark=letter.mark)
    ToTell.objects.filter(letter=letter).delete()
    letter.delete()
    return None


def answer_of_mail_server() -> str:
    """What is wrong with the way to the mail server, "" where it lets us in."""
    line = get_connection(timeout=ASK_SECONDS)
    try:
        line.open()
        line.close()
    except (OSError, smtplib.SMTPException) as fault:
        return _words(fault)
    return ""


def _hand_over(letter: Letter, message: EmailMultiAlternatives, clock: Clock) -> bool:
    """Give it to the mail server; answers whether the server has taken it."""
    mine = Letter.objects.filter(pk=letter.pk, lease_token=letter.lease_token)
    line = get_connection()
    try:
        line.open()
        if not mine.filter(state=Letter.State.TAKEN).update(
            state=Letter.State.HANDING, said=message.subject[:200]
        ):
            return False
        message.connection = line
        message.send()
    except (OSError, smtplib.SMTPException) as fault:
        _put_back(letter, fault, now=clock())
        return False
    finally:
        line.close()
    mine.update(state=Letter.State.SENT, ended_at=clock(), lease_until=None, fault="")
    return True


def _put_back(letter: Letter, fault: Exception, *, now: datetime) -> None:
    """Try it again after a pause, or give it up: at once when the server refuses the address for good."""
    logger.warning("an e-mail was not sent on attempt %s: %s", letter.attempts, type(fault).__name__)
    gives_up = letter.attempts > len(PAUSES) or _is_for_good(fault)
    changes: dict[str, Any] = {"state": Letter.State.FAILED, "ended_at": now}
    if not gives_up:
        changes = {"state": Letter.State.WAITING, "try_at": now + PAUSES[letter.attempts - 1]}
    Letter.objects.filter(pk=letter.pk, lease_token=letter.lease_token).update(
        fault=_words(fault)[:300], lease_until=None, **changes
    )


def _is_for_good(fault: Exception) -> bool:
    """Whether the answer was a permanent one to the address or the letter. Source: RFC 5321, 4.2.1 (5yz)."""
    if isinstance(fault, smtplib.SMTPRecipientsRefused):
        return all(code >= 500 for code, _ in fault.recipients.values())
    permanent = isinstance(fault, smtplib.SMTPDataError | smtplib.SMTPSenderRefused)
    return permanent and fault.smtp_code >= 500  # type: ignore[attr-defined]


def _words(fault: Exception) -> str:
    """What went wrong, for people."""
    if isinstance(fault, smtplib.SMTPRecipientsRefused):
        code, answer = next(iter(fault.recipients.values()))
        return f"The mail server does not take this address: {code} {_text(answer)}"
    if isinstance(fault, smtplib.SMTPAuthenticationError):
        return f"The mail server does not take the name and password of EMAIL_URL: {fault.smtp_code}"
    if isinstance(fault, smtplib.SMTPResponseException):
        return f"The mail server refused it: {fault.smtp_code} {_text(fault.smtp_error)}"
    return f"The mail server does not answer: {getattr(fault, 'strerror', None) or fault}"


def _text(answer: bytes | str) -> str:
    return answer.decode("utf-8", "replace") if isinstance(answer, bytes) else answer
