"""Widths and wrapping of words, and the characters that may be printed.

A pure function can't read a font, so this file holds the widths of the commonest characters.
Source: advance widths of DejaVu Sans and DejaVu Sans Bold 2.37 (tables hmtx and cmap), rounded up
to a hundredth of the letter size. Characters that are not listed count as wide.
"""

import unicodedata
from collections.abc import Iterator

_PLAIN: dict[int, str] = {
    28: "'ijlìíîï",
    30: "IJÌÍÎÏ",
    32: " ,.\xa0·‘’",
    34: "/:;\\|¦",
    36: "f",
    37: "-",
    40: "()[]t",
    41: "!¡²³¹",
    42: "r",
    46: '"',
    48: "ªº",
    50: "*_`§¨¯°´¸–",
    52: "“”",
    53: "sz",
    54: "?¿",
    55: "cç",
    56: "L",
    58: "Fk",
    60: "vxyýÿ",
    61: "PÞ",
    62: "TYaeo«»Ýàáâãäåèéêëðòóôõöø",
    63: "ß",
    64: "$0123456789ESbdghnpqu{}¢£¤¥µ¶ÈÉÊËñùúûüþ",
    66: "K",
    69: "ABVXZÀÁÂÃÄÅ",
    70: "CRÇ",
    74: "UÙÚÛÜ",
    75: "NÑ",
    76: "H",
    78: "&DGÐ",
    79: "OQÒÓÔÕÖØ",
    82: "w",
    84: "#+<=>^~¬±×÷≤≥−",
    87: "M",
    96: "%",
    97: "¼½¾",
    98: "mÆ",
    99: "Wæ",
    100: "@©®—…",
}
_BOLD: dict[int, str] = {
    31: "'",
    35: " ijl\xa0ìíîï",
    37: "/\\|¦",
    38: ",.IJ·ÌÍÎÏ‘’",
    40: ":;",
    42: "-",
    44: "f²³¹",
    46: "!()[]¡",
    48: "t",
    50: "_`r§¨¯°´¸–",
    53: '"*',
    57: "ªº",
    59: "?z¿",
    60: "csç",
    64: "L¤¶",
    65: "x«»",
    66: "vyýÿ“”",
    67: "k",
    68: "aeàáâãäåèéêë",
    69: "EFToÈÉÊËðòóôõöø",
    70: "$0123456789¢£¥",
    72: "bdghnpqu{}ßñùúûüþ",
    73: "SYZÝ",
    74: "CPµÇÞ",
    77: "B",
    78: "AKRVXÀÁÂÃÄÅ",
    82: "UÙÚÛÜ",
    83: "G",
    84: "#+<=>DHN^~¬±ÐÑ×÷≤≥−",
    86: "OQÒÓÔÕÖØ",
    88: "&",
    93: "w",
    100: "@M©®—…",
    101: "%",
    104: "¼½¾",
    105: "mæ",
    109: "Æ",
    111: "W",
}
_PLAIN_WIDTHS = {c: width for width, chars in _PLAIN.items() for c in chars}
_BOLD_WIDTHS = {c: width for width, chars in _BOLD.items() for c in chars}
_OTHER = 100
_OTHER_BOLD = 115
_FULL_WIDTH = 130
"""Width of East Asian wide characters and pictures, in any font. From memory."""

ELLIPSIS = "…"
_ZWJ = "\u200d"
_REPLACED = "\ufffd"
_BREAK_AFTER = frozenset("-/_,;:")


def printable(text: str) -> str:
    """Put the text in one line, without characters that XML forbids or that change reading order.

    Letters and their marks become one character where there is one. Line breaks and tabs become
    spaces. Right-to-left letters stay. Invisible characters that override or isolate a direction
    go, since they could reorder our own words.
    """
    kept: list[str] = []
    for c in unicodedata.normalize("NFC", text):
        category = unicodedata.category(c)
        if c.isspace() or category in ("Cc", "Zl", "Zp"):
            kept.append(" ")
        elif category == "Cs" or (ord(c) & 0xFFFE) == 0xFFFE or 0xFDD0 <= ord(c) <= 0xFDEF:
            kept.append(_REPLACED)
        elif category == "Cf" and c != _ZWJ:
            continue
        else:
            kept.append(c)
    return " ".join("".join(kept).split())


def width_of(text: str, size: int, bold: bool = False) -> int:
    """Width of one line in drawing units, rounded up."""
    hundredths = sum(_width_of_character(c, bold) for c in text)
    return -(-hundredths * size // 100)


def _width_of_character(c: str, bold: bool) -> int:
    width = (_BOLD_WIDTHS if bold else _PLAIN_WIDTHS).get(c)
    if width is not None:
        return width
    if unicodedata.category(c) in ("Mn", "Me", "Cf"):
        return 0
    if unicodedata.east_asian_width(c) in ("W", "F"):
        return _FULL_WIDTH
    return _OTHER_BOLD if bold else _OTHER


def wrap(text: str, width: int, size: int, bold: bool = False, most: int = 3) -> tuple[str, ...]:
    """Wrap text to at most `most` lines of `width`; the last ends in … if it was cut.

    Breaks at spaces, and inside a word only if it is wider than a line: after hyphens and the like
    if it has any. Never separates a letter from its marks. Empty text gives no line.
    """
    lines: list[str] = []
    line = ""
    for piece in _pieces(text, width, size, bold):
        if width_of((line + piece).rstrip(), size, bold) <= width:
            line += piece
            continue
        if line:
            lines.append(line.rstrip())
        line = piece.lstrip()
    if line.strip():
        lines.append(line.rstrip())
    if len(lines) <= most:
        return tuple(lines)
    return (*lines[: most - 1], _cut(lines[most - 1], width, size, bold))


def _cut(line: str, width: int, size: int, bold: bool) -> str:
    clusters = list(_clusters(line))
    while clusters and width_of("".join(clusters) + ELLIPSIS, size, bold) > width:
        clusters.pop()
    return "".join(clusters).rstrip() + ELLIPSIS


def _pieces(text: str, width: int, size: int, bold: bool) -> Iterator[str]:
    """Split into parts after which a line may break, each with the spaces that follow it.

    A word that fits a line stays whole, so that no reference or model breaks at its hyphen.
    """
    word = ""
    for cluster in (*_clusters(text), ""):
        word += cluster
        if cluster in (" ", ""):
            if width_of(word.rstrip(), size, bold) <= width:
                yield word
            else:
                yield from _split(word, width, size, bold)
            word = ""


def _split(text: str, width: int, size: int, bold: bool) -> Iterator[str]:
    """Split a word that is wider than a line, after hyphens and the like if it has any."""
    piece = ""
    for cluster in _clusters(text):
        too_wide = width_of((piece + cluster).rstrip(), size, bold) > width
        if piece and too_wide:
            yield piece
            piece = ""
        piece += cluster
        if cluster == " " or (cluster in _BREAK_AFTER and len(piece) > 1):
            yield piece
            piece = ""
    if piece:
        yield piece


def _clusters(text: str) -> Iterator[str]:
    """Split into letters with their marks, and pictures joined by a zero-width joiner."""
    cluster = ""
    for c in text:
        joins = unicodedata.category(c) in ("Mn", "Mc", "Me", "Cf") or (
            cluster.endswith(_ZWJ) or 0x1F3FB <= ord(c) <= 0x1F3FF
        )
        if cluster and not joins:
            yield cluster
            cluster = ""
        cluster += c
    if cluster:
        yield cluster
