"""Keep beside each lot what its moves add up to, so that no page adds up every season."""

from decimal import Decimal

from django.db import migrations, models
from django.db.models import OuterRef, Subquery, Sum
from django.db.models.functions import Coalesce, Round


def add_up(apps, _schema_editor):
    """Write the sum of its moves beside each lot that is in the book already."""
    moves = apps.get_model("production", "YarnMove").objects
    own = moves.filter(lot=OuterRef("pk")).order_by().values("lot")
    booked = Coalesce(Subquery(own.annotate(sum=Sum("grams")).values("sum")), Decimal(0))
    lots = apps.get_model("production", "DyeLot").objects
    lots.update(grams=Round(booked, precision=1))


class Migration(migrations.Migration):

    dependencies = [
        ('production', '0007_dry_cleaning'),
    ]

    operations = [
        migrations.AddField(
            model_name='dyelot',
            name='grams',
            field=models.DecimalField(
                decimal_places=1, default=0, max_digits=9,
                verbose_name='on hand, the sum of its moves [g]',
            ),
        ),
        migrations.RunPython(add_up, migrations.RunPython.noop),
    ]
