"""Names under which files are handed out."""

import re
import unicodedata


def file_name(reference: str, what: str, ending: str) -> str:
    """A file name of a reference: plain letters, figures and dashes, whatever the reference has."""
    plain = unicodedata.normalize("NFKD", f"{reference} {what}")
    words = re.findall(r"[A-Za-z0-9]+", plain.encode("ascii", "ignore").decode("ascii"))
    return f"{'-'.join(words)[:120] or 'pack'}.{ending}"
