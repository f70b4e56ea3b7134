"""The tables of the orders: customers, orders, keeping pieces for them, parcels, returns, programs."""

import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):

    initial = True

    dependencies = [
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
        ('inventory', '0001_tables'),
        ('production', '0001_tables'),
    ]

    operations = [
        migrations.CreateModel(
            name='ColumnMapping',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('header_digest', models.CharField(max_length=64, unique=True)),
                ('columns', models.JSONField(help_text='our field -> column heading')),
                ('names', models.JSONField(default=dict, help_text='their article or colour name -> ours')),
            ],
        ),
        migrations.CreateModel(
            name='Customer',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('name', models.CharField(max_length=120)),
                ('address', models.TextField(blank=True)),
                ('erased_at', models.DateTimeField(blank=True, null=True)),
            ],
            options={
                'ordering': ['name'],
            },
        ),
        migrations.CreateModel(
            name='OrderFile',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('name', models.CharField(max_length=120)),
                ('digest', models.CharField(max_length=64, unique=True)),
                ('imported_at', models.DateTimeField()),
                ('orders_count', models.PositiveIntegerField()),
                ('rows_count', models.PositiveIntegerField()),
            ],
            options={
                'ordering': ['-imported_at'],
            },
        ),
        migrations.CreateModel(
            name='ApiClient',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('name', models.CharField(max_length=60)),
                ('token_digest', models.CharField(max_length=64, unique=True)),
                ('scopes', models.JSONField(default=list, help_text='orders:read, orders:write, stores:read')),
                ('made_at', models.DateTimeField()),
                ('used_at', models.DateTimeField(blank=True, help_text='to the minute', null=True)),
                ('ended_at', models.DateTimeField(blank=True, null=True)),
                ('made_by', models.ForeignKey(null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'ordering': ['ended_at', 'name', 'id'],
            },
        ),
        migrations.CreateModel(
            name='Order',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('kind', models.CharField(choices=[('order', 'order'), ('market', 'market day')], default='order', max_length=6)),
                ('number', models.CharField(help_text='order number, or name of the market day', max_length=40, unique=True)),
                ('came_from', models.CharField(blank=True, max_length=40)),
                ('ordered_on', models.DateField()),
                ('ship_by', models.DateField()),
                ('weight', models.PositiveSmallIntegerField(default=1, help_text='how many times a late piece of it counts')),
                ('note', models.TextField(blank=True)),
                ('gift_message', models.TextField(blank=True)),
                ('closed_at', models.DateTimeField(blank=True, help_text='shipped in full, or called off', null=True)),
                ('called_off', models.BooleanField(default=False)),
                ('customer', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='orders', to='orders.customer')),
                ('replaces', models.ForeignKey(blank=True, help_text='what came back', null=True, on_delete=django.db.models.deletion.PROTECT, related_name='replaced_by', to='orders.order')),
            ],
            options={
                'ordering': ['ship_by', 'id'],
            },
        ),
        migrations.CreateModel(
            name='OrderBefore',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('request_key', models.UUIDField(help_text='of the act that changed it', unique=True)),
                ('fields', models.JSONField()),
                ('lines', models.JSONField(help_text='[article, colour, pieces, whether seconds do] each')),
                ('order', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='befores', to='orders.order')),
            ],
            options={
                'ordering': ['id'],
            },
        ),
        migrations.CreateModel(
            name='OrderLine',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('quantity', models.PositiveIntegerField()),
                ('seconds_do', models.BooleanField(default=False, help_text='seconds may be kept for it')),
                ('article', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='production.article')),
                ('colour', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='production.colour')),
                ('order', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='lines', to='orders.order')),
            ],
            options={
                'ordering': ['order', 'id'],
            },
        ),
        migrations.CreateModel(
            name='Assignment',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('by_hand', models.BooleanField(default=False, help_text='the owner chose it; not re-shuffled')),
                ('piece', models.OneToOneField(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='production.piece')),
                ('line', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='assignments', to='orders.orderline')),
            ],
            options={
                'ordering': ['line', 'id'],
            },
        ),
        migrations.CreateModel(
            name='Parcel',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('number', models.PositiveSmallIntegerField(default=1)),
                ('packed_at', models.DateTimeField(blank=True, null=True)),
                ('shipped_at', models.DateTimeField(blank=True, null=True)),
                ('carrier', models.CharField(blank=True, max_length=60)),
                ('tracking', models.CharField(blank=True, max_length=80)),
                ('weight_mg', models.BigIntegerField(blank=True, help_text='as the scale showed it, box and all', null=True)),
                ('pieces_mg', models.BigIntegerField(blank=True, help_text='sum of what its pieces weigh', null=True)),
                ('order', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='parcels', to='orders.order')),
            ],
            options={
                'ordering': ['order', 'number'],
            },
        ),
        migrations.CreateModel(
            name='ParcelPackaging',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('amount', models.BigIntegerField()),
                ('material', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='inventory.material')),
                ('parcel', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='packaging', to='orders.parcel')),
            ],
            options={
                'ordering': ['parcel', 'id'],
            },
        ),
        migrations.CreateModel(
            name='ParcelPiece',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('ticked_at', models.DateTimeField()),
                ('parcel', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='pieces', to='orders.parcel')),
                ('piece', models.OneToOneField(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='production.piece')),
            ],
            options={
                'ordering': ['parcel', 'id'],
            },
        ),
        migrations.CreateModel(
            name='Return',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('why', models.CharField(choices=[('broken in post', 'broken in post'), ('fault', 'a fault of ours'), ('wrong piece', 'the wrong piece was sent'), ('not wanted', 'not wanted after all')], max_length=14)),
                ('outcome', models.CharField(help_text='good, second or scrap, as it is now', max_length=6)),
                ('is_free', models.BooleanField()),
                ('noted_at', models.DateTimeField()),
                ('line', models.ForeignKey(null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='returns', to='orders.orderline')),
                ('parcel', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='returns', to='orders.parcel')),
                ('piece', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='production.piece')),
                ('replaced_by', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='replacement_for', to='orders.order')),
            ],
            options={
                'ordering': ['noted_at', 'id'],
            },
        ),
        migrations.CreateModel(
            name='ShelfWish',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('level', models.PositiveIntegerField()),
                ('article', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='production.article')),
                ('colour', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='production.colour')),
            ],
            options={
                'ordering': ['article', 'colour'],
            },
        ),
        migrations.CreateModel(
            name='ApiAnswer',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('key', models.CharField(max_length=255)),
                ('request_digest', models.CharField(help_text='of method, path and content', max_length=64)),
                ('made_at', models.DateTimeField(db_index=True)),
                ('code', models.PositiveSmallIntegerField(default=0)),
                ('body', models.JSONField(default=dict)),
                ('client', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='answers', to='orders.apiclient')),
            ],
            options={
                'ordering': ['id'],
                'constraints': [models.UniqueConstraint(fields=('client', 'key'), name='api_answer_once_per_key')],
            },
        ),
        migrations.AddIndex(
            model_name='order',
            index=models.Index(condition=models.Q(('closed_at__isnull', True)), fields=['ship_by'], name='order_open'),
        ),
        migrations.AddConstraint(
            model_name='order',
            constraint=models.CheckConstraint(condition=models.Q(('weight__gte', 1), ('weight__lte', 9)), name='order_weight_in_range'),
        ),
        migrations.AddConstraint(
            model_name='order',
            constraint=models.CheckConstraint(condition=models.Q(models.Q(('customer__isnull', True), ('kind', 'market')), models.Q(('customer__isnull', False), ('kind', 'order')), _connector='OR'), name='order_customer_unless_market'),
        ),
        migrations.AddConstraint(
            model_name='orderline',
            constraint=models.CheckConstraint(condition=models.Q(('quantity__gt', 0)), name='order_line_quantity_positive'),
        ),
        migrations.AddConstraint(
            model_name='orderline',
            constraint=models.UniqueConstraint(fields=('order', 'article', 'colour'), name='order_line_article_once'),
        ),
        migrations.AddIndex(
            model_name='parcel',
            index=models.Index(fields=['-shipped_at'], name='parcel_shipped'),
        ),
        migrations.AddConstraint(
            model_name='parcel',
            constraint=models.CheckConstraint(condition=models.Q(('weight_mg__isnull', True), ('weight_mg__gt', 0), _connector='OR'), name='parcel_weight_positive'),
        ),
        migrations.AddConstraint(
            model_name='parcel',
            constraint=models.UniqueConstraint(fields=('order', 'number'), name='parcel_number_once'),
        ),
        migrations.AddConstraint(
            model_name='parcel',
            constraint=models.UniqueConstraint(condition=models.Q(('shipped_at__isnull', True)), fields=('order',), name='parcel_one_open_per_order'),
        ),
        migrations.AddConstraint(
            model_name='parcelpackaging',
            constraint=models.UniqueConstraint(fields=('parcel', 'material'), name='parcel_packaging_once'),
        ),
        migrations.AddConstraint(
            model_name='parcelpackaging',
            constraint=models.CheckConstraint(condition=models.Q(('amount__gt', 0)), name='parcel_packaging_positive'),
        ),
        migrations.AddConstraint(
            model_name='return',
            constraint=models.UniqueConstraint(fields=('parcel', 'piece'), name='return_once_per_parcel'),
        ),
        migrations.AddConstraint(
            model_name='shelfwish',
            constraint=models.UniqueConstraint(fields=('article', 'colour'), name='shelf_wish_once'),
        ),
        migrations.CreateModel(
            name='ParcelDraw',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('amount', models.BigIntegerField()),
                ('container', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='inventory.container')),
                ('lot', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='inventory.lot')),
                ('material', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='inventory.material')),
                ('parcel', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='draws', to='orders.parcel')),
            ],
            options={
                'ordering': ['parcel', 'id'],
                'constraints': [models.CheckConstraint(condition=models.Q(('amount__gt', 0)), name='parcel_draw_positive')],
            },
        ),
    ]
