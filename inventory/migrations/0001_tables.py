"""The tables of the stores, in the order of what refers to what. The ledger's triggers are in triggers.py."""

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
            name='Supplier',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('name', models.CharField(max_length=80, unique=True)),
                ('lead_working_days', models.PositiveSmallIntegerField(default=3)),
                ('carriage_minor', models.BigIntegerField(default=0, help_text='what one delivery costs beside the packs')),
            ],
            options={
                'ordering': ['name'],
                'constraints': [models.CheckConstraint(condition=models.Q(('carriage_minor__gte', 0)), name='supplier_carriage_not_negative')],
            },
        ),
        migrations.CreateModel(
            name='Material',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('name', models.CharField(max_length=80, unique=True)),
                ('kind', models.CharField(choices=[('powder', 'powder'), ('pigment', 'pigment'), ('sealer', 'sealer'), ('wax', 'wax'), ('fragrance', 'fragrance'), ('wick', 'wick'), ('packaging', 'packaging'), ('consumable', 'consumable')], max_length=12)),
                ('unit', models.CharField(choices=[('g', 'gram'), ('ml', 'millilitre'), ('piece', 'piece')], max_length=5)),
                ('density_g_per_ml', models.FloatField(blank=True, null=True)),
                ('unopened_life_days', models.PositiveIntegerField(blank=True, null=True)),
                ('opened_life_days', models.PositiveIntegerField(blank=True, null=True)),
                ('safety_level', models.BigIntegerField(default=0, help_text='keep at least this much (thousandths)')),
                ('pack_size', models.BigIntegerField(blank=True, help_text='one pack (thousandths)', null=True)),
                ('supplier', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='materials', to='inventory.supplier')),
                ('slack_days', models.PositiveSmallIntegerField(default=1, help_text='days a delivery may run late')),
                ('cautions', models.TextField(blank=True)),
                ('hazard_wording', models.TextField(blank=True, help_text="as the supplier's safety sheet gives it")),
                ('retired_on', models.DateField(blank=True, null=True)),
                ('melted_density_g_per_ml', models.FloatField(blank=True, help_text='of a wax, as poured', null=True)),
            ],
            options={
                'ordering': ['kind', 'name'],
                'constraints': [models.CheckConstraint(condition=models.Q(('safety_level__gte', 0)), name='material_safety_level_not_negative'), models.CheckConstraint(condition=models.Q(('pack_size__isnull', True), ('pack_size__gt', 0), _connector='OR'), name='material_pack_size_positive')],
            },
        ),
        migrations.CreateModel(
            name='Lot',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('material', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='lots', to='inventory.material')),
                ('code', models.CharField(max_length=16, unique=True)),
                ('supplier', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='lots', to='inventory.supplier')),
                ('supplier_lot', models.CharField(blank=True, max_length=60)),
                ('received_on', models.DateField()),
                ('best_before', models.DateField(blank=True, null=True)),
                ('amount', models.BigIntegerField(help_text='received (thousandths)')),
                ('price_minor', models.BigIntegerField(default=0)),
            ],
            options={
                'ordering': ['received_on', 'id'],
                'indexes': [models.Index(fields=['received_on', 'id'], name='lot_received')],
                'constraints': [models.CheckConstraint(condition=models.Q(('amount__gt', 0)), name='lot_amount_positive'), models.CheckConstraint(condition=models.Q(('price_minor__gte', 0)), name='lot_price_not_negative')],
            },
        ),
        migrations.CreateModel(
            name='SupplierPack',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('supplier', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='packs', to='inventory.supplier')),
                ('material', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='packs', to='inventory.material')),
                ('amount', models.BigIntegerField(help_text="in one pack (thousandths of the material's unit)")),
                ('price_minor', models.BigIntegerField(default=0, help_text='of one pack; 0 where it is not known')),
            ],
            options={
                'ordering': ['supplier', 'material', 'amount'],
                'constraints': [models.UniqueConstraint(fields=('supplier', 'material', 'amount'), name='supplierpack_one_of_each_size'), models.CheckConstraint(condition=models.Q(('amount__gt', 0)), name='supplierpack_amount_positive'), models.CheckConstraint(condition=models.Q(('price_minor__gte', 0)), name='supplierpack_price_not_negative')],
            },
        ),
        migrations.CreateModel(
            name='SupplierOrder',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('supplier', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='orders', to='inventory.supplier')),
                ('ordered_on', models.DateField()),
                ('reference', models.CharField(blank=True, help_text="the supplier's own number of it", max_length=40)),
            ],
            options={
                'ordering': ['-ordered_on', '-id'],
            },
        ),
        migrations.CreateModel(
            name='Delivery',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('order', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='lines', to='inventory.supplierorder')),
                ('material', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='deliveries', to='inventory.material')),
                ('amount', models.BigIntegerField(help_text='ordered (thousandths)')),
                ('price_minor', models.BigIntegerField(default=0, help_text='for all of it, as the packs were priced')),
                ('ordered_on', models.DateField()),
                ('expected_on', models.DateField()),
                ('received_lot', models.OneToOneField(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='delivery', to='inventory.lot')),
                ('cancelled_on', models.DateField(blank=True, null=True)),
            ],
            options={
                'verbose_name_plural': 'deliveries',
                'ordering': ['expected_on', 'id'],
                'constraints': [models.CheckConstraint(condition=models.Q(('amount__gt', 0)), name='delivery_amount_positive'), models.CheckConstraint(condition=models.Q(('received_lot__isnull', True), ('cancelled_on__isnull', True), _connector='OR'), name='delivery_in_or_called_off')],
            },
        ),
        migrations.CreateModel(
            name='Place',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('kind', models.CharField(choices=[('container', 'container'), ('supplier', 'supplier'), ('mix', 'mix'), ('piece', 'piece'), ('parcel', 'parcel'), ('waste', 'waste'), ('spill', 'spill'), ('difference', 'count difference')], max_length=12)),
            ],
            options={
                'constraints': [models.UniqueConstraint(condition=models.Q(('kind', 'container'), _negated=True), fields=('kind',), name='place_one_of_each_outside')],
            },
        ),
        migrations.CreateModel(
            name='Container',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('place', models.OneToOneField(on_delete=django.db.models.deletion.PROTECT, related_name='container', to='inventory.place')),
                ('code', models.CharField(max_length=8, unique=True)),
                ('role', models.CharField(choices=[('bulk', 'bulk tub'), ('working', 'working tub')], max_length=8)),
                ('material', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='containers', to='inventory.material')),
                ('tare_mg', models.BigIntegerField(default=0)),
                ('capacity', models.BigIntegerField(help_text="thousandths of the material's base unit")),
                ('stands_at', models.CharField(blank=True, max_length=60)),
                ('opened_at', models.DateTimeField(blank=True, help_text='first opening since it was last empty', null=True)),
                ('openings_count', models.PositiveIntegerField(default=0)),
                ('is_lumpy', models.BooleanField(default=False)),
                ('retired_on', models.DateField(blank=True, null=True)),
            ],
            options={
                'ordering': ['code'],
                'constraints': [models.CheckConstraint(condition=models.Q(('tare_mg__gte', 0)), name='container_tare_not_negative'), models.CheckConstraint(condition=models.Q(('capacity__gt', 0)), name='container_capacity_positive')],
            },
        ),
        migrations.CreateModel(
            name='Act',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('request_key', models.UUIDField(unique=True)),
                ('name', models.CharField(help_text='app.operation', max_length=60)),
                ('content_digest', models.CharField(max_length=64)),
                ('said', models.CharField(help_text='what the app said it did', max_length=300)),
                ('answer', models.JSONField(default=dict)),
                ('by', models.ForeignKey(null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('happened_at', models.DateTimeField()),
                ('recorded_at', models.DateTimeField()),
                ('undoes', models.OneToOneField(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='undone_by', to='inventory.act')),
            ],
            options={
                'ordering': ['recorded_at', 'id'],
                'indexes': [models.Index(fields=['-recorded_at'], name='act_recorded')],
            },
        ),
        migrations.CreateModel(
            name='Posting',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('kind', models.CharField(choices=[('receipt', 'receipt'), ('decant', 'decant'), ('draw', 'draw'), ('sieve loss', 'sieve loss'), ('count', 'count'), ('spill', 'spill'), ('correction', 'correction')], max_length=12)),
                ('happened_at', models.DateTimeField()),
                ('recorded_at', models.DateTimeField()),
                ('by', models.ForeignKey(null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('reason', models.CharField(blank=True, max_length=120)),
                ('request_key', models.UUIDField(help_text='of the act it belongs to')),
                ('reverses', models.OneToOneField(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='reversed_by', to='inventory.posting')),
            ],
            options={
                'ordering': ['id'],
                'indexes': [models.Index(fields=['request_key'], name='posting_request_key'), models.Index(fields=['happened_at'], name='posting_happened')],
            },
        ),
        migrations.CreateModel(
            name='Entry',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('posting', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='entries', to='inventory.posting')),
                ('lot', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='entries', to='inventory.lot')),
                ('source', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='entries_out', to='inventory.place')),
                ('destination', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='entries_in', to='inventory.place')),
                ('amount', models.BigIntegerField()),
            ],
            options={
                'verbose_name_plural': 'entries',
                'ordering': ['id'],
                'indexes': [models.Index(fields=['source', 'posting'], name='entry_out_by_posting'), models.Index(fields=['destination', 'posting'], name='entry_in_by_posting')],
                'constraints': [models.CheckConstraint(condition=models.Q(('amount__gt', 0)), name='entry_amount_positive'), models.CheckConstraint(condition=models.Q(('source', models.F('destination')), _negated=True), name='entry_moves')],
            },
        ),
        migrations.CreateModel(
            name='Holding',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('lot', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='holdings', to='inventory.lot')),
                ('place', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='holdings', to='inventory.place')),
                ('amount', models.BigIntegerField(default=0)),
            ],
            options={
                'indexes': [models.Index(fields=['amount'], name='holding_amount')],
                'constraints': [models.UniqueConstraint(fields=('lot', 'place'), name='holding_one_per_lot_and_place'), models.CheckConstraint(condition=models.Q(('amount__gte', 0)), name='holding_not_negative')],
            },
        ),
        migrations.CreateModel(
            name='OpeningRow',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('digest', models.CharField(max_length=64, unique=True)),
                ('lot', models.OneToOneField(on_delete=django.db.models.deletion.PROTECT, related_name='opening_row', to='inventory.lot')),
            ],
            options={
                'ordering': ['id'],
            },
        ),
        migrations.CreateModel(
            name='CountRound',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('begun_at', models.DateTimeField()),
                ('begun_by', models.ForeignKey(null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('ended_at', models.DateTimeField(blank=True, null=True)),
                ('is_posted', models.BooleanField(default=False)),
                ('is_open', models.BooleanField(default=True)),
            ],
            options={
                'ordering': ['-begun_at'],
                'constraints': [models.UniqueConstraint(condition=models.Q(('is_open', True)), fields=('is_open',), name='countround_one_open')],
            },
        ),
        migrations.CreateModel(
            name='CountReading',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('round', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='readings', to='inventory.countround')),
                ('container', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='inventory.container')),
                ('gross_mg', models.BigIntegerField(blank=True, null=True)),
                ('counted', models.BigIntegerField()),
                ('reason', models.CharField(blank=True, max_length=20)),
                ('read_at', models.DateTimeField()),
                ('by', models.ForeignKey(null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'ordering': ['id'],
                'constraints': [models.UniqueConstraint(fields=('round', 'container'), name='countreading_one_per_tub'), models.CheckConstraint(condition=models.Q(('counted__gte', 0)), name='countreading_not_negative')],
            },
        ),
        migrations.CreateModel(
            name='Photo',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('name', models.CharField(max_length=43, unique=True)),
                ('width', models.PositiveIntegerField()),
                ('height', models.PositiveIntegerField()),
                ('kept_at', models.DateTimeField()),
                ('kept_by', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='+', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'ordering': ['-kept_at', '-id'],
            },
        ),
    ]
