"""Is there time for it? What the tests asked of each site take, and what the site has.

``workload`` holds the tests that a site is equipped for, its own people's and those sent to
it, against the hours of its staff and of its machines, and says which runs out first.
Capability says whether a test can be done; this says how often.
"""

from planner.engine.workload.batching import Batching, Run
from planner.engine.workload.found import Workload
from planner.engine.workload.site import AskedTest, Binding, Resource, SiteWorkload
from planner.engine.workload.sums import workload

__all__ = [
    "AskedTest",
    "Batching",
    "Binding",
    "Resource",
    "Run",
    "SiteWorkload",
    "Workload",
    "workload",
]
