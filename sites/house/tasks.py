"""The task of the worker process (`manage.py db_worker`) for all work asked under a digest.

A worker can be stopped at any moment and a task begun again. So the task can run twice, and does
nothing where all is done.
"""

from django_tasks import task

from sites.house.writing import working_out


@task()
def work_out(key: str, digest: str) -> bool:
    """Do the work asked of the row with this key under this digest.

    Returns whether all of it is done now.
    """
    return working_out.work_out(key, digest)
