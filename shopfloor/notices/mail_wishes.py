"""What people want by e-mail: kept, confirmed, and written down with each notice that opens."""

from __future__ import annotations

from collections.abc import Collection
from datetime import datetime, timedelta
from typing import Any

from django.conf import settings
from django.contrib.auth.models import Group, User
from django.core import signing
from django.db import transaction
from django.db.models import Exists, OuterRef, QuerySet

from inventory.errors import StudioError
from inventory.operations.acts import Done, Tap, act
from inventory.roles import OWNER_GROUP
from shopfloor.jobs.operations import ask
from shopfloor.notices.models import How, Letter, MailWish, Notice, ToTell

SEND = "send letters"
SALT, OFF_SALT = "shopfloor.notices.confirm", "shopfloor.notices.off"
LINK_DAYS = 3
# So that nobody fills somebody's letter box by tapping.
ASK_AGAIN_AFTER = timedelta(minutes=1)

KINDS_OF_GROUP: dict[str, tuple[str, ...]] = {
    "hands": (Notice.Kind.OPEN_MOULD, Notice.Kind.DRY, Notice.Kind.COAT, Notice.Kind.CURED),
    "orders": (Notice.Kind.AT_RISK,),
    "stores": (Notice.Kind.LOW, Notice.Kind.DELIVERY, Notice.Kind.OPENED_LIFE, Notice.Kind.MOULD_END),
    "studio": (Notice.Kind.BACKUP,),
}
GROUP_OF_KIND = {kind: group for group, kinds in KINDS_OF_GROUP.items() for kind in kinds}
OWNERS_GROUP = "studio"


class LinkNotGood(StudioError):
    """A link that confirms no address (any more)."""


class NoMail(StudioError):
    """The studio has no outgoing mail."""


def wishes_that_count() -> QuerySet[MailWish]:
    """Wishes of people who may sign in and whose address is confirmed, with `is_owner`."""
    owners = Group.objects.filter(name=OWNER_GROUP, user=OuterRef("user"))
    return (
        MailWish.objects.filter(user__is_active=True, confirmed_at__isnull=False)
        .select_related("user")
        .annotate(is_owner=Exists(owners))
    )


def how(wish: MailWish, kind: str) -> str:
    """How this person wants to hear of a kind of notice; the copies of everything are the owner's."""
    group = GROUP_OF_KIND.get(kind, "")
    if not group or (group == OWNERS_GROUP and not wish.is_owner):  # type: ignore[attr-defined]
        return How.NONE
    return str(getattr(wish, group))


def note_to_tell(causes: Collection[str], *, now: datetime) -> None:
    """Write down who is to hear of the notices that just opened. Called in the transaction that opens them.

    Changes: one row for each notice and person who wants it. Again: nothing more. Three statements at most.
    """
    wishes = list(wishes_that_count()) if causes else []
    if not wishes:
        return
    opened = Notice.objects.filter(cause__in=causes, closed_at__isnull=True)
    rows = [
        ToTell(notice=notice, person_id=wish.user_id, made_at=notice.opened_at)
        for notice in opened
        for wish in wishes
        if how(wish, notice.kind) != How.NONE
    ]
    ToTell.objects.bulk_create(rows, ignore_conflicts=True)
    if rows:
        ask(SEND, SEND, {}, now=now)


def letters_wait() -> bool:
    """Whether anything is to be told or on its way. Two queries at most."""
    return (
        Letter.objects.filter(state__in=Letter.OPEN).exists()
        or ToTell.objects.filter(letter__isnull=True).exists()
    )


@act("studio.keep_mail")
def keep_mail(tap: Tap, *, user_id: int, values: dict[str, Any]) -> Done:
    """Keep what a person wants by e-mail. Another address is to be confirmed by the link sent to it.

    Changes: the person's row; with another address, letters that were not sent are dropped and one with the
    link is written. Again: the first answer.
    Raises: NoMail.
    """
    User.objects.select_for_update().get(pk=user_id)
    before = MailWish.objects.filter(user=user_id).first()
    is_new = values["address"] != (before.address if before else "")
    MailWish.objects.update_or_create(user_id=user_id, defaults=values)
    if not is_new:
        return Done("What comes by e-mail is kept.")
    Letter.objects.filter(person=user_id).exclude(state=Letter.State.SENT).delete()
    if not values["address"]:
        _send_nothing(user_id)
        return Done("Kept. Nothing goes to you by e-mail any more.")
    _ask_to_confirm(user_id, now=tap.now)
    return Done(
        "Address kept. Open the link in the e-mail that is on its way, so that it is known to be yours."
    )


