"""The typeface of a pack: two fonts of Debian's fonts-dejavu-core, identified by digest.

Another build of the same font prints other bytes, so an unknown font is refused. Characters missing
from either font are replaced before printing; else each machine would take them from whatever font
it has.
"""

import hashlib
import io
from functools import cache
from pathlib import Path

from connections.documents.print_error import PrintError

PACKAGE = "fonts-dejavu-core"
FOLDER = Path("/usr/share/fonts/truetype/dejavu")

KNOWN: dict[str, dict[str, str]] = {
    "DejaVuSans.ttf": {
        "abdc775b21b1bc470d50c97e790d276f2054b7504e56e5bd3e64f48d68582322": "Debian 12, 2.37-6",
        "57f73e11f51999432bf7ab22ce55b6f945d5eca1bf824404cfa9ec2e3718c84e": "Debian 13, 2.37-8",
    },
    "DejaVuSans-Bold.ttf": {
        "0d977336a6d5fba34eab8e3199eb218327161b5143749f802982c2bc34df0c96": "Debian 12, 2.37-6",
        "a4c5bc453ca281d90ea079e596da7ae0dfeb5777497c29ec254e76d97ff6f890": "Debian 13, 2.37-8",
    },
}
"""Known digests (SHA-256) by file name, each with the release that ships it."""

REPLACEMENT = "\ufffd"
_REORDERING = frozenset(map(chr, (*range(0x202A, 0x202F), *range(0x2066, 0x206A))))
"""Characters that reorder the text around them: a reader would see other text than the data holds.
"""


def font_files(folder: Path = FOLDER) -> dict[str, bytes]:
    """The fonts by file name.

    Raises PrintError naming the package if a font is missing or unknown.
    """
    found = {}
    for name, known in KNOWN.items():
        try:
            content = (folder / name).read_bytes()
        except OSError:
            raise PrintError(
                f"The font {name} is not in {folder}; install the package {PACKAGE}."
            ) from None
        digest = hashlib.sha256(content).hexdigest()
        if digest not in known:
            raise PrintError(
                f"The font {name} in {folder} is not one that packs are printed with "
                f"(its SHA-256 is {digest}). Reinstall the package {PACKAGE} of "
                f"{' or '.join(known.values())}."
            )
        found[name] = content
    return found


@cache
def printable() -> frozenset[int]:
    """Code points that both fonts have, and blanks, which need no glyph."""
    from fontTools.ttLib import TTFont

    both: set[int] | None = None
    for content in font_files().values():
        with TTFont(io.BytesIO(content), lazy=True) as font:
            there = set(font.getBestCmap())
        both = there if both is None else both & there
    return frozenset((both or set()) | {0x09, 0x0A, 0x0D, 0x20})


def printed_text(text: str) -> str:
    """The text with every character that can't be printed replaced by U+FFFD."""
    there = printable()
    return "".join(c if ord(c) in there and c not in _REORDERING else REPLACEMENT for c in text)
