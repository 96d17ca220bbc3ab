"""The task of the worker process (`manage.py db_worker`) for all that is asked under a digest.

A worker can be stopped at any moment and a task begun again, so it can run twice, and does nothing
where all is done.
"""

from django_tasks import task

from sites.house.writing import working_out


@task()
def work_out(key: str, digest: str) -> bool:
    """Work out what the row with this key was asked for under this digest; whether all of it is
    done now."""
    return working_out.work_out(key, digest)
