"""Decide a site from its facts and a rulebook."""
