"""Names of downloaded files."""

import re
import unicodedata


def file_name(reference: str, what: str, ending: str) -> str:
    """A file name for a reference: only plain letters, figures and dashes."""
    plain = unicodedata.normalize("NFKD", f"{reference} {what}")
    words = re.findall(r"[A-Za-z0-9]+", plain.encode("ascii", "ignore").decode("ascii"))
    return f"{'-'.join(words)[:120] or 'pack'}.{ending}"
