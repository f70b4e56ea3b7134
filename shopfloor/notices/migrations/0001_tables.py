"""The table of notices."""

import datetime
import django.db.models.deletion
import uuid
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):

    initial = True

    dependencies = [
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name='Notice',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('kind', models.CharField(choices=[('low', 'running low'), ('opened life', 'opened life over'), ('open mould', 'mould ready to open'), ('dry', 'dry'), ('coat', 'coat or fill due'), ('cured', 'cure complete'), ('mould end', 'mould near its end'), ('delivery', 'delivery late'), ('at risk', 'order at risk'), ('backup', 'backup failed'), ('mail', 'e-mail not sent')], max_length=12)),
                ('cause', models.CharField(help_text='stable key of the cause', max_length=80)),
                ('text', models.CharField(max_length=300)),
                ('link', models.CharField(blank=True, max_length=120)),
                ('opened_at', models.DateTimeField()),
                ('closed_at', models.DateTimeField(blank=True, null=True)),
            ],
            options={
                'ordering': ['-opened_at', '-id'],
                'constraints': [models.UniqueConstraint(condition=models.Q(('closed_at__isnull', True)), fields=('cause',), name='notice_one_per_open_cause')],
            },
        ),
        migrations.CreateModel(
            name='Letter',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('kind', models.CharField(choices=[('notices', 'notices'), ('confirm', 'confirm the address')], default='notices', max_length=8)),
                ('state', models.CharField(choices=[('waiting', 'waiting'), ('taken', 'being sent'), ('handing', 'being handed over'), ('sent', 'sent'), ('failed', 'given up'), ('doubt', 'not known whether it arrived')], default='waiting', max_length=8)),
                ('mark', models.UUIDField(default=uuid.uuid4, help_text='the same however often it is tried', unique=True)),
                ('made_at', models.DateTimeField()),
                ('try_at', models.DateTimeField()),
                ('attempts', models.PositiveSmallIntegerField(default=0)),
                ('lease_until', models.DateTimeField(blank=True, null=True)),
                ('lease_token', models.UUIDField(blank=True, null=True)),
                ('ended_at', models.DateTimeField(blank=True, null=True)),
                ('said', models.CharField(blank=True, help_text='its subject, once it was put together', max_length=200)),
                ('fault', models.CharField(blank=True, max_length=300)),
                ('person', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='+', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'ordering': ['-id'],
            },
        ),
        migrations.CreateModel(
            name='MailWish',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('address', models.EmailField(blank=True, max_length=254)),
                ('asked_at', models.DateTimeField(blank=True, help_text='when the address was typed', null=True)),
                ('confirmed_at', models.DateTimeField(blank=True, null=True)),
                ('hands', models.CharField(choices=[('at once', 'as it comes'), ('digest', 'once a day, together'), ('none', 'not by e-mail')], default='none', max_length=8)),
                ('orders', models.CharField(choices=[('at once', 'as it comes'), ('digest', 'once a day, together'), ('none', 'not by e-mail')], default='at once', max_length=8)),
                ('stores', models.CharField(choices=[('at once', 'as it comes'), ('digest', 'once a day, together'), ('none', 'not by e-mail')], default='digest', max_length=8)),
                ('studio', models.CharField(choices=[('at once', 'as it comes'), ('digest', 'once a day, together'), ('none', 'not by e-mail')], default='at once', max_length=8)),
                ('digest_at', models.TimeField(default=datetime.time(7, 0))),
                ('quiet_from', models.TimeField(blank=True, null=True)),
                ('quiet_until', models.TimeField(blank=True, null=True)),
                ('user', models.OneToOneField(on_delete=django.db.models.deletion.CASCADE, related_name='+', to=settings.AUTH_USER_MODEL)),
            ],
        ),
        migrations.CreateModel(
            name='ToTell',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('made_at', models.DateTimeField()),
                ('letter', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='lines', to='notices.letter')),
                ('notice', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='+', to='notices.notice')),
                ('person', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='+', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'verbose_name_plural': 'to tell',
                'ordering': ['id'],
            },
        ),
        migrations.AddConstraint(
            model_name='letter',
            constraint=models.UniqueConstraint(condition=models.Q(('state__in', ['waiting', 'taken', 'handing'])), fields=('person', 'kind'), name='letter_one_open_per_person'),
        ),
        migrations.AddConstraint(
            model_name='mailwish',
            constraint=models.CheckConstraint(condition=models.Q(models.Q(('quiet_from__isnull', True), ('quiet_until__isnull', True)), models.Q(('quiet_from__isnull', False), ('quiet_until__isnull', False)), _connector='OR'), name='mail_wish_quiet_from_and_until'),
        ),
        migrations.AddConstraint(
            model_name='totell',
            constraint=models.UniqueConstraint(fields=('notice', 'person'), name='notice_told_to_a_person_once'),
        ),
    ]
