"""Every table, and the roles that the application knows from the start."""

import uuid
from typing import Any

import django.db.models.deletion
import django.db.models.functions.text
from django.conf import settings
from django.db import migrations, models

ROLES = (
    ("office", "Office", "Types premises and designs, answers questions and adds attachments."),
    (
        "engineer",
        "Engineer",
        "Does what the office does, decides findings, asks questions and issues packs.",
    ),
)


def add_roles(apps: Any, _editor: object) -> None:
    """Add the roles, once."""
    role = apps.get_model("sites", "Role")
    for key, name, may in ROLES:
        role.objects.update_or_create(key=key, defaults={"name": name, "may": may})


class Migration(migrations.Migration):
    initial = True

    dependencies = []

    operations = [
        migrations.CreateModel(
            name="Person",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("password", models.CharField(max_length=128, verbose_name="password")),
                (
                    "last_login",
                    models.DateTimeField(blank=True, null=True, verbose_name="last login"),
                ),
                ("key", models.UUIDField(default=uuid.uuid4, editable=False, unique=True)),
                ("email", models.EmailField(max_length=254, unique=True)),
                ("name", models.CharField(max_length=200)),
                ("is_active", models.BooleanField(default=True)),
            ],
        ),
        migrations.CreateModel(
            name="Application",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("key", models.UUIDField(default=uuid.uuid4, editable=False, unique=True)),
                ("reference", models.CharField(max_length=200, unique=True)),
                ("version", models.PositiveIntegerField(default=1)),
                ("created_at", models.DateTimeField(auto_now_add=True)),
            ],
            options={
                "abstract": False,
            },
        ),
        migrations.CreateModel(
            name="Design",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("key", models.UUIDField(default=uuid.uuid4, editable=False, unique=True)),
                ("version", models.PositiveIntegerField(default=1)),
                ("name", models.CharField(blank=True, max_length=200)),
                ("is_proposal", models.BooleanField(default=False)),
                ("created_at", models.DateTimeField(auto_now_add=True)),
            ],
            options={
                "ordering": ("pk",),
            },
        ),
        migrations.CreateModel(
            name="Event",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("key", models.UUIDField(default=uuid.uuid4, editable=False, unique=True)),
                ("at", models.DateTimeField(db_index=True)),
                ("act", models.CharField(max_length=60)),
                ("actor", models.CharField(max_length=200)),
                ("actor_key", models.UUIDField(null=True)),
                ("subject_kind", models.CharField(max_length=40)),
                ("subject_key", models.UUIDField(db_index=True)),
                ("subject", models.CharField(max_length=300)),
                ("data", models.JSONField(default=dict)),
            ],
            options={
                "ordering": ("-at", "-pk"),
            },
        ),
        migrations.CreateModel(
            name="Firm",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("key", models.UUIDField(default=uuid.uuid4, editable=False, unique=True)),
                ("name", models.CharField(max_length=200)),
                ("address", models.TextField(blank=True)),
                ("email", models.EmailField(blank=True, max_length=254)),
                ("phone", models.CharField(blank=True, max_length=50)),
                ("registration", models.CharField(blank=True, max_length=200)),
            ],
            options={
                "abstract": False,
            },
        ),
        migrations.CreateModel(
            name="KeptRulebook",
            fields=[
                ("digest", models.CharField(max_length=64, primary_key=True, serialize=False)),
                ("content", models.BinaryField()),
                ("first_used_at", models.DateTimeField()),
            ],
        ),
        migrations.CreateModel(
            name="LocalStamp",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("stamp", models.UUIDField(default=uuid.uuid4)),
            ],
        ),
        migrations.CreateModel(
            name="PersonalPart",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("content", models.BinaryField()),
                ("salt", models.CharField(max_length=64)),
            ],
        ),
        migrations.CreateModel(
            name="Premises",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("key", models.UUIDField(default=uuid.uuid4, editable=False, unique=True)),
                ("version", models.PositiveIntegerField(default=1)),
                ("reference", models.CharField(max_length=200, unique=True)),
                ("name", models.CharField(blank=True, max_length=200)),
                ("address_lines", models.TextField(blank=True)),
                ("postcode", models.CharField(blank=True, max_length=20)),
                (
                    "nation",
                    models.CharField(
                        blank=True,
                        choices=[
                            ("england", "england"),
                            ("wales", "wales"),
                            ("scotland", "scotland"),
                            ("northern_ireland", "northern_ireland"),
                            ("ireland", "ireland"),
                        ],
                        max_length=20,
                    ),
                ),
                ("licence_area", models.CharField(blank=True, max_length=20)),
                ("easting", models.PositiveIntegerField(null=True)),
                ("northing", models.PositiveIntegerField(null=True)),
                (
                    "grid",
                    models.CharField(
                        blank=True, choices=[("osgb", "osgb"), ("irish", "irish")], max_length=10
                    ),
                ),
                ("metering", models.CharField(blank=True, max_length=200)),
                ("feeder", models.CharField(blank=True, max_length=200)),
                ("owner_consent", models.BooleanField(null=True)),
                ("planned_on", models.DateField(null=True)),
                ("on_date", models.DateField(null=True)),
                ("nearby_premises", models.PositiveIntegerField(null=True)),
                ("nearby_asked", models.BooleanField(default=False)),
                ("assessed_demand_va", models.PositiveBigIntegerField(null=True)),
                ("loads_measured", models.BooleanField(null=True)),
                ("assumed_voltage_mv", models.PositiveBigIntegerField(null=True)),
                ("created_at", models.DateTimeField(auto_now_add=True)),
                ("changed_at", models.DateTimeField(auto_now=True)),
            ],
            options={
                "ordering": ("-changed_at", "-pk"),
            },
        ),
        migrations.CreateModel(
            name="Role",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("key", models.SlugField(unique=True)),
                ("name", models.CharField(max_length=100)),
                (
                    "may",
                    models.TextField(
                        help_text="What people with this role may do, in one sentence."
                    ),
                ),
            ],
        ),
        migrations.CreateModel(
            name="ApplicationLine",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("key", models.UUIDField(default=uuid.uuid4, editable=False, unique=True)),
                (
                    "application",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="lines",
                        to="sites.application",
                    ),
                ),
                (
                    "design",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="sites.design",
                    ),
                ),
                (
                    "premises",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="application_lines",
                        to="sites.premises",
                    ),
                ),
            ],
        ),
        migrations.CreateModel(
            name="Attachment",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("key", models.UUIDField(default=uuid.uuid4, editable=False, unique=True)),
                ("sha256", models.CharField(max_length=64)),
                ("name", models.CharField(max_length=200)),
                ("title", models.CharField(blank=True, max_length=200)),
                ("media_type", models.CharField(max_length=60)),
                ("size_bytes", models.PositiveBigIntegerField()),
                ("pages", models.PositiveIntegerField(default=1)),
                ("added_at", models.DateTimeField()),
                ("taken_out_at", models.DateTimeField(null=True)),
                (
                    "added_by",
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
                        related_name="attachments",
                        to="sites.applicationline",
                    ),
                ),
            ],
            options={
                "ordering": ("added_at", "pk"),
            },
        ),
        migrations.CreateModel(
            name="EnergyFile",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("key", models.UUIDField(default=uuid.uuid4, editable=False, unique=True)),
                (
                    "kind",
                    models.CharField(
                        choices=[("meter", "meter readings"), ("irradiance", "irradiance")],
                        max_length=10,
                    ),
                ),
                ("sha256", models.CharField(max_length=64)),
                ("name", models.CharField(max_length=200)),
                ("size_bytes", models.PositiveBigIntegerField()),
                ("clock", models.CharField(max_length=5)),
                ("stamps", models.CharField(max_length=5)),
                ("unit", models.CharField(blank=True, max_length=3)),
                ("added_at", models.DateTimeField()),
                (
                    "added_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "premises",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="energy_files",
                        to="sites.premises",
                    ),
                ),
            ],
            options={
                "ordering": ("-pk",),
            },
        ),
        migrations.CreateModel(
            name="Equipment",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("key", models.UUIDField(default=uuid.uuid4, editable=False, unique=True)),
                ("maker", models.CharField(max_length=200)),
                ("model", models.CharField(max_length=200)),
                ("source", models.CharField(max_length=20)),
                ("rated_w", models.PositiveBigIntegerField(null=True)),
                ("design_w", models.PositiveBigIntegerField(null=True)),
                ("rated_va", models.PositiveBigIntegerField(null=True)),
                ("rated_ma", models.PositiveBigIntegerField(null=True)),
                ("phases", models.PositiveSmallIntegerField(default=1)),
                ("type_tested", models.CharField(blank=True, max_length=10)),
                ("standard", models.CharField(blank=True, max_length=60)),
                ("type_test_reference", models.CharField(blank=True, max_length=200)),
                ("can_island", models.BooleanField(null=True)),
            ],
            options={
                "constraints": [
                    models.UniqueConstraint(fields=("maker", "model"), name="equipment_model_once")
                ],
            },
        ),
        migrations.CreateModel(
            name="NotedRules",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("noted_at", models.DateTimeField()),
                ("looked", models.CharField(blank=True, max_length=64)),
                (
                    "line",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="noted_rules",
                        to="sites.applicationline",
                    ),
                ),
                (
                    "rulebook",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="sites.keptrulebook",
                    ),
                ),
            ],
        ),
        migrations.CreateModel(
            name="Load",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("key", models.UUIDField(default=uuid.uuid4, editable=False, unique=True)),
                ("place", models.PositiveIntegerField(default=0)),
                ("name", models.CharField(max_length=200)),
                ("w", models.PositiveBigIntegerField(null=True)),
                ("phases", models.CharField(blank=True, max_length=8)),
                ("controllable", models.BooleanField(null=True)),
                (
                    "kind",
                    models.CharField(
                        blank=True,
                        choices=[
                            ("lighting", "lighting"),
                            ("heating", "heating"),
                            ("cooker", "cooker"),
                            ("cooker-with-socket", "cooker-with-socket"),
                            ("instant-water", "instant-water"),
                            ("stored-water", "stored-water"),
                            ("storage-heating", "storage-heating"),
                            ("floor-heating", "floor-heating"),
                            ("circuit", "circuit"),
                            ("socket", "socket"),
                            ("vehicle", "vehicle"),
                            ("heat-pump", "heat-pump"),
                            ("other", "other"),
                        ],
                        max_length=30,
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
            name="Limit",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("key", models.UUIDField(default=uuid.uuid4, editable=False, unique=True)),
                ("place", models.PositiveIntegerField(default=0)),
                (
                    "on",
                    models.CharField(
                        choices=[("export", "export"), ("import", "import")], max_length=10
                    ),
                ),
                ("value", models.PositiveBigIntegerField(null=True)),
                (
                    "basis",
                    models.CharField(
                        choices=[
                            ("ma_per_phase", "ma_per_phase"),
                            ("w_total", "w_total"),
                            ("va_total", "va_total"),
                        ],
                        max_length=20,
                    ),
                ),
                ("type_tested", models.BooleanField(null=True)),
                ("type_test_reference", models.CharField(blank=True, max_length=200)),
                ("response_ms", models.PositiveIntegerField(null=True)),
                ("fail_safe", models.BooleanField(null=True)),
                ("measured_at", models.CharField(blank=True, max_length=200)),
                ("ct_position", models.CharField(blank=True, max_length=200)),
                ("nets_phases", models.BooleanField(null=True)),
                ("commissioned_on", models.DateField(null=True)),
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
        migrations.AddField(
            model_name="design",
            name="premises",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.CASCADE,
                related_name="designs",
                to="sites.premises",
            ),
        ),
        migrations.CreateModel(
            name="Cells",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("key", models.UUIDField(default=uuid.uuid4, editable=False, unique=True)),
                ("place", models.PositiveIntegerField(default=0)),
                ("unit_id", models.CharField(max_length=60)),
                ("usable_wh", models.PositiveBigIntegerField(null=True)),
                ("charge_w", models.PositiveBigIntegerField(null=True)),
                ("discharge_w", models.PositiveBigIntegerField(null=True)),
                ("charges_from_grid", models.BooleanField(null=True)),
                ("exports", models.BooleanField(null=True)),
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
            name="Cap",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("key", models.UUIDField(default=uuid.uuid4, editable=False, unique=True)),
                (
                    "on",
                    models.CharField(
                        choices=[("export", "export"), ("installed", "installed")], max_length=10
                    ),
                ),
                ("value", models.PositiveBigIntegerField()),
                (
                    "basis",
                    models.CharField(
                        choices=[
                            ("ma_per_phase", "ma_per_phase"),
                            ("w_total", "w_total"),
                            ("va_total", "va_total"),
                        ],
                        max_length=20,
                    ),
                ),
                ("from_operator_reference", models.CharField(blank=True, max_length=200)),
                ("until", models.DateField(null=True)),
                ("split_equally", models.BooleanField(null=True)),
                (
                    "premises",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="caps",
                        to="sites.premises",
                    ),
                ),
            ],
            options={
                "ordering": ("pk",),
            },
        ),
        migrations.CreateModel(
            name="Cable",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("key", models.UUIDField(default=uuid.uuid4, editable=False, unique=True)),
                ("place", models.PositiveIntegerField(default=0)),
                ("from_board", models.CharField(max_length=60)),
                ("to_board", models.CharField(max_length=60)),
                ("unit_id", models.CharField(blank=True, max_length=60)),
                ("length_mm", models.PositiveBigIntegerField(null=True)),
                ("csa_mm2", models.CharField(blank=True, max_length=20)),
                ("material", models.CharField(blank=True, max_length=60)),
                ("insulation", models.CharField(blank=True, max_length=60)),
                ("cores", models.PositiveSmallIntegerField(null=True)),
                ("method", models.CharField(blank=True, max_length=60)),
                ("ambient_c", models.PositiveIntegerField(null=True)),
                ("grouped", models.PositiveIntegerField(null=True)),
                ("capacity_a", models.PositiveIntegerField(null=True)),
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
            name="Board",
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
                ("rating_a", models.PositiveIntegerField(null=True)),
                ("incoming_a", models.PositiveIntegerField(null=True)),
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
            name="Array",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("key", models.UUIDField(default=uuid.uuid4, editable=False, unique=True)),
                ("place", models.PositiveIntegerField(default=0)),
                ("unit_id", models.CharField(max_length=60)),
                ("peak_w", models.PositiveBigIntegerField(null=True)),
                ("panels", models.PositiveIntegerField(null=True)),
                ("strings", models.PositiveIntegerField(null=True)),
                ("tilt_deg", models.PositiveSmallIntegerField(null=True)),
                ("azimuth_deg", models.PositiveSmallIntegerField(null=True)),
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
            name="Protection",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("key", models.UUIDField(default=uuid.uuid4, editable=False, unique=True)),
                ("place", models.PositiveIntegerField(default=0)),
                ("kind", models.CharField(max_length=60)),
                ("serves", models.CharField(blank=True, max_length=60)),
                ("rating_a", models.PositiveIntegerField(null=True)),
                ("rcd_type", models.CharField(blank=True, max_length=60)),
                ("direction", models.CharField(blank=True, max_length=60)),
                ("reference", models.CharField(blank=True, max_length=200)),
                ("settings", models.JSONField(default=list)),
                ("trip_ma", models.PositiveIntegerField(null=True)),
                ("breaking_a", models.PositiveIntegerField(null=True)),
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
            name="Question",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("key", models.UUIDField(default=uuid.uuid4, editable=False, unique=True)),
                ("finding", models.CharField(max_length=60)),
                ("subject", models.CharField(max_length=200)),
                ("text", models.TextField()),
                ("asked_at", models.DateTimeField()),
                ("answer", models.TextField(blank=True)),
                ("answered_at", models.DateTimeField(null=True)),
                (
                    "answered_by",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "asked_by",
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
                        related_name="questions",
                        to="sites.applicationline",
                    ),
                ),
            ],
            options={
                "ordering": ("asked_at", "pk"),
            },
        ),
        migrations.CreateModel(
            name="Reply",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("key", models.UUIDField(default=uuid.uuid4, editable=False, unique=True)),
                (
                    "kind",
                    models.CharField(
                        choices=[
                            ("agreed", "It agrees as asked"),
                            ("cap-export", "It caps export"),
                            ("cap-installed", "It caps installed capacity"),
                            ("condition", "It sets a condition"),
                            ("refused", "It refuses"),
                        ],
                        max_length=20,
                    ),
                ),
                ("written", models.CharField(blank=True, max_length=60)),
                ("value", models.PositiveBigIntegerField(null=True)),
                ("basis", models.CharField(blank=True, max_length=20)),
                ("split_equally", models.BooleanField(null=True)),
                ("words", models.TextField(blank=True)),
                ("reference", models.CharField(blank=True, max_length=200)),
                ("received_on", models.DateField()),
                ("valid_until", models.DateField(null=True)),
                ("entered_at", models.DateTimeField()),
                ("taken_back_at", models.DateTimeField(null=True)),
                (
                    "cap",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.SET_NULL,
                        related_name="+",
                        to="sites.cap",
                    ),
                ),
                (
                    "entered_by",
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
                        related_name="replies",
                        to="sites.applicationline",
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
                "ordering": ("entered_at", "pk"),
            },
        ),
        migrations.AddField(
            model_name="person",
            name="roles",
            field=models.ManyToManyField(related_name="people", to="sites.role"),
        ),
        migrations.CreateModel(
            name="ScreeningRun",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("key", models.UUIDField(default=uuid.uuid4, editable=False, unique=True)),
                (
                    "kind",
                    models.CharField(
                        choices=[("date", "date"), ("change", "change"), ("watch", "watch")],
                        max_length=10,
                    ),
                ),
                ("on", models.DateField()),
                ("local", models.JSONField(null=True)),
                ("coming", models.JSONField(default=list)),
                ("today", models.DateField()),
                ("asked", models.CharField(max_length=64)),
                ("asked_at", models.DateTimeField()),
                ("ended_at", models.DateTimeField(null=True)),
                ("total", models.PositiveIntegerField()),
                ("done", models.PositiveIntegerField(default=0)),
                (
                    "asked_by",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "ordering": ("-asked_at", "-pk"),
            },
        ),
        migrations.CreateModel(
            name="ScreeningRow",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("key", models.UUIDField(default=uuid.uuid4, editable=False, unique=True)),
                ("coming", models.DateField(null=True)),
                ("was", models.CharField(max_length=300)),
                ("now", models.CharField(max_length=300)),
                ("changes", models.JSONField()),
                ("rulebook", models.CharField(blank=True, max_length=64)),
                ("looked_at", models.DateTimeField(null=True)),
                (
                    "line",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="screening_rows",
                        to="sites.applicationline",
                    ),
                ),
                (
                    "looked_by",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "run",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="rows",
                        to="sites.screeningrun",
                    ),
                ),
            ],
            options={
                "ordering": ("pk",),
            },
        ),
        migrations.CreateModel(
            name="Supply",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("key", models.UUIDField(default=uuid.uuid4, editable=False, unique=True)),
                (
                    "phases",
                    models.PositiveSmallIntegerField(
                        choices=[(1, "1"), (2, "2"), (3, "3")], null=True
                    ),
                ),
                ("nominal_v", models.PositiveIntegerField(null=True)),
                (
                    "voltage_level",
                    models.CharField(
                        blank=True, choices=[("LV", "LV"), ("HV", "HV")], max_length=2
                    ),
                ),
                ("cutout_a", models.PositiveIntegerField(null=True)),
                (
                    "earthing",
                    models.CharField(
                        blank=True,
                        choices=[
                            ("TN-C-S", "TN-C-S"),
                            ("TN-S", "TN-S"),
                            ("TT", "TT"),
                            ("unknown", "unknown"),
                        ],
                        max_length=10,
                    ),
                ),
                ("looped", models.BooleanField(null=True)),
                ("import_capacity_va", models.PositiveBigIntegerField(null=True)),
                ("export_capacity_va", models.PositiveBigIntegerField(null=True)),
                ("loop_impedance_uohm", models.PositiveBigIntegerField(null=True)),
                ("prospective_fault_a", models.PositiveBigIntegerField(null=True)),
                ("voltage_optimiser", models.BooleanField(null=True)),
                (
                    "design",
                    models.OneToOneField(
                        null=True,
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="supply",
                        to="sites.design",
                    ),
                ),
                (
                    "premises",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="supplies",
                        to="sites.premises",
                    ),
                ),
            ],
        ),
        migrations.CreateModel(
            name="SupplyNumber",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("key", models.UUIDField(default=uuid.uuid4, editable=False, unique=True)),
                (
                    "use",
                    models.CharField(
                        choices=[("import", "import"), ("export", "export")], max_length=10
                    ),
                ),
                ("scheme", models.CharField(default="gb13", max_length=10)),
                ("value", models.CharField(max_length=60)),
                (
                    "premises",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="supply_numbers",
                        to="sites.premises",
                    ),
                ),
            ],
            options={
                "ordering": ("pk",),
            },
        ),
        migrations.CreateModel(
            name="Unit",
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
                    "kind",
                    models.CharField(
                        blank=True,
                        choices=[
                            ("inverter", "inverter"),
                            ("synchronous", "synchronous"),
                            ("asynchronous", "asynchronous"),
                        ],
                        max_length=20,
                    ),
                ),
                (
                    "source",
                    models.CharField(
                        choices=[
                            ("pv", "pv"),
                            ("storage", "storage"),
                            ("pv+storage", "pv+storage"),
                            ("wind", "wind"),
                            ("hydro", "hydro"),
                            ("chp", "chp"),
                            ("vehicle", "vehicle"),
                            ("other", "other"),
                        ],
                        max_length=20,
                    ),
                ),
                ("maker", models.CharField(blank=True, max_length=200)),
                ("model", models.CharField(blank=True, max_length=200)),
                ("quantity", models.PositiveIntegerField(null=True)),
                ("rated_w", models.PositiveBigIntegerField(null=True)),
                ("design_w", models.PositiveBigIntegerField(null=True)),
                ("rated_va", models.PositiveBigIntegerField(null=True)),
                ("rated_ma", models.PositiveBigIntegerField(null=True)),
                ("q_var", models.BigIntegerField(null=True)),
                ("phases", models.CharField(max_length=8)),
                (
                    "type_tested",
                    models.CharField(
                        blank=True,
                        choices=[("full", "full"), ("part", "part"), ("no", "no")],
                        max_length=10,
                    ),
                ),
                ("standard", models.CharField(blank=True, max_length=60)),
                ("type_test_reference", models.CharField(blank=True, max_length=200)),
                ("commissioned_on", models.DateField(null=True)),
                ("planned_on", models.DateField(null=True)),
                (
                    "limited_by",
                    models.CharField(
                        blank=True,
                        choices=[("maker", "maker"), ("software", "software"), ("none", "none")],
                        max_length=10,
                    ),
                ),
                ("can_island", models.BooleanField(null=True)),
                ("serials", models.TextField(blank=True)),
                ("feeds_from", models.CharField(blank=True, max_length=60)),
                (
                    "operating_mode",
                    models.CharField(
                        blank=True,
                        choices=[
                            ("long-term-parallel", "long-term-parallel"),
                            ("short-term-parallel", "short-term-parallel"),
                            ("switched", "switched"),
                        ],
                        max_length=30,
                    ),
                ),
                ("emission_standards", models.JSONField(null=True)),
                ("max_impedance_uohm", models.PositiveBigIntegerField(null=True)),
                ("dc_input_w", models.PositiveBigIntegerField(null=True)),
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
            name="Removal",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("key", models.UUIDField(default=uuid.uuid4, editable=False, unique=True)),
                (
                    "design",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="removals",
                        to="sites.design",
                    ),
                ),
                (
                    "unit",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="removals",
                        to="sites.unit",
                    ),
                ),
            ],
        ),
        migrations.CreateModel(
            name="Verdict",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("key", models.UUIDField(default=uuid.uuid4, editable=False, unique=True)),
                ("finding", models.CharField(max_length=60)),
                ("subject", models.CharField(max_length=200)),
                ("basis", models.CharField(max_length=64)),
                (
                    "kind",
                    models.CharField(
                        choices=[("decided", "decided"), ("operator-agreed", "operator-agreed")],
                        max_length=20,
                    ),
                ),
                ("reason", models.TextField()),
                ("operator_reference", models.CharField(blank=True, max_length=200)),
                ("operator_date", models.DateField(null=True)),
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
                        related_name="verdicts",
                        to="sites.applicationline",
                    ),
                ),
                (
                    "operator_file",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="sites.attachment",
                    ),
                ),
            ],
            options={
                "ordering": ("at", "pk"),
            },
        ),
        migrations.CreateModel(
            name="Work",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("key", models.UUIDField(default=uuid.uuid4, editable=False, unique=True)),
                (
                    "kind",
                    models.CharField(
                        choices=[
                            ("year", "year"),
                            ("remedies", "remedies"),
                            ("limits", "limits"),
                            ("look", "look"),
                        ],
                        max_length=10,
                    ),
                ),
                ("place", models.PositiveIntegerField(null=True)),
                ("digest", models.CharField(max_length=64)),
                ("asked", models.JSONField()),
                ("results", models.JSONField(null=True)),
                ("asked_at", models.DateTimeField()),
                ("done_at", models.DateTimeField(null=True)),
                ("stopped_at", models.DateTimeField(null=True)),
                ("fault", models.CharField(blank=True, max_length=500)),
                (
                    "asked_by",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "design",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="work",
                        to="sites.design",
                    ),
                ),
                (
                    "run",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="parts",
                        to="sites.screeningrun",
                    ),
                ),
            ],
            options={
                "ordering": ("pk",),
            },
        ),
        migrations.CreateModel(
            name="Draft",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("key", models.UUIDField(default=uuid.uuid4, editable=False, unique=True)),
                ("page", models.CharField(max_length=120)),
                ("content", models.JSONField(default=dict)),
                ("seen", models.JSONField(default=dict)),
                ("changed_at", models.DateTimeField()),
                (
                    "person",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, to=settings.AUTH_USER_MODEL
                    ),
                ),
            ],
            options={
                "constraints": [
                    models.UniqueConstraint(fields=("person", "page"), name="draft_one_for_page")
                ],
            },
        ),
        migrations.CreateModel(
            name="LocalEntry",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("key", models.UUIDField(default=uuid.uuid4, editable=False, unique=True)),
                ("area", models.CharField(blank=True, max_length=20)),
                (
                    "kind",
                    models.CharField(
                        choices=[
                            ("value", "value"),
                            ("export-cap", "export-cap"),
                            ("condition", "condition"),
                        ],
                        max_length=20,
                    ),
                ),
                ("about", models.CharField(max_length=100)),
                ("content", models.JSONField()),
                ("document", models.CharField(max_length=100)),
                ("source", models.JSONField(default=dict)),
                ("clause", models.CharField(blank=True, max_length=300)),
                ("certainty", models.CharField(max_length=20)),
                ("note", models.TextField(blank=True)),
                ("since", models.DateField()),
                ("until", models.DateField(null=True)),
                ("entered_at", models.DateTimeField()),
                ("reason", models.TextField()),
                ("ended_at", models.DateTimeField(null=True)),
                ("end_reason", models.TextField(blank=True)),
                (
                    "ended_by",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "entered_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "ordering": ("area", "kind", "about", "since", "pk"),
                "indexes": [
                    models.Index(fields=["area", "kind", "about"], name="local_entry_of_thing")
                ],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("kind__in", ("value", "export-cap", "condition"))),
                        name="local_entry_of_known_kind",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("reason", ""), _negated=True),
                        name="local_entry_has_reason",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(
                                ("end_reason", ""),
                                ("ended_at__isnull", True),
                                ("ended_by__isnull", True),
                            ),
                            models.Q(
                                ("ended_at__isnull", False),
                                ("ended_by__isnull", False),
                                ("until__isnull", False),
                                models.Q(("end_reason", ""), _negated=True),
                            ),
                            _connector="OR",
                        ),
                        name="local_entry_ended_whole",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="FrozenPack",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("key", models.UUIDField(default=uuid.uuid4, editable=False, unique=True)),
                ("reference", models.CharField(max_length=200)),
                ("revision", models.PositiveIntegerField()),
                ("changes", models.JSONField(default=list)),
                ("procedure", models.CharField(max_length=40)),
                ("technical", models.BinaryField()),
                ("technical_digest", models.CharField(max_length=64)),
                ("personal_digest", models.CharField(max_length=64)),
                ("digest", models.CharField(max_length=64, unique=True)),
                ("issued_at", models.DateTimeField()),
                ("pdf_sha256", models.CharField(blank=True, max_length=64)),
                ("printed_at", models.DateTimeField(null=True)),
                ("print_fault", models.CharField(blank=True, max_length=300)),
                ("attachments", models.JSONField(default=list)),
                (
                    "application",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="packs",
                        to="sites.application",
                    ),
                ),
                (
                    "issued_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "replaces",
                    models.OneToOneField(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="replaced_by",
                        to="sites.frozenpack",
                    ),
                ),
                (
                    "rulebook",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="sites.keptrulebook",
                    ),
                ),
                (
                    "personal",
                    models.OneToOneField(
                        null=True,
                        on_delete=django.db.models.deletion.SET_NULL,
                        to="sites.personalpart",
                    ),
                ),
            ],
            options={
                "ordering": ("application", "revision"),
                "constraints": [
                    models.UniqueConstraint(
                        fields=("reference", "revision"), name="pack_reference_and_revision_once"
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="Party",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("key", models.UUIDField(default=uuid.uuid4, editable=False, unique=True)),
                (
                    "part",
                    models.CharField(
                        choices=[
                            ("customer", "customer"),
                            ("applicant", "applicant"),
                            ("installer", "installer"),
                        ],
                        max_length=20,
                    ),
                ),
                ("name", models.CharField(blank=True, max_length=200)),
                ("role", models.CharField(blank=True, max_length=200)),
                ("address_lines", models.TextField(blank=True)),
                ("email", models.CharField(blank=True, max_length=254)),
                ("phone", models.CharField(blank=True, max_length=50)),
                ("registration", models.CharField(blank=True, max_length=200)),
                (
                    "premises",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="parties",
                        to="sites.premises",
                    ),
                ),
            ],
            options={
                "constraints": [
                    models.UniqueConstraint(
                        fields=("premises", "part"), name="party_once_for_premises"
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="Override",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("key", models.UUIDField(default=uuid.uuid4, editable=False, unique=True)),
                ("default", models.CharField(max_length=100)),
                ("value", models.PositiveBigIntegerField()),
                ("unit", models.CharField(blank=True, max_length=30)),
                ("reason", models.CharField(max_length=200)),
                (
                    "premises",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="overrides",
                        to="sites.premises",
                    ),
                ),
            ],
            options={
                "ordering": ("pk",),
                "constraints": [
                    models.UniqueConstraint(fields=("premises", "default"), name="override_once")
                ],
            },
        ),
        migrations.CreateModel(
            name="EnergyInputs",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("key", models.UUIDField(default=uuid.uuid4, editable=False, unique=True)),
                ("region", models.PositiveSmallIntegerField()),
                ("yearly_use_kwh", models.PositiveIntegerField(null=True)),
                ("measured_yield_kwh", models.PositiveIntegerField(null=True)),
                ("measured_peak_w", models.PositiveIntegerField(null=True)),
                ("step_minutes", models.PositiveSmallIntegerField(default=30)),
                ("cheap_from_minute", models.PositiveSmallIntegerField(null=True)),
                ("cheap_to_minute", models.PositiveSmallIntegerField(null=True)),
                ("sell_from_minute", models.PositiveSmallIntegerField(null=True)),
                ("sell_to_minute", models.PositiveSmallIntegerField(null=True)),
                ("import_pence", models.DecimalField(decimal_places=2, max_digits=7, null=True)),
                ("export_pence", models.DecimalField(decimal_places=2, max_digits=7, null=True)),
                ("cheap_pence", models.DecimalField(decimal_places=2, max_digits=7, null=True)),
                ("sell_pence", models.DecimalField(decimal_places=2, max_digits=7, null=True)),
                ("entered_at", models.DateTimeField()),
                (
                    "entered_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "irradiance_file",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="sites.energyfile",
                    ),
                ),
                (
                    "meter_file",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="sites.energyfile",
                    ),
                ),
                (
                    "premises",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="energy_inputs",
                        to="sites.premises",
                    ),
                ),
            ],
            options={
                "ordering": ("-pk",),
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(
                                ("measured_peak_w__isnull", True),
                                ("measured_yield_kwh__isnull", True),
                            ),
                            models.Q(
                                ("measured_peak_w__gt", 0),
                                ("measured_peak_w__isnull", False),
                                ("measured_yield_kwh__isnull", False),
                            ),
                            _connector="OR",
                        ),
                        name="energy_inputs_yield_with_peak",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(
                                ("meter_file__isnull", False), ("yearly_use_kwh__isnull", True)
                            ),
                            models.Q(
                                ("meter_file__isnull", True), ("yearly_use_kwh__isnull", False)
                            ),
                            _connector="OR",
                        ),
                        name="energy_inputs_one_use",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(
                                ("cheap_from_minute__isnull", True),
                                ("cheap_to_minute__isnull", True),
                            ),
                            models.Q(
                                ("cheap_from_minute__isnull", False),
                                ("cheap_to_minute__isnull", False),
                            ),
                            _connector="OR",
                        ),
                        name="energy_inputs_cheap_both_ends",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(
                                ("sell_from_minute__isnull", True), ("sell_to_minute__isnull", True)
                            ),
                            models.Q(
                                ("sell_from_minute__isnull", False),
                                ("sell_to_minute__isnull", False),
                            ),
                            _connector="OR",
                        ),
                        name="energy_inputs_sell_both_ends",
                    ),
                ],
            },
        ),
        migrations.AddConstraint(
            model_name="design",
            constraint=models.UniqueConstraint(
                condition=models.Q(("is_proposal", True)),
                fields=("premises",),
                name="design_one_proposal",
            ),
        ),
        migrations.AddConstraint(
            model_name="applicationline",
            constraint=models.UniqueConstraint(
                fields=("application", "premises"), name="line_premises_once"
            ),
        ),
        migrations.AddConstraint(
            model_name="person",
            constraint=models.UniqueConstraint(
                django.db.models.functions.text.Lower("email"), name="person_email_whatever_case"
            ),
        ),
        migrations.AddConstraint(
            model_name="screeningrun",
            constraint=models.UniqueConstraint(
                condition=models.Q(("ended_at__isnull", True)),
                fields=("asked",),
                name="screening_once_at_once",
            ),
        ),
        migrations.AddConstraint(
            model_name="screeningrun",
            constraint=models.CheckConstraint(
                condition=models.Q(("done__lte", models.F("total"))), name="screening_done_of_all"
            ),
        ),
        migrations.AddConstraint(
            model_name="screeningrow",
            constraint=models.UniqueConstraint(
                condition=models.Q(("coming__isnull", True)),
                fields=("run", "line"),
                name="screening_row_once_now",
            ),
        ),
        migrations.AddConstraint(
            model_name="screeningrow",
            constraint=models.UniqueConstraint(
                fields=("run", "line", "coming"), name="screening_row_once_for_day"
            ),
        ),
        migrations.AddConstraint(
            model_name="supply",
            constraint=models.UniqueConstraint(
                condition=models.Q(("design__isnull", True)),
                fields=("premises",),
                name="supply_one_as_it_stands",
            ),
        ),
        migrations.AddConstraint(
            model_name="unit",
            constraint=models.UniqueConstraint(
                fields=("premises", "design", "label"), name="unit_label_once"
            ),
        ),
        migrations.AddConstraint(
            model_name="unit",
            constraint=models.UniqueConstraint(
                condition=models.Q(("design__isnull", True)),
                fields=("premises", "label"),
                name="unit_label_once_existing",
            ),
        ),
        migrations.AddConstraint(
            model_name="removal",
            constraint=models.UniqueConstraint(
                fields=("design", "unit"), name="removal_once_for_design"
            ),
        ),
        migrations.AddConstraint(
            model_name="work",
            constraint=models.UniqueConstraint(
                fields=("kind", "design"), name="work_once_for_design"
            ),
        ),
        migrations.AddConstraint(
            model_name="work",
            constraint=models.UniqueConstraint(fields=("run", "place"), name="work_once_at_place"),
        ),
        migrations.AddConstraint(
            model_name="work",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(
                        ("design__isnull", False), ("place__isnull", True), ("run__isnull", True)
                    ),
                    models.Q(
                        ("design__isnull", True), ("place__isnull", False), ("run__isnull", False)
                    ),
                    _connector="OR",
                ),
                name="work_for_design_or_run",
            ),
        ),
        migrations.RunPython(add_roles, migrations.RunPython.noop),
    ]
