"""The command `meterside`; manage.py offers the same."""
