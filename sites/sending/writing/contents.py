"""What goes out: the bytes of a mail and of a zip, made of an issued pack and chosen files."""

import datetime as dt
import io
import zipfile
from collections.abc import Iterable
from email.headerregistry import Address
from email.message import EmailMessage
from email.policy import SMTP
from email.utils import format_datetime

from django.core.exceptions import ValidationError
from django.core.validators import validate_email
from msgspec import Struct

from sites.house import storage
from sites.house.pages.file_names import file_name
from sites.house.refusals import RefusedError
from sites.packs.models import FrozenPack
from sites.review.models import Attachment

MOST_MAIL_BYTES = 14_000_000
"""Files of a mail together: a mail carries a third more, and many servers refuse from 20 MB on
(common practice, no source)."""
LONGEST_SUBJECT, LONGEST_WORDS = 200, 4000


class Carried(Struct, frozen=True):
    """A file that goes out: its name, its type, its stored bytes by digest, and their number."""

    name: str
    media_type: str
    sha256: str
    size_bytes: int


def carried(pack: FrozenPack, files: Iterable[Attachment]) -> list[Carried]:
    """The print of a pack, its notice of demand, and the chosen files; no name comes twice.

    Raises FileGoneError for a print that is not in the store.
    """
    what = f"revision {pack.revision}"
    found = [_print(pack.pdf_sha256, file_name(pack.reference, what, "pdf"))]
    if pack.notice_pdf_sha256:
        name = file_name(pack.reference, f"{what} notice of demand", "pdf")
        found.append(_print(pack.notice_pdf_sha256, name))
    for number, file in enumerate(files, start=1):
        name = f"{number:02d} {file.name}"
        found.append(Carried(name, file.media_type, file.sha256, file.size_bytes))
    return found


def _print(sha256: str, name: str) -> Carried:
    return Carried(name, "application/pdf", sha256, len(storage.stored(sha256)))


def mail_bytes(
    *,
    sender: str,
    recipient: str,
    subject: str,
    words: str,
    message_id: str,
    at: dt.datetime,
    files: Iterable[Carried],
) -> bytes:
    """The whole mail as it goes over the wire: lines end with CR LF, all in ASCII.

    Raises RefusedError naming the box where an address is none, where a line of the head would hold
    more than one line, or where the files are too heavy for a mail.
    """
    files = list(files)
    mail = EmailMessage(policy=SMTP.clone(cte_type="7bit"))
    mail["From"] = sender
    mail["To"] = Address(addr_spec=checked_mail(recipient=recipient, subject=subject, files=files))
    mail["Subject"] = subject.strip()
    mail["Date"] = format_datetime(at)
    mail["Message-ID"] = message_id
    mail.set_content(words)
    for file in files:
        main, _, sub = file.media_type.partition("/")
        content = storage.stored(file.sha256)
        mail.add_attachment(content, maintype=main, subtype=sub, filename=file.name)
    return mail.as_bytes()


def checked_mail(*, recipient: str, subject: str, files: Iterable[Carried]) -> str:
    """The address of a mail that can go out. Raises RefusedError as `mail_bytes`."""
    one_line(subject, "subject")
    if not subject.strip():
        raise RefusedError("Give the mail a subject.", "subject")
    weight = sum(file.size_bytes for file in files)
    if weight > MOST_MAIL_BYTES:
        raise RefusedError(
            f"The files have {weight / 1_000_000:.1f} MB together; a mail carries "
            f"{MOST_MAIL_BYTES // 1_000_000} MB. Leave files out, or use the portal or the zip.",
            "beside",
        )
    return address(recipient)


def address(typed: str) -> str:
    """An e-mail address of plain letters; raises RefusedError (box "recipient") for others."""
    one_line(typed, "recipient")
    typed = typed.strip()
    try:
        typed.encode("ascii")
        validate_email(typed)
    except (ValidationError, UnicodeEncodeError):
        raise RefusedError(
            "This is no e-mail address of plain letters, such as desk@operator.example.",
            "recipient",
        ) from None
    return typed


def one_line(typed: str, box: str) -> None:
    """Raises RefusedError for a text that would break the head of a mail into more lines."""
    if any(ord(c) < 32 or ord(c) in (127, 0x85, 0x2028, 0x2029) for c in typed):
        raise RefusedError("Write this on one line, without breaks.", box)


def zip_bytes(pack: FrozenPack, files: Iterable[Carried], words: str) -> bytes:
    """One zip of files with the covering words; the same bytes for the same content."""
    at = pack.issued_at.timetuple()[:6]
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w", zipfile.ZIP_DEFLATED) as whole:
        whole.writestr(zipfile.ZipInfo("covering words.txt", at), words.encode("utf-8"))
        for file in files:
            whole.writestr(zipfile.ZipInfo(file.name, at), storage.stored(file.sha256))
    return made.getvalue()
