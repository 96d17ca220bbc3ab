"""Work for the worker process (`manage.py db_worker`).

A worker can be stopped at any moment and a task begun again, so every task can run twice: it is
named by what it is made from or belongs to, and does nothing where that is done.
"""

from django_tasks import task

from connections.services import printing


@task()
def print_pack(digest: str) -> str:
    """Print the frozen pack with this digest; returns the digest of the PDF."""
    return printing.print_frozen(digest)


@task()
def rebuild_pack(digest: str) -> dict[str, str | bool]:
    """Render the frozen pack with this digest again and compare it with the kept PDF."""
    return printing.printed_again(digest)


@task()
def screen_part(run: str, place: int) -> int:
    """Look at one part of a run over all lines (`run` is its key); returns how many differ."""
    from connections.services.screening import screen

    return screen(run, place)


@task()
def work_out_year(design: str, digest: str) -> bool:
    """Work out the energy year of a design (its key) that is known by this digest; whether there is
    a new result."""
    from connections.services.energy_years import work_out

    return work_out(design, digest)


@task()
def work_out_remedies(design: str, digest: str) -> bool:
    """Work out what the remedies of a design (its key) cost in energy, asked for under this digest;
    whether all of it is done now."""
    from connections.services.remedy_years import work_out

    return work_out(design, digest)


@task()
def work_out_limits(design: str, digest: str) -> bool:
    """Work out the sweep of limits of a design (its key) that is known by this digest; whether it
    is whole now."""
    from connections.services.limit_sweeps import work_out_limits as work_out

    return work_out(design, digest)
