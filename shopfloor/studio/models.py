"""The studio itself: its name, hours, closed days, and the one-time link that lets the owner in."""

from __future__ import annotations

from django.db import models
from django.db.models import F, Q


class StudioSettings(models.Model):
    """One row: what papers and costs need to know."""

    name = models.CharField(max_length=80, default="The studio")
    address = models.TextField(blank=True)
    contact = models.CharField(max_length=120, blank=True)
    currency = models.CharField(max_length=3, default="GBP")
    hour_rate_minor = models.BigIntegerField(default=1500)
    late_step_days = models.PositiveSmallIntegerField(
        default=2, help_text="a late line counts as this many days more than it is late"
    )
    drying_board_pieces = models.PositiveSmallIntegerField(default=12)
    holidays_of = models.CharField(
        max_length=40, blank=True, help_text="place whose public holidays are closed: GB, GB-SCT"
    )

    country = models.CharField(max_length=2, default="GB", help_text="where parcels are posted from")
    slip_size = models.CharField(max_length=6, default="a5", help_text="packing slips: a5, l46, a4, letter")
    sheet_size = models.CharField(max_length=6, default="a4", help_text="sheets and letters: a4, letter")
    wick_mm = models.PositiveSmallIntegerField(default=6, help_text="trim the wick to")
    forget_after_months = models.PositiveSmallIntegerField(
        null=True, blank=True, help_text="names and addresses so long after the last parcel; empty: never"
    )
    card_language = models.CharField(max_length=12, default="en-GB", help_text="of the own words on cards")
    card_words = models.TextField(blank=True, help_text="own words on care cards: usual line = own words")

    class Meta:
        verbose_name_plural = "studio settings"
        constraints = [models.CheckConstraint(condition=Q(pk=1), name="studio_settings_one_row")]

    def __str__(self) -> str:
        return self.name


class WeeklyHours(models.Model):
    """A stretch of a weekday with hands in."""

    class Weekday(models.IntegerChoices):
        MONDAY = 0, "Monday"
        TUESDAY = 1, "Tuesday"
        WEDNESDAY = 2, "Wednesday"
        THURSDAY = 3, "Thursday"
        FRIDAY = 4, "Friday"
        SATURDAY = 5, "Saturday"
        SUNDAY = 6, "Sunday"

    weekday = models.PositiveSmallIntegerField(choices=Weekday)
    opens = models.TimeField()
    closes = models.TimeField()
    pairs = models.PositiveSmallIntegerField(default=1, help_text="pairs of hands")
    since = models.DateField(null=True, blank=True, help_text="the day they were noted; empty: ever")

    class Meta:
        ordering = ["weekday", "opens"]
        verbose_name_plural = "weekly hours"
        constraints = [
            models.CheckConstraint(condition=Q(closes__gt=F("opens")), name="weekly_hours_close_after_open"),
            models.CheckConstraint(condition=Q(pairs__gt=0), name="weekly_hours_pairs_positive"),
        ]

    def __str__(self) -> str:
        return f"{self.get_weekday_display()} {self.opens:%H:%M} to {self.closes:%H:%M}"


class HoursBefore(models.Model):
    """A stretch of a weekday as it was until it was taken out: what past months had of hands."""

    weekday = models.PositiveSmallIntegerField(choices=WeeklyHours.Weekday)
    opens = models.TimeField()
    closes = models.TimeField()
    pairs = models.PositiveSmallIntegerField()
    since = models.DateField(null=True, blank=True)
    until = models.DateField(help_text="the first day without them")

    class Meta:
        ordering = ["until", "weekday", "opens"]
        verbose_name_plural = "hours before"

    def __str__(self) -> str:
        return f"{self.get_weekday_display()} {self.opens:%H:%M} to {self.closes:%H:%M} until {self.until}"


class ClosedDay(models.Model):
    """A day nobody is in."""

    on = models.DateField(unique=True)
    reason = models.CharField(max_length=80, blank=True)

    class Meta:
        ordering = ["on"]

    def __str__(self) -> str:
        return f"{self.on} {self.reason}".strip()


class WorkedHoliday(models.Model):
    """A public holiday on which somebody is in all the same."""

    on = models.DateField(unique=True)

    class Meta:
        ordering = ["on"]

    def __str__(self) -> str:
        return f"{self.on} in"


class CalendarAddress(models.Model):
    """One row: the secret address at which calendars read what is due. Only a digest of it is kept."""

    secret_digest = models.CharField(max_length=64, unique=True)
    made_at = models.DateTimeField()

    class Meta:
        verbose_name_plural = "calendar addresses"
        constraints = [models.CheckConstraint(condition=Q(pk=1), name="calendar_address_one_row")]

    def __str__(self) -> str:
        return f"calendar address of {self.made_at:%Y-%m-%d %H:%M}"


class FirstOpened(models.Model):
    """One row: by what each of several machines can tell that it has the same secret and folder as the first.

    Of the secret only a digest is kept, with `mark` as its salt; a file of the shared folder holds it too.
    """

    mark = models.UUIDField()
    secret_digest = models.CharField(max_length=64)

    class Meta:
        verbose_name_plural = "first opened"
        constraints = [models.CheckConstraint(condition=Q(pk=1), name="first_opened_one_row")]

    def __str__(self) -> str:
        return f"first opened as {self.mark}"


class SignInLink(models.Model):
    """A link that signs in once. Only the digest of its secret is kept."""

    secret_digest = models.CharField(max_length=64, unique=True)
    user = models.ForeignKey("auth.User", models.CASCADE, related_name="+")
    made_at = models.DateTimeField()
    used_at = models.DateTimeField(null=True, blank=True)

    def __str__(self) -> str:
        return f"sign-in link of {self.made_at:%Y-%m-%d %H:%M}"


class BenchTablet(models.Model):
    """A browser that stands at the bench for all. Only the digest of what it shows of itself is kept."""

    secret_digest = models.CharField(max_length=64, unique=True)
    device = models.CharField(max_length=60)
    made_at = models.DateTimeField()

    class Meta:
        ordering = ["made_at"]

    def __str__(self) -> str:
        return f"bench tablet of {self.made_at:%Y-%m-%d %H:%M}"


class BenchPin(models.Model):
    """The few figures by which somebody is let in at the bench tablet, kept as passwords are."""

    user = models.OneToOneField("auth.User", models.CASCADE, related_name="+", primary_key=True)
    figures = models.CharField(max_length=128, help_text="a hash, never the figures")
    wrong_tries = models.PositiveSmallIntegerField(default=0)
    tried_at = models.DateTimeField(null=True, blank=True)

    def __str__(self) -> str:
        return f"PIN of {self.user_id}"
