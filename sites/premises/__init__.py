"""Premises with their applications, designs and plant: sheet, drafts and site files."""
