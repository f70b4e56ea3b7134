"""Which of several clocks rings."""

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("jobs", "0001_tables")]

    operations = [
        migrations.CreateModel(
            name="Clock",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("holder", models.UUIDField(null=True)),
                ("until", models.DateTimeField(help_text="by the database's own clock", null=True)),
            ],
        ),
    ]
