"""The same function for many items, in several processes or on a cluster, with the same answers.

``fan_out`` is all that others need; ``team_for`` says who does the work.
"""

from planner.engine.fanout.cluster import Cluster
from planner.engine.fanout.mapping import Done, Here, Team, fan_out
from planner.engine.fanout.processes import Processes

__all__ = ["Cluster", "Done", "Here", "Processes", "Team", "fan_out", "team_for"]


def team_for(processes: int | None = None, address: str = "") -> Team:
    """Who works: a Dask cluster at ``address`` if there is one, else ``processes`` of this
    machine (``None``: one for each core; 1: this very process)."""
    if address:
        return Cluster(address)
    return Here() if processes == 1 else Processes(processes)
