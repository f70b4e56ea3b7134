"""The tables of the bench: moulds, compounds, range, plans, mixes, castings, pieces."""

import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):

    initial = True

    dependencies = [
        ('inventory', '0001_tables'),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name='LateLook',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('looked_at', models.DateTimeField()),
                ('points', models.IntegerField(help_text='of the plan after the same tries as every offer got')),
                ('mixes_count', models.PositiveIntegerField(help_text='of the plan after the same tries as every offer got')),
                ('solves', models.PositiveIntegerField()),
                ('is_whole', models.BooleanField(help_text='no: it was stopped before its end')),
                ('enough', models.JSONField(default=list, help_text='powders and materials that last for all of it')),
            ],
        ),
        migrations.CreateModel(
            name='Route',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('name', models.CharField(max_length=60, unique=True)),
                ('care', models.TextField(blank=True, help_text='looking after what is finished so, for the care card; one line each')),
            ],
            options={
                'ordering': ['name'],
            },
        ),
        migrations.CreateModel(
            name='StepKind',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('name', models.CharField(max_length=30, unique=True)),
                ('done_word', models.CharField(blank=True, help_text='what a piece is after it: gilded', max_length=30)),
                ('cautions', models.TextField(blank=True, help_text='shown wherever the step is due')),
            ],
            options={
                'ordering': ['name'],
            },
        ),
        migrations.CreateModel(
            name='Colour',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('name', models.CharField(max_length=40, unique=True)),
                ('hex', models.CharField(default='#B4BABB', max_length=7)),
                ('strength', models.FloatField(blank=True, help_text="part of the parent's pigments, for a tint", null=True)),
                ('tint_of', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='tints', to='production.colour')),
            ],
            options={
                'ordering': ['name'],
            },
        ),
        migrations.CreateModel(
            name='Article',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('name', models.CharField(max_length=80, unique=True)),
                ('silhouette', models.CharField(default='block', max_length=20)),
                ('is_matched', models.BooleanField(default=False, help_text='all parts of a piece from one mix')),
                ('pack_minutes', models.PositiveSmallIntegerField(default=5)),
                ('packaging_each', models.BigIntegerField(default=0, help_text='per piece (thousandths)')),
                ('care', models.TextField(blank=True, help_text='looking after it, for the care card')),
                ('is_candle', models.BooleanField(default=False)),
                ('price_minor', models.BigIntegerField(blank=True, help_text='of one piece, before any tax', null=True)),
                ('margin_wanted', models.FloatField(blank=True, help_text='part of the price that is to be left', null=True)),
                ('retired_on', models.DateField(blank=True, null=True)),
                ('packaging', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='inventory.material')),
                ('photo', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='inventory.photo')),
                ('colours', models.ManyToManyField(related_name='articles', to='production.colour')),
                ('route', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='articles', to='production.route')),
            ],
            options={
                'ordering': ['name'],
            },
        ),
        migrations.CreateModel(
            name='Compound',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('name', models.CharField(max_length=60, unique=True)),
                ('water_ratio', models.FloatField(help_text='mass of water per mass of powder')),
                ('least_water_ratio', models.FloatField(default=0.186, help_text='what the powder takes up to set')),
                ('bound_water_ratio', models.FloatField(default=0.186, help_text='water that stays in the dry casting')),
                ('powder_density_g_per_ml', models.FloatField(default=2.63)),
                ('measured_yield_ml_per_100g', models.FloatField(blank=True, help_text='slurry from 100 g of powder at the ratio, if measured', null=True)),
                ('overfill', models.FloatField(default=0.03)),
                ('sieve_allowance', models.FloatField(default=0.02)),
                ('pigment_load_most', models.FloatField(default=0.1)),
                ('residue_mg', models.BigIntegerField(default=30000, help_text='left in the jug by every mix')),
                ('jug_most_mg', models.BigIntegerField(default=3500000, help_text='most slurry the jug holds')),
                ('scale_step_mg', models.PositiveIntegerField(default=1000, help_text='least that the scale for powder and water shows')),
                ('pigment_step_mg', models.PositiveIntegerField(default=100, help_text='least that the scale for pigment shows')),
                ('working_time_minutes', models.PositiveSmallIntegerField(default=12)),
                ('weigh_and_mix_minutes', models.PositiveSmallIntegerField(default=10)),
                ('stir_minutes', models.PositiveSmallIntegerField(default=3, help_text='of the working time')),
                ('clean_up_minutes', models.PositiveSmallIntegerField(default=5)),
                ('open_after_minutes', models.PositiveIntegerField(default=90, help_text='from the pour to opening')),
                ('dry_hours', models.PositiveIntegerField(default=48)),
                ('cautions', models.TextField(blank=True)),
                ('powder', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='inventory.material')),
            ],
            options={
                'ordering': ['name'],
            },
        ),
        migrations.CreateModel(
            name='ColourPigment',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('load', models.FloatField(help_text='mass of pigment per mass of powder')),
                ('colour', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='pigments', to='production.colour')),
                ('pigment', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='inventory.material')),
                ('compound', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='pigments', to='production.compound')),
            ],
            options={
                'ordering': ['colour', 'compound', '-load'],
            },
        ),
        migrations.CreateModel(
            name='DayKeptFree',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('day', models.DateField()),
                ('kept_at', models.DateTimeField()),
                ('given_back_at', models.DateTimeField(blank=True, null=True)),
                ('by', models.ForeignKey(null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('colour', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='production.colour')),
            ],
            options={
                'ordering': ['day', 'id'],
            },
        ),
        migrations.CreateModel(
            name='Mix',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('number', models.PositiveIntegerField(unique=True)),
                ('water_adjust_percent', models.FloatField(default=0)),
                ('powder_mg', models.BigIntegerField()),
                ('water_mg', models.BigIntegerField()),
                ('dry_mg_per_ul', models.FloatField(help_text='dry mass expected per volume of cast')),
                ('is_sieved', models.BooleanField(default=False)),
                ('powder_opened_at', models.DateTimeField(blank=True, help_text="since when the powder's tub had been open", null=True)),
                ('powder_openings', models.PositiveIntegerField(blank=True, help_text='how often its lid had been off, this mix among them', null=True)),
                ('started_at', models.DateTimeField(help_text='powder in: the working time begins')),
                ('poured_at', models.DateTimeField(blank=True, help_text='last mould filled, or stopped', null=True)),
                ('is_stopped', models.BooleanField(default=False, help_text='went stiff before all moulds were filled')),
                ('undone_at', models.DateTimeField(blank=True, null=True)),
                ('colour', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='mixes', to='production.colour')),
                ('compound', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='mixes', to='production.compound')),
                ('tops_up', models.ForeignKey(blank=True, help_text='the first mix, whose recorded ratios this one repeats for the moulds it left out', null=True, on_delete=django.db.models.deletion.PROTECT, related_name='top_ups', to='production.mix')),
            ],
            options={
                'verbose_name_plural': 'mixes',
                'ordering': ['-number'],
            },
        ),
        migrations.CreateModel(
            name='MixDraw',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('amount', models.BigIntegerField()),
                ('container', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='inventory.container')),
                ('lot', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='inventory.lot')),
                ('material', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='inventory.material')),
                ('mix', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='draws', to='production.mix')),
                ('posting', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='inventory.posting')),
            ],
            options={
                'ordering': ['mix', 'id'],
            },
        ),
        migrations.CreateModel(
            name='MixPin',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('starts_at', models.DateTimeField()),
                ('pinned_at', models.DateTimeField()),
                ('released_at', models.DateTimeField(blank=True, null=True)),
                ('by', models.ForeignKey(null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('colour', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='production.colour')),
                ('compound', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='production.compound')),
            ],
            options={
                'ordering': ['starts_at', 'id'],
            },
        ),
        migrations.CreateModel(
            name='MixSwatch',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('lightness', models.FloatField(blank=True, help_text='L*, 0 black to 100 white', null=True)),
                ('a', models.FloatField(blank=True, help_text='a*, green below 0, red above', null=True)),
                ('b', models.FloatField(blank=True, help_text='b*, blue below 0, yellow above', null=True)),
                ('noted_at', models.DateTimeField()),
                ('mix', models.OneToOneField(on_delete=django.db.models.deletion.CASCADE, related_name='swatch', to='production.mix')),
                ('photo', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='inventory.photo')),
            ],
            options={
                'verbose_name_plural': 'mix swatches',
            },
        ),
        migrations.CreateModel(
            name='Mould',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('name', models.CharField(max_length=80, unique=True)),
                ('silhouette', models.CharField(default='block', max_length=20)),
                ('volume_ul', models.BigIntegerField(blank=True, help_text='mean of the kept water fills', null=True)),
                ('fill_minutes', models.PositiveSmallIntegerField(default=2)),
                ('open_minutes', models.PositiveSmallIntegerField(default=3)),
                ('in_mould_minutes', models.PositiveIntegerField(blank=True, help_text='from the pour to opening; empty: what the compound says', null=True)),
                ('clean_and_dry_minutes', models.PositiveIntegerField(default=120)),
                ('retired_on', models.DateField(blank=True, null=True)),
                ('photo', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='inventory.photo')),
            ],
            options={
                'ordering': ['name'],
            },
        ),
        migrations.CreateModel(
            name='LateOffer',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('position', models.PositiveSmallIntegerField(help_text='what saves most first')),
                ('kind', models.CharField(choices=[('one more copy', 'one more copy'), ('an hour more a day', 'an hour more a day'), ('Saturday hands', 'Saturday hands'), ('a second pair of hands', 'a second pair of hands'), ('two days earlier', 'two days earlier'), ('a bigger jug', 'a bigger jug'), ('two parts', 'two parts')], max_length=30)),
                ('name', models.CharField(blank=True, help_text='of the mould or material it is about', max_length=120)),
                ('pieces', models.PositiveIntegerField(default=0, help_text='that leave first, in two parts')),
                ('points_saved', models.IntegerField()),
                ('mixes_saved', models.IntegerField(help_text='below 0: it takes more of them')),
                ('by_lifting', models.BooleanField(help_text='all there could be of it saves nothing, so this saves nothing')),
                ('look', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='offers', to='production.latelook')),
                ('mould', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='production.mould')),
            ],
            options={
                'ordering': ['position'],
            },
        ),
        migrations.CreateModel(
            name='ArticlePart',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('name', models.CharField(max_length=40)),
                ('article', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='parts', to='production.article')),
                ('own_colour', models.ForeignKey(blank=True, help_text='empty: as ordered', null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='production.colour')),
                ('compound', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='production.compound')),
                ('mould', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='production.mould')),
            ],
            options={
                'ordering': ['article', 'id'],
            },
        ),
        migrations.CreateModel(
            name='MouldCopy',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('number', models.PositiveSmallIntegerField()),
                ('casts_before', models.PositiveIntegerField(default=0, help_text='casts made before they were kept here')),
                ('casts_expected', models.PositiveIntegerField(default=60)),
                ('price_minor', models.BigIntegerField(default=0)),
                ('washed_at', models.DateTimeField(blank=True, help_text='last washed, or filled with water', null=True)),
                ('lent_on', models.DateField(blank=True, null=True)),
                ('retired_on', models.DateField(blank=True, null=True)),
                ('ended', models.CharField(choices=[('worn out', 'worn out'), ('broken', 'broken'), ('gone', 'sold or lost')], default='worn out', max_length=8)),
                ('mould', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='copies', to='production.mould')),
            ],
            options={
                'ordering': ['mould', 'number'],
            },
        ),
        migrations.CreateModel(
            name='Piece',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('mark', models.CharField(max_length=8, unique=True)),
                ('wanted_by', models.CharField(blank=True, help_text='the demand it was poured for', max_length=40)),
                ('outcome', models.CharField(choices=[('good', 'good'), ('second', 'second'), ('scrap', 'scrap')], default='good', max_length=6)),
                ('reason', models.CharField(blank=True, max_length=20)),
                ('out_at', models.DateTimeField(help_text='last part out of the mould')),
                ('steps_done', models.PositiveSmallIntegerField(default=0)),
                ('last_step_at', models.DateTimeField(help_text='when the present wait began')),
                ('dry_called_at', models.DateTimeField(blank=True, null=True)),
                ('ready_at', models.DateTimeField(blank=True, help_text='set when no hands are needed any more', null=True)),
                ('shipped_at', models.DateTimeField(blank=True, null=True)),
                ('undone_at', models.DateTimeField(blank=True, null=True)),
                ('article', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='pieces', to='production.article')),
                ('colour', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='pieces', to='production.colour')),
                ('photo', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='+', to='inventory.photo')),
            ],
            options={
                'ordering': ['id'],
            },
        ),
        migrations.CreateModel(
            name='Cast',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('wanted_by', models.CharField(blank=True, max_length=40)),
                ('position', models.PositiveSmallIntegerField()),
                ('fill_mg', models.BigIntegerField()),
                ('poured_at', models.DateTimeField(blank=True, null=True)),
                ('left_out_at', models.DateTimeField(blank=True, help_text='not filled after all', null=True)),
                ('out_at', models.DateTimeField(blank=True, null=True)),
                ('early_reason', models.CharField(blank=True, help_text='why it was opened before its time', max_length=80)),
                ('outcome', models.CharField(blank=True, choices=[('good', 'good'), ('second', 'second'), ('scrap', 'scrap')], max_length=6)),
                ('reason', models.CharField(blank=True, max_length=20)),
                ('out_mg', models.BigIntegerField(blank=True, help_text='weighed out of the mould', null=True)),
                ('part', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='production.articlepart')),
                ('photo', models.ForeignKey(blank=True, help_text='how it came out', null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='+', to='inventory.photo')),
                ('piece_colour', models.ForeignKey(help_text='of the piece it is for (a part may have its own)', on_delete=django.db.models.deletion.PROTECT, related_name='+', to='production.colour')),
                ('mix', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='casts', to='production.mix')),
                ('mould_copy', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='casts', to='production.mouldcopy')),
                ('piece', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='casts', to='production.piece')),
            ],
            options={
                'ordering': ['mix', 'position'],
            },
        ),
        migrations.CreateModel(
            name='Plan',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('adopted_at', models.DateTimeField()),
                ('starts_on', models.DateField(help_text='the Monday its calendar begins on')),
                ('planned_from', models.DateTimeField()),
                ('points', models.IntegerField()),
                ('mixes_count', models.PositiveIntegerField()),
                ('early_piece_days', models.FloatField()),
                ('tries', models.PositiveIntegerField(default=0)),
                ('ended', models.CharField(choices=[('all tries', 'all tries'), ('proven', 'proven'), ('stopped', 'stopped'), ('wall limit', 'wall limit')], default='all tries', max_length=12)),
                ('bound_points', models.IntegerField(blank=True, help_text='no plan has fewer; empty: not known', null=True)),
                ('bound_mixes', models.PositiveIntegerField(blank=True, help_text='no plan with its points or fewer has fewer; empty: not known', null=True)),
                ('missing', models.CharField(blank=True, help_text='what looks further and is not installed', max_length=40)),
                ('kept_mixes', models.PositiveIntegerField(default=0, help_text='of the plan before it')),
                ('mixes_before', models.PositiveIntegerField(default=0, help_text='that the plan before it had ahead')),
                ('pour_ahead_minutes', models.PositiveIntegerField(default=0, help_text='of the list rule that made it')),
                ('look_ahead_minutes', models.PositiveIntegerField(default=0, help_text='of the list rule that made it')),
                ('least_fill', models.FloatField(default=0, help_text='of the list rule that made it, 0 to 1')),
                ('not_ordered', models.JSONField(default=list, help_text='what it takes that is neither here nor ordered')),
                ('because', models.CharField(blank=True, help_text='why it was made, a sentence', max_length=200)),
                ('undone_at', models.DateTimeField(blank=True, help_text='taken back: the plan before it counts', null=True)),
                ('by', models.ForeignKey(null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'ordering': ['-id'],
            },
        ),
        migrations.AddField(
            model_name='latelook',
            name='plan',
            field=models.OneToOneField(on_delete=django.db.models.deletion.CASCADE, related_name='late_look', to='production.plan'),
        ),
        migrations.CreateModel(
            name='PlannedLine',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('wanted_by', models.CharField(help_text='key of the demand, such as line:12', max_length=40)),
                ('board', models.PositiveSmallIntegerField(default=1, help_text='drying board of a long line')),
                ('label', models.CharField(help_text='order number or market day', max_length=80)),
                ('quantity', models.PositiveIntegerField()),
                ('ship_by', models.DateField()),
                ('packed_at', models.DateTimeField(blank=True, help_text='empty: not placed in the calendar', null=True)),
                ('days_late', models.PositiveIntegerField(default=0)),
                ('urgency_minutes', models.IntegerField(default=0, help_text='added to its latest starts by the search; negative: more urgent')),
                ('held_by', models.CharField(blank=True, choices=[('mould', 'mould'), ('hands', 'hands'), ('powder', 'powder'), ('material', 'material'), ('closed days', 'closed days'), ('no pours', 'no pours'), ('ordered too late', 'ordered too late')], max_length=20)),
                ('held_facts', models.JSONField(default=dict)),
                ('steps', models.JSONField(default=list, help_text='[name, ISO start, minutes] of each finishing step')),
                ('article', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='production.article')),
                ('colour', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='production.colour')),
                ('plan', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='lines', to='production.plan')),
            ],
            options={
                'ordering': ['ship_by', 'id'],
            },
        ),
        migrations.CreateModel(
            name='OfferedLine',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('days_before', models.PositiveIntegerField(blank=True, null=True)),
                ('days_after', models.PositiveIntegerField(blank=True, null=True)),
                ('offer', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='lines', to='production.lateoffer')),
                ('line', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='+', to='production.plannedline')),
            ],
            options={
                'ordering': ['offer', 'id'],
            },
        ),
        migrations.CreateModel(
            name='LateReason',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('kind', models.CharField(choices=[('cannot be made', 'cannot be made'), ('too late already', 'too late already'), ('limit', 'limit'), ('together', 'together'), ('longer search', 'longer search'), ('not found', 'not found'), ('not looked into', 'not looked into')], max_length=20)),
                ('limits', models.JSONField(default=list, help_text="kind and name of each, with the mould's figures of then")),
                ('poured_by', models.DateTimeField(blank=True, help_text='latest start of its first mix', null=True)),
                ('earliest_packed', models.DateTimeField(blank=True, null=True)),
                ('look', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='reasons', to='production.latelook')),
                ('line', models.OneToOneField(on_delete=django.db.models.deletion.CASCADE, related_name='late_reason', to='production.plannedline')),
            ],
        ),
        migrations.AddField(
            model_name='lateoffer',
            name='line',
            field=models.ForeignKey(blank=True, help_text='sent in two parts', null=True, on_delete=django.db.models.deletion.CASCADE, related_name='+', to='production.plannedline'),
        ),
        migrations.CreateModel(
            name='PlannedMix',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('position', models.PositiveIntegerField()),
                ('starts_at', models.DateTimeField()),
                ('poured_by', models.DateTimeField(help_text='last mould filled')),
                ('opens_at', models.DateTimeField()),
                ('colour', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='production.colour')),
                ('compound', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='production.compound')),
                ('pin', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='planned', to='production.mixpin')),
                ('plan', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='mixes', to='production.plan')),
            ],
            options={
                'ordering': ['starts_at', 'position'],
            },
        ),
        migrations.CreateModel(
            name='PlannedCast',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('position', models.PositiveSmallIntegerField(help_text='order of filling')),
                ('quantity', models.PositiveIntegerField()),
                ('mould', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='production.mould')),
                ('part', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='production.articlepart')),
                ('line', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='casts', to='production.plannedline')),
                ('planned_mix', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='casts', to='production.plannedmix')),
            ],
            options={
                'ordering': ['planned_mix', 'position'],
            },
        ),
        migrations.AddField(
            model_name='mix',
            name='planned',
            field=models.OneToOneField(blank=True, null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='mix', to='production.plannedmix'),
        ),
        migrations.CreateModel(
            name='RecipeSwatch',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('lightness', models.FloatField(blank=True, help_text='L*, 0 black to 100 white', null=True)),
                ('a', models.FloatField(blank=True, help_text='a*, green below 0, red above', null=True)),
                ('b', models.FloatField(blank=True, help_text='b*, blue below 0, yellow above', null=True)),
                ('noted_at', models.DateTimeField()),
                ('colour', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='swatches', to='production.colour')),
                ('compound', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='swatches', to='production.compound')),
                ('photo', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='inventory.photo')),
            ],
        ),
        migrations.CreateModel(
            name='RouteStep',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('position', models.PositiveSmallIntegerField()),
                ('kind', models.CharField(choices=[('dry', 'dry'), ('coat', 'coat'), ('fill', 'wax fill'), ('cure', 'cure'), ('fit', 'fit'), ('own', "the studio's own")], max_length=6)),
                ('name', models.CharField(help_text='coat 1, fill, cure, feet', max_length=40)),
                ('wait_minutes', models.PositiveIntegerField(blank=True, null=True)),
                ('minutes_each', models.PositiveSmallIntegerField(default=0)),
                ('minutes_per_board', models.PositiveSmallIntegerField(default=0)),
                ('amount_each', models.BigIntegerField(default=0, help_text='of the material, per piece (thousandths)')),
                ('fragrance_each', models.BigIntegerField(default=0, help_text='per piece (thousandths)')),
                ('wicks_each', models.BigIntegerField(default=0, help_text='per piece (thousandths)')),
                ('filling', models.JSONField(blank=True, default=dict, help_text='how a wax fill was reckoned')),
                ('fragrance', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='inventory.material')),
                ('material', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='inventory.material')),
                ('route', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='steps', to='production.route')),
                ('wick', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='inventory.material')),
                ('own_kind', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='steps', to='production.stepkind')),
            ],
            options={
                'ordering': ['route', 'position'],
            },
        ),
        migrations.CreateModel(
            name='StepDone',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('position', models.PositiveSmallIntegerField()),
                ('kind', models.CharField(help_text="coat, fill, fit, or the studio's own word", max_length=30)),
                ('name', models.CharField(max_length=40)),
                ('waited_from', models.DateTimeField()),
                ('due_at', models.DateTimeField()),
                ('done_at', models.DateTimeField()),
                ('pieces', models.PositiveSmallIntegerField()),
                ('minutes_each', models.PositiveSmallIntegerField()),
                ('minutes_per_board', models.PositiveSmallIntegerField()),
                ('undone_at', models.DateTimeField(blank=True, null=True)),
                ('piece', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='done_steps', to='production.piece')),
                ('step', models.ForeignKey(null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='+', to='production.routestep')),
            ],
            options={
                'verbose_name_plural': 'steps done',
                'ordering': ['piece', 'position'],
            },
        ),
        migrations.CreateModel(
            name='StepDraw',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('amount', models.BigIntegerField()),
                ('container', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='inventory.container')),
                ('done', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='draws', to='production.stepdone')),
                ('lot', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='inventory.lot')),
                ('material', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='inventory.material')),
                ('posting', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='inventory.posting')),
            ],
            options={
                'ordering': ['done', 'id'],
            },
        ),
        migrations.CreateModel(
            name='WaterFill',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('water_mg', models.BigIntegerField()),
                ('water_c', models.FloatField()),
                ('filled_at', models.DateTimeField()),
                ('left_out_at', models.DateTimeField(blank=True, null=True)),
                ('mould', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='water_fills', to='production.mould')),
            ],
            options={
                'ordering': ['filled_at', 'id'],
            },
        ),
        migrations.CreateModel(
            name='Weighing',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('weighed_at', models.DateTimeField()),
                ('mass_mg', models.BigIntegerField()),
                ('undone_at', models.DateTimeField(blank=True, null=True)),
                ('piece', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='weighings', to='production.piece')),
            ],
            options={
                'ordering': ['weighed_at'],
            },
        ),
        migrations.AddConstraint(
            model_name='colour',
            constraint=models.CheckConstraint(condition=models.Q(models.Q(('strength__isnull', True), ('tint_of__isnull', True)), models.Q(('strength__gt', 0), ('strength__lt', 1), ('tint_of__isnull', False)), _connector='OR'), name='colour_tint_has_strength'),
        ),
        migrations.AddConstraint(
            model_name='compound',
            constraint=models.CheckConstraint(condition=models.Q(('water_ratio__gte', models.F('least_water_ratio'))), name='compound_ratio_enough_to_set'),
        ),
        migrations.AddConstraint(
            model_name='compound',
            constraint=models.CheckConstraint(condition=models.Q(('jug_most_mg__gt', models.F('residue_mg'))), name='compound_jug_over_residue'),
        ),
        migrations.AddConstraint(
            model_name='compound',
            constraint=models.CheckConstraint(condition=models.Q(('working_time_minutes__gt', 0)), name='compound_working_time_positive'),
        ),
        migrations.AddConstraint(
            model_name='compound',
            constraint=models.CheckConstraint(condition=models.Q(('pigment_step_mg__gt', 0), ('scale_step_mg__gt', 0)), name='compound_scale_steps_positive'),
        ),
        migrations.AddConstraint(
            model_name='colourpigment',
            constraint=models.UniqueConstraint(fields=('colour', 'compound', 'pigment'), name='colour_pigment_once_per_compound'),
        ),
        migrations.AddConstraint(
            model_name='colourpigment',
            constraint=models.CheckConstraint(condition=models.Q(('load__gte', 0), ('load__lt', 0.5)), name='colour_pigment_load_sane'),
        ),
        migrations.AddConstraint(
            model_name='daykeptfree',
            constraint=models.UniqueConstraint(condition=models.Q(('given_back_at__isnull', True)), fields=('day', 'colour'), name='day_kept_free_once'),
        ),
        migrations.AddConstraint(
            model_name='daykeptfree',
            constraint=models.UniqueConstraint(condition=models.Q(('colour__isnull', True), ('given_back_at__isnull', True)), fields=('day',), name='day_kept_free_of_all_once'),
        ),
        migrations.AddConstraint(
            model_name='mixdraw',
            constraint=models.CheckConstraint(condition=models.Q(('amount__gt', 0)), name='mix_draw_positive'),
        ),
        migrations.AddConstraint(
            model_name='mixswatch',
            constraint=models.CheckConstraint(condition=models.Q(models.Q(('a__isnull', False), ('b__isnull', False), ('lightness__isnull', False)), models.Q(('a__isnull', True), ('b__isnull', True), ('lightness__isnull', True), ('photo__isnull', False)), _connector='OR'), name='mix_swatch_measured_or_seen'),
        ),
        migrations.AddConstraint(
            model_name='mould',
            constraint=models.CheckConstraint(condition=models.Q(('volume_ul__isnull', True), ('volume_ul__gt', 0), _connector='OR'), name='mould_volume_positive'),
        ),
        migrations.AddConstraint(
            model_name='articlepart',
            constraint=models.UniqueConstraint(fields=('article', 'name'), name='article_part_name_once'),
        ),
        migrations.AddConstraint(
            model_name='mouldcopy',
            constraint=models.UniqueConstraint(fields=('mould', 'number'), name='mould_copy_number_once'),
        ),
        migrations.AddConstraint(
            model_name='mouldcopy',
            constraint=models.CheckConstraint(condition=models.Q(('casts_expected__gt', 0)), name='mould_copy_life_positive'),
        ),
        migrations.AddIndex(
            model_name='piece',
            index=models.Index(condition=models.Q(('shipped_at__isnull', True), ('undone_at__isnull', True)), fields=['article', 'colour'], name='piece_here'),
        ),
        migrations.AddIndex(
            model_name='piece',
            index=models.Index(fields=['last_step_at'], name='piece_last_step'),
        ),
        migrations.AddIndex(
            model_name='cast',
            index=models.Index(condition=models.Q(('left_out_at__isnull', True), ('piece__isnull', True)), fields=['wanted_by'], name='cast_wanted'),
        ),
        migrations.AddIndex(
            model_name='cast',
            index=models.Index(condition=models.Q(('out_at__isnull', False), ('outcome', '')), fields=['mix'], name='cast_to_judge'),
        ),
        migrations.AddConstraint(
            model_name='cast',
            constraint=models.UniqueConstraint(fields=('mix', 'position'), name='cast_position_once'),
        ),
        migrations.AddConstraint(
            model_name='cast',
            constraint=models.UniqueConstraint(condition=models.Q(('left_out_at__isnull', True), ('out_at__isnull', True)), fields=('mould_copy',), name='cast_one_per_mould_copy'),
        ),
        migrations.AddConstraint(
            model_name='cast',
            constraint=models.CheckConstraint(condition=models.Q(('fill_mg__gt', 0)), name='cast_fill_positive'),
        ),
        migrations.AddConstraint(
            model_name='plannedline',
            constraint=models.UniqueConstraint(fields=('plan', 'wanted_by', 'board'), name='planned_line_board_once'),
        ),
        migrations.AddConstraint(
            model_name='lateoffer',
            constraint=models.UniqueConstraint(fields=('look', 'position'), name='late_offer_position_once'),
        ),
        migrations.AddConstraint(
            model_name='lateoffer',
            constraint=models.CheckConstraint(condition=models.Q(('points_saved__gte', 0)), name='late_offer_never_worse'),
        ),
        migrations.AddConstraint(
            model_name='plannedmix',
            constraint=models.UniqueConstraint(fields=('plan', 'position'), name='planned_mix_position_once'),
        ),
        migrations.AddConstraint(
            model_name='plannedcast',
            constraint=models.CheckConstraint(condition=models.Q(('quantity__gt', 0)), name='planned_cast_quantity_positive'),
        ),
        migrations.AddIndex(
            model_name='mix',
            index=models.Index(condition=models.Q(('poured_at__isnull', True), ('undone_at__isnull', True)), fields=['number'], name='mix_setting'),
        ),
        migrations.AddConstraint(
            model_name='mix',
            constraint=models.CheckConstraint(condition=models.Q(('powder_mg__gt', 0)), name='mix_powder_positive'),
        ),
        migrations.AddConstraint(
            model_name='mix',
            constraint=models.CheckConstraint(condition=models.Q(('water_mg__gt', 0)), name='mix_water_positive'),
        ),
        migrations.AddConstraint(
            model_name='recipeswatch',
            constraint=models.UniqueConstraint(fields=('colour', 'compound'), name='recipe_swatch_once'),
        ),
        migrations.AddConstraint(
            model_name='recipeswatch',
            constraint=models.CheckConstraint(condition=models.Q(models.Q(('a__isnull', False), ('b__isnull', False), ('lightness__isnull', False)), models.Q(('a__isnull', True), ('b__isnull', True), ('lightness__isnull', True), ('photo__isnull', False)), _connector='OR'), name='recipe_swatch_measured_or_seen'),
        ),
        migrations.AddConstraint(
            model_name='article',
            constraint=models.CheckConstraint(condition=models.Q(('price_minor__isnull', True), ('price_minor__gte', 0), _connector='OR'), name='article_price_not_negative'),
        ),
        migrations.AddConstraint(
            model_name='article',
            constraint=models.CheckConstraint(condition=models.Q(('margin_wanted__isnull', True), models.Q(('margin_wanted__gte', 0), ('margin_wanted__lt', 1)), _connector='OR'), name='article_margin_part_of_price'),
        ),
        migrations.AddConstraint(
            model_name='stepdone',
            constraint=models.UniqueConstraint(condition=models.Q(('undone_at__isnull', True)), fields=('piece', 'position'), name='step_done_once'),
        ),
        migrations.AddConstraint(
            model_name='stepdone',
            constraint=models.CheckConstraint(condition=models.Q(('pieces__gt', 0)), name='step_done_on_pieces'),
        ),
        migrations.AddConstraint(
            model_name='stepdraw',
            constraint=models.CheckConstraint(condition=models.Q(('amount__gt', 0)), name='step_draw_positive'),
        ),
        migrations.AddConstraint(
            model_name='routestep',
            constraint=models.UniqueConstraint(fields=('route', 'position'), name='route_step_position_once'),
        ),
        migrations.AddConstraint(
            model_name='routestep',
            constraint=models.CheckConstraint(condition=models.Q(('amount_each__gte', 0)), name='route_step_amount_not_negative'),
        ),
        migrations.AddConstraint(
            model_name='routestep',
            constraint=models.CheckConstraint(condition=models.Q(models.Q(('kind', 'own'), ('own_kind__isnull', False)), models.Q(models.Q(('kind', 'own'), _negated=True), ('own_kind__isnull', True)), _connector='OR'), name='route_step_own_kind_named'),
        ),
        migrations.AddConstraint(
            model_name='waterfill',
            constraint=models.CheckConstraint(condition=models.Q(('water_mg__gt', 0)), name='water_fill_positive'),
        ),
        migrations.AddConstraint(
            model_name='waterfill',
            constraint=models.CheckConstraint(condition=models.Q(('water_c__gte', 5), ('water_c__lte', 35)), name='water_fill_temperature_in_range'),
        ),
        migrations.AddConstraint(
            model_name='weighing',
            constraint=models.CheckConstraint(condition=models.Q(('mass_mg__gt', 0)), name='weighing_positive'),
        ),
    ]
