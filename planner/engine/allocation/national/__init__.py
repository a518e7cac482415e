"""Plans for many sites: each by itself, at prices of what all of them share.

``may_split`` says whether a case can be planned so, ``planned_by_sites`` does it: it packs
the sites, finds prices, packages and a whole plan with a proven bound.
"""

from planner.engine.allocation.national.route import BySites, may_split, planned_by_sites

__all__ = ["BySites", "may_split", "planned_by_sites"]
