"""A year of sun, use, storage and export limit in equal steps, for each way of coupling.

numpy, pandas and pvlib are imported inside functions, so that importing this room stays cheap.
"""