@act("studio.ask_to_confirm")
def ask_to_confirm(tap: Tap, *, user_id: int) -> Done:
    """Send the link that confirms the address anew; the one before stops working.

    Changes: the person's row, and a letter. Again: the first answer.
    Raises: NoMail; LinkNotGood when there is nothing to confirm, or a link went out just now.
    """
    User.objects.select_for_update().get(pk=user_id)
    wish = MailWish.objects.filter(user=user_id, confirmed_at__isnull=True).exclude(address="").first()
    if wish is None:
        raise LinkNotGood("There is no address to confirm. Type one first.")
    if wish.asked_at is not None and tap.now - wish.asked_at < ASK_AGAIN_AFTER:
        raise LinkNotGood(
            "A link went out within the last minute. Wait for it, and look among unwanted mail."
        )
    Letter.objects.filter(person=user_id, kind=Letter.Kind.CONFIRM).exclude(state=Letter.State.SENT).delete()
    _ask_to_confirm(user_id, now=tap.now)
    return Done("Another link is on its way. The one before no longer works.")


@act("studio.send_letter_again")
def send_again(tap: Tap, *, user_id: int, letter_id: int) -> Done:
    """Send a letter again that was given up, or of which it is not known whether it arrived.

    Changes: the letter waits again. Again: the first answer.
    Raises: NoMail; LinkNotGood when it is on its way already, or gone.
    """
    _need_mail()
    User.objects.select_for_update().get(pk=user_id)
    mine = Letter.objects.filter(person=user_id)
    found = mine.filter(pk=letter_id, state__in=(Letter.State.FAILED, Letter.State.DOUBT)).first()
    if found is None:
        raise LinkNotGood("That e-mail is not waiting to be sent again. Open the page again.")
    if mine.filter(kind=found.kind, state__in=Letter.OPEN).exists():
        raise LinkNotGood("A newer e-mail is on its way already. It says what still stands.")
    mine.filter(pk=letter_id).update(
        state=Letter.State.WAITING, try_at=tap.now, attempts=0, ended_at=None, fault=""
    )
    ask(SEND, SEND, {}, now=tap.now)
    return Done("It is on its way again.")


def _ask_to_confirm(user_id: int, *, now: datetime) -> None:
    _need_mail()
    MailWish.objects.filter(user=user_id).update(asked_at=now, confirmed_at=None)
    Letter.objects.create(person_id=user_id, kind=Letter.Kind.CONFIRM, made_at=now, try_at=now)
    ask(SEND, SEND, {}, now=now)


def _send_nothing(user_id: int) -> None:
    MailWish.objects.filter(user=user_id).update(address="", asked_at=None, confirmed_at=None)
    Letter.objects.filter(person=user_id).exclude(state=Letter.State.SENT).delete()
    ToTell.objects.filter(person=user_id, letter__isnull=True).delete()


def _need_mail() -> None:
    if not settings.EMAIL_IS_SET:
        raise NoMail(
            "This studio has no outgoing mail yet: set EMAIL_URL and start it again.", field="address"
        )


def confirming_token(wish: MailWish) -> str:
    """What the link has in it: whose address it is, signed. It is kept nowhere, so no copy can forge one."""
    asked = wish.asked_at.isoformat() if wish.asked_at else ""
    return signing.dumps([wish.user_id, wish.address, asked], salt=SALT)


def confirm(token: str, *, now: datetime) -> str:
    """The address a link confirms, once.

    Changes: the person's row, by one conditional update.
    Raises: LinkNotGood.
    """
    try:
        user_id, address, asked = signing.loads(token, salt=SALT, max_age=timedelta(days=LINK_DAYS))
    except signing.SignatureExpired:
        raise LinkNotGood(f"This link was good for {LINK_DAYS} days. Ask for a new one.") from None
    except signing.BadSignature:
        raise LinkNotGood("This link is not whole. Copy all of it from the e-mail.") from None
    asked_at = datetime.fromisoformat(asked)
    mine = MailWish.objects.filter(user=user_id, address=address, asked_at=asked_at)
    if not mine.filter(confirmed_at__isnull=True).update(confirmed_at=now):
        raise LinkNotGood("This link was used before, or a newer one was sent.")
    return str(address)


def off_token(wish: MailWish) -> str:
    """What the link at the end of each e-mail has in it: whose address gets no more of them, signed."""
    return signing.dumps([wish.user_id, wish.address], salt=OFF_SALT)


def address_to_end(token: str) -> str:
    """The address that the link of an e-mail ends; its link is good as long as the e-mail is kept.

    Raises: LinkNotGood.
    """
    return _to_end(token)[1]


@transaction.atomic
def end_mail(token: str) -> str:
    """Send nothing more to the address that the link of an e-mail names; answers it.

    Changes: the person's row, and letters that were not sent; nothing where the person has another address by
    now. Again: nothing more.
    Raises: LinkNotGood.
    """
    user_id, address = _to_end(token)
    User.objects.select_for_update().filter(pk=user_id).first()
    if MailWish.objects.filter(user=user_id, address=address).exists():
        _send_nothing(user_id)
    return address


def _to_end(token: str) -> tuple[int, str]:
    try:
        user_id, address = signing.loads(token, salt=OFF_SALT)
    except signing.BadSignature:
        raise LinkNotGood("This link is not whole. Copy all of it from the e-mail.") from None
    return int(user_id), str(address)
