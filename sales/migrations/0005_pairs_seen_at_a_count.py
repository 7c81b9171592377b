import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('production', '0002_lengths_loads_and_resumed_strings'),
        ('sales', '0004_design_season'),
    ]

    operations = [
        migrations.CreateModel(
            name='CountSeen',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('act', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='production.act')),
                ('pair', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='production.pair')),
            ],
            options={
                'constraints': [models.UniqueConstraint(fields=('act', 'pair'), name='a_count_sees_a_pair_once')],
            },
        ),
    ]
