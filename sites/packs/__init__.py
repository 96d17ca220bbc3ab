"""Packs: previewing, issuing, printing, erasing."""
