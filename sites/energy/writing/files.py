"""Stores input files of energy years; reads each whole on upload."""

from django.db import transaction
from django.db.models import QuerySet
from django.utils import timezone

from connections.energy.energy_errors import EnergyError
from connections.energy.files.series import LARGEST_BYTES
from sites.energy.models import EnergyFile
from sites.energy.reading.files import HowRead, Kind, kept_holds, read_content
from sites.energy.reading.years import OFFERED
from sites.house import storage
from sites.house.refusals import RefusedError
from sites.house.uploads import safe_name
from sites.house.writing.events import record
from sites.people.models import Person
from sites.premises.models import Premises

MOST_POSTED = 2 * LARGEST_BYTES + 200_000
"""Bytes of both files with the boxes round them."""


def too_large(size_bytes: int) -> str:
    """Return the message for an upload that is too large."""
    return (
        f"What was sent has {size_bytes / 1_000_000:.1f} MB; {LARGEST_BYTES // 1_000_000} MB are "
        "taken for each file, so nothing of it was read. Cut the file to twelve months and to the "
        "columns that are needed. What you typed is still there if you go back in the browser."
    )


def keep_file(
    *,
    premises: Premises,
    kind: Kind,
    name: str,
    content: bytes,
    how: HowRead,
    region: int,
    by: Person,
) -> EnergyFile:
    """Read a file and store it; the same file read in the same way returns the existing row.

    No year uses it before `enter_inputs`. `region` is the number of the region for whose place
    light is read. The bytes are on disk before the row commits. Raises RefusedError naming the box
    of the file, with line, column and what to do.
    """
    box = f"{kind}_file"
    if kind == "irradiance" and region not in OFFERED:
        raise RefusedError(
            "Pick the region and choose this file again: it is read for that place.", box
        )
    if not content:
        raise RefusedError("The file is empty. Choose another one.", box)
    try:
        read_content(kind, content, how, region)
    except EnergyError as fault:
        raise RefusedError(str(fault), box) from None
    return _keep(premises, kind, name, content, how, by)


@transaction.atomic
def _keep(
    premises: Premises, kind: Kind, name: str, content: bytes, how: HowRead, by: Person
) -> EnergyFile:
    # Locked, so that two uploads of the same file at once make one row.
    Premises.objects.select_for_update().get(pk=premises.pk)
    read = {"clock": how.clock, "stamps": how.stamps, "unit": how.unit or ""}
    sha256 = storage.store(content)
    there = EnergyFile.objects.filter(premises=premises, kind=kind, sha256=sha256, **read)
    if same := there.first():
        # Renew its age, or the sweep of unused files could delete it before it is entered.
        same.added_at = timezone.now()
        same.save(update_fields=["added_at"])
        return same
    kept = EnergyFile.objects.create(
        premises=premises,
        kind=kind,
        sha256=sha256,
        name=safe_name(name, "text/csv"),
        size_bytes=len(content),
        added_by=by,
        added_at=timezone.now(),
        **read,
    )
    # The file name may contain a customer's name; the digest identifies the file.
    data = {"file": str(kept.key), "kind": kind, "sha256": sha256, "size_bytes": len(content)}
    record("energy.file-kept", by=by, subject=premises, data=data)
    return kept


def read_again(*, file: EnergyFile, how: HowRead, region: int, by: Person) -> EnergyFile:
    """Read a stored file in another way or for another region.

    Returns the same row, or a new row with the same bytes if the way differs. Raises RefusedError
    naming the box of the file.
    """
    kind: Kind = "meter" if file.kind == "meter" else "irradiance"
    try:
        kept_holds(file, how, region)
        if (file.clock, file.stamps, file.unit) == (how.clock, how.stamps, how.unit or ""):
            return file
        content = storage.stored(file.sha256)
    except (EnergyError, storage.FileGoneError) as fault:
        raise RefusedError(f"{file.name}: {fault}", f"{kind}_file") from None
    return _keep(file.premises, kind, file.name, content, how, by)


def take_out_files(left: QuerySet[EnergyFile]) -> None:
    """Delete these rows, each under the lock of its premises.

    Entering a file takes the same lock, so a file that was entered meanwhile stays.
    """
    for pk, premises in left.values_list("pk", "premises_id"):
        with transaction.atomic():
            Premises.objects.select_for_update().filter(pk=premises).first()
            left.filter(pk=pk).delete()
