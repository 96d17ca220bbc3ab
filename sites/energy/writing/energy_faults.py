"""Notes faults of facts or files when the worker calculates energy."""

from collections.abc import Iterator
from contextlib import contextmanager

from connections.energy.energy_errors import EnergyError, InvariantError
from sites.house import storage
from sites.house.models import Work
from sites.house.writing.working_out import note_fault


@contextmanager
def noting_energy_faults(work: Work) -> Iterator[None]:
    """Note faults of facts or files in words, and end the block.

    A result that breaks an invariant is a failure of the program: it is noted and raised.
    """
    try:
        yield
    except InvariantError as fault:
        note_fault(work.key, work.digest, str(fault))
        raise
    except (EnergyError, storage.FileGoneError) as fault:
        note_fault(work.key, work.digest, str(fault))
