"""The table of work waiting to be done."""

from django.db import migrations, models


class Migration(migrations.Migration):

    initial = True

    dependencies = [
    ]

    operations = [
        migrations.CreateModel(
            name='Job',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('kind', models.CharField(max_length=40)),
                ('key', models.CharField(help_text='one job per key while it is waiting or running', max_length=120)),
                ('payload', models.JSONField(default=dict)),
                ('state', models.CharField(choices=[('waiting', 'waiting'), ('running', 'running'), ('done', 'done'), ('failed', 'failed'), ('stopped', 'stopped')], default='waiting', max_length=8)),
                ('made_at', models.DateTimeField()),
                ('due_at', models.DateTimeField()),
                ('lease_until', models.DateTimeField(blank=True, null=True)),
                ('lease_token', models.UUIDField(blank=True, null=True)),
                ('attempts', models.PositiveSmallIntegerField(default=0)),
                ('progress_done', models.PositiveIntegerField(default=0)),
                ('progress_of', models.PositiveIntegerField(default=0)),
                ('saying', models.CharField(blank=True, help_text='what it is at, in plain words', max_length=200)),
                ('stop_asked', models.BooleanField(default=False)),
                ('result', models.JSONField(default=dict)),
                ('fault', models.CharField(blank=True, max_length=300)),
                ('ended_at', models.DateTimeField(blank=True, null=True)),
            ],
            options={
                'ordering': ['due_at', 'id'],
                'indexes': [models.Index(condition=models.Q(('state__in', ['waiting', 'running'])), fields=['due_at'], name='job_open')],
                'constraints': [models.UniqueConstraint(condition=models.Q(('state__in', ['waiting', 'running'])), fields=('key',), name='job_key_once_while_open')],
            },
        ),
        migrations.CreateModel(
            name='Clock',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('holder', models.UUIDField(null=True)),
                ('until', models.DateTimeField(help_text="by the database's own clock", null=True)),
            ],
        ),
    ]
