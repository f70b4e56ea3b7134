"""The table of notices."""

from django.db import migrations, models


class Migration(migrations.Migration):

    initial = True

    dependencies = [
    ]

    operations = [
        migrations.CreateModel(
            name='Notice',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('kind', models.CharField(choices=[('low', 'running low'), ('opened life', 'opened life over'), ('open mould', 'mould ready to open'), ('cured', 'cure complete'), ('delivery', 'delivery late'), ('at risk', 'order at risk'), ('backup', 'backup failed')], max_length=12)),
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
    ]
