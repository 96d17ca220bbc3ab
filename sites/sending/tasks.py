"""The worker's task of the outbox."""

from django_tasks import task

from sites.sending.writing import delivering


@task()
def deliver(key: str) -> str:
    """Send the dispatch with this key, unless it was begun before; return the state it ends in."""
    return delivering.deliver(key)
