"""Packs: what one would hold, issuing, printing, erasing."""
