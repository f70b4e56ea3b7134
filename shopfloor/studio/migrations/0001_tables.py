"""The tables of the studio: its settings, hours, closed days, sign-in links, calendars, the bench tablet."""

import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):

    initial = True

    dependencies = [
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name='ClosedDay',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('on', models.DateField(unique=True)),
                ('reason', models.CharField(blank=True, max_length=80)),
            ],
            options={
                'ordering': ['on'],
            },
        ),
        migrations.CreateModel(
            name='WorkedHoliday',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('on', models.DateField(unique=True)),
            ],
            options={
                'ordering': ['on'],
            },
        ),
        migrations.CreateModel(
            name='CalendarAddress',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('secret_digest', models.CharField(max_length=64, unique=True)),
                ('made_at', models.DateTimeField()),
            ],
            options={
                'verbose_name_plural': 'calendar addresses',
                'constraints': [models.CheckConstraint(condition=models.Q(('pk', 1)), name='calendar_address_one_row')],
            },
        ),
        migrations.CreateModel(
            name='SignInLink',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('secret_digest', models.CharField(max_length=64, unique=True)),
                ('made_at', models.DateTimeField()),
                ('used_at', models.DateTimeField(blank=True, null=True)),
                ('user', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='+', to=settings.AUTH_USER_MODEL)),
            ],
        ),
        migrations.CreateModel(
            name='HoursBefore',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('weekday', models.PositiveSmallIntegerField(choices=[(0, 'Monday'), (1, 'Tuesday'), (2, 'Wednesday'), (3, 'Thursday'), (4, 'Friday'), (5, 'Saturday'), (6, 'Sunday')])),
                ('opens', models.TimeField()),
                ('closes', models.TimeField()),
                ('pairs', models.PositiveSmallIntegerField()),
                ('since', models.DateField(blank=True, null=True)),
                ('until', models.DateField(help_text='the first day without them')),
            ],
            options={
                'verbose_name_plural': 'hours before',
                'ordering': ['until', 'weekday', 'opens'],
            },
        ),
        migrations.CreateModel(
            name='WeeklyHours',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('weekday', models.PositiveSmallIntegerField(choices=[(0, 'Monday'), (1, 'Tuesday'), (2, 'Wednesday'), (3, 'Thursday'), (4, 'Friday'), (5, 'Saturday'), (6, 'Sunday')])),
                ('opens', models.TimeField()),
                ('closes', models.TimeField()),
                ('pairs', models.PositiveSmallIntegerField(default=1, help_text='pairs of hands')),
                ('since', models.DateField(blank=True, help_text='the day they were noted; empty: ever', null=True)),
            ],
            options={
                'verbose_name_plural': 'weekly hours',
                'ordering': ['weekday', 'opens'],
                'constraints': [models.CheckConstraint(condition=models.Q(('closes__gt', models.F('opens'))), name='weekly_hours_close_after_open'), models.CheckConstraint(condition=models.Q(('pairs__gt', 0)), name='weekly_hours_pairs_positive')],
            },
        ),
        migrations.CreateModel(
            name='BenchPin',
            fields=[
                ('user', models.OneToOneField(on_delete=django.db.models.deletion.CASCADE, primary_key=True, related_name='+', serialize=False, to=settings.AUTH_USER_MODEL)),
                ('figures', models.CharField(help_text='a hash, never the figures', max_length=128)),
                ('wrong_tries', models.PositiveSmallIntegerField(default=0)),
                ('tried_at', models.DateTimeField(blank=True, null=True)),
            ],
        ),
        migrations.CreateModel(
            name='BenchTablet',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('secret_digest', models.CharField(max_length=64, unique=True)),
                ('device', models.CharField(max_length=60)),
                ('made_at', models.DateTimeField()),
            ],
            options={
                'ordering': ['made_at'],
            },
        ),
        migrations.CreateModel(
            name='StudioSettings',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('name', models.CharField(default='The studio', max_length=80)),
                ('address', models.TextField(blank=True)),
                ('contact', models.CharField(blank=True, max_length=120)),
                ('currency', models.CharField(default='GBP', max_length=3)),
                ('hour_rate_minor', models.BigIntegerField(default=1500)),
                ('late_step_days', models.PositiveSmallIntegerField(default=2, help_text='a late line counts as this many days more than it is late')),
                ('drying_board_pieces', models.PositiveSmallIntegerField(default=12)),
                ('holidays_of', models.CharField(blank=True, help_text='place whose public holidays are closed: GB, GB-SCT', max_length=40)),
                ('country', models.CharField(default='GB', help_text='where parcels are posted from', max_length=2)),
                ('slip_size', models.CharField(default='a5', help_text='packing slips: a5, l46, a4, letter', max_length=6)),
                ('sheet_size', models.CharField(default='a4', help_text='sheets and letters: a4, letter', max_length=6)),
                ('wick_mm', models.PositiveSmallIntegerField(default=6, help_text='trim the wick to')),
                ('forget_after_months', models.PositiveSmallIntegerField(blank=True, help_text='names and addresses so long after the last parcel; empty: never', null=True)),
                ('card_language', models.CharField(default='en-GB', help_text='of the own words on cards', max_length=12)),
                ('card_words', models.TextField(blank=True, help_text='own words on care cards: usual line = own words')),
            ],
            options={
                'verbose_name_plural': 'studio settings',
                'constraints': [models.CheckConstraint(condition=models.Q(('pk', 1)), name='studio_settings_one_row')],
            },
        ),
    ]
