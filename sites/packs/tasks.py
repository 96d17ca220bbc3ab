"""Tasks of the worker process (`manage.py db_worker`).

A worker can stop at any moment and begin a task again, so every task may run twice. Its argument is
the digest of what it is made from or belongs to; it does nothing if that is done.
"""

from django_tasks import task

from sites.packs.writing import printing


@task()
def print_pack(digest: str) -> str:
    """Print the frozen pack with this digest; return the digest of the PDF."""
    return printing.print_frozen(digest)


@task()
def rebuild_pack(digest: str) -> dict[str, str | bool]:
    """Render the frozen pack with this digest again and compare it with the stored PDF."""
    return printing.printed_again(digest)
