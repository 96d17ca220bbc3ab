"""Columns of the facts of November 2026; the type test of a unit becomes the first of a list."""

import uuid
from typing import Any

import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models

FACTS = {"standard": "standard", "type_tested": "type_tested", "type_test_reference": "reference"}
"""The columns of one type test, with their names in an entry of the list."""


def take_into_lists(apps: Any, _editor: object) -> None:
    """Make one entry of what the three columns say; a row that says nothing has no list."""
    for name in ("Unit", "Equipment"):
        for row in apps.get_model("sites", name).objects.iterator():
            said = {key: getattr(row, column) for column, key in FACTS.items()}
            entry = {key: text for key, text in said.items() if text}
            if entry:
                row.standards = [entry]
                row.save(update_fields=["standards"])


def take_out_of_lists(apps: Any, _editor: object) -> None:
    """Put the first entry back into the columns; they hold no more than one."""
    for name in ("Unit", "Equipment"):
        for row in apps.get_model("sites", name).objects.exclude(standards__isnull=True).iterator():
            for column, key in FACTS.items():
                setattr(row, column, row.standards[0].get(key) or "")
            row.save(update_fields=list(FACTS))


class Migration(migrations.Migration):
    dependencies = [
        ("sites", "0001_initial"),
    ]

    operations = [
        migrations.AddField(
            model_name="equipment",
            name="standards",
            field=models.JSONField(null=True),
        ),
        migrations.AddField(
            model_name="unit",
            name="standards",
            field=models.JSONField(null=True),
        ),
        migrations.RunPython(take_into_lists, take_out_of_lists),
        migrations.RemoveField(
            model_name="equipment",
            name="standard",
        ),
        migrations.RemoveField(
            model_name="equipment",
            name="type_test_reference",
        ),
        migrations.RemoveField(
            model_name="equipment",
            name="type_tested",
        ),
        migrations.RemoveField(
            model_name="unit",
            name="standard",
        ),
        migrations.RemoveField(
            model_name="unit",
            name="type_test_reference",
        ),
        migrations.RemoveField(
            model_name="unit",
            name="type_tested",
        ),
        migrations.AddField(
            model_name="array",
            name="commissioned_on",
            field=models.DateField(null=True),
        ),
        migrations.AddField(
            model_name="array",
            name="commissioned_to",
            field=models.DateField(null=True),
        ),
        migrations.AddField(
            model_name="array",
            name="panel_imp_ma",
            field=models.PositiveBigIntegerField(null=True),
        ),
        migrations.AddField(
            model_name="array",
            name="panel_isc_ma",
            field=models.PositiveBigIntegerField(null=True),
        ),
        migrations.AddField(
            model_name="array",
            name="panel_isc_ppm_k",
            field=models.BigIntegerField(null=True),
        ),
        migrations.AddField(
            model_name="array",
            name="panel_peak_w",
            field=models.PositiveBigIntegerField(null=True),
        ),
        migrations.AddField(
            model_name="array",
            name="panel_vmp_mv",
            field=models.PositiveBigIntegerField(null=True),
        ),
        migrations.AddField(
            model_name="array",
            name="panel_voc_mv",
            field=models.PositiveBigIntegerField(null=True),
        ),
        migrations.AddField(
            model_name="array",
            name="panel_voc_ppm_k",
            field=models.BigIntegerField(null=True),
        ),
        migrations.AddField(
            model_name="array",
            name="strings_listed",
            field=models.JSONField(null=True),
        ),
        migrations.AddField(
            model_name="board",
            name="conditional_a",
            field=models.PositiveIntegerField(null=True),
        ),
        migrations.AddField(
            model_name="cells",
            name="commissioned_on",
            field=models.DateField(null=True),
        ),
        migrations.AddField(
            model_name="cells",
            name="commissioned_to",
            field=models.DateField(null=True),
        ),
        migrations.AddField(
            model_name="cells",
            name="tap",
            field=models.CharField(
                blank=True,
                choices=[
                    ("service-connectors", "service-connectors"),
                    ("consumer-unit", "consumer-unit"),
                ],
                max_length=30,
            ),
        ),
        migrations.AddField(
            model_name="limit",
            name="controls",
            field=models.TextField(blank=True),
        ),
        migrations.AddField(
            model_name="premises",
            name="access",
            field=models.CharField(blank=True, max_length=200),
        ),
        migrations.AddField(
            model_name="premises",
            name="island",
            field=models.BooleanField(null=True),
        ),
        migrations.AddField(
            model_name="protection",
            name="location",
            field=models.CharField(blank=True, max_length=200),
        ),
        migrations.AddField(
            model_name="protection",
            name="lockable",
            field=models.BooleanField(null=True),
        ),
        migrations.AddField(
            model_name="supply",
            name="fault_measured",
            field=models.BooleanField(null=True),
        ),
        migrations.AddField(
            model_name="supply",
            name="line_neutral_uohm",
            field=models.PositiveBigIntegerField(null=True),
        ),
        migrations.AddField(
            model_name="supply",
            name="loop_measured",
            field=models.BooleanField(null=True),
        ),
        migrations.AddField(
            model_name="unit",
            name="commissioned_to",
            field=models.DateField(null=True),
        ),
        migrations.AddField(
            model_name="unit",
            name="dc_inputs",
            field=models.JSONField(null=True),
        ),
        migrations.AddField(
            model_name="unit",
            name="panel_electronics",
            field=models.CharField(
                blank=True,
                choices=[
                    ("none", "none"),
                    ("optimisers", "optimisers"),
                    ("micro-inverters", "micro-inverters"),
                ],
                max_length=20,
            ),
        ),
        migrations.AddField(
            model_name="unit",
            name="plugged_in",
            field=models.BooleanField(null=True),
        ),
        migrations.AddField(
            model_name="verdict",
            name="way",
            field=models.CharField(blank=True, max_length=40),
        ),
        migrations.AlterField(
            model_name="override",
            name="value",
            field=models.BigIntegerField(),
        ),
        migrations.CreateModel(
            name="Clamp",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("key", models.UUIDField(default=uuid.uuid4, editable=False, unique=True)),
                ("place", models.PositiveIntegerField(default=0)),
                ("label", models.CharField(max_length=60)),
                (
                    "location",
                    models.CharField(
                        blank=True,
                        choices=[
                            ("grid", "grid"),
                            ("pv", "pv"),
                            ("storage", "storage"),
                            ("load", "load"),
                        ],
                        max_length=20,
                    ),
                ),
                ("serves", models.CharField(blank=True, max_length=60)),
                (
                    "phase",
                    models.CharField(
                        blank=True, choices=[("L1", "L1"), ("L2", "L2"), ("L3", "L3")], max_length=2
                    ),
                ),
                (
                    "direction",
                    models.CharField(
                        blank=True,
                        choices=[
                            ("towards-supply", "towards-supply"),
                            ("towards-site", "towards-site"),
                        ],
                        max_length=20,
                    ),
                ),
                (
                    "link",
                    models.CharField(
                        blank=True, choices=[("wired", "wired"), ("radio", "radio")], max_length=10
                    ),
                ),
                (
                    "design",
                    models.ForeignKey(
                        null=True, on_delete=django.db.models.deletion.CASCADE, to="sites.design"
                    ),
                ),
                (
                    "premises",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, to="sites.premises"
                    ),
                ),
            ],
            options={
                "ordering": ("place", "pk"),
                "abstract": False,
            },
        ),
        migrations.CreateModel(
            name="SentWithout",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("key", models.UUIDField(default=uuid.uuid4, editable=False, unique=True)),
                ("item", models.CharField(max_length=60)),
                ("of", models.CharField(blank=True, max_length=200)),
                ("reason", models.TextField()),
                ("at", models.DateTimeField()),
                (
                    "by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "line",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="sent_without",
                        to="sites.applicationline",
                    ),
                ),
            ],
            options={
                "ordering": ("at", "pk"),
            },
        ),
        migrations.CreateModel(
            name="ValueReading",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("key", models.UUIDField(default=uuid.uuid4, editable=False, unique=True)),
                ("document", models.CharField(max_length=100)),
                ("edition", models.CharField(blank=True, max_length=200)),
                ("about", models.CharField(max_length=100)),
                ("value_digest", models.CharField(max_length=64)),
                ("title", models.CharField(max_length=400)),
                ("amount", models.TextField()),
                ("read_at", models.DateTimeField()),
                ("taken_back_at", models.DateTimeField(null=True)),
                (
                    "read_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "taken_back_by",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "ordering": ("title", "about", "pk"),
                "constraints": [
                    models.UniqueConstraint(
                        condition=models.Q(("taken_back_at__isnull", True)),
                        fields=("document", "edition", "about", "value_digest"),
                        name="value_read_once",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(
                                ("taken_back_at__isnull", True), ("taken_back_by__isnull", True)
                            ),
                            models.Q(
                                ("taken_back_at__isnull", False), ("taken_back_by__isnull", False)
                            ),
                            _connector="OR",
                        ),
                        name="value_reading_taken_back_whole",
                    ),
                ],
            },
        ),
    ]
