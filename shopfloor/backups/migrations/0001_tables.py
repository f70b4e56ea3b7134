"""The record of copies."""

from django.db import migrations, models


class Migration(migrations.Migration):

    initial = True

    dependencies = [
    ]

    operations = [
        migrations.CreateModel(
            name='KeptCopy',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('made_at', models.DateTimeField()),
                ('why', models.CharField(choices=[('night', 'each night'), ('asked', 'asked for')], max_length=5)),
                ('name', models.CharField(blank=True, help_text='name of the file; empty when none was made', max_length=80)),
                ('size_bytes', models.BigIntegerField(default=0)),
                ('entries', models.BigIntegerField(blank=True, help_text='ledger entries that agreed when the copy was tried', null=True)),
                ('fault', models.CharField(blank=True, max_length=300)),
                ('second_fault', models.CharField(blank=True, help_text='why it is not in the second folder too', max_length=300)),
            ],
            options={
                'verbose_name_plural': 'kept copies',
                'ordering': ['-made_at', '-id'],
            },
        ),
    ]
