from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ("socktrade", "0003_tax_rounding_and_calendar"),
    ]

    operations = [
        migrations.AddField(
            model_name="workshop",
            name="care_symbols",
            field=models.BooleanField(
                default=False,
                help_text="Under the United States rules only. The words are printed in any case.",
                verbose_name="care drawings beside the care words",
            ),
        ),
    ]
