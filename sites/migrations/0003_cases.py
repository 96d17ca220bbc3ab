"""A line of an application is called a case."""

import django.db.models.deletion
from django.db import migrations, models

HANGING = (
    "attachment",
    "notedrules",
    "question",
    "reply",
    "screeningrow",
    "sentwithout",
    "verdict",
)
"""The models that hang on a case."""


class Migration(migrations.Migration):
    dependencies = [("sites", "0002_facts_of_november")]

    operations = [
        migrations.RemoveConstraint(model_name="applicationline", name="line_premises_once"),
        migrations.RemoveConstraint(model_name="screeningrow", name="screening_row_once_now"),
        migrations.RemoveConstraint(model_name="screeningrow", name="screening_row_once_for_day"),
        migrations.RenameModel(old_name="ApplicationLine", new_name="Case"),
        *(
            migrations.RenameField(model_name=name, old_name="line", new_name="case")
            for name in HANGING
        ),
        migrations.AlterField(
            model_name="case",
            name="application",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.CASCADE,
                related_name="cases",
                to="sites.application",
            ),
        ),
        migrations.AlterField(
            model_name="case",
            name="premises",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT,
                related_name="cases",
                to="sites.premises",
            ),
        ),
        migrations.AddConstraint(
            model_name="case",
            constraint=models.UniqueConstraint(
                fields=("application", "premises"), name="case_premises_once"
            ),
        ),
        migrations.AddConstraint(
            model_name="screeningrow",
            constraint=models.UniqueConstraint(
                condition=models.Q(("coming__isnull", True)),
                fields=("run", "case"),
                name="screening_row_once_now",
            ),
        ),
        migrations.AddConstraint(
            model_name="screeningrow",
            constraint=models.UniqueConstraint(
                fields=("run", "case", "coming"), name="screening_row_once_for_day"
            ),
        ),
    ]
