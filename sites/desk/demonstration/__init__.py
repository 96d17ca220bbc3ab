"""The invented sites of the demonstration, as site files."""

from pathlib import Path

SITES = Path(__file__).parent
