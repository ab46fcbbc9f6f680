"""The same sweep on an existing Dask cluster, for those who have one."""

from collections.abc import Callable, Iterator, Sequence
from typing import Any

from potash.whatif.errors import NoCluster
from potash.whatif.inputs import Problem
from potash.words import tr

_PATIENCE = "10s"

Piece = tuple[int, list[tuple[float, ...]]]


def chunks_on_cluster(
    address: str,
    given: Problem,
    pieces: Sequence[tuple[int, int]],
    work: Callable[[Problem, int, int], Piece],
) -> Iterator[Piece]:
    """Each piece of the sweep as a worker finishes it; closing the iterator cancels the rest.

    Raises: NoCluster, if ``distributed`` is not installed or nobody answers at ``address``.
    """
    distributed = _distributed()
    try:
        client = distributed.Client(address, timeout=_PATIENCE)
    except (OSError, ValueError, TimeoutError) as problem:
        raise NoCluster(
            tr(
                'No Dask scheduler answers at "{address}": {problem}. An address looks like '
                '"tcp://10.0.0.5:8786"; leave it out to run here.',
                address=address,
                problem=problem,
            )
        ) from None
    with client:
        futures = [client.submit(work, given, first, last, pure=False) for first, last in pieces]
        try:
            for future in distributed.as_completed(futures):
                yield future.result()
        finally:
            client.cancel(futures)


def _distributed() -> Any:
    try:
        import distributed
    except ImportError:
        raise NoCluster(
            tr(
                "A sweep on a cluster needs the package distributed, which is not installed: "
                'python -m pip install "potash[cluster]". Leave the address out to run here.'
            )
        ) from None
    return distributed
