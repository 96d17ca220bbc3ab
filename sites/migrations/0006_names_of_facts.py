"""Columns that hold a fact bear its name."""

from django.db import migrations


class Migration(migrations.Migration):
    dependencies = [("sites", "0005_electrical_facts")]

    operations = [
        migrations.RenameField("premises", "address", "address_lines"),
        migrations.RenameField("premises", "easting_m", "easting"),
        migrations.RenameField("premises", "northing_m", "northing"),
        migrations.RenameField("premises", "send_on", "on_date"),
        migrations.RenameField("premises", "demand_measured", "loads_measured"),
        migrations.RenameField("party", "address", "address_lines"),
        migrations.RenameField("array", "unit_label", "unit_id"),
        migrations.RenameField("cells", "unit_label", "unit_id"),
        migrations.RenameField("cable", "unit_label", "unit_id"),
    ]
