"""Work for the worker process (`manage.py db_worker`).

A worker can be stopped at any moment and a task begun again, so every task can run twice: it is
named by what it is made from or belongs to, and does nothing where that is done.
"""

from django_tasks import task

from sites.packs.writing import printing


@task()
def print_pack(digest: str) -> str:
    """Print the frozen pack with this digest; returns the digest of the PDF."""
    return printing.print_frozen(digest)


@task()
def rebuild_pack(digest: str) -> dict[str, str | bool]:
    """Render the frozen pack with this digest again and compare it with the kept PDF."""
    return printing.printed_again(digest)
