"""Canonical JSON and digests: UTF-8, keys sorted, no spaces, whole numbers."""

import hashlib

import msgspec

_encoder = msgspec.json.Encoder(order="sorted")


def canonical(content: object) -> bytes:
    """The canonical JSON of frozen facts or plain data; left-out keys stay out."""
    return _encoder.encode(content)


def digest(content: object) -> str:
    """SHA-256 of the canonical JSON, in hexadecimal."""
    return hashlib.sha256(_encoder.encode(content)).hexdigest()
