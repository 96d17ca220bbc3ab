"""Note that a job of the machine ran."""

from django.utils import timezone

from sites.house.models import LastRun


def note_run(name: str, *, well: bool, said: str) -> None:
    """Keep the last run of a job, for health."""
    LastRun.objects.update_or_create(
        name=name, defaults={"ended_at": timezone.now(), "well": well, "said": said}
    )
